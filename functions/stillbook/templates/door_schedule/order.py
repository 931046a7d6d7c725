"""Order: what to buy for all doors, in what is sold."""

from __future__ import annotations

from typing import Final

from stillbook.templates.door_schedule.lines import needs
from stillbook.templates.page import Book, Page
from stillbook.templates.parts.priced_lines import PLACE
from stillbook.templates.parts.schedule import widths
from stillbook.templates.parts.table import Column, Table

_NONE: Final = '#,##0;-#,##0;"–"'


def write(book: Book) -> Page:
    """Write the sheet of what to buy."""
    columns = (
        Column("Code", "", 28, key="code", words=True),
        Column("Item", f"INDEX(price_texts,{PLACE})", 40, words=True),
        Column("To order", "", 12, key="order", number_format=_NONE),
        Column("Unit", f"INDEX(price_units,{PLACE})", 12, words=True),
    )
    purpose = "For all doors together, in what is sold. No prices here: it may go to a supplier."
    page = book.page("Order", purpose, widths(columns), single=True)
    Table(page, columns).write((code, count("{code}")) for code, count in needs())
    page.note("Whole sheets, opening by opening. Slabs by size and kind are on the Schedule sheet.")
    page.finish()
    return page
