"""The door schedule: many doors, a row each, from the walls they stand in to their mass, hinges, STC and price."""

from __future__ import annotations

from stillbook.quantities import System
from stillbook.templates.door_schedule import checks, doors, drawn, inputs, isolation, lines, lists, price, proposal, rows, scope, start
from stillbook.templates.page import Book
from stillbook.templates.parts import front, unit_costs
from stillbook.templates.parts.order import arrange
from stillbook.templates.parts.schedule import Schedule

ROWS = 40
"""Doors one workbook holds."""


def build(system: System) -> Book:
    """Build the template in one unit system; its values are not calculated yet."""
    book = Book(system, "Door schedule")
    schedule = Schedule(book, ROWS, settable=True)
    start.write(book)
    inputs.write(book)
    rows.write(book, schedule)
    doors.write(book, schedule)
    isolation.write(book, schedule)
    drawn.write(book)
    doors.write_states(schedule)
    price.write(book, schedule)
    lines.write(book)
    price.write_order(book)
    unit_costs.write(book)
    proposal.write(book, schedule)
    scope.write(book, len(lines.needs()))
    scope.write_list(book, schedule)
    checks.write(book)
    lists.write(book)
    return arrange(book, front.order(start.SHEETS))
