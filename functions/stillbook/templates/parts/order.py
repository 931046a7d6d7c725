"""The order of the sheets: as the Start sheet lists them, after it; those it does not name come last."""

from __future__ import annotations

from collections.abc import Sequence

from stillbook.templates.page import Book


def arrange(book: Book, listed: Sequence[tuple[str, str]]) -> Book:
    """Put the sheets in order; ``listed`` are the entries of the Start sheet. Gives the book."""
    order = ["Start", *(sheet for sheet, _ in listed)]
    book.workbook._sheets.sort(key=lambda sheet: order.index(sheet.title) if sheet.title in order else len(order))
    return book
