"""Noise: the fan through each branch to the listener, by octave, and how far it is over the curve wanted.

What a branch takes off and what the air makes in it stands on a sheet of its own, octave by octave.
"""

from __future__ import annotations

from stillbook.quantities import AREA, SMALL_AREA
from stillbook.templates import look
from stillbook.templates.air_schedule.branch import Branch, lost
from stillbook.templates.calls import filled, nth
from stillbook.templates.page import Book, Page
from stillbook.templates.parts.octaves import OCTAVES
from stillbook.templates.parts.schedule import Schedule, Worked


def write(book: Book, schedule: Schedule) -> Page:
    """Write the sheet."""
    heard = "STILL_ROOMLEVEL(STILL_PATHLEVEL(fan_sound,{ways_off},{ways_noises}),listener_distance,{volumes},{surfaces}*room_alpha,units)"
    octaves = "STILL_CHANGEFIRST({rooms},{heard},STILL_NCCURVE({nc_wanted}))"
    sides = filled("2*({lengths}*{widths}+{lengths}*{heights}+{widths}*{heights})", "lengths", "widths", "heights")
    columns = (
        Worked("Mark", "{rooms}", 7, words=True),
        Worked("Room", 'IF({room_names}="","",{room_names})', 20, words=True),
        Worked(f"Duct, {book.unit(SMALL_AREA)}", "{duct_areas}", 9, number_format=look.WHOLE),
        Worked(f"Surfaces, {book.unit(AREA)}", sides, 9.5, "surfaces", book.pick(look.WHOLE, look.ONE)),
        Worked("", nth(heard), 7, "heard", look.WHOLE, titles=tuple(map(str, OCTAVES))),
        Worked("NC", "STILL_NCRATING({heard})", 7, "nc_heard", look.WHOLE, strong=True),
        Worked("NC wanted", 'IF({nc_wanted}="","",{nc_wanted})', 8, number_format=look.WHOLE),
        Worked("Over it, dB", f'IF(N({{nc_wanted}})=0,"",INDEX({octaves},2,4))', 8, "overs", look.ONE),
        Worked("Worst octave, Hz", f'IF(N({{nc_wanted}})=0,"",INDEX({octaves},2,1))', 8, "worst_octaves", look.WHOLE),
    )
    return schedule.page(
        "Noise",
        "Level at the listener in dB by octave, 63 to 8000 Hz: the fan, less box and branch, with what the air makes on the way.",
        columns,
        note="The supply alone: an extract like it adds up to 3 dB. Over it: how far the worst octave is over the curve wanted; below it "
        "where negative. Grilles and dampers make noise of their own, for the maker to state; "
        "a box in the branch keeps back more than is counted here. NC 15 is the lowest curve. An estimate, 5 dB either way at best.",
    )


def write_branches(book: Book, schedule: Schedule) -> Page:
    """Write the sheet of what goes into it: each branch with the box before it, octave by octave."""
    branch = Branch()

    def octaves(what: str) -> tuple[str, ...]:
        return tuple(f"{what}, {hz}" for hz in OCTAVES)

    columns = (
        Worked("Mark", "{rooms}", 8, words=True),
        Worked(f"Duct, {book.unit(SMALL_AREA)}", filled("{duct_widths}*{duct_heights}", "duct_widths", "duct_heights"), 8, "duct_areas", look.WHOLE),
        Worked("", branch.noises()["elbows"], 7.5, "elbow_noises", look.WHOLE, titles=octaves("Elbows")),
        Worked("", f"{nth('box_loss')}+{lost(branch.losses())}", 7.5, "ways_off", look.WHOLE, titles=octaves("Off")),
        Worked("", branch.made("{elbow_noises}"), 7.5, "ways_noises", look.WHOLE, titles=octaves("Air")),
    )
    return schedule.page(
        "Branches",
        "Workings of the Noise sheet by octave, dB: the sound the air makes in the elbows, what the whole way takes off, and the air's own sound at its end.",
        columns,
    )
