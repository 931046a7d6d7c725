"""The door schedule: many doors, a row each, from the walls they stand in to their mass, hinges, STC and price."""

from __future__ import annotations

from stillbook.quantities import System
from stillbook.templates.booth import prices
from stillbook.templates.door_schedule import checks, doors, inputs, isolation, lists, price, rows, start
from stillbook.templates.page import Book
from stillbook.templates.parts.schedule import Schedule

ROWS = 40
"""Doors one workbook holds."""

ORDER = (
    "Start",
    "Inputs",
    "Schedule",
    "Doors",
    "Leaves",
    "One door",
    "Openings",
    "Row checks",
    "Price",
    "Order",
    "Prices",
    "Checks",
    "Lists",
)


def build(system: System) -> Book:
    """Build the template in one unit system; its values are not calculated yet."""
    book = Book(system, "Door schedule")
    schedule = Schedule(book, ROWS)
    start.write(book)
    inputs.write(book)
    rows.write(book, schedule)
    doors.write(book, schedule)
    isolation.write(book, schedule)
    doors.write_states(book, schedule)
    price.write(book, schedule)
    price.write_order(book)
    prices.write(book)
    checks.write(book)
    lists.write(book)
    book.workbook._sheets.sort(key=lambda sheet: ORDER.index(sheet.title))
    return book
