"""Start: what this template says of itself on the first sheet."""

from __future__ import annotations

from typing import Final

from stillbook.templates.parts.quiet_room.start import SHEETS as SHARED

PURPOSE: Final = "An estimate of the isolation of a room that is there: new leaves on its walls, ceiling and floor."
SIZE: Final = ("Inside size left", '=TEXT(room_length,"0.0")&" × "&TEXT(room_width,"0.0")')
CAUTIONS: Final = (
    "Old boards, glass and ceilings: before anything comes off, ask whether it braces the building, keeps a fire back, "
    "or holds asbestos or lead paint. An engineer, the local code and licensed trades decide.",
    "A window that is a way out, or gives the daylight or air a code asks for, must stay so behind the new pane.",
)
OWN: Final = (
    ("Inputs", "Everything you type: the room as found, its build-ups, new leaves, window, door, people."),
    ("Surfaces", "Each wall, ceiling and floor: area, build-up, depth lost, floor left, load added."),
    ("Isolation", "As found against converted by band; old board on or off; the weakest element."),
)
SHEETS: Final = (*OWN, *(entry for entry in SHARED if entry[0] not in ("Inputs", "Shell", "Isolation")))
