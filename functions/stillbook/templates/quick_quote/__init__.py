"""The quick quote: a first price while the client is on the telephone, and one page to send."""

from __future__ import annotations

from stillbook.quantities import System
from stillbook.templates.page import FIRST, Book
from stillbook.templates.parts import drawing
from stillbook.templates.quick_quote import checks, drawings, lists, offer, quote, rates, usual, workings


def build(system: System) -> Book:
    """Build the template in one unit system; its values are not calculated yet."""
    book = Book(system, "Quick quote")
    front = quote.write(book)
    sent = offer.write(book)
    checks.write(book)
    rates.write(book)
    usual.write(book)
    workings.write(book)
    plan, section = drawings.write(book, drawing.sheet(book))
    plan.show(front, quote.drawing_row(front), size=1.1)
    section.show(front, quote.drawing_row(front), quote.RESULTS, size=1.1)
    plan.show(sent, offer.drawing_row(sent))
    section.show(sent, offer.drawing_row(sent), FIRST + 2)
    lists.write(book)
    return book
