"""Suppliers: who sells what, and on what terms."""

from __future__ import annotations

from typing import Final

from stillbook.templates import look
from stillbook.templates.page import Book, Page
from stillbook.templates.parts.examples import examples
from stillbook.templates.parts.schedule import Schedule, Typed, Worked, typed

ROWS: Final = 16


def columns(book: Book) -> tuple[Typed | Worked, ...]:
    """The columns, in order."""
    return (
        typed(book, "Code", "supplier_codes", 8, words=True).saying("As the Unit costs sheet names it."),
        typed(book, "Name", "supplier_names", 34, words=True).saying("Of the firm."),
        typed(book, "Sells", "supplier_goods", 36, words=True).saying("In a few words."),
        typed(book, "Pays in, days", "supplier_terms", 10, "", 0, 365, look.WHOLE).saying("Days to pay."),
        typed(book, "Delivers in, days", "supplier_days", 10, "", 0, 365, look.WHOLE).saying("Working days from order."),
        typed(book, "Least order", "supplier_least", 11, "", 0, 1000000, look.MONEY).saying("In the book's currency."),
        typed(book, "Notes", "supplier_notes", 40, words=True).saying("Whom to ask, what to mind."),
        Worked("Codes", "COUNTIF(price_suppliers,{supplier_codes})", 8, number_format=look.WHOLE),
    )


def write(book: Book, schedule: Schedule) -> Page:
    """Write the sheet."""
    return schedule.page("Suppliers", "Invented firms: put your own in.", columns(book), examples("example_suppliers", book.system))
