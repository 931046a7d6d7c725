"""The panel beside a sheet, Excel stood in for."""

from __future__ import annotations

from typing import Any

import pytest

from hosts.browser.browsing import Sheet

pytestmark = pytest.mark.host


def cell(sheet: Sheet, address: str) -> Any:
    """What a cell of the workbook holds."""
    name, _, place = address.rpartition("!")
    return sheet.page.evaluate("([s, c]) => excel.book.sheets[s].cells[c]", [name, place])


def test_a_formula_is_inserted_in_the_active_cell(sheet: Sheet) -> None:
    sheet.page.evaluate("excel.select('Sheet1!C5')")
    sheet.formula("DOORTARGETMASS")
    sheet.type(side_masses="4.4", width="36 in", height="80")
    sheet.answer("88")
    sheet.page.get_by_role("button", name="Insert in the active cell").click()
    sheet.page.get_by_text("Inserted in Sheet1!C5.").wait_for()
    assert cell(sheet, "Sheet1!C5") == {"formula": '=STILL.DOORTARGETMASS(4.4,"36 in",80)'}


def test_selected_cells_become_an_argument(sheet: Sheet) -> None:
    sheet.page.evaluate(
        "excel.fill({'Door list!B2': 'Gypsum board 5/8 in type X', 'Door list!C2': '', 'Door list!D2': 2, 'Door list!B3': ''})"
    )
    sheet.formula("SURFACEMASS")
    sheet.page.evaluate("excel.select(\"'Door list'!B2:D4\")")
    sheet.page.get_by_role("button", name="Selected cells as leaf").click()
    sheet.answer("4.4")
    sheet.page.evaluate("excel.select('Sheet1!A1')")
    sheet.page.get_by_role("button", name="Insert in the active cell").click()
    sheet.page.get_by_text("Inserted in Sheet1!A1.").wait_for()
    assert cell(sheet, "Sheet1!A1") == {"formula": "=STILL.SURFACEMASS('Door list'!B2:D4)"}


def test_an_error_in_a_named_cell_comes_through(sheet: Sheet) -> None:
    sheet.page.evaluate("excel.fill({'Sheet1!B1': '#DIV/0!'})")
    sheet.formula("HINGES")
    sheet.type(mass="=Sheet1!B1", height="80")
    sheet.answer("Error #DIV/0!")
    sheet.type(mass="=Nowhere!B1")
    sheet.answer("there is no sheet Nowhere")


def test_a_protected_sheet_takes_no_formula(sheet: Sheet) -> None:
    sheet.page.evaluate("excel.book.sheets.Sheet1.protection = { options: {} }")
    sheet.formula("HINGES")
    sheet.type(mass="90", height="80")
    sheet.page.get_by_role("button", name="Insert in the active cell").click()
    sheet.page.get_by_text("Excel did not take it: The sheet is protected.").wait_for()


def test_why_begins_with_the_selected_cell(sheet: Sheet) -> None:
    sheet.page.evaluate("excel.fill({'Doors!F4': '', 'Shell!C7': ''})")
    assert sheet.call("HINGES", -2, 80, cell="Doors!F4") == {"code": "#NUM!", "message": ""}
    sheet.call("SURFACEMASS", "88 lb", cell="Shell!C7")
    sheet.page.evaluate("excel.select('Sheet1!Z99')")
    page = sheet.open("why")
    page.get_by_text("No error of this cell is known.").wait_for()
    page.evaluate("excel.select('Doors!F4')")
    page.get_by_role("heading", name="Selected cell Doors!F4").wait_for()
    assert page.locator(".chosen li").inner_text().splitlines()[0].startswith("#NUM!")
    assert "Mass is -2 lb: give more than 0 lb" in page.locator(".chosen li").inner_text()
    page.get_by_role("button", name="Go to Shell!C7").first.click()
    page.get_by_role("heading", name="Selected cell Shell!C7").wait_for()
    assert page.evaluate("[excel.book.active, excel.book.selected]") == ["Shell", "C7"]


# A formula as a workbook from elsewhere holds it, and as the add-in enters it again.
SPELLINGS = [
    ("=STILL_DOORMASS(60)", "=STILL.DOORMASS(60)"),
    ("=still_DoorMass(60)", "=STILL.DOORMASS(60)"),
    ("=_xldudf_STILL_HINGES(A1,B1)*2", "=STILL.HINGES(A1,B1)*2"),
    ("=_xludf.STILL_HINGES(A1,B1)", "=STILL.HINGES(A1,B1)"),
    ("=[1]!STILL_HINGES(A1,B1)", "=STILL.HINGES(A1,B1)"),
    ("='C:\\add-ins\\Still''s.xlam'!STILL_HINGES(A1,B1)", "=STILL.HINGES(A1,B1)"),
    ('=STILL_QUANTITY("STILL_HINGES(1)","in")', '=STILL.QUANTITY("STILL_HINGES(1)","in")'),
    ("=SUM('STILL_HINGES(1)'!A1,STILL_PACKS(A1,2))", "=SUM('STILL_HINGES(1)'!A1,STILL.PACKS(A1,2))"),
    ("=STILL.HINGES(A1,B1)", None),
    ("=SUM(A1:A9)+STILL_ROOM", None),
    ("STILL_HINGES(1)", None),
]


def test_a_formula_is_spelled_for_this_add_in(sheet: Sheet) -> None:
    module = f"{sheet.service.service.address}/panel/parts/sheet.js"
    for before, after in SPELLINGS:
        spelled = sheet.page.evaluate("async ([m, f]) => (await import(m)).respelled(f)", [module, before])
        assert spelled == (
            after or before if before.startswith("=") else before.replace("STILL_HINGES", "STILL.HINGES")
        ), before


def test_the_formulas_of_a_workbook_are_entered_again(sheet: Sheet) -> None:
    sheet.page.evaluate(
        """excel.fill({
            'Doors!B2': 36, 'Doors!C4': '=STILL_HINGES(B2,80)', 'Doors!C5': '=SUM(B2:B3)', 'Doors!C6': 'STILL_HINGES(1)',
            'Shell!C7': '=_xldudf_STILL_SURFACEMASS(B2:D4)', 'Locked!A1': '=STILL_PACKS(1,2)', 'Closed!A1': '=STILL_PACKS(1,2)',
        });
        excel.book.sheets.Empty = { cells: {} };
        excel.book.sheets.Locked.protection = { options: { allowFormatCells: true } };
        excel.book.sheets.Closed.protection = { options: {}, password: 'secret' };"""
    )
    page = sheet.open("set-up")
    page.get_by_role("button", name="Enter its formulas again").click()
    page.get_by_text("3 formulas entered again. Left as it was: Closed: The password is missing.").wait_for()
    assert cell(sheet, "Doors!C4") == {"formula": "=STILL.HINGES(B2,80)"}
    assert cell(sheet, "Doors!C5") == {"formula": "=SUM(B2:B3)"}
    assert cell(sheet, "Doors!C6") == {"value": "STILL_HINGES(1)"}
    assert cell(sheet, "Shell!C7") == {"formula": "=STILL.SURFACEMASS(B2:D4)"}
    assert cell(sheet, "Locked!A1") == {"formula": "=STILL.PACKS(1,2)"}
    assert cell(sheet, "Closed!A1") == {"formula": "=STILL_PACKS(1,2)"}
    assert page.evaluate("excel.book.sheets.Locked.protection") == {"options": {"allowFormatCells": True}}


def test_everything_is_calculated_again_on_demand(sheet: Sheet) -> None:
    before = sheet.page.evaluate("excel.book.calculated")
    page = sheet.open("set-up")
    page.get_by_role("button", name="Calculate everything again").click()
    page.get_by_text("Calculated again.").wait_for()
    assert page.evaluate("excel.book.calculated") == before + 1
