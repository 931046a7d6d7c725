"""Rooms: a row for each room, typed."""

# ruff: noqa: E501 - rows of a table stay whole

from __future__ import annotations

from typing import Any, Final

from stillbook.templates import look
from stillbook.templates.page import Book, Page
from stillbook.templates.parts.schedule import Schedule, Typed, Worked, widths

CHOSEN: Final = {"R03": (110, 52.5), "R05": (92, 44), "R06": (92, 44)}
"""Air chosen in cfm and L/s, where the people breathe hard."""

# Mark, name, kind of space, people, size in feet and in metres, activity, minutes, watts, duct length in feet and metres,
# elbows, duct in inches and in millimetres, grille likewise, NC wanted.
EXAMPLES: Final = (
    ("R01", "Voice room 1", "studio or stage", 2, (8, 6, 7.5), (2.4, 1.8, 2.3), "talking", 90, 190, (14, 4.2), 2,
     (8, 6), (200, 150), (14, 8), (350, 200), 25),
    ("R02", "Voice room 2", "studio or stage", 2, (8, 6, 7.5), (2.4, 1.8, 2.3), "talking", 90, 190, (22, 6.6), 2,
     (8, 6), (200, 150), (14, 8), (350, 200), 25),
    ("R03", "Drum room", "studio or stage", 3, (16, 12, 9), (4.9, 3.7, 2.7), "drumming", 60, 500, (30, 9), 3,
     (16, 10), (450, 250), (24, 12), (600, 300), 25),
    ("R04", "Control room", "studio or stage", 4, (18, 14, 9), (5.5, 4.3, 2.7), "office work", 240, 900, (24, 7.2), 2,
     (14, 10), (350, 250), (24, 12), (600, 300), 25),
    ("R05", "Practice room A", "music/theater/dance", 4, (14, 11, 8.5), (4.3, 3.4, 2.6), "playing an instrument", 60, 300,
     (36, 11), 3, (18, 8), (450, 200), (24, 12), (600, 300), 25),
    ("R06", "Practice room B", "music/theater/dance", 4, (14, 11, 8.5), (4.3, 3.4, 2.6), "playing an instrument", 60, 300,
     (42, 13), 3, (18, 8), (450, 200), (24, 12), (600, 300), 25),
    ("R07", "Listening room", "media center", 3, (15, 12, 8.5), (4.6, 3.7, 2.6), "seated quietly", 120, 400, (28, 8.5), 2,
     (12, 8), (350, 200), (20, 10), (500, 250), 25),
)  # fmt: skip
"""Invented examples."""


def examples(book: Book) -> list[tuple[Any, ...]]:
    """The example rows in the book's units, as the typed columns take them."""
    return [
        (mark, name, kind, people, *book.pick(feet, metres), activity, minutes, watts,
         book.pick(*CHOSEN[mark]) if mark in CHOSEN else None, *book.pick(duct, duct_si), *book.pick(grille, grille_si),
         book.pick(*length), elbows, wanted)
        for mark, name, kind, people, feet, metres, activity, minutes, watts, length, elbows, duct, duct_si, grille,
        grille_si, wanted in EXAMPLES
    ]  # fmt: skip


def columns(book: Book) -> tuple[Typed | Worked, ...]:
    """The columns, in order."""
    large, small, flow = book.pick("ft", "m"), book.pick("in", "mm"), book.pick("cfm", "L/s")
    least, most = book.pick((3, 200), (0.9, 60))
    narrow, wide = book.pick((2, 60), (50, 1500))
    return (
        Typed("Mark", "rooms", 7, "The room's mark on the drawings. A row without one is blank.", words=True),
        Typed("Room", "room_names", 19, "What it is called.", words=True),
        Typed("Kind of space", "space_kinds", 22, "Row of the outdoor air table.", options="space_types", words=True),
        Typed("People", "people", 8, "The most at one time.", 1, 500, number_format=look.WHOLE),
        Typed(f"Length, {large}", "lengths", 9, "Inside, finished.", least, most, number_format=look.ONE, unit=large),
        Typed(f"Width, {large}", "widths", 9, "Inside, finished.", least, most, number_format=look.ONE, unit=large),
        Typed(f"Height, {large}", "heights", 9, "Inside, finished.", least, book.pick(60, 18), number_format=look.ONE, unit=large),
        Typed("Activity", "activities", 21, "How hard the people work.", options="activity_names", words=True),
        Typed("Session, min", "sessions", 9, "The longest, door shut.", 5, 1440, number_format=look.WHOLE, unit="min"),
        Typed("Heat, W", "watts", 8, "Equipment and lights: the power that stays as heat.", 0, 50000, number_format=look.WHOLE, unit="W"),
        Typed(f"Air chosen, {flow}", "airflows_chosen", 9, "Blank takes the largest of the rules.", book.pick(5, 2.5),
              book.pick(5000, 2500), number_format=look.ONE, unit=flow),
        Typed(f"Duct width, {small}", "duct_widths", 9, "Of the room's branch, inside the lining; see the Ducts sheet.",
              narrow, wide, number_format=look.WHOLE, unit=small),
        Typed(f"Duct height, {small}", "duct_heights", 9, "Likewise.", narrow, wide, number_format=look.WHOLE, unit=small),
        Typed(f"Grille width, {small}", "grille_widths", 9, "Face size.", narrow, wide, number_format=look.WHOLE, unit=small),
        Typed(f"Grille height, {small}", "grille_heights", 9, "Face size.", narrow, wide, number_format=look.WHOLE, unit=small),
        Typed(f"Branch, {large}", "duct_lengths", 9.5, "Lined duct from the main duct to the room.", book.pick(1, 0.3),
              book.pick(300, 90), number_format=look.ONE, unit=large),
        Typed("Elbows", "elbow_counts", 8, "Square bends in the branch.", 0, 20, number_format=look.WHOLE),
        Typed("NC wanted", "nc_wanted", 8, "Recording NC 15 to 20, practice NC 25 to 30; blank where none is set.", 15, 65,
              number_format=look.WHOLE),
        Worked("State", "row_states", 8, words=True, states=True),
    )  # fmt: skip


def write(book: Book, schedule: Schedule) -> Page:
    """Write the sheet."""
    shown = columns(book)
    page = book.page(
        "Rooms",
        "A row for each room, typed in the boxed cells; the Inputs sheet says what to write. The rooms here are invented "
        "examples: type over them or clear them.",
        widths(shown),
        wide=True,
        single=True,
    )
    schedule.write(page, shown, examples(book))
    page.finish(page.at - 1)
    return page
