"""Checks of the conversion: its own rules, and those of any quiet room."""

from __future__ import annotations

from typing import Final

from stillbook.quantities import LENGTH, ROOM_LENGTH, SURFACE_MASS
from stillbook.templates import look
from stillbook.templates.conversion.inputs import NEW, SIDES, WALLS
from stillbook.templates.conversion.summary import MOST_LOST
from stillbook.templates.conversion.surfaces import CEILING_OPENED, JOISTS, WALLS_OPENED
from stillbook.templates.page import Book
from stillbook.templates.parts import job_checks
from stillbook.templates.parts.check_sheet import AT_LEAST, AT_MOST, EXACTLY, CheckRow
from stillbook.templates.parts.quiet_room import checks as shared

_ALONG: Final = ",".join(f'door_wall="{wall}"' for wall, side in SIDES.items() if side == "length")
_DOOR_RUN: Final = f"IF(OR({_ALONG}),room_length,room_width)"
"""The length inside of the wall that the door is in."""

_DEPTH: Final = '=inner_thickness+wall_new_gap+IF(wall_near_board_1="",wall_far_thickness/2,wall_found_gap+wall_near_thickness)'
"""How deep the wall is from the old pane to the face of the new leaf: from its far leaf, or from the middle of a wall of
one leaf, where the plan shows the pane."""

_BOARD: Final = ("12", "60")
"""The most that a board that comes off weighs by area; what is heavier is masonry [lb/ft², kg/m²]. Common practice, no source."""


def checks(book: Book) -> list[CheckRow]:
    """The rules, in the order of the sheets they look at."""
    return [
        *job_checks.job(job_checks.FIRST_SHEET),
        *surfaces(book),
        *three_leaves(),
        *window(book),
        *shared.doors(book),
        *job_checks.door_fits(book, _DOOR_RUN),
        *shared.leaves("lined_wall_area>0", "lined_area>0"),
        *shared.heard(),
        *shared.inside(book),
        *shared.services(book),
    ]


def surfaces(book: Book) -> list[CheckRow]:
    """What is left of the room, what is added to the building, and what stays weak."""
    left = "+".join(f'(wall_{wall.lower()}_plan<>"{NEW}")' for wall in WALLS)
    weak = "+".join(f'IF(AND(wall_{wall.lower()}_plan<>"{NEW}",OR(door_wall="{wall}",window_wall="{wall}")),1,0)' for wall in WALLS)
    return [
        CheckRow("Room height left", "=room_height", AT_LEAST, f"={book.pick('7', '2.1')}", look.TWO)
        .measured_in(book.unit(ROOM_LENGTH))
        .advising("Thinner ceiling or deck; the local code decides on the least height.")
        .named("check_height_left"),
        CheckRow("Share of the floor left", "=floor_share", AT_LEAST, "=0.75", look.PERCENT)
        .measured_in("%")
        .advising("Thinner frames, clips, or fewer surfaces; or a larger room.")
        .named("check_floor_left"),
        CheckRow("Load added to the floor", "=floor_load", AT_MOST, '=IF(N(floor_capacity)=0,"",floor_capacity)')
        .measured_in(book.unit(SURFACE_MASS))
        .advising("Stop: ask a structural engineer. Fewer layers or surfaces.")
        .named("check_floor"),
        CheckRow("Load hung from the structure above", "=ceiling_load", AT_MOST, '=IF(ceiling_capacity="","",ceiling_capacity)')
        .measured_in(book.unit(SURFACE_MASS))
        .advising("Stand it on the new walls, or ask a structural engineer.")
        .asked_where("ceiling_load>0")
        .named("check_ceiling"),
        CheckRow("Walls and ceiling left as they are", f'={left}+(ceiling_plan<>"{NEW}")', EXACTLY, "=0", look.WHOLE)
        .measured_in("surfaces")
        .advising("Sound goes round through what is left: give it a new leaf as well.")
        .named("check_left_as_is"),
        CheckRow("Door or window in a wall left as it is", f"={weak}", EXACTLY, "=0", look.WHOLE)
        .measured_in("openings")
        .advising("Give that wall a new leaf for the new door and pane to stand in.")
        .named("check_opening_left"),
        CheckRow("Outer door opens in the space before it", '=IF(N(door_clear)=0,"",door_clear)', AT_LEAST, "=door_width")
        .measured_in(book.unit(LENGTH))
        .advising("It cannot open far enough to leave by: a narrower door, or another place for it.")
        .named("check_fits_door"),
        *shared.boxes(book, 'IF(N(box_clear)=0,"",box_clear)', "a wall of the room", "another place for them: then measure what is clear there"),
        shared.joists(book, "=joist_span").asked_where(JOISTS),
        CheckRow("Cavity behind the new wall leaf", "=cavity", AT_LEAST, f"={book.pick('4', '100')}")
        .measured_in(book.unit(LENGTH))
        .advising("Take the old board off, or deepen the frame or the gap.")
        .asked_where("lined_wall_area>0"),
        CheckRow(
            "What comes off is a board, not masonry",
            f"=MAX(IF({WALLS_OPENED}>0,wall_near_mass,0),IF({CEILING_OPENED}>0,ceiling_near_mass,0))",
            AT_MOST,
            f"={book.pick(*_BOARD)}",
        )
        .measured_in(book.unit(SURFACE_MASS))
        .advising("Let it stay, on the first sheet: it may carry or brace the building. An engineer decides.")
        .asked_where(f"{WALLS_OPENED}+{CEILING_OPENED}>0")
        .named("check_comes_off"),
    ]


def three_leaves() -> list[CheckRow]:
    """Low frequencies, which a middle cavity costs."""
    lost, three = "=MAX(0,{0}_low_gain)", "AND(lined_{0}_area>0,{0}_leaves=3)"
    return [
        CheckRow("Walls: lost to a middle cavity, 63 to 160 Hz", lost.format("wall"), AT_MOST, f"={MOST_LOST}", look.WHOLE)
        .measured_in("dB")
        .advising("Take the old board off; ask first what it does for fire and bracing.")
        .asked_where(three.format("wall"))
        .named("check_wall_lost"),
        CheckRow("Ceiling: lost to a middle cavity, 63 to 160 Hz", lost.format("ceiling"), AT_MOST, f"={MOST_LOST}", look.WHOLE)
        .measured_in("dB")
        .advising("Take the old ceiling off; ask first what it does for fire and bracing.")
        .asked_where(three.format("ceiling"))
        .named("check_ceiling_lost"),
        CheckRow("Converted against found, least gain 63 to 160 Hz", "=least_low_gain", AT_LEAST, "=0", look.WHOLE)
        .measured_in("dB")
        .advising("Low sound gets worse: deeper cavity, heavier leaf, or old board off.")
        .named("check_low_gain"),
    ]


def window(book: Book) -> list[CheckRow]:
    """The new pane and its place."""
    each = book.pick("4", "100")
    return [
        CheckRow("Window: gap to the new pane", "=window_gap", AT_LEAST, f"={each}")
        .measured_in(book.unit(LENGTH))
        .advising("Set the new pane deeper: a narrow gap costs bass.")
        .asked_where("window_area>0")
        .named("check_window_gap"),
        CheckRow("Window: its gap fits the depth of the walls", "=window_gap", AT_MOST, _DEPTH)
        .measured_in(book.unit(LENGTH))
        .advising("Move the new pane back: it stands in the new leaf.")
        .asked_where("window_area>0")
        .named("check_window_depth"),
        CheckRow("Sound through the window, of all", "=window_share/(wall_share+doors_share+holes_share)", AT_MOST, "=0.5", look.PERCENT)
        .measured_in("%")
        .advising("A heavier pane, a deeper gap, or build the window over.")
        .asked_where("window_area>0"),
    ]
