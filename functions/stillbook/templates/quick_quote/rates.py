"""Rates: the walls that the office builds, what its work costs by area and by piece, and the steps to the price."""

from __future__ import annotations

from typing import Final

from stillbook.quantities import AREA
from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts import walls
from stillbook.templates.parts.examples import examples
from stillbook.templates.parts.table import Column, Table

_SPARE: Final = 4
_QUANTITIES: Final[dict[str, str | int]] = {
    "rate_deck": "=outside_length*outside_width",
    "rate_door": '=IF(door_arrangement="pair",2,1)',
    "rate_way": 2,
    "rate_fan": 1,
    "rate_power": 1,
    "rate_inside": "=floor_area",
    "rate_start": 1,
}
"""What of each rate a room takes: two ways of the air, in and out."""


def write(book: Book) -> Page:
    """Write the sheet."""
    page = book.page(
        "Rates", "For the office only. Every figure is an invented example: put your own in, from jobs that you have built.", (38, 27, 9, 27, 9, 14)
    )
    _walls(book, page)
    _lines(book, page)
    _steps(book, page)
    page.finish()
    return page


def _walls(book: Book, page: Page) -> None:
    area, money = book.unit(AREA), book.currency
    page.heading("Walls and ceilings", "two frames with nothing between them, boards, wool and joints, by outside area")
    table = Table(
        page,
        (
            Column("Wall", words=True),
            Column("Inner board", words=True),
            Column("Sheets", number_format=look.WHOLE),
            Column("Outer board", words=True),
            Column("Sheets", number_format=look.WHOLE),
            Column(f"{money}/{area}", name="wall_rates", number_format=look.PRICE),
        ),
    )
    table.head()
    rows = examples("example_walls", book.system)
    for values in (*rows, *[(None,) * 6] * _SPARE):
        table.boxes(*values)
    table.name()
    for column, spec in enumerate(walls.columns(book), start=FIRST):
        walls.name_column(page, spec, table.first, column)
    page.skip()


def _lines(book: Book, page: Page) -> None:
    area, money = book.unit(AREA), book.currency
    page.heading("This room, by area and by piece", "work and material together")
    page.head_row(("What", "", f"{money}", "", "Of it", f"Cost, {money}"), words=(0, 3))
    first = page.at
    _line(page, "Walls and ceiling, as chosen", "=INDEX(wall_rates,MATCH(wall,wall_names,0))", f"for each {area}", "=shell_area")
    for name, what, per, rate in examples("example_quote_rates", book.system):
        unit = area if per == "area" else per
        row = _line(page, what, None, f"for each {unit}", _QUANTITIES[name])
        page.input_cell(row, FIRST + 2, book.input(name, what, f"{money}/{unit}", rate, 0.01, 1_000_000, look.PRICE))
    page.name("quote_rates", first, FIRST + 2, page.at - 1)
    page.name("quote_costs", first, FIRST + 5, page.at - 1)
    page.skip()


def _line(page: Page, what: str, rate: str | None, per: str, quantity: str | int) -> int:
    """A row of the costs; gives its number."""
    row = page.at
    page.row((what, None, rate, per, quantity, f"=ROUND(D{row}*F{row},2)"), ("text", "", look.PRICE, "text", look.ONE, look.PRICE))
    return row


def _steps(book: Book, page: Page) -> None:
    page.heading("From cost to price")
    steps = (
        ("Direct cost", "=SUM(quote_costs)", "direct_cost"),
        ("Overhead", "=ROUND(direct_cost*overhead,2)", "overhead_amount"),
        ("Contingency", "=ROUND((direct_cost+overhead_amount)*contingency,2)", "contingency_amount"),
        ("Margin", "=price_before_tax-direct_cost-overhead_amount-contingency_amount", "margin_amount"),
        ("Price before tax", "=ROUND(STILL_PRICEFROMMARGIN(direct_cost+overhead_amount+contingency_amount,margin),2)", "price_before_tax"),
        ("Tax", "=ROUND(price_before_tax*tax,2)", "tax_amount"),
        ("Price, tax included", "=price_before_tax+tax_amount", "price"),
    )
    for label, formula, name in steps:
        row = page.row((label, None, None, None, None, formula), ("text", "", "", "", "", look.PRICE), strong=name == "price")
        comment = book.result_comment(name, label, book.currency, "least") if name == "price" else ""
        book.name(name, page, row, FIRST + 5, comment=comment)
    page.note("The steps are those of the full estimate: overhead, contingency on cost with overhead, and the margin as a share of the price.")
