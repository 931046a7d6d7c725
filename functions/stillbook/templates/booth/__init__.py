"""The booth estimate: the whole job on one new room in a room."""

from __future__ import annotations

from stillbook.quantities import System
from stillbook.templates.booth import shell
from stillbook.templates.page import Book
from stillbook.templates.parts import alternates, checks, inputs, price, prices, proposal, scope
from stillbook.templates.parts.order import arrange
from stillbook.templates.parts.quiet_room import air, air_path_sheet, doors, ducts, isolation, lists, room, start, takeoff, wiring


def build(system: System) -> Book:
    """Build the template in one unit system; its values are not calculated yet."""
    book = Book(system, "Booth estimate")
    start.write(book)
    inputs.write(book)
    shell.write(book)
    doors.write(book)
    isolation.write(book)
    room.write(book)
    air.write(book)
    ducts.write(book)
    air_path_sheet.write(book)
    wiring.write(book)
    takeoff_page, lines = takeoff.write(book, takeoff.groups(book))
    price.write(book, takeoff_page, lines)
    alternates.write(book)
    prices.write(book)
    proposal.write(book, proposal.room)
    scope.write(book, len(lines), scope.what_is_built)
    checks.write(book, checks.checks(book))
    lists.write(book)
    return arrange(book, start.SHEETS)
