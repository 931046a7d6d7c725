"""Lists: the words that the Rooms and Inputs sheets offer."""

from __future__ import annotations

from stillbook.templates.page import Book, Page
from stillbook.templates.parts import words
from stillbook.templates.parts.words import Offer, words_of


def write(book: Book) -> Page:
    """Write the sheet."""
    return words.write(
        book,
        (
            Offer("Kind of space", "space_types", words_of("OUTDOORAIRFLOW", "space_type"), 34),
            Offer("Activity", "activity_names", words_of("CO2LEVEL", "activity"), 28),
            Offer("Kind of fan", "fan_types", words_of("FANSOUND", "fan_type"), 24),
        ),
    )
