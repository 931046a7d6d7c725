"""Functions of one value that an array formula gives a range of them.

A spreadsheet answers ``{=ROUND(A1:A3,0)}``, or ``SUMPRODUCT(ROUND(A1:A3,0))``, with three values. The engine does so
for its operators and a few functions alone; of the others it takes the first value or none. A call of one of those is
written as a call of ``STILLEACH`` (see ``admitted.py``), which puts the values one by one to our own definition or,
where there is none, to an engine of its own.
"""

from __future__ import annotations

import marshal
from collections.abc import Callable, Container, Iterator, Mapping
from functools import lru_cache
from typing import Any, Final, Protocol

from stillbook.workbook.calculation.answers import at, error, rows
from stillbook.workbook.calculation.definitions import OVER_RANGES
from stillbook.workbook.calculation.definitions.cell_values import MOST_VALUES
from stillbook.workbook.file.address import cell_name

_WHOLE: Final[Mapping[str, Container[int]]] = {"RANK": (1,), "SMALL": (0,), "LARGE": (0,)}
"""Functions with arguments that are ranges as wholes, by the places of these; the others are values."""

_ASKED: Final = "Asked"

_SHORT: Final = 500
"""Bytes of a call whose answer is kept."""


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
        if (definition := OVER_RANGES.get(name)) is not None:
            return definition(*values)
        call = marshal.dumps((name, *values), 2)
        return self._known(call) if len(call) <= _SHORT else self._asked(name, *values)

    def _asked(self, name: str, *values: Any) -> Any:
        whole = _WHOLE.get(name, ())
        blocks = [rows(value) for value in values]
        single = [place for place in range(len(blocks)) if place not in whole]
        height = max((len(blocks[place]) for place in single), default=1)
        width = max((len(blocks[place][0]) for place in single), default=1)
        if height * width > MOST_VALUES:
            return error("Value")
        asked = self._blank()
        asked.add_sheet(_ASKED)
        references = [_write_whole(asked, place, block) if place in whole else "" for place, block in enumerate(blocks)]
        for number, (row, column) in enumerate(_cells(height, width), start=1):
            for place in single:
                _write(asked, _ASKED, number, place + 2, at(blocks[place], row, column))
                references[place] = cell_name(number, place + 2)
            asked.set_formula(_ASKED, number, 1, f"={name}({','.join(references)})")
        asked.evaluate_all()
        found = [asked.get_value(_ASKED, number, 1) for number in range(1, height * width + 1)]
        given = ["" if value is None else value for value in found]
        if height == width == 1:
            return given[0]
        return [given[row * width : (row + 1) * width] for row in range(height)]


def _cells(rows: int, columns: int) -> Iterator[tuple[int, int]]:
    return ((row, column) for row in range(rows) for column in range(columns))


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
