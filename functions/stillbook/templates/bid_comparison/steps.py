"""Workings, in front: units by what they measure, and the steps between units that slip into prices."""

from __future__ import annotations

from itertools import zip_longest
from typing import Final

from stillbook.quantities import SYSTEMS, System
from stillbook.tables import table
from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts.schedule import widths
from stillbook.templates.parts.table import Column, Table

LENGTHS: Final = ("ft", "m", "in", "mm", "yd")
AREAS: Final = ("ft²", "m²", "sheet", "yd²")

STEPS: Final[dict[System, tuple[tuple[str, float, str], ...]]] = {
    system: tuple((row["measures"], float(row["times"]), row["between"]) for row in table("unit_steps") if row["system"] in ("both", system))
    for system in SYSTEMS
}
"""How many of one unit another holds, between units of the system of a job: exact or to six figures from their definitions."""

NEAR: Final = 0.2
"""How near a step a price must be for the step to be named."""


def bounds(system: System, place: int) -> tuple[float, float]:
    """From how many times, to how many, a step is the nearest one of its kind.

    >>> [round(bound, 3) for bound in bounds("US", 4)]
    [7.2, 9.803]
    """
    kind, factor, _ = STEPS[system][place]
    others = [1 / other for k, other, _ in STEPS[system] if k == kind and other != factor]
    between = [2 / (1 / factor + other) for other in others]
    least = max([factor * (1 - NEAR), *(mid for mid in between if mid < factor)])
    return least, min([factor * (1 + NEAR), *(mid for mid in between if mid > factor)])


def write(book: Book) -> Page:
    """Write the front of the sheet; the rest comes with the workings."""
    columns = (
        Column("No.", "", 7, "step_places", look.WHOLE),
        Column("Measures", "", 12, "step_kinds", words=True),
        Column("Step", "", 12),
        Column("Between", "", 36, "step_words", words=True),
        Column("From, times", "", 12, "step_from", look.TWO),
        Column("Up to", "", 12, "step_to", look.TWO),
    )
    page = book.page(
        "Workings",
        "Steps between units that slip into prices; a price so many times the middle is asked about in these words. To "
        "the right, not printed: the steps behind the other sheets, line by line and bid by bid.",
        widths(columns),
    )
    Table(page, columns).write((n + 1, kind, factor, words, *bounds(book.system, n)) for n, (kind, factor, words) in enumerate(STEPS[book.system]))
    page.skip()
    page.head_row(("", "Length", "Area"), words=(1, 2))
    first = page.at
    for units in zip_longest(LENGTHS, AREAS):
        page.row((None, *units), ("text",) * 3)
    page.name("length_units", first, FIRST + 1, first + len(LENGTHS) - 1)
    page.name("area_units", first, FIRST + 2, first + len(AREAS) - 1)
    page.note("Any other unit counts pieces.")
    page.finish(page.at - 1)
    return page
