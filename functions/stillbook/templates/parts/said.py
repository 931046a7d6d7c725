"""Lines that stand on a page one under the other, each only where it is there, with no gap where one is not.

They are kept in a table, which numbers those that are there; a page asks for them by their number.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from openpyxl.formatting.rule import FormulaRule
from openpyxl.styles import Font
from openpyxl.utils import get_column_letter

from stillbook.templates import look
from stillbook.templates.page import FIRST, Page
from stillbook.templates.parts.table import Column, Table

NUMBER: Final = '0;;""'
"""The format of the number of a line that may not be there."""


@dataclass(frozen=True)
class Said:
    """A line: when it is there, its words and what stands at its end, each a formula without its sign."""

    when: str
    words: str
    amount: str = '""'


def columns(name: str) -> tuple[Column, Column, Column]:
    """The columns of a table of lines: words, number and what stands at the end."""
    return (
        Column("", key="words", name=f"{name}_words", words=True),
        Column("", key="number", name=f"{name}_numbers", number_format=NUMBER),
        Column("", key="amount", name=f"{name}_amounts"),
    )


def keep(table: Table, line: Said, *beside: None) -> int:
    """Write a line in a table that has those columns, and ``beside`` them as many as are given here; gives its row."""
    words, amount = (f'=IF({{number}}=0,"",{text})' for text in (line.words, line.amount))
    return table.row(*beside, number=f"=IF({line.when},MAX({{above}})+1,0)", words=words, amount=amount)


def nth(name: str, part: str, place: int) -> str:
    """The ``part`` of the line that is there in a place, such as ``words`` or ``amounts``; empty after the last one."""
    return f'IF({place}>MAX({name}_numbers),"",INDEX({name}_{part},MATCH({place},{name}_numbers,0)))'


def show(page: Page, row: int, name: str, count: int, first: int, last: int, *, amounts: bool, height: float = 0, font: Font = look.BODY) -> None:
    """Write the lines that there are from a row down; rows left over at the end show nothing, and a line that ends in a colon is bold.

    Args:
        page: The page; it stays where it is.
        row: The first row.
        name: What the names of the table begin with.
        count: How many lines there are at most.
        first: The column in which the words begin.
        last: The last column of a line.
        amounts: Whether the last column holds what stands at the end of each line.
        height: The height of the rows in points; 0 leaves it.
        font: How they are set.
    """
    end = last - 1 if amounts else last
    for place in range(1, count + 1):
        at = row + place - 1
        page.put(at, first, f"={nth(name, 'words', place)}", font=font, align=look.SHRUNK)
        if end > first:
            page.merge(at, first, end)
        if amounts:
            page.put(at, last, f"={nth(name, 'amounts', place)}", font=font, align=look.SHRUNK_RIGHT)
        if height:
            page.sheet.row_dimensions[at].height = height
    column = get_column_letter(first)
    title = FormulaRule(formula=[f'COUNTIF(${column}{row},"*:")=1'], font=Font(bold=True))
    page.sheet.conditional_formatting.add(f"{column}{row}:{get_column_letter(end)}{row + count - 1}", title)


def write(page: Page, name: str, title: str, lines: Sequence[Said]) -> None:
    """Write a table of lines alone on a sheet of lists, three columns wide."""
    page.skip()
    page.put(page.at, FIRST, title, font=look.QUIET)
    page.at += 1
    table = Table(page, columns(name))
    for line in lines:
        row = keep(table, line)
        page.sheet.row_dimensions[row].height = 13
        page.ink(row, look.SMALL)
    table.name()
