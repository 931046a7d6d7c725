"""Usual: what an office sets once."""

from __future__ import annotations

from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.quick_quote.inputs import usual


def write(book: Book) -> Page:
    """Write the sheet, with the cell of its unit system."""
    page = book.page("Usual", "How this office builds, and what it adds to cost: set once, looked at where a job is unlike the others.", (31, 25, 10, 18, 38))
    page.put(page.at, FIRST, "Units of bare numbers", font=look.QUIET)
    page.put(page.at, FIRST + 1, book.system, font=look.QUIET)
    book.name("units", page, page.at, FIRST + 1)
    page.skip(2)
    for title, entries in usual(book):
        page.heading(title)
        for entry in entries:
            page.input(entry)
        page.skip()
    page.finish(page.at - 2)
    return page
