"""Functions of one value that an array formula gives a range of them.

A spreadsheet answers ``{=ROUND(A1:A3,0)}``, or ``SUMPRODUCT(ROUND(A1:A3,0))``, with three values. The engine does so
for its operators and a few functions alone; of the others it takes the first value or none. Here a call of one of
those becomes a call of ``STILLEACH``, which puts the values to an engine of its own one by one.
"""

from __future__ import annotations

import marshal
import re
from collections.abc import Callable, Container, Iterator, Mapping
from functools import lru_cache
from typing import Any, Final, Protocol

from stillbook.workbook.calculation.answers import error
from stillbook.workbook.calculation.spelling import tokens_of
from stillbook.workbook.file.address import cell_name

EACH: Final = "STILLEACH"
"""A function of the engine's alone: the name of another function, and its arguments, ranges for single values."""

_OF_VALUES: Final = frozenset(
    re.findall(
        r"\w+",
        """
        ABS SIGN SQRT EXP LN LOG10 LOG POWER MOD INT TRUNC ROUND ROUNDUP ROUNDDOWN CEILING FLOOR EVEN ODD FACT COMBIN
        ASIN ACOS ATAN SINH COSH TANH DEGREES RADIANS GAMMALN NORMSDIST ISNUMBER NOT IFS SWITCH
        LEN UPPER LOWER PROPER TRIM CLEAN VALUE CHAR CODE UNICHAR LEFT RIGHT MID REPT TEXT FIXED EXACT FIND SEARCH
        SUBSTITUTE REPLACE CONCATENATE
        DATE TIME DATEVALUE YEAR MONTH DAY WEEKDAY HOUR MINUTE SECOND
        """,
    )
)
"""Functions whose every argument is one value."""

_EVEN, _ODD = range(0, 256, 2), range(1, 256, 2)

_WHOLE: Final[Mapping[str, Container[int]]] = {
    **dict.fromkeys(("VLOOKUP", "HLOOKUP", "MATCH", "RANK"), (1,)),
    **dict.fromkeys(("LOOKUP", "XLOOKUP"), (1, 2)),
    **dict.fromkeys(("SMALL", "LARGE", "COUNTIF"), (0,)),
    **dict.fromkeys(("SUMIF", "AVERAGEIF"), (0, 2)),
    "COUNTIFS": _EVEN,
    **dict.fromkeys(("SUMIFS", "AVERAGEIFS"), (0, *_ODD)),
}
"""Functions with arguments that are ranges as wholes, by the places of these; the others are values."""

_ARRAYS: Final = frozenset({"SUMPRODUCT", "MMULT"})
"""Functions that take arrays in an ordinary formula too."""

_CALL: Final = re.compile(rf"\b(?:{'|'.join((*_OF_VALUES, *_WHOLE, 'ROW', 'COLUMN'))})\(", re.IGNORECASE)
_TAKES_ARRAYS: Final = re.compile("|".join(_ARRAYS), re.IGNORECASE)

_MOST: Final = 200_000
"""Values that one call may ask for."""

_ASKED: Final = "Asked"

_SHORT: Final = 500
"""Bytes of a call whose answer is kept."""


def with_each_value(formula: str, *, is_array: bool) -> str:
    """A formula with its calls of functions of one value, where arrays are meant, put to ``STILLEACH``.

    Args:
        formula: As in a file, ``=`` or not.
        is_array: Whether it is an array formula, in which all of it is meant so.

    >>> with_each_value("=SUMPRODUCT(ROUND(A1:A3,0)*B1:B3)+ROUND(B4,0)", is_array=False)
    '=SUMPRODUCT(STILLEACH("ROUND",A1:A3,0)*B1:B3)+ROUND(B4,0)'
    >>> with_each_value("SUM(ROW(A1:A3)*LEN(B1:B3))", is_array=True)
    'SUM((ROW(A1:A3)+SEQUENCE(ROWS(A1:A3),1,0))*STILLEACH("LEN",B1:B3))'
    """
    everywhere = is_array or "{" in formula
    if not (everywhere or _TAKES_ARRAYS.search(formula)) or not _CALL.search(formula):
        return formula
    found = tokens_of(formula)
    if found is None:
        return formula
    out: list[str] = []
    enclosing: list[tuple[str, int]] = []
    for token in found:
        text = token.value
        if token.subtype == "OPEN":
            name = text[:-1].upper().removeprefix("_XLFN.").removeprefix("_XLWS.") if token.type == "FUNC" else ""
            enclosing.append((name, len(out)))
            meant = everywhere or any(outer in _ARRAYS for outer, _ in enclosing[:-1])
            if meant and (name in _OF_VALUES or name in _WHOLE):
                text = f'{EACH}("{name}",'
            elif meant and name in ("ROW", "COLUMN"):
                text = f"({name}("
        elif token.subtype == "CLOSE" and enclosing:
            name, start = enclosing.pop()
            if out[start] in ("(ROW(", "(COLUMN("):
                given = "".join(out[start + 1 :])
                along = f"ROWS({given}),1,0" if name == "ROW" else f"1,COLUMNS({given}),0"
                text = f")+SEQUENCE({along}))" if given else "))"
        out.append(text)
    return ("=" if formula.startswith("=") else "") + "".join(out)


class Sheets(Protocol):
    """What an engine gives to put questions in: sheets that are empty at first."""

    def add_sheet(self, name: str) -> None: ...

    def set_value(self, sheet: str, row: int, column: int, value: Any) -> None: ...

    def set_formula(self, sheet: str, row: int, column: int, formula: str) -> None: ...

    def evaluate_all(self) -> None: ...

    def get_value(self, sheet: str, row: int, column: int) -> Any: ...


class Each:
    """What a function gives for each of several values, in the engine's form: rows of results, or one.

    A row, a column or a single value repeats along the others; where one of several sizes ends, the rest is #N/A.

    Args:
        blank: Gives an engine's workbook without sheets, one for each call.
    """

    def __init__(self, blank: Callable[[], Sheets]) -> None:
        self._blank = blank
        self._known = lru_cache(maxsize=2048)(lambda call: self._asked(*marshal.loads(call)))

    def __call__(self, name: str, *values: Any) -> Any:
        """The answer, of a short call from memory if it was asked before."""
        call = marshal.dumps((name, *values), 2)
        return self._known(call) if len(call) <= _SHORT else self._asked(name, *values)

    def _asked(self, name: str, *values: Any) -> Any:
        whole = _WHOLE.get(name, ())
        blocks = [value if isinstance(value, list) else [[value]] for value in values]
        single = [place for place in range(len(blocks)) if place not in whole]
        rows = max((len(blocks[place]) for place in single), default=1)
        columns = max((len(blocks[place][0]) for place in single), default=1)
        if rows * columns > _MOST:
            return error("Value")
        asked = self._blank()
        asked.add_sheet(_ASKED)
        references = [_write_whole(asked, place, block) if place in whole else "" for place, block in enumerate(blocks)]
        for number, (row, column) in enumerate(_cells(rows, columns), start=1):
            for place in single:
                _write(asked, _ASKED, number, place + 2, _at(blocks[place], row, column))
                references[place] = cell_name(number, place + 2)
            asked.set_formula(_ASKED, number, 1, f"={name}({','.join(references)})")
        asked.evaluate_all()
        found = [asked.get_value(_ASKED, number, 1) for number in range(1, rows * columns + 1)]
        given = ["" if value is None else value for value in found]
        if rows == columns == 1:
            return given[0]
        return [given[row * columns : (row + 1) * columns] for row in range(rows)]


def _cells(rows: int, columns: int) -> Iterator[tuple[int, int]]:
    return ((row, column) for row in range(rows) for column in range(columns))


def _at(block: list[list[Any]], row: int, column: int) -> Any:
    row, column = 0 if len(block) == 1 else row, 0 if len(block[0]) == 1 else column
    return block[row][column] if row < len(block) and column < len(block[0]) else error("Na")


def _write_whole(asked: Sheets, place: int, block: list[list[Any]]) -> str:
    """Write a range on a sheet of its own; gives its reference."""
    sheet = f"Whole{place}"
    asked.add_sheet(sheet)
    for row, cells in enumerate(block, start=1):
        for column, value in enumerate(cells, start=1):
            _write(asked, sheet, row, column, value)
    return f"{sheet}!$A$1:{cell_name(len(block), len(block[0]))}"


def _write(asked: Sheets, sheet: str, row: int, column: int, value: Any) -> None:
    if isinstance(value, dict):
        asked.set_formula(sheet, row, column, _ERRING.get(str(value.get("kind")), '=1+"text"'))
    elif value is not None:
        asked.set_value(sheet, row, column, value)


_ERRING: Final = {"Na": "=NA()", "Div": "=1/0", "Num": "=SQRT(-1)", "Ref": "=INDEX(A1:A2,9)", "Name": "=NOSUCHNAME"}
"""Formulas that give each kind of error."""
