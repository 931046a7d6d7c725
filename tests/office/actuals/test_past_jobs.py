"""The file of finished jobs, what they propose together, and what of it a price book takes."""

import sqlite3

import pytest

from stillbook.office.actuals.booked import Beside, Booked
from stillbook.office.actuals.into_prices import Taken, take_into
from stillbook.office.actuals.measured import Measured
from stillbook.office.actuals.proposals import COST, HOURS, RATE, USED, Proposal, Strayed, proposals, strayed
from stillbook.office.actuals.store import PastJob, past_jobs
from stillbook.workbook import WorkbookError
from stillbook.workbook.job.estimate import Job
from stillbook.workbook.job.lines import price_rows
from workbook import jobs


def job(name, units="US", currency=""):
    return PastJob(f"/jobs/{name}.xlsx", name, "booth-estimate", units, currency)


def line(quantity, hours, booked, code="STUD", unit="piece"):
    told = Booked(code, *booked) if booked else None
    return Beside(code, "Stud", "Shell", unit, quantity, hours, 5.2 * quantity, 62 * hours, told, 62.0)


@pytest.fixture
def place(tmp_path):
    return tmp_path / "office" / "finished.sqlite"


@pytest.fixture
def kept(place):
    """Three jobs: 100, 40 and 60 studs estimated, 110, 50 and 60 used."""
    with past_jobs(place) as found:
        found.keep(job("one"), [line(100, 14, (110, 20, 600))], None)
        found.keep(job("two"), [line(40, 6, (50, 5, 300)), line(1, 1, None, "DOOR")], None)
        found.keep(job("three"), [line(60, 8, (60, None, 330))], None)
    return place


def test_what_three_jobs_propose(kept):
    """Sums over sums, by hand: 1230 / 220, 160 / 25, 220 / 200, 25 / 20; the third job has no hours."""
    with past_jobs(kept) as found:
        said = proposals(found.lines("US", ""))
    assert said == [
        Proposal("STUD", COST, "piece", 5.591, 5.455, 6.0, 3),
        Proposal("STUD", RATE, "piece", 6.4, 5.5, 10.0, 2),
        Proposal("STUD", USED, "piece", 1.1, 1.0, 1.25, 3),
        Proposal("STUD", HOURS, "piece", 1.25, 0.8333, 1.429, 2),
    ]


def test_a_job_kept_again_takes_its_own_place(kept):
    with past_jobs(kept) as found:
        assert found.keep(job("two"), [line(40, 6, (40, 5, 200))], None)
        assert not found.keep(job("four"), [], None)
        assert [one.project for one in found.jobs()] == ["one", "two", "three", "four"]
        assert [one.booked_quantity for one in found.lines("US", "")] == [110, 60, 40]


def test_jobs_in_other_units_or_money_propose_nothing(kept):
    with past_jobs(kept) as found:
        assert found.lines("SI", "") == found.lines("US", "EUR") == []


def test_lines_and_measurements_are_kept_apart(kept):
    with past_jobs(kept) as found:
        found.keep(job("one"), None, [Measured("airflow", "", 58, 60, "cfm")])
        found.keep(job("two"), None, [Measured("airflow", "", 54, 60, "cfm")])
        assert len(found.lines("US", "")) == 4
        # Errors of -2 and -6: mean -4, standard deviation √8.
        assert strayed(found.measured("US")) == [Strayed("airflow", "", "cfm", -4, pytest.approx(8**0.5), 2)]


@pytest.mark.parametrize("write", [True, False])
def test_nothing_is_kept_of_what_fails_or_is_a_trial(kept, write):
    before = kept.read_bytes()
    if write:
        with pytest.raises(KeyError), past_jobs(kept) as found:
            found.keep(job("four"), [], None)
            raise KeyError
    else:
        with past_jobs(kept, write=False) as found:
            found.keep(job("four"), [], None)
    assert kept.read_bytes() == before


def test_files_of_other_programs_and_newer_versions_are_refused(tmp_path, kept):
    (text := tmp_path / "text.sqlite").write_text("not a database, but long enough to be looked at as one" * 20)
    sqlite3.connect(other := tmp_path / "other.sqlite").execute("create table theirs (x)").connection.close()
    newer = sqlite3.connect(kept)
    newer.execute("pragma user_version = 2")
    newer.close()
    for path, told in ((text, "no file of finished jobs"), (other, "of another program"), (kept, "newer version")):
        before = path.read_bytes()
        with pytest.raises(WorkbookError, match=told), past_jobs(path):
            pass
        assert path.read_bytes() == before


@pytest.fixture
def book(tmp_path):
    return Job.open(jobs.saved(jobs.estimate(), tmp_path / "book.xlsx"))


STUDS = (Proposal("stud", COST, "piece", 5.6, 5, 6, 3), Proposal("STUD", RATE, "piece", 6.4, 5, 10, 2))


@pytest.mark.parametrize(
    ("least", "taken"),
    [
        (2, [Taken("STUD", COST, 5.2, 5.6, 3), Taken("STUD", RATE, 7, 6.4, 2)]),
        (3, [Taken("STUD", COST, 5.2, 5.6, 3)]),
        (4, []),
    ],
)
def test_a_price_book_takes_what_enough_jobs_propose(book, least, taken):
    assert take_into(book, STUDS, least, "US", "") == taken
    stud = next(row for row in price_rows(book.package) if row.code == "STUD")
    assert (stud.cost, stud.rate) == (5.6 if taken else 5.2, 6.4 if least == 2 else 7)


def test_another_unit_is_not_taken(book):
    assert take_into(book, [Proposal("STUD", COST, "ft", 1, 1, 1, 9)], 1, "US", "") == []


@pytest.mark.parametrize(("units", "currency", "told"), [("SI", "", "its units are US"), ("US", "EUR", "no currency")])
def test_books_in_other_units_or_money_are_refused(book, units, currency, told):
    with pytest.raises(WorkbookError, match=told):
        take_into(book, STUDS, 1, units, currency)
