"""Checks: the rules of the trade over all doors."""

from __future__ import annotations

from stillbook.templates import look
from stillbook.templates.page import Book, Page
from stillbook.templates.parts import checks
from stillbook.templates.parts.checks import AT_LEAST, AT_MOST, CheckRow

_COUNTED = (
    ("Marks that stand twice", "mark_states", "Fails", "Give each door a mark of its own."),
    ("Doors with an input missing", "row_states", "Waits", "See the Row checks sheet, and fill in what is blank on the Schedule sheet."),
    ("Doors with a cell in error", "row_states", "Error", "See the Row checks sheet; the cell in error says what is wrong."),
    ("Doors lighter than their wall asks for", "mass_states", "Fails", "Add sheets or a heavier slab: the Doors sheet shows the thinnest make-up."),
    ("Doors with too much added thickness", "added_states", "Fails", "A denser sheet in fewer layers, such as limp sheet or steel."),
    ("Doors with too little clear width", "width_states", "Fails", "Widen them: the local code decides on a way out."),
    (
        "Doors above the mass that hangs without special care",
        "hanging_states",
        "Fails",
        "Heavy bearing hinges, a frame fixed to structure, a crew to hang it; consider a pair.",
    ),
    ("Openings below the STC wanted", "stc_states", "Fails", "Better seals, a pair instead of one, or a deeper lined space between the doors."),
)


def write(book: Book) -> Page:
    """Write the sheet."""
    return checks.write(
        book,
        (
            *checks.job(),
            CheckRow("There is a door", "=openings", AT_LEAST, "=1", look.WHOLE).advising("Write a mark on the Schedule sheet."),
            *(CheckRow(rule, f'=COUNTIF({states},"{word}")', AT_MOST, "=0", look.WHOLE).advising(advice) for rule, states, word, advice in _COUNTED),
            CheckRow("Every opening has a price", "=price", "{v}>{l}", "=0", look.WHOLE).advising("A code or a sheet is missing on the Prices sheet."),
        ),
    )
