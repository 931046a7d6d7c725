"""The page of lists: the words that drop-downs offer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from openpyxl.utils import get_column_letter

from stillbook.catalogue import formulas
from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page


@dataclass(frozen=True)
class Offer:
    """One list: its heading, its name in the workbook, its words and the width of its column."""

    title: str
    name: str
    words: Sequence[str]
    width: float


def write(book: Book, offers: Sequence[Offer]) -> Page:
    """Write the sheet, a column for each list, and name each."""
    page = book.page("Lists", "Words the drop-downs offer.", [offer.width for offer in offers])
    page.head_row([offer.title for offer in offers], words=range(len(offers)))
    first = page.at
    for offset, offer in enumerate(offers):
        for row, word in enumerate(offer.words, start=first):
            page.put(row, FIRST + offset, word, font=look.SMALL, align=look.LEFT if offset == 0 else look.UNIT)
            page.sheet.row_dimensions[row].height = 13
        last = f"${get_column_letter(FIRST + offset)}${first + len(offer.words) - 1}"
        book.name(offer.name, page, first, FIRST + offset, last=last)
    page.at = first + max(len(offer.words) for offer in offers)
    page.finish(page.at - 1)
    return page


def words_of(formula: str, argument: str) -> Sequence[str]:
    """The words that an argument of a formula takes."""
    return next(p for p in formulas()[formula].parameters if p.name == argument).reader.choices
