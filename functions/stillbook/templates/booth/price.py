"""Price: the steps from cost to price, the door arrangements side by side, cost by trade, and each line."""

from __future__ import annotations

from typing import Final

from openpyxl.utils import get_column_letter

from stillbook.templates import look
from stillbook.templates.booth.prices import TRADES
from stillbook.templates.booth.takeoff import WHEN_PAIR, WHEN_SINGLE, Line
from stillbook.templates.charts import stacked_bars
from stillbook.templates.page import FIRST, Book, Page

CODE, ITEM, QUANTITY, UNIT, COST, MATERIAL, TRADE, HOURS, LABOUR, LINE, COUNTS, NUMBER = range(FIRST, FIRST + 12)


HEADINGS: Final = ("Code", "Item", "Quantity", "Unit", "Unit cost", "Material", "Trade", "Hours", "Labour", "Line cost")
"""Of the lines of an estimate, wherever they are listed with their costs."""

IN_SCOPE: Final = "Scope no."
"""Heading of the number a line has in the scope."""

WORDS: Final = (0, 1, 3, 6)
"""The headings that stand over words."""


def write(book: Book, takeoff: Page, lines: list[tuple[int, Line]]) -> Page:
    """Write the sheet."""
    page = book.page(
        "Price",
        "For the office only: what the job costs, and the steps from cost to price in the order trade practice takes them.",
        (26, 34, 12, 9, 12, 12, 10, 8, 12, 12, 9, 10),
        wide=True,
    )
    top = page.at
    _steps(book, page)
    _trades(book, page, top)
    head = _lines(book, page, takeoff, lines)
    page.finish(head=head)
    return page


def _steps(book: Book, page: Page) -> None:
    page.heading("From cost to price")
    page.head_row(("Step", "How", "This estimate", "", "With a pair", "One heavy door"), words=(0, 1))
    steps = (
        ("Direct cost", "materials and labour", "", "direct_cost"),
        ("Allowances", "sums for what is chosen later", "=allowances_total", ""),
        ("Accepted alternates", "direct cost, added or deducted", "=alternates_accepted", ""),
        ("Overhead", "share of the cost so far", "=SUM({c}{direct}:{c}{above})*overhead", "overhead_amount"),
        (
            "Contingency",
            "share of cost with overhead",
            "=SUM({c}{direct}:{c}{above})*contingency",
            "contingency_amount",
        ),
        ("Cost", "", "=SUM({c}{direct}:{c}{above})", "total_cost"),
        ("Margin", "share of the price", "={c}{below}-{c}{above}", "margin_amount"),
        ("Price before tax", "cost ÷ (1 − margin)", "=STILL_PRICEFROMMARGIN({c}{cost},margin)", "price_before_tax"),
        ("Tax", "share of the price", "={c}{above}*tax", "tax_amount"),
        ("Price, tax included", "", "=SUM({c}{price}:{c}{above})", "price"),
    )
    direct = page.at
    columns = {name: get_column_letter(FIRST + offset) for name, offset in (("", 2), ("_pair", 4), ("_single", 5))}
    start = {
        "": "=SUMPRODUCT(line_cost,line_counts)",
        "_pair": "=SUM(line_cost)-SUM(lines_single)",
        "_single": "=SUM(line_cost)-SUM(lines_pair)",
    }
    for label, how, formula, name in steps:
        row = page.at
        places = {"direct": direct, "above": row - 1, "below": row + 1, "cost": direct + 5, "price": direct + 7}
        filled = {end: start[end] if not formula else formula.format(c=c, **places) for end, c in columns.items()}
        total = name in ("total_cost", "price_before_tax", "price")
        page.row(
            (label, how, filled[""], None, filled["_pair"], filled["_single"]),
            ("text", "text", look.MONEY, "", look.MONEY, look.MONEY),
            strong=total,
            border=look.TOTAL_ROW if name == "price" else look.ROW,
        )
        for end in columns:
            comment = (
                book.result_comment(name, label, book.pick("USD", "EUR"))
                if not end and name in ("total_cost", "price")
                else ""
            )
            offset = {"": 2, "_pair": 4, "_single": 5}[end]
            if name:
                book.name(f"{name}{end}", page, row, FIRST + offset, comment=comment)
    page.note(
        "Overhead first, then contingency on cost with overhead; the margin is a share of the price, not of the cost."
    )
    page.skip()


def _trades(book: Book, page: Page, top: int) -> None:
    """Cost by trade, with its chart beside both tables from the row ``top``."""
    page.heading("Cost by trade")
    page.head_row(("Trade", "", "Material", "", "Labour", "Hours"))
    first = page.at
    for trade in TRADES:
        place = f"${get_column_letter(FIRST)}{page.at}"
        share = f"=SUMPRODUCT((line_trade={place})*line_counts*{{0}})"
        page.row(
            (trade, None, share.format("line_material"), None, share.format("line_labour"), share.format("line_hours")),
            ("text", "", look.MONEY, "", look.MONEY, look.ONE),
        )
    last = page.at - 1
    sums = [f"=SUM({get_column_letter(FIRST + o)}{first}:{get_column_letter(FIRST + o)}{last})" for o in (2, 4, 5)]
    page.row(
        ("All trades", None, sums[0], None, sums[1], sums[2]),
        ("text", "", look.MONEY, "", look.MONEY, look.ONE),
        strong=True,
        border=look.TOTAL_ROW,
        names=("", "", "material_cost", "", "labour_cost", "labour_hours"),
    )
    page.note(
        "Trades are those of the lines below. Allowances and accepted alternates come on top as cost, and carry overhead, "
        "contingency and margin like any other (common practice, no source)."
    )
    stacked_bars(
        page,
        title="Cost by trade",
        labels=(FIRST, first, last),
        series=((FIRST + 2, first - 1), (FIRST + 4, first - 1)),
        value_title=f"{book.pick('USD', 'EUR')}",
        anchor=f"{get_column_letter(FIRST + 7)}{top}",
        size=(9.6, 11),
    )
    page.clear_right_of(FIRST + 5, top, last + 1)
    page.skip()
    page.break_here()


def _lines(book: Book, page: Page, takeoff: Page, lines: list[tuple[int, Line]]) -> int:
    """Each line; gives the row of the headings."""
    page.heading("Lines", "quantities from the Take-off sheet, unit costs and rates of work from the Prices sheet")
    page.head_row((*HEADINGS, "Counts", IN_SCOPE), words=WORDS)
    first = page.at
    head = first - 1
    rows: dict[str, list[int]] = {WHEN_PAIR: [], WHEN_SINGLE: []}
    sheet = f"'{takeoff.sheet.title}'!"
    for source, line in lines:
        if line.code == "DUCT":
            page.break_here()
        rows.setdefault(line.when, []).append(page.at)
        _line(page, sheet, source, line, first)
    last = page.at - 1
    page.quiet_where_blank(f"{get_column_letter(CODE)}{first}:{get_column_letter(NUMBER)}{last}")
    named = (
        ("line_codes", CODE, first, last),
        ("line_texts", ITEM, first, last),
        ("line_quantities", QUANTITY, first, last),
        ("line_units", UNIT, first, last),
        ("line_unit_costs", COST, first, last),
        ("line_numbers", NUMBER, first, last),
        ("line_material", MATERIAL, first, last),
        ("line_trade", TRADE, first, last),
        ("line_hours", HOURS, first, last),
        ("line_labour", LABOUR, first, last),
        ("line_cost", LINE, first, last),
        ("line_counts", COUNTS, first, last),
        ("lines_pair", LINE, rows[WHEN_PAIR][0], rows[WHEN_PAIR][-1]),
        ("lines_single", LINE, rows[WHEN_SINGLE][0], rows[WHEN_SINGLE][-1]),
    )
    for name, column, top, bottom in named:
        book.name(name, page, top, column, last=f"${get_column_letter(column)}${bottom}")
    page.note(
        "Counts is 1 where the line is in this estimate. The other door arrangement is priced too, and left out. "
        "Lines with a scope number stand on the Scope sheet."
    )
    return head


def _line(page: Page, sheet: str, source: int, line: Line, first: int) -> None:
    row = page.at
    code, quantity, cost, material, trade, hours, labour, counts = (
        f"{get_column_letter(column)}{row}" for column in (CODE, QUANTITY, COST, MATERIAL, TRADE, HOURS, LABOUR, COUNTS)
    )
    above = f"{get_column_letter(NUMBER)}${first - 1}:{get_column_letter(NUMBER)}{row - 1}"
    found = f"MATCH({code},price_codes,0)"
    page.row(
        (
            f"={sheet}{get_column_letter(FIRST)}{source}",
            f"={sheet}{get_column_letter(FIRST + 1)}{source}",
            f"={sheet}{get_column_letter(FIRST + 5)}{source}",
            f'=IF({code}="","",INDEX(price_units,{found}))',
            f'=IF({code}="",0,INDEX(price_costs,{found}))',
            f"={quantity}*{cost}",
            f'=IF({code}="","",INDEX(price_trades,{found}))',
            f'=IF({code}="",0,STILL_CREWHOURS({quantity},INDEX(price_rates,{found})))',
            f'=IF({code}="",0,{hours}*INDEX(labour_rates,MATCH({trade},labour_trades,0)))',
            f"={material}+{labour}",
            line.when or "=1",
            f"=IF(AND({counts}=1,{quantity}>0),MAX({above})+1,0)",
        ),
        (
            "text",
            "text",
            look.GENERAL,
            "text",
            look.PRICE,
            look.PRICE,
            "text",
            look.ONE,
            look.PRICE,
            look.PRICE,
            look.WHOLE,
            look.WHOLE,
        ),
    )
