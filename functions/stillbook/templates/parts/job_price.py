"""Price: the steps from cost to price, the door arrangements side by side, cost by trade, and each line."""

from __future__ import annotations

from typing import Final

from openpyxl.utils import get_column_letter

from stillbook.templates import look
from stillbook.templates.charts import stacked_bars
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts.priced_lines import COST, FOUND, HOURS, LABOUR, column
from stillbook.templates.parts.quiet_room.takeoff import WHEN_PAIR, WHEN_SINGLE, Line
from stillbook.templates.parts.schedule import widths
from stillbook.templates.parts.table import Column, Table
from stillbook.templates.parts.unit_costs import TRADES

CLIENT_LEVEL: Final = '=IF(level_name="","no level",level_name)&": share of cost"'


def write(book: Book, takeoff: Page, lines: list[tuple[int, Line]]) -> Page:
    """Write the sheet."""
    columns = _columns()
    page = book.page(
        "Price", "For the office only: what the job costs, and the steps from cost to price in the order trade practice takes them.", widths(columns), wide=True
    )
    top = page.at
    _steps(book, page)
    _trades(book, page, top)
    head = _lines(page, Table(page, columns), takeoff, lines)
    page.finish(head=head)
    return page


def _columns() -> tuple[Column, ...]:
    """The columns of the lines."""
    return (
        column("code", 26),
        column("text", 34),
        column("quantity", 12),
        column("unit", 9, f'IF({{code}}="","",INDEX(price_units,{FOUND}))'),
        column("cost", 12, f'IF({{code}}="",0,{COST})'),
        column("material", 12),
        column("trade", 10, f'IF({{code}}="","",INDEX(price_trades,{FOUND}))'),
        column("hours", 9, f'IF({{code}}="",0,{HOURS})'),
        column("labour", 12, f'IF({{code}}="",0,{LABOUR})'),
        column("line", 12),
        column("counts", 9),
        column("number", 10, "IF(AND({counts}=1,{quantity}>0),MAX({above})+1,0)"),
        column("fault", 22),
    )


def _steps(book: Book, page: Page) -> None:
    page.heading("From cost to price")
    page.head_row(("Step", "How", "This estimate", "", "With a pair", "One heavy door"), words=(0, 1))
    steps = (
        ("Direct cost", "materials and labour", "", "direct_cost"),
        ("Allowances", "sums for what is chosen later", "=allowances_total", ""),
        ("Accepted alternates", "direct cost, added or deducted", "=alternates_accepted", ""),
        ("Overhead", "share of the cost so far", "=ROUND(SUM({c}{direct}:{c}{above})*overhead,2)", "overhead_amount"),
        ("Contingency", "share of cost with overhead", "=ROUND(SUM({c}{direct}:{c}{above})*contingency,2)", "contingency_amount"),
        ("Cost", "", "=SUM({c}{direct}:{c}{above})", "total_cost"),
        ("Client level", CLIENT_LEVEL, "=ROUND({c}{above}*level_markup,2)", "level_amount"),
        ("Margin", "share of the price", "={c}{below}-{c}{cost}-{c}{above}", "margin_amount"),
        ("Price before tax", "(cost + level) ÷ (1 − margin)", "=ROUND(STILL_PRICEFROMMARGIN({c}{cost}+{c}{level},margin),2)", "price_before_tax"),
        ("Tax", "share of the price", "=ROUND({c}{above}*tax,2)", "tax_amount"),
        ("Price, tax included", "", "=SUM({c}{price}:{c}{above})", "price"),
    )
    direct = page.at
    estimates = (
        ("", 2, "=SUMPRODUCT(line_cost,line_counts)"),
        ("_pair", 4, "=SUM(line_cost)-SUM(lines_single)"),
        ("_single", 5, "=SUM(line_cost)-SUM(lines_pair)"),
    )
    for label, how, formula, name in steps:
        row = page.at
        places = {"direct": direct, "above": row - 1, "below": row + 1, "cost": direct + 5, "level": direct + 6, "price": direct + 8}
        this, pair, single = ((formula or start).format(c=get_column_letter(FIRST + offset), **places) for _, offset, start in estimates)
        page.row(
            (label, how, this, None, pair, single),
            ("text", "text", look.PRICE, "", look.PRICE, look.PRICE),
            strong=name in ("total_cost", "price_before_tax", "price"),
            border=look.TOTAL_ROW if name == "price" else look.ROW,
        )
        for end, offset, _ in estimates if name else ():
            told = name in ("total_cost", "price") and not end
            comment = book.result_comment(name, label, book.currency) if told else ""
            book.name(f"{name}{end}", page, row, FIRST + offset, comment=comment)
    page.note("Overhead first, contingency on cost with overhead, then the client's level; the margin is a share of the price.")
    page.note("Each step is rounded to the cent, and each sum is that of the figures shown.")
    page.skip()


def _trades(book: Book, page: Page, top: int) -> None:
    """Cost by trade, with its chart beside both tables from the row ``top``."""
    page.heading("Cost by trade")
    share = "SUMPRODUCT((line_trade=${{trade}})*line_counts*{})"
    table = Table(
        page,
        (
            Column("Trade", key="trade", words=True),
            Column(""),
            Column("Material", share.format("line_material"), key="material", number_format=look.PRICE, total="material_cost"),
            Column(""),
            Column("Labour", share.format("line_labour"), key="labour", number_format=look.PRICE, total="labour_cost"),
            Column("Hours", share.format("line_hours"), key="hours", number_format=look.TWO, total="labour_hours"),
        ),
    )
    table.head(across=False)
    for trade in TRADES:
        table.row(trade, None, None)
    first, last = table.first, page.at - 1
    table.total("All trades")
    page.note(
        "Trades are those of the lines below. Allowances and accepted alternates come on top as cost, and carry overhead, "
        "contingency and margin like any other (common practice, no source)."
    )
    stacked_bars(
        page,
        title="Cost by trade",
        told="Bars: what each trade costs, material and labour one after the other. The table beside it holds the figures.",
        labels=(FIRST, first, last),
        series=((FIRST + 2, first - 1), (FIRST + 4, first - 1)),
        value_title=f"{book.currency}",
        anchor=f"{get_column_letter(FIRST + 7)}{top}",
        size=(9.6, 11),
    )
    page.clear_right_of(FIRST + 5, top, last + 1)
    page.skip()


def _lines(page: Page, table: Table, takeoff: Page, lines: list[tuple[int, Line]]) -> int:
    """Each line; gives the row of the headings."""
    page.heading("Lines", "quantities from the Take-off sheet, unit costs and rates of work from the Prices sheet")
    head = table.head()
    rows: dict[str, list[int]] = {WHEN_PAIR: [], WHEN_SINGLE: []}
    for source, line in lines:
        taken = (f"='{takeoff.sheet.title}'!{letter}{source}" for letter in ("B", "C", "G"))
        rows.setdefault(line.when, []).append(table.row(*taken, line.when or "=1"))
    last = page.at - 1
    page.quiet_where_blank(f"{get_column_letter(FIRST)}{table.first}:{get_column_letter(page.last_column)}{last}")
    # The names stand in the workbook in this order.
    table.name("code", "text", "quantity", "unit", "cost", "number")
    table.name("material", "trade", "hours", "labour", "line", "counts", "fault")
    for name, when in (("lines_pair", WHEN_PAIR), ("lines_single", WHEN_SINGLE)):
        page.name(name, rows[when][0], table.places["line"], rows[when][-1])
    page.note(
        "Counts is 1 where the line is in this estimate. The other door arrangement is priced too, and left out. "
        "Lines with a scope number stand on the Scope sheet. A line to mend costs too little until its row on the Prices sheet is mended."
    )
    return head
