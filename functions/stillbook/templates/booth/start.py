"""Start: what a booth's job asks first, and what it comes to."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from stillbook.cautions import CAUTIONS
from stillbook.quantities import MASS, ROOM_LENGTH, SURFACE_MASS
from stillbook.templates import look
from stillbook.templates.page import Book, Page
from stillbook.templates.parts import input_sheet, inputs, walls
from stillbook.templates.parts.check_sheet import worst
from stillbook.templates.parts.quiet_room import first_sheet, start
from stillbook.templates.parts.quiet_room.first_sheet import Outcome, limit
from stillbook.workbook.job.inputs import InputSpec

PURPOSE: Final = "One quiet room built inside a larger space, from its sizes to its price. Type in the boxed cells at the left."
SHEETS: Final = {
    "Inputs": "What an office sets once, in closed parts: own layers, doors, ducts, waste, margins.",
    "Shell": "What each leaf weighs, how thick the shell is, what it puts on the floor.",
    "Isolation": "Transmission loss by band, ratings with their range, what would do better.",
}
"""What those sheets are for that the conversion has otherwise."""


def asked(book: Book) -> list[InputSpec]:
    """The inputs that differ from job to job."""
    room = inputs.room(book)
    return [
        *start.facts(book),
        *input_sheet.named(room, "room_length", "room_width", "room_height", "space_length", "space_width", "space_height", "floor_capacity", "box_place"),
        walls.chosen(book),
        *start.use(book),
    ]


def outcomes(book: Book) -> list[Outcome]:
    """What they come to."""
    large, each = book.unit(ROOM_LENGTH), book.unit(SURFACE_MASS)
    space = '=IF(COUNT(space_length,space_width,space_height)<3,"not measured","in "&' + start.sizes("space").removeprefix("=") + ")"
    fits = worst(*(f"check_fits_{what}" for what in ("length", "width", "height", "working", "door")))
    return [
        *start.price_and_quiet(book),
        Outcome("Layers of the walls", walls.stands(walls.own(walls.CHOSEN), "wall")),
        Outcome("Mass of the leaves", '=TEXT(inner_mass,"0.0")&" + "&TEXT(outer_mass,"0.0")', each),
        Outcome("Outside size", start.sizes("outside"), large, space, fits, key=True),
        start.boxes(book, "=box_room"),
        Outcome("Weight, all together", "=total_mass", book.unit(MASS), number_format=look.WHOLE),
        Outcome("Load on the floor", "=floor_load", each, limit("at most", "floor_capacity"), "check_floor", look.ONE, True),
        *start.doors_and_air(book),
        *start.last(),
    ]


def write(book: Book, drawn: Callable[[Page], None]) -> Page:
    """Write the sheet; ``drawn`` writes the drawings."""
    return first_sheet.write(book, PURPOSE, asked(book), outcomes(book), SHEETS, start.CLOSING, CAUTIONS, drawn, start.in_words())
