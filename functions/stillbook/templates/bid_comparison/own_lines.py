"""Own lines: what bidders added. Notes: what no formula can see."""

from __future__ import annotations

from typing import Final

from stillbook.templates import look
from stillbook.templates.bid_comparison.bidders import LETTERS
from stillbook.templates.page import Book, Page
from stillbook.templates.parts.schedule import Schedule, Typed, Worked, typed

ROWS: Final = 40
NOTES: Final = 40


def columns(book: Book) -> tuple[Typed | Worked, ...]:
    """The columns of added lines, in order."""
    amount = "IF(AND(ISNUMBER({own_quantities}),ISNUMBER({own_prices})),{own_quantities}*{own_prices},N({own_totals}))"
    taxed = 'IF(INDEX(bidder_taxes,MATCH({own_bids},bidder_letters,0))="yes",tax_rate,0)'
    written = f"IF(ISNUMBER({{own_totals}}),{{own_totals}},{amount})"
    money = book.currency
    return (
        typed(book, "Bid", "own_bids", 6, choices=tuple(LETTERS), words=True).saying("Letter of the bid. A row without one is blank."),
        typed(book, "No.", "own_numbers", 6, "", 0, 9999).saying("Number, where the bid gives one that was not asked for."),
        typed(book, "Item", "own_texts", 44, number_format=look.TEXT, words=True).saying("What it is."),
        typed(book, "Quantity", "own_quantities", 10, "", 0, 1e7).saying("How much."),
        typed(book, "Unit", "own_units", 9, number_format=look.TEXT, words=True).saying("What it is priced by."),
        typed(book, "Unit price", "own_prices", 12, "", 0, 1e9, look.PRICE).saying("As the bid writes it."),
        typed(book, "Line total", "own_totals", 12.5, "", 0, 1e9, look.PRICE).saying("As the bid writes it."),
        typed(book, "Counts", "own_counts", 8, choices=("yes", "no"), words=True).saying("Whether it is part of the bid as compared; blank is yes."),
        Worked(f"As compared, {money}", f'IF({{own_counts}}="no",0,{amount}/(1+{taxed}))', 12, "own_amounts", look.PRICE),
        Worked(f"As written, {money}", written, 12, "own_written", look.PRICE),
    )


def note_columns(book: Book) -> tuple[Typed, ...]:
    """The columns of notes, in order."""
    return (
        typed(book, "Bid", "note_bids", 6, choices=tuple(LETTERS), words=True).saying("Letter of the bid. A row without one is blank."),
        typed(book, "Line", "note_lines", 7, "", 0, 9999).saying("Number of the line; blank for the bid as a whole."),
        typed(book, "What", "note_kinds", 13, number_format=look.TEXT, words=True).saying("In a word: unit, price, twice, revision, exclusion."),
        typed(book, "Note", "note_texts", 112, number_format=look.TEXT, words=True).saying("What is to be looked at or asked."),
    )


def write(book: Book, schedule: Schedule) -> Page:
    """Write the sheet of added lines."""
    return schedule.page(
        "Own lines",
        "Lines that a bidder added. Decide whether each belongs to the work asked for: one that does not is no part of a fair comparison.",
        columns(book),
    )


def write_notes(book: Book, schedule: Schedule) -> Page:
    """Write the sheet of notes."""
    return schedule.page(
        "Notes",
        "What no formula can see: a price written in words, another unit, an older revision, an exclusion. Read from the files, "
        "or typed by hand; the Findings sheet lists them.",
        note_columns(book),
    )
