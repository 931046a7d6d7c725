"""The order of the sheets: as they are listed, those that are not come last."""

from __future__ import annotations

from collections.abc import Sequence

from stillbook.templates.page import Book


def arrange(book: Book, listed: Sequence[str]) -> Book:
    """Put the sheets in order; gives the book."""
    book.workbook._sheets.sort(key=lambda sheet: listed.index(sheet.title) if sheet.title in listed else len(listed))
    return book
