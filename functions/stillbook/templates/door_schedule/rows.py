"""Schedule: a row for each door, typed."""

# ruff: noqa: E501 - rows of a table stay whole

from __future__ import annotations

from typing import Any, Final

from stillbook.templates import look
from stillbook.templates.page import Book, Page
from stillbook.templates.parts.schedule import Schedule, Typed, Worked, widths

LIGHT: Final = "Solid-core door slab 1-3/4 in light"
DENSE: Final = "Solid-core door slab 1-3/4 in particleboard core"

# Mark, room, wall each side in lb/ft² and kg/m², size in inches and mm, arrangement, slab, added sheet US and SI, layers,
# STC wanted.
EXAMPLES: Final = (
    ("D01", "Voice room 1", (4.4, 4.4), (24, 24), (36, 80), (915, 2030), "pair", LIGHT, "Plywood 3/4 in", "MDF 18 mm", 1, 45),
    ("D02", "Voice room 2", (4.4, 4.4), (24, 24), (36, 80), (915, 2030), "pair", LIGHT, "Plywood 3/4 in", "MDF 18 mm", 1, 45),
    ("D03", "Drum room", (6.6, 4.4), (32, 24), (36, 84), (915, 2130), "pair", DENSE, "MDF 3/4 in", "MDF 18 mm", 1, 45),
    ("D04", "Control room", (4.4, 4.4), (24, 24), (42, 84), (1065, 2130), "pair", LIGHT, "Plywood 3/4 in", "MDF 18 mm", 1, 45),
    ("D05", "Machine room", (2.2, 2.2), (11, 11), (36, 80), (915, 2030), "single", LIGHT, "Plywood 3/4 in", "MDF 12 mm", 1, 28),
    ("D06", "Practice room A", (2.2, 3.3), (11, 16), (36, 80), (915, 2030), "single", DENSE, "Plywood 3/4 in", "MDF 12 mm", 1, 30),
    ("D07", "Practice room B", (2.2, 3.3), (11, 16), (36, 80), (915, 2030), "single", DENSE, "Plywood 3/4 in", "MDF 12 mm", 1, 30),
    ("D08", "Listening room", (4.4, 2.2), (23, 12), (36, 84), (915, 2130), "pair", DENSE, "", "", None, 40),
    ("D09", "Stairs, lower", (2.2, 2.2), (11, 11), (36, 80), (915, 2030), "single", DENSE, "", "", None, None),
)  # fmt: skip
"""Invented examples."""


def examples(book: Book) -> list[tuple[Any, ...]]:
    """The example rows in the book's units, as the typed columns take them."""
    found = []
    for mark, room, us, si, inches, metric, kind, slab, sheet_us, sheet_si, layers, wanted in EXAMPLES:
        sheet = book.pick(sheet_us, sheet_si) or None
        found.append(
            (mark, room, *book.pick(us, si), *book.pick(inches, metric), kind, slab, None, sheet, layers, wanted)
        )
    return found


def columns(book: Book) -> tuple[Typed | Worked, ...]:
    """The columns, in order."""
    each, small, mass = book.pick("lb/ft²", "kg/m²"), book.pick("in", "mm"), book.pick("lb", "kg")
    return (
        Typed("Mark", "marks", 7, "The door's mark on the drawings. A row without one is blank.", words=True),
        Typed("Room", "rooms", 17, "The room it closes.", words=True),
        Typed(f"Wall, side A, {each}", "sides_a", 8.5,
              "Mass per area of the wall on this side, with all its sheets.", book.pick(0.5, 2), book.pick(200, 1000),
              number_format=look.TWO, unit=each),
        Typed(f"Wall, side B, {each}", "sides_b", 8.5, "Of the other side; of a wall of one leaf, half on each side.",
              book.pick(0.5, 2), book.pick(200, 1000), number_format=look.TWO, unit=each),
        Typed(f"Width, {small}", "widths", 9, "Leaf width.", book.pick(24, 600), book.pick(60, 1500), unit=small),
        Typed(f"Height, {small}", "heights", 9, "Leaf height.", book.pick(60, 1500), book.pick(120, 3050), unit=small),
        Typed("Doors", "kinds", 8.5, "A pair, one door in each leaf of the wall, both alike; or a single one for both leaves.",
              choices=("pair", "single"), words=True),
        Typed("Slab", "slabs", 43, "A slab from the list; what it weighs, where you know it, stands beside it.",
              options="slab_names", free=True, material=True, words=True),
        Typed(f"Slab, if weighed, {mass}", "weighed", 9, "One bare slab on a scale; comes before the list's.",
              book.pick(10, 5), book.pick(800, 360), number_format=look.ONE, unit=mass),
        Typed("Added sheet", "added_sheets", 25, "Sheet material screwed to each door over its whole face.",
              options="sheet_names", words=True),
        Typed("Sheets each door", "added_layers", 7.5, "Layers of it on each door.", 0, 10, number_format=look.WHOLE),
        Typed("STC wanted", "stc_wanted", 7.5, "Of the opening; blank where none is set.", 10, 80, number_format=look.WHOLE),
        Worked("State", "row_states", 8, words=True, states=True),
    )  # fmt: skip


def write(book: Book, schedule: Schedule) -> Page:
    """Write the sheet."""
    shown = columns(book)
    page = book.page(
        "Schedule",
        "A row for each door, typed in the boxed cells; the Inputs sheet says what to write. The doors here are invented "
        "examples: type over them or clear them.",
        widths(shown),
        wide=True,
        single=True,
    )
    schedule.write(page, shown, examples(book))
    page.finish(page.at - 1)
    return page
