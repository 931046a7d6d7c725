"""Labour: wages, on-costs and the rate of each trade."""

from __future__ import annotations

from typing import Final

from stillbook.templates import look
from stillbook.templates.page import Book, Page
from stillbook.templates.parts.examples import examples
from stillbook.templates.parts.schedule import Schedule, Typed, Worked, typed
from stillbook.templates.price_book.levels import columns as level_columns

ROWS: Final = 10
ON_COSTS: Final = 0.25
"""Invented example, with which the wages of the rates that estimates come with are whole cents."""


def columns(book: Book) -> tuple[Typed | Worked, ...]:
    """The columns, in order."""
    money = book.currency
    return (
        typed(book, "Trade", "labour_trades", 16, words=True).saying("As the Unit costs sheet names it."),
        typed(book, f"Wage, {money}/h", "wages", 12, "", 1, 1000, look.PRICE).saying("Paid to the worker."),
        typed(book, "On-costs", "on_costs", 11, "", 0, 3, look.PERCENT).saying("Insurance, holidays, tools, travel, as a share of the wage."),
        Worked(f"Rate, {money}/h", "ROUND({wages}*(1+{on_costs}),2)", 12, "labour_rates", look.PRICE, strong=True),
        *level_columns("labour_rates"),
        typed(book, "Source and date", "labour_sources", 30, words=True).saying("Where the wage comes from, and when."),
    )


def write(book: Book, schedule: Schedule) -> Page:
    """Write the sheet."""
    rows = [(trade, round(rate / (1 + ON_COSTS), 2), ON_COSTS, "invented example") for trade, rate, _ in examples("example_trades", book.system)]
    return schedule.page("Labour", "What an hour of each trade costs, and with the mark-up of each level.", columns(book), rows)
