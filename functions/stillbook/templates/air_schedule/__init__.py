"""The air schedule: many rooms on one fan, a row each, from their people to airflow, CO2, ducts and noise."""

from __future__ import annotations

from stillbook.quantities import System
from stillbook.templates.air_schedule import air, checks, ducts, fan, inputs, lists, noise, one_room, report, rooms, row_checks, scope, start
from stillbook.templates.page import Book
from stillbook.templates.parts import front
from stillbook.templates.parts.order import arrange
from stillbook.templates.parts.schedule import Schedule

ROWS = 30
"""Rooms one workbook holds."""


def build(system: System) -> Book:
    """Build the template in one unit system; its values are not calculated yet."""
    book = Book(system, "Air schedule")
    schedule = Schedule(book, ROWS, settable=True)
    start.write(book)
    inputs.write(book)
    rooms.write(book, schedule)
    air_page = air.write(book, schedule)
    ducts.write(book, schedule)
    noise.write_branches(book, schedule)
    noise.write(book, schedule)
    fan.write(book, schedule, air_page)
    one_room.write(book)
    row_checks.write(schedule)
    report.write(book, schedule)
    scope.write(book, schedule)
    checks.write(book)
    lists.write(book)
    return arrange(book, front.order(start.SHEETS))
