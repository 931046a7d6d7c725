"""Noise: the fan through each branch to the listener, by octave, and how far it is over the curve wanted."""

from __future__ import annotations

from stillbook.quantities import AREA, SMALL_AREA
from stillbook.templates import look
from stillbook.templates.air_schedule.branch import Branch, lost, made_by_octave
from stillbook.templates.page import Book, Page
from stillbook.templates.parts.octaves import OCTAVES
from stillbook.templates.parts.schedule import Schedule, Worked


def write(book: Book, schedule: Schedule) -> Page:
    """Write the sheet."""
    branch = Branch("{airflows}", "{duct_widths}", "{duct_heights}", "{duct_lengths}", "{elbow_counts}", "{grille_widths}", "{grille_heights}", "{duct_areas}")
    power = f"STILL_PATHLEVEL(fan_sound,box_loss+{lost(branch.losses())},{made_by_octave(branch)})"
    octaves = "STILL_CHANGEFIRST({rooms},{heard},STILL_NCCURVE({nc_wanted}))"
    columns = (
        Worked("Mark", "rooms", 7, words=True),
        Worked("Room", 'IF(room_names="","",room_names)', 20, words=True),
        Worked(f"Duct, {book.unit(SMALL_AREA)}", "duct_widths*duct_heights", 9, "duct_areas", look.WHOLE),
        Worked(f"Surfaces, {book.unit(AREA)}", "2*(lengths*widths+lengths*heights+widths*heights)", 9.5, "surfaces", book.pick(look.WHOLE, look.ONE)),
        Worked(
            "",
            f"STILL_ROOMLEVEL({power},listener_distance,{{volumes}},{{surfaces}}*room_alpha,units)",
            7,
            "heard",
            look.WHOLE,
            each=True,
            titles=tuple(map(str, OCTAVES)),
        ),
        Worked("NC", "STILL_NCRATING({heard})", 7, "nc_heard", look.WHOLE, each=True, strong=True),
        Worked("NC wanted", 'IF(nc_wanted="","",nc_wanted)', 8, number_format=look.WHOLE),
        Worked("Over it, dB", f'IF(N({{nc_wanted}})=0,"",INDEX({octaves},2,4))', 8, "overs", look.ONE, each=True),
        Worked("Worst octave, Hz", f'IF(N({{nc_wanted}})=0,"",INDEX({octaves},2,1))', 8, "worst_octaves", look.WHOLE, each=True),
    )
    return schedule.page(
        "Noise",
        "Level at the listener in dB by octave, 63 to 8000 Hz: the fan, less box and branch, with what the air makes on the way.",
        columns,
        note="The supply alone: an extract like it adds up to 3 dB. Over it: how far the worst octave is over the curve wanted; below it "
        "where negative. Grilles and dampers make noise of their own, for the maker to state; "
        "a box in the branch keeps back more than is counted here. NC 15 is the lowest curve. An estimate, 5 dB either way at best.",
    )
