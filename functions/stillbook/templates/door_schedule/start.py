"""Start: whose doors, where they stand, and the cautions."""

from __future__ import annotations

from stillbook.quantities import MASS
from stillbook.templates import look
from stillbook.templates.page import Book, Page
from stillbook.templates.parts import front
from stillbook.templates.parts.front import Figure

SHEETS = (
    ("Inputs", "What holds for all doors: gap, seals, margins."),
    ("Schedule", "A row for each door: the wall it stands in, its size, its slab and what is added to it."),
    ("Doors", "What each must weigh, what it weighs, hinges, pull, gap, and whether it passes."),
    ("Leaves", "The build-up of each door as the isolation takes it."),
    ("One door", "Transmission loss of each door by band, and its STC."),
    ("Openings", "The same of each opening, with its pair of doors."),
    ("Drawn door", "One door to scale, with its gaps, its layers and what it weighs."),
    ("Row checks", "Each door against the limits, with what to do."),
    ("Job price", "Cost and price of each opening."),
    ("Lines", "What all doors together need, with cost and work."),
    ("Order", "What to buy for all doors together."),
    ("Unit costs", "Unit costs, rates of work and labour rates: your own figures."),
    ("Proposal", "The page for the client: each opening and its price."),
    ("Scope", "The page for contractors: quantities to be priced, without prices."),
    ("Door list", "For contractors too: sizes, make-up, masses and hinges of each door."),
    ("Checks", "Each rule of the trade over all doors."),
)


def write(book: Book) -> Page:
    """Write the sheet."""
    return front.write(
        book,
        "Doors of quiet rooms, a row each: a door is as good as the wall it stands in, or it is the hole in it.",
        about=front.JOB,
        figures=(
            Figure("Openings", "=openings", look.WHOLE),
            Figure("Doors", "=doors", look.WHOLE),
            Figure("Heaviest door", "=heaviest", look.WHOLE, book.unit(MASS)),
            Figure("Price before tax", "=price", look.MONEY, "=currency"),
            front.CHECKS,
        ),
        sheets=SHEETS,
        closing=f"The doors on the Schedule sheet and the figures on the Unit costs sheet are invented examples: put your own in. {front.LOCKED} {front.KEPT}",
    )
