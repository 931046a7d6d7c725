"""``actuals``: what a finished job cost and what was measured in it, kept beside its estimate."""

from pathlib import Path

import pytest
from openpyxl import load_workbook

from cli.command_line import shipped
from stillbook.workbook.file.package import Package
from stillbook.workbook.job.lines import price_rows


@pytest.fixture
def books(here):
    (here / "books.csv").write_text("code,quantity,hours,money\nSTUD,44,6,230\nHIRE,,,90\n")
    return "books.csv"


def test_a_finished_job_is_compared_and_kept(job, books, run, here):
    before = Path(job).read_bytes()
    code, out, err = run("actuals", job, books)
    rows = [line.split() for line in out.splitlines()]
    assert (code, err) == (0, "")
    # 40 studs for 208 and 354.29 of labour, by hand; 230 and 6 h at 62 came out: 7 % more.
    assert ["STUD", "40", ">", "44", "piece", "0", ">", "6", "562.29", ">", "602", "+7", "%"] in rows
    assert "Not in the estimate: HIRE." in out
    assert ["STUD", "unit", "cost", "5.23", "5.23", "to", "5.23", "1"] in rows
    assert (here / "home" / "finished-jobs.sqlite").is_file()
    assert Path(job).read_bytes() == before
    assert "in the place of what was kept of this job before" in run("actuals", job, books)[1].replace("\n", " ")


def test_a_trial_keeps_nothing(job, books, run, here):
    assert "Nothing is kept" in run("actuals", job, books, "--trial")[1]
    assert not (here / "home").exists()


def test_prices_are_taken_only_where_someone_agrees(job, books, prices, run):
    def stud():
        return next(row.cost for row in price_rows(Package.open(Path("mine.xlsx"))) if row.code == "STUD")

    book = load_workbook(job)
    book.save("mine.xlsx")
    few = run("actuals", job, books, "--into", "mine.xlsx", "--yes")[1]
    assert stud() == 5.2 and "nothing with 3 finished jobs behind it was new" in few
    run("actuals", job, books, "--into", "mine.xlsx", "--jobs-behind", "1")
    assert stud() == 5.2
    assert "Taken into mine.xlsx" in run("actuals", job, books, "--into", "mine.xlsx", "--jobs-behind", "1", "--yes")[1]
    assert stud() == 5.227


ROOM = """what,band,value
level difference,125,30
level at the seat,500 Hz,22
airflow,,28 L/s
CO2,,900
price,,40000
"""


def test_measurements_beside_a_booth(run, here):
    """28 L/s are 59.33 cfm, 0.47194745 L/s each (exact)."""
    shipped("booth-estimate", "job.xlsx")
    Path("room.csv").write_text(ROOM)
    _, out, _ = run("actuals", "job.xlsx", "--measured", "room.csv")
    for what, value in (
        ("level difference, 125 Hz", "30  dB"),
        ("level at the seat, 500 Hz", "22  dB"),
        ("airflow", "59.33  cfm"),
        ("CO2", "900  ppm"),
        ("price", "40,000  USD"),
    ):
        assert f"> {value}" in next(line for line in out.splitlines() if line.startswith(f"{what}  "))


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("what,band,value\nloudness,,5\n", 'line 2: the job predicts no "loudness"'),
        ("what,band,value\nlevel difference,160,5\n", "line 2: 160 is no octave band"),
        ("what,band,value\nairflow,125,5\n", "line 2: give a band for level difference or level at the seat alone"),
        ("what,band,value\nlevel difference,125,5\n", "line 2: the job predicts no level difference at 125 Hz"),
        ("what,band,value\nprice,,\n", "line 2: its value is blank"),
        ("what,band,value\nprice,,1\nprice,,2\n", "line 3: price is there twice"),
        ("what,band,value\n", "it holds nothing that was measured"),
    ],
)
def test_measurements_that_are_refused(job, refused, text, told):
    Path("room.csv").write_text(text)
    assert told in refused("actuals", job, "--measured", "room.csv")


def test_what_the_command_needs(job, books, refused):
    assert "give FILE, what the job cost, or --measured FILE" in refused("actuals", job)
    assert "--yes goes with --into BOOK" in refused("actuals", job, books, "--yes")
