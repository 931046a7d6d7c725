"""Cell values between Calc and the service.

Calc hands over numbers as floats, text, ranges as tuples of rows, and None for an argument left out. A blank cell is 0
by itself and empty text in a range; a truth value is 1 or 0. An error value is a NaN whose low 32 bits hold Calc's own
number for it, both ways: a cell given such a number holds that error, and SUM passes it on.
"""

from __future__ import annotations

import struct
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    Rows = tuple[tuple[float | str, ...], ...]

ERROR_NUMBERS = {
    "#NULL!": 521,
    "#DIV/0!": 532,
    "#VALUE!": 519,
    "#REF!": 524,
    "#NAME?": 525,
    "#NUM!": 503,
    "#N/A": 32767,
}
"""Calc's own number for each error value."""

AWAY = "#NAME?"
"""The error of a cell whose formula nothing calculates: none that a formula gives by itself, as a blank's #N/A is."""

_CODES = {number: code for code, number in ERROR_NUMBERS.items()}
QUIET_NAN = 0x7FF80000
_ERROR = struct.Struct("<II")
_FLOAT = struct.Struct("<d")


def error(code: str) -> float:
    """The number that Calc takes for an error value."""
    number: float = _FLOAT.unpack(_ERROR.pack(ERROR_NUMBERS.get(code, ERROR_NUMBERS["#VALUE!"]), QUIET_NAN))[0]
    return number


def to_service(value: Any) -> Any:
    """An argument as the service takes it: a cell, or a range as a list of rows."""
    if isinstance(value, tuple):
        return [[_cell(cell) for cell in row] for row in value]
    return _cell(value)


def _cell(cell: Any) -> Any:
    if isinstance(cell, float) and cell - cell != 0:  # neither NaN nor infinite
        return {"error": _CODES.get(_ERROR.unpack(_FLOAT.pack(cell))[0], "#NUM!")}
    return None if cell == "" else cell


def to_calc(answer: Any) -> Rows:
    """An answer as Calc takes it: rows of numbers and text, one row of one cell for a single value."""
    if not isinstance(answer, list):
        return ((_to_cell(answer),),)
    # Calc takes rows without a cell for the number 0.
    return tuple(tuple(map(_to_cell, row)) for row in answer if row) or ((error("#N/A"),),)


def _to_cell(answer: Any) -> float | str:
    if isinstance(answer, dict):
        return error(answer["error"])
    if answer is None:
        return ""
    return answer if isinstance(answer, str) else float(answer)
