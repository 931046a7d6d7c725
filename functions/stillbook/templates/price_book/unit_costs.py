"""Unit costs: materials and equipment by code."""

from __future__ import annotations

import datetime
from typing import Any, Final

from stillbook.templates import look
from stillbook.templates.page import Book, Page
from stillbook.templates.parts import unit_costs
from stillbook.templates.parts.examples import examples
from stillbook.templates.parts.schedule import Schedule, Typed, Worked, typed
from stillbook.templates.price_book.levels import columns as level_columns

ROWS: Final = 90
DAY: Final = datetime.date(2026, 1, 15)
"""Invented example."""


def columns(book: Book) -> tuple[Typed | Worked, ...]:
    """The columns, in order."""
    money = book.currency
    mend = (
        'IF(COUNTIF(price_codes,{price_codes})>1,"stands twice; ","")&IF(N({price_costs})<=0,"no cost; ","")'
        '&IF({price_rates}="","",IF(N({price_rates})<=0,"no rate; ",""))'
        '&IF({price_trades}="","",IF(COUNTIF(labour_trades,{price_trades})=0,"trade not known; ",""))'
        '&IF({price_suppliers}="","",IF(COUNTIF(supplier_codes,{price_suppliers})=0,"supplier not known; ",""))'
        '&IF({price_dates}="","no date; ",IF(N(book_date)=0,"",IF({price_ages}>oldest_months,"too old; ",'
        'IF({price_ages}<0,"later than the book; ",""))))'
    )
    state = 'IF(ISERROR({price_mends}),"Error",IF({price_mends}<>"","Fails",IF(N(book_date)=0,"Waits","Passes")))'
    return (
        typed(book, "Code", "price_codes", 26, words=True).saying("One for each thing; boards by their material. A row without one is blank."),
        typed(book, "Kind", "price_kinds", 11, choices=("material", "equipment"), words=True).saying("Bought for the job, or hired for it."),
        typed(book, "Description", "price_texts", 40, words=True).saying("As it stands in an estimate."),
        typed(book, "Unit", "price_units", 7.5, words=True).saying("As it is sold."),
        typed(book, f"Cost, {money}", "price_costs", 10, "", 0, 1000000, look.PRICE).saying("Of one unit, delivered, without tax."),
        typed(book, "Trade", "price_trades", 9, options="labour_trades", words=True).saying("Who fixes it; of the Labour sheet."),
        typed(book, "Done in an hour", "price_rates", 9, "", 0.001, 10000).saying("Units one person fixes in an hour; blank for no work."),
        typed(book, "Supplier", "price_suppliers", 9.5, options="supplier_codes", free=True, words=True).saying("Code of the Suppliers sheet."),
        typed(book, "Priced on", "price_dates", 11, number_format=look.DATE).saying("Day of the quotation."),
        Worked("Age, months", 'IF((N(book_date)=0)+({price_dates}=""),"",(book_date-{price_dates})/30.4375)', 8, "price_ages"),
        *level_columns("price_costs", 10),
        Worked("To mend", mend, 24, "price_mends", words=True),
        Worked("State", state, 8, "price_states", words=True, states=True),
    )


def _rows(book: Book) -> list[tuple[Any, ...]]:
    """The example rows, with the same codes and figures as the estimates' own Unit costs sheets."""
    suppliers = {trade: supplier for trade, _, supplier in examples("example_trades", book.system)}
    return [
        (code, kind, *row, trade, done, suppliers[trade], DAY)
        for kind, lists in (("material", ("boards", "every estimate", "quiet room", "price book")), ("equipment", ("equipment",)))
        for code, *row, trade, done in unit_costs.rows(book.system, *lists)
    ]


def write(book: Book, schedule: Schedule) -> Page:
    """Write the sheet."""
    return schedule.page(
        "Unit costs",
        "Invented example figures: put your own in. An estimate finds its row by code. A column for each price level.",
        columns(book),
        _rows(book),
        single=False,
    )
