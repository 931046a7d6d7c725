"""``--json`` on every command: one object of the declared shape, the same exit code, and nothing else on the output."""

import json
import re
import shutil
import types
import typing
from pathlib import Path

import click
import pytest
from openpyxl import load_workbook

from cli.command_line import only_line
from stillbook.cli import shapes, stillbook
from stillbook.cli.outcome import Reporting
from stillbook.hosts import discovery
from stillbook.hosts.libreoffice import printing
from stillbook.hosts.registry import HOSTS
from stillbook.service import tokens
from stillbook.templates.shipped import template
from workbook import choices

PAGE = Path(__file__).parents[2] / "docs" / "json.md"

PRINT_NO_RESULT = {"serve", "serve tokens", "completion"}
"""The service, which tells where it answers and goes on; the name of a group; and a script for a shell."""


def commands(group, *before):
    """Every command with its words, those of a group too."""
    for name, command in group.commands.items():
        yield (*before, name), command
        if isinstance(command, click.Group):
            yield from commands(command, *before, name)


COMMANDS = {" ".join(words): command for words, command in commands(stillbook)}


def test_every_command_that_prints_a_result_takes_json():
    assert {name for name, command in COMMANDS.items() if not isinstance(command, Reporting)} == PRINT_NO_RESULT
    for name in COMMANDS.keys() - PRINT_NO_RESULT:
        assert typing.is_typeddict(COMMANDS[name].gives), name


def answered(command, *arguments, code=0):
    """The command line of a row of the table, and its exit code."""
    return pytest.param(command, arguments, code, id=" ".join((command, *arguments))[:60])


ANSWERED = [
    answered("eval", '=STILL_DOORTARGETMASS(4.4,"36 in","80 in")'),
    answered("eval", "=STILL_DUCTSIZES(30,100)"),
    answered("eval", '=STILL_DOORTARGETMASS({4.4,6.6},"36 in","80 in")'),
    answered("eval", "=1>2"),
    answered("eval", "=1/0", code=1),
    answered("eval", "=STILL_DUCTROUND({30;-1},100)", code=1),
    answered("formulas"),
    answered("formulas", "DOORMASS"),
    answered("formulas", "heavy", "door"),
    answered("inputs", "small.xlsx"),
    answered("inputs", "small.xlsx", "door"),
    answered("inputs", "air-schedule", "--units", "SI"),
    answered("calc", "small.xlsx"),
    answered("calc", "small.xlsx", "faulty.xlsx", code=1),
    answered("calc", "gone.xlsx", "small.xlsx", code=2),
    answered("set", "small.xlsx", "surface_mass=5"),
    answered("set", "revised.xlsx", "doors=3", code=1),
    answered("new", "small.xlsx", "mine.xlsx", "--set", "surface_mass=5"),
    answered("new", "small.xlsx", "mine.xlsx", "--from", "job.xlsx"),
    answered("demo", "--units", "SI"),
    answered("print", "job.xlsx"),
    answered("draw", "quick-quote.xlsx", "--to", "plan.dxf"),
    answered("share", "job.xlsx", "scope.xlsx", "--for", "contractor"),
    answered("share", "revised.xlsx", "scope.xlsx", "--for", "contractor", "--draft"),
    answered("bids", "one.xlsx", "two.xlsx", "--job", "job.xlsx", "bids.xlsx"),
    answered("bids", "gone.xlsx", "one.xlsx", "--job", "job.xlsx", "bids.xlsx", code=2),
    answered("compare", "job.xlsx", "revised.xlsx", "--out", "changes.xlsx"),
    answered("compare", "small.xlsx", "faulty.xlsx"),
    answered("carry", "job.xlsx", "newer.xlsx", "--to", "revised.xlsx"),
    answered("reprice", "job.xlsx", "--prices", "book.xlsx", code=1),
    answered("reprice", "gone.xlsx", "job.xlsx", "--trial", "--prices", "book.xlsx", code=2),
    answered("actuals", "job.xlsx", "books.csv", "--measured", "room.csv"),
    answered("actuals", "job.xlsx", "books.csv", "--trial"),
    answered("batch", "office"),
    answered("explore", "room.xlsx", "options.xlsx", "--vary", "gap", "--table", "options.csv", "--workers", "1"),
    answered(
        "explore", "room.xlsx", "options.csv", "--vary", "gap=1,2", "--at-least", "stc=99", "--workers", "1", code=1
    ),
    answered("options", "places.xlsx", "explored.xlsx", code=1),
    answered("calc", "room.xlsx", "--mend", code=1),
    answered("templates"),
    answered("templates add", "small.xlsx", "--name", "mine"),
    answered("connect", "excel"),
    answered("disconnect", "browser"),
    answered("convert", "small.xlsx", "theirs.xlsx", "--for", "browser"),
    answered("serve tokens add", "anna"),
    answered("serve tokens list"),
    answered("serve tokens withdraw", "bert"),
    answered("doctor"),
    answered("manual", "pages"),
]


@pytest.fixture(scope="module")
def laid_out(made, tmp_path_factory):
    """All that the commands of the table read, made once."""
    folder = tmp_path_factory.mktemp("laid-out")
    faulty = load_workbook(made / "small.xlsx")
    faulty.active["B1"] = '=STILL_DOORTARGETMASS("88 lb",36,80)'
    faulty.save(folder / "faulty.xlsx")
    (folder / "office").mkdir()
    choices.saved(folder / "room.xlsx", {"door": "pair", "space": 20})
    shutil.copy(made / "job.xlsx", folder / "office" / "a.xlsx")
    (folder / "books.csv").write_text("code,quantity,hours,money\nSTUD,44,6,230\n")
    (folder / "room.csv").write_text("what,value\nprice,900\n")
    shutil.copy(template("quick-quote").path("US"), folder / "quick-quote.xlsx")
    return folder


@pytest.fixture
def desk(laid_out, small, job, revised, prices, here, monkeypatch):
    """A copy of it, with spreadsheet programs that do what they are told."""
    shutil.copytree(laid_out, here, dirs_exist_ok=True)
    tokens.add(discovery.tokens_folder(), "bert")
    for host in HOSTS.values():
        for action in ("connect", "disconnect"):
            monkeypatch.setattr(type(host), action, lambda _, **how: ["Done.", "To do."])
    monkeypatch.setattr(printing, "print_proposal", lambda file, out, sheets, draft, print_set: [f"Printed to {out}."])
    return here


@pytest.fixture
def returned(desk, job, run):
    """Two scopes as contractors return them."""
    run("share", job, "shared.xlsx", "--for", "contractor")
    for name, prices in (("one", (50, 14, 350)), ("two", (45, 15, None))):
        book = load_workbook("shared.xlsx")
        book["Scope"]["C1"] = f"Builder {name} (invented)"
        for row, price in enumerate(prices, start=6):
            book["Scope"].cell(row, 6, price)
        book.save(f"{name}.xlsx")
    return desk


@pytest.fixture
def explored(desk, run):
    """A job with places for options, and its exploration."""
    choices.saved(desk / "places.xlsx", {"door": "pair", "space": 20}, inputs=(*choices.INPUTS, *choices.PLACES))
    run("explore", "places.xlsx", "explored.xlsx", "--vary", "gap", "--workers", "1")


def misfits(value, shape, where="$"):
    """Where a value departs from a declared shape."""
    origin, parts = typing.get_origin(shape), typing.get_args(shape)
    if shape is typing.Any:
        return []
    if typing.is_typeddict(shape):
        if not isinstance(value, dict) or not shape.__required_keys__ <= value.keys() <= set(shape.__annotations__):
            return [f"{where} is {value!r:.200}, and no {shape.__name__}"]
        hints = typing.get_type_hints(shape)
        return [fault for name, held in value.items() for fault in misfits(held, hints[name], f"{where}.{name}")]
    if origin in (typing.Union, types.UnionType):
        found = [misfits(value, part, where) for part in parts]
        return [] if [] in found else found[0]
    if origin is list and isinstance(value, list):
        return [fault for place, held in enumerate(value) for fault in misfits(held, parts[0], f"{where}[{place}]")]
    if origin is dict and isinstance(value, dict):
        return [fault for name, held in value.items() for fault in misfits(held, parts[1], f"{where}.{name}")]
    plain = {float: (int, float), types.NoneType: types.NoneType}.get(shape, shape)
    fits = origin is None and isinstance(value, plain) and (shape is bool or not isinstance(value, bool))
    return [] if fits else [f"{where} is {value!r:.200}, and no {shape}"]


@pytest.mark.parametrize(("command", "arguments", "code"), ANSWERED)
def test_each_command_gives_its_declared_shape(command, arguments, code, desk, run, request):
    if command in ("bids", "options"):
        request.getfixturevalue("returned" if command == "bids" else "explored")
    found, out, err = run(*command.split(), *arguments, "--json")
    assert (found, err) == (code, "")
    assert out.count("\n") == 1
    assert misfits(json.loads(out), COMMANDS[command].gives) == []


def test_no_command_is_missing_from_the_table():
    assert {row.values[0] for row in ANSWERED} == COMMANDS.keys() - PRINT_NO_RESULT


def test_what_is_printed_otherwise_is_not_touched(desk, run):
    """The words for a person are the same whether or not the data was asked for before."""
    said = run("inputs", "small.xlsx")[1]
    assert json.loads(run("inputs", "small.xlsx", "--json")[1])["inputs"]
    assert run("inputs", "small.xlsx")[1] == said
    assert "{" not in said


def told(run, *arguments):
    return json.loads(run(*arguments, "--json")[1])


def test_numbers_stand_with_their_units(desk, run):
    result = told(run, "set", "small.xlsx", "surface_mass=6.6")["results"][0]
    # 6.6 lb/ft² over 20 ft² (common practice, no source)
    assert (result["name"], result["value"], result["unit"]) == ("each", pytest.approx(132), "lb")
    entry = told(run, "inputs", "small.xlsx", "surface_mass")["inputs"][0]
    assert (entry["value"], entry["unit"], entry["least"], entry["most"]) == (6.6, "lb/ft²", 0.5, 200)


def test_errors_stand_with_their_reasons(desk, run):
    first, second = told(run, "calc", "faulty.xlsx", "gone.xlsx")["workbooks"]
    assert first["results"][0]["value"]["error"] == "#VALUE!"
    assert "a mass where a mass per area is needed" in first["results"][0]["value"]["reason"]
    assert first["errors"][0]["cell"] == "Door!B1"
    assert second == {"file": "gone.xlsx", "error": "input", "reason": "gone.xlsx: there is no such file"}
    [changed] = [
        row for row in told(run, "compare", "small.xlsx", "faulty.xlsx")["differences"] if row["name"] == "each"
    ]
    assert changed["after"]["error"] == "#VALUE!"


def test_what_was_written_is_named_whole(desk, run):
    for arguments in (
        ["new", "small.xlsx", "n.xlsx"],
        ["share", "job.xlsx", "s.xlsx", "--for", "contractor"],
        ["compare", "job.xlsx", "revised.xlsx", "--out", "c.xlsx"],
        ["convert", "small.xlsx", "v.xlsx", "--for", "excel"],
    ):
        written = Path(told(run, *arguments)["written"])
        assert written.is_absolute()
        assert written.is_file()
    assert told(run, "compare", "job.xlsx", "revised.xlsx")["written"] is None


@pytest.mark.parametrize(
    ("arguments", "code", "error", "reason"),
    [
        (["calc"], 2, "usage", "Missing argument"),
        (["eval", "=1", "--jsn"], 2, "usage", "No such option"),
        (["inputs", "gone.xlsx"], 2, "input", "gone.xlsx: there is no such file"),
        (["set", "small.xlsx", "surface_mass=900"], 2, "input", "give 0.5 to 200 lb/ft²"),
        (["formulas", "DORMASS"], 2, "#NAME?", "did you mean STILL_DOORMASS"),
        (["eval", "=A1"], 2, "input", "there is no workbook here"),
        (["new", "small.xlsx", "job.xlsx"], 2, "input", "job.xlsx: it exists already"),
        (["manual", "office"], 2, "input", "office: it exists already"),
    ],
)
def test_a_command_that_fails_says_why_as_data_and_in_a_line(arguments, code, error, reason, desk, run):
    found, out, err = run(*arguments, "--json")
    assert found == code
    failure = json.loads(out)
    assert misfits(failure, shapes.Failure) == []
    assert failure["error"] == error
    assert reason in failure["reason"]
    assert only_line(err) == failure["reason"]
    assert run(*arguments)[:2] == (code, "")


def test_a_workbook_that_does_not_stand_is_denied_with_its_reasons(desk, run):
    code, out, err = run("share", "revised.xlsx", "c.xlsx", "--for", "contractor", "--json")
    denied = json.loads(out)
    assert (code, err, denied["error"]) == (1, "", "denied")
    assert any("At most two doors" in reason for reason in denied["reasons"])
    assert not Path("c.xlsx").exists()


def test_nothing_is_asked_where_a_program_reads(small, run, monkeypatch):
    book = load_workbook(small)
    book.active["A1"] = None
    book.save(small)
    monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
    monkeypatch.setattr("sys.stdout.isatty", lambda: True, raising=False)
    assert told(run, "new", small, "mine.xlsx")["missing"] == ["client"]


# --- the page that explains it ----------------------------------------------------------------------------------------


def fields(shape, seen=()):
    """The names of all fields of a shape, and of those in it."""
    if typing.is_typeddict(shape):
        if shape in (shapes.Error, shapes.Failure, *seen):
            return set()
        hints = typing.get_type_hints(shape)
        return set(hints).union(*(fields(hint, (*seen, shape)) for hint in hints.values()))
    return set().union(*(fields(part, seen) for part in typing.get_args(shape)))


def section(name):
    """What the page says of a command, with what it says of those that it refers to."""
    page = PAGE.read_text("utf-8")
    text = page.partition(f"\n### {name}\n")[2].partition("\n### ")[0]
    others = re.findall(r"[Aa]s\s+`(\w+)`", text)
    return (
        text + "".join(section(other) for other in others if other != name) + ("" if name != "calc" else section("set"))
    )


@pytest.mark.parametrize("name", sorted(COMMANDS.keys() - PRINT_NO_RESULT))
def test_the_page_names_every_field(name):
    said = set(re.findall(r"`(\w+)`", section(name)))
    assert fields(COMMANDS[name].gives) <= said


def test_the_page_has_no_command_that_does_not_exist():
    assert set(re.findall(r"^### (.+)$", PAGE.read_text("utf-8"), re.MULTILINE)) == COMMANDS.keys() - PRINT_NO_RESULT


def test_the_page_shows_what_is_printed(run):
    [line] = re.findall(r"^\{.*\}$", PAGE.read_text("utf-8"), re.MULTILINE)
    assert run("eval", "--json", "=STILL_DUCTROUND(30,100)")[1].strip() == line
