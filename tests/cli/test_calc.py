"""``calc``: numbers written and shown, error cells with their reasons, files left alone."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from openpyxl import load_workbook
from openpyxl.worksheet.formula import ArrayFormula

from cli.command_line import cell, only_line, shipped
from stillbook.workbook.job.estimate import Job


def test_calc_writes_the_numbers_and_shows_them(small, run):
    assert cell(small, "B1") is None
    code, out, err = run("calc", small)
    assert (code, err) == (0, "")
    assert ["Mass", "of", "a", "door", "88", "lb"] in map(str.split, out.splitlines())
    assert cell(small, "B1") == pytest.approx(88)


def test_a_result_has_one_line_in_80_columns_and_a_blank_one_says_so(run, here, monkeypatch):
    monkeypatch.delenv("COLUMNS")
    shipped("room-conversion", "room.xlsx")
    _, out, _ = run("calc", "room.xlsx")
    told = {line[:59].strip(): line[60:].split() for line in out.splitlines()}
    assert told["Speech privacy next door, SPC at the low end of its range"] == ["–"]
    assert [0 < float(nc) < 70 for nc in told["Heard at the seat at most, within the prediction's range, NC"[:59]]] == [
        True
    ]


def test_error_cells_are_listed_with_their_reasons(faulty, run):
    code, out, _ = run("calc", faulty)
    words = " ".join(out.split())
    assert code == 1
    assert "2 cells show an error" in words
    assert 'Door!B1 #VALUE! side masses: "88 lb" is a mass where a mass per area is needed' in words
    assert "1 of them takes it from another cell: Door B2" in words
    assert "To be filled in: client" in words


def test_an_input_typed_past_its_limits_is_listed_first_and_its_consequences_are_counted(small, run):
    book = load_workbook(small)
    book.active["A3"] = "88 lb"
    book.save("typed.xlsx")
    code, out, _ = run("calc", "typed.xlsx")
    assert code == 1
    assert out.splitlines()[1] == "To be put right first, since all that follows stands on it:"
    assert out.splitlines()[2].startswith('  Door!A3: surface_mass: "88 lb" is a mass')
    assert "2 cells show errors that come from inputs." in out
    assert "Reason" not in out


def test_checks_that_stand_on_a_refused_input_are_counted(run, here):
    shipped("booth-estimate", "booth.xlsx")
    book = load_workbook("booth.xlsx")
    sheet, at = next(iter(book.defined_names["room_length"].destinations))
    book[sheet][at.replace("$", "")] = "88 lb"
    book.save("booth.xlsx")
    _, out, _ = run("calc", "booth.xlsx")
    assert "cannot be judged until what is above is put right." in out
    assert "  error: " not in out


def test_many_error_cells_are_listed_in_short(faulty, run):
    book = load_workbook(faulty)
    for row in range(3, 23):
        book.active.cell(row, 2, '=STILL_QUANTITY("2 lb","ft")')
        book.active.cell(row, 3, "=B1")
    book.save(faulty)
    lines = run("calc", faulty)[1].splitlines()
    assert "42 cells show an error:" in lines
    assert sum(line.startswith("Door!B") for line in lines) == 2
    assert any(line.startswith("Door!B3 and 19 more") for line in lines)
    assert "21 of them take it from another cell:" in lines
    assert "  Door  B2, C3, C4, C5, C6, C7, C8, C9 and 13 more" in lines


def test_a_value_that_other_programs_lose_is_told_once(small, run):
    book = load_workbook(small)
    book.active["D1"] = ArrayFormula("D1:D2", "=STILL_NCCURVE(25)")
    for row in range(1, 5):
        book.active[f"E{row}"] = "=STILL_DOORMASS(4.4,1,36,80)>0"
    book.save(small)
    words = " ".join(run("calc", small)[1].split())
    assert words.endswith(
        "Programs without the formulas will show an error in Door!D1, Door!E1, Door!E2 and 2 more: call our formulas "
        "there in an ordinary formula that gives a number or a text, such as =INDEX(…,1,1)."
    )
    assert load_workbook(small).active["D1"].value.text == "=STILL_NCCURVE(25)"


def test_a_check_that_waits_is_named(run):
    out = run("new", "booth-estimate", "mine.xlsx")[1]
    job = Job.open("mine.xlsx")
    waiting = {check.rule: check.waits_for for check in job.calculate().checks if check.state == "waits"}
    assert waiting["Client, project and date are filled in"] == ("client", "project", "estimate_date")
    told = " ".join(out.split())
    assert all(f"waits for {', '.join(names)}: {rule}" in told for rule, names in waiting.items())


def test_one_bad_workbook_does_not_stop_the_others(small, faulty, run):
    Path("cut.xlsx").write_bytes(Path(small).read_bytes()[:900])
    code, out, err = run("calc", "cut.xlsx", faulty, "gone.xlsx", small)
    assert code == 2
    assert [line.partition(": ")[2].partition(":")[0] for line in err.splitlines()] == ["cut.xlsx", "gone.xlsx"]
    assert "4 workbooks: 1 stand, 1 do not stand, 2 not calculated" in out
    assert cell(small, "B1") == pytest.approx(88)


@pytest.mark.parametrize(
    ("name", "contents", "said"),
    [
        ("cut.xlsx", b"PK\x03\x04 and no more", "damaged"),
        ("words.xlsx", b"just words", "words.xlsx"),
        ("empty.xlsx", b"", "empty.xlsx"),
        ("words.txt", b"just words", ".xlsx"),
    ],
)
def test_what_is_no_workbook_is_left_alone(name, contents, said, refused):
    Path(name).write_bytes(contents)
    assert said in refused("calc", name)
    assert Path(name).read_bytes() == contents


def test_a_file_open_elsewhere_is_left_alone(small, refused):
    before = Path(small).read_bytes()
    Path(f".~lock.{small}#").write_text(",example,here,01.01.2026 10:00,;")
    assert "is open in LibreOffice" in refused("calc", small)
    assert Path(small).read_bytes() == before


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="an administrator may read all files")
def test_a_file_that_may_not_be_read_is_told(small, refused):
    Path(small).chmod(0)
    assert refused("calc", small).startswith(f"{small}: ")


def test_a_read_only_file_is_left_alone(small, refused):
    before = Path(small).read_bytes()
    Path(small).chmod(0o444)
    assert "it is read-only" in refused("calc", small)
    assert Path(small).read_bytes() == before


def test_formulas_in_a_circle_are_named(small, refused):
    book = load_workbook(small)
    book.active["B1"] = "=B2+1"
    book.save(small)
    assert "circle" in refused("calc", small)


@pytest.mark.skipif(os.name != "posix", reason="ends a process as POSIX systems do")
def test_a_calculation_that_takes_too_long_is_told(small):
    book = load_workbook(small)
    book.active["B1"] = "=SUM(STILL_MASSLAW(SEQUENCE(1000000),500))"
    book.save(small)
    before = Path(small).read_bytes()
    code = (
        "import sys; from stillbook.workbook.job.estimate import Job; from stillbook.cli import main\n"
        f"Job.calculate.__kwdefaults__['seconds'] = 0.5; sys.argv[1:] = ['calc', {str(small)!r}]; main()"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout) == (2, "")
    assert "it took longer than 0.5 seconds" in only_line(done.stderr)
    assert Path(small).read_bytes() == before
