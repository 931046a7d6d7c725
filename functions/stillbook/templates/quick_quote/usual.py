"""Usual: what an office sets once."""

from __future__ import annotations

from stillbook.templates.page import Book, Page
from stillbook.templates.parts.input_sheet import begin
from stillbook.templates.quick_quote.inputs import usual


def write(book: Book) -> Page:
    """Write the sheet, with the cell of its unit system."""
    page = begin(book, "Usual", "How this office builds, and what it adds to cost: set once, looked at where a job is unlike the others.")
    for title, entries in usual(book):
        page.heading(title)
        for entry in entries:
            page.input(entry)
        page.skip()
    page.finish(page.at - 2)
    page.fit(1)
    return page
