"""Start: whose rooms, where they stand, and the cautions."""

from __future__ import annotations

from stillbook.quantities import AIRFLOW, PRESSURE
from stillbook.templates import look
from stillbook.templates.page import Book, Page
from stillbook.templates.parts import front
from stillbook.templates.parts.front import Figure

SHEETS = (
    ("Inputs", "What holds for all rooms: rates, limits, lining, fan."),
    ("Rooms", "A row for each room: people, size, use, heat, and the duct that serves it."),
    ("Air", "Airflow by both rules, air changes, CO2, minutes with the fan stopped, heat."),
    ("Ducts", "Sizes that keep the air quiet, speeds in those taken, pressure of each branch."),
    ("Noise", "Level of the fan at the listener by octave, NC, and how far over."),
    ("Fan", "What the fan must give, and the sound it makes."),
    ("One room", "Its way of air element by element, what to change first, changes side by side, CO2."),
    ("Row checks", "Each room against the limits, with what to do."),
    ("Report", "The page for the client: air and noise of each room."),
    ("Scope", "The page for contractors: fan, boxes, and the ducts of each room."),
    ("Checks", "Each rule of the trade over all rooms."),
)


def write(book: Book) -> Page:
    """Write the sheet."""
    return front.write(
        book,
        "Fresh air for closed, quiet rooms, a row each. Enough air for the people comes first; quiet comes after.",
        about=front.JOB,
        figures=(
            Figure("Rooms", "=room_count", look.WHOLE),
            Figure("People", "=people_count", look.WHOLE),
            Figure("Air of the fan", "=fan_airflow", look.WHOLE, book.unit(AIRFLOW)),
            Figure("Pressure", "=fan_pressure_needed", book.pick(look.TWO, look.WHOLE), book.unit(PRESSURE)),
            front.CHECKS,
        ),
        sheets=SHEETS,
        closing=f"The rooms on the Rooms sheet are invented examples: put your own in. {front.LOCKED} {front.KEPT}",
    )
