"""Inputs: the job, and how its bids are compared."""

from __future__ import annotations

from typing import Final

from stillbook.templates import look
from stillbook.templates.bid_comparison import bidders, bids, lines, own_lines
from stillbook.templates.booth import inputs
from stillbook.templates.page import Book, Input, Page
from stillbook.templates.parts.schedule import notes

MIDDLE: Final = "middle of the bids"
HIGHEST: Final = "highest bid"
OURS: Final = "our cost"


def write(book: Book) -> Page:
    """Write the sheet."""
    page = inputs.begin(book)
    inputs.sections(page, (("Job", "", job(book)), ("How the bids are compared", "", settings())))
    for name in ("project", "prepared_by", "estimate_file"):
        page.sheet.row_dimensions[_row_of(book, name)].height = 30
    page.break_here()
    for title, columns in (
        ("the Bidders sheet", bidders.columns(book)),
        ("the Lines sheet", lines.typed(book)),
        ("the Bids sheet", bids.typed("A")),
        ("the Own lines sheet", own_lines.columns(book)),
        ("the Notes sheet", own_lines.note_columns()),
    ):
        page.heading(f"Columns of {title}")
        notes(page, columns)
        page.skip()
    page.finish(page.at - 2)
    return page


def _row_of(book: Book, name: str) -> int:
    """The row of an input."""
    return int(book.workbook.defined_names[name].attr_text.rpartition("$")[2])


def job(book: Book) -> list[Input]:
    """Which job it is."""
    return [
        Input("project", "Project", None, "text", "The job that the bids are for."),
        Input("reference", "Reference", None, "text", "Your number for it.", optional=True),
        Input("comparison_date", "Date", None, "date", "The day of the comparison.", number_format=look.DATE),
        Input("prepared_by", "Prepared by", None, "text", "Who compared them.", optional=True),
        Input("estimate_file", "Estimate", None, "text", "The file and revision that the lines come from.", optional=True),
        Input("currency", "Currency", book.pick("USD", "EUR"), "text", "Shown beside amounts."),
    ]  # fmt: skip


def settings() -> list[Input]:
    """What decides how bids are made alike, and what is told."""
    return [
        Input("fill_missing", "A line without a price counts at the", MIDDLE, "",
              "So that all bids are alike in scope. Where nobody prices a line it is our cost.",
              choices=(MIDDLE, HIGHEST, OURS)),
        Input("tax_rate", "Tax, where a bid includes it", 0, "share", "Taken out of such a bid's prices.", 0, 0.5,
              number_format=look.PERCENT),
        Input("far_from_ours", "Lowest far from our cost", 0.3, "share",
              "A lowest price this much above or below our cost is marked.", 0.01, 5, number_format=look.PERCENT),
        Input("far_off", "Unit price far from the others", 4, "times",
              "This many times the others, or this part of them: hardly meant for the same unit.", 1.5, 100,
              number_format=look.ONE),
    ]  # fmt: skip
