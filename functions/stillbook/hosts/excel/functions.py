"""The module desktop Excel imports through xlwings: every formula as a user-defined function.

The functions stand here under their workbook names, ``STILL_DOORMASS`` and so on, made from the catalogue when the
module is imported. Each takes cell values as Excel hands them over and always answers with rows of values; an error is
the whole number that Excel gives its error codes, which the add-in's own VBA turns into a true error value. Away from
Windows xlwings' decorators do nothing, and the functions can be called all the same.
"""

from __future__ import annotations

import datetime
import inspect
from collections.abc import Callable, Iterable, Mapping
from decimal import Decimal
from typing import Any, Final

import xlwings

from stillbook.catalogue import formulas
from stillbook.cells import Cell, CellResult, Code, ErrorValue
from stillbook.formula import Formula
from stillbook.hosts.excel import wizard

ERROR_CODES: Final[Mapping[Code, int]] = {
    Code.NULL: -2146826288,
    Code.DIVISION: -2146826281,
    Code.VALUE: -2146826273,
    Code.REFERENCE: -2146826265,
    Code.NAME: -2146826259,
    Code.NUMBER: -2146826252,
    Code.NOT_AVAILABLE: -2146826246,
}
"""Excel's error values as COM hands them over: 0x800A0000 with Excel's own code, 2000 to 2042, in the low word."""

_CODES: Final = {number: code for code, number in ERROR_CODES.items()}
_ANY_ERROR: Final = range(-2146826288, -2146826111)
"""Those and the newer ones, such as #SPILL! and #CALC!, whose codes go on from there."""

_MISSING: Final = -2147352572
"""What COM hands over for an argument left out."""

_DAY_ZERO: Final = datetime.datetime(1899, 12, 30)

Udf = Callable[..., list[list[float | int | str | bool]]]


# --- values -----------------------------------------------------------------------------------------------------------


def read(given: Any) -> Any:
    """An argument from Excel: one cell as a plain value, a range as rows of them, a row of constants as one row."""
    if not isinstance(given, list | tuple):
        return read_cell(given)
    rows = [list(row) if isinstance(row, list | tuple) else row for row in given]
    table = rows if rows and isinstance(rows[0], list) else [rows]
    if len(table) == 1 and len(table[0]) == 1:
        return read_cell(table[0][0])
    return [row if set(map(type, row)) == {float} else [read_cell(cell) for cell in row] for row in table]


def read_cell(cell: Any) -> Cell:
    """One cell: errors as :class:`ErrorValue`, dates as serial numbers, currency as a number, a blank as None."""
    kind = type(cell)
    if kind is float or kind is str or kind is bool or cell is None:
        return cell  # type: ignore[no-any-return]
    if isinstance(cell, int):
        if cell in _CODES:
            return ErrorValue(_CODES[cell])
        if cell == _MISSING:
            return None
        return ErrorValue(Code.VALUE) if cell in _ANY_ERROR else float(cell)
    if isinstance(cell, Decimal):
        return float(cell)
    if isinstance(cell, datetime.datetime):
        return (cell.replace(tzinfo=None) - _DAY_ZERO) / datetime.timedelta(days=1)
    return ErrorValue(Code.VALUE, "the cell holds something that is neither a number, text nor a truth value")


def write(answer: CellResult) -> list[list[float | int | str | bool]]:
    """An answer as the rows Excel takes: numbers as floats, errors as whole numbers, no blanks."""
    rows = answer if isinstance(answer, list) else [[answer]]
    return [[cell if type(cell) is float else _write_cell(cell) for cell in row] for row in rows]


def _write_cell(cell: Cell) -> float | int | str | bool:
    if isinstance(cell, ErrorValue):
        return ERROR_CODES[cell.code]
    if cell is None:
        return ""
    return cell if isinstance(cell, str | bool) else float(cell)


# --- functions --------------------------------------------------------------------------------------------------------


def udf(entry: Formula, arguments: Iterable[wizard.Argument]) -> Udf:
    """A formula as an xlwings user-defined function of the same name.

    Every argument may be left out: a formula itself knows which it needs, and answers #N/A with the reason.
    """

    def function(*given: Any) -> list[list[float | int | str | bool]]:
        cells = [read(value) for value in given]
        while cells and cells[-1] is None:
            cells.pop()
        return write(entry(*cells))

    shown = list(arguments)
    function.__name__ = function.__qualname__ = entry.workbook_name
    function.__doc__ = wizard.description(entry)
    function.__signature__ = inspect.Signature(  # type: ignore[attr-defined]
        [inspect.Parameter(each.name, inspect.Parameter.POSITIONAL_OR_KEYWORD, default=None) for each in shown]
    )
    # "raw" leaves every value as COM gave it, so that an error is not taken for a blank or for text, nor a column for
    # a row; read() and write() do the rest. func comes last: any decorator after it would take the category away.
    registered: Any = xlwings.ret("raw")(function)
    for each in shown:
        registered = xlwings.arg(each.name, "raw", doc=each.help)(registered)
    return xlwings.func(category=wizard.category(entry))(registered)  # type: ignore[no-any-return]


def udfs(catalogue: Mapping[str, Formula]) -> dict[str, Udf]:
    """All formulas as user-defined functions by workbook name."""
    spread = wizard.widest(catalogue)
    return {entry.workbook_name: udf(entry, wizard.arguments(entry, spread)) for entry in catalogue.values()}


globals().update(udfs(formulas()))
