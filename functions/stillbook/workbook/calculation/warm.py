"""Some formulas of a workbook, read once and calculated again for other values of the cells that they look at.

The engine's own way to calculate after a change does not find all that depends on it, so each calculation has an engine
workbook of its own here too; but that holds the formulas in question alone, written as the engine takes them, and the
values of all other cells that they look at. Answers of our formulas are remembered (:mod:`.answers`).
"""

from __future__ import annotations

from collections.abc import Collection, Mapping

from stillbook.cells import Cell
from stillbook.workbook.calculation.answers import cell_of, kind_of
from stillbook.workbook.calculation.engine import SECONDS, Engine, within
from stillbook.workbook.calculation.reasons import Place
from stillbook.workbook.calculation.recalculate import CIRCLE, meant
from stillbook.workbook.calculation.spelling import with_one_cell_of_ranges
from stillbook.workbook.file.address import Area
from stillbook.workbook.file.package import Package
from stillbook.workbook.file.plain_sheet import plain_sheet
from stillbook.workbook.file.sheet import Key


class Warm:
    """Formulas of a workbook, ready to be calculated again and again.

    Args:
        package: The workbook, calculated; it may change or go afterwards.
        formulas: The cells whose formulas are calculated, each an ordinary one that fills its own cell.
        beside: All other cells that these look at, which keep their values but for those that are given.
    """

    def __init__(self, package: Package, formulas: Collection[Place], beside: Collection[Place]) -> None:
        self._package = Package(package.to_bytes())
        self._texts: dict[str, dict[Key, str]] = {sheet: {} for sheet in package.sheets}
        self._values: dict[str, dict[Key, Cell]] = {sheet: {} for sheet in package.sheets}
        written, self._several = meant(package, formulas)
        for (sheet, *at), text in written.items():
            self._texts[sheet][at[0], at[1]] = text
        for sheet, row, column in beside:
            self._values[sheet][row, column] = package.value(sheet, row, column)
        self._sheets = {sheet: self._sheet(sheet, {}, {}) for sheet in package.sheets}

    def calculate(
        self, values: Mapping[Place, Cell], asked: Collection[Place], *, seconds: float = SECONDS
    ) -> dict[Place, Cell] | None:
        """The values of formulas for other values of the cells beside them.

        Args:
            values: New values of some of these cells.
            asked: The cells wanted.
            seconds: How long it may take.

        Returns:
            The value of each cell asked for; None where only the whole workbook tells: formulas that go round in a
            circle, or use what is refused.

        Raises:
            WorkbookError: If the engine gives up, or it takes too long.
        """
        return within(seconds, lambda: self._loaded(values, {}), lambda engine: self._calculated(engine, values, asked))

    def _calculated(
        self, engine: Engine, values: Mapping[Place, Cell], asked: Collection[Place]
    ) -> dict[Place, Cell] | None:
        engine.evaluate()
        many = [at for at in self._several if engine.filled(at) != Area(*at[1:], *at[1:])]
        if many:
            engine = self._loaded(values, {at: with_one_cell_of_ranges(engine.formula(at)) for at in many})
            engine.evaluate()
        raw = {(sheet, *at): engine.value((sheet, *at)) for sheet, texts in self._texts.items() for at in texts}
        if engine.refusals or any(kind_of(value) == CIRCLE for value in raw.values()):
            return None
        return {at: cell_of(raw[at]) if at in raw else values.get(at, self._values[at[0]].get(at[1:])) for at in asked}

    def _loaded(self, values: Mapping[Place, Cell], held: Mapping[Place, str]) -> Engine:
        touched = {at[0] for at in (*values, *held)}
        sheets = {**self._sheets, **{sheet: self._sheet(sheet, values, held) for sheet in touched}}
        return Engine(self._package.with_sheets_for_engine(sheets), starts_1904=self._package.starts_1904)

    def _sheet(self, sheet: str, values: Mapping[Place, Cell], held: Mapping[Place, str]) -> bytes:
        other = {at[1:]: value for at, value in values.items() if at[0] == sheet}
        formulas = {at[1:]: text for at, text in held.items() if at[0] == sheet}
        return plain_sheet({**self._values[sheet], **other}, {**self._texts[sheet], **formulas})
