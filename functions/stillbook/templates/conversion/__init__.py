"""The room conversion: isolating an existing room with new leaves on its walls, ceiling and floor."""

from __future__ import annotations

from stillbook.cautions import CAUTIONS
from stillbook.quantities import System
from stillbook.templates import booth
from stillbook.templates.conversion import checks, inputs, isolation, proposal, start, surfaces, takeoff
from stillbook.templates.page import Book

ORDER = (
    "Start",
    "Inputs",
    "Surfaces",
    "Isolation",
    *(name for name in booth.ORDER if name not in ("Start", "Inputs", "Shell", "Isolation")),
)


def build(system: System) -> Book:
    """Build the template in one unit system; its values are not calculated yet."""
    book = Book(system, "Room conversion")
    cautions = (*CAUTIONS, *start.CAUTIONS)
    booth.start.write(book, cautions, start.PURPOSE, start.SIZE, start.SHEETS)
    inputs.write(book)
    surfaces.write(book)
    isolation.write(book)
    booth.room.write(book, (booth.room.DOOR, inputs.WINDOW))
    booth.doors.write(book)
    booth.air.write(book)
    booth.ducts.write(book)
    booth.air_path_sheet.write(book, shell_area="envelope_area")
    booth.wiring.write(book)
    takeoff_page, lines = booth.takeoff.write(book, takeoff.groups(book))
    booth.price.write(book, takeoff_page, lines)
    booth.alternates.write(book)
    booth.prices.write(book, takeoff.ITEMS)
    booth.proposal.write(book, proposal.room, proposal.PURPOSE, proposal.NOT_INCLUDED, proposal.WEIGHT)
    booth.scope.write(book, len(lines), proposal.what_is_built, proposal.NOT_INCLUDED, cautions)
    booth.checks.write(book, checks.checks(book))
    booth.lists.write(book)
    book.workbook._sheets.sort(key=lambda sheet: ORDER.index(sheet.title))
    return book
