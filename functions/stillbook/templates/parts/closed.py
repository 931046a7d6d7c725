"""Parts of a sheet that are closed until someone opens them, and the word that tells a typed value from the template's."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Final

from openpyxl.utils import get_column_letter

from stillbook.templates import look
from stillbook.templates.heights import height_for
from stillbook.templates.page import FIRST, Page
from stillbook.workbook.job.inputs import InputSpec

WORD: Final = "changed"
"""What stands in the last column of a row in which a value is not that of the template."""


@contextmanager
def closed(page: Page, title: str, note: str = "") -> Iterator[None]:
    """What is written meanwhile lies closed under its heading, which says how many of its rows are changed."""
    head = page.at
    page.heading(title)
    page.put(head, page.last_column - 1, note, font=look.QUIET).alignment = look.UNWRAPPED_RIGHT
    page.rule(head, look.UNDER_HEADING)
    yield
    page.skip()
    column = get_column_letter(page.last_column)
    rows = f'COUNTIF({column}{head + 1}:{column}{page.at - 1},"{WORD}")'
    page.put(head, page.last_column, f'=IF({rows}=0,"",{rows}&" {WORD}")', font=look.STRONG, border=look.UNDER_HEADING).alignment = look.UNWRAPPED_RIGHT
    page.close(head + 1, page.at - 1)


def tell(page: Page, row: int, *entries: InputSpec, first: int = FIRST + 1) -> None:
    """Say in the last column of a row whether one of its boxes, which stand side by side, holds another value than the template's."""
    alike = [like(f"{get_column_letter(first + offset)}{row}", entry) for offset, entry in enumerate(entries)]
    page.put(row, page.last_column, f'=IF(AND({",".join(alike)}),"","{WORD}")', font=look.SMALL, align=look.UNIT)


def like(cell: str, entry: InputSpec) -> str:
    """Whether a cell holds the template's value of an input, as a condition of a formula."""
    if entry.default in (None, ""):
        return f'{cell}=""'
    if isinstance(entry.default, str):
        quoted = entry.default.replace('"', '""')
        return f'{cell}="{quoted}"'
    return f"{cell}={entry.default!r}"


def write(page: Page, entries: Sequence[InputSpec]) -> None:
    """Input rows, each told apart."""
    for entry in entries:
        row = page.at
        page.input(entry)
        tell(page, row, entry)


def table(page: Page, heading: tuple[str, str], titles: Sequence[str], columns: Sequence[str], rows: Sequence[Sequence[InputSpec]]) -> None:
    """A closed table of inputs: its title and note, its columns each with a name, a row of entries each of which has its own."""
    with closed(page, *heading):
        padded = [*titles, *[""] * (len(page.widths) - len(titles))]
        words = [place for place, entry in enumerate(rows[0]) if entry.unit == "text" or entry.choices]
        page.head_row(padded, words=words)
        first = page.at
        height = max(height_for("x" * (entry.longest or 1), page.widths[offset] - 2, look.BODY.size) for offset, entry in enumerate(rows[0]))
        for entries in rows:
            for offset, entry in enumerate(entries):
                page.input_cell(page.at, FIRST + offset, entry)
            tell(page, page.at, *entries, first=FIRST)
            page.sheet.row_dimensions[page.at].height = height
            page.at += 1
        for offset, name in enumerate(columns):
            page.name(name, first, FIRST + offset, page.at - 1)
