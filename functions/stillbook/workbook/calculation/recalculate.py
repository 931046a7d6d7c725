"""One calculation of a workbook: every formula's new value, and every error with its reason."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Final, NamedTuple

from stillbook.cells import Code, ErrorValue
from stillbook.workbook import WorkbookError
from stillbook.workbook.calculation.admitted import Around
from stillbook.workbook.calculation.answers import KINDS, cell_of, code_of, kind_of
from stillbook.workbook.calculation.definitions.cell_values import REFUSED, Refused
from stillbook.workbook.calculation.engine import FIT, SECONDS, Engine, Prepared, prepare, readable, refusal, within
from stillbook.workbook.calculation.reasons import Fault, Place, erring_sources, reasons
from stillbook.workbook.calculation.shapes import FIRST, filled, shape
from stillbook.workbook.calculation.spelling import in_memory, with_one_cell_of_ranges
from stillbook.workbook.file.address import Area, cell_name, place, read_cell
from stillbook.workbook.file.package import DefinedName, Package
from stillbook.workbook.file.sheet import Change, FormulaCell, Key, SheetPart

CIRCLE: Final = "Circ"
"""The kind of error of formulas that refer to each other in a circle."""

ALWAYS_ANEW: Final = re.compile(r"\b(?:OFFSET|INDIRECT|NOW|TODAY|RAND|RANDBETWEEN)\(", re.IGNORECASE)
"""Functions whose value, or what they look at, no reading of the formula tells."""

_CONSTANT: Final = re.compile(r"[+-]?[\d.]+(?:E[+-]?\d+)?%?|\"(?:[^\"]|\"\")*\"|#[A-Z0-9/!?]+", re.IGNORECASE)
"""What a defined name may stand for beside cells."""


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
    run = _Run(package)
    return within(seconds, run.load, lambda _: run.calculate())


def meant(package: Package, places: Iterable[Place]) -> tuple[dict[Place, str], list[Place]]:
    """Ordinary formulas of a workbook as the engine is to take them, and those of them that may give several values.

    Args:
        package: The workbook.
        places: The cells that hold them.
    """
    run = _Run(package)
    found: dict[Place, str] = {}
    several = []
    for sheet, *at in places:
        row, column = at
        formula = run.sheets[sheet].formulas[row, column]
        if not run._standing(formula.text).gives_one:
            several.append((sheet, row, column))
        found[sheet, row, column] = run._wanted((sheet, row, column), formula.text, formula)
    return found, several


class _Standing(NamedTuple):
    """What is known of a formula as it stands in the file.

    Args:
        stays: Whether the engine may take it as it is.
        gives_one: Whether it is sure to give a single value.
    """

    stays: bool
    gives_one: bool


class _Run:
    """The steps of one calculation."""

    engine: Engine

    def __init__(self, package: Package) -> None:
        self.package = package
        self.sheets: dict[str, SheetPart] = {name: package.sheet(name) for name in package.sheets}
        self.faults: list[Fault] = []
        self.refused: dict[Place, str] = {}
        self.held: dict[Place, str] = {}
        """What the engine takes in place of formulas once it is known what they give."""
        self.several: list[Place] = []
        """Formulas that may give several values."""
        self.around = _around(package, self.sheets)
        self.memories, self.standing = tuple(_memory(around)[0] for around in self.around), _memory(self.around[0])[1]

    def load(self) -> Engine:
        """Load the workbook into an engine, with each formula as it is meant in the file."""
        self.several = []
        meant = {sheet: self._meant(sheet, part) for sheet, part in self.sheets.items()}
        later: dict[Place, str] = {}
        for (sheet, row, column), text in self.held.items():
            # Other cells may share the formula of this one.
            if self.sheets[sheet].formulas[row, column].kind == "shared":
                later[sheet, row, column] = text
            else:
                meant[sheet][row, column] = text
        data, left = self.package.to_engine_bytes(meant)
        later |= {(sheet, *at): text for sheet, formulas in left.items() for at, text in formulas.items()}
        self.engine = Engine(data, starts_1904=self.package.starts_1904)
        for table in self.package.tables():
            self.engine.add_table(table)
        for at, text in later.items():
            self.engine.set_formula(at, f"={text}")
        for sheet, part in self.sheets.items():
            self._respell_shared(sheet, part)
        return self.engine

    def calculate(self) -> Calculation:
        """Calculate what was loaded."""
        self.engine.evaluate()
        if self._settle():
            self._anew()
        if self._refuse_the_caught():
            told = dict(self.engine.refusals)
            self._anew()
            self.engine.refusals.update(told)
        result = Calculation()
        for sheet, part in self.sheets.items():
            result.count += len(part.formulas)
            if changes := self._collect(sheet, part):
                result.changes[sheet] = changes
        if self.faults:
            self._refuse_circles()
            result.errors = self._explained()
        return result

    def _anew(self) -> None:
        """Calculate all once more with the formulas that are held to something else.

        The engine would calculate only what depends on them, but does not find all that does.
        """
        self.load()
        self.engine.evaluate()

    def _meant(self, sheet: str, part: SheetPart) -> dict[Key, str]:
        """The formulas of a sheet that the engine is to take otherwise than they stand in the file."""
        found = {}
        for at, formula in part.formulas.items():
            if formula.kind in ("dataTable", "shared"):
                continue
            standing = self._standing(formula.text) if formula.kind == "normal" else _Standing(False, False)
            if not standing.gives_one and formula.area is None:
                self.several.append((sheet, *at))
            if standing.stays:
                continue
            wanted = self._wanted((sheet, *at), formula.text, formula)
            if wanted != formula.text:
                found[at] = wanted
        return found

    def _respell_shared(self, sheet: str, part: SheetPart) -> None:
        """Give the engine those formulas as they are meant that several cells share, which only it can tell apart."""
        groups: dict[str, bool] = {}
        for at, formula in part.formulas.items():
            if formula.kind != "shared" or (sheet, *at) in self.held:
                continue
            self.several.append((sheet, *at))
            if formula.text:
                groups[formula.group] = self._standing(formula.text).stays
            if groups.get(formula.group):
                continue
            text = self.engine.formula((sheet, *at))
            wanted = self._wanted((sheet, *at), text, formula)
            if wanted != text:
                self.engine.set_formula((sheet, *at), f"={wanted}")

    def _wanted(self, at: Place, text: str, formula: FormulaCell) -> str:
        """A formula as the engine is to take it: an error in place of one that is not proved."""
        neutral = in_memory(text)
        is_array = formula.kind == "array"
        try:
            prepared = self._prepared(neutral, is_array=is_array).text
        except Refused as refused:
            self.refused[at] = str(refused)
            return refusal(refused)
        wanted = prepared or (neutral if neutral == text else readable(neutral))
        if is_array and formula.area is not None and not formula.spills and readable(wanted) == wanted:
            # Of a result with several cells an array formula shows those it has.
            return f"{FIT}({formula.area.rows},{formula.area.columns},{wanted})"
        return wanted

    def _prepared(self, neutral: str, *, is_array: bool) -> Prepared:
        """A formula as the engine is to take it, remembered over calculations of workbooks with the same names.

        Raises:
            Refused: If it uses what is not proved.
        """
        memory = self.memories[is_array]
        if neutral not in memory:
            text, numbers = self._shape(neutral)
            if text not in memory:
                memory[text] = self._judged(text, is_array=is_array)
            known = memory[text]
            if isinstance(known, Refused):  # Its words quote the formula.
                memory[neutral] = self._judged(neutral, is_array=is_array)
            else:
                memory[neutral] = known if known.text is None else known._replace(text=filled(known.text, numbers))
        found = memory[neutral]
        if isinstance(found, Refused):
            raise found
        return found

    def _judged(self, neutral: str, *, is_array: bool) -> Prepared | Refused:
        try:
            return prepare(neutral, self.around[is_array])
        except Refused as refused:
            return refused

    def _shape(self, formula: str) -> tuple[str, tuple[str, ...]]:
        # Where the last row is written into a formula, it must not be taken for a stand-in.
        return shape(formula) if self.around[0].last_row < FIRST else (formula, ())

    def _standing(self, text: str) -> _Standing:
        """What is known of an ordinary formula as it stands in the file; asked once for all of one shape."""
        known = self.standing.get(text)
        if known is None:
            like, _ = self._shape(text)
            known = self.standing.get(like)
            if known is None:
                neutral = in_memory(like)
                try:
                    prepared = self._prepared(neutral, is_array=False)
                    known = _Standing(neutral == like and prepared.text is None, prepared.gives_one)
                except Refused:
                    known = _Standing(False, True)
                self.standing[like] = known
            self.standing[text] = known
        return known

    def _refuse_the_caught(self) -> bool:
        """Refuse the formulas that caught a refusal in them, as IFERROR does, and went on without the value.

        Whether there were any.
        """
        if not self.engine.refusals:
            return False
        told = dict(self.engine.refusals)
        column = self._free_column()
        candidates = {}
        caught: dict[Place, str] = {}
        for sheet, part in self.sheets.items():
            for at, formula in part.formulas.items():
                if formula.kind == "dataTable" or (sheet, *at) in self.refused:
                    continue
                text = self.engine.formula((sheet, *at))
                name = next((name for name in told if name in text.upper()), None)
                if name and kind_of(self.engine.value((sheet, *at))) != REFUSED:
                    candidates[sheet, at] = text
                elif name and ALWAYS_ANEW.search(text):
                    # It would refuse again with every question.
                    caught[sheet, *at] = told[name]
                    self.engine.refuse((sheet, *at), Refused(told[name]))
        # Those that are calculated anew with every question come first: they would answer for all others.
        for (sheet, at), text in sorted(candidates.items(), key=lambda item: ALWAYS_ANEW.search(item[1]) is None):
            if why := self.engine.why_refused((sheet, at[0], column), text):
                caught[sheet, *at] = why
                self.engine.refuse((sheet, *at), Refused(why))
            self.engine.set_formula((sheet, at[0], column), "=0")
        self.engine.refusals.update(told)
        self.refused |= caught
        self.held |= {at: refusal(Refused(why)) for at, why in caught.items()}
        return bool(caught)

    def _free_column(self) -> int:
        return 2 + max((at[1] for part in self.sheets.values() for at in (*part.stored, *part.formulas)), default=1)

    def _settle(self) -> bool:
        """Hold each ordinary formula to its own cell; whether any gave several."""
        for at in self.several:
            if self.engine.filled(at) != Area(*at[1:], *at[1:]):
                self.held[at] = with_one_cell_of_ranges(self.engine.formula(at))
        return bool(self.held)

    # --- results ------------------------------------------------------------------------------------------------------

    def _collect(self, sheet: str, part: SheetPart) -> dict[Key, Change]:
        """The changed results of a sheet; the errors are noted."""
        changes: dict[Key, Change] = {}
        for at, formula in part.formulas.items():
            if formula.kind == "dataTable":
                continue
            if formula.area is None and not formula.spills:
                self._note(sheet, at, at, self.engine.value((sheet, *at)), changes)
                continue
            area, stale = self._extent(sheet, at, formula)
            alike = self._is_error_for_all(sheet, at, formula)
            for cell in area.cells():
                raw = self.engine.value((sheet, *(at if alike else cell)))
                grown = area if formula.spills and cell == at and area != formula.area else None
                self._note(sheet, at, cell, raw, changes, grown)
            for cell in stale:
                changes.setdefault(cell, Change(None))
        return changes

    def _note(
        self, sheet: str, at: Key, cell: Key, raw: Any, changes: dict[Key, Change], grown: Area | None = None
    ) -> None:
        """Note what a cell shows of the formula that stands in it or in another: an error, and a changed result."""
        if kind := kind_of(raw):
            self.faults.append(Fault((sheet, *at), (sheet, *cell), kind, self._text(sheet, at)))
        if grown or not self._is_stored(sheet, cell, raw):
            changes[cell] = Change(cell_of(raw), calculated=True, area=grown)

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
        circle = {fault.shown: fault.kind for fault in self.faults if fault.kind == CIRCLE}
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


_Memory = tuple[dict[str, Prepared | Refused], dict[str, _Standing]]
_MEMORIES: Final[dict[object, _Memory]] = {}
_MOST_MEMORIES: Final = 16
_MOST_FORMULAS: Final = 50_000


def _memory(around: Around) -> _Memory:
    """What is known of formulas that stand in such a workbook, as jobs of one template do."""
    key = (
        around.is_array,
        around.many,
        frozenset(around.named.items()),
        around.worked,
        around.last_row,
        around.hides_rows,
    )
    memory = _MEMORIES.pop(key, None) or ({}, {})
    for oldest in list(_MEMORIES)[: 1 - _MOST_MEMORIES]:
        _MEMORIES.pop(oldest, None)
    _MEMORIES[key] = memory  # last, as the one that was wanted last
    for known in memory:
        if len(known) > _MOST_FORMULAS:
            known.clear()
    return memory


def _is_formula(name: DefinedName, package: Package) -> bool:
    """Whether a name stands for neither cells nor a constant."""
    cells = name.cells
    known = cells is not None and package.find_sheet(cells[0]) is not None
    return not known and not _CONSTANT.fullmatch(name.refers_to)


def _around(package: Package, sheets: Mapping[str, SheetPart]) -> tuple[Around, Around]:
    """What ordinary formulas and array formulas stand in."""
    named = {name.name.casefold(): name.refers_to for name in package.names}
    many = frozenset(
        name.name.casefold()
        for name in package.names
        if (cells := name.cells) is None or cells[1].rows * cells[1].columns > 1
    )
    worked = frozenset(name.name.casefold() for name in package.names if _is_formula(name, package))
    uses_subtotals = any(
        "SUBTOTAL" in formula.text.upper() for part in sheets.values() for formula in part.formulas.values()
    )
    last = max((row for part in sheets.values() for row, _ in (*part.stored, *part.formulas)), default=1)
    ordinary = Around(
        many=many, named=named, worked=worked, last_row=last, hides_rows=uses_subtotals and package.hides_rows
    )
    return ordinary, replace(ordinary, is_array=True)
