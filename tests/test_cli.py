"""The command line: what each command prints, its exit code, and one clear line for whatever goes wrong."""

import csv
import datetime
import errno
import io
import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import httpx
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl import Workbook, load_workbook
from openpyxl.workbook.defined_name import DefinedName

from service.asking import wait_until
from stillbook import __version__, doctor
from stillbook.catalogue import formulas
from stillbook.cli import batch as many
from stillbook.cli import new as starting
from stillbook.cli import share as sharing
from stillbook.cli import stillbook
from stillbook.cli.failures import guarded
from stillbook.hosts import discovery
from stillbook.hosts.browser.manifest import manifest
from stillbook.hosts.excel import connection as excel
from stillbook.hosts.host import Standing, State
from stillbook.hosts.libreoffice import office, printing
from stillbook.hosts.registry import HOSTS
from stillbook.office import batch as batches
from stillbook.office.batch import ACTIONS
from stillbook.service import server
from stillbook.templates import shipped
from stillbook.workbook.file import saving
from stillbook.workbook.file.sheet import Change
from stillbook.workbook.job import audience
from stillbook.workbook.job.estimate import Job
from stillbook.workbook.job.inputs import InputSpec
from stillbook.workbook.job.lines import column, price_rows
from stillbook.workbook.job.notes import keep_note
from stillbook.workbook.job.results import ResultSpec
from workbook import books, jobs

SECTIONS = {
    "Estimates": ["demo", "new", "inputs", "set", "calc", "print"],
    "Jobs in an office": ["share", "bids", "compare", "carry", "reprice", "batch"],
    "Formulas": ["eval", "formulas"],
    "Templates": ["templates"],
    "Spreadsheet programs": ["connect", "disconnect", "convert", "serve"],
    "This computer": ["doctor"],
}
COMMANDS = [name for names in SECTIONS.values() for name in names]

INPUTS = [
    InputSpec("client", "Name on the proposal.", "text"),
    InputSpec("door", "A pair or one heavy door.", "text", choices=("pair", "single")),
    InputSpec("surface_mass", "Of one side of the wall.", "lb/ft²", 0.5, 200, 4.4),
    InputSpec("doors", "How many.", "doors", 1, 40, 1, whole=True),
    InputSpec("day", "Date of the estimate.", "date", optional=True),
    InputSpec("remark", "Anything.", "text", optional=True),
]
HELD = ["Example", "pair", 4.4, 1, None, None]


@pytest.fixture(autouse=True)
def here(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setenv("STILLBOOK_HOME", str(tmp_path / "home"))
    return tmp_path


@pytest.fixture
def run(capsys):
    """Run a command line; gives exit code, output and error output."""

    def run(*arguments):
        code = guarded(stillbook, [str(argument) for argument in arguments])
        out, err = capsys.readouterr()
        return code, out, err

    return run


@pytest.fixture
def refused(run):
    """Run a command line that must fail as wrong input; gives the one line it says."""

    def refused(*arguments, code=2):
        found, out, err = run(*arguments)
        assert (found, out) == (code, "")
        return only_line(err)

    return refused


def only_line(err):
    assert err.startswith("stillbook: ")
    assert err.count("\n") == 1
    return err.removeprefix("stillbook: ").rstrip("\n")


@pytest.fixture
def small(here):
    """A template of a few cells: a door's mass from inputs, and the mass of all doors."""
    book = Workbook()
    sheet = book.active
    sheet.title = "Door"
    for row, (spec, value) in enumerate(zip(INPUTS, HELD, strict=True), start=1):
        sheet.cell(row, 1, value)
        keep_note(book, spec.name, f"Door!$A${row}", spec.comment())
    sheet["B1"] = '=STILL_DOORTARGETMASS(surface_mass,"36 in","80 in",door)'
    sheet["B2"] = "=B1*doors"
    keep_note(book, "each", "Door!$B$1", ResultSpec("each", "Mass of a door", "lb").comment())
    keep_note(book, "every", "Door!$B$2", ResultSpec("every", "Mass of all", "lb").comment())
    book.save(here / "small.xlsx")
    return "small.xlsx"


def cell(path, address, *, values=True):
    return load_workbook(path, data_only=values).active[address].value


# --- help -------------------------------------------------------------------------------------------------------------


def test_help_lists_the_commands_in_sections_in_the_order_of_their_use(run):
    code, out, _ = run("--help")
    assert code == 0
    sections = out.partition("Show this message and exit.\n\n")[2].partition("\n\n  Exit codes")[0].split("\n\n")
    found = {title: [line.split()[0] for line in lines] for title, *lines in map(str.splitlines, sections)}
    assert found == {f"{title}:": names for title, names in SECTIONS.items()}
    assert list(stillbook.commands) == COMMANDS
    assert max(map(len, out.splitlines())) <= 80


@pytest.mark.parametrize("command", COMMANDS)
def test_each_command_explains_itself(command, run):
    code, out, _ = run(command, "-h")
    assert code == 0
    assert out.startswith(f"Usage: stillbook {command}")


def test_help_needs_no_heavy_library():
    heavy = {"numpy", "openpyxl", "pint", "rich", "formualizer", "lxml", "fluids", "fastapi", "uvicorn", "xlwings"}
    asked = "import sys, stillbook.cli; print(*sys.modules)"
    loaded = subprocess.run([sys.executable, "-c", asked], check=True, capture_output=True, text=True).stdout.split()
    assert not heavy & set(loaded)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["evil"], "No such command 'evil'"),
        (["new", "booth-estimate"], "Missing argument 'FILE' (run \"stillbook new --help\""),
        (["calc"], "Missing argument 'FILE...'"),
        (["eval", "=1", "--jsn"], "No such option"),
        (["new", "booth-estimate", "a.xlsx", "--units", "metric"], "'metric' is not one of"),
        (["share", "a.xlsx", "b.xlsx"], "Missing option '--for'"),
        (["share", "a.xlsx", "b.xlsx", "--for", "all"], "'all' is not one of 'client', 'contractor'"),
        (["compare", "a.xlsx"], "Missing argument 'SECOND'"),
        (["carry", "a.xlsx", "b.xlsx"], "Missing option '--to'"),
        (["reprice", "a.xlsx"], "Missing option '--prices'"),
        (["bids", "a.xlsx", "b.xlsx"], "Missing option '--job'"),
        (["bids", "a.xlsx", "--job", "b.xlsx"], "Missing argument"),
        (["batch", "jobs", "--do", "print"], "'print' is not one of 'calculate', 'check', 'reprice'"),
        (["batch", "jobs", "--do", "reprice"], "--do reprice needs --prices"),
        (["batch", "jobs", "--prices", "book.xlsx"], "--do reprice needs --prices, and nothing else takes"),
        (["batch", "jobs", "--level", "trade"], "nothing else takes --prices or --level"),
        (["batch", "jobs", "--workers", "0"], "0 is not in the range"),
        (["templates", "ad"], "No such command 'ad'"),
        (["connect"], "Missing argument"),
        (["connect", "abacus"], "'abacus' is not one of 'excel', 'libreoffice', 'browser'"),
        (["convert", "a.xlsx", "b.xlsx"], "Missing option '--for'"),
        (["serve", "--port", "many"], "'many' is not a valid integer"),
    ],
)
def test_a_wrong_command_line_is_told_in_a_line(arguments, said, refused):
    assert said in refused(*arguments)


# --- eval -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("formula", "shown"),
    [
        # 4.4 lb/ft² over 20 ft² (common practice, no source)
        ('=STILL_DOORTARGETMASS(4.4,"36 in","80 in")', "88 lb"),
        ('=STILL_DOORTARGETMASS(4.4,"36 in","80 in","single")', "176 lb"),
        ('STILL_DOORTARGETMASS(4.4,"36 in","80 in")', "88 lb"),
        ('=still.doortargetmass(4.4, "36 in", "80 in")', "88 lb"),
        ('=STILL_DOORTARGETMASS(20,1000,2000,,,"SI")', "40 kg"),
        ('=STILL_DOORTARGETMASS(20,1000,2000,,,IF(1>0,"SI","US"))', "40 kg"),
        ('=STILL_DOORTARGETMASS(4.4,"36 in","80 in")*2', "176"),
        ('=SUM(STILL_DOORTARGETMASS(4.4,"36 in","80 in"),STILL_QUANTITY("2 lb","lb"))', "90"),
        # NIST Special Publication 811, Appendix B.8
        ('=STILL_QUANTITY("1 in","mm")', "25.4"),
        ('="a"&"b"', "ab"),
        ("=1>2", "FALSE"),
    ],
)
def test_eval_prints_the_value_with_its_unit(formula, shown, run):
    assert run("eval", formula) == (0, f"{shown}\n", "")


def test_eval_prints_rows_under_their_units(run):
    assert run("eval", "=STILL_DUCTROUND({30;60},100)") == (0, "in\n8\n12\n", "")
    code, out, _ = run("eval", "=STILL_DUCTSIZES(30,100)")
    assert code == 0
    rows = [line.split()[:3] for line in out.splitlines() if line[:1].isdigit()]
    assert rows[0] == ["8", "6", "48"]
    code, out, _ = run("eval", '=STILL_DOORTARGETMASS({4.4,6.6},"36 in","80 in")')
    assert out.splitlines()[-1].split() == ["88", "132"]
    assert "(lb)" in out


@pytest.mark.parametrize(
    ("formula", "code", "reason"),
    [
        ('=STILL_DOORTARGETMASS("88 lb","36 in","80 in")', "#VALUE!", "a mass where a mass per area is needed"),
        ('=STILL_DOORTARGETMASS(4.4,,"80 in")', "#N/A", "width is blank"),
        ('=STILL_DOORTARGETMASS(4.4,-36,"80 in")', "#NUM!", "width is -36 in"),
        ("=STILL_DORMASS(1)", "#NAME?", "there is no formula STILL_DORMASS: did you mean STILL_DOORMASS"),
        ("=1/0", "#DIV/0!", "divides by zero"),
        ("=STILL_DUCTROUND({30;-1},100)", "#NUM!", "airflow is -1 cfm"),
    ],
)
def test_an_error_is_told_with_its_reason(formula, code, reason, run):
    exit_code, out, err = run("eval", formula)
    line = only_line(err)
    assert exit_code == 1
    assert line.startswith(f"{code}: ")
    assert reason in line
    assert out == "" or code in out
    exit_code, out, err = run("eval", formula, "--json")
    assert (exit_code, err) == (1, "")
    report = json.loads(out)
    assert report["error"] == code
    assert reason in report["reason"]
    assert report["value"] is None or [code] in report["value"]


def test_json_has_value_and_unit_to_the_last_digit(run):
    _, out, _ = run("eval", "--json", '=STILL_DOORTARGETMASS(4.4,"36 in","80 in")')
    assert json.loads(out) == {"value": 88.0, "unit": "lb", "error": None, "reason": None}
    _, out, _ = run("eval", "--json", "=1/3")
    assert json.loads(out) == {"value": 1 / 3, "unit": None, "error": None, "reason": None}


@pytest.mark.parametrize(
    ("formula", "cell"),
    [
        ("=A1+1", "A1"),
        ("=2*$b$7", "$b$7"),
        ("=STILL_SURFACEMASS(A2:C4)", "A2:C4"),
        ("=SUM(A:C)", "A:C"),
        ("=SUM($2:$4)", "$2:$4"),
        ("='Take-off'!B7", "'Take-off'!B7"),
    ],
)
def test_a_cell_is_refused_where_there_is_no_workbook(formula, cell, refused):
    assert f"the formula refers to {cell}, and there is no workbook here" in refused("eval", formula)


@pytest.mark.parametrize(("formula", "shown"), [("=LET(x,1,x+1)", "2"), ("=LOG10(100)", "2"), ('="A1"', "A1")])
def test_what_only_looks_like_a_cell_is_calculated(formula, shown, run):
    assert run("eval", formula) == (0, f"{shown}\n", "")


@pytest.mark.parametrize("formula", ["", "=", "  ", "=1+", "=STILL_DOORMASS(60", "=STILL_DOORTARGETMASS(4.4,36 in)"])
def test_what_is_no_formula_is_refused(formula, refused):
    assert "formula" in refused("eval", formula)


# --- the reference ----------------------------------------------------------------------------------------------------


def test_the_list_of_formulas_is_whole(run):
    code, out, err = run("formulas")
    listed = [line.split()[0] for line in out.splitlines() if line.startswith("STILL_")]
    assert (code, err) == (0, "")
    assert listed == [entry.workbook_name for entry in formulas().values()]
    assert {entry.family for entry in formulas().values()} <= set(out.splitlines())


@pytest.mark.parametrize("name", formulas())
def test_a_formula_is_explained_within_eighty_columns(name, run):
    entry = formulas()[name]
    code, out, err = run("formulas", name)
    words = " ".join(out.split())
    assert (code, err) == (0, "")
    assert entry.workbook_name in words
    assert " ".join(entry.source.split()) in words
    assert all(argument.words in words for argument in entry.arguments)
    assert max(map(len, out.splitlines())) <= 80
    assert not {"\x1b", "`", "Args:", "Raises:", ">>>"} & set(out.split()) | {sign for sign in "\x1b`" if sign in out}


def test_brackets_are_shown_as_they_are(run):
    assert run("formulas", "still.doortargetmass")[1].startswith(
        "STILL_DOORTARGETMASS(side masses, width, height, [arrangement], [margin]"
    )


def test_an_unknown_formula_names_its_neighbours(refused):
    assert "STILL_DOORMASS" in refused("formulas", "DORMASS")


def test_a_pipe_gets_one_line_a_row_without_lines_around(run, monkeypatch):
    monkeypatch.delenv("COLUMNS")
    _, out, _ = run("formulas")
    for entry in formulas().values():
        assert any(line.startswith(entry.workbook_name) and line.endswith(entry.summary) for line in out.splitlines())
    assert not set(out) & set("│┃━─╭|")


def test_templates_are_listed_with_their_unit_systems(run):
    code, out, _ = run("templates")
    assert code == 0
    listed = {line.split()[0]: line.split()[1:3] for line in out.splitlines() if "US SI" in line}
    names = ("booth-estimate", "room-conversion", "door-schedule", "air-schedule", "price-book", "bid-comparison")
    assert listed == {name: ["US", "SI"] for name in names}


# --- inputs -----------------------------------------------------------------------------------------------------------


def test_inputs_are_a_table(small, run):
    code, out, _ = run("inputs", small)
    rows = {line.split()[0]: line for line in out.splitlines() if line.strip()}
    assert code == 0
    assert out.splitlines()[0].split() == ["Name", "Value", "Unit", "Limits", "Help"]
    assert rows["surface_mass"].split()[1:6] == ["4.4", "lb/ft²", "0.5", "to", "200"]
    assert "pair; single" in rows["door"]
    assert "text or blank" in rows["remark"]
    assert "To be filled in" not in out


def test_the_inputs_of_a_template_say_what_is_to_be_filled_in(run):
    code, out, _ = run("inputs", "booth-estimate")
    assert code == 0
    assert "room_length" in out
    assert "To be filled in: client" in out


def test_one_input_is_shown_in_full(small, run):
    code, out, _ = run("inputs", small, "Surface_Mass")
    assert code == 0
    assert out.splitlines() == [
        "surface_mass",
        "Of one side of the wall.",
        "Now      4.4 lb/ft²",
        "Write    0.5 to 200 lb/ft²",
        "Default  4.4",
    ]
    assert '"pair", "single"' in run("inputs", small, "door")[1]


def test_an_input_that_takes_words_or_a_quantity_says_so(run):
    words = " ".join(run("inputs", "booth-estimate", "inner_material_1")[1].split())
    assert "Write one of those below, or something else as said above" in words
    assert "Plywood 3/4 in" in words


def test_a_date_is_shown_as_one(small, run):
    assert run("new", small, "dated.xlsx", "--set", "day=2026-03-31")[0] == 0
    assert "Now      2026-03-31" in run("inputs", "dated.xlsx", "day")[1]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["small.xlsx", "dor"], 'there is no input "dor": did you mean door'),
        (["small.xlsx", "Mass"], 'there is no input "Mass": did you mean surface_mass?'),
        (["small.xlsx", "zz"], 'there is no input "zz": leave the name out to list all'),
        (["gone.xlsx"], "gone.xlsx: there is no such file"),
        (["gone"], 'there is no template "gone": choose one of booth-estimate'),
        (["bare.xlsx"], "it has no named inputs"),
        (["small.xlsx", "--units", "SI"], "--units is for shipped templates"),
    ],
)
def test_inputs_that_cannot_be_shown(arguments, said, small, refused):
    Workbook().save("bare.xlsx")
    assert said in refused("inputs", *arguments)


# --- new --------------------------------------------------------------------------------------------------------------


def test_new_sets_inputs_and_saves_calculated_numbers(small, run, here):
    template = Path(small).read_bytes()
    code, out, err = run("new", small, "mine.xlsx", "--set", "surface_mass=32.22 kg/m²", "--set", "doors=2")
    assert (code, err) == (0, "")
    assert str(here / "mine.xlsx") in out
    # 32.22 kg/m² is 6.6 lb/ft² (NIST Special Publication 811), over 20 ft²
    assert cell("mine.xlsx", "B1") == pytest.approx(132, rel=1e-3)
    assert cell("mine.xlsx", "B2") == pytest.approx(264, rel=1e-3)
    assert cell("mine.xlsx", "B2", values=False) == "=B1*doors"
    assert Path(small).read_bytes() == template


def test_a_booth_of_ones_own(run):
    code, out, _ = run("new", "booth-estimate", "own.xlsx", "--set", "people=4", "--set", "room_length=2.7 m")
    assert code == 0
    assert Job.open("own.xlsx").inputs["people"].value == 4
    # 2.7 m in feet: NIST Special Publication 811
    assert Job.open("own.xlsx").inputs["room_length"].value == pytest.approx(8.858268, rel=1e-6)
    assert "Price" in out
    assert run("new", "Booth_Estimate", "si.xlsx", "--units", "si")[0] == 0
    assert Job.open("si.xlsx").inputs["room_length"].spec.unit == "m"


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("in.toml", 'door = "single"\ndoors = 3\nday = 2026-03-31\n# a remark\n'),
        ("in.csv", "name,value\ndoor,single\ndoors,3\nday,2026-03-31\n"),
        ("in.csv", "\ufeffName;Unit;Value\r\ndoor;;single\r\ndoors;;3\r\n;;\r\nday;;2026-03-31\r\n"),
        ("IN.CSV", 'name\tvalue\n"door"\tsingle\ndoors\t3\nday\t2026-03-31'),
    ],
)
def test_inputs_come_from_a_file(name, text, small, run):
    Path(name).write_text(text, "utf-8", newline="")
    assert run("new", small, "mine.xlsx", "--inputs", name)[0] == 0
    # a single door carries both sides: 2 × 4.4 lb/ft² × 20 ft² (common practice, no source)
    assert cell("mine.xlsx", "B2") == pytest.approx(3 * 176)
    assert cell("mine.xlsx", "A5") == (datetime.date(2026, 3, 31) - datetime.date(1899, 12, 30)).days


def test_a_job_in_other_units_keeps_the_currency_of_the_prices_it_comes_with(run):
    run("new", "booth-estimate", "us.xlsx", "--set", "room_length=10")
    code, out, _ = run("new", "booth-estimate", "si.xlsx", "--from", "us.xlsx", "--units", "SI")
    assert code == 0
    assert "the prices stay the template's, in EUR" in " ".join(out.split())
    held = Job.open("si.xlsx").inputs
    assert held["currency"].value == "EUR"
    assert held["room_length"].value == pytest.approx(3.048)


DOOR = {
    "marks": "B1",
    "widths": 36,
    "heights": 80,
    "kinds": "pair",
    "sides_a": 4.4,
    "sides_b": 4.4,
    "slabs": "5 lb/ft²",
}
DOOR_ROW = [part for name, value in DOOR.items() for part in ("--set", f"{name}_2={value}")]


@pytest.mark.parametrize(
    ("given", "marks", "told"),
    [((), 9, True), (DOOR_ROW, 1, False), (("--set", "client=Quib"), 9, True)],
)
def test_the_example_rows_of_a_schedule_go_once_a_row_is_given(given, marks, told, run):
    code, out, _ = run("new", "door-schedule", "doors.xlsx", *given)
    assert code == 0
    held = Job.open("doors.xlsx").inputs
    assert sum(held[f"marks_{row}"].value not in (None, "") for row in range(1, 41)) == marks
    assert ("invented examples" in out) == told
    if not told:
        assert all(held[f"added_sheets_{row}"].value is None for row in range(1, 41))


def test_the_rows_of_a_schedule_come_from_a_list_in_a_file(run):
    rest = {name: [value, value] for name, value in DOOR.items() if name not in ("marks", "widths")}
    rows = ['marks = ["A1", "A2"]', 'widths = [36, "1 m"]', *(f"{name} = {value}" for name, value in rest.items())]
    Path("in.toml").write_text("\n".join(rows), "utf-8")
    Path("in.csv").write_text("name,value\nmarks_1,A3\nwidths_2,36\n")
    assert run("new", "door-schedule", "doors.xlsx", "--inputs", "in.toml", "--set", "widths_1=40")[0] == 0
    held = Job.open("doors.xlsx").inputs
    assert [held[f"marks_{row}"].value for row in (1, 2, 3)] == ["A1", "A2", None]
    # 1 m in inches: NIST Special Publication 811
    assert [held[f"widths_{row}"].value for row in (1, 2)] == pytest.approx([40, 39.37008])
    assert run("new", "doors.xlsx", "more.xlsx", "--inputs", "in.csv")[0] == 0
    assert [Job.open("more.xlsx").inputs[name].value for name in ("marks_1", "marks_2", "widths_2")] == ["A3", "A2", 36]
    code, out, _ = run("inputs", "doors.xlsx")
    assert code == 0
    assert "marks_1 to 40" in out
    assert "2 filled" in out
    assert "marks_2 " not in out


def test_set_wins_over_the_file(small, run):
    Path("in.toml").write_text("doors = 3\nclient = 'Other'\n")
    assert run("new", small, "mine.xlsx", "--inputs", "in.toml", "--set", "Doors=5")[0] == 0
    assert (cell("mine.xlsx", "A4"), cell("mine.xlsx", "A1")) == (5, "Other")


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("in.toml", "doors = ", "in.toml: "),
        ("in.toml", "[door]\nwidth = 3\n", "door is a section"),
        ("in.toml", "doors = [1, 2]\n", "doors is a list"),
        ("in.toml", "doors = true\n", "doors is TRUE"),
        ("in.csv", "", "its first line must name the columns: name,value"),
        ("in.csv", "doors,3\n", "its first line must name the columns: name,value"),
        ("in.csv", "name,value\ndoors\n", 'the row "doors" has no value'),
        ("in.csv", "name,value\ndoors,3\nDoors,4\n", "Doors is given twice"),
        ("in.csv", 'name,value\ndoors,"3\n', "check its quotes"),
        ("in.csv", 'name,value\nsurface_mass,"4,4"\n', "has a comma inside the number"),
        ("in.csv", b"name,value\nclient,\xff\xfe\n", "save it again as UTF-8"),
        ("in.txt", "doors = 3", "ends in .toml or .csv"),
        ("in.csv", "name,value\n" + "doors,3\n" * 200_000, "too long for a list of inputs"),
        ("gone.toml", None, "gone.toml: there is no such file"),
    ],
)
def test_a_file_of_inputs_that_cannot_be_read(name, text, said, small, refused):
    if text is not None:
        Path(name).write_bytes(text if isinstance(text, bytes) else text.encode())
    assert said in refused("new", small, "mine.xlsx", "--inputs", name)
    assert not Path("mine.xlsx").exists()


@pytest.mark.parametrize(
    ("settings_given", "said"),
    [
        (["doors"], '--set "doors": write name=value'),
        (["=3"], "write name=value"),
        (["doors=3", "DOORS=4"], "DOORS is given twice"),
        (["dors=3"], "there is no input dors: did you mean door"),
        (["surface_mass=-4.4"], "surface_mass is -4.4 lb/ft²: give 0.5 to 200 lb/ft²"),
        (["surface_mass=88 lb"], "a mass where a mass per area is needed"),
        (["surface_mass==4.4*2"], "surface_mass"),
        (["door=triple"], 'door "triple" is not known'),
        (["doors=1.5"], "doors is 1.5"),
        (["client="], "client may not be blank"),
        (["day=31.3.2026"], "is not a date"),
        (["doors=0", "door=triple"], "door "),
    ],
)
def test_a_refused_input_makes_no_file(settings_given, said, small, refused):
    options = [part for setting in settings_given for part in ("--set", setting)]
    assert said in refused("new", small, "mine.xlsx", *options)
    assert not Path("mine.xlsx").exists()


def test_an_existing_file_stays_as_it_is(small, refused):
    Path("mine.xlsx").write_bytes(b"mine")
    assert "mine.xlsx: it exists already: choose another name" in refused("new", small, "mine.xlsx")
    assert Path("mine.xlsx").read_bytes() == b"mine"


@pytest.mark.parametrize(
    ("file", "said"),
    [("mine.xls", "ends in .xlsx"), ("mine", "ends in .xlsx"), ("gone/mine.xlsx", "there is no folder gone")],
)
def test_a_place_that_takes_no_workbook(file, said, small, refused):
    assert said in refused("new", small, file)


def test_inputs_come_from_another_job(small, run):
    run("new", small, "first.xlsx", "--set", "client=First", "--set", "doors=3", "--set", "day=2026-03-31")
    Path("in.toml").write_text("doors = 4\n")
    code, out, err = run(
        "new", small, "next.xlsx", "--from", "first.xlsx", "--inputs", "in.toml", "--set", "client=Next"
    )
    assert (code, err) == (0, "")
    assert "5 inputs taken from first.xlsx" in out
    assert [cell("next.xlsx", f"A{row}") for row in range(1, 6)] == ["Next", "pair", 4.4, 4, cell("first.xlsx", "A5")]


def test_inputs_that_cannot_come_from_another_job_are_told(small, run):
    book = load_workbook(small)
    book.active["A3"], book.active["A8"] = 0.1, 7
    keep_note(book, "windows", "Door!$A$8", InputSpec("windows", "How many.", "windows", 0, 9).comment())
    book.save("other.xlsx")
    code, out, _ = run("new", small, "mine.xlsx", "--from", "other.xlsx")
    words = " ".join(out.split())
    assert code == 0
    assert "surface_mass (Door!A3) 0.1 the template does not take it" in words
    assert "windows (Door!A8) 7 the template has no such input" in words
    assert cell("mine.xlsx", "A3") == 4.4


def test_a_job_for_the_next_client_keeps_the_office_s_prices_and_leaves_the_client_behind(run):
    first = (
        "--set",
        "client=First",
        "--set",
        "project=Booth",
        "--set",
        "estimate_date=2026-03-31",
        "--set",
        "people=3",
    )
    extras = {
        "allowance_for_1": "Blinds", "allowance_amount_1": 300, "alternate_text_1": "Lead door", "alternate_cost_1": 900,
        "alternate_accepted_1": "yes", "revision_number_1": "B", "revision_date_1": datetime.date(2026, 4, 2),
    }  # fmt: skip
    assert run("new", "booth-estimate", "first.xlsx", *first)[0] == 0
    job = Job.open("first.xlsx")
    job.set(extras)
    ours = next(row for row in price_rows(job.package) if row.code == "SLAB")
    sheet, area = column(job.package, "price_costs")
    job.write({sheet: {(ours.row, area.first_column): Change(999.0)}})
    job.save()
    code, out, _ = run("new", "booth-estimate", "next.xlsx", "--from", "first.xlsx")
    assert code == 0
    told = " ".join(out.split())
    assert "1 price is that of first.xlsx, not the template's" in told
    assert "Not taken, since it is that client's: client, project, reference, estimate_date" in told
    made = Job.open("next.xlsx")
    held = {name: entry.value for name, entry in made.inputs.items()}
    assert held["people"] == 3
    assert [held[name] for name in ("client", "project", "estimate_date", *extras)] == [None] * (3 + len(extras))
    assert next(row.cost for row in price_rows(made.package) if row.code == "SLAB") == 999


@pytest.mark.parametrize(("options", "unit"), [([], "m"), (["--units", "US"], "ft"), (["--units", "SI"], "m")])
def test_a_metric_job_is_followed_by_a_metric_one(options, unit, run):
    run("new", "booth-estimate", "si.xlsx", "--units", "SI", "--set", "room_length=2.7")
    assert run("new", "booth-estimate", "next.xlsx", "--from", "si.xlsx", *options)[0] == 0
    length = Job.open("next.xlsx").inputs["room_length"]
    # 2.7 m in feet: NIST Special Publication 811
    assert (length.spec.unit, length.value) == (unit, pytest.approx(2.7 if unit == "m" else 8.858268, rel=1e-6))


@pytest.fixture
def answering(monkeypatch):
    """Let a person be at the terminal, who types these lines."""

    def answering(*lines):
        monkeypatch.setattr(starting, "someone_is_there", lambda: True)
        monkeypatch.setattr(sys, "stdin", io.StringIO("".join(f"{line}\n" for line in lines)))

    return answering


@pytest.fixture
def unfilled(small):
    """The small template with two inputs to be filled in."""
    book = load_workbook(small)
    book.active["A1"] = book.active["A3"] = None
    book.save(small)
    return small


def test_a_person_is_asked_for_what_is_missing_until_it_fits(unfilled, run, answering):
    answering("=1+1", "88 lb", "900", "6.6")
    code, out, err = run("new", unfilled, "mine.xlsx")
    assert (code, err) == (0, "")
    assert "Name on the proposal." in out
    assert "0.5 to 200 lb/ft²: " in out
    assert "surface_mass is 900 lb/ft²: give 0.5 to 200 lb/ft²" in " ".join(out.split())
    # 6.6 lb/ft² over 20 ft² (common practice, no source)
    assert (cell("mine.xlsx", "A1"), cell("mine.xlsx", "B1")) == ("=1+1", pytest.approx(132))


def test_a_question_can_be_left_for_later(unfilled, run, answering):
    answering("", "4.4")
    code, out, _ = run("new", unfilled, "mine.xlsx")
    assert code == 0
    assert "To be filled in: client" in out
    assert cell("mine.xlsx", "B1") == pytest.approx(88)


def test_what_is_given_is_not_asked(unfilled, run, answering):
    answering()
    code, out, _ = run("new", unfilled, "mine.xlsx", "--set", "client=Name", "--set", "surface_mass=4.4")
    assert code == 0
    assert "still to be filled in" not in out


def test_an_end_of_the_answers_makes_no_file(unfilled, run, answering):
    answering("Name")
    code, _, err = run("new", unfilled, "mine.xlsx")
    assert code == 130
    assert only_line(err.lstrip("\n")).startswith("stopped")
    assert not Path("mine.xlsx").exists()


def test_nothing_is_asked_before_the_place_is_fit(unfilled, refused, answering):
    answering()
    assert "there is no folder gone" in refused("new", unfilled, "gone/mine.xlsx")


def test_a_pipe_is_never_asked(unfilled):
    arguments = ["new", unfilled, "mine.xlsx"]
    with program(*arguments, stdin=subprocess.PIPE, stdout=subprocess.PIPE) as process:
        out, _ = process.communicate("Name\n4.4\n", timeout=120)
    assert "To be filled in: client, surface_mass" in out
    assert cell("mine.xlsx", "A1") is None


def test_a_terminal_is_asked(unfilled):
    pty = pytest.importorskip("pty", reason="this system has no pseudo-terminals")
    leader, follower = pty.openpty()
    with program("new", unfilled, "mine.xlsx", stdin=follower, stdout=follower) as process:
        os.write(leader, b"Name\n4.4\n")
        process.wait()
    os.close(follower)
    os.close(leader)
    assert (cell("mine.xlsx", "A1"), cell("mine.xlsx", "B1")) == ("Name", pytest.approx(88))


def test_a_missing_template_says_so(monkeypatch, here, refused):
    monkeypatch.setattr(shipped, "folder", lambda: here)
    assert "install Stillbook again" in refused("new", "booth-estimate", "mine.xlsx")


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(text=st.one_of(st.text(min_size=1, max_size=40), st.text(max_size=20).map("={}".format)))
def test_typed_text_never_becomes_a_formula(text, small, run):
    Path("typed.xlsx").unlink(missing_ok=True)
    code, _, err = run("new", small, "typed.xlsx", "--set", f"client={text}")
    if code == 2:
        only_line(err)
        assert not Path("typed.xlsx").exists()
        return
    found = load_workbook("typed.xlsx").active["A1"]
    assert found.data_type == "s"
    assert Job.open("typed.xlsx").inputs["client"].value == text.strip()


# --- set --------------------------------------------------------------------------------------------------------------


def test_inputs_of_a_job_are_changed_in_place(small, run):
    Path("more.toml").write_text('door = "single"\ndoors = 2\n', "utf-8")
    code, out, err = run("set", small, "doors=3", "surface_mass=9 kg/m²", "--inputs", "more.toml")
    assert (code, err) == (0, "")
    held = {name: entry.value for name, entry in Job.open(small).inputs.items()}
    # 9 kg/m² in lb/ft²: NIST Special Publication 811
    assert (held["door"], held["doors"], held["surface_mass"]) == ("single", 3, pytest.approx(1.84335, rel=1e-5))
    assert "Mass of all" in out


@pytest.mark.parametrize(
    ("settings", "said"),
    [
        ([], "name an input and its value, such as people=3"),
        (["doors"], '"doors": write name=value, such as people=3'),
        (["doors=3", "DOORS=4"], "the values: DOORS is given twice"),
        (["doors=99", "client=New"], "doors is 99 doors: give a whole number from 1 to 40 doors"),
        (["windows=1"], "there is no input windows"),
        (["doors=2", "client="], "client may not be blank"),
    ],
)
def test_what_cannot_be_set_leaves_the_job_as_it_was(settings, said, small, refused):
    before = Path(small).read_bytes()
    assert said in refused("set", small, *settings)
    assert Path(small).read_bytes() == before


# --- calc -------------------------------------------------------------------------------------------------------------


def test_calc_writes_the_numbers_and_shows_them(small, run):
    assert cell(small, "B1") is None
    code, out, err = run("calc", small)
    assert (code, err) == (0, "")
    assert ["Mass", "of", "a", "door", "88", "lb"] in map(str.split, out.splitlines())
    assert cell(small, "B1") == pytest.approx(88)


@pytest.fixture
def faulty(small):
    """The small template with a total mass where a mass per area belongs, in a formula."""
    book = load_workbook(small)
    book.active["B1"] = '=STILL_DOORTARGETMASS("88 lb",36,80)'
    book.active["A1"] = None
    book.save("faulty.xlsx")
    return "faulty.xlsx"


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


# --- jobs in an office ------------------------------------------------------------------------------------------------


@pytest.fixture
def job(here):
    """A priced job: 10 boards, 40 studs and a door."""
    return jobs.saved(jobs.estimate(), here / "job.xlsx").name


def test_who_may_be_shared_with_is_what_the_library_knows():
    assert sharing.READERS == audience.AUDIENCES


def test_a_copy_is_shared_and_told(job, run, here):
    before = Path(job).read_bytes()
    code, out, err = run("share", job, "scope.xlsx", "--for", "Contractor")
    assert (code, err) == (0, "")
    assert out.startswith("For the contractor: Scope, ")
    assert "that are withheld: none is in it" in out
    assert out.endswith(f"The copy is {here / 'scope.xlsx'}\n")
    assert load_workbook("scope.xlsx").sheetnames == ["Scope"]
    assert Path(job).read_bytes() == before


def test_a_shared_copy_of_a_failing_job_says_so(run, here):
    jobs.saved(jobs.estimate(), here / "job.xlsx", {"doors": 3})
    assert (
        "The workbook fails a check: At most two doors" in run("share", "job.xlsx", "c.xlsx", "--for", "contractor")[1]
    )


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["job.xlsx", "c.xlsx", "--for", "client"], "shown_to_client"),
        (["job.xlsx", "c.xls", "--for", "contractor"], "c.xls: give a file name that ends in .xlsx"),
        (["job.xlsx", "job.xlsx", "--for", "contractor"], "job.xlsx: it exists already"),
        (["job.xlsx", "gone/c.xlsx", "--for", "contractor"], "there is no folder gone"),
        (["gone.xlsx", "c.xlsx", "--for", "contractor"], "gone.xlsx: there is no such file"),
        (["cut.xlsx", "c.xlsx", "--for", "contractor"], "cut.xlsx: "),
    ],
)
def test_what_cannot_be_shared(arguments, said, job, refused):
    Path("cut.xlsx").write_bytes(Path(job).read_bytes()[:900])
    assert said in refused("share", *arguments)
    assert not Path("c.xlsx").exists()


@pytest.fixture
def revised(job, here):
    """The same job with twice the wall and three doors, one more than its check allows."""
    return jobs.saved(jobs.estimate(), here / "revised.xlsx", {"wall_area": 640, "doors": 3}).name


def test_two_revisions_are_compared(job, revised, run):
    code, out, err = run("compare", job, revised)
    rows = [line.split() for line in out.splitlines()]
    assert (code, err) == (0, "")
    assert out.startswith("job.xlsx and revised.xlsx: ")
    assert ["wall_area", "320", "640", "+320", "ft²", "Walls."] in rows
    # 640 ft² in sheets of 32 ft²
    assert ["BOARD", "10", "20", "+10", "sheet", "Gypsum", "board"] in rows
    assert ["passes", "fails", "At", "most", "two", "doors"] in rows
    assert max(map(len, out.splitlines())) <= 80


def test_alike_workbooks_differ_in_nothing(job, run):
    code, out, _ = run("compare", job, job)
    assert code == 0
    assert out.startswith("job.xlsx and job.xlsx: 0 differ, ")
    assert out.count("\n") == 1


def test_a_comparison_is_data_and_a_workbook(job, revised, run, here):
    code, out, err = run("compare", job, revised, "--json", "--out", "changes.xlsx")
    assert (code, err) == (0, "")
    doors = [row for row in json.loads(out)["differences"] if (row["subject"], row["name"]) == ("input", "doors")]
    assert [(row["before"], row["after"], row["change"]) for row in doors] == [(1, 3, 2)]
    assert load_workbook("changes.xlsx").sheetnames == ["Changes"]
    assert f"The comparison is {here / 'more.xlsx'}" in run("compare", job, revised, "--out", "more.xlsx")[1]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["job.xlsx", "gone.xlsx"], "gone.xlsx: there is no such file"),
        (["job.xlsx", "job.xlsx", "--out", "job.xlsx"], "job.xlsx: it exists already"),
        (["job.xlsx", "job.xlsx", "--out", "changes.ods"], "changes.ods: give a file name that ends in .xlsx"),
        (["job.xlsx", "job.xlsx", "--out", "changes.xlsx", "--json", "--wide"], "No such option"),
    ],
)
def test_what_cannot_be_compared(arguments, said, job, refused):
    assert said in refused("compare", *arguments)
    assert not Path("changes.xlsx").exists()


NEWER = (
    InputSpec("client", "Name.", "text"),
    InputSpec("wall_area", "Walls.", "m²", 0.1, 900, 30),
    InputSpec("doors", "Doors.", "", 0, 2, 2, whole=True),
    InputSpec("margin", "Share of the price.", "share", 0, 0.9, 0.25),
    InputSpec("crew", "Crew.", "people", 1, 9, 2),
)
"""A template in which one input changed its unit, one its limits, one is gone and one is new."""


def test_a_job_is_carried_and_what_has_no_home_is_listed(revised, run, here):
    Path("newer.xlsx").write_bytes(books.saved(jobs.estimate(inputs=NEWER)))
    run("new", revised, "old.xlsx", "--set", "sent=2026-03-02")
    before = Path("old.xlsx").read_bytes()
    code, out, err = run("carry", "old.xlsx", "--to", "newer.xlsx", "new.xlsx")
    words = " ".join(out.split())
    assert (code, err) == (0, "")
    assert "3 inputs and 0 rows of prices carried" in words
    assert "wall_area 59.4579" in words  # 640 ft² in m²: NIST Special Publication 811
    assert "was 640 ft²" in words
    assert "input doors (Inputs!B3) 3 the template does not take it: doors is 3" in words
    assert "input sent (Inputs!B5)" in words
    assert "crew 2" in words
    assert str(here / "new.xlsx") in out
    assert Job.open("new.xlsx").inputs["wall_area"].value == pytest.approx(59.4579456, rel=1e-6)
    assert Path("old.xlsx").read_bytes() == before


def test_a_job_is_carried_to_a_template_in_its_own_units(run):
    run("new", "booth-estimate", "old.xlsx", "--units", "SI", "--set", "room_length=2.7", "--set", "client=Name")
    template = shipped.template("booth-estimate").path("SI")
    code, out, _ = run("carry", "old.xlsx", "--to", "booth-estimate", "new.xlsx", "--made-from", template)
    assert code == 0
    assert "Not carried" not in out
    assert Job.open("new.xlsx").inputs["room_length"].value == 2.7


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["gone.xlsx", "--to", "job.xlsx", "new.xlsx"], "gone.xlsx: there is no such file"),
        (["gone.xlsx", "--to", "booth-estimate", "new.xlsx"], "gone.xlsx: there is no such file"),
        (["job.xlsx", "--to", "gone.xlsx", "new.xlsx"], "gone.xlsx: there is no such file"),
        (["job.xlsx", "--to", "gone", "new.xlsx"], 'there is no template "gone": choose one of booth-estimate'),
        (["job.xlsx", "--to", "job.xlsx", "job.xlsx"], "job.xlsx: it exists already"),
        (["job.xlsx", "--to", "job.xlsx", "--units", "SI", "new.xlsx"], "--units is for shipped templates"),
    ],
)
def test_what_cannot_be_carried(arguments, said, job, refused):
    assert said in refused("carry", *arguments)
    assert not Path("new.xlsx").exists()


@pytest.fixture
def prices(here):
    """A price book in which boards cost more, studs come by the bundle and doors are gone."""
    listed = (("BOARD", "Gypsum board", "sheet", 21.5, "Shell", 2), ("STUD", "Stud", "bundle", 50, "Shell", 7))
    (here / "book.xlsx").write_bytes(books.saved(jobs.estimate(prices=listed)))
    return "book.xlsx"


@pytest.mark.parametrize("system", ["US", "SI"])
def test_an_unchanged_price_book_moves_no_price(system, run):
    run("new", "price-book", "book.xlsx", "--units", system)
    for name in ("booth-estimate", "room-conversion"):
        run("new", name, f"{name}.xlsx", "--units", system)
        assert f"{name}.xlsx: 0 prices move" in run("reprice", f"{name}.xlsx", "--prices", "book.xlsx")[1]


def test_an_estimate_is_no_bid(run, refused):
    run("new", "booth-estimate", "job.xlsx")
    said = refused("bids", "job.xlsx", "--job", "job.xlsx", "out.xlsx")
    assert "job.xlsx: it is an estimate of the office, with its costs: give the copy that came back" in said
    assert not Path("out.xlsx").exists()


@pytest.mark.parametrize(
    ("words", "found"),
    [(["co2"], "STILL_CO2LEVEL"), (["airflow"], "STILL_AIRCHANGES"), (["heavy", "door"], "STILL_DOOR")],
)
def test_formulas_are_found_by_words(words, found, run):
    code, out, err = run("formulas", *words)
    assert (code, err) == (0, "")
    assert found in out


def test_prices_in_another_currency_are_refused(run, refused):
    run("new", "price-book", "book.xlsx", "--units", "SI")
    run("new", "booth-estimate", "job.xlsx")
    before = Path("job.xlsx").read_bytes()
    said = refused("reprice", "job.xlsx", "--prices", "book.xlsx")
    assert said == "job.xlsx: it is priced in USD and book.xlsx in EUR: take prices in USD"
    assert Path("job.xlsx").read_bytes() == before


def test_new_prices_are_brought_in_and_told(job, prices, run):
    code, out, err = run("reprice", job, "--prices", prices)
    rows = [line.split() for line in out.splitlines()]
    assert (code, err) == (1, "")  # a price was left out
    assert out.startswith("job.xlsx: 1 price moves, saved\n")
    assert ["BOARD", "19", "21.5", "unit", "cost"] in rows
    # 10 boards at 19, then at 21.5, and 5 hours at 62 (by hand)
    assert ["BOARD", "500", "525", "+25", "Gypsum", "board"] in rows
    # a margin of 0.2 of the price: 25 / 0.8
    assert next(row for row in rows if row[:1] == ["price"])[3:5] == ["+31.25", "USD"]
    assert "Not taken: STUD: it is priced for bundle, the job counts piece" in out
    assert "No new price for DOOR: they keep the old one" in out
    assert run("reprice", job, "--prices", prices)[1].startswith("job.xlsx: 0 prices move, nothing to change\n")


def test_a_trial_leaves_the_job_as_it_is(job, prices, run):
    before = Path(job).read_bytes()
    assert run("reprice", job, "--prices", prices, "--trial")[1].startswith("job.xlsx: 1 price moves, not changed\n")
    assert Path(job).read_bytes() == before


def test_one_bad_job_does_not_stop_the_others(job, revised, prices, run):
    Path("cut.xlsx").write_bytes(Path(job).read_bytes()[:900])
    code, out, err = run("reprice", "cut.xlsx", job, prices, revised, "--prices", prices)
    assert code == 2
    assert only_line(err).startswith("cut.xlsx: ")
    assert "4 jobs: 2 changed, 1 as they were, 1 not repriced" in out


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["job.xlsx", "--prices", "gone.xlsx"], "gone.xlsx: there is no such file"),
        (["job.xlsx", "--prices", "book.xlsx", "--level", "trade"], "there is no price level trade"),
        (["job.xlsx", "--prices", "small.xlsx"], "small.xlsx: it names no prices"),
        (["small.xlsx", "--prices", "book.xlsx"], "small.xlsx: it has no prices to change"),
    ],
)
def test_prices_that_cannot_be_brought_in(arguments, said, job, prices, small, refused):
    before = Path(job).read_bytes()
    assert said in refused("reprice", *arguments)
    assert Path(job).read_bytes() == before


def returned(scope, out, contractor, prices):
    """A scope as a contractor returns it, priced line by line."""
    book = load_workbook(scope)
    book["Scope"]["C1"] = contractor
    for row, price in enumerate(prices, start=6):
        book["Scope"].cell(row, 6, price)
    book.save(out)
    return out


@pytest.fixture
def scope(job, run):
    run("share", job, "scope.xlsx", "--for", "contractor")
    return "scope.xlsx"


def test_bids_are_compared(job, scope, run, here):
    one = returned(scope, "one.xlsx", "First Builders (invented)", (50, 14, 350))
    two = returned(scope, "two.xlsx", "Second Builders (invented)", (45, 15, None))
    code, out, err = run("bids", one, two, "--job", job, "bids.xlsx")
    rows = [line.split() for line in out.splitlines()]
    assert (code, err) == (0, "")
    # By hand: 10 × 50 + 40 × 14 + 350, and 10 × 45 + 40 × 15 without the door; its lowest price is 350.
    assert ["First", "Builders", "(invented)", "1,410.00", "1,410.00", "1,410.00", "0"] in rows
    assert ["Second", "Builders", "(invented)", "1,050.00", "1,050.00", "1,400.00", "1"] in rows
    # our board costs 19 + 62 / 2; 50 is a ninth more than 45
    assert ["1", "50.00", "45.00", "11%", "Second"] in [row[:5] for row in rows]
    assert "the line Door slab has no price" in out
    assert out.endswith(f"The comparison is {here / 'bids.xlsx'}\n")
    assert Path("bids.xlsx").is_file()


def test_a_bid_that_cannot_be_read_stops_no_other(job, scope, run):
    one = returned(scope, "one.xlsx", "First Builders (invented)", (50, 14, 350))
    code, out, err = run("bids", "gone.xlsx", one, "--job", job, "bids.xlsx")
    assert code == 2
    assert only_line(err) == "gone.xlsx: there is no such file"
    assert "First Builders (invented)" in out
    assert Path("bids.xlsx").is_file()


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (
            ["gone.xlsx", "--job", "job.xlsx", "bids.xlsx"],
            "none of the bids can be read: gone.xlsx: there is no such file",
        ),
        (["job.xlsx", "--job", "gone.xlsx", "bids.xlsx"], "gone.xlsx: there is no such file"),
        (["job.xlsx", "--job", "small.xlsx", "bids.xlsx"], "small.xlsx: it asks for no lines"),
        (["job.xlsx", "--job", "job.xlsx", "job.xlsx"], "job.xlsx: it exists already"),
        (["job.xlsx", "--job", "job.xlsx", "bids.pdf"], "bids.pdf: give a file name that ends in .xlsx"),
    ],
)
def test_bids_that_cannot_be_compared(arguments, said, job, small, refused):
    assert said in refused("bids", *arguments)
    assert not Path("bids.xlsx").exists()


def test_what_a_batch_does_is_what_the_library_does():
    assert many.TASKS == ACTIONS


@pytest.fixture
def folder(small, job, faulty, here):
    """A good workbook, a priced one, one with error cells and one cut short."""
    where = here / "jobs"
    where.mkdir()
    for name in (small, job, faulty):
        Path(name).rename(where / name)
    (where / "cut.xlsx").write_bytes((where / small).read_bytes()[:900])
    return where


def register():
    with Path("register.csv").open(encoding="utf-8-sig", newline="") as file:
        return {row["file"]: row for row in csv.DictReader(file)}


def test_a_folder_is_calculated_and_registered(folder, run, here):
    code, out, err = run("batch", "jobs", "--workers", "1")
    assert code == 2
    assert only_line(err).startswith("cut.xlsx: it is damaged")
    assert out.startswith("4 workbooks: 2 without errors, 1 with error cells, 1 failed, 1 to be filled in\n")
    assert out.endswith(f"The register is {here / 'register.csv'}\n")
    assert {name: row["state"] for name, row in register().items()} == {
        "cut.xlsx": "failed",
        "faulty.xlsx": "done",
        "job.xlsx": "done",
        "small.xlsx": "done",
    }
    assert cell(folder / "small.xlsx", "B1") == pytest.approx(88)


def test_a_folder_is_only_checked(folder, run):
    before = {path: path.read_bytes() for path in folder.iterdir()}
    (folder / "cut.xlsx").unlink()
    assert run("batch", "jobs", "--do", "check", "--workers", "1", "--register", "jobs/all.xlsx")[0] == 1
    assert (folder / "all.xlsx").is_file()
    assert all(path.read_bytes() == data for path, data in before.items() if path.exists())


def test_a_folder_is_repriced(job, revised, prices, run):
    Path("jobs").mkdir()
    for name in (job, revised):
        Path(name).rename(Path("jobs", name))
    code, out, err = run("batch", "jobs", "--do", "reprice", "--prices", prices, "--workers", "1")
    assert (code, err) == (1, "")  # one of the jobs has too many doors
    assert out.startswith("2 workbooks: 2 without errors, 1 with failing checks, 2 with changed prices\n")
    assert [row["moved"] for row in register().values()] == ["1", "1"]


def test_a_stopped_batch_goes_on(folder, run, monkeypatch):
    def pressed(*_):
        raise KeyboardInterrupt

    with monkeypatch.context() as patched:
        patched.setattr(batches, "write_register", pressed)
        code, out, err = run("batch", "jobs", "--workers", "1")
    assert (code, out) == (130, "")
    assert only_line(err).startswith("stopped")
    assert not Path("register.csv").exists()
    assert "4 done before the stop" in run("batch", "jobs", "--workers", "1")[1]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["gone"], "gone: there is no such folder"),
        (["empty"], "empty: there is no .xlsx workbook in it"),
        (["empty", "--register", "all.txt"], "all.txt: give a register that ends in .csv, .parquet or .xlsx"),
        (["empty", "--register", "gone/all.csv"], "there is no folder gone"),
        (["empty", "--register", "there.csv"], "there.csv: it exists already"),
        (["empty", "--do", "reprice", "--prices", "gone.xlsx"], "gone.xlsx: there is no such file"),
    ],
)
def test_what_cannot_be_done_with_a_folder(arguments, said, refused):
    Path("empty").mkdir()
    Path("there.csv").write_bytes(b"mine")
    assert said in refused("batch", *arguments)
    assert Path("there.csv").read_bytes() == b"mine"


# --- templates of one's own -------------------------------------------------------------------------------------------


def test_a_template_of_ones_own_is_added_listed_and_used(small, run, here):
    book = load_workbook(small)
    book.defined_names.add(DefinedName("colour", attr_text="Door!$D$9"))
    book.save("Our Door.xlsx")
    code, out, err = run("templates", "add", "Our Door.xlsx")
    assert (code, err) == (0, "")
    assert ["surface_mass", "4.4", "lb/ft²", "0.5", "to"] in [line.split()[:5] for line in out.splitlines()]
    assert "Key results: each, every" in out
    assert "say what" not in out
    assert "that says what to write: colour" in " ".join(out.split())
    assert f"The template is {here / 'home' / 'templates' / 'our-door.xlsx'}" in out
    assert "our-door  6 inputs" in run("templates")[1]
    assert run("new", "Our_Door", "mine.xlsx", "--set", "doors=2")[0] == 0
    assert cell("mine.xlsx", "B2") == pytest.approx(2 * 88)
    assert "surface_mass" in run("inputs", "our-door")[1]


def test_a_template_of_ones_own_is_named_and_replaced(small, run, refused):
    run("templates", "add", small, "--name", "door")
    assert "there is a template door of your own already" in refused("templates", "add", small, "--name", "DOOR")
    assert run("templates", "add", small, "--name", "Door", "--replace")[0] == 0
    known = "booth-estimate, room-conversion, door-schedule, air-schedule, price-book, bid-comparison, door, or"
    assert f'there is no template "gate": choose one of {known}' in refused("inputs", "gate")
    assert "--units is for shipped templates: door has its own units" in refused("inputs", "door", "--units", "SI")


def test_a_damaged_template_of_ones_own_is_told_in_the_list(small, run, here, refused):
    run("templates", "add", small)
    (here / "home" / "templates" / "small.xlsx").write_bytes(b"PK\x03\x04 and no more")
    code, out, _ = run("templates")
    assert code == 0
    assert "small     nothing  " in out
    assert "damaged" in out
    assert "damaged" in refused("new", "small", "mine.xlsx")


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["gone.xlsx"], "gone.xlsx: there is no such file"),
        (["bare.xlsx"], "bare.xlsx: it has no named inputs: give a name to each cell"),
        (["cut.xlsx"], "cut.xlsx: "),
        (
            ["small.xlsx", "--name", "Booth Estimate"],
            "booth-estimate is the name of a template that comes with Stillbook",
        ),
        (["small.xlsx", "--name", "../../door"], '"../../door" cannot name a template'),
        (["small.xlsx", "--name", "x" * 61], "at most 60 letters"),
        (["round.xlsx"], "circle"),
    ],
)
def test_what_cannot_be_a_template(arguments, said, small, refused, here):
    Workbook().save("bare.xlsx")
    Path("cut.xlsx").write_bytes(Path(small).read_bytes()[:900])
    book = load_workbook(small)
    book.active["B1"] = "=B2+1"
    book.save("round.xlsx")
    assert said in refused("templates", "add", *arguments)
    assert not (here / "home").exists()


# --- demo -------------------------------------------------------------------------------------------------------------


def test_the_demo_is_made_priced_and_found(run, here):
    code, out, err = run("demo")
    job = Job.open("demo-estimate.xlsx")
    report = job.calculate()
    assert (code, err) == (0, "")
    assert str(here / "demo-estimate.xlsx") in out
    assert "Price" in out
    assert (report.errors, report.missing, report.failed) == ((), (), ())
    assert "invented" in job.inputs["client"].value


def test_the_demo_never_takes_the_place_of_a_file(run):
    Path("demo-estimate.xlsx").write_bytes(b"mine")
    code, out, _ = run("demo", "--units", "SI")
    assert code == 0
    assert "demo-estimate.xlsx is here already and stays as it is" in out
    assert Path("demo-estimate.xlsx").read_bytes() == b"mine"
    assert Job.open("demo-estimate-2.xlsx").inputs["room_length"].spec.unit == "m"


# --- printing and converting -----------------------------------------------------------------------------------------


@pytest.fixture
def no_office(monkeypatch):
    """As on a computer without LibreOffice."""
    monkeypatch.setattr(office, "find", lambda: None)


@pytest.mark.host
def test_the_proposal_is_printed_beside_the_workbook(run):
    if office.find() is None:
        require = os.environ.get("STILLBOOK_REQUIRE_HOSTS") == "1"
        (pytest.fail if require else pytest.skip)("LibreOffice is not installed")
    run("demo")
    before = Path("demo-estimate.xlsx").read_bytes()
    assert run("print", "demo-estimate.xlsx") == (0, "Printed Proposal to demo-estimate.pdf.\n", "")
    assert Path("demo-estimate.pdf").read_bytes().startswith(b"%PDF-")
    assert Path("demo-estimate.xlsx").read_bytes() == before


def test_an_error_in_what_is_printed_is_told(run, monkeypatch):
    lines = ["Printed Proposal to other.pdf.", "Proposal!C9 prints #N/A: client is blank"]
    monkeypatch.setattr(printing, "print_proposal", lambda file, out, sheets: lines if str(out) == "other.pdf" else [])
    assert run("print", "mine.xlsx", "--out", "other.pdf") == (1, "\n".join(lines) + "\n", "")


def test_printing_without_libreoffice_says_what_else_prints(small, refused, no_office):
    said = refused("print", small)
    assert said.startswith("printing needs LibreOffice, which is not found")
    assert "open small.xlsx in a spreadsheet program" in said


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["print", "small.xlsx", "--out", "there.pdf"], "there.pdf: it exists already"),
        (["convert", "small.xlsx", "there.xlsx", "--for", "excel"], "there.xlsx: it exists already"),
        (["convert", "small.xlsx", "new.ods", "--for", "libreoffice"], "new.ods: give a file name that ends in .xlsx"),
        (["convert", "gone.xlsx", "new.xlsx", "--for", "excel"], "gone.xlsx: there is no such file"),
        (["convert", "cut.xlsx", "new.xlsx", "--for", "excel"], "cut.xlsx"),
    ],
)
def test_nothing_is_written_over_or_half(arguments, said, small, refused):
    for name in ("there.pdf", "there.xlsx"):
        Path(name).write_bytes(b"mine")
    Path("cut.xlsx").write_bytes(Path(small).read_bytes()[:900])
    assert said in refused(*arguments)
    assert Path("there.pdf").read_bytes() == Path("there.xlsx").read_bytes() == b"mine"
    assert not Path("new.xlsx").exists()


@pytest.mark.parametrize(
    ("program", "written"),
    [
        ("libreoffice", "=STILL.DOORTARGETMASS("),
        ("browser", "=_xldudf_STILL_DOORTARGETMASS("),
    ],
)
def test_a_workbook_goes_to_another_program_and_back(program, written, small, run):
    run("calc", small)
    code, out, err = run("convert", small, "theirs.xlsx", "--for", program)
    assert (code, err) == (0, "")
    assert out.endswith(f"theirs.xlsx: 1 formula respelled for {program}\n")
    assert cell("theirs.xlsx", "B1", values=False).startswith(written)
    assert cell("theirs.xlsx", "B1") == pytest.approx(88)
    assert run("calc", "theirs.xlsx")[0] == 0
    assert run("convert", "theirs.xlsx", "theirs.xlsx", "--for", "excel")[0] == 0
    assert cell("theirs.xlsx", "B1", values=False) == cell(small, "B1", values=False)
    assert (
        "0 formulas respelled for excel, as nothing needed it"
        in run("convert", "theirs.xlsx", "again.xlsx", "--for", "excel")[1]
    )


# --- spreadsheet programs ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("action", ["connect", "disconnect"])
@pytest.mark.parametrize("program", HOSTS)
def test_a_program_is_connected_by_its_host(action, program, run, monkeypatch):
    monkeypatch.setattr(type(HOSTS[program]), action, lambda _: ["One thing was done.", "Another is to be done."])
    assert run(action, program) == (0, "One thing was done.\nAnother is to be done.\n", "")


def test_help_tells_what_each_program_is(run):
    words = {command: " ".join(run(command, "--help")[1].split()) for command in ("connect", "convert")}
    for host in HOSTS.values():
        assert f"{host.name} {host.help}" in words["connect"]
        assert f"{host.title}: {host.reads}" in words["convert"]


def test_a_host_that_cannot_be_connected_says_what_to_do(refused, monkeypatch, no_office):
    monkeypatch.setattr(excel, "on_windows", lambda: False)
    assert "use LibreOffice Calc or Excel in the browser" in refused("connect", "excel")
    assert "LibreOffice is not found: install LibreOffice Calc" in refused("connect", "libreoffice")


@pytest.fixture
def service_home(here):
    """A place of the service's own, where none runs."""
    return here / "home"


@pytest.fixture
def running(service_home, monkeypatch):
    """Let a service be found at an address, as if it answered."""

    def running(address, version=__version__):
        service = discovery.Service(address, "a-token", 4711, version)
        discovery.publish(service)
        monkeypatch.setattr(discovery, "answers", lambda asked: asked == service)
        return service

    return running


def test_the_manifest_for_the_browser_is_written_here(run, running, here):
    service = running("https://localhost:8347")
    for _ in range(2):
        code, out, err = run("connect", "browser")
        assert (code, err) == (0, "")
        assert f"Wrote {here / 'stillbook-manifest.xml'}" in out
        assert service.link in out.splitlines()
    assert Path("stillbook-manifest.xml").read_text("utf-8") == manifest("https://localhost:8347")
    assert "clear what it has stored" in run("disconnect", "browser")[1]


def test_the_browser_needs_a_service_with_https(refused, running, service_home):
    assert "the calculation service is not running: start it with a certificate" in refused("connect", "browser")
    running("http://127.0.0.1:8347")
    assert "start it with a certificate and its key" in refused("connect", "browser")
    running("https://localhost:8347")
    Path("stillbook-manifest.xml").write_text("mine")
    assert "stillbook-manifest.xml is here already" in refused("connect", "browser")
    assert Path("stillbook-manifest.xml").read_text() == "mine"


# --- serve ------------------------------------------------------------------------------------------------------------


@pytest.mark.skipif(os.name != "posix", reason="stops a process as POSIX systems do")
@pytest.mark.parametrize(("number", "more"), [("SIGTERM", []), ("SIGINT", []), ("SIGTERM", ["--workers", "2"])])
def test_the_service_answers_at_its_link_until_it_is_stopped(number, more, service_home, run):
    with program("serve", "--port", "0", *more, stdout=subprocess.PIPE) as process:
        link = next(line for line in process.stdout if line.startswith("http")).strip()
        address, token = link.split("/panel/#token=")
        try:
            wait_until(lambda: (service := discovery.find()) is not None and discovery.answers(service))
            with httpx.Client(base_url=address, trust_env=False) as client:
                health = client.get("/health", headers={"Authorization": f"Bearer {token}"})
                assert (health.status_code, health.json()["version"]) == (200, __version__)
                assert client.get("/health").status_code == 401
                assert client.get("/panel/").status_code == 200
            code, out, err = run("serve")
            assert code == 2
            assert link in out.splitlines()
            assert f"the service already runs at {address}" in only_line(err)
        finally:
            process.send_signal(getattr(signal, number))
        _, err = process.communicate(timeout=60)
    assert process.returncode == 0
    assert [json.loads(line)["status"] for line in err.splitlines()] == [401]
    assert discovery.find() is None


def test_the_options_of_serve_reach_the_service(run, service_home, monkeypatch):
    asked = []
    monkeypatch.setattr(server, "serve", lambda *given, **named: asked.append((given, named)))
    assert run("serve") == (0, "", "")
    options = ["--host", "localhost", "--port", "0", "--workers", "2", "--certificate", "c.pem", "--key", "k.pem"]
    assert run("serve", *options, "--log-requests") == (0, "", "")
    for _, named in asked:
        named.pop("announce")
    plain = {"workers": 1, "certificate": None, "key": None, "log_requests": False}
    full = {"workers": 2, "certificate": Path("c.pem"), "key": Path("k.pem"), "log_requests": True}
    assert asked == [((server.HOST, server.PORT), plain), (("localhost", 0), full)]


def test_help_names_the_usual_address(run):
    words = " ".join(run("serve", "--help")[1].split())
    assert f"{server.HOST}, this computer alone, when left out" in words
    assert f"{server.PORT} when left out" in words


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--port", "99999"], "99999 is not a port"),
        (["--workers", "0"], "the number of workers must be at least 1"),
        (["--certificate", "gone.pem"], "https needs both"),
        (["--certificate", "gone.pem", "--key", "gone.pem"], "gone.pem cannot be read"),
        (["--host", "0.0.0.0"], "stands for every address"),
    ],
)
def test_a_service_that_cannot_start_says_why(options, said, refused, service_home):
    assert said in refused("serve", *options)


# --- doctor -----------------------------------------------------------------------------------------------------------


@pytest.fixture
def diagnosed(run, service_home, no_office, monkeypatch):
    """The exit code of ``doctor`` and what it says of each subject, in a line."""
    monkeypatch.setenv("COLUMNS", "500")

    def diagnosed():
        code, out, _ = run("doctor")
        return code, " ".join(out.split())

    return diagnosed


def test_doctor_finds_all_well(diagnosed):
    code, words = diagnosed()
    assert code == 0
    for subject in ("Python", "formualizer", "templates", "calculation"):
        assert f"good {subject}" in words
    assert "absent service not running" in words
    assert "absent LibreOffice Calc LibreOffice is not found; printing needs it too: install LibreOffice Calc" in words
    assert "absent Excel on Windows not available" in words
    assert "absent Excel in the browser the calculation service is not running: start it with a certificate" in words
    assert "Next: for LibreOffice Calc, install LibreOffice Calc" in words


def test_doctor_tells_what_is_missing(diagnosed, here, monkeypatch):
    monkeypatch.setattr(shipped, "folder", lambda: here)
    code, words = diagnosed()
    assert code == 1
    assert "fault templates missing booth-estimate US" in words
    assert "install Stillbook again" in words


def test_doctor_finds_a_library_that_is_missing(diagnosed, monkeypatch):
    monkeypatch.setattr(
        doctor.metadata, "requires", lambda _: ["numpy>=2", "gone-library>=1", 'other; extra == "test"']
    )
    code, words = diagnosed()
    assert code == 1
    assert "fault gone-library not installed: run" in words
    assert "other" not in words.partition("gone-library not installed")[2].partition("good")[0]


def test_doctor_finds_a_formula_that_calculates_wrong(diagnosed, monkeypatch):
    entry = formulas()["DOORMASS"]
    monkeypatch.setattr(doctor, "_holds", lambda call, gives: call != entry.example.call)
    code, words = diagnosed()
    assert code == 1
    assert "fault calculation STILL_DOORMASS differ" in words


@pytest.mark.parametrize(
    ("state", "told", "next_line", "exit_code"),
    [
        (State(Standing.CONNECTED, "connected: there"), "good {} connected: there", None, 0),
        (State(Standing.ABSENT, "not available: elsewhere"), "absent {} not available: elsewhere", None, 0),
        (State(Standing.ABSENT, "not there", "connect it"), "absent {} not there: connect it", "connect it", 0),
        (
            State(Standing.OUTDATED, "changed", "connect again"),
            "outdated {} changed: connect again",
            "connect again",
            0,
        ),
        (State(Standing.FAULT, "broken", "mend it"), "fault {} broken: mend it", "mend it", 1),
    ],
)
@pytest.mark.parametrize("program", HOSTS)
def test_doctor_tells_how_a_program_stands_and_what_to_do_next(
    program, state, told, next_line, exit_code, diagnosed, monkeypatch
):
    for name, host in HOSTS.items():
        stands = state if name == program else State(Standing.CONNECTED, "connected")
        monkeypatch.setattr(type(host), "state", lambda _, stands=stands: stands)
    code, words = diagnosed()
    title = HOSTS[program].title
    assert code == exit_code
    assert told.format(title) in words
    assert words.endswith(f"Next: for {title}, {next_line}") if next_line else "Next:" not in words


@pytest.mark.parametrize(
    ("standings", "first"),
    [
        ({"excel": "absent", "libreoffice": "absent", "browser": "absent"}, "excel"),
        ({"excel": "absent", "libreoffice": "outdated", "browser": "outdated"}, "libreoffice"),
        ({"excel": "absent", "libreoffice": "outdated", "browser": "fault"}, "browser"),
    ],
)
def test_doctor_names_what_is_most_wrong_first(standings, first, diagnosed, monkeypatch):
    for name, standing in standings.items():
        state = State(Standing(standing), "so", f"mend {name}")
        monkeypatch.setattr(type(HOSTS[name]), "state", lambda _, state=state: state)
    assert diagnosed()[1].endswith(f"Next: for {HOSTS[first].title}, mend {first}")


def test_doctor_finds_the_service(diagnosed, running):
    running("http://127.0.0.1:1", "0.0.1")
    assert "outdated service 0.0.1 at http://127.0.0.1:1, process 4711: stop it and start it again" in diagnosed()[1]
    running("http://127.0.0.1:1")
    assert f"good service {__version__} at http://127.0.0.1:1, process 4711" in diagnosed()[1]
    assert "a-token" not in diagnosed()[1]


# --- what the system can do to it -------------------------------------------------------------------------------------


def test_a_full_disk_leaves_no_file(small, refused, monkeypatch):
    def full(_):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(saving.os, "fsync", full)
    assert "could not be written" in refused("new", small, "mine.xlsx")
    assert {path.name for path in Path().iterdir()} == {small}


def test_a_folder_without_permission(small, refused, monkeypatch):
    def forbidden(*_):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))

    monkeypatch.setattr(Path, "replace", forbidden)
    assert "may not be written" in refused("new", small, "mine.xlsx")
    assert {path.name for path in Path().iterdir()} == {small}


def test_inputs_without_permission(small, refused, monkeypatch):
    def forbidden(self, *_):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(self))

    Path("in.toml").write_text("doors = 3")
    monkeypatch.setattr(Path, "read_text", forbidden)
    assert refused("new", small, "mine.xlsx", "--inputs", "in.toml").startswith("in.toml: no permission")


def test_ctrl_c_is_told_and_leaves_no_file(small, run, monkeypatch):
    def pressed(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr(Job, "calculate", pressed)
    code, out, err = run("new", small, "mine.xlsx")
    assert (code, out) == (130, "")
    assert only_line(err.lstrip("\n")).startswith("stopped")
    assert not Path("mine.xlsx").exists()


def test_a_mistake_of_our_own_is_not_hidden(small, run, monkeypatch):
    def broken(*_):
        raise ZeroDivisionError

    monkeypatch.setattr(Job, "calculate", broken)
    with pytest.raises(ZeroDivisionError):
        run("calc", small)


def program(*arguments, **options):
    return subprocess.Popen(
        [Path(sys.executable).with_name("stillbook"), *arguments], stderr=subprocess.PIPE, text=True, **options
    )


@pytest.mark.skipif(os.name != "posix", reason="pipes of this kind are POSIX")
@pytest.mark.parametrize("arguments", [["formulas"], ["eval", "=1"], ["--help"]])
def test_a_reader_that_goes_away_is_no_fault(arguments):
    read, write = os.pipe()
    os.close(read)
    with program(*arguments, stdout=write) as process:
        os.close(write)
        assert process.communicate()[1] == ""


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no device that is always full")
@pytest.mark.parametrize("arguments", [["formulas"], ["eval", "=1"], ["--help"]])
def test_output_that_cannot_be_written_is_told(arguments):
    with Path("/dev/full").open("w") as full, program(*arguments, stdout=full) as process:
        assert "the disk is full" in only_line(process.communicate()[1])
    assert process.returncode == 2


def test_a_terminal_without_the_signs_shows_others():
    environment = {**os.environ, "PYTHONIOENCODING": "ascii"}
    with program("formulas", "SURFACEMASS", stdout=subprocess.PIPE, env=environment) as process:
        out, err = process.communicate()
    assert (process.returncode, err) == (0, "")
    assert "lb/ft?" in out


def test_colour_is_left_out_when_asked(monkeypatch):
    pty = pytest.importorskip("pty", reason="this system has no pseudo-terminals")

    def shown(**extra):
        leader, follower = pty.openpty()
        environment = {**os.environ, "TERM": "xterm-256color", **extra}
        with program("templates", stdout=follower, stdin=follower, env=environment) as process:
            process.wait()
        os.close(follower)
        text = os.read(leader, 65536).decode()
        os.close(leader)
        return text

    assert "\x1b[3" not in shown(NO_COLOR="1")
    assert "booth-estimate" in shown()
