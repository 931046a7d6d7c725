"""The price book: an office's own costs, rates and suppliers, and assemblies made of them. Plain formulas alone."""

from __future__ import annotations

from stillbook.quantities import System
from stillbook.templates.page import Book
from stillbook.templates.parts import front
from stillbook.templates.parts.order import arrange
from stillbook.templates.parts.schedule import Schedule
from stillbook.templates.price_book import assemblies, checks, inputs, labour, start, suppliers, takeoff, unit_costs


def build(system: System) -> Book:
    """Build the template in one unit system; its values are not calculated yet."""
    book = Book(system, "Price book")
    start.write(book)
    inputs.write(book)
    labour.write(book, Schedule(book, labour.ROWS))
    unit_costs.write(book, Schedule(book, unit_costs.ROWS))
    suppliers.write(book, Schedule(book, suppliers.ROWS))
    assemblies.write_parts(book, Schedule(book, assemblies.PART_ROWS))
    assemblies.write(book, Schedule(book, assemblies.ROWS))
    takeoff.write(book, Schedule(book, takeoff.ROWS))
    takeoff.write_order(book, unit_costs.ROWS)
    checks.write(book)
    return arrange(book, front.order(start.SHEETS))
