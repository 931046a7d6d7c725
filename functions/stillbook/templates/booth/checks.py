"""Checks of the booth: its own rules, and those of any quiet room."""

from __future__ import annotations

from stillbook.quantities import LENGTH, ROOM_LENGTH, SURFACE_MASS
from stillbook.templates import look
from stillbook.templates.page import Book
from stillbook.templates.parts import job_checks
from stillbook.templates.parts.check_sheet import AT_LEAST, AT_MOST, EXACTLY, CheckRow
from stillbook.templates.parts.quiet_room import checks as shared


def checks(book: Book) -> list[CheckRow]:
    """The rules, in the order of the sheets they look at."""
    return [
        *job_checks.job(job_checks.FIRST_SHEET),
        *shell(book),
        *shared.doors(book),
        *job_checks.door_fits(book, "plan_room_across"),
        *shared.leaves(),
        *shared.heard(),
        *shared.inside(book),
        shared.modes(),
        *shared.services(book),
    ]


def shell(book: Book) -> list[CheckRow]:
    """The shell in its space, and on its floor."""
    return [
        *(
            CheckRow(f"The shell fits the space: {side}", f"=outside_{side}", AT_MOST, f'=IF(N(space_{side})=0,"",space_{side})', look.TWO)
            .measured_in(book.unit(ROOM_LENGTH))
            .advising(advice)
            .named(f"check_fits_{side}")
            for side, advice in (
                ("length", "Shorten the room, thin the cavity, or choose another space."),
                ("width", "Narrow the room, thin the cavity, or choose another space."),
                ("height", "Lower the room or thin its ceiling or deck."),
            )
        ),
        CheckRow("Working room round the shell", "=room_round", AT_LEAST, "=working_room")
        .measured_in(book.unit(LENGTH))
        .advising("Boards are fixed and joints sealed from outside: a smaller room, or another space.")
        .named("check_fits_working"),
        CheckRow("Outer door opens in the space left", "=room_before_door", AT_LEAST, "=door_width")
        .measured_in(book.unit(LENGTH))
        .advising("It cannot open far enough to leave by: a smaller room, a narrower door, or another space.")
        .named("check_fits_door"),
        *shared.boxes(book, "box_room", "the shell", "another place for them on the first sheet, or another space"),
        CheckRow("Load over the footprint", "=floor_load", AT_MOST, '=IF(N(floor_capacity)=0,"",floor_capacity)')
        .measured_in(book.unit(SURFACE_MASS))
        .advising("Stop: ask a structural engineer before going on. Spread the load, or move to a floor on the ground.")
        .named("check_floor"),
        CheckRow("Leaves of like mass: lighter over heavier", "=MIN(inner_mass,outer_mass)/MAX(inner_mass,outer_mass)", AT_LEAST, "=0.5", look.PERCENT)
        .measured_in("%")
        .advising("Put the same number of sheets on both leaves; the light one limits the wall."),
        shared.joists(book, "=MAX(joist_span_inner,joist_span_outer)"),
        CheckRow("Vision window: its isolation is known", '=IF(vision_report="","no","yes")', EXACTLY, '="yes"', look.GENERAL)
        .advising("Isolation here is without it: name the report of a window that keeps out as much, on the Inputs sheet, or leave the window out.")
        .asked_where("vision_area>0")
        .named("check_vision"),
        CheckRow("Cavity between the leaves", "=cavity", AT_LEAST, f"={book.pick('4', '100')}")
        .measured_in(book.unit(LENGTH))
        .advising("Deepen the frames or the gap: a thin cavity lets low sound through."),
    ]
