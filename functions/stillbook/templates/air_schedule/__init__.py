"""The air schedule: many rooms on one fan, a row each, from their people to airflow, CO2, ducts and noise."""

from __future__ import annotations

from stillbook.quantities import System
from stillbook.templates.air_schedule import air, checks, ducts, fan, inputs, lists, one_room, report, rows, scope, sound, start, states
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
    rows.write(book, schedule)
    air_page = air.write(book, schedule)
    ducts.write(book, schedule)
    sound.write_branches(book, schedule)
    sound.write(book, schedule)
    fan.write(book, schedule, air_page)
    one_room.write(book)
    states.write(schedule)
    report.write(book, schedule)
    scope.write(book, schedule)
    checks.write(book)
    lists.write(book)
    return arrange(book, front.order(start.SHEETS))
