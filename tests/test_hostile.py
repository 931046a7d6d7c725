"""Damaged and harmful workbooks through every command that reads one: a clear line, nothing written, nothing unpacked."""

import concurrent.futures
import errno
import os
import re
import shutil
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from stillbook.cli import stillbook
from stillbook.cli.failures import guarded
from stillbook.office import batch as batches
from stillbook.workbook.file import archive
from stillbook.workbook.job.estimate import Job
from workbook import hostile

BAD = "bad.xlsx"

COMMANDS = {
    "inputs": ["inputs", BAD],
    "set": ["set", BAD, "doors=2"],
    "calc": ["calc", BAD],
    "print": ["print", BAD],
    "share with a client": ["share", BAD, "out.xlsx", "--for", "client"],
    "share with a contractor": ["share", BAD, "out.xlsx", "--for", "contractor"],
    "compare, first": ["compare", BAD, "good.xlsx", "--out", "out.xlsx"],
    "compare, second": ["compare", "good.xlsx", BAD, "--out", "out.xlsx"],
    "carry, the job": ["carry", BAD, "out.xlsx", "--to", "good.xlsx"],
    "carry, the template": ["carry", "good.xlsx", "out.xlsx", "--to", BAD],
    "carry, the old template": ["carry", "good.xlsx", "out.xlsx", "--to", "good.xlsx", "--made-from", BAD],
    "reprice, the job": ["reprice", BAD, "--prices", "good.xlsx"],
    "reprice, the book": ["reprice", "good.xlsx", "--prices", BAD],
    "bids, a bid": ["bids", BAD, "out.xlsx", "--job", "good.xlsx"],
    "bids, the job": ["bids", "scope.xlsx", "out.xlsx", "--job", BAD],
    "batch, the book": ["batch", "jobs", "--do", "reprice", "--prices", BAD],
    "explore": ["explore", BAD, "out.xlsx", "--vary", "doors=1,2", "--goal", "price=least", "--workers", "1"],
    "options, the job": ["options", BAD, "good.xlsx"],
    "options, the exploration": ["options", "good.xlsx", BAD],
    "convert": ["convert", BAD, "out.xlsx", "--for", "libreoffice"],
    "convert in place": ["convert", BAD, BAD, "--for", "libreoffice"],
    "new": ["new", BAD, "out.xlsx"],
    "new from a job": ["new", "good.xlsx", "out.xlsx", "--from", BAD],
    "templates add": ["templates", "add", BAD],
}  # fmt: skip
BATCHES = {
    "calculate": ["batch", "folder"],
    "check": ["batch", "folder", "--do", "check"],
    "reprice": ["batch", "folder", "--do", "reprice", "--prices", "good.xlsx"],
}
PRINTER = """#!/bin/sh
while [ $# -gt 1 ]; do [ "$1" = --outdir ] && out=$2; shift; done
printf '%%PDF-1.7 printed' > "$out/$(basename "$1" .xlsx).pdf"
"""

Office = Callable[[bytes], dict[str, bytes]]


@pytest.fixture(scope="module")
def scope(tmp_path_factory):
    """The page of the estimate that contractors price."""
    folder = tmp_path_factory.mktemp("scope")
    (folder / "good.xlsx").write_bytes(hostile.estimate())
    arguments = ["share", folder / "good.xlsx", folder / "scope.xlsx", "--for", "contractor"]
    assert guarded(stillbook, list(map(str, arguments))) == 0
    return folder / "scope.xlsx"


@pytest.fixture
def office(tmp_path, monkeypatch, scope) -> Office:
    """Lay out a folder with a bad workbook among good ones; gives what each file holds."""
    desk = tmp_path / "desk"
    desk.mkdir()
    monkeypatch.chdir(desk)
    monkeypatch.setenv("STILLBOOK_HOME", str(desk / "home"))
    (tmp_path / "soffice").write_text(PRINTER)
    (tmp_path / "soffice").chmod(0o755)
    monkeypatch.setenv("PATH", f"{tmp_path}{os.pathsep}{os.environ['PATH']}")
    monkeypatch.setattr(batches, "_pool", lambda _: concurrent.futures.ThreadPoolExecutor(1))

    def lay_out(bad: bytes) -> dict[str, bytes]:
        for entry in desk.iterdir():
            shutil.rmtree(entry) if entry.is_dir() else entry.unlink()
        for name in ("good.xlsx", "jobs/good.xlsx"):
            Path(name).parent.mkdir(exist_ok=True)
            Path(name).write_bytes(hostile.estimate())
        shutil.copy(scope, "scope.xlsx")
        Path("folder").mkdir()
        for name in (BAD, f"folder/{BAD}"):
            Path(name).write_bytes(bad)
        return held()

    return lay_out


def held() -> dict[str, bytes]:
    return {path.as_posix(): path.read_bytes() for path in Path().rglob("*") if path.is_file()}


def refusal(err: str, name: str = BAD) -> str:
    """The one line that a command said of a file."""
    assert err.startswith(f"stillbook: {name}: "), err
    assert err.endswith("\n"), err
    assert err.count("\n") == 1, err
    return err


@pytest.mark.parametrize("name", hostile.REFUSED)
def test_no_command_takes_it(name, office, capsys, monkeypatch):
    said = hostile.REFUSED[name][1]
    unpacked = []
    read = zipfile.ZipFile.read

    def counted(self, entry, *rest):
        data = read(self, entry, *rest)
        unpacked.append(len(data))
        return data

    monkeypatch.setattr(zipfile.ZipFile, "read", counted)
    for title, arguments in COMMANDS.items():
        before = office(hostile.made(name))
        code = guarded(stillbook, arguments)
        out, err = capsys.readouterr()
        # Of several bids that cannot be read, the sentence names each.
        line = refusal(err.replace("none of the bids can be read: ", ""))
        assert (code, out) == (2, ""), title
        assert re.search(said, line), (title, line)
        assert held() == before, title
    assert max(unpacked, default=0) < archive.MOST_PART // 10


@pytest.mark.parametrize("name", hostile.REFUSED)
def test_in_a_folder_it_is_a_row_of_the_register(name, office, capsys):
    said = hostile.REFUSED[name][1]
    for arguments in BATCHES.values():
        before = office(hostile.made(name))
        assert guarded(stillbook, arguments) == 2
        assert re.search(said, refusal(capsys.readouterr().err))
        register = Path("register.csv").read_text("utf-8-sig")
        assert [line.split(",")[:2] for line in register.splitlines()[1:]] == [[BAD, "failed"]]
        Path("register.csv").unlink()
        assert held() == before


def test_among_the_templates_of_ones_own_it_is_told(office, capsys):
    for name in hostile.REFUSED:
        office(b"")
        Path("home/templates").mkdir(parents=True)
        Path("home/templates/odd.xlsx").write_bytes(hostile.made(name))
        assert guarded(stillbook, ["templates"]) == 0
        assert "odd" in capsys.readouterr().out
        assert guarded(stillbook, ["new", "odd", "out.xlsx"]) == 2
        refusal(capsys.readouterr().err, str(Path("home/templates/odd.xlsx").absolute()))
        assert not Path("out.xlsx").exists()


GIVEN = [
    ("big.toml", b"doors = " + b"9" * 5000, "too|digits"),
    ("hex.toml", b"doors = 0x" + b"f" * 4000, "doors is not a finite number"),
    ("nan.toml", b"margin = nan", "margin is not a finite number"),
    ("deep.toml", b"a = " + b"[" * 20_000, "write lines such as"),
    ("time.toml", b"sent = 10:00:00", "give a date"),
    ("nul.csv", b"name,value\ndoors,\0\n", "not understood as a number"),
    ("long.csv", b"name,value\nclient," + b"x" * 200_000, "field larger"),
    ("far.csv", b"name,value\ndoors," + b"9" * 5000, "doors is inf: give"),
    ("power.csv", b"name,value\nwall_area,3 m^9999999\n", "another quantity where an area is needed"),
    ("coded.csv", b"\xff\xfe\0", "not plain text in UTF-8"),
]


@pytest.mark.parametrize(("name", "data", "said"), GIVEN, ids=[row[0] for row in GIVEN])
def test_inputs_that_no_one_means_are_refused(name, data, said, office, capsys):
    office(hostile.estimate())
    Path(name).write_bytes(data)
    before = held()
    assert guarded(stillbook, ["new", "good.xlsx", "out.xlsx", "--inputs", name]) == 2
    out, err = capsys.readouterr()
    assert (out, err.count("\n")) == ("", 1)
    assert re.search(said, err)
    assert held() == before


# --- names and places -------------------------------------------------------------------------------------------------

OTHERWISE = [
    ("bad.xlsm", "with macros: save it as an Excel workbook without macros"),
    ("bad.xls", r"old \.xls format: save it"),
    ("bad.xlsb", "binary workbook: save it"),
    ("bad.ods", "OpenDocument spreadsheet: save it"),
    ("bad.csv", "text file: open it"),
    ("bad", r"does not end in \.xlsx: give"),
    ("folder.xlsx", "it is a folder: name an .xlsx file in it"),
    ("gone.xlsx", "there is no such file"),
    ("good.xlsx/bad.xlsx", "cannot be read|no such file"),
]
BY_PATH = {title: arguments for title, arguments in COMMANDS.items() if title not in ("convert in place",)}
"""Commands by which a workbook is named; in the others a name without .xlsx means a template."""


@pytest.mark.parametrize(("name", "said"), OTHERWISE)
def test_a_name_that_is_no_workbook_is_refused_by_all(name, said, office, capsys):
    for title, arguments in BY_PATH.items():
        if not name.endswith(".xlsx") and title in ("new", "inputs", "carry, the template"):
            continue
        before = office(hostile.estimate())
        if name == "folder.xlsx":
            Path(name).mkdir()
        elif name.startswith("bad"):
            Path(name).write_bytes(Path(BAD).read_bytes())
            before[name] = hostile.estimate()
        code = guarded(stillbook, [name if argument == BAD else argument for argument in arguments])
        out, err = capsys.readouterr()
        line = refusal(err.replace("none of the bids can be read: ", ""), name)
        assert (code, out) == (2, ""), title
        assert re.search(said, line), (title, line)
        assert held() == before, title


def test_a_file_that_may_not_be_read_is_refused_by_all(office, capsys, monkeypatch):
    opened = Path.open

    def refuse(path, *how, **more):
        if path.name == BAD:
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(path))
        return opened(path, *how, **more)

    for title, arguments in COMMANDS.items():
        before = office(hostile.estimate())
        with monkeypatch.context() as patch:
            # An administrator, as tests are often run by, may read a file of any mode.
            patch.setattr(Path, "open", refuse)
            assert guarded(stillbook, arguments) == 2, title
        assert "may not be read" in refusal(capsys.readouterr().err.replace("none of the bids can be read: ", ""))
        assert held() == before


# --- strange, but honest ----------------------------------------------------------------------------------------------

NEED_NO_RESULTS = {"inputs", "bids, a bid", "carry, the old template", "convert", "convert in place"}
"""Commands that read what is typed or stored, and so can use a workbook that cannot be calculated."""


TAKE_AN_ESTIMATE = [title for title in COMMANDS if not title.startswith("options")]
"""Options are read from an exploration, which no estimate is."""


def as_read(data, title):
    """A workbook as the command is meant to get it: a bid holds no costs of ours."""
    return hostile.returned(data) if title == "bids, a bid" else data


@pytest.mark.parametrize("title", TAKE_AN_ESTIMATE)
def test_formulas_in_a_circle(title, office, capsys):
    before = office(as_read(hostile.circle(), title))
    code = guarded(stillbook, COMMANDS[title])
    err = capsys.readouterr().err
    if title in NEED_NO_RESULTS:
        assert (code, err) == (0, "")
        return
    assert code == 2
    assert "Inputs!A20, Inputs!B20 refer to each other in a circle: take one" in refusal(err)
    assert held() == before


@pytest.mark.parametrize("title", TAKE_AN_ESTIMATE)
def test_a_value_from_another_file_is_kept_and_that_file_is_not_opened(title, office, capsys):
    office(as_read(hostile.linked(), title))
    assert guarded(stillbook, COMMANDS[title]) == 0, capsys.readouterr().err
    assert Job.open(BAD).package.value("Inputs", 20, 1) == 14
    for name in ("out.xlsx", "home/templates/bad.xlsx"):
        if Path(name).exists():
            Job.open(name)


@pytest.mark.parametrize("title", ["calc", "share with a client", "carry, the job", "compare, second", "convert"])
def test_a_sheet_of_100_000_rows(title, office, capsys):
    office(hostile.long())
    assert guarded(stillbook, COMMANDS[title]) == 0
    out = capsys.readouterr().out
    assert len(out.splitlines()) < 40
    if title == "carry, the job":
        assert "Inputs!A20:A100019" in out
        assert "99999 more" in " ".join(out.split())


TOO_MUCH = [
    ("(" * 5000 + "1" + ")" * 5000, "cannot be read as a formula"),
    ("1" + "+1" * 40_000, "cannot be read as a formula"),
    ('REPT("x",2000000000)', "#VALUE!"),
    ("SUM(SEQUENCE(1048576,16384))", "too large"),
    ('WEBSERVICE("http://127.0.0.1:9/")', "not a function that is calculated here"),
]


@pytest.mark.parametrize(("formula", "said"), TOO_MUCH, ids=range(len(TOO_MUCH)))
def test_a_formula_that_asks_too_much_is_an_error_cell(formula, said, office, capsys):
    office(hostile.with_formula(formula))
    assert guarded(stillbook, ["calc", BAD]) == 1
    assert said in " ".join(capsys.readouterr().out.split())


TOO_LARGE = [
    (hostile.with_formula("1", '<f t="array" ref="A20:XFD1048576">'), "fills more than 1,000,000 cells"),
    (hostile.with_formula("SUM(A1:XFD1048576)"), "refers to itself: take that reference out"),
]


@pytest.mark.parametrize(("data", "said"), TOO_LARGE, ids=range(len(TOO_LARGE)))
def test_a_formula_over_everything_is_refused(data, said, office, capsys):
    before = office(data)
    assert guarded(stillbook, ["calc", BAD]) == 2
    assert said in refusal(capsys.readouterr().err)
    assert held() == before


LOOKS = [
    ("xl/styles.xml", 'numFmtId="0"', 'numFmtId="x"'),
    ("xl/styles.xml", 'fontId="0"', 'fontId="²"'),
    ("xl/worksheets/sheet6.xml", "<sheetData>", '<cols><col min="x" max="2" width="9"/></cols><sheetData>'),
    ("xl/worksheets/sheet6.xml", "<sheetData>", '<cols><col min="1" max="2" width="nan"/></cols><sheetData>'),
    ("xl/worksheets/sheet6.xml", "<sheetData>", f'<cols><col min="1" max="{"9" * 40}" hidden="1"/></cols><sheetData>'),
    ("xl/worksheets/sheet6.xml", '<c r="B1"', '<c s="-x" r="B1"'),
]


@pytest.mark.parametrize(("part", "old", "new"), LOOKS, ids=range(len(LOOKS)))
def test_looks_that_cannot_be_read_are_not_shared(part, old, new, office, capsys):
    before = office(hostile.sheet(lambda text: text.replace(old, new), part))
    assert guarded(stillbook, COMMANDS["share with a client"]) == 2
    assert "where a number belongs): use an earlier copy" in refusal(capsys.readouterr().err)
    assert held() == before


def test_a_drawing_with_entities_is_told_with_its_file(office, capsys):
    before = office(hostile.noted())
    for title in ("carry, the job", "carry, the template", "carry, the old template"):
        assert guarded(stillbook, COMMANDS[title]) == 2
        assert re.search("document type|damaged", refusal(capsys.readouterr().err))
        assert held() == before


def test_ten_hidden_billion_columns_are_counted_to_the_last_that_is_shown(office, capsys):
    column = '<cols><col min="1" max="9999999999" hidden="1"/></cols><sheetData>'
    office(hostile.sheet(lambda text: text.replace("<sheetData>", column), "xl/worksheets/sheet6.xml"))
    assert guarded(stillbook, COMMANDS["share with a client"]) in (0, 2)
    assert "Traceback" not in capsys.readouterr().err
