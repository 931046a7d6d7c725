"""The room conversion: isolating an existing room with new leaves on its walls, ceiling and floor."""

from __future__ import annotations

from stillbook.cautions import CAUTIONS
from stillbook.quantities import System
from stillbook.templates.conversion import checks, drawing, inputs, isolation, proposal, start, surfaces, takeoff
from stillbook.templates.page import Book
from stillbook.templates.parts import alternates, front, job_price, run_drawing, scope, unit_costs, wall_drawing
from stillbook.templates.parts import checks as checks_sheet
from stillbook.templates.parts import proposal as proposal_sheet
from stillbook.templates.parts.order import arrange
from stillbook.templates.parts.quiet_room import air, air_path_sheet, doors, ducts, lists, room, wiring
from stillbook.templates.parts.quiet_room import start as start_sheet
from stillbook.templates.parts.quiet_room import takeoff as takeoff_sheet


def build(system: System) -> Book:
    """Build the template in one unit system; its values are not calculated yet."""
    book = Book(system, "Room conversion")
    cautions = (*CAUTIONS, *start.CAUTIONS)
    more = (lambda points: wall_drawing.write(book, points, drawing.parts(book), "other side"), lambda points: run_drawing.write(book, points))
    views = drawing.write(book, ("client", "contractor"), more)
    wall, run = views.more
    start_sheet.write(book, cautions, start.PURPOSE, start.SIZE, start.SHEETS)
    inputs.write(book)
    surfaces.write(book, views)
    isolation.write(book)
    room.write(book, (room.DOOR, inputs.WINDOW))
    doors.write(book)
    air.write(book)
    ducts.write(book, run)
    air_path_sheet.write(book, shell_area="envelope_area")
    wiring.write(book)
    takeoff_page, lines = takeoff_sheet.write(book, takeoff.groups(book))
    job_price.write(book, takeoff_page, lines)
    alternates.write(book)
    unit_costs.write(book, "conversion")
    proposal_sheet.write(book, proposal.room, proposal.PURPOSE, proposal.NOT_INCLUDED, proposal.WEIGHT, views=views)
    scope.write(book, len(lines), proposal.what_is_built, proposal.NOT_INCLUDED, cautions, views=views, details=(wall,))
    checks_sheet.write(book, checks.checks(book))
    lists.write(book)
    return arrange(book, front.order(start.SHEETS))
