"""Noise: the fan through each branch to the listener, by octave."""

# ruff: noqa: E501 - rows of a table stay whole

from __future__ import annotations

from typing import Final

from stillbook.templates import look
from stillbook.templates.page import Book, Page
from stillbook.templates.parts.schedule import Schedule, Worked, widths

OCTAVES: Final = ("63", "125", "250", "500", "1000", "2000", "4000", "8000")


def columns(book: Book) -> tuple[Worked, ...]:
    """The columns, in order."""
    duct = "{duct_widths},{duct_heights}"
    losses = (
        f'box_loss+STILL_LINEDDUCTLOSS({duct},{{duct_lengths}},duct_lining,"",units)'
        '+IF({elbow_counts}=0,0,STILL_ELBOWLOSS({duct_widths},duct_lining,{elbow_counts},"",units))'
        "+STILL_BRANCHLOSS({duct_areas},SUM(duct_areas),units)"
    )
    own = f'STILL_AIRFLOWNOISE({{airflows}},{duct},"duct","",units)'
    return (
        Worked("Mark", "rooms", 7, words=True),
        Worked("Room", 'IF(room_names="","",room_names)', 20, words=True),
        Worked(f"Duct, {book.pick('in²', 'mm²')}", "duct_widths*duct_heights", 9, "duct_areas", look.WHOLE),
        Worked(f"Surfaces, {book.pick('ft²', 'm²')}", "2*(lengths*widths+lengths*heights+widths*heights)", 9.5, "surfaces",
               book.pick(look.WHOLE, look.ONE)),
        Worked("", f"STILL_ROOMLEVEL(STILL_PATHLEVEL(fan_sound,{losses},{own}),listener_distance,{{volumes}},"
               '{surfaces}*room_alpha,"",units)', 7, "heard", look.WHOLE, each=True, titles=OCTAVES),
        Worked("NC", "STILL_NCRATING({heard})", 7, "nc_heard", look.WHOLE, each=True, strong=True),
        Worked("NC wanted", 'IF(nc_wanted="","",nc_wanted)', 8, number_format=look.WHOLE),
    )  # fmt: skip


def write(book: Book, schedule: Schedule) -> Page:
    """Write the sheet."""
    shown = columns(book)
    page = book.page(
        "Noise",
        "Level at the listener in dB by octave, 63 to 8000 Hz: the fan, less box and branch, with what the air makes in the duct.",
        widths(shown),
        wide=True,
        single=True,
    )
    schedule.write(page, shown)
    page.note(
        "The supply alone: an extract like it adds up to 3 dB. Grilles and dampers make noise of their own, for the maker to state; "
        "a box in the branch keeps back more than is counted here. NC 15 is the lowest curve. An estimate, 5 dB either way at best."
    )
    page.finish()
    return page
