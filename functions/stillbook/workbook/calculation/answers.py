"""Our formulas as an engine calls them: values in its form in and out, equal calls answered from memory.

An engine hands an error over as ``{"type": "Error", "kind": "Num"}``, a blank as None and a range as a list of rows,
and takes the same forms back, but for a blank.
"""

from __future__ import annotations

import marshal
import math
from collections.abc import Callable
from typing import Any, Final

from stillbook.cells import Cell, CellResult, Code, ErrorValue
from stillbook.formula import Formula
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.sheet import LONGEST_TEXT

CODES: Final = {
    "Na": Code.NOT_AVAILABLE,
    "Value": Code.VALUE,
    "Num": Code.NUMBER,
    "Div": Code.DIVISION,
    "Ref": Code.REFERENCE,
    "Name": Code.NAME,
    "Null": Code.NULL,
}
"""The error value for each kind of error that cells have always known; later kinds show as #VALUE!."""

KINDS: Final = {code: kind for kind, code in CODES.items()}

FAULTS_OF_THE_MACHINE: Final = (MemoryError, ImportError, OSError)
"""What says nothing about a formula or its inputs: it ends a calculation, and never becomes the value of a cell."""

_MOST_ANSWERS: Final = 50_000
_MOST_BYTES: Final = 32 * 2**20


class Answers:
    """Answers to calls, in our form and in an engine's.

    It may be shared by threads: at worst two of them work out the same answer.
    """

    def __init__(self) -> None:
        self._known: dict[tuple[str, bytes], tuple[CellResult, Any]] = {}
        self._bytes = 0

    def __call__(self, entry: Formula, values: tuple[Any, ...]) -> tuple[CellResult, Any]:
        """The answer to one call with engine values, from memory if it was asked before."""
        # Version 2 of the format writes equal values alike, and TRUE unlike 1.
        key = (entry.name, marshal.dumps(values, 2))
        known = self._known.get(key)
        if known is not None:
            return known
        try:
            result = entry(*map(from_engine, values))
        except FAULTS_OF_THE_MACHINE:
            raise
        except Exception as error:  # A fault of ours shows as an error with its reason; the rest still calculates.
            result = ErrorValue(Code.VALUE, f"{entry.workbook_name} failed on these inputs ({error}): please report it")
        both = (result, to_engine(result))
        self._bytes += len(key[1])
        if self._bytes > _MOST_BYTES or len(self._known) >= _MOST_ANSWERS:
            self._known.clear()
            self._bytes = len(key[1])
        self._known[key] = both
        return both

    def callback(self, entry: Formula) -> Callable[..., Any]:
        """A function for the engine to call in place of a formula."""

        def call(*values: Any) -> Any:
            return self(entry, values)[1]

        return call


answer: Final = Answers()


def machine_error(fault: BaseException) -> WorkbookError:
    """The error that ends a calculation in which the machine failed."""
    if isinstance(fault, MemoryError):
        why = "this computer has too little free memory"
    else:
        why = f"a part of this program could not be loaded or read ({' '.join(str(fault).split())[:200]})"
    mend = "install Stillbook anew" if isinstance(fault, ModuleNotFoundError) else "close other programs"
    return WorkbookError(f"it was not calculated: {why}; {mend} and run it again, nothing was changed")


def kind_of(value: Any) -> str:
    """The engine's kind of an error, empty for any other value; a number too large for a cell is one too."""
    if isinstance(value, float):
        return "" if math.isfinite(value) else "Num"
    return str(value.get("kind", "Value")) if isinstance(value, dict) else ""


def is_number(value: Any) -> bool:
    """Whether a value of the engine's is a number: no truth value, and no error for being too large."""
    return isinstance(value, float | int) and not isinstance(value, bool) and not kind_of(value)


def code_of(kind: str) -> Code:
    """The error value that a cell shows for the engine's kind of error."""
    return CODES.get(kind, Code.VALUE)


def from_engine(value: Any) -> Any:
    """An argument as our formulas take it."""
    if isinstance(value, dict):
        return ErrorValue(code_of(kind_of(value)))
    if isinstance(value, list):
        return [from_engine(item) for item in value]
    return value


def to_engine(value: Any) -> Any:
    """An answer as the engine takes it: no blank, no number that is not finite, no empty or ragged rows.

    >>> to_engine([["a", None], [1, float("nan")]])
    [['a', ''], [1.0, {'type': 'Error', 'kind': 'Num'}]]
    """
    if isinstance(value, ErrorValue):
        return error(KINDS[value.code])
    if isinstance(value, list):
        rows = [[to_engine(cell) for cell in (row if isinstance(row, list) else [row])] for row in value]
        width = max((len(row) for row in rows), default=0)
        return [row + [""] * (width - len(row)) for row in rows] if width else error("Na")
    if value is None:
        return ""
    if isinstance(value, str | bool):
        return value
    return float(value) if math.isfinite(value) else error("Num")


def error(kind: str) -> dict[str, str]:
    """An error as the engine writes it."""
    return {"type": "Error", "kind": kind}


def cell_of(value: Any) -> Cell:
    """A calculated value as a cell holds it; a formula that gives a blank shows 0."""
    if kind := kind_of(value):
        return ErrorValue(code_of(kind))
    if value is None:
        return 0.0
    if isinstance(value, bool):
        return value
    if isinstance(value, str):
        return value if len(value) <= LONGEST_TEXT else ErrorValue(Code.VALUE)
    return float(value) + 0.0  # No cell holds the zero below zero.


def rows(value: Any) -> list[list[Any]]:
    """A range or a single value as rows."""
    return value if isinstance(value, list) else [[value]]


def at(block: list[list[Any]], row: int, column: int) -> Any:
    """The value of a block for a place of a larger one."""
    row, column = 0 if len(block) == 1 else row, 0 if len(block[0]) == 1 else column
    return block[row][column] if row < len(block) and column < len(block[0]) else error("Na")


def fit(height: float, width: float, value: Any) -> list[list[Any]]:
    """An array cut or filled up to the cells that show it: a single row or column repeats, the rest is #N/A.

    >>> fit(2, 3, [[1.0, 2.0]])[1]
    [1.0, 2.0, {'type': 'Error', 'kind': 'Na'}]
    """
    block = rows(value)

    def cell(row: int, column: int) -> Any:
        found = at(block, row, column)
        return 0.0 if found is None else found

    return [[cell(row, column) for column in range(int(width))] for row in range(int(height))]
