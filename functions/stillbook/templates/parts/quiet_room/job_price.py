"""Job price: the steps from cost to price, the door arrangements side by side, cost by trade, and each line."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from openpyxl.utils import get_column_letter

from stillbook.templates import look, marks
from stillbook.templates.charts import stacked_bars
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts.priced_lines import COST, HOURS, LABOUR, OFF_FAULT, column
from stillbook.templates.parts.quiet_room import own_lines, takeoff
from stillbook.templates.parts.quiet_room.takeoff import COLUMNS, WHEN_PAIR, WHEN_SINGLE, TakeoffLine
from stillbook.templates.parts.schedule import widths
from stillbook.templates.parts.table import Column, Table
from stillbook.templates.parts.unit_costs import TRADES

PRINTED: Final = 11
"""Columns that are printed: the Scope sheet has its numbers, the Take-off sheet the reasons, and the checks tell the faults."""

GROWING: Final = ("SETUP", "SUPERVISION", "TRAVEL")
"""Codes of lines that grow with the hours of all others."""

PLACES: Final = {column.called: FIRST + offset for offset, column in enumerate(COLUMNS)}
"""Columns of the Take-off sheet."""

CLIENT_LEVEL: Final = '=IF(level_name="","no level",level_name)&": share of cost"'


def write(book: Book, takeoff: Page, lines: list[tuple[int, TakeoffLine]]) -> Page:
    """Write the sheet."""
    columns = _columns()
    page = book.page(
        "Job price",
        "For the office only: what the job costs, and the steps from cost to price in the order trade practice takes them.",
        widths(columns),
        printed=PRINTED,
    )
    top = page.at
    _steps(book, page)
    _trades(book, page, top)
    _weeks(page)
    head = _lines(page, Table(page, columns), takeoff, lines)
    page.finish(head=head)
    return page


def _columns() -> tuple[Column, ...]:
    """The columns of the lines."""
    return (
        column("code", 24),
        column("text", 37),
        column("quantity", 10.5),
        column("unit", 7.5),
        column("cost", 10.5, f'IF({{code}}="",0,{COST})'),
        column("material", 10.5, 'IF({off}="",ROUND({quantity}*{cost},2),0)'),
        column("trade", 8, 'IF({code}="","",INDEX(price_trades,{place}))'),
        column("hours", 8, f'IF(OR({{code}}="",{{off}}<>""),0,{HOURS})'),
        column("labour", 10.5, f'IF(OR({{code}}="",{{off}}<>""),0,{LABOUR})'),
        column("line", 10.5),
        column("counts", 7),
        column("number", 7, "IF(AND({counts}=1,{quantity}>0),MAX({above})+1,0)"),
        column("fault", 48, OFF_FAULT),
        column("off", 17),
        column("place", 7),
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
        ("_pair", 4, "=SUM(line_cost)-SUM(lines_single)-SUM(site_single)"),
        ("_single", 5, "=SUM(line_cost)-SUM(lines_pair)-SUM(site_pair)"),
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
            comment = book.result_comment(name, label, book.currency, "least" if name == "price" else "") if told else ""
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
            Column("Material", share.format("line_material"), key="material", name="trade_materials", number_format=look.PRICE, total="material_cost"),
            Column(""),
            Column("Labour", share.format("line_labour"), key="labour", name="trade_labours", number_format=look.PRICE, total="labour_cost"),
            Column("Hours", share.format("line_hours"), key="hours", name="trade_hours", number_format=look.TWO, total="labour_hours"),
        ),
    )
    table.head(across=False)
    for trade in TRADES:
        table.row(trade, None, None)
    table.name()
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
        anchor=f"{get_column_letter(FIRST + 6)}{top}",
        size=(8.4, 9.6),
    )
    page.clear_right_of(FIRST + 5, top, last + 1)
    page.skip()


def _weeks(page: Page) -> None:
    """How long it takes, and the hours by which the lines of the site grow."""
    page.heading("Crew and weeks")
    others = "SUM(hours_of_work)+SUM(hours_of_own)-SUM({})"
    for label, formula, unit, name, number_format in (
        ("Hours of work, before what grows with it, doors as a pair", others.format("hours_single"), "h", "hours_with_pair", look.TWO),
        ("The same with one heavy door", others.format("hours_pair"), "h", "hours_with_single", look.TWO),
        ("Working days of the crew, this estimate", "labour_hours/(crew*day_hours)", "days", "work_days", look.ONE),
        ("Weeks, this estimate", "ROUNDUP(ROUND(work_days/week_days,6),0)", "weeks", "work_weeks", look.WHOLE),
    ):
        row = page.row((label, None, f"={formula}", unit), ("text", "", number_format, "text"))
        page.sheet.cell(row, FIRST).alignment = look.UNWRAPPED
        page.sheet.row_dimensions[row].height = 15
        comment = page.book.result_comment(name, "Weeks of work on site", "weeks") if name == "work_weeks" else ""
        page.book.name(name, page, row, FIRST + 2, comment=comment)
    page.note("Without waiting for deliveries, drying and other trades. The Inputs sheet says how many work, and how long.")
    page.skip()


def _lines(page: Page, table: Table, source: Page, lines: list[tuple[int, TakeoffLine]]) -> int:
    """Each line; gives the row of the headings."""
    page.heading("Lines", "quantities from the Take-off sheet, unit costs and rates of work from the Unit costs sheet")
    page.note(
        "Counts is 1 where the line is in this estimate; the other door arrangement is priced too, and left out, and so is what is off. Lines with a "
        "scope number stand on the Scope sheet. A line to mend costs too little until its row on the Unit costs or the Own lines sheet is mended."
    )
    head = table.head()
    rows: dict[str, list[int]] = {}
    for at, line in lines:
        kind = "own" if line.own else "site" if line.code in GROWING else "work"
        row = _line(table, {key: f"'{source.sheet.title}'!{get_column_letter(place)}{at}" for key, place in PLACES.items()}, line)
        for of in (kind, f"{kind} {line.when}"):
            rows.setdefault(of, []).append(row)
    last = page.at - 1
    own = rows["own"][0]
    end = get_column_letter(page.last_column)
    marks.quiet_where_blank(page.sheet, f"{get_column_letter(FIRST)}{table.first}:{end}{own - 1}")
    marks.show_where_filled(page.sheet, f"{get_column_letter(FIRST)}{own}:{end}{last}", get_column_letter(table.places["text"]), border=look.ROW)
    own_lines.close_further(page, own, last, table.places["text"])
    # The names stand in the workbook in this order.
    page.at = last + 1
    table.name("code", "text", "quantity", "unit", "cost", "number")
    table.name("material", "trade", "hours", "labour", "line", "counts", "fault", "off")
    for name, of, key in (
        ("lines_pair", f"work {WHEN_PAIR}", "line"),
        ("lines_single", f"work {WHEN_SINGLE}", "line"),
        ("site_pair", f"site {WHEN_PAIR}", "line"),
        ("site_single", f"site {WHEN_SINGLE}", "line"),
        ("hours_pair", f"work {WHEN_PAIR}", "hours"),
        ("hours_single", f"work {WHEN_SINGLE}", "hours"),
        ("hours_of_work", "work", "hours"),
        ("hours_of_own", "own", "hours"),
    ):
        page.name(name, rows[of][0], table.places[key], rows[of][-1])
    page.at = last + 2
    return head


def _line(table: Table, of: Mapping[str, str], line: TakeoffLine) -> int:
    """A line; gives its row. One of one's own shows nothing while it is blank."""
    text = f'={of["text"]}&IF({of["pieces"]}="","",": "&{of["pieces"]})' if line.pieces else f"={of['text']}"
    counts = f'=IF({{off}}<>"",0,{line.when.removeprefix("=") or 1})'
    given = (f"={of['code']}", text, f"={of['order']}", f"={of['unit']}")
    page = table.page
    if not line.own:
        row = table.row(*given, counts, f"={of['off']}")
        page.sheet.row_dimensions[row].height = line.height(page.widths[PLACES["text"] - FIRST])
        return row
    row = table.row(*given, '=IF(OR({text}="",{off}<>""),0,1)', f"={of['off']}", border=look.NONE, **own_lines.priced(line.own))
    for key in ("quantity", "cost", "material", "hours", "labour", "line", "counts", "number"):
        cell = page.sheet.cell(row, table.places[key])
        cell.number_format = takeoff.SHOWN_WHEN_THERE if key == "quantity" else look.WHOLE_OR_BLANK if key in ("counts", "number") else look.PRICE_OR_BLANK
    page.sheet.row_dimensions[row].height = 12.5
    return row
