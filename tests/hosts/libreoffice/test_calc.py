"""The formulas in LibreOffice Calc itself: a headless one, connected once from a profile that did not exist before."""

from __future__ import annotations

import math
import os
import re
import shutil
import signal
import threading
import time
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache, cached_property
from itertools import cycle
from pathlib import Path
from typing import Any, NamedTuple

import openpyxl
import pytest
from openpyxl.styles import Protection
from openpyxl.worksheet.formula import ArrayFormula

from hosts.libreoffice.calc import Calc, broken, connect_to, own_office, running, this_stillbook
from stillbook.catalogue import formulas
from stillbook.cells import ErrorValue
from stillbook.hosts.libreoffice.basic import module
from stillbook.hosts.libreoffice.connection import disconnect
from stillbook.hosts.libreoffice.signatures import INTERFACE, methods
from stillbook.templates.shipped import folder as template_folder
from stillbook.workbook.calculation.engine import evaluate
from stillbook.workbook.calculation.spelling import Spelling
from stillbook.workbook.file.address import cell_name, column_name, read_cell
from stillbook.workbook.file.archive import Archive
from stillbook.workbook.job.estimate import Job, Report
from templates.typed_bids import typed

pytestmark = pytest.mark.host

TEMPLATES = sorted(template_folder().glob("*.xlsx"))

SCHEDULES = {
    "door_schedule_us": {"Doors", "Leaves", "Openings", "Job price"},
    "air_schedule_us": {"Air", "Ducts"},  # noise waits for the fan, and so for every room's airflow
}
"""The sheets of a template that hold a row for each row typed."""

FELT = {
    "air_schedule": "per_person",
    "bid_comparison": "tax_rate",
    "booth_estimate": "room_length",
    "door_schedule": "overhead",
    "price_book": "level_b_markup",
    "quick_quote": "room_length",
    "room_conversion": "existing_length",
}
"""An input of each template that moves a key result where an eighth of it is added."""

AS_CONNECTED = "as-connected"
"""A copy of the user profile in which LibreOffice was connected and not yet started."""


@pytest.fixture(scope="module")
def running_calc(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Calc]:
    folder = tmp_path_factory.mktemp("calc")
    mine = own_office(folder)
    connect_to(mine, folder, this_stillbook(folder))
    shutil.copytree(mine.profile(), folder / AS_CONNECTED)
    with running(mine, folder) as calc:
        yield calc


@pytest.fixture
def calc(running_calc: Calc) -> Calc:
    """A new, empty workbook."""
    running_calc.new()
    return running_calc


def assert_same(here: Any, there: Any, where: str) -> None:
    """A value calculated here and the same in Calc: text alike, numbers to 1e-9, an error where there is an error."""
    if isinstance(here, ErrorValue):
        # A formula of text alone has one error value in Calc, and an error in a range has a number of Calc's own.
        assert isinstance(there, dict), f"{where}: {here} here, {there} in Calc"
        assert there["shown"] in (str(here.code), "#VALUE!", "Err:504"), f"{where}: {here} here, {there} in Calc"
    elif isinstance(here, int | float):
        assert isinstance(there, float), f"{where}: {here} here, {there} in Calc"
        assert math.isclose(here, there, rel_tol=1e-9, abs_tol=1e-12), f"{where}: {here} here, {there} in Calc"
    else:
        assert (here or "") == (there or ""), where


# --- examples ---------------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def examples(running_calc: Calc, tmp_path_factory: pytest.TempPathFactory) -> dict[str, list[Any]]:
    """The example of every formula calculated in a workbook, by formula: a row of cells."""
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for row, entry in enumerate(formulas().values(), start=1):
        if isinstance(entry.example.gives, tuple):
            cells = f"A{row}:{column_name(len(entry.example.gives))}{row}"
            sheet[f"A{row}"] = ArrayFormula(cells, f"={entry.example.call}")
        else:
            sheet[f"A{row}"] = f"={entry.example.call}"
    path = tmp_path_factory.mktemp("examples") / "examples.xlsx"
    book.save(path)
    running_calc.open(path)
    running_calc.ask("recalculate")
    found: dict[str, list[Any]] = {}
    for row, entry in enumerate(formulas().values(), start=1):
        width = len(entry.example.gives) if isinstance(entry.example.gives, tuple) else 1
        names = [cell_name(row, column) for column in range(1, width + 1)]
        values = running_calc.ask("values", 0, names)
        found[entry.name] = [values[cell] for cell in names]
    return found


@pytest.mark.parametrize("name", formulas())
def test_every_example_gives_what_it_gives_here(examples: dict[str, list[Any]], name: str) -> None:
    entry = formulas()[name]
    here = evaluate(entry.example.call)
    first = here[0] if isinstance(here, list) else [here]
    shown = first if isinstance(entry.example.gives, tuple) else first[:1]
    for place, value in enumerate(shown):
        assert_same(value, examples[name][place], f"{entry.example.call}, cell {place + 1}")


# --- templates --------------------------------------------------------------------------------------------------------


Cells = dict[tuple[str, int, int], Any]
"""Values by sheet, row and column."""


def formula_cells(calc: Calc, sheets: list[str]) -> Cells:
    """The value of every formula cell of some sheets."""
    return {(sheet, row, column): value for sheet in sheets for row, column, value in calc.ask("formula_cells", sheet)}


def same(job: Job, there: Cells) -> None:
    for (sheet, row, column), value in there.items():
        assert_same(job.package.value(sheet, row, column), value, f"{sheet}!{cell_name(row, column)}")


def every_formula_cell_is_the_same(job: Job, calc: Calc, sheets: list[str]) -> None:
    same(job, formula_cells(calc, sheets))


def formulas_in(path: Path) -> str:
    """The text of all parts of a workbook that hold formulas, of .xlsx or .ods."""
    with zipfile.ZipFile(path) as archive:
        names = [name for name in archive.namelist() if re.match(r"xl/(worksheets/sheet|workbook)|content", name)]
        parts = [archive.read(name).decode() for name in names]
    return "".join(
        found
        for part in parts
        for found in re.findall(r"<f\b[^>]*>([^<]*)<|formula=\"([^\"]*)\"", part)
        for found in found
    )


def spellings(path: Path) -> set[str]:
    """How a workbook spells the beginning of our formulas, with what stands before it."""
    return set(re.findall(r"(?:_xl\w+_|_xl\w+\.|\[\d+\]!)?still[_.](?=[a-z\d]+\()", formulas_in(path), re.IGNORECASE))


def copied(name: str, folder: Path) -> Path:
    """A copy of a shipped workbook: LibreOffice puts a file beside what it has open."""
    return Path(shutil.copy(template_folder() / name, folder))


def with_bids(path: Path, folder: Path) -> Path:
    """A copy of a template to calculate; the bid comparison comes blank, and is filled in first."""
    if "bid_comparison" not in path.stem:
        return copied(path.name, folder)
    odd = {"bid_a_quantities": (1, 44), "bid_a_totals": (1, 600), "own_bids": (0, "B"), "bid_c_prices": (0, 50 / 32)}
    job = typed(path.stem[-2:].upper(), bidder_taxes=(0, "yes"), **odd)
    job.set({"tax_rate": 0.1})
    return job.save(folder / path.name)


@dataclass(frozen=True)
class Worked:
    """A template as Calc opened it, calculated it anew, and saved it with an input changed.

    Args:
        path: The file that was opened.
        job: The same as it is, not calculated.
        change: The name of the input and its new value.
        modified: Whether it was marked as changed as it was opened, and whether there was a step to undo.
        opened: Its formula cells as it was opened.
        calculated: The same once everything was calculated anew.
        changed: The same with the change.
        saved: The file saved with the change.
    """

    path: Path
    job: Job
    change: tuple[str, float]
    modified: list[bool]
    opened: Cells
    calculated: Cells
    changed: Cells
    saved: Path

    @cached_property
    def here(self) -> tuple[Job, Report]:
        """The same file with the same change, calculated without Calc."""
        job = Job.open(self.path)
        job.set(dict([self.change]))
        return job, job.calculate()


@pytest.fixture(scope="module")
def in_calc(running_calc: Calc, tmp_path_factory: pytest.TempPathFactory) -> Callable[[Path], Worked]:
    """Work on a template in Calc, once for all that is asked of it."""

    @cache
    def worked(shipped: Path) -> Worked:
        calc, folder = running_calc, tmp_path_factory.mktemp("worked")
        path = with_bids(shipped, folder)
        job = Job.open(path)
        entry = job.inputs[FELT[path.stem[:-3]]]
        assert isinstance(entry.value, float)
        change = (entry.name, entry.value * 1.125)
        sheets = calc.open(path)
        modified = calc.ask("modified")
        opened = formula_cells(calc, sheets)
        calc.ask("recalculate")
        calculated = formula_cells(calc, sheets)
        calc.ask("type", entry.sheet, entry.cell, repr(change[1]))
        changed = formula_cells(calc, sheets)
        return Worked(path, job, change, modified, opened, calculated, changed, calc.save(folder / "back.xlsx"))

    return worked


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: path.stem)
def test_a_template_calculates_as_it_does_here(in_calc: Callable[[Path], Worked], path: Path) -> None:
    """The values kept in the file are those calculated here: its builder calculates it, and a test builds it again."""
    there = in_calc(path)
    assert there.modified == [False, False]
    job = there.job
    same(job, there.opened)
    same(job, there.calculated)
    areas = [formula.area for sheet in job.package.sheets for formula in job.package.sheet(sheet).formulas.values()]
    assert len(there.calculated) == sum(area.rows * area.columns if area else 1 for area in areas)

    here, report = there.here
    numbers = [
        (result, job.package.value(result.sheet, *at)) for result in report.results if (at := read_cell(result.cell))
    ]
    assert any(isinstance(before, float) and result.value != before for result, before in numbers), "a change is felt"
    same(here, there.changed)

    assert spellings(there.saved) == spellings(there.path)
    back = Job.open(there.saved)
    back.calculate()
    for sheet in here.package.sheets:
        for at in here.package.sheet(sheet).formulas:
            mine, theirs = here.package.value(sheet, *at), back.package.value(sheet, *at)
            told = {"shown": str(theirs.code)} if isinstance(theirs, ErrorValue) else theirs
            assert_same(mine, told, f"{sheet}!{cell_name(*at)}, saved by Calc and calculated here")


@pytest.mark.parametrize(
    ("name", "sheet", "row"), [("door_schedule_us", "Schedule", 14), ("air_schedule_us", "Rooms", 12)]
)
def test_a_row_half_typed_leaves_the_other_rows_alone(
    running_calc: Calc, tmp_path: Path, name: str, sheet: str, row: int
) -> None:
    calc = running_calc
    sheets = calc.open(copied(f"{name}.xlsx", tmp_path))
    calc.ask("recalculate")

    def rows_above() -> dict[tuple[str, int, int], Any]:
        found = {(page, *at): value for page in sheets for *at, value in calc.ask("formula_cells", page)}
        return {place: value for place, value in found.items() if place[0] in SCHEDULES[name] and place[1] < row}

    before = rows_above()
    assert len(before) > 100
    calc.ask("type", sheet, cell_name(row, 2), "new")
    assert rows_above() == before


def test_the_price_and_each_way_the_air_leaves_follow_what_is_typed(running_calc: Calc, tmp_path: Path) -> None:
    path = copied("booth_estimate_us.xlsx", tmp_path)
    running_calc.open(path)
    running_calc.ask("recalculate")
    job = Job.open(path)
    ways = job.inputs["air_leaves"].spec.choices
    lengths = (12.0, 9.5, 8.0)
    assert len(ways) >= len(lengths)
    for way, length in zip(ways, cycle(lengths)):
        values = {"air_leaves": way, "return_airflow": 36, "room_length": length}
        job.set(values)
        price = {result.name: result for result in job.calculate().results}["price"]
        for name, value in values.items():
            running_calc.ask("type", job.inputs[name].sheet, job.inputs[name].cell, str(value))
        assert running_calc.ask("value", price.sheet, price.cell) == pytest.approx(price.value, rel=1e-9)
        every_formula_cell_is_the_same(job, running_calc, ["Ducts", "Air path", "Take-off"])


@pytest.mark.parametrize("name", ["booth_estimate_us", "air_schedule_us"])
def test_the_first_change_after_opening_reaches_every_cell(
    running_calc: Calc, in_calc: Callable[[Path], Worked], tmp_path: Path, name: str
) -> None:
    """Nothing was recalculated or looked at before, so that cells without a kept value could hold the change up."""
    there = in_calc(template_folder() / f"{name}.xlsx")
    job, _ = there.here
    changed, value = there.change
    sheets = running_calc.open(copied(f"{name}.xlsx", tmp_path))
    running_calc.ask("type", job.inputs[changed].sheet, job.inputs[changed].cell, repr(value))
    every_formula_cell_is_the_same(job, running_calc, sheets)


def test_an_input_that_was_blank_reaches_what_depends_on_the_error(running_calc: Calc, tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet["A2"], sheet["A3"] = "=STILL_DOORMASS(60,1,A1,80)", '=IFERROR(A2,"waits")'
    sheet["A4"], sheet["A5"] = "=A2>0", '=IF(A1="","blank",IF(A4,"heavy","light"))'
    book.save(tmp_path / "blank.xlsx")
    Job.open(tmp_path / "blank.xlsx").save()
    running_calc.open(tmp_path / "blank.xlsx")
    assert running_calc.ask("modified") == [False, False]
    running_calc.ask("type", 0, "A1", "36")
    assert running_calc.values("A3", "A5") == {"A3": 80.0, "A5": "heavy"}


OTHER_SPELLINGS = {
    "A1": "STILL_DOORMASS",
    "A2": "STILL.DOORMASS",
    "A3": "_xldudf_STILL_DOORMASS",
    "A4": "_xludf.STILL_DOORMASS",
    "A5": "still_doormass",
}


def named(folder: Path) -> Path:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for cell, name in OTHER_SPELLINGS.items():
        sheet[cell] = f"={name}(60,1,B1,80)"
    sheet["A6"], sheet["B1"], sheet["C1"] = "=STILL_DOORMASS(60,,B1,80)", 36, "=SUM(A1:A6)"
    book.save(folder / "names.xlsx")
    return folder / "names.xlsx"


def test_names_in_a_file(running_calc: Calc, tmp_path: Path) -> None:
    """Whatever another program wrote is read, and saved in the neutral spelling; an empty place is a blank."""
    calc = running_calc
    calc.open(named(tmp_path))
    assert calc.ask("modified") == [False, False], "respelling is no change of the user's"
    calc.ask("type", 0, "B1", "72")
    assert calc.values(*OTHER_SPELLINGS, "A6") == {**dict.fromkeys(OTHER_SPELLINGS, 100.0), "A6": 60.0}
    for suffix, ask in (("xlsx", "save"), ("xlsx", "save_as"), ("ods", "save")):
        path = tmp_path / f"{ask}.{suffix}"
        calc.ask(ask, path.as_uri())
        assert spellings(path) == {"STILL_"}
    back = openpyxl.load_workbook(tmp_path / "save.xlsx").active
    assert back is not None
    assert {back[cell].value for cell in OTHER_SPELLINGS} == {"=STILL_DOORMASS(60,1,B1,80)"}


def test_a_protected_sheet_is_respelled_and_stays_as_protected_as_it_was(running_calc: Calc, tmp_path: Path) -> None:
    def protection(path: Path) -> dict[str, bool]:
        sheet = openpyxl.load_workbook(path).active
        assert sheet is not None
        return {name: getattr(sheet.protection, name) for name in sheet.protection.__attrs__}

    calc = running_calc
    path = named(tmp_path)
    plain = calc.open(path) and calc.save(tmp_path / "plain.xlsx")
    book = openpyxl.load_workbook(path)
    sheet = book.active
    assert sheet is not None
    sheet["B1"].protection = Protection(locked=False)
    sheet.protection.sheet, sheet.protection.formatCells, sheet.protection.insertRows = True, False, False
    sheet.protection.selectLockedCells = True
    book.save(path)
    calc.open(path)
    assert calc.ask("modified") == [False, False]
    calc.ask("type", 0, "B1", "72")
    assert calc.values(*OTHER_SPELLINGS, "A6") == {**dict.fromkeys(OTHER_SPELLINGS, 100.0), "A6": 60.0}
    saved = calc.save(tmp_path / "protected.xlsx")
    assert spellings(saved) == {"STILL_"}
    assert protection(saved) == protection(path) != protection(plain)
    calc.ask("enter", 0, "B1", "=STILL_DOORMASS(60;;36;80)")
    assert calc.ask("formula", 0, "B1") == '=STILL_DOORMASS(60;"";36;80)', "typed where a person may type"


def test_a_sheet_with_a_password_is_left_alone(running_calc: Calc, tmp_path: Path) -> None:
    calc = running_calc
    calc.new()
    calc.ask("type", 0, "A1", "=STILL.DOORMASS(60;1;36;80)")
    calc.ask("protect", 0, "secret")
    saved = openpyxl.load_workbook(calc.save(tmp_path / "protected.xlsx")).active
    assert saved is not None
    assert saved["A1"].value == "=STILL.DOORMASS(60,1,36,80)"
    assert saved.protection.sheet


def test_what_the_wizard_writes_is_saved_in_the_neutral_spelling(calc: Calc, tmp_path: Path) -> None:
    calc.ask("enter", 0, "A1", "=STILL.DOORMASS(60;1;36;80)")
    calc.ask("type_array", 0, "B1:C1", "=STILL.DOORARRANGEMENT(8;6;30;8)")
    saved = openpyxl.load_workbook(calc.save(tmp_path / "wizard.xlsx")).active
    assert saved is not None
    assert saved["A1"].value == "=STILL_DOORMASS(60,1,36,80)"
    assert saved["B1"].value.text == "=STILL_DOORARRANGEMENT(8,6,30,8)"
    assert calc.values("A1", "B1") == {"A1": 80.0, "B1": "pair"}


def test_an_empty_place_that_is_typed_is_a_blank(calc: Calc) -> None:
    calc.ask("enter", 0, "A1", "=STILL_DOORMASS(60;;36;80)")
    assert calc.values("A1") == {"A1": 60.0}
    assert calc.ask("formula", 0, "A1") == '=STILL_DOORMASS(60;"";36;80)'
    assert calc.ask("undo") == [], "one step, as for any other formula"
    assert calc.values("A1") == {"A1": None}


class Closed(NamedTuple):
    """A LibreOffice of its own that was closed again.

    Args:
        folder: Its folder.
        modules: The modules of Basic that it had as it opened.
        theirs: What a function in a module of the user's gave in it.
        door: What a formula of ours gave.
        ended: Whether the process that calculated for it ended with it.
    """

    folder: Path
    modules: list[str]
    theirs: Any
    door: Any
    ended: bool


@pytest.fixture(scope="module")
def closed(running_calc: Calc, tmp_path_factory: pytest.TempPathFactory) -> Closed:
    folder = tmp_path_factory.mktemp("closed")
    mine = own_office(folder)
    shutil.copytree(running_calc.folder / AS_CONNECTED, mine.profile())
    with running(mine, folder) as calc:
        modules = calc.ask("modules")
        calc.new()
        calc.ask("add_module", "StillbookOwn", "Function STILL_OWN()\n  STILL_OWN = 5\nEnd Function\n")
        theirs, door, companion = calc.value("=STILL_OWN()"), calc.value(f"={DOOR}"), calc.companion
    try:
        os.kill(companion, 0)
    except ProcessLookupError:
        return Closed(folder, modules, theirs, door, ended=True)
    return Closed(folder, modules, theirs, door, ended=False)


def test_the_module_of_functions_disturbs_no_module_of_the_users(closed: Closed) -> None:
    assert "Stillbook" in closed.modules
    assert closed.theirs == 5.0
    assert closed.door == 80.0
    kept = {path.stem for path in (closed.folder / "profile" / "user" / "basic" / "Standard").glob("*.xba")}
    assert "StillbookOwn" in kept
    assert "Stillbook" not in kept, "it goes as LibreOffice closes"
    mine = own_office(closed.folder)
    with running(mine, closed.folder) as calc:
        assert {"Stillbook", "StillbookOwn"} <= set(calc.ask("modules"))
    disconnect(mine)
    with running(mine, closed.folder) as calc:
        assert "Stillbook" not in calc.ask("modules")
        calc.new()
        assert calc.value("=STILL_OWN()") == 5.0
        assert calc.value(f"={DOOR}") == "#NAME?"
        calc.ask("add_module", "Stillbook", module(methods(formulas())))  # as after LibreOffice broke down
        assert calc.value(f"={DOOR}") == "#NAME?"
        assert calc.value('=IFERROR(STILL_SOURCE("DOORMASS");5)') == 5.0


def test_a_workbook_in_the_open_document_format(calc: Calc, tmp_path: Path) -> None:
    calc.ask("type", 0, "A1", "=STILL_DOORMASS(60;1;B1;80)")
    calc.ask("type", 0, "B1", "36")
    calc.open(calc.save(tmp_path / "book.ods"))
    calc.ask("type", 0, "B1", "72")
    assert calc.values("A1") == {"A1": 100.0}


# --- values -----------------------------------------------------------------------------------------------------------

DOOR = "STILL_DOORMASS(60;1;36;80)"
NO_WIDTH = "STILL_DOORMASS(60;1;;80)"


@pytest.mark.parametrize(
    ("formula", "value"),
    [
        (f"={DOOR}", 80.0),
        ("=STILL.DOORMASS(60;1;36;80)", 80.0),
        ("=still_doormass(60;1;36;80)", 80.0),
        # left out, in the middle and at the end
        ("=STILL_DOORMASS(60;;36;80)", 60.0),
        ('=STILL_DOORMASS(60;;36;80;"US")', 60.0),
        ('=STILL_DOORMASS(60;;900;2000;"SI")', 60.0),
        # units as the trade writes them
        ('=STILL_DOORMASS("60 lb";"1 lb/ft²";"3 ft";"6\'-8""")', 80.0),
        ('=STILL_QUANTITY("5/8 in";"mm")', 15.875),
        # inside other formulas
        (f"=ROUND({DOOR}/7;2)", 11.43),
        (f"={DOOR}*2+1", 161.0),
        (f'=IF({DOOR}>50;"heavy";"light")', "heavy"),
        (f'={DOOR}&" lb"', "80 lb"),
        (f"=STILL_DOORMASS({DOOR};1;36;80)", 100.0),
        (f"=SUM({DOOR};1)", 81.0),
        (f"=AND({DOOR}>1;{DOOR}<100)", 1.0),
        # text can be compared and looked up
        ("=STILL_DOORARRANGEMENT(8;6;30;8)", "pair"),
        ('=STILL_DOORARRANGEMENT(8;6;30;8)="pair"', 1.0),
        ('=IF(STILL_DOORARRANGEMENT(8;6;30;8)="pair";2;1)', 2.0),
        ('=MATCH(STILL_DOORARRANGEMENT(8;6;30;8);{"single"|"pair"};0)', 2.0),
        ('=INDEX(STILL_MATERIALS();1;1)="Material"', 1.0),
        # errors are errors
        (f"={NO_WIDTH}", "#N/A"),
        ('=STILL_DOORMASS("heavy";1;36;80)', "#VALUE!"),
        ('=STILL_DOORMASS("60 ft";1;36;80)', "#VALUE!"),
        ("=STILL_DOORMASS(60;1;-36;80)", "#NUM!"),
        ("=STILL_DOORMASS(1;2;3;4;5;6;7)", "#VALUE!"),
        ("=STILL_DOORMASS(1/0;1;36;80)", "#DIV/0!"),
        ("=STILL_DOORMASS(NA();1;36;80)", "#N/A"),
        (f"=STILL_DOORMASS({NO_WIDTH};1;36;80)", "#N/A"),
        ("=STILL_SOURCE(NA())", "#N/A"),
        ('=STILL_SOURCE("NOSUCH")', "#NAME?"),
        (f"=ISERROR({NO_WIDTH})", 1.0),
        (f"=ISNA({NO_WIDTH})", 1.0),
        (f'=IFERROR({NO_WIDTH};"none")', "none"),
        (f"=SUM({NO_WIDTH};1)", "#N/A"),
        (f"={NO_WIDTH}+1", "#N/A"),
        ('=STILL_WHY("DOORMASS";60;1;;80)', 'width is blank: give a length in in, or text with a unit such as "1 mm"'),
    ],
)
def test_a_typed_formula(calc: Calc, formula: str, value: Any) -> None:
    given = calc.value(formula)
    assert given == (pytest.approx(value, rel=1e-9) if isinstance(value, float) else value)


def test_an_error_in_a_cell_passes_through_a_sum(calc: Calc) -> None:
    calc.ask("enter", 0, "A1", f"={NO_WIDTH}")
    calc.ask("type_all", 0, {"A2": f"={DOOR}", "A3": "=SUM(A1:A2)", "A4": "=ERROR.TYPE(A1)"})
    calc.ask(
        "type_all", 0, {"A5": "=STILL_DOORMASS(A1;1;36;80)", "A6": "=SUMPRODUCT(A1:A2;A1:A2)", "A7": "=MAX(A1:A2)"}
    )
    assert calc.values("A1", "A2", "A3", "A4", "A5", "A6", "A7") == {
        "A1": "#N/A",
        "A2": 80.0,
        "A3": "#N/A",
        "A4": 7.0,
        "A5": "#N/A",
        "A6": "#N/A",
        "A7": "#N/A",
    }


def test_blank_cells(calc: Calc) -> None:
    """A blank cell is a blank, by itself as in a range."""
    calc.ask("type_all", 0, {"A1": "36", "B1": "80", "B2": "80"})
    calc.ask("type", 0, "C1", "=STILL_DOORMASS(60;1;A2;B2)")
    calc.ask("type_array", 0, "D1:D2", "=STILL_DOORMASS(60;1;A1:A2;B1:B2)")
    calc.ask("type", 0, "E1", "=STILL_SURFACEMASS(F1:H2)")
    calc.ask("type_all", 0, {"F1": "Gypsum board", "G1": "5/8 in", "H1": "2"})
    assert calc.values("C1", "D1", "D2") == {"C1": "#N/A", "D1": 80.0, "D2": "#N/A"}
    once = calc.values("E1")["E1"]
    assert once == pytest.approx(evaluate('STILL_SURFACEMASS({"Gypsum board","5/8 in",2})'), rel=1e-9)


def test_an_error_in_a_range_is_an_error(calc: Calc) -> None:
    calc.ask("type_all", 0, {"A1": "1", "A2": "=1/0", "B1": "=STILL_TOTALMASS(A1:A2;10)"})
    calc.ask("type_all", 0, {"B2": "=ISERROR(B1)", "B3": "=SUM(B1;1)"})
    assert calc.values("B1", "B2", "B3") == {"B1": "#DIV/0!", "B2": 1.0, "B3": "#DIV/0!"}


def test_array_formulas(calc: Calc) -> None:
    calc.ask("type_all", 0, {"A1": "60", "A2": "wide", "A3": "72", "B1": "36", "B2": "36", "B3": "-1"})
    calc.ask("type_array", 0, "C1:C3", "=STILL_DOORMASS(A1:A3;1;B1:B3;80)")
    calc.ask("type_array", 0, "D1:E1", "=STILL_DOORARRANGEMENT(8;6;30;8)")
    calc.ask("type_array", 0, "F1:G2", "=STILL_DUCTSIZES(60;300)")
    assert calc.values("C1", "C2", "C3") == {"C1": 80.0, "C2": "#VALUE!", "C3": "#NUM!"}
    arrangement = evaluate("STILL_DOORARRANGEMENT(8,6,30,8)")
    assert isinstance(arrangement, list)
    assert list(calc.values("D1", "E1").values()) == arrangement[0]
    sizes = evaluate("STILL_DUCTSIZES(60,300)")
    assert isinstance(sizes, list)
    assert list(calc.values("F1", "G1", "F2", "G2").values()) == [*sizes[0][:2], *sizes[1][:2]]


# --- what LibreOffice knows of the formulas ---------------------------------------------------------------------------


def test_libreoffice_reads_the_type_library(calc: Calc) -> None:
    found = calc.ask("methods", INTERFACE)
    assert found == {
        method.name: [[argument.name, argument.type] for argument in method.arguments] for method in methods(formulas())
    }


def test_the_function_wizard_lists_every_formula(calc: Calc) -> None:
    assert set(calc.ask("functions", "STILL.")) == {f"STILL.{entry.name}" for entry in formulas().values()}


def test_the_function_wizard_shows_names_and_help(calc: Calc) -> None:
    calc.value(f"={DOOR}")
    shown = calc.ask("function", "STILL.DOORMASS")
    entry = formulas()["DOORMASS"]
    add_in_category = 11  # the last of the wizard's own
    assert shown["category"] == add_in_category
    assert shown["description"].startswith(entry.summary)
    assert [argument["name"] for argument in shown["arguments"]] == [argument.words for argument in entry.arguments]
    assert all(argument["description"] and argument["optional"] for argument in shown["arguments"])


# --- what calculates ------------------------------------------------------------------------------------------------------

MANY = 2000


COLUMN = f"A1:A{MANY}"


def fill(calc: Calc, first: int) -> list[float]:
    """Many formulas that were never asked before; gives what they must give while C1 is 0."""
    calc.ask("type", 0, "C1", "0")
    calc.ask("type_column", 0, COLUMN, [f"=STILL_PRICEFROMMARGIN({first + row}+C$1;0.5)" for row in range(MANY)])
    right = [2.0 * (first + row) for row in range(MANY)]
    assert calc.ask("column", 0, COLUMN) == right
    return right


def written(process: int) -> int:
    """How many times a process has written: what calculates writes once for each answer."""
    counts = dict(line.split(": ") for line in Path(f"/proc/{process}/io").read_text().splitlines())
    return int(counts["syscw"])


def kill_during_recalculation(calc: Calc) -> float:
    """Kill what calculates once it has answered some cells of a recalculation, and wait until that has ended.

    Where it answers every cell before it can be stopped, on a busy machine, another recalculation is tried, of
    questions that are new again. Gives what all cells have more than at first.
    """
    for more in (tried / 64 for tried in range(1, 21)):
        calc.ask("type", 0, "C1", str(more))
        if killed_between_answers(calc):
            return 2.0 * more
    pytest.fail("it answered every cell of each recalculation before it could be stopped")


def killed_between_answers(calc: Calc) -> bool:
    companion = calc.companion
    before = written(companion)
    recalculation = threading.Thread(target=calc.ask, args=("recalculate",))
    recalculation.start()
    wait_until(lambda: written(companion) > before + 10, every=0)
    os.kill(companion, signal.SIGSTOP)
    some_are_left = written(companion) < before + MANY
    os.kill(companion, signal.SIGKILL if some_are_left else signal.SIGCONT)
    recalculation.join(timeout=120)
    assert not recalculation.is_alive()
    return some_are_left


def test_what_is_killed_during_recalculation_is_started_again(calc: Calc) -> None:
    right = fill(calc, 10_000)
    killed = calc.companion
    more = kill_during_recalculation(calc)
    assert calc.companion != killed, (calc.folder / "home" / "calc.log").read_text()
    assert calc.ask("column", 0, COLUMN) == [value + more for value in right]


def test_what_is_killed_for_good_gives_errors_that_recover_and_never_a_wrong_number(calc: Calc) -> None:
    before = fill(calc, 20_000)
    calc.ask("type", 0, "B1", f"=SUM({COLUMN})")
    python = calc.folder / "python"
    python.rename(broken(calc.folder))
    try:
        more = kill_during_recalculation(calc)
        right = [value + more for value in before]
        found = calc.ask("column", 0, COLUMN)
        assert None in found, "errors"
        assert all(value in (None, there) for value, there in zip(found, right, strict=True))
        assert calc.values("B1", f"A{found.index(None) + 1}") == {
            "B1": "#NAME?",
            f"A{found.index(None) + 1}": "#NAME?",
        }
    finally:
        broken(calc.folder).rename(python)
    time.sleep(1.1)  # by then another recalculation is another one
    calc.ask("recalculate")
    assert calc.ask("column", 0, COLUMN) == right
    assert calc.values("B1")["B1"] == pytest.approx(sum(right), rel=1e-12)


def test_without_an_answer_a_cell_says_so_and_why(calc: Calc) -> None:
    """Another error than that of a blank; the reason is told without what would calculate it, and above the cells."""
    assert calc.value(f"={NO_WIDTH}") == "#N/A"
    python = calc.folder / "python"
    python.rename(broken(calc.folder))
    try:
        os.kill(calc.companion, signal.SIGKILL)
        assert calc.value("=STILL_DOORMASS(61;1;36;80)") == "#NAME?"
        assert calc.value("=STILL.DOORMASS(61;1;36;80)") == "#NAME?"
        why = calc.value('=STILL_WHY("DOORMASS";61;1;36;80)')
        assert f"{python}: No such file" in why
        assert "stillbook connect libreoffice" in why
        wait_until(lambda: calc.ask("warned"))
    finally:
        broken(calc.folder).rename(python)
    time.sleep(1.1)  # by then another recalculation is another one
    assert calc.value("=STILL_DOORMASS(62;1;36;80)") == 82.0
    wait_until(lambda: not calc.ask("warned"))


def wait_until(holds: Callable[[], bool], seconds: float = 10, every: float = 0.05) -> None:
    end = time.monotonic() + seconds
    while not holds():
        assert time.monotonic() < end, "it did not come to hold"
        time.sleep(every)


def test_what_calculates_ends_with_libreoffice(closed: Closed) -> None:
    assert closed.door == 80.0
    assert closed.ended


THEIRS = (Spelling.WEB, "[1]!STILL_{name}")
"""Spellings that Excel writes."""


def test_a_workbook_goes_round_without_a_command_between(
    running_calc: Calc, in_calc: Callable[[Path], Worked], tmp_path: Path
) -> None:
    """Calc, spellings that Excel writes, Calc, a calculation without a program, Calc again; its sheets are protected."""
    calc = running_calc
    there = in_calc(template_folder() / "booth_estimate_us.xlsx")
    saved = Path(shutil.copy(there.saved, tmp_path))
    assert spellings(saved) == {"STILL_"}
    spelled_by_excel(saved)
    assert spellings(saved) == {theirs.format(name="") for theirs in THEIRS}
    job = Job.open(saved)
    sheets = calc.open(saved)
    assert calc.ask("modified") == [False, False]
    calc.ask("recalculate")
    every_formula_cell_is_the_same(job, calc, sheets)
    assert job.inputs["room_length"].value == dict([there.change])["room_length"]
    job.set({"room_length": 10.0})
    job.save(tmp_path / "job.xlsx")
    assert spellings(tmp_path / "job.xlsx") == {"STILL_"}
    sheets = calc.open(tmp_path / "job.xlsx")
    every_formula_cell_is_the_same(job, calc, sheets)
    calc.ask("recalculate")
    every_formula_cell_is_the_same(job, calc, sheets)
    assert spellings(calc.save(tmp_path / "again.xlsx")) == {"STILL_"}


def spelled_by_excel(path: Path) -> None:
    """Write the formulas of a workbook as other programs do, from call to call in another spelling."""
    archive = Archive(path.read_bytes())
    parts = {name: archive.read(name) for name in archive.names if name.endswith(".xml")}
    ours = rb"(?<![\w.!])STILL_(?=[A-Z][A-Z\d]*\()"
    theirs = cycle(spelling.format(name="").encode() for spelling in THEIRS)
    with_calls = {name: re.sub(ours, lambda _: next(theirs), part) for name, part in parts.items()}
    path.write_bytes(archive.with_parts({name: part for name, part in with_calls.items() if part != parts[name]}))
