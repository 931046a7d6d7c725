"""Cell values as JSON: numbers, text, booleans, null for a blank, errors with their reasons, and ranges as rows."""

from __future__ import annotations

import json
from typing import Any, Final

import numpy as np

from stillbook.cells import CellResult, Code, ErrorValue, NotUnderstood, OutOfRange
from stillbook.formula import Formula
from stillbook.readers import Reader
from stillbook.service.limits import Limits

_PLAIN: Final = frozenset({float, int, bool, type(None)})
_NUMBERS: Final = frozenset({float, int})


def count_cells(arguments: list[Any]) -> int:
    """How many cells the arguments of a call hold, each argument being one at least."""
    return sum(
        sum(len(row) if type(row) is list else 1 for row in value) if type(value) is list else 1 for value in arguments
    )


def read_arguments(arguments: list[Any], limits: Limits) -> list[Any]:
    """Arguments as they came in JSON, as cell values.

    Raises:
        FormulaError: If an argument is not a cell value or a range of equal rows, or is too large.
    """
    cells = count_cells(arguments)
    if cells > limits.cells:
        raise OutOfRange(f"the call holds {cells} cells: give ranges of at most {limits.cells} cells in all")
    return [
        value if type(value) in _PLAIN else _argument(value, f"argument {place}", limits)
        for place, value in enumerate(arguments, start=1)
    ]


def refuse_large_answer(formula: Formula, values: list[Any], limits: Limits) -> None:
    """Refuse ranges that make far larger answers than themselves: a column beside a row gives a whole table.

    Raises:
        OutOfRange: If the answer would have more cells than a call may.
    """
    rows = columns = 1
    parameters = formula.parameters
    for place, value in enumerate(values):
        if type(value) is list:
            reader = parameters[min(place, len(parameters) - 1)].reader if parameters else Reader()
            if reader.shapes_answer:
                rows, columns = max(rows, len(value)), max(columns, len(value[0]))
    if rows * columns > limits.cells:
        raise OutOfRange(
            f"the answer would have {rows} rows and {columns} columns: give ranges for at most {limits.cells} cells"
        )


def _argument(value: Any, name: str, limits: Limits) -> Any:
    """One argument that is not a plain number, boolean or blank."""
    if type(value) is not list:
        return _cell(value, name, limits)
    if not value or not all(type(row) is list and row for row in value):
        raise NotUnderstood(f"{name} is not a range: give a list of rows, such as [[1, 2], [3, 4]]")
    if len({len(row) for row in value}) > 1:
        raise NotUnderstood(f"{name} has rows of different lengths: give every row the same number of cells")
    return [row if set(map(type, row)) <= _NUMBERS else [_cell(cell, name, limits) for cell in row] for row in value]


def _cell(value: Any, name: str, limits: Limits) -> Any:
    """One cell."""
    if type(value) in _PLAIN:
        return value
    if type(value) is str:
        if len(value) > limits.text:
            raise OutOfRange(f"{name} holds text of {len(value)} characters: a cell has at most {limits.text}")
        return value
    if type(value) is dict and set(value) <= {"error", "reason"} and type(value.get("reason", "")) is str:
        try:
            return ErrorValue(Code(value["error"]), value.get("reason", "")[: limits.text])
        except (KeyError, ValueError):
            pass
    raise NotUnderstood(
        f'{name} holds what no cell can: give a number, text, true, false, null or an error such as {{"error": "#N/A"}}'
    )


def encode(answer: CellResult) -> str:
    """A formula's answer as JSON. What JSON or a cell cannot hold becomes an error, never a number."""
    try:
        return _ENCODER.encode(answer)
    except ValueError:
        return _ENCODER.encode(ErrorValue(Code.NUMBER, "the answer is not a finite number"))
    except TypeError:
        return _ENCODER.encode(ErrorValue(Code.VALUE, "the answer is not a value that a cell can hold"))


def _other(value: object) -> Any:
    """What the JSON encoder does not know by itself."""
    if isinstance(value, ErrorValue):
        return {"error": value.code, "reason": value.reason}
    if isinstance(value, np.bool_ | np.integer):
        return value.item()
    raise TypeError


_ENCODER: Final = json.JSONEncoder(default=_other, allow_nan=False, separators=(",", ":"))


def first_error(answer: CellResult) -> ErrorValue | None:
    """The error in an answer: the answer itself, or the first one in its rows."""
    if isinstance(answer, ErrorValue):
        return answer
    if isinstance(answer, list):
        return next((cell for row in answer for cell in row if isinstance(cell, ErrorValue)), None)
    return None
