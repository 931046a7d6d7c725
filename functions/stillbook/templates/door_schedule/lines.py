"""Lines: what all openings together need, line by line, as a bid or a new price list meets them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from stillbook.templates.door_schedule.lists import sheets
from stillbook.templates.page import Book, Page
from stillbook.templates.parts.priced_lines import COST, HOURS, LABOUR, column
from stillbook.templates.parts.schedule import widths
from stillbook.templates.parts.table import Table

TRADE: Final = "Doors"


def needs() -> list[tuple[str, Callable[[str], str]]]:
    """Code of each thing that is bought, and the formula that counts it, given the cell of its code."""
    by_door = [(code, lambda _: "=SUM(door_counts)") for code in ("SLAB", "FRAME", "SEALS", "LATCH")]
    boards = [(board, lambda at: f"=SUMIF(added_sheets,{at},sheets_used)") for board in sheets()]
    return [*by_door, ("HINGE", lambda _: "=SUM(hinges_needed)"), *boards]


def write(book: Book) -> Page:
    """Write the sheet."""
    columns = (
        column("code", 27),
        column("text", 42, "INDEX(price_texts,{place})"),
        column("quantity", 10),
        column("unit", 9, "INDEX(price_units,{place})"),
        column("cost", 11, COST),
        column("material", 12),
        column("trade", 9),
        column("hours", 9, f"IF({{quantity}}=0,0,{HOURS})"),
        column("labour", 12, LABOUR),
        column("line", 12),
        column("number", 9, "IF({quantity}>0,MAX({above})+1,0)"),
        column("fault", 48),
        column("place", 7),
    )
    page = book.page(
        "Lines",
        "For the office only: what all openings together need, in what is sold, with its cost and work.",
        widths(columns),
        wide=True,
        single=True,
        printed=len(columns) - 2,  # the checks tell the faults; the row of a price is for formulas
    )
    table = Table(page, columns)
    table.write((code, count("${code}"), TRADE) for code, count in needs())
    table.total("All lines")
    page.note(
        "Each opening is charged the whole sheets its faces are cut from, so the lines come to the openings; hours are rounded, here as there. "
        "Lines with a scope number stand on the Scope sheet. A line to mend costs too little until its row on the Unit costs sheet is mended."
    )
    page.finish()
    return page
