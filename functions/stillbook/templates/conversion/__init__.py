"""The room conversion: isolating an existing room with new leaves on its walls, ceiling and floor."""

from __future__ import annotations

from stillbook.cautions import CAUTIONS
from stillbook.quantities import System
from stillbook.templates.conversion import checks, drawing, inputs, isolation, layers, proposal, start, surfaces, takeoff
from stillbook.templates.page import Book
from stillbook.templates.parts import check_sheet, scope, unit_costs, wall_drawing
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
    wiring,
)
from stillbook.templates.parts.quiet_room import proposal as proposal_sheet
from stillbook.templates.parts.quiet_room import takeoff as takeoff_sheet
from stillbook.templates.parts.quiet_room.first_sheet import RESULT
from stillbook.templates.parts.quiet_room.tabs import arrange


def build(system: System) -> Book:
    """Build the template in one unit system; its values are not calculated yet."""
    book = Book(system, "Room conversion")
    cautions = (*CAUTIONS, *start.CAUTIONS)
    more = (lambda points: wall_drawing.write(book, points, drawing.wall(book), "other side"), lambda points: run_drawing.write(book, points))
    views = drawing.write(book, ("client", "contractor"), more)
    wall, run = views.more
    start.write(book, lambda page: views.place(page, RESULT, size=1.15))
    inputs.write(book)
    surfaces.write(book, views)
    isolation.write(book)
    room.write(book, (room.DOOR, inputs.WINDOW), inputs.UNEVEN)
    doors.write(book)
    air.write(book)
    ducts.write(book, run)
    air_path_sheet.write(book, shell_area="envelope_area")
    wiring.write(book)
    own_lines.write(book)
    takeoff_page, lines = takeoff_sheet.write(book, takeoff.groups(book), "Air")
    job_price.write(book, takeoff_page, lines)
    price_range.write(book)
    alternates.write(book)
    job_assemblies.write(book)
    unit_costs.write(book, "conversion", *unit_costs.QUIET_ROOM)
    proposal_sheet.write(book, proposal.room, proposal.PURPOSE, views=views, not_included=proposal.NOT_INCLUDED, weight=proposal.WEIGHT)
    layered = layers.layers(book)
    scope.write(
        book,
        scope_lists.most(lines),
        proposal.what_is_built,
        proposal.NOT_INCLUDED,
        cautions,
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
