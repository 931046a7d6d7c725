"""The page of lists: the words that drop-downs offer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

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
    for offset, offer in enumerate(offers):
        fill(page, offset, offer.name, offer.words)
    page.at += max(len(offer.words) for offer in offers)
    page.finish(page.at - 1)
    page.never_print()
    return page


def fill(page: Page, offset: int, name: str, words: Sequence[str]) -> None:
    """Write the words of a list down a column, from the page's next row, and name them."""
    for row, word in enumerate(words, start=page.at):
        page.put(row, FIRST + offset, word, font=look.SMALL, align=look.LEFT if offset == 0 else look.UNIT)
        page.sheet.row_dimensions[row].height = 13
    page.name(name, page.at, FIRST + offset, page.at + len(words) - 1)


def words_of(formula: str, argument: str) -> Sequence[str]:
    """The words that an argument of a formula takes."""
    return next(p for p in formulas()[formula].parameters if p.name == argument).reader.choices
