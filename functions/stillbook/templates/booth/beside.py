"""Parts of results side by side: each takes three columns, for what it is, its value and its unit."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from stillbook.templates import look
from stillbook.templates.heights import HEADING, ROW
from stillbook.templates.page import FIRST, Page, ResultRow

Part = tuple[str, Sequence[ResultRow]]
"""A heading and its results, none of which has a note: there is no room for one."""

COLUMNS: Final = 3
"""Columns that a part takes."""


def write(page: Page, *stacks: Sequence[Part]) -> None:
    """Write stacks of parts beside each other, the parts of a stack one under the other with a blank row between them.

    Raises:
        ValueError: If a result has a note.
    """
    top = last = page.at
    for place, parts in enumerate(stacks):
        first, row = FIRST + COLUMNS * place, top
        for heading, entries in parts:
            row = _part(page, row, first, heading, entries) + 1
        last = max(last, row - 1)
    for row in range(top, last):
        page.sheet.row_dimensions[row].height = page.sheet.row_dimensions[row].height or ROW
    page.at = last
    page.skip()


def _part(page: Page, row: int, first: int, heading: str, entries: Sequence[ResultRow]) -> int:
    """Write a part from a row and a column on; gives the row after it."""
    for column in range(first, first + COLUMNS):
        page.sheet.cell(row, column).border = look.UNDER_HEADING
    page.put(row, first, heading, font=look.HEADING, border=look.UNDER_HEADING).alignment = look.UNWRAPPED
    page.sheet.row_dimensions[row].height = HEADING
    for at, entry in enumerate(entries, start=row + 1):
        if entry.note:
            raise ValueError(f"{page.sheet.title}: {entry.label} has a note, and no room for it")
        font = look.STRONG if entry.key else look.BODY
        page.put(at, first, entry.label, font=font, border=look.ROW)
        page.put(at, first + 1, entry.formula, font=font, number_format=entry.number_format, border=look.ROW)
        page.put(at, first + 2, entry.unit, font=look.QUIET, align=look.UNIT, border=look.ROW)
        if entry.name:
            page.name_result(entry, at, first + 1)
    return row + 1 + len(entries)
