"""Respelling an open workbook, which is stood in for as far as it is touched."""

from __future__ import annotations

from collections.abc import Iterator
from types import SimpleNamespace
from typing import Any

import pytest

from stillbook.hosts.libreoffice.stillbook_calc.documents import FORMULA, SPREADSHEET, respell, respell_range, settle


def shouted(formula: str) -> str:
    return formula.upper()


class Cells:
    """A block of a sheet, and every part of it that is asked for, by LibreOffice's names."""

    def __init__(self, sheet: Sheet, left: int, top: int, right: int, bottom: int) -> None:
        self.Spreadsheet = sheet
        self.RangeAddress = SimpleNamespace(StartColumn=left, StartRow=top, EndColumn=right, EndRow=bottom)

    @property
    def places(self) -> list[list[tuple[int, int]]]:
        at = self.RangeAddress
        return [[(x, y) for x in range(at.StartColumn, at.EndColumn + 1)] for y in range(at.StartRow, at.EndRow + 1)]

    def getFormulaArray(self) -> tuple[tuple[str, ...], ...]:  # noqa: N802
        return tuple(tuple(self.Spreadsheet.formulas.get(place, "") for place in row) for row in self.places)

    def getCellByPosition(self, column: int, row: int) -> Cells:  # noqa: N802
        x, y = self.RangeAddress.StartColumn + column, self.RangeAddress.StartRow + row
        return Cells(self.Spreadsheet, x, y, x, y)

    def queryContentCells(self, kind: int) -> Iterator[Cells]:  # noqa: N802
        assert kind == FORMULA
        yield self

    def collapseToCurrentArray(self) -> None:  # noqa: N802
        at = self.RangeAddress
        left, top, right, bottom = self.Spreadsheet.array
        at.StartColumn, at.StartRow, at.EndColumn, at.EndRow = left, top, right, bottom

    def setFormula(self, text: str) -> None:  # noqa: N802
        self._set(text)

    def setArrayFormula(self, text: str) -> None:  # noqa: N802
        self._set(f"{{{text}}}")

    def _set(self, text: str) -> None:
        book = self.Spreadsheet.book
        assert (book.locks, book.automatic) == (["undo", "controllers", "actions"], False)
        self.Spreadsheet.written.append(text)
        self.Spreadsheet.formulas.update({place: text for row in self.places for place in row})
        book.modified = True


class Sheet(Cells):
    """A sheet of formulas by column and row, one of them an array formula over an area."""

    def __init__(self, book: Book, formulas: dict[tuple[int, int], str], *, protected: bool = False) -> None:
        self.book = book
        self.formulas = formulas
        self.protected = protected
        self.password = ""
        self.array = (0, 0, 0, 0)
        self.written: list[str] = []
        self.Charts = [SimpleNamespace(getEmbeddedObject=lambda: SimpleNamespace(setModified=self._quiet))]
        self.quiet_charts = 0
        self.bare = False
        super().__init__(self, 0, 0, 2, 2)

    def _quiet(self, modified: bool) -> None:
        assert not modified
        self.quiet_charts += 1

    def isProtected(self) -> bool:  # noqa: N802
        return self.protected

    def unprotect(self, password: str) -> None:
        if password != self.password:
            raise ValueError
        self.protected = False
        if self.book.keeps_steps:
            self.book.steps.append(lambda: setattr(self, "protected", True))
        self.book.modified = True

    def protect(self, _: str) -> None:
        self.protected = True
        self.bare = True

    def createCursorByRange(self, cell: Cells) -> Cells:  # noqa: N802
        at = cell.RangeAddress
        return Cells(self, at.StartColumn, at.StartRow, at.EndColumn, at.EndRow)


class Book:
    """An open workbook: its sheets, whether it is marked as changed, and what is locked."""

    def __init__(self, *, modified: bool = False) -> None:
        self.Sheets: list[Sheet] = []
        self.modified = modified
        self.automatic = True
        self.locks: list[str] = []
        self.steps: list[Any] = []
        self.redo = 0
        self.keeps_steps = True
        self.calculated = 0

    def supportsService(self, name: str) -> bool:  # noqa: N802
        return name == SPREADSHEET

    def getUndoManager(self) -> Any:  # noqa: N802
        return SimpleNamespace(
            lock=lambda: self.locks.append("undo"),
            unlock=lambda: self.locks.remove("undo"),
            isLocked=lambda: "undo" in self.locks,
            getAllUndoActionTitles=lambda: tuple(map(id, self.steps)),
            undo=self._undo,
            clearRedo=lambda: setattr(self, "redo", 0),
        )

    def _undo(self) -> None:
        assert self.locks == []
        self.redo += 1
        self.modified = True
        self.steps.pop()()

    def lockControllers(self) -> None:  # noqa: N802
        self.locks.append("controllers")

    def unlockControllers(self) -> None:  # noqa: N802
        self.locks.remove("controllers")

    def addActionLock(self) -> None:  # noqa: N802
        self.locks.append("actions")

    def removeActionLock(self) -> None:  # noqa: N802
        self.locks.remove("actions")

    def isAutomaticCalculationEnabled(self) -> bool:  # noqa: N802
        return self.automatic

    def enableAutomaticCalculation(self, automatic: bool) -> None:  # noqa: N802
        self.automatic = automatic

    def calculate(self) -> None:
        self.calculated += 1
        self.modified = True

    def isModified(self) -> bool:  # noqa: N802
        return self.modified

    def setModified(self, modified: bool) -> None:  # noqa: N802
        assert modified or all(sheet.quiet_charts for sheet in self.Sheets), (
            "a chart gives its mark back to the workbook"
        )
        self.modified = modified


def book(*sheets: dict[tuple[int, int], str], modified: bool = False) -> Book:
    made = Book(modified=modified)
    made.Sheets = [Sheet(made, formulas) for formulas in sheets]
    return made


def test_formulas_that_are_to_be_others_are_written_alone() -> None:
    made = book({(0, 0): "=a", (1, 0): "=B", (2, 2): "=c"}, {(0, 0): "=D"})
    assert respell(made, shouted) == 2
    assert [sheet.written for sheet in made.Sheets] == [["=A", "=C"], []]
    assert made.locks == []
    assert made.automatic


def test_an_array_formula_is_written_once_over_its_whole_area() -> None:
    made = book({(x, y): "{=a}" for x in (0, 1) for y in (1, 2)} | {(2, 0): "=b"})
    made.Sheets[0].array = (0, 1, 1, 2)
    assert respell(made, shouted) == 2
    assert made.Sheets[0].written == ["=B", "{=A}"]
    assert {made.Sheets[0].formulas[place] for place in ((0, 1), (1, 1), (0, 2), (1, 2))} == {"{=A}"}


def test_protected_sheets_are_opened_for_it_and_then_are_what_they_were() -> None:
    made = book({(0, 0): "=a"}, {(0, 0): "=b"}, {(0, 0): "=C"}, {(0, 0): "=d"})
    for sheet in made.Sheets[:3]:
        sheet.protected = True
    made.steps.append("the user's own")
    assert respell(made, shouted) == 3
    assert [sheet.written for sheet in made.Sheets] == [["=A"], ["=B"], [], ["=D"]]
    assert [sheet.protected for sheet in made.Sheets] == [True, True, True, False]
    assert not any(sheet.bare for sheet in made.Sheets), "no permission is lost"
    assert (made.steps, made.redo, made.modified, made.locks) == (["the user's own"], 0, False, [])


def test_a_sheet_with_a_password_stays_as_it_is() -> None:
    made = book({(0, 0): "=a"}, {(0, 0): "=b"})
    made.Sheets[0].protected, made.Sheets[0].password = True, "secret"
    assert respell(made, shouted) == 1
    assert (made.Sheets[0].written, made.Sheets[0].protected) == ([], True)
    assert respell_range(made, Cells(made.Sheets[0], 0, 0, 0, 0), shouted) == 1, "what was typed there may be written"


def test_where_no_steps_are_kept_a_protected_sheet_stays_protected() -> None:
    made = book({(0, 0): "=a"})
    made.keeps_steps = False
    made.Sheets[0].protected = True
    assert respell(made, shouted) == 0
    assert (made.Sheets[0].written, made.Sheets[0].protected) == ([], True)


@pytest.mark.parametrize("modified", [False, True])
def test_the_mark_of_a_change_stays_as_it_was(modified: bool) -> None:
    made = book({(0, 0): "=a"}, modified=modified)
    respell(made, shouted)
    assert made.modified is modified


def test_cells_that_were_just_changed_keep_their_mark() -> None:
    made = book({(0, 0): "=a", (1, 1): "=b"}, modified=True)
    assert respell_range(made, Cells(made.Sheets[0], 1, 1, 1, 1), shouted) == 1
    assert made.Sheets[0].written == ["=B"]
    assert made.modified


def test_where_nothing_is_to_be_written_nothing_is_touched() -> None:
    made = book({(0, 0): "=A"})
    assert respell(made, shouted) == respell_range(made, made.Sheets[0], shouted) == 0
    assert made.Sheets[0].quiet_charts == 0


@pytest.mark.parametrize(
    ("formulas", "automatic", "settled"),
    [(["=A1", "=OURS(1)"], True, True), (["=A1"], True, False), (["=OURS(1)"], False, False), ([], True, False)],
)
def test_a_workbook_of_ours_is_calculated_where_its_values_were_dropped(
    formulas: list[str], automatic: bool, settled: bool
) -> None:
    made = book({}, {(place, 0): formula for place, formula in enumerate(formulas)})
    made.automatic = automatic
    assert settle(made, lambda formula: "OURS(" in formula) is settled
    assert (made.calculated, made.modified) == (int(settled), False)


@pytest.mark.parametrize("document", [None, SimpleNamespace(supportsService=lambda _: False)])
def test_what_is_no_spreadsheet_is_left_alone(document: Any) -> None:
    assert respell(document, shouted) == 0
    assert not settle(document, lambda _: True)


def test_a_failure_leaves_nothing_locked(monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*_: object) -> None:
        raise RuntimeError

    monkeypatch.setattr(Cells, "setFormula", fails)
    made = book({(0, 0): "=a"})
    with pytest.raises(RuntimeError):
        respell(made, shouted)
    assert (made.locks, made.automatic, made.modified) == ([], True, False)
