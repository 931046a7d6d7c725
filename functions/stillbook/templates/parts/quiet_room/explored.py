"""Options explored: what an exploration of the job found for its client, typed on the Inputs sheet and told on the first one."""

from __future__ import annotations

from typing import Final

from openpyxl.utils import get_column_letter

from stillbook.templates import look, marks
from stillbook.templates.heights import height_for
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts import closed
from stillbook.workbook.job.inputs import InputSpec

OPTIONS: Final = 3
"""Options that there is a place for."""

LONGEST_NAME: Final = 40
LONGEST: Final = 320
"""Characters of what changes, so that it stands in three lines of the first sheet."""


def ask(book: Book, page: Page) -> None:
    """Write their table on the Inputs sheet."""
    closed.table(
        page,
        ("Options explored", "ways to build the job that its client is shown; stillbook options fills them in"),
        ("Option", "Price, tax included", "STC", "NC inside", "What changes"),
        ("option_names", "option_prices", "option_isolations", "option_levels", "option_changes"),
        [_option(book, number) for number in range(1, OPTIONS + 1)],
    )


def _option(book: Book, n: int) -> tuple[InputSpec, ...]:
    """The entries of an option."""
    return (
        book.input(f"option_name_{n}", f"Option {n}, name", "text", optional=True, one_job=True, longest=LONGEST_NAME).saying("What it is called."),
        book.input(f"option_price_{n}", f"Option {n}, price", "", None, 0, 10_000_000, look.PRICE, optional=True, one_job=True).saying(
            "As it came out when it was explored."
        ),
        book.input(f"option_isolation_{n}", f"Option {n}, isolation", "STC", None, 0, 120, look.WHOLE, optional=True, one_job=True).saying("Of the room."),
        book.input(f"option_level_{n}", f"Option {n}, heard inside", "NC", None, 0, 120, look.WHOLE, optional=True, one_job=True).saying("At the seat."),
        book.input(f"option_change_{n}", f"Option {n}, what changes", "text", optional=True, one_job=True, longest=LONGEST).saying("Against this job."),
    )


def tell(page: Page) -> None:
    """Write them on the first sheet; nothing shows while there is none."""
    some = 'COUNTIF(option_names,"?*")>0'
    page.put(page.at, FIRST, f'=IF({some},"Options explored","")', font=look.HEADING, align=look.UNWRAPPED)
    told = f'=IF({some},"as they came out when they were explored; typed on the Inputs sheet","")'
    page.put(page.at, page.last_column, told, font=look.QUIET, align=look.UNWRAPPED_RIGHT)
    page.sheet.row_dimensions[page.at].height = 20
    page.at += 1
    first = page.at
    width = sum(page.widths[2:])
    for n in range(1, OPTIONS + 1):
        rating = "".join(f'&IF(option_{what}_{n}="","",", {word} "&TEXT(option_{what}_{n},"0"))' for what, word in (("isolation", "STC"), ("level", "NC")))
        price = f'IF(option_price_{n}="","price not told",TEXT(option_price_{n},"#,##0")&" "&currency)'
        page.put(page.at, FIRST, f'=option_name_{n}&""', font=look.STRONG, align=look.LEFT)
        page.put(page.at, FIRST + 1, f'=IF(option_name_{n}="","",{price}{rating})', font=look.SMALL, align=look.LEFT)
        page.put(page.at, FIRST + 2, f'=IF(option_name_{n}="","",option_change_{n}&"")', font=look.SMALL, align=look.LEFT)
        page.merge(page.at, FIRST + 2)
        page.sheet.row_dimensions[page.at].height = height_for("x" * LONGEST, width, look.SMALL.size)
        page.at += 1
    letter, last = get_column_letter(FIRST), get_column_letter(page.last_column)
    marks.show_where_filled(page.sheet, f"{letter}{first}:{last}{page.at - 1}", letter, border=look.ROW)
