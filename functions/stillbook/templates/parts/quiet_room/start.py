"""Start: what the job is, where it stands, and the cautions."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from stillbook.cautions import CAUTIONS
from stillbook.quantities import AIRFLOW, ROOM_LENGTH, SURFACE_MASS
from stillbook.templates import look
from stillbook.templates.page import Book, Page
from stillbook.templates.parts import front
from stillbook.templates.parts.front import Figure

SHEETS = (
    ("Inputs", "Everything you type: sizes, build-ups, people, doors, ducts, waste, margins."),
    ("Shell", "What each leaf weighs, how thick the shell is, what it puts on the floor."),
    ("Doors", "A pair or one heavy door, its least mass, and ways to reach it."),
    ("Isolation", "Transmission loss by band, ratings with their range, what would do better."),
    ("Room", "What the surfaces inside absorb, reverberation, treatment, modes, floor left."),
    ("Air", "Airflow for the people, CO2 over the day, heat, minutes left when the fan stops."),
    ("Ducts", "Sizes that keep the air quiet, and outside sizes."),
    ("Air path", "Both ways of the air: pressure, sound by octave against the target, the fans, the baffle boxes."),
    ("Wiring", "Circuit load, cable holes, boxes and panels, and what they leak."),
    ("Own lines", "Lines of your own, assemblies chosen by code, and lines that are switched off."),
    ("Take-off", "Quantities with waste, in what is sold."),
    ("Job price", "Cost by line and by trade, and the steps to the price."),
    ("Alternates", "Allowances, alternates and revisions, and what the other sheets say of them."),
    ("Unit costs", "Unit costs, rates of work and labour rates: your own figures."),
    ("Assemblies", "Made-up work by its unit, and the parts it is made of."),
    ("Proposal", "The page for the client."),
    ("Scope", "The page for contractors: quantities to be priced, without prices."),
    ("Checks", "Each rule of the trade: passes, fails with what to do, waits, or is an error."),
)
PURPOSE = "An estimate of one quiet room built inside a larger space, from sizes to price."
SIZE = ("Outside size", '=TEXT(outside_length,"0.0")&" × "&TEXT(outside_width,"0.0")')


def write(
    book: Book,
    cautions: Sequence[str] = CAUTIONS,
    purpose: str = PURPOSE,
    size: tuple[str, str] = SIZE,
    sheets: Sequence[tuple[str, str]] = SHEETS,
    drawn: Callable[[Page], None] | None = None,
) -> Page:
    """Write the sheet, with the size that matters most in this template."""
    *job, (dated, date) = front.JOB
    return front.write(
        book,
        purpose,
        about=(*job, (dated, f"{date}&revision_words")),
        figures=(
            Figure("Price, with tax", "=price", look.MONEY, "=currency"),
            Figure(*size, unit=book.unit(ROOM_LENGTH)),
            Figure("Air", "=airflow", look.WHOLE, book.unit(AIRFLOW)),
            Figure("Load on the floor", "=floor_load", look.WHOLE, book.unit(SURFACE_MASS)),
            front.CHECKS,
        ),
        cautions=cautions,
        sheets=sheets,
        closing=f"{front.LOCKED} The figures on the Unit costs sheet are invented examples. {front.KEPT}",
        middle=(16, 20),
        aligned=look.LEFT,
        drawn=drawn,
    )
