"""Lists: the words that drop-downs offer."""

from __future__ import annotations

from stillbook.templates.page import Book, Page
from stillbook.templates.parts import words
from stillbook.templates.parts.words import Offer, words_of
from stillbook.trade.mass.materials import materials


def write(book: Book) -> Page:
    """Write the sheet, and name each list."""
    sheets = [material.name for material in materials().values() if material.surface_mass is not None]
    return words.write(
        book,
        (
            Offer("Material", "material_names", sheets, 44),
            Offer("Kind of space", "space_types", words_of("OUTDOORAIRFLOW", "space_type"), 26),
            Offer("Activity", "activities", words_of("CO2LEVEL", "activity"), 22),
        ),
    )
