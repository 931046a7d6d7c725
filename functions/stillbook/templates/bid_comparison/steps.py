"""Workings, in front: units by what they measure, and the steps between units that slip into prices."""

from __future__ import annotations

from typing import Final

from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page

LENGTHS: Final = ("ft", "m", "in", "mm", "yd")
AREAS: Final = ("ft²", "m²", "sheet", "yd²")

STEPS: Final = (
    ("length", 3.28084, "metres and feet"),
    ("length", 12.0, "feet and inches"),
    ("area", 9.0, "square yards and square feet"),
    ("area", 10.7639, "m² and ft²"),
    ("area", 32.0, "4 × 8 ft sheets and ft²"),
    ("piece", 12.0, "dozens and pieces"),
    ("piece", 100.0, "hundreds and pieces"),
    ("piece", 1000.0, "thousands and pieces"),
)
"""How many of one unit another holds: exact or to six figures from the definitions of the units."""

NEAR: Final = 0.2
"""How near a step a price must be for the step to be named."""


def bounds(place: int) -> tuple[float, float]:
    """From how many times, to how many, a step is the nearest one of its kind.

    >>> [round(bound, 3) for bound in bounds(2)]
    [7.2, 9.803]
    """
    kind, factor, _ = STEPS[place]
    others = [1 / other for k, other, _ in STEPS if k == kind and other != factor]
    between = [2 / (1 / factor + other) for other in others]
    least = max([factor * (1 - NEAR), *(mid for mid in between if mid < factor)])
    return least, min([factor * (1 + NEAR), *(mid for mid in between if mid > factor)])


def write(book: Book) -> Page:
    """Write the front of the sheet; the rest comes with the workings."""
    page = book.page(
        "Workings",
        "Steps between units that slip into prices; a price so many times the others is asked about in these words. To "
        "the right, not printed: the steps behind the other sheets, line by line and bid by bid.",
        (7, 12, 12, 36, 12, 12),
    )
    page.head_row(("No.", "Measures", "Step", "Between", "From, times", "Up to"), words=(1, 3))
    first = page.at
    for place, (kind, factor, words) in enumerate(STEPS):
        page.row((place + 1, kind, factor, words, *bounds(place)), (look.WHOLE, "text", look.GENERAL, "text", look.TWO, look.TWO))
    for offset, name in ((0, "step_places"), (1, "step_kinds"), (3, "step_words"), (4, "step_from"), (5, "step_to")):
        column = FIRST + offset
        book.name(name, page, first, column, last=f"${'ABCDEFG'[column - 1]}${page.at - 1}")
    page.skip()
    page.head_row(("", "Length", "Area"), words=(1, 2))
    first = page.at
    for row in range(max(len(LENGTHS), len(AREAS))):
        page.row((None, *(units[row] if row < len(units) else None for units in (LENGTHS, AREAS))), ("text",) * 3)
    book.name("length_units", page, first, FIRST + 1, last=f"$C${first + len(LENGTHS) - 1}")
    book.name("area_units", page, first, FIRST + 2, last=f"$D${first + len(AREAS) - 1}")
    page.note("Any other unit counts pieces.")
    page.finish(page.at - 1)
    return page
