"""Letterhead: whom a proposal is for, beside it the place for the office's mark with its name and address."""

from __future__ import annotations

from typing import Final

from openpyxl.utils import get_column_letter

from stillbook.templates import look
from stillbook.templates.page import FIRST, Page
from stillbook.templates.parts import said
from stillbook.templates.parts.quiet_room import alternates

MARK_ROWS: Final = 5
"""Rows of the place for the mark; the address stands below it."""

_HEIGHT: Final = 15.5


def write(page: Page) -> None:
    """Write both; the place for the mark is the last two columns, and a picture laid on it hides the name."""
    first, rows = page.at, alternates.HEAD_ROWS
    mark = page.last_column - 1
    for place in range(1, rows + 1):
        row = first + place - 1
        page.put(row, FIRST, f"={said.nth('head', 'words', place)}", font=look.QUIET, align=look.LEFT)
        page.put(row, FIRST + 1, f"={said.nth('head', 'amounts', place)}", align=look.SHRUNK)
        page.merge(row, FIRST + 1, mark - 1)
        page.sheet.row_dimensions[row].height = _HEIGHT
    last = first + MARK_ROWS - 1
    for row in range(first, last + 1):
        for column in (mark, mark + 1):
            page.sheet.cell(row, column).border = look.edge(top=row == first, bottom=row == last, left=column == mark, right=column > mark)
    page.put(first, mark, '=IF(prepared_by="","",prepared_by)', font=look.STRONG, align=look.CENTRED)
    page.put(last + 1, mark, '=IF(office_address="","",office_address)', font=look.QUIET, align=look.CENTRED)
    for top, foot in ((first, last), (last + 1, first + rows - 1)):
        page.sheet.merge_cells(f"{get_column_letter(mark)}{top}:{get_column_letter(mark + 1)}{foot}")
    page.at = first + rows
    page.skip()
