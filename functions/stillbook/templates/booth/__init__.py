"""The booth estimate: the whole job on one new room in a room."""

from __future__ import annotations

from typing import Final

from stillbook.quantities import System
from stillbook.templates.booth import layers, shell, start
from stillbook.templates.page import Book
from stillbook.templates.parts import (
    alternates,
    check_sheet,
    checks,
    inputs,
    job_assemblies,
    job_price,
    name_list,
    own_lines,
    price_range,
    proposal,
    room_drawing,
    run_drawing,
    scope,
    scope_lists,
    unit_costs,
    wall_drawing,
)
from stillbook.templates.parts.first_sheet import RESULT
from stillbook.templates.parts.inputs import ON_TOP
from stillbook.templates.parts.quiet_room import air, air_path_sheet, doors, ducts, isolation, lists, room, takeoff, wiring
from stillbook.templates.parts.room_drawing import Boxes
from stillbook.templates.parts.tabs import arrange

BOXES: Final = Boxes(
    "MIN(baffle_outer_width,baffle_outer_height)",
    "baffle_length",
    'IF(OR(check_fits_boxes="Fails",check_fits_shell="Fails"),0,1)',
    f'IF(box_place="{ON_TOP}",1,0)',
)


def build(system: System) -> Book:
    """Build the template in one unit system; its values are not calculated yet."""
    book = Book(system, "Booth estimate")
    more = (lambda points: wall_drawing.write(book, points, wall_drawing.booth(book), "space"), lambda points: run_drawing.write(book, points))
    views = room_drawing.write(book, BOXES, ("client", "contractor"), more)
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
    proposal.write(book, proposal.room, views=views)
    layered = layers.layers(book)
    scope.write(book, scope.most(lines), scope.what_is_built, views=views, details=(wall,), layers=layered, beside=scope_lists.measured(takeoff_page, lines))
    rules = checks.checks(book)
    check_sheet.write(book, rules)
    lists.write(book, takeoff_page, lines, layered)
    name_list.write(book, rules)
    return arrange(book)
