"""Inputs: the job, and how its bids are compared."""

from __future__ import annotations

from typing import Final

from stillbook.templates import look
from stillbook.templates.bid_comparison import bidders, bids, lines, own_lines
from stillbook.templates.page import Book, Page
from stillbook.templates.parts import input_sheet
from stillbook.templates.parts.schedule import notes
from stillbook.workbook.job.inputs import InputSpec

MIDDLE: Final = "middle of the bids"
HIGHEST: Final = "highest bid"
OURS: Final = "our cost"


def write(book: Book) -> Page:
    """Write the sheet."""
    page = input_sheet.begin(book)
    input_sheet.sections(page, (("Job", "", job(book)), ("How the bids are compared", "", settings(book))))
    for name in ("project", "prepared_by", "estimate_file"):
        page.sheet.row_dimensions[_row_of(book, name)].height = 30
    page.break_here()
    for title, columns in (
        ("the Bidders sheet", bidders.columns(book)),
        ("the Lines sheet", lines.typed_columns(book)),
        ("the Bids sheet", bids.typed_columns(book, "A")),
        ("the Own lines sheet", own_lines.columns(book)),
        ("the Notes sheet", own_lines.note_columns(book)),
    ):
        page.heading(f"Columns of {title}")
        notes(page, columns)
        page.skip()
    page.finish(page.at - 2)
    return page


def _row_of(book: Book, name: str) -> int:
    """The row of an input."""
    return int(book.workbook.defined_names[name].attr_text.rpartition("$")[2])


def job(book: Book) -> list[InputSpec]:
    """Which job it is."""
    return [
        book.input("project", "Project", "text").saying("The job that the bids are for."),
        book.input("reference", "Reference", "text", optional=True).saying("Your number for it."),
        book.input("comparison_date", "Date", "date").saying("The day of the comparison."),
        book.input("prepared_by", "Prepared by", "text", optional=True).saying("Who compared them."),
        book.input("estimate_file", "Estimate", "text", optional=True).saying("The file and revision that the lines come from."),
        book.input("currency", "Currency", "text", ("USD", "EUR")).saying("Shown beside amounts."),
    ]


def settings(book: Book) -> list[InputSpec]:
    """What decides how bids are made alike, and what is told."""
    return [
        book.input("fill_missing", "A line without a price counts at the", "", MIDDLE, choices=(MIDDLE, HIGHEST, OURS)).saying(
            "So that all bids are alike in scope. Where nobody prices a line it is our cost."
        ),
        book.input("tax_rate", "Tax, where a bid includes it", "share", 0, 0, 0.5).saying("Taken out of such a bid's prices."),
        book.input("far_from_ours", "Lowest far from our cost", "share", 0.3, 0.01, 5).saying("A lowest price this much above or below our cost is marked."),
        book.input("far_off", "Unit price far from the others", "times", 4, 1.5, 100, look.ONE).saying(
            "This many times the middle of the bids and our cost, or this part of it: hardly meant for the same unit."
        ),
    ]
