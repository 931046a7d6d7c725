"""Prices: materials and equipment by code."""

from __future__ import annotations

import datetime
from typing import Any, Final

from stillbook.templates import look
from stillbook.templates.page import Book, Page
from stillbook.templates.parts.prices import BOARDS, ITEMS
from stillbook.templates.parts.schedule import Schedule, Typed, Worked, typed
from stillbook.templates.price_book.levels import columns as level_columns

ROWS: Final = 90
_PER_METRE: Final = {"m": 3.28084, "m²": 10.7639}
_SUPPLIERS: Final = {"Shell": "S1", "Doors": "S2", "Air": "S3", "Wiring": "S4", "Site": "S1"}
DAY: Final = datetime.date(2026, 1, 15)
"""Invented example."""

# Code, description, unit US, unit SI, cost US, cost SI, trade, done in an hour by one person.
MORE: Final = (("FIRESTOP", "Firestop sealant, tube", "tube", "tube", 24, 22, "Wiring", 2),)
EQUIPMENT: Final = (
    ("LIFT", "Panel lift, hire", "day", "day", 65, 60, "Site", None),
    ("HOIST", "Door hoist or stair climber, hire", "day", "day", 90, 85, "Site", None),
    ("DUST", "Dust extractor, hire", "day", "day", 48, 45, "Site", None),
    ("METER", "Sound level meter and source, a day's use", "day", "day", 120, 110, "Site", None),
)


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
        Worked("Age, months", 'IF((N(book_date)=0)+(price_dates=""),"",(book_date-price_dates)/30.4375)', 8, "price_ages"),
        *level_columns("price_costs", 10),
        Worked("To mend", mend, 24, "price_mends", words=True, each=True),
        Worked("State", state, 8, "price_states", words=True, each=True, states=True),
    )


def examples(book: Book) -> list[tuple[Any, ...]]:
    """The example rows, with the same codes and figures as the estimates' own Prices sheets."""
    rows: list[tuple[Any, ...]] = [(name, "material", name, "sheet", cost * book.pick(1, 0.9), "Shell", rate, "S1", DAY) for name, cost, rate in BOARDS]
    for kind, items in (("material", (*ITEMS, *MORE)), ("equipment", EQUIPMENT)):
        for code, text, unit_us, unit_si, us, si, trade, rate in items:
            metric = _PER_METRE.get(unit_si, 1)
            done = rate if rate is None or book.system == "US" else round(rate / metric, 2)
            rows.append((code, kind, text, book.pick(unit_us, unit_si), book.pick(us, si), trade, done, _SUPPLIERS[trade], DAY))
    return rows


def write(book: Book, schedule: Schedule) -> Page:
    """Write the sheet."""
    return schedule.page(
        "Prices",
        "Invented example figures: put your own in. An estimate finds its row by code. A column for each price level.",
        columns(book),
        examples(book),
        single=False,
    )
