"""Bidders: who bids, and what their bids say as a whole."""

from __future__ import annotations

from typing import Final

from stillbook.templates import look
from stillbook.templates.page import Book, Page
from stillbook.templates.parts.schedule import Schedule, Typed, typed, widths

LETTERS: Final = "ABCDEF"
"""Each bid is known by a letter, whatever its bidder is called."""

ROWS: Final = len(LETTERS)
_HIGH: Final = 44.0


def columns(book: Book) -> tuple[Typed, ...]:
    """The columns, in order."""
    money = book.currency
    return (
        typed(book, "Bidder", "bidder_names", 34, number_format=look.TEXT, words=True).saying("Who bids. A letter without a name is not compared."),
        typed(book, "Received", "bidder_dates", 12, number_format=look.DATE).saying("The day the bid came in."),
        typed(book, "Tax in it", "bidder_taxes", 10, choices=("yes", "no"), words=True).saying("Whether the prices include tax."),
        typed(book, f"Sum as written, {money}", "bidder_sums", 16, "", 0, 1e9, look.PRICE).saying("The sum of all lines as the bid states it."),
        typed(book, "Remarks and exclusions", "bidder_remarks", 64, number_format=look.TEXT, words=True).saying("What the bid says beside its prices."),
    )


def name(letter: str) -> str:
    """The name of a bidder, in a formula."""
    return f"INDEX(bidder_names,{LETTERS.index(letter) + 1})"


def tax(letter: str) -> str:
    """What the prices of a bid are divided by to be before tax, in a formula."""
    return f'(1+IF(INDEX(bidder_taxes,{LETTERS.index(letter) + 1})="yes",tax_rate,0))'


def heading(letter: str, most: int = 26) -> str:
    """The heading of a bid's columns: its letter, and who bids in so many letters."""
    return f'=IF({name(letter)}="","{letter}","{letter} · "&LEFT({name(letter)},{most})&IF(LEN({name(letter)})>{most},"…",""))'


def write(book: Book, schedule: Schedule) -> Page:
    """Write the sheet."""
    shown = columns(book)
    page = book.page(
        "Bidders",
        "Up to six bids, each known by its letter on the other sheets. Leave no letter out: A, then B, and so on.",
        widths(shown),
        wide=True,
        single=True,
    )
    first = schedule.write(page, shown)
    page.sheet.column_dimensions["A"].width = 4
    for row, letter in enumerate(LETTERS, start=first):
        page.put(row, 1, letter, font=look.STRONG)
        page.sheet.row_dimensions[row].height = _HIGH
    page.name("bidder_letters", first, 1, first + ROWS - 1)
    page.note("Read the remarks: what a bid excludes is no part of its price, and no formula sees it.")
    page.finish()
    return page
