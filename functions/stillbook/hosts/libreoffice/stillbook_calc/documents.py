"""Respelling the formulas of an open workbook, so that nothing else of it changes: no undo, no mark of a change."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from typing import Any

FORMULA = 16
"""Content of a cell: com.sun.star.sheet.CellFlags.FORMULA."""

SPREADSHEET = "com.sun.star.sheet.SpreadsheetDocument"


def respell(document: Any, change: Callable[[str], str]) -> int:
    """Respell all formulas of a workbook; gives how many. Protected sheets stay as they are.

    Args:
        document: A document as LibreOffice hands it over; what is no spreadsheet stays as it is.
        change: Gives the text that a formula is to have.
    """
    if document is None or not document.supportsService(SPREADSHEET):
        return 0
    wanted = [found for sheet in document.Sheets if not sheet.isProtected() for found in _unlike(sheet, change)]
    if wanted:
        with _quietly(document):
            for cells, text in wanted:
                _write(cells, text)
    return len(wanted)


def respell_range(document: Any, area: Any, change: Callable[[str], str]) -> int:
    """The same for cells that were just changed."""
    if area.Spreadsheet.isProtected():
        return 0
    wanted = list(_unlike(area, change))
    if wanted:
        with _quietly(document, keeps_mark=True):
            for cells, text in wanted:
                _write(cells, text)
    return len(wanted)


def _unlike(area: Any, change: Callable[[str], str]) -> Iterator[tuple[Any, str]]:
    """Cells whose formula is to be another, and that: a cell, or the whole area of an array formula."""
    seen: set[tuple[int, int]] = set()
    for found in area.queryContentCells(FORMULA):
        top = found.RangeAddress
        for row, formulas in enumerate(found.getFormulaArray()):
            for column, formula in enumerate(formulas):
                text = change(formula)
                place = (top.StartColumn + column, top.StartRow + row)
                if text == formula or place in seen:
                    continue
                cell = found.getCellByPosition(column, row)
                if not formula.startswith("{"):
                    yield cell, text
                    continue
                cursor = found.Spreadsheet.createCursorByRange(cell)
                cursor.collapseToCurrentArray()
                whole = cursor.RangeAddress
                seen |= {
                    (x, y)
                    for x in range(whole.StartColumn, whole.EndColumn + 1)
                    for y in range(whole.StartRow, whole.EndRow + 1)
                }
                yield cursor, text


def _write(cells: Any, text: str) -> None:
    if text.startswith("{"):
        cells.setArrayFormula(text[1:-1])
    else:
        cells.setFormula(text)


@contextmanager
def _quietly(document: Any, keeps_mark: bool = False) -> Iterator[None]:
    """Without a step to undo, without drawing or calculating in between, and with the mark of a change as it was."""
    changed = document.isModified() or keeps_mark
    undo = document.getUndoManager()
    automatic = document.isAutomaticCalculationEnabled()
    undo.lock()
    document.lockControllers()
    document.addActionLock()
    document.enableAutomaticCalculation(False)
    try:
        yield
    finally:
        document.enableAutomaticCalculation(automatic)
        document.removeActionLock()
        document.unlockControllers()
        undo.unlock()
        if not changed:
            _unmark(document)


def _unmark(document: Any) -> None:
    """Take the mark of a change away; a chart that has one gives it to its workbook again."""
    for sheet in document.Sheets:
        for chart in sheet.Charts:
            with suppress(Exception):
                chart.getEmbeddedObject().setModified(False)
    document.setModified(False)
