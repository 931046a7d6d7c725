"""Schedule: a row for each door, typed."""

from __future__ import annotations

from stillbook.quantities import LENGTH, MASS, SURFACE_MASS
from stillbook.templates import look
from stillbook.templates.page import Book, Page
from stillbook.templates.parts.examples import examples
from stillbook.templates.parts.schedule import Schedule, Typed, Worked, typed

EXAMPLES = "example_doors"


def columns(book: Book) -> tuple[Typed | Worked, ...]:
    """The columns, in order."""
    return (
        typed(book, "Mark", "marks", 7, words=True).saying("The door's mark on the drawings. A row without one is blank."),
        typed(book, "Room", "rooms", 17, words=True).saying("The room it closes."),
        typed(book, "Wall, side A", "sides_a", 8.5, SURFACE_MASS, (0.5, 2), (200, 1000)).saying("Mass per area of the wall on this side, with all its sheets."),
        typed(book, "Wall, side B", "sides_b", 8.5, SURFACE_MASS, (0.5, 2), (200, 1000)).saying("Of the other side; of a wall of one leaf, half on each side."),
        typed(book, "Width", "widths", 9, LENGTH, (24, 600), (60, 1500), look.GENERAL).saying("Leaf width."),
        typed(book, "Height", "heights", 9, LENGTH, (60, 1500), (120, 3050), look.GENERAL).saying("Leaf height."),
        typed(book, "Doors", "kinds", 8.5, choices=("pair", "single"), words=True).saying(
            "A pair, one door in each leaf of the wall, both alike; or a single one for both leaves."
        ),
        typed(book, "Slab", "slabs", 43, options="slab_names", material=True, words=True).saying(
            "A slab from the list; what it weighs, where you know it, stands beside it."
        ),
        typed(book, "Slab, if weighed", "weighed", 9, MASS, (10, 5), (800, 360), look.ONE).saying("One bare slab on a scale; comes before the list's."),
        typed(book, "Added sheet", "added_sheets", 25, options="sheet_names", words=True).saying("Sheet material screwed to each door over its whole face."),
        typed(book, "Sheets each door", "added_layers", 7.5, "", 0, 10, look.WHOLE, whole=True).saying("Layers of it on each door."),
        typed(book, "STC wanted", "stc_wanted", 7.5, "", 10, 80, look.WHOLE).saying("Of the opening; blank where none is set."),
        Worked("State", "INDEX(row_states,{k})", 8, words=True, states=True),
    )


def write(book: Book, schedule: Schedule) -> Page:
    """Write the sheet."""
    return schedule.page(
        "Schedule",
        "A row for each door, typed in the boxed cells; the Inputs sheet says what to write. The doors here are invented "
        "examples: type over them or clear them.",
        columns(book),
        examples(EXAMPLES, book.system),
    )
