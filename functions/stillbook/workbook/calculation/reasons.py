"""Why a formula gives an error, in a sentence: our own formula's reason, the cell it comes from, or a plain account."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Any, Final, NamedTuple, Protocol

from stillbook.catalogue import explain, find
from stillbook.cells import Code, ErrorValue, FormulaError
from stillbook.formula import PREFIX
from stillbook.workbook.calculation.admitted import ADMITTED
from stillbook.workbook.calculation.answers import KINDS, answer, code_of, kind_of
from stillbook.workbook.file.address import Area, place

Place = tuple[str, int, int]
"""Sheet, row and column of a cell."""

FOLLOWS: Final = "comes from "
"""The start of the reason of an error that another cell hands on; that cell follows."""

_ASK: Final = "STILLASK"

_NOT_HERE: Final = "it uses a way of writing ranges that is not calculated here"

_SENTENCES: Final = {
    "Div": "it divides by zero or by a blank cell",
    "Value": "it calculates with text where a number is needed, or with ranges that differ in size",
    "Ref": "it refers to a cell, a sheet, a table or a row of one that does not exist",
    "Num": "its numbers have no answer, such as the root of a negative number, or are too large",
    "Na": "a lookup in it finds no match, or it asks for a place outside its range",
    "Null": "two ranges in it have no cell in common",
    "Name": "it uses a name that is not known here",
    "Spill": "its rows have no room: clear the cells below and to the right of it",
    "Calc": "it gives an empty list",
    "Error": "it cannot be read as a formula: check its brackets and commas",
}


class Fault(NamedTuple):
    """An error in one cell.

    Args:
        home: The cell that holds the formula.
        shown: The cell that shows the error; another one where an array formula fills several.
        kind: The engine's kind of error.
        formula: The formula, in the neutral spelling.
    """

    home: Place
    shown: Place
    kind: str
    formula: str


class OwnCall(NamedTuple):
    """A call of ours in a formula.

    Args:
        name: The formula's name without its prefix.
        arguments: What it is given, as text.
        taken: Row and column, counted from 0, of the one value that is taken of its answer; None for all of it.
    """

    name: str
    arguments: str
    taken: tuple[int, int] | None


class Asked(Protocol):
    """What this module needs of an engine that holds the workbook, calculated."""

    def register(self, name: str, callback: Callable[..., Any]) -> None: ...

    def set_formula(self, at: Place, formula: str) -> None: ...

    def evaluate(self) -> None: ...

    def sources(self, at: Place) -> Sequence[tuple[str, Area]]: ...

    def own_calls(self, formula: str) -> Sequence[OwnCall]: ...

    def used_names(self, formula: str) -> tuple[Sequence[str], Sequence[str]]: ...

    @property
    def refusals(self) -> Mapping[str, str]: ...


def reasons(
    engine: Asked,
    faults: Sequence[Fault],
    *,
    refused: Mapping[Place, str] | None = None,
    constants: Mapping[Place, str] | None = None,
    names: Iterable[str] = (),
    free_column: int,
) -> dict[Place, str]:
    """The reason of each error, by the cell that shows it.

    Args:
        engine: The engine that holds the workbook; it is used up by the questions put to it.
        faults: The errors.
        refused: Why the formulas in some cells were not calculated, by the cell that holds them.
        constants: Kinds of the errors that stand in cells without a formula.
        names: The defined names of the workbook.
        free_column: A column with free cells, for the questions.
    """
    kinds = {**(constants or {}), **{fault.shown: fault.kind for fault in faults}}
    known = {name.casefold() for name in names}
    own = _own_reasons(engine, faults, free_column)
    found: dict[Place, str] = {}
    causes: dict[Place, Place] = {}
    for fault in faults:
        known_reason = (refused or {}).get(fault.home) or own.get(fault.shown)
        if known_reason:
            found[fault.shown] = known_reason
            continue
        erring = erring_sources(engine, fault.home, kinds)
        cause = next((at for at in erring if at != fault.shown and kinds[at] == fault.kind), None)
        if cause is None:
            found[fault.shown] = _plain_reason(engine, fault, known)
        else:
            causes[fault.shown] = cause
    for shown, cause in causes.items():
        root, seen = cause, {shown}
        while root in causes and root not in seen:
            seen.add(root)
            root = causes[root]
        found[shown] = f"{FOLLOWS}{place(*root)}"
    return found


def erring_sources(engine: Asked, at: Place, kinds: Mapping[Place, str]) -> Iterator[Place]:
    """Those cells with an error that a formula refers to, in the order of its references."""
    for sheet, area in engine.sources(at):
        if area.rows * area.columns <= len(kinds):
            yield from (cell for row, column in area.cells() if (cell := (sheet, row, column)) in kinds)
        else:
            yield from (cell for cell in kinds if cell[0] == sheet and area.holds(*cell[1:]))


def _own_reasons(engine: Asked, faults: Sequence[Fault], column: int) -> dict[Place, str]:
    """The reasons of errors that our own formulas gave: each call is asked again, where its references resolve."""
    told: dict[int, ErrorValue] = {}

    def ask(number: float, row: float, across: float, name: str, *values: Any) -> float:
        value = answer(find(name), values)[0]
        if isinstance(value, list):
            value = _in_block(value, int(row), int(across))
        # An error that came in with an argument is another cell's.
        if isinstance(value, ErrorValue) and not any(_holds(given, value.code) for given in values):
            told[int(number)] = value
        return 0.0

    engine.register(_ASK, ask)
    asked: list[Fault] = []
    for fault in faults:
        sheet, row, across = fault.home
        here = fault.shown[1] - row, fault.shown[2] - across
        for name, arguments, taken in engine.own_calls(fault.formula):
            at = taken or here
            parts = [str(len(asked)), f"{at[0]},{at[1]}", f'"{name}"', *([arguments] if arguments else [])]
            engine.set_formula((sheet, len(asked) + 1, column), f"={_ASK}({','.join(parts)})")
            asked.append(fault)
    if asked:
        engine.evaluate()
    found: dict[Place, str] = {}
    for number, fault in enumerate(asked):
        value = told.get(number)
        if value is not None and value.reason and fault.kind == KINDS[value.code]:
            found.setdefault(fault.shown, value.reason)
    return found


def _in_block(rows: list[list[Any]], row: int, column: int) -> Any:
    """The error at a place in a block of answers; where there is none, the first error in the block."""
    cell = rows[row][column] if row < len(rows) and column < len(rows[row]) else None
    if isinstance(cell, ErrorValue):
        return cell
    first = next((item for line in rows for item in line if isinstance(item, ErrorValue)), None)
    return ErrorValue(first.code, explain(rows)) if first else None


def _holds(value: Any, code: Code) -> bool:
    """Whether an argument is or holds an error of this code."""
    if isinstance(value, list):
        return any(_holds(item, code) for item in value)
    return bool(kind_of(value)) and code_of(kind_of(value)) == code


def _plain_reason(engine: Asked, fault: Fault, known: set[str]) -> str:
    """The sentence for an error that neither a formula of ours nor another cell gave."""
    if fault.kind == "Name":
        functions, words = engine.used_names(fault.formula)
        for name in functions:
            if name.startswith((PREFIX, "STILL.")):
                try:
                    find(name)
                except FormulaError as error:
                    return error.reason
            elif name not in ADMITTED:
                return f"{name} is not a function that is calculated here"
        unknown = next((word for word in words if word.casefold() not in known), None)
        if unknown:
            return f'"{unknown}" is not a name that is known here: check its spelling, or put text in double quotes'
    if fault.kind == "NImpl":
        functions, _ = engine.used_names(fault.formula)
        used = [engine.refusals[name] for name in functions if name in engine.refusals]
        # Operators are calculated by functions of our own, whose names stand in no file.
        return next(iter(used or [why for name, why in engine.refusals.items() if name.startswith("STILL")]), _NOT_HERE)
    if fault.kind == "Na" and "NA()" in fault.formula.upper():
        return "it says NA(): a cell that it needs may be empty"
    return _SENTENCES.get(fault.kind, "its value is an error")
