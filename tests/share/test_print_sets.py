"""Sets of prints: which sheets go to whom, as the workbooks themselves say."""

from __future__ import annotations

from pathlib import Path

import openpyxl
import pytest
from openpyxl.workbook.defined_name import DefinedName

from stillbook.share.print_sets import sheets_of_set
from stillbook.templates.shipped import folder as template_folder
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.package import Package
from stillbook.workbook.job.audience import PrintSet


@pytest.mark.parametrize(
    ("name", "client", "site"),
    [
        ("booth_estimate", ["Proposal"], ["Shell", "Doors", "Ducts", "Wiring", "Scope"]),
        ("room_conversion", ["Proposal"], ["Surfaces", "Doors", "Ducts", "Wiring", "Scope"]),
        ("door_schedule", ["Proposal"], ["Drawn door", "Scope", "Door list"]),
        ("air_schedule", ["Report"], ["Ducts", "Scope"]),
    ],
)
@pytest.mark.parametrize("system", ["us", "si"])
def test_what_the_shipped_workbooks_say(name: str, system: str, client: list[str], site: list[str]) -> None:
    package = Package.open(template_folder() / f"{name}_{system}.xlsx")
    assert sheets_of_set(package, "client") == client
    assert sheets_of_set(package, "site") == site
    typed_or_looked_up = ("Names", "Lists", "Drawing", "Unit costs", "Own lines", "Assemblies", "Alternates", "Leaves")
    closed = ("Inputs",) if name in ("booth_estimate", "room_conversion") else ()
    assert sheets_of_set(package, "office") == [
        each for each in package.sheets if each not in (*typed_or_looked_up, *closed)
    ]


@pytest.mark.parametrize(
    ("name", "wanted", "message"),
    [
        ("price_book", "client", "for the office only"),
        ("price_book", "site", "for the office only"),
        ("bid_comparison", "client", "does not say what a client may see"),
        ("quick_quote", "site", "does not say what a contractor may see"),
    ],
)
def test_a_set_that_a_workbook_does_not_have_is_refused(name: str, wanted: PrintSet, message: str) -> None:
    with pytest.raises(WorkbookError, match=message):
        sheets_of_set(Package.open(template_folder() / f"{name}_us.xlsx"), wanted)


def made(path: Path, *, prints: str = "", state: str = "visible") -> Package:
    book = openpyxl.Workbook()
    page = book.active
    assert page is not None
    page.title = "Page"
    page["A1"], page["A9"] = "for you", "our margin"
    page.defined_names.add(DefinedName("shown_to_client", attr_text="Page!$A$1:$C$3"))
    page.print_area = prints or None
    page.sheet_state = state
    book.create_sheet("Empty")
    book.create_sheet("Kept")["A1"] = 1
    book.create_sheet("Apart")["A1"] = 1
    book["Apart"].sheet_state = "hidden"
    book.save(path)
    return Package.open(path)


def test_a_page_prints_no_more_than_its_reader_may_see(tmp_path: Path) -> None:
    package = made(tmp_path / "a.xlsx", prints="A1:C20")
    assert sheets_of_set(package, "client") == ["Page"]
    assert [(area.first_row, area.last_row) for area in package.print_areas("Page")] == [(1, 3)]
    with pytest.raises(WorkbookError, match="would print cells that a client is not shown: set its print area"):
        sheets_of_set(made(tmp_path / "b.xlsx"), "client")
    with pytest.raises(WorkbookError, match="the sheet Page is hidden"):
        sheets_of_set(made(tmp_path / "c.xlsx", state="hidden"), "client")


def test_the_office_keeps_no_hidden_and_no_empty_sheet(tmp_path: Path) -> None:
    assert sheets_of_set(made(tmp_path / "a.xlsx"), "office") == ["Page", "Kept"]
