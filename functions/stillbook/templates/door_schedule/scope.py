"""Scope: the page for contractors, with the lines to be priced and no price, cost, margin or client."""

from __future__ import annotations

from typing import Final

from stillbook.quantities import MASS
from stillbook.templates.page import Book, Page
from stillbook.templates.parts import scope
from stillbook.templates.parts.letter import sentence

NOT_INCLUDED: Final = "Not included: the openings in the walls and what carries them, wiring of locks and closers, painting, and anything not named above."


def write(book: Book, lines: int) -> Page:
    """Write the sheet of lines to be priced, with place for that many."""
    return scope.write(book, lines, _built, NOT_INCLUDED, changes=False)


def _built(book: Book, page: Page) -> None:
    page.heading("What is built")
    sentence(
        page,
        '=openings&IF(openings=1," opening with "," openings with ")&doors&IF(doors=1," door, "," doors, the heaviest ")'
        f'&TEXT(heaviest,"0")&" {book.unit(MASS)}: each with frame, hinges, seals and latch, hung and adjusted."',
    )
    sentence(page, "Sizes, slabs, added sheets, masses and hinges stand on the Door list sheet, door by door.")
    page.skip()
