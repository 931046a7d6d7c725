"""Prices: unit costs, rates of work and labour rates. Every figure is an invented example to be replaced."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts.table import Column, Table

TRADES: Final = ("Shell", "Doors", "Air", "Wiring", "Site")
LABOUR: Final = {"Shell": (62, 48), "Doors": (68, 52), "Air": (72, 55), "Wiring": (85, 62), "Site": (55, 42)}
SPARE_ROWS: Final = 6
INVENTED: Final = "invented example"

# Code, description, unit US, unit SI, cost US, cost SI, trade, done in an hour by one person.
BOARDS: Final = (
    ("Gypsum board 1/2 in", 15, 2),
    ("Gypsum board 5/8 in type X", 19, 2),
    ("Gypsum board 12.5 mm", 14, 2),
    ("Gypsum board 15 mm", 17, 2),
    ("Plywood 1/2 in", 38, 2.5),
    ("Plywood 3/4 in", 55, 2.5),
    ("OSB 7/16 in", 22, 2.5),
    ("OSB 3/4 in", 38, 2.5),
    ("MDF 1/2 in", 34, 2),
    ("MDF 3/4 in", 48, 2),
    ("MDF 12 mm", 32, 2),
    ("MDF 18 mm", 44, 2),
    ("Heavy limp sheet 1 lb/ft²", 96, 1.5),
    ("Heavy limp sheet 2 lb/ft²", 175, 1.2),
    ("Lead sheet 1/32 in", 260, 0.6),
    ("Lead sheet 1/16 in", 480, 0.5),
    ("Steel sheet 16 gauge", 150, 1),
)
ITEMS: Final = (
    ("STUD", "Stud", "piece", "piece", 5.2, 4.8, "Shell", 7),
    ("JOIST", "Ceiling joist, by the length of stock", "ft", "m", 0.95, 2.9, "Shell", 40),
    ("PLATE", "Plate, stock length", "piece", "piece", 6.5, 6, "Shell", 8),
    ("SCREWS", "Board screws, box of 1000", "box", "box", 36, 32, "Shell", 3),
    ("WOOL", "Cavity wool, pack", "pack", "pack", 62, 54, "Shell", 2),
    ("SEALANT", "Acoustic sealant, 28 oz or 830 mL tube", "tube", "tube", 11, 10, "Shell", 3),
    ("UNDERLAY", "Resilient underlay below the deck", "ft²", "m²", 3.4, 36, "Shell", 40),
    ("SLAB", "Solid-core door slab", "piece", "piece", 210, 190, "Doors", 0.5),
    ("FRAME", "Door frame, heavy", "piece", "piece", 165, 150, "Doors", 0.25),
    ("HINGE", "Heavy bearing hinge", "piece", "piece", 34, 30, "Doors", 3),
    ("SEALS", "Seal set with drop seal", "set", "set", 140, 130, "Doors", 0.5),
    ("LATCH", "Latch that opens from inside without a key", "piece", "piece", 95, 85, "Doors", 1),
    ("DUCT", "Duct, lined", "ft", "m", 21, 62, "Air", 5),
    ("ELBOW", "Elbow, lined", "piece", "piece", 58, 52, "Air", 2),
    ("LINING", "Faced lining for baffle boxes", "ft²", "m²", 2.8, 30, "Air", 25),
    ("AIRBOX", "Baffle box made and fixed: lid, collars, supports", "piece", "piece", 130, 120, "Air", 0.15),
    ("FAN", "Quiet in-line fan with speed control", "piece", "piece", 310, 280, "Air", 0.4),
    ("VENTILATOR", "Recovery ventilator, with drain", "piece", "piece", 1150, 1050, "Air", 0.2),
    ("CONNECTOR", "Flexible connector", "piece", "piece", 22, 20, "Air", 3),
    ("GRILLE", "Grille", "piece", "piece", 48, 44, "Air", 2),
    ("FILTER", "Filter and housing", "piece", "piece", 85, 78, "Air", 2),
    ("COOLING", "Small cooling unit, fitted", "piece", "piece", 1650, 1500, "Air", 0.15),
    ("CIRCUIT", "Circuit from the panel", "piece", "piece", 240, 220, "Wiring", 0.25),
    ("POINT", "Socket, switch or light point with putty pad", "piece", "piece", 38, 34, "Wiring", 1.2),
    ("JACK", "Connector on a panel, wired and tested", "piece", "piece", 14, 13, "Wiring", 3),
    ("SLEEVE", "Cable sleeve, sealed, through one leaf", "piece", "piece", 26, 24, "Wiring", 1),
    ("ALARM", "CO2 alarm and fan-failure light", "set", "set", 180, 165, "Wiring", 1),
    ("FINISH", "Joints, paint, floor covering", "ft²", "m²", 2.6, 28, "Site", 22),
    ("TREATMENT", "Treatment: wool, frame, fabric, fixed", "ft²", "m²", 9, 92, "Site", 14),
    ("SETUP", "Delivery, protection, clearing up", "job", "job", 380, 350, "Site", 0.1),
)


Item = tuple[str, str, str, str, float, float, str, float]


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


def write(book: Book, more: Sequence[Item] = ()) -> Page:
    """Write the sheet, with ``more`` items of the template's own, and its columns named for the price lines."""
    page = book.page(
        "Prices",
        "Invented example figures: put your own in. A line of the estimate finds its row by code; boards by their material.",
        (26, 44, 8, 11, 9, 11, 17),
    )
    money = book.currency
    page.heading("Labour")
    page.head_row(("Trade", "", "", f"Rate, {money}/h", "", "", ""))
    first = page.at
    for trade in TRADES:
        page.put(page.at, FIRST, trade, border=look.ROW)
        page.box(page.at, FIRST + 3, book.pick(*LABOUR[trade]), number_format=look.PRICE)
        page.at += 1
    for offset, name in ((0, "labour_trades"), (3, "labour_rates")):
        page.name(name, first, FIRST + offset, page.at - 1)
    page.skip()
    page.heading("Unit costs and rates of work")
    table = Table(page, _columns(money))
    head = table.head()
    for material, cost, rate in BOARDS:
        _row(table, material, material, "sheet", cost * book.pick(1, 0.9), "Shell", rate, INVENTED)
    page.break_here()
    for code, text, unit_us, unit_si, us, si, trade, rate in (*ITEMS, *more):
        metric = {"m": 3.28084, "m²": 10.7639}.get(unit_si, 1)
        done = rate if book.system == "US" else round(rate / metric, 2)
        _row(table, code, text, book.pick(unit_us, unit_si), book.pick(us, si), trade, done, INVENTED)
    for _ in range(SPARE_ROWS):
        _row(table, *[None] * len(table.columns))
    table.name()
    page.note("Blank rows are for your own codes. A rate of work is what one person finishes in an hour.")
    page.finish(head=head)
    return page


def _row(table: Table, *values: str | float | None) -> None:
    """A row of boxes."""
    page = table.page
    for offset, (column, value) in enumerate(zip(table.columns, values, strict=True)):
        align = look.SHRUNK_UNIT if isinstance(value, str) else look.BOXED_RIGHT
        page.box(page.at, FIRST + offset, value, number_format=column.number_format or look.GENERAL, align=align)
    page.at += 1
