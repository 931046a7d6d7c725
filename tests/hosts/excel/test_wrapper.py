"""The VBA text of the add-in."""

import re
from pathlib import Path, PureWindowsPath

import pytest

from hosts.small import CATALOGUE
from stillbook.catalogue import formulas
from stillbook.hosts.excel import wizard, wrapper
from stillbook.hosts.excel.wrapper import Server

GOLDEN = Path(__file__).parent / "golden"

SERVER = Server(
    PureWindowsPath(r"C:\Users\Zoë\still book\Scripts\python.exe"),
    PureWindowsPath(r"C:\Users\Zoë\still book\xlwings32-0.37.8.dll"),
    PureWindowsPath(r"C:\Users\Zoë\still book\xlwings64-0.37.8.dll"),
)

MODULES = wrapper.modules(formulas(), SERVER)
FUNCTIONS = dict(re.findall(r"(?ms)^Public Function (STILL_\w+)\((.*?^End Function)$", MODULES["StillbookFormulas"]))


@pytest.mark.parametrize(
    ("golden", "text"),
    [
        ("formulas.bas", wrapper.formulas_module(CATALOGUE)),
        ("calls.bas", wrapper.calls_module(SERVER)),
    ],
)
def test_text_is_as_it_was_when_last_read_through(golden, text):
    """After a change that is meant, read the new text through and put it in the golden file."""
    assert text == (GOLDEN / golden).read_text(encoding="ascii")


def test_one_function_for_each_formula():
    assert sorted(FUNCTIONS) == sorted(entry.workbook_name for entry in formulas().values())


@pytest.mark.parametrize("entry", formulas().values(), ids=lambda entry: entry.name)
def test_every_function_hands_its_arguments_on(entry):
    name = entry.workbook_name
    names = [each.name for each in wizard.arguments(entry, wizard.widest(formulas()))]
    declared, _, body = re.sub(r" _\n\s+", " ", FUNCTIONS[name]).partition(") As Variant\n")
    assert declared == ", ".join(f"Optional {each} As Variant" for each in names)
    assert body.splitlines() == [f'    {name} = Answer("{name}", Array({", ".join(names)}))', "End Function"]


@pytest.mark.parametrize("name", MODULES)
def test_modules_are_what_vba_can_import(name):
    text = MODULES[name]
    lines = text.splitlines()
    joined = re.sub(r" _\n", " ", text)
    assert lines[:2] == [f'Attribute VB_Name = "{name}"', "Option Explicit"]
    assert text.isascii()
    assert "<<" not in text
    assert max(map(len, lines)) < wrapper.LONGEST_LINE
    assert max(len(run) for run in re.findall(r"(?:.* _\n)+", text) or [""]) < 24 * wrapper.LONGEST_LINE
    assert max((run.count("\n") for run in re.findall(r"(?:.* _\n)+", text)), default=0) <= 24
    for kind in ("Function", "Sub"):
        opened = re.findall(rf"(?m)^(?:Public |Private )?{kind} ", joined)
        assert len(opened) == len(re.findall(rf"(?m)^End {kind}$", joined))


def test_only_xlwings_open_source_parts_are_called():
    text = "".join(MODULES.values()) + wrapper.workbook_code()
    assert "pro" not in re.findall(r"xlwings\.(\w+)", text)
    assert "LICENSE_KEY" not in text
    assert "Redistributions of source code must retain the above copyright notice" in MODULES["StillbookCalls"]


def test_nothing_of_the_workbook_in_front_decides_what_is_started():
    """xlwings' own module asks a sheet or file beside the workbook for the interpreter, and names it in the command."""
    calls = MODULES["StillbookCalls"]
    assert not re.search(r"ActiveWorkbook|ThisWorkbook|GetConfig|\.Path\b|Environ", calls)
    assert '"import xlwings; xlwings.serve' in SERVER.command
    assert " -P " in SERVER.command


def test_the_workbook_code_binds_opened_workbooks_and_shows_failures():
    code = wrapper.workbook_code()
    assert "Private WithEvents host As Application" in code
    assert re.search(r"host_WorkbookOpen\(ByVal Wb As Workbook\)\n    BindWorkbook Wb, False\n", code)
    assert re.search(r"host_AfterCalculate\(\)\n    ShowFailure\n", code)
    assert "Public Sub BindWorkbook(ByVal book As Object, ByVal every As Boolean)" in MODULES["StillbookBinding"]
    assert "Public Sub ShowFailure()" in MODULES["StillbookCalls"]


@pytest.mark.parametrize(
    ("text", "expression"),
    [
        ("", '""'),
        ("plain", '"plain"'),
        ('a "b"', '"a ""b"""'),
        ("Zoë", '"Zo" & ChrW(235)'),
        ("é", "ChrW(233)"),
        ("a\U0001f6aab", '"a" & ChrW(55357) & ChrW(57002) & "b"'),
    ],
)
def test_text_in_vba(text, expression):
    assert wrapper.literal(text) == expression
