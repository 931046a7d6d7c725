"""Respelling the formulas of an open workbook, so that nothing else of it changes: no undo, no mark of a change."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from typing import Any

FORMULA = 16
"""Content of a cell: com.sun.star.sheet.CellFlags.FORMULA."""

SPREADSHEET = "com.sun.star.sheet.SpreadsheetDocument"


def respell(document: Any, change: Callable[[str], str]) -> int:
    """Respell all formulas of a workbook; gives how many. Sheets protected with a password stay as they are.

    Args:
        document: A document as LibreOffice hands it over; what is no spreadsheet stays as it is.
        change: Gives the text that a formula is to have.
    """
    if document is None or not document.supportsService(SPREADSHEET):
        return 0
    every = [(sheet, list(_unlike(sheet, change))) for sheet in document.Sheets]
    wanted = [(sheet, found) for sheet, found in every if found]
    if not wanted:
        return 0
    with _mark_kept(document), _unprotected(document, [sheet for sheet, _ in wanted]):
        writable = [each for sheet, found in wanted if not sheet.isProtected() for each in found]
        _write_all(document, writable)
    return len(writable)


def respell_range(document: Any, area: Any, change: Callable[[str], str]) -> int:
    """The same for cells that were just changed, which a person may type into on a protected sheet too."""
    wanted = list(_unlike(area, change))
    _write_all(document, wanted)
    return len(wanted)


def settle(document: Any, ours: Callable[[str], bool]) -> bool:
    """Calculate what LibreOffice has dropped the kept value of as it opened a workbook of ours; gives whether it did.

    Such a cell counts as out of date until it is looked at, and a change of an input goes no further than to it: what
    depends on it would keep an old number.

    Args:
        document: A document that was just opened.
        ours: Tells a formula of ours.
    """
    if document is None or not document.supportsService(SPREADSHEET) or not document.isAutomaticCalculationEnabled():
        return False
    if not any(ours(formula) for sheet in document.Sheets for formula in _formulas(sheet)):
        return False
    with _mark_kept(document):
        document.calculate()
    return True


def _formulas(sheet: Any) -> Iterator[str]:
    for found in sheet.queryContentCells(FORMULA):
        for row in found.getFormulaArray():
            yield from row


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


def _write_all(document: Any, wanted: Sequence[tuple[Any, str]]) -> None:
    if not wanted:
        return
    with _quietly(document):
        for cells, text in wanted:
            if text.startswith("{"):
                cells.setArrayFormula(text[1:-1])
            else:
                cells.setFormula(text)


@contextmanager
def _quietly(document: Any) -> Iterator[None]:
    """Without a step to undo, and without drawing or calculating in between."""
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


@contextmanager
def _unprotected(document: Any, sheets: Sequence[Any]) -> Iterator[None]:
    """With protected sheets opened, if they have no password, and after that as protected as they were.

    LibreOffice's bridge protects a sheet with the usual permissions alone. Undoing brings back those that it had.
    """
    undo = document.getUndoManager()
    opened = []
    for sheet in sheets:
        if not sheet.isProtected() or undo.isLocked():
            continue
        steps = undo.getAllUndoActionTitles()
        with suppress(Exception):  # a password
            sheet.unprotect("")
        if sheet.isProtected():
            continue
        if undo.getAllUndoActionTitles() == steps:  # the user keeps no steps to undo
            sheet.protect("")
        else:
            opened.append(sheet)
    try:
        yield
    finally:
        for _ in opened:
            undo.undo()
        if opened:
            undo.clearRedo()


@contextmanager
def _mark_kept(document: Any) -> Iterator[None]:
    """With the mark of a change as it was; a chart that has one gives it to its workbook again."""
    changed = document.isModified()
    try:
        yield
    finally:
        if not changed:
            for sheet in document.Sheets:
                for chart in sheet.Charts:
                    with suppress(Exception):
                        chart.getEmbeddedObject().setModified(False)
            document.setModified(False)
