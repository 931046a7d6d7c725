"""One calculation of a workbook: every formula's new value, and every error with its reason."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Final

from stillbook.cells import Code, ErrorValue
from stillbook.workbook import WorkbookError
from stillbook.workbook.calculation.admitted import Around
from stillbook.workbook.calculation.answers import KINDS, cell_of, code_of, kind_of
from stillbook.workbook.calculation.definitions.cell_values import REFUSED, Refused
from stillbook.workbook.calculation.engine import FIT, SECONDS, Engine, within
from stillbook.workbook.calculation.reasons import Fault, Place, erring_sources, reasons
from stillbook.workbook.calculation.spelling import in_memory, with_one_cell_of_ranges
from stillbook.workbook.file.address import Area, cell_name, place, read_cell
from stillbook.workbook.file.package import Package
from stillbook.workbook.file.sheet import Change, FormulaCell, Key, SheetPart

_CIRCLE = "Circ"
_ALWAYS_ANEW = re.compile(r"\b(?:OFFSET|INDIRECT|NOW|TODAY|RAND|RANDBETWEEN)\(", re.IGNORECASE)
_ROWS = re.compile(r"(?<![\w.])(\$?[A-Z]{1,3}\$?)\d+(?![\w.(!:])", re.ASCII)
"""The row in the address of a single cell."""


@dataclass(frozen=True, slots=True)
class ErrorCell:
    """A cell whose formula gives an error, and why.

    Args:
        sheet: Its sheet.
        cell: Its address in the sheet.
        code: The error value it shows.
        reason: A sentence that says what is wrong or where the error comes from.
    """

    sheet: str
    cell: str
    code: Code
    reason: str

    @property
    def key(self) -> Place:
        """Sheet, row and column."""
        return (self.sheet, *(read_cell(self.cell) or (1, 1)))

    @property
    def place(self) -> str:
        """The cell with its sheet, as a formula names it."""
        return place(*self.key)


@dataclass(slots=True)
class Calculation:
    """What a calculation gives.

    Args:
        changes: New values by sheet and cell, of those cells alone whose stored result differs.
        errors: The cells that show an error, sheet by sheet.
        count: How many cells hold formulas.
    """

    changes: dict[str, dict[Key, Change]] = field(default_factory=dict)
    errors: list[ErrorCell] = field(default_factory=list)
    count: int = 0


def calculate(package: Package, *, seconds: float = SECONDS) -> Calculation:
    """Calculate all formulas of a workbook; the package is not changed.

    Args:
        package: The workbook.
        seconds: How long it may take.

    Raises:
        WorkbookError: If formulas refer to each other in a circle, the engine cannot load the workbook, or it takes
            too long.
    """

    if package.rounds_as_displayed:
        raise WorkbookError(
            'it is set to calculate with the numbers as displayed ("precision as displayed"), which is not done here: '
            "take that setting off in a spreadsheet program"
        )

    def load() -> Engine:
        return Engine(package.to_engine_bytes(), starts_1904=package.starts_1904)

    return within(seconds, load, lambda engine: _Run(package, engine).calculate())


class _Run:
    """The steps of one calculation."""

    def __init__(self, package: Package, engine: Engine) -> None:
        self.package = package
        self.engine = engine
        self.sheets: dict[str, SheetPart] = {name: package.sheet(name) for name in package.sheets}
        self.faults: list[Fault] = []
        self.refused: dict[Place, str] = {}
        self._known: dict[str, bool] = {}
        self.around = _around(package, self.sheets)
        self.memories = tuple(_memory(around) for around in self.around)

    def calculate(self) -> Calculation:
        for table in self.package.tables():
            self.engine.add_table(table)
        for sheet, part in self.sheets.items():
            self._respell(sheet, part)
        self.engine.evaluate()
        if self._settle():
            self.engine.evaluate()
        self._refuse_the_caught()
        result = Calculation()
        for sheet, part in self.sheets.items():
            result.count += len(part.formulas)
            if changes := self._collect(sheet, part):
                result.changes[sheet] = changes
        if self.faults:
            self._refuse_circles()
            result.errors = self._explained()
        return result

    def _respell(self, sheet: str, part: SheetPart) -> None:
        """Give the engine each formula as it is meant in the file, and an error in place of one that is not proved."""
        groups: dict[str, bool] = {}
        for at, formula in part.formulas.items():
            if formula.kind == "dataTable":
                continue
            shared = formula.kind == "shared"
            if shared and formula.text:
                groups[formula.group] = self._stays(formula.text)
            if shared and groups.get(formula.group):
                continue
            text = self.engine.formula((sheet, *at)) if shared else formula.text
            is_array = formula.kind == "array"
            if not is_array and not shared and self._stays(text):
                continue
            neutral = in_memory(text)
            try:
                wanted = self._prepared(neutral, is_array=is_array) or neutral
            except Refused as refused:
                self.refused[sheet, *at] = str(refused)
                self.engine.refuse((sheet, *at), refused)
                continue
            if wanted != text:
                self.engine.set_formula((sheet, *at), f"={wanted}")

    def _prepared(self, neutral: str, *, is_array: bool) -> str | None:
        """A formula as the engine is to take it, remembered over calculations of workbooks with the same names.

        Raises:
            Refused: If it uses what is not proved.
        """
        memory = self.memories[is_array]
        if neutral not in memory:
            try:
                memory[neutral] = self.engine.prepare(neutral, self.around[is_array])
            except Refused as refused:
                memory[neutral] = refused
        known = memory[neutral]
        if isinstance(known, Refused):
            raise known
        return known

    def _stays(self, text: str) -> bool:
        """Whether an ordinary formula may stay as it stands in the file; asked once for all rows of a column."""
        pattern = _ROWS.sub(r"\1#", text)
        known = self._known.get(pattern)
        if known is None:
            neutral = in_memory(text)
            try:
                known = neutral == text and self._prepared(neutral, is_array=False) is None
            except Refused:
                known = False
            self._known[pattern] = known
        return known

    def _refuse_the_caught(self) -> None:
        """Refuse the formulas that caught a refusal in them, as IFERROR does, and went on without the value."""
        if not self.engine.refusals:
            return
        told = dict(self.engine.refusals)
        column = self._free_column()
        candidates = {}
        for sheet, part in self.sheets.items():
            for at, formula in part.formulas.items():
                if formula.kind == "dataTable" or (sheet, *at) in self.refused:
                    continue
                text = self.engine.formula((sheet, *at))
                name = next((name for name in told if name in text.upper()), None)
                if name and kind_of(self.engine.value((sheet, *at))) != REFUSED:
                    candidates[sheet, at] = text
                elif name and _ALWAYS_ANEW.search(text):
                    # It would refuse again with every question.
                    self.refused[sheet, *at] = told[name]
                    self.engine.refuse((sheet, *at), Refused(told[name]))
        # Those that are calculated anew with every question come first: they would answer for all others.
        for (sheet, at), text in sorted(candidates.items(), key=lambda item: _ALWAYS_ANEW.search(item[1]) is None):
            if why := self.engine.why_refused((sheet, at[0], column), text):
                self.refused[sheet, *at] = why
                self.engine.refuse((sheet, *at), Refused(why))
            self.engine.set_formula((sheet, at[0], column), "=0")
        self.engine.refusals.update(told)
        self.engine.evaluate()

    def _free_column(self) -> int:
        return 2 + max((at[1] for part in self.sheets.values() for at in (*part.stored, *part.formulas)), default=1)

    def _settle(self) -> bool:
        """Hold results of several cells to the cells the file gives them; whether any formula had to be set anew."""
        changed = False
        for sheet, part in self.sheets.items():
            for (row, column), formula in part.formulas.items():
                if formula.spills or formula.kind == "dataTable":
                    continue
                at = (sheet, row, column)
                area = formula.area or Area(row, column, row, column)
                if self.engine.filled(at) == area:
                    continue
                text = self.engine.formula(at)
                # Of a result with several cells an ordinary formula shows the first, an array formula those it has.
                one = formula.area is None
                held = with_one_cell_of_ranges(text) if one else f"{FIT}({area.rows},{area.columns},{text})"
                self.engine.set_formula(at, f"={held}")
                changed = True
        return changed

    # --- results ------------------------------------------------------------------------------------------------------

    def _collect(self, sheet: str, part: SheetPart) -> dict[Key, Change]:
        """The changed results of a sheet; the errors are noted."""
        changes: dict[Key, Change] = {}
        for at, formula in part.formulas.items():
            if formula.kind == "dataTable":
                continue
            area, stale = self._extent(sheet, at, formula)
            alike = self._is_error_for_all(sheet, at, formula)
            for cell in area.cells():
                raw = self.engine.value((sheet, *(at if alike else cell)))
                if kind := kind_of(raw):
                    self.faults.append(Fault((sheet, *at), (sheet, *cell), kind, self._text(sheet, at)))
                grown = area if formula.spills and cell == at and area != formula.area else None
                if grown or not self._is_stored(sheet, cell, raw):
                    changes[cell] = Change(cell_of(raw), calculated=True, area=grown)
            for cell in stale:
                changes.setdefault(cell, Change(None))
        return changes

    def _extent(self, sheet: str, at: Key, formula: FormulaCell) -> tuple[Area, list[Key]]:
        """The cells a formula fills now, and those it filled before and does no longer."""
        alone = Area(*at, *at)
        if not formula.spills:
            return formula.area or alone, []
        filled = self.engine.filled((sheet, *at)) or alone
        before = formula.area.cells() if formula.area else []
        others = self.sheets[sheet].formulas
        return filled, [cell for cell in before if not filled.holds(*cell) and cell not in others]

    def _is_error_for_all(self, sheet: str, at: Key, formula: FormulaCell) -> bool:
        """Whether an array formula has one error for all its cells, which the engine shows in the first alone."""
        if formula.area is None or formula.spills or not kind_of(self.engine.value((sheet, *at))):
            return False
        return self.engine.filled((sheet, *at)) != formula.area

    def _is_stored(self, sheet: str, at: Key, raw: Any) -> bool:
        """Whether the file already shows this result."""
        if at not in self.sheets[sheet].stored:
            return False
        value, stored = cell_of(raw), self.package.value(sheet, *at)
        return type(value) is type(stored) and value == stored

    def _text(self, sheet: str, at: Key) -> str:
        """A formula as the file means it, without what was put around it here."""
        stored = self.sheets[sheet].formulas[at].text
        return in_memory(stored) if stored else self.engine.formula((sheet, *at))

    def _refuse_circles(self) -> None:
        circle = {fault.shown: fault.kind for fault in self.faults if fault.kind == _CIRCLE}
        if not circle:
            return
        path: list[Place] = []
        at: Place | None = next(iter(circle))
        while at is not None and at not in path:
            path.append(at)
            at = next(erring_sources(self.engine, at, circle), None)
        loop = path[path.index(at) :] if at else path
        if len(loop) == 1:
            raise WorkbookError(f"the formula in {place(*loop[0])} refers to itself: take that reference out")
        shown = [place(*at) for at in loop]
        names = ", ".join(shown if len(shown) <= 12 else [*shown[:12], f"and {len(shown) - 12} more"])
        raise WorkbookError(f"the formulas in {names} refer to each other in a circle: take one of the references out")

    def _explained(self) -> list[ErrorCell]:
        """Each error cell with its reason."""
        constants: dict[Place, str] = {}
        for sheet, part in self.sheets.items():
            for at, (stored, _) in part.stored.items():
                value = self.package.value(sheet, *at) if stored == "e" and at not in part.formulas else None
                if isinstance(value, ErrorValue):
                    constants[sheet, *at] = KINDS[value.code]
        free = self._free_column() + 1
        names = [name.name for name in self.package.names]
        self._ask_the_refusing(free)
        why = reasons(
            self.engine, self.faults, refused=self.refused, constants=constants, names=names, free_column=free + 1
        )
        return [
            ErrorCell(fault.shown[0], cell_name(*fault.shown[1:]), code_of(fault.kind), why[fault.shown])
            for fault in self.faults
        ]

    def _ask_the_refusing(self, column: int) -> None:
        """Note why each formula refused that did so while it was calculated."""
        told = dict(self.engine.refusals)
        for fault in self.faults if told else ():
            text = self.engine.formula(fault.home)
            if fault.kind == REFUSED and fault.home not in self.refused and any(name in text.upper() for name in told):
                sheet, row, _ = fault.home
                if why := self.engine.why_refused((sheet, row, column), text):
                    self.refused[fault.home] = why
        self.engine.refusals.update(told)


_Memory = dict[str, str | Refused | None]
_MEMORIES: Final[dict[object, _Memory]] = {}
_MOST_MEMORIES: Final = 16
_MOST_FORMULAS: Final = 50_000


def _memory(around: Around) -> _Memory:
    """What is known of formulas that stand in such a workbook, as jobs of one template do."""
    key = (around.is_array, around.many, frozenset(around.named.items()), around.last_row, around.hides_rows)
    if len(_MEMORIES) >= _MOST_MEMORIES and key not in _MEMORIES:
        _MEMORIES.clear()
    memory = _MEMORIES.setdefault(key, {})
    if len(memory) > _MOST_FORMULAS:
        memory.clear()
    return memory


def _around(package: Package, sheets: Mapping[str, SheetPart]) -> tuple[Around, Around]:
    """What ordinary formulas and array formulas stand in."""
    named = {name.name.casefold(): name.refers_to for name in package.names}
    many = frozenset(
        name.name.casefold()
        for name in package.names
        if (cells := name.cells) is None or cells[1].rows * cells[1].columns > 1
    )
    uses_subtotals = any(
        "SUBTOTAL" in formula.text.upper() for part in sheets.values() for formula in part.formulas.values()
    )
    last = max((row for part in sheets.values() for row, _ in (*part.stored, *part.formulas)), default=1)
    ordinary = Around(many=many, named=named, last_row=last, hides_rows=uses_subtotals and package.hides_rows)
    return ordinary, replace(ordinary, is_array=True)
