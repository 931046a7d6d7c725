"""Start: what a conversion's job asks first, and what it comes to."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from stillbook.cautions import CAUTIONS as SHARED_CAUTIONS
from stillbook.quantities import ROOM_LENGTH, SURFACE_MASS
from stillbook.templates import look
from stillbook.templates.conversion import found
from stillbook.templates.conversion import inputs as own
from stillbook.templates.conversion.inputs import LINING, NEW, WALLS
from stillbook.templates.page import Book, Page
from stillbook.templates.parts import input_sheet, walls
from stillbook.templates.parts.check_sheet import worst
from stillbook.templates.parts.quiet_room import first_sheet, start
from stillbook.templates.parts.quiet_room.first_sheet import Outcome, limit
from stillbook.workbook.job.inputs import InputSpec

PURPOSE: Final = "New leaves on the walls, ceiling and floor of a room that is there. Type in the boxed cells at the left."
CAUTIONS: Final = (
    "Old boards, glass and ceilings: before anything comes off, ask whether it braces the building, keeps a fire back, "
    "or holds asbestos or lead paint. An engineer, the local code and licensed trades decide.",
    "A window that is a way out, or gives the daylight or air a code asks for, must stay so behind the new pane.",
)
SHEETS: Final = {
    "Inputs": "What an office sets once, in closed parts: what is done to each surface, build-ups as found, ducts, margins.",
    "Surfaces": "Each wall, ceiling and floor: area, build-up, depth lost, floor left, load added.",
    "Isolation": "As found against converted by band; old board on or off; the weakest element.",
}
"""What those sheets are for that the booth has otherwise, or not at all."""


def asked(book: Book) -> list[InputSpec]:
    """The inputs that differ from job to job."""
    return [
        *start.facts(book),
        *input_sheet.named(own.room(book), "existing_length", "existing_width", "existing_height", "floor_capacity", "door_clear", "box_clear"),
        *found.chosen(book),
        walls.chosen(book, "New leaf", example=LINING),
        *input_sheet.named(own.plans(book), "wall_board", "ceiling_board"),
        *input_sheet.named(own.window(book), "window_width", "window_height"),
        *own.larger(book, start.use(book)),
    ]


def outcomes(book: Book) -> list[Outcome]:
    """What they come to."""
    large, each = book.unit(ROOM_LENGTH), book.unit(SURFACE_MASS)
    new = "&".join(f'IF(wall_{wall.lower()}_plan="{NEW}","{wall} ","")' for wall in WALLS)
    others = "&".join(f'IF({part}_plan="{NEW}","{part} ","")' for part in ("ceiling", "floor"))
    return [
        *start.price_and_quiet(book),
        *(Outcome(f"Layers, {label.lower()} as found", found.state(place)) for place, label in found.PLACES.items()),
        Outcome("Layers of the new leaf", walls.stands(walls.own(("inner",)), "wall")),
        Outcome("Walls that get it", f"=TRIM({new})", target='="one left is a way round"', state=worst("check_left_as_is", "check_opening_left")),
        Outcome("and as well", f"=TRIM({others})"),
        Outcome("Mass of the new leaf", "=inner_mass", each, number_format=look.ONE),
        Outcome("Inside size left", start.sizes("room"), large, '="of "&' + start.sizes("existing").removeprefix("="), "check_height_left", key=True),
        Outcome("Floor left", "=floor_share", "", '="at least 75%"', "check_floor_left", look.PERCENT),
        start.boxes(book, '=IF(N(box_clear)=0,"",box_clear)'),
        Outcome("Load added to the floor", "=floor_load", each, limit("at most", "floor_capacity"), "check_floor", look.ONE, True),
        Outcome("Load hung from above", "=ceiling_load", each, _hung(), worst("check_ceiling"), look.ONE),
        *start.doors_and_air(book),
        *start.last(),
    ]


def _hung() -> str:
    """What the structure above may take, where anything hangs from it."""
    return f'=IF(ceiling_load=0,"nothing hung from it",{limit("at most", "ceiling_capacity", unknown="not asked yet").removeprefix("=")})'


def write(book: Book, drawn: Callable[[Page], None]) -> Page:
    """Write the sheet; ``drawn`` writes the drawings."""
    return first_sheet.write(book, PURPOSE, asked(book), outcomes(book), SHEETS, start.CLOSING, (*SHARED_CAUTIONS, *CAUTIONS), drawn, start.in_words())
