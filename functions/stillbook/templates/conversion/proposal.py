"""Proposal: what the client gets from the conversion."""

from __future__ import annotations

from typing import Final

from stillbook.quantities import AREA, LENGTH, ROOM_LENGTH, SURFACE_MASS
from stillbook.templates.conversion import found
from stillbook.templates.conversion.surfaces import JOISTS
from stillbook.templates.page import Book, Page
from stillbook.templates.parts.check_sheet import denies, passes
from stillbook.templates.parts.letter import sentences, size
from stillbook.templates.parts.quiet_room import sizes
from stillbook.templates.parts.quiet_room.proposal import doors_air_power

PURPOSE: Final = "The room you have, isolated: what you get, on what terms, and its price."
NOT_INCLUDED: Final = (
    "Not included: permits, a structural engineer's check, tests for asbestos and lead paint, work on the other "
    "side of the walls or above the ceiling, changes to the building's power supply or ventilation, and anything "
    "not named above."
)
WEIGHT: Final = "The new leaves are heavy. A structural engineer must confirm that the building carries them before work starts."


def what_is_built(book: Book, page: Page) -> None:
    """The same sentences about the room that the client reads."""
    room(book, page, "What is built")
    unit = book.unit(ROOM_LENGTH)
    span = f'"Joists of a ceiling on frames span "&TEXT(joist_span,"0.0")&" {unit}: {sizes.SECTION}."'
    sizes.write(book, page, f'IF({JOISTS},{span},"No joists of its own for the ceiling.")')


def room(book: Book, page: Page, title: str = "What you get") -> None:
    """Write what the client gets."""
    area, small, mass = book.unit(AREA), book.unit(LENGTH), book.unit(SURFACE_MASS)
    length = f'" {book.unit(ROOM_LENGTH)}"'
    deck = 'IF(lined_floor_area>0,", and a new deck on the floor.",".")'
    of = 'IF(lined_wall_area=0,"ceiling",IF(lined_ceiling_area>0,"walls and ceiling","walls"))'
    page.heading(title)
    sentences(
        page,
        f'="Your room of "&{size("existing")}&{length}&" becomes a quiet room of "&{size("room")}&{length}&", "'
        f'&TEXT(floor_area,"{book.pick("0", "0.0")}")&" {area} of floor"&IF({denies("check_height_left", "check_floor_left")},": less than is usual.",".")',
        f'=IF(lined_area=0,"No new leaves on walls and ceiling"&{deck},'
        f'"New leaves of "&TEXT(inner_mass,"0.0")&" {mass} on "&TEXT(lined_area,"0")&" {area} of "&{of}'
        f'&IF(lined_wall_area>0,", with a cavity of "&TEXT(cavity,"{book.pick("0.0#", "0")}")&" {small} behind the walls","")&{deck})',
        f'="As found: walls, "&{found.called("wall")}&"; ceiling, "&{found.called("ceiling")}&"."',
        f'=IF(window_area=0,"No window.",'
        f'"The window keeps its place: a new heavy pane in the new wall, "&TEXT(window_gap,"{book.pick("0.0#", "0")}")&" {small} from the old glass"&IF('
        f'{denies("check_window_depth")},": as drawn the new wall has no place for it.",IF({denies("check_window_gap")},", closer than it should be.",".")))',
        f'=IF({denies("check_left_as_is", "check_opening_left")},"Sound goes round the new leaves through what is left as it is.",'
        f'IF({denies("check_wall_lost", "check_ceiling_lost", "check_low_gain")},"As drawn low sound, 63 to 160 Hz, is kept out less well than it could be.",'
        f'IF({passes("check_low_gain")},"Low sound, 63 to 160 Hz: at least "&INT(least_low_gain)&" dB more is kept out than by the room as found (predicted).",'
        '"What low sound does is not known.")))',
        f'=IF({denies("check_floor", "check_ceiling")},"As drawn it loads the building more than it may bear: stop, and ask a structural engineer.",'
        f'IF({passes("check_floor", "check_ceiling")},"It loads the building within what was told for it, to be confirmed by an engineer.",'
        '"Whether the building bears the new load is not known."))',
        f'=IF({passes("check_fits_door")},"The outer door has room to open.",IF({denies("check_fits_door")},"As drawn the outer door has no room to open.",'
        '"Whether the outer door has room to open is not known."))',
        f'=IF({passes("check_fits_boxes", "check_fits_shell")},"The air boxes find their place outside a wall of the room, with room to service them.",'
        f'IF({denies("check_fits_boxes", "check_fits_shell")},"As drawn the air boxes do not find their place, which must be solved first.",'
        '"Whether the air boxes find their place is not known."))',
    )
    doors_air_power(book, page)
    page.skip()
