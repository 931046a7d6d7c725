"""Suppliers: who sells what, and on what terms."""

from __future__ import annotations

from typing import Final

from stillbook.templates import look
from stillbook.templates.page import Book, Page
from stillbook.templates.parts.schedule import Schedule, Typed, Worked

ROWS: Final = 16
EXAMPLES: Final = (
    ("S1", "Invented timber and board yard", "Boards, studs, wool, sealant", 30, 3, 0, None),
    ("S2", "Invented door workshop", "Slabs, frames, hinges, seals", 14, 25, 500, "Made to size; no returns."),
    ("S3", "Invented air supply house", "Ducts, fans, grilles, lining", 30, 7, 150, None),
    ("S4", "Invented electrical wholesaler", "Wiring, boxes, firestop", 30, 2, 0, None),
)


def columns() -> tuple[Typed | Worked, ...]:
    """The columns, in order."""
    return (
        Typed("Code", "supplier_codes", 8, "As the Prices sheet names it.", words=True),
        Typed("Name", "supplier_names", 34, "Of the firm.", words=True),
        Typed("Sells", "supplier_goods", 36, "In a few words.", words=True),
        Typed("Pays in, days", "supplier_terms", 10, "Days to pay.", 0, 365, number_format=look.WHOLE),
        Typed("Delivers in, days", "supplier_days", 10, "Working days from order.", 0, 365, number_format=look.WHOLE),
        Typed("Least order", "supplier_least", 11, "In the book's currency.", 0, 1000000, number_format=look.MONEY),
        Typed("Notes", "supplier_notes", 40, "Whom to ask, what to mind.", words=True),
        Worked("Codes", "COUNTIF(price_suppliers,{supplier_codes})", 8, number_format=look.WHOLE, each=True),
    )


def write(book: Book, schedule: Schedule) -> Page:
    """Write the sheet."""
    return schedule.page("Suppliers", "Invented firms: put your own in.", columns(), EXAMPLES)
