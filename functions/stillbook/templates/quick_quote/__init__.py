"""The quick quote: a first price while the client is on the telephone, and one page to send."""

from __future__ import annotations

from typing import Final

from stillbook.quantities import LENGTH, ROOM_LENGTH, System
from stillbook.templates.page import Book
from stillbook.templates.parts import room_drawing
from stillbook.templates.parts.order import arrange
from stillbook.templates.parts.room_drawing import Boxes
from stillbook.templates.quick_quote import checks, lists, offer, quote, rates, usual, workings

SHEETS: Final = ("Quote", "Offer", "Checks", "Rates", "Usual", "Workings")
"""In this order; what nobody needs to look at comes last."""


def build(system: System) -> Book:
    """Build the template in one unit system; its values are not calculated yet."""
    book = Book(system, "Quick quote")
    each = book.units_in(LENGTH, ROOM_LENGTH)
    fit = f"IF(AND(plan_behind*{each}>=box_depth_out-0.001,plan_across*{each}>=baffle_length),1,0)"
    views = room_drawing.write(book, Boxes("box_depth_out", "baffle_length", fit), ("client",))
    quote.write(book, views)
    offer.write(book, views)
    checks.write(book)
    rates.write(book)
    usual.write(book)
    workings.write(book)
    lists.write(book)
    return arrange(book, SHEETS)
