"""The booth estimate: the whole job on one new room in a room."""

from __future__ import annotations

from stillbook.quantities import System
from stillbook.templates.booth import checks, drawing, inputs, isolation, layers, proposal, shell, start
from stillbook.templates.page import Book
from stillbook.templates.parts import check_sheet, room_drawing, scope, unit_costs, wall_drawing
from stillbook.templates.parts.quiet_room import (
    air,
    air_path_sheet,
    alternates,
    doors,
    ducts,
    job_assemblies,
    job_price,
    lists,
    name_list,
    own_lines,
    price_range,
    room,
    run_drawing,
    scope_lists,
    takeoff,
    wiring,
)
from stillbook.templates.parts.quiet_room import proposal as proposal_sheet
from stillbook.templates.parts.quiet_room.first_sheet import RESULT
from stillbook.templates.parts.quiet_room.tabs import arrange


def build(system: System) -> Book:
    """Build the template in one unit system; its values are not calculated yet."""
    book = Book(system, "Booth estimate")
    more = (lambda points: wall_drawing.write(book, points, drawing.wall(book), "space"), lambda points: run_drawing.write(book, points))
    views = room_drawing.write(book, drawing.BOXES, ("client", "contractor"), more)
    wall, run = views.more
    start.write(book, lambda page: views.place(page, RESULT, size=1.15))
    inputs.write(book)
    shell.write(book, wall)
    doors.write(book)
    isolation.write(book)
    room.write(book)
    air.write(book)
    ducts.write(book, run)
    air_path_sheet.write(book)
    wiring.write(book)
    own_lines.write(book)
    takeoff_page, lines = takeoff.write(book, takeoff.groups(book), "Wiring")
    job_price.write(book, takeoff_page, lines)
    price_range.write(book)
    alternates.write(book)
    job_assemblies.write(book)
    unit_costs.write(book, *unit_costs.QUIET_ROOM)
    proposal_sheet.write(book, proposal.room, proposal.PURPOSE, views=views)
    layered = layers.layers(book)
    scope.write(
        book,
        scope_lists.most(lines),
        proposal.what_is_built,
        views=views,
        details=(wall,),
        layers=layered,
        beside=scope_lists.measured(takeoff_page, lines),
        left_out=alternates.SCOPE_ROWS,
    )
    rules = checks.checks(book)
    check_sheet.write(book, rules)
    lists.write(book, takeoff_page, lines, layered)
    name_list.write(book, rules)
    return arrange(book)
