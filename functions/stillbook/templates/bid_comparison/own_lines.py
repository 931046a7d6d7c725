"""Own lines: what bidders added. Notes: what no formula can see."""

from __future__ import annotations

from typing import Final

from stillbook.templates import look
from stillbook.templates.bid_comparison.bidders import LETTERS
from stillbook.templates.page import Book, Page
from stillbook.templates.parts.schedule import Schedule, Typed, Worked

ROWS: Final = 40
NOTES: Final = 40


def columns(book: Book) -> tuple[Typed | Worked, ...]:
    """The columns of added lines, in order."""
    amount = "IF(AND(ISNUMBER({own_quantities}),ISNUMBER({own_prices})),{own_quantities}*{own_prices},N({own_totals}))"
    taxed = 'IF(INDEX(bidder_taxes,MATCH({own_bids},bidder_letters,0))="yes",tax_rate,0)'
    written = f"IF(ISNUMBER({{own_totals}}),{{own_totals}},{amount})"
    money = book.pick("USD", "EUR")
    return (
        Typed("Bid", "own_bids", 6, "Letter of the bid. A row without one is blank.", choices=tuple(LETTERS), words=True),
        Typed("No.", "own_numbers", 6, "Number, where the bid gives one that was not asked for.", 0, 9999),
        Typed("Item", "own_texts", 44, "What it is.", number_format="@", words=True),
        Typed("Quantity", "own_quantities", 10, "How much.", 0, 1e7),
        Typed("Unit", "own_units", 9, "What it is priced by.", number_format="@", words=True),
        Typed("Unit price", "own_prices", 12, "As the bid writes it.", 0, 1e9, number_format=look.PRICE),
        Typed("Line total", "own_totals", 12.5, "As the bid writes it.", 0, 1e9, number_format=look.PRICE),
        Typed("Counts", "own_counts", 8, "Whether it is part of the bid as compared; blank is yes.", choices=("yes", "no"),
              words=True),
        Worked(f"As compared, {money}", f'IF({{own_counts}}="no",0,{amount}/(1+{taxed}))', 12, "own_amounts", look.PRICE,
               each=True),
        Worked(f"As written, {money}", written, 12, "own_written", look.PRICE, each=True),
    )  # fmt: skip


def note_columns() -> tuple[Typed, ...]:
    """The columns of notes, in order."""
    return (
        Typed("Bid", "note_bids", 6, "Letter of the bid. A row without one is blank.", choices=tuple(LETTERS), words=True),
        Typed("Line", "note_lines", 7, "Number of the line; blank for the bid as a whole.", 0, 9999),
        Typed("What", "note_kinds", 13, "In a word: unit, price, twice, revision, exclusion.", number_format="@", words=True),
        Typed("Note", "note_texts", 112, "What is to be looked at or asked.", number_format="@", words=True),
    )  # fmt: skip


def write(book: Book, schedule: Schedule) -> Page:
    """Write the sheet of added lines."""
    return schedule.page(
        "Own lines",
        "Lines that a bidder added. Decide whether each belongs to the work asked for: one that does not is no part of a fair "
        "comparison.",
        columns(book),
    )


def write_notes(book: Book, schedule: Schedule) -> Page:
    """Write the sheet of notes."""
    return schedule.page(
        "Notes",
        "What no formula can see: a price written in words, another unit, an older revision, an exclusion. Read from the files, "
        "or typed by hand; the Findings sheet lists them.",
        note_columns(),
    )
