"""Lines: what all openings together need, line by line, as a bid or a new price list meets them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from openpyxl.utils import get_column_letter

from stillbook.templates import look
from stillbook.templates.door_schedule.lists import sheets
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts.price import HEADINGS, IN_SCOPE, WORDS

TRADE: Final = "Doors"

NAMES: Final = (
    "line_codes",
    "line_texts",
    "line_quantities",
    "line_units",
    "line_unit_costs",
    "line_material",
    "line_trade",
    "line_hours",
    "line_labour",
    "line_cost",
    "line_numbers",
)


def needs() -> list[tuple[str, Callable[[str], str]]]:
    """Code of each thing that is bought, and the formula that counts it, given the cell of its code."""
    by_door = [(code, lambda _: "=SUM(door_counts)") for code in ("SLAB", "FRAME", "SEALS", "LATCH")]
    boards = [(board, lambda at: f"=ROUNDUP(SUMIF(added_sheets,{at},sheets_used),0)") for board in sheets()]
    return [*by_door, ("HINGE", lambda _: "=SUM(hinges_needed)"), *boards]


def write(book: Book) -> Page:
    """Write the sheet."""
    page = book.page(
        "Lines",
        "For the office only: what all openings together need, in what is sold, with its cost and work.",
        (27, 42, 10, 9, 11, 12, 9, 9, 12, 12, 9),
        wide=True,
        single=True,
    )
    page.head_row((*HEADINGS, IN_SCOPE), words=WORDS)
    first = page.at
    letters = [get_column_letter(FIRST + offset) for offset in range(len(NAMES))]
    for code, count in needs():
        row = page.at
        at, quantity, cost, material, hours, labour = (f"{letters[place]}{row}" for place in (0, 2, 4, 5, 7, 8))
        found = f"MATCH({at},price_codes,0)"
        page.row(
            (
                code,
                f"=INDEX(price_texts,{found})",
                count(f"${at}"),
                f"=INDEX(price_units,{found})",
                f"=INDEX(price_costs,{found})",
                f"={quantity}*{cost}",
                TRADE,
                f"=IF({quantity}=0,0,STILL_CREWHOURS({quantity},INDEX(price_rates,{found})))",
                f"={hours}*INDEX(labour_rates,MATCH({letters[6]}{row},labour_trades,0))",
                f"={material}+{labour}",
                f"=IF({quantity}>0,MAX({letters[-1]}${first - 1}:{letters[-1]}{row - 1})+1,0)",
            ),
            ("text", "text", look.WHOLE, "text", look.PRICE, look.PRICE, "text", look.ONE, look.PRICE, look.PRICE, look.WHOLE),
        )
    for letter, name in zip(letters, NAMES, strict=True):
        book.name(name, page, first, FIRST + NAMES.index(name), last=f"${letter}${page.at - 1}")
    sums = {place: f"=SUM({letters[place]}{first}:{letters[place]}{page.at - 1})" for place in (5, 7, 8, 9)}
    page.row(
        ("All lines", *(sums.get(place) for place in range(1, len(NAMES)))),
        ("text", "", "", "", "", look.PRICE, "", look.ONE, look.PRICE, look.PRICE),
        strong=True,
        border=look.TOTAL_ROW,
    )
    page.note(
        "Sheets are bought whole; an opening on the Price sheet is charged for the part it uses, so the lines may come to more. "
        "Lines with a scope number stand on the Scope sheet."
    )
    page.finish()
    return page
