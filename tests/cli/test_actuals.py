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


THIRDS = (100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500, 3150, 4000)
FLAT = dict.fromkeys(THIRDS, 40)
"""40 dB in every band, by hand: the contour of NIC 40 falls short of it by 1 + 2 + 3 + 6 × 4 = 30 and that of 41 by 40, the
curve of DnT,w 40 by 1 + 2 + 3 + 5 × 4 = 26 and that of 41 by 35; 32 dB are allowed by ASTM E413 and ISO 717-1."""

EXAMPLE = dict(
    zip(
        THIRDS[1:],
        (24, 26, 29.3, 32.1, 28.3, 30.6, 31.9, 34.9, 34.5, 33.2, 32.1, 33.7, 32.6, 33.2, 35, 36.2),
        strict=True,
    )
)
"""The level differences of the formula's example, of NIC 33."""


def measured(differences, **more):
    rows = ["what,band,value"]
    for hz, drop in differences.items():
        rows += [f"level outside,{hz},80", f"level inside,{hz},{80 - drop:.1f}"]
        rows += [f"{what.replace('_', ' ')},{hz},{value}" for what, value in more.items() if what != "time"]
    return "\n".join([*rows, *([f"reverberation time,,{more['time']}"] if "time" in more else []), ""])


@pytest.mark.parametrize(
    ("drops", "more", "nic", "dntw"),
    [
        (EXAMPLE, {}, 33, None),
        (FLAT, {"time": 0.5}, 40, 40),
        # Twice the reference time: 3 dB more in every band, in DnT,w alone.
        (FLAT, {"time": 1.0}, 40, 43),
        ({hz: FLAT[hz] for hz in THIRDS[:-1]}, {"time": 0.5}, None, 40),
        # A background 4 dB under the level inside: 2 dB are taken off it, no more.
        (FLAT, {"background_inside": 36}, 42, None),
    ],
)
def test_levels_measured_on_both_sides_are_rated_beside_the_prediction(run, here, drops, more, nic, dntw):
    shipped("booth-estimate", "job.xlsx")
    Path("room.csv").write_text(measured(drops, **more))
    _, out, _ = run("actuals", "job.xlsx", "--measured", "room.csv")
    rows = {line.split("  ")[0]: line for line in out.splitlines()}
    for name, value in (("NIC", nic), ("DnT,w", dntw)):
        assert (name in rows) is (value is not None)
        assert value is None or f"> {value} " in rows[name]


def test_octaves_are_rated_by_iso_alone_and_what_is_there_in_part_is_refused(run, here, refused):
    shipped("booth-estimate", "job.xlsx")
    octaves = dict.fromkeys((125, 250, 500, 1000, 2000), 40)
    Path("room.csv").write_text(measured(octaves, time=0.5))
    # By hand: 40 dB in every octave; the curve 36, 45, 52, 55, 56 moved down by 10 falls short 2 + 5 + 6 = 13, by 10 dB
    # at most allowed: by 11, 1 + 4 + 5 = 10. 52 - 11 = 41.
    assert "> 41 " in run("actuals", "job.xlsx", "--measured", "room.csv")[1]
    for text, told in (
        (
            measured(octaves),
            "line 2, level outside: what is there of level outside, level inside gives no rating: for NIC give level outside "
            "and level inside in third octaves, 125 to 4000 Hz",
        ),
        (measured(octaves) + "reverberation time,125,0.5\n", "reverberation time is missing at 250 Hz"),
        (measured(octaves, time=0.5) + "background inside,125,30\n", "background inside is missing at 250 Hz"),
        (measured(octaves) + "level inside,,40\n", "give level inside in bands of 100, 125"),
        (measured(octaves) + "level inside,8000,40\n", "give level inside in bands of 100, 125"),
        (measured(octaves) + "level inside,125,40\n", "level inside 125 is there twice"),
        (measured(octaves, time=0.5) + "DnT w,,40\n", 'the job predicts no "DnT w"'),
        (measured(octaves, time=0.5) + '"DnT,w",,40\n', "DnT,w is there, and levels that give it"),
        (measured(octaves, time=0), "line 12: reverberation time 0 s cannot be: it lies from 0.02 to 20 s"),
    ):
        Path("room.csv").write_text(text)
        assert told in refused("actuals", "job.xlsx", "--measured", "room.csv")


def test_a_job_that_predicts_no_rating_has_none_beside_it(job, refused):
    Path("room.csv").write_text(measured(EXAMPLE))
    assert 'the job predicts no "NIC"' in refused("actuals", job, "--measured", "room.csv")


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("what,band,value\nloudness,,5\n", 'line 2: the job predicts no "loudness"'),
        ("what,band,value\nlevel difference,160,5\n", "line 2: 160 is no octave band"),
        ("what,band,value\nprice,125,5\n", "line 2: give a band for level difference or level at the seat alone"),
        ("what,band,value\nlevel difference,125,5\n", "line 2: the job predicts no level difference at 125 Hz"),
        ("what,band,value\nprice,,\n", "line 2: the value of price is blank"),
        ("what,band,value\nprice,,1\nprice,,2\n", "line 3: price is there twice"),
        ("what,band,value\n", "it holds nothing that was measured"),
    ],
)
def test_measurements_that_are_refused(job, refused, text, told):
    Path("room.csv").write_text(text)
    assert told in refused("actuals", job, "--measured", "room.csv")


def test_what_cannot_have_been_measured_is_not_kept(run, refused, here):
    shipped("booth-estimate", "job.xlsx", "SI")
    for row, told in (
        (
            "airflow,,3600",
            "room.csv, line 3: airflow 3600 L/s cannot be: it lies from 0 to 142 L/s, 10 times what the job",
        ),
        ('"DnT,w",,520', "room.csv, line 3: DnT,w 520 cannot be: it lies from 0 to 120: check the figure"),
    ):
        Path("room.csv").write_text(f"what,band,value\nSTC,,52\n{row}\n")
        assert told in refused("actuals", "job.xlsx", "--measured", "room.csv")
        assert not (here / "home").exists()


def test_what_the_command_needs(job, books, refused):
    assert "give FILE, what the job cost, or --measured FILE" in refused("actuals", job)
    assert "--yes goes with --into BOOK" in refused("actuals", job, books, "--yes")
