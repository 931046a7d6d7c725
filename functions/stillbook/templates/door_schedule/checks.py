"""Checks: the rules of the trade over all doors."""

from __future__ import annotations

from stillbook.templates import look
from stillbook.templates.page import Book, Page
from stillbook.templates.parts import check_sheet, job_checks
from stillbook.templates.parts.check_sheet import AT_LEAST, CheckRow
from stillbook.templates.parts.states import counted

_COUNTED = (
    ("Marks that stand twice", "mark_states", "Give each door a mark of its own."),
    ("Doors lighter than their wall asks for", "mass_states", "Add sheets or a heavier slab: the Doors sheet shows the thinnest make-up."),
    ("Doors with too much added thickness", "added_states", "A denser sheet in fewer layers, such as limp sheet or steel."),
    ("Doors with too little clear width", "width_states", "Widen them: the local code decides on a way out."),
    (
        "Doors above the mass that hangs without special care",
        "hanging_states",
        "Heavy bearing hinges, a frame fixed to structure, a crew to hang it; consider a pair.",
    ),
    ("Openings below the STC wanted", "stc_states", "Better seals, a pair instead of one, or a deeper lined space between the doors."),
)


def write(book: Book) -> Page:
    """Write the sheet."""
    return check_sheet.write(
        book,
        (
            *job_checks.job(),
            CheckRow("There is a door", "=openings", AT_LEAST, "=1", look.WHOLE).advising("Write a mark on the Schedule sheet."),
            *counted(*_COUNTED),
            job_checks.priced(),
            CheckRow("Every opening has a price", "=price", "{v}>{l}", "=0", look.WHOLE).advising("A code or a sheet is missing on the Unit costs sheet."),
        ),
    )
