"""The door schedule: many doors, a row each, from the walls they stand in to their mass, hinges, STC and price."""

from __future__ import annotations

from stillbook.quantities import System
from stillbook.templates.door_schedule import (
    checks,
    door_list,
    doors,
    drawn,
    inputs,
    isolation,
    job_price,
    lines,
    lists,
    order,
    proposal,
    schedule,
    scope,
    start,
)
from stillbook.templates.page import Book
from stillbook.templates.parts import front, unit_costs
from stillbook.templates.parts.order import arrange
from stillbook.templates.parts.schedule import Schedule

ROWS = 40
"""Doors one workbook holds."""


def build(system: System) -> Book:
    """Build the template in one unit system; its values are not calculated yet."""
    book = Book(system, "Door schedule")
    rows = Schedule(book, ROWS, settable=True)
    start.write(book)
    inputs.write(book)
    schedule.write(book, rows)
    doors.write(book, rows)
    isolation.write(book, rows)
    drawn.write(book)
    doors.write_states(rows)
    job_price.write(book, rows)
    lines.write(book)
    order.write(book)
    unit_costs.write(book)
    proposal.write(book, rows)
    scope.write(book, len(lines.needs()))
    door_list.write(book, rows)
    checks.write(book)
    lists.write(book)
    return arrange(book, front.order(start.SHEETS))
