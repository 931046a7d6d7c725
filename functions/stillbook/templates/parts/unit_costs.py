"""Unit costs: what materials cost, rates of work and labour rates. Every figure is an invented example to be replaced."""

from __future__ import annotations

from typing import Any, Final

from stillbook.quantities import System
from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts.examples import examples
from stillbook.templates.parts.table import Column, Table

TRADES: Final = tuple(trade for trade, *_ in examples("example_trades", "US"))
SPARE_ROWS: Final = 6
QUIET_ROOM: Final = ("quiet room", "price book", "equipment")
"""Lists of the estimates of quiet rooms, with what the parts of assemblies take."""

INVENTED: Final = "invented example"


def rows(system: System, *lists: str) -> list[tuple[Any, ...]]:
    """Rows of some lists of the example prices: code, description, unit, cost, trade, done in an hour by one person."""
    return [tuple(row) for listed, *row in examples("example_prices", system) if listed in lists]


def _columns(money: str) -> tuple[Column, ...]:
    return (
        Column("Code", name="price_codes", words=True),
        Column("Description", name="price_texts", words=True),
        Column("Unit", name="price_units", words=True),
        Column(f"Cost, {money}", name="price_costs", number_format=look.PRICE),
        Column("Trade", name="price_trades", words=True),
        Column("Done in an hour", name="price_rates"),
        Column("Source and date", key="source", words=True),
    )


def write(book: Book, *more: str) -> Page:
    """Write the sheet, with ``more`` lists of the template's own, and its columns named for the price lines."""
    page = book.page(
        "Unit costs",
        "Invented example figures: put your own in. A line of the estimate finds its row by code; boards by their material. Not printed: the lines that take "
        "a figure are, with it.",
        (26, 44, 8, 11, 9, 11, 17),
    )
    money = book.currency
    page.heading("Labour")
    page.head_row(("Trade", "", "", f"Rate, {money}/h", "", "", ""))
    first = page.at
    for trade, rate, _ in examples("example_trades", book.system):
        page.put(page.at, FIRST, trade, border=look.ROW)
        page.box(page.at, FIRST + 3, rate, number_format=look.PRICE)
        page.at += 1
    for offset, name in ((0, "labour_trades"), (3, "labour_rates")):
        page.name(name, first, FIRST + offset, page.at - 1)
    page.skip()
    page.heading("Unit costs and rates of work")
    table = Table(page, _columns(money))
    head = table.head()
    for row in rows(book.system, "boards"):
        table.boxes(*row, INVENTED)
    for row in rows(book.system, "every estimate", *more):
        table.boxes(*row, INVENTED)
    for _ in range(SPARE_ROWS):
        table.boxes(*[None] * len(table.columns))
    table.name()
    page.note("Blank rows are for your own codes. A rate of work is what one person finishes in an hour.")
    page.finish(head=head)
    page.never_print()
    return page
