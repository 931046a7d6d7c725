"""Cell addresses: ``B7`` as row and column, ranges, and sheet names as formulas write them."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import NamedTuple

LAST_ROW = 1_048_576
LAST_COLUMN = 16_384

_CELL = re.compile(r"\$?([A-Za-z]{1,3})\$?([1-9]\d{0,6})")
_PIECE = re.compile(r"(?:'(?:[^']|'')*'|[^,~'])+")
_PLAIN_SHEET = re.compile(r"[^\W\d]\w*")


class Area(NamedTuple):
    """A block of cells, first and last row and column included, counted from 1."""

    first_row: int
    first_column: int
    last_row: int
    last_column: int

    @property
    def rows(self) -> int:
        """How many rows."""
        return self.last_row - self.first_row + 1

    @property
    def columns(self) -> int:
        """How many columns."""
        return self.last_column - self.first_column + 1

    def holds(self, row: int, column: int) -> bool:
        """Whether a cell is in it."""
        return self.first_row <= row <= self.last_row and self.first_column <= column <= self.last_column

    def cells(self) -> Iterator[tuple[int, int]]:
        """Row and column of each cell, row by row."""
        columns = range(self.first_column, self.last_column + 1)
        return ((row, column) for row in range(self.first_row, self.last_row + 1) for column in columns)

    def __str__(self) -> str:
        first = cell_name(self.first_row, self.first_column)
        last = cell_name(self.last_row, self.last_column)
        return first if first == last else f"{first}:{last}"


@lru_cache(maxsize=4096)
def read_cell(text: str) -> tuple[int, int] | None:
    """Row and column of a cell address, with or without dollar signs; None if it is none.

    >>> read_cell("$B$7")
    (7, 2)
    """
    match = _CELL.fullmatch(text)
    column = column_number(match[1]) if match else None
    if match is None or column is None:
        return None
    row = int(match[2])
    return (row, column) if row <= LAST_ROW else None


@lru_cache(maxsize=4096)
def read_area(text: str) -> Area | None:
    """A range such as ``A1:C9`` or a single cell; None if it is neither.

    >>> read_area("B2:C9")
    Area(first_row=2, first_column=2, last_row=9, last_column=3)
    """
    first, _, last = text.partition(":")
    start, end = read_cell(first), read_cell(last or first)
    if start is None or end is None:
        return None
    return Area(min(start[0], end[0]), min(start[1], end[1]), max(start[0], end[0]), max(start[1], end[1]))


@lru_cache(maxsize=LAST_COLUMN)
def column_number(letters: str) -> int | None:
    """The number of a column from its letters; None if they are none.

    >>> column_number("AB")
    28
    """
    if not 1 <= len(letters) <= 3 or not (letters.isascii() and letters.isalpha()):
        return None
    column = 0
    for letter in letters.upper():
        column = column * 26 + ord(letter) - 64
    return column if column <= LAST_COLUMN else None


@lru_cache(maxsize=LAST_COLUMN)
def column_name(column: int) -> str:
    """The letters of a column.

    >>> column_name(28)
    'AB'
    """
    letters = ""
    while column:
        column, rest = divmod(column - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


def cell_name(row: int, column: int) -> str:
    """The address of a cell.

    >>> cell_name(7, 2)
    'B7'
    """
    return f"{column_name(column)}{row}"


def quoted(sheet: str) -> str:
    """A sheet name as a formula writes it.

    >>> quoted("Take-off"), quoted("Air")
    ("'Take-off'", 'Air')
    """
    if _PLAIN_SHEET.fullmatch(sheet) and read_cell(sheet) is None:
        return sheet
    return "'" + sheet.replace("'", "''") + "'"


def place(sheet: str, row: int, column: int) -> str:
    """A cell with its sheet, as messages name it.

    >>> place("Take-off", 7, 2)
    "'Take-off'!B7"
    """
    return f"{quoted(sheet)}!{cell_name(row, column)}"


def references(sheet: str, areas: Sequence[Area]) -> str:
    """Blocks of cells as a print area names them.

    >>> references("Take-off", [Area(1, 1, 9, 2), Area(1, 3, 9, 4)])
    "'Take-off'!$A$1:$B$9,'Take-off'!$C$1:$D$9"
    """
    written = "'" + sheet.replace("'", "''") + "'!"
    return ",".join(
        f"{written}${column_name(a.first_column)}${a.first_row}:${column_name(a.last_column)}${a.last_row}"
        for a in areas
    )


def pieces(text: str) -> list[str]:
    """The references that a name refers to together.

    >>> pieces("'Take-off'!$A$1:$B$9,'Take-off'!$C$1:$D$9")
    ["'Take-off'!$A$1:$B$9", "'Take-off'!$C$1:$D$9"]
    """
    return _PIECE.findall(text)


@lru_cache(maxsize=1 << 14)
def split_reference(text: str) -> tuple[str, Area] | None:
    """Sheet and cells of a reference such as ``'Take-off'!$B$7``; None if it is anything else.

    >>> split_reference("Air!$B$7")
    ('Air', Area(first_row=7, first_column=2, last_row=7, last_column=2))
    """
    sheet, mark, cells = text.strip().removeprefix("=").rpartition("!")
    area = read_area(cells)
    if not mark or area is None:
        return None
    if sheet.startswith("'") and sheet.endswith("'") and len(sheet) > 2:
        sheet = sheet[1:-1].replace("''", "'")
    return sheet, area
