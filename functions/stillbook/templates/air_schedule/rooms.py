"""Rooms: a row for each room, typed."""

from __future__ import annotations

from stillbook.quantities import AIRFLOW, ELECTRIC_POWER, LENGTH, MINUTES, ROOM_LENGTH
from stillbook.templates import look
from stillbook.templates.page import Book, Page
from stillbook.templates.parts.examples import examples
from stillbook.templates.parts.schedule import Schedule, Typed, Worked, typed

EXAMPLES = "example_rooms"


def columns(book: Book) -> tuple[Typed | Worked, ...]:
    """The columns, in order."""
    least, most = book.pick((3, 200), (0.9, 60))
    narrow, wide = book.pick((2, 60), (50, 1500))
    return (
        typed(book, "Mark", "rooms", 7, words=True).saying("The room's mark on the drawings. A row without one is blank."),
        typed(book, "Room", "room_names", 19, words=True).saying("What it is called."),
        typed(book, "Kind of space", "space_kinds", 22, options="space_types", words=True).saying("Row of the outdoor air table."),
        typed(book, "People", "people", 8, "", 1, 500, look.WHOLE).saying("The most at one time."),
        typed(book, "Length", "lengths", 9, ROOM_LENGTH, least, most, look.ONE).saying("Inside, finished."),
        typed(book, "Width", "widths", 9, ROOM_LENGTH, least, most, look.ONE).saying("Inside, finished."),
        typed(book, "Height", "heights", 9, ROOM_LENGTH, least, (60, 18), look.ONE).saying("Inside, finished."),
        typed(book, "Activity", "activities", 21, options="activity_names", words=True).saying("How hard the people work."),
        typed(book, "Session", "sessions", 9, MINUTES, 5, 1440).saying("The longest, door shut."),
        typed(book, "Heat", "watts", 8, ELECTRIC_POWER, 0, 50000).saying("Equipment and lights: the power that stays as heat."),
        typed(book, "Air chosen", "airflows_chosen", 9, AIRFLOW, (5, 2.5), (5000, 2500)).saying("Blank takes the largest of the rules."),
        typed(book, "Duct width", "duct_widths", 9, LENGTH, narrow, wide).saying("Of the room's branch, inside the lining; see the Ducts sheet."),
        typed(book, "Duct height", "duct_heights", 9, LENGTH, narrow, wide).saying("Likewise."),
        typed(book, "Grille width", "grille_widths", 9, LENGTH, narrow, wide).saying("Face size."),
        typed(book, "Grille height", "grille_heights", 9, LENGTH, narrow, wide).saying("Face size."),
        typed(book, "Branch", "duct_lengths", 9.5, ROOM_LENGTH, (1, 0.3), (300, 90), look.ONE).saying("Lined duct from the main duct to the room."),
        typed(book, "Elbows", "elbow_counts", 8, "", 0, 20, look.WHOLE).saying("Square bends in the branch."),
        typed(book, "NC wanted", "nc_wanted", 8, "", 15, 65, look.WHOLE).saying("Recording NC 15 to 20, practice NC 25 to 30; blank where none is set."),
        Worked("State", "INDEX(row_states,{k})", 8, words=True, states=True),
    )


def write(book: Book, schedule: Schedule) -> Page:
    """Write the sheet."""
    return schedule.page(
        "Rooms",
        "A row for each room, typed in the boxed cells; the Inputs sheet says what to write. The rooms here are invented "
        "examples: type over them or clear them.",
        columns(book),
        examples(EXAMPLES, book.system),
    )
