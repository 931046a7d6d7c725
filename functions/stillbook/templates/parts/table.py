"""A table: its columns are declared once, each with all that concerns it; its rows are data.

It shares its columns with a schedule, whose rows are typed; here each row gives the values of the columns that have no
formula.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from openpyxl.utils import get_column_letter

from stillbook.templates import look
from stillbook.templates.page import FIRST, Page
from stillbook.templates.parts.schedule import Worked


@dataclass(frozen=True)
class Column(Worked):
    """A column of a table. One without a formula takes its values from the rows; ``name`` names the whole of it.

    In a formula, here or in a row, ``{key}`` is the row's cell of the column of that key, ``{above}`` are the cells of
    this column from its heading to the row above, and ``{n}`` is the number of the row, the first being 1.
    """

    formula: str = ""
    width: float = 0
    number_format: str = ""
    key: str = ""
    """What formulas and rows call it; its name where left out."""
    total: str | None = None
    """Name of its sum in the workbook, blank for a sum without a name, None for no sum."""

    @property
    def called(self) -> str:
        """Its key."""
        return self.key or self.name


class Table:
    """A table on a page: its heading row, rows, sums, and the names of its columns.

    Raises:
        ValueError: If it has more columns than the page, or two of one key.
    """

    def __init__(self, page: Page, columns: Sequence[Column]) -> None:
        self.page = page
        self.columns = columns
        self.places = {column.called: FIRST + offset for offset, column in enumerate(columns) if column.called}
        if len(columns) > len(page.widths):
            raise ValueError(f"{page.sheet.title}: a table of {len(columns)} columns on {len(page.widths)}")
        if len(self.places) < sum(bool(column.called) for column in columns):
            raise ValueError(f"{page.sheet.title}: two columns of a table have the same key")
        self.first = page.at

    def write(self, rows: Iterable[Sequence[Any]]) -> int:
        """Write the heading row and rows of values, and name the columns; gives the row number of the heading."""
        head = self.head()
        for given in rows:
            self.row(*given)
        self.name()
        return head

    def head(self, *, across: bool = True) -> int:
        """Write the heading row, ``across`` the whole page or only over the columns; gives its row number."""
        page, titles = self.page, [column.title for column in self.columns]
        words = [place for place, column in enumerate(self.columns) if column.words and column.title]
        page.head_row([*titles, *[""] * ((len(page.widths) - len(titles)) * across)], words=words)
        self.first = page.at
        return page.at - 1

    def row(
        self, *given: Any, number_format: str = "", strong: bool = False, border: Any = look.ROW, names: Mapping[str, str] | None = None, **instead: Any
    ) -> int:
        """Write a row; gives its row number.

        Args:
            given: The value of each column without a formula, in order; None leaves a cell blank and without format,
                an empty text blank with its format.
            number_format: The format of its numbers, where it is not that of the columns.
            strong: Whether it is set in bold.
            border: The border of its cells.
            names: Names of its cells, by the key of the column.
            instead: Values that stand in place of a formula, by the key of the column.

        Raises:
            ValueError: If there are more or fewer values than columns that need one.
            KeyError: If a key is not that of a column.
        """
        called = names or {}
        unknown = {*instead, *called} - self.places.keys()
        if unknown:
            raise KeyError(f"{self.page.sheet.title}: no column of the key {', '.join(sorted(unknown))}")
        asked = sum(not column.formula and column.called not in instead for column in self.columns)
        if len(given) != asked:
            raise ValueError(f"{self.page.sheet.title}, row {self.page.at}: {len(given)} values for {asked} columns")
        left = iter(given)
        values = [instead[column.called] if column.called in instead else f"={column.formula}" if column.formula else next(left) for column in self.columns]
        formats = [
            "" if value is None else "text" if column.words else number_format or column.number_format
            for column, value in zip(self.columns, values, strict=True)
        ]
        return self.page.row(
            [self._filled(value, place) for place, value in enumerate(values)],
            formats,
            strong=strong,
            border=border,
            names=[called.get(column.called, "") for column in self.columns],
        )

    def boxes(self, *values: str | float | None) -> None:
        """Write a row of boxes to type in, one for each column."""
        page = self.page
        for offset, (column, value) in enumerate(zip(self.columns, values, strict=True)):
            align = look.SHRUNK_UNIT if isinstance(value, str) else look.BOXED_RIGHT
            page.box(page.at, FIRST + offset, value, number_format=column.number_format or look.GENERAL, align=align)
        page.at += 1

    def total(self, label: str) -> int:
        """Write the row of sums, and name them; gives its row number."""
        sums = {c.called: f"=SUM({self.cells(c.called)})" for c in self.columns if c.total is not None}
        cells: dict[str, Any] = dict.fromkeys(self.places) | sums
        first, *others = self.columns
        given = [None] * sum(not column.called for column in others)
        if first.called:
            cells[first.called] = label
        return self.row(
            *([] if first.called else [label]), *given, strong=True, border=look.TOTAL_ROW, names={c.called: c.total for c in self.columns if c.total}, **cells
        )

    def name(self, *keys: str) -> None:
        """Name the whole of each column that has a name, down to the row above; only those of the keys, where given."""
        for column in self.columns:
            if column.name and (column.called in keys or not keys):
                self.page.name(column.name, self.first, self.places[column.called], self.page.at - 1)

    def cells(self, key: str) -> str:
        """The cells of a column in all rows above."""
        letter = get_column_letter(self.places[key])
        return f"{letter}{self.first}:{letter}{self.page.at - 1}"

    def _filled(self, value: Any, place: int) -> Any:
        """A formula with the cells of its row."""
        if not isinstance(value, str) or not value.startswith("="):
            return None if value == "" else value
        row, here = self.page.at, get_column_letter(FIRST + place)
        cells = {key: f"{get_column_letter(column)}{row}" for key, column in self.places.items()}
        cells |= {"above": f"{here}${self.first - 1}:{here}{row - 1}", "n": str(row - self.first + 1)}
        return re.sub(r"{([A-Za-z]\w*)}", lambda found: cells[found[1]], value)
