"""Scope: the page for contractors. Quantities to be priced, with no price, cost, margin or client on it."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Final

from openpyxl.utils import get_column_letter

from stillbook.cautions import CAUTIONS
from stillbook.templates import look, marks
from stillbook.templates.heights import height_for
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts import said, wall_drawing
from stillbook.templates.parts.drawing import Drawing
from stillbook.templates.parts.letter import NOT_INCLUDED, SENTENCE, dated, optional
from stillbook.templates.parts.room_drawing import Views
from stillbook.templates.parts.said import Said
from stillbook.templates.parts.schedule import widths
from stillbook.templates.parts.table import Column, Table
from stillbook.workbook.job.draft import MARK

COLUMNS: Final = (
    Column("No.", "", 10, key="number", number_format=look.WHOLE),
    Column("Item", "", 44, key="item", words=True),
    Column("Trade", "", 9, key="trade", words=True),
    Column("Quantity", "", 10, key="quantity", number_format=look.GENERAL),
    Column("Unit", "", 10, key="unit", words=True),
    Column("Unit price", "", 13, key="price", number_format=look.PRICE),
    Column("Line total", "", 14, key="total", number_format=look.PRICE),
)
NUMBER, ITEM, TRADE, QUANTITY, UNIT, PRICE, TOTAL = range(FIRST, FIRST + 7)
OWN_LINES: Final = 5

SCALE: Final = 79
"""Of the page in print, in percent, so that it takes three sheets of paper and its type stays large enough."""

_VIEWS: Final = 0.66
_DETAIL: Final = 0.84
"""Sizes of the drawings, and of those to a larger scale."""

_WIDER: Final = 8
"""Letters by which the items are wider on a page that is shrunk, so that it fills its paper."""

_ROW: Final = 13.5
_SUM: Final = "Sum of all lines, before tax"


def write(
    book: Book,
    lines: int,
    describe: Callable[[Book, Page], None],
    not_included: str = NOT_INCLUDED,
    cautions: Sequence[str] = CAUTIONS,
    *,
    changes: bool = True,
    views: Views | None = None,
    details: Sequence[Drawing] = (),
    layers: Sequence[Said] = (),
    beside: Sequence[Said] = (),
    left_out: int = 0,
) -> Page:
    """Write the sheet, with place for that many lines.

    Args:
        book: The workbook.
        lines: How many lines the estimate has.
        describe: Writes what is built.
        not_included: What the price leaves out.
        cautions: The cautions.
        changes: Whether the template has revisions.
        views: The drawings of what is built.
        details: Drawings to a larger scale.
        layers: The layers leaf by leaf, as the sheet of lists keeps them.
        beside: Lengths and trades, as it keeps them.
        left_out: Rows for what is chosen later, changed or done by others.
    """
    columns = widths(COLUMNS)
    if views:
        columns[ITEM - FIRST] += _WIDER
    page = book.page(
        "Scope",
        "Please price each line in the boxes; line totals and the sum follow. Send the workbook back as it is.",
        columns,
        title="Scope of work",
        single=not views,
        scale=SCALE if views else 0,
    )
    boxes = _head(page, dated(changes), asks=bool(views))
    first = page.at
    describe(book, page)
    if views:
        _close_up(page, first)
        views.place(page, TRADE, size=_VIEWS)
        for detail in details:
            page.heading("Wall build-up", "to a larger scale")
            detail.show(page, page.at, size=_DETAIL)
            page.skip(math.ceil(wall_drawing.ROWS * _DETAIL))
        page.break_here()
        _parts(page, len(layers), len(beside))
    else:
        _terms(page, not_included, cautions)
    own = _own_lines(page)
    if views:
        page.cautions("Please note", cautions)
        _left_out(page, not_included, left_out)
    # Rows left over at the end show nothing.
    head = page.at + 1
    last = _lines(page, lines, specs=bool(views))
    page.put(
        boxes,
        TOTAL,
        f"=SUM({get_column_letter(TOTAL)}{own}:{get_column_letter(TOTAL)}{last})",
        font=look.STRONG,
        number_format=look.PRICE,
        border=look.TOTAL_ROW,
    )
    page.finish(page.at - 1, head=head if views else None)
    page.show_to("contractor")
    return page


def _head(page: Page, date: str, *, asks: bool) -> int:
    """Whose job it is, and beside it the contractor's own boxes; gives the row of the sum.

    Where the template ``asks`` for them, whom to ask and by when to bid stand beside the office and the date.
    """
    page.put(page.at, TRADE, "Your bid", font=look.HEADING).alignment = look.UNWRAPPED
    page.rule(page.at, look.UNDER_HEADING, first=TRADE)
    page.put(page.at, NUMBER, "The job", font=look.HEADING).alignment = look.UNWRAPPED
    page.rule(page.at, look.UNDER_HEADING)
    page.sheet.row_dimensions[page.at].height = 20
    page.at += 1
    due = '&IF(N(bid_due)=0,"","; bids by "&TEXT(bid_due,"yyyy-mm-dd"))' if asks else ""
    who = 'prepared_by&IF(bid_contact="","",IF(prepared_by="","",", ")&bid_contact)' if asks else "prepared_by"
    job = (("Project", '=IF(project="","(project not filled in)",project)'), ("Date", date + due), *optional("From", who))
    bid = (("Contractor", "@"), ("Date", look.DATE), ("Remarks", "@"), (_SUM, ""))
    for (label, formula), (asked, number_format) in zip(job, bid, strict=True):
        row = page.at
        page.put(row, ITEM, formula).alignment = look.LEFT
        page.put(row, NUMBER, label, font=look.QUIET).alignment = look.UNWRAPPED
        page.put(row, TRADE, asked, font=look.BODY if number_format else look.STRONG).alignment = look.UNWRAPPED
        page.sheet.row_dimensions[row].height = 18
        if number_format:
            page.merge(row, TRADE, QUANTITY)
            _box(page, row, UNIT, number_format)
            page.rule(row, look.INPUT_BOX, first=UNIT)
            page.merge(row, UNIT)
        else:
            page.rule(row, look.TOTAL_ROW, first=TRADE)
            page.put(row, PRICE, "=currency", font=look.QUIET, border=look.TOTAL_ROW)
        page.at += 1
    page.skip()
    return page.at - 2


def _close_up(page: Page, first: int) -> None:
    """Set the sentences from a row on closer than the client reads them, and the blank rows between them lower."""
    for row in range(first - 1, page.at):
        if page.sheet.cell(row, NUMBER).value is None:
            page.sheet.row_dimensions[row].height = 8
        elif page.sheet.row_dimensions[row].height == SENTENCE:
            page.sheet.row_dimensions[row].height = _ROW


def _parts(page: Page, layers: int, beside: int) -> None:
    """The layers, and beside them lengths and trades."""
    page.heading("Layers, leaf by leaf", f'=IF(checks_denied=0,"lengths without waste, from the take-off",{MARK[1:]})')
    said.show(page, page.at, "layers", layers, NUMBER, ITEM, amounts=False, height=_ROW, font=look.SMALL)
    said.show(page, page.at, "beside", beside, TRADE, TOTAL, amounts=True, height=_ROW, font=look.SMALL)
    page.skip(max(layers, beside))
    page.skip()


def _left_out(page: Page, not_included: str, count: int) -> None:
    """What is chosen later, changed or done by others, and beside it the terms."""
    words = '=IF(MAX(scope_numbers)=0,"Nothing is chosen later or done by others","Chosen later, changed, done by others")'
    page.heading(words)
    page.put(page.at - 1, TRADE, "Terms", font=look.HEADING, border=look.UNDER_HEADING).alignment = look.UNWRAPPED
    first = page.at
    said.show(page, first, "scope", count, NUMBER, ITEM, amounts=False, height=_ROW, font=look.SMALL)
    width = sum(page.widths[TRADE - FIRST :])
    row = first
    for text in _conditions(not_included):
        rows = math.ceil((height_for(text, width, look.SMALL.size) - 4) / _ROW)
        page.put(row, TRADE, text, font=look.SMALL, align=look.TOP_LEFT)
        page.sheet.merge_cells(start_row=row, start_column=TRADE, end_row=row + rows - 1, end_column=TOTAL)
        row += rows
    page.at = max(first + count, row)
    page.skip()


def _conditions(not_included: str) -> tuple[str, ...]:
    return (
        "Prices include fixings and cutting; delivery, protection of what is there and clearing up too where no line asks for them.",
        "Quantities include waste and are rounded up to what is sold. Please do not change them: say in your remarks what you find different.",
        not_included.replace("named above", "named here"),
    )


def _terms(page: Page, not_included: str, cautions: Sequence[str]) -> None:
    page.heading("Terms")
    for text in _conditions(not_included):
        page.across(text)
    page.skip()
    page.cautions("Please note", cautions)


def _lines(page: Page, lines: int, *, specs: bool) -> int:
    """The lines of the estimate that count, in their order, with their ``specs`` if the template has them; gives the last row."""
    page.heading("Lines to be priced")
    table = Table(page, COLUMNS)
    table.head()
    first = page.at
    found = '=IF(${{number}}="","",INDEX({},MATCH(${{number}},line_numbers,0)))'
    item = found.format("line_texts")
    if specs:
        spec = "INDEX(line_specs,MATCH(${number},line_numbers,0))"
        item = f'=IF(${{number}}="","",INDEX(line_texts,MATCH(${{number}},line_numbers,0))&IF({spec}="","",", "&{spec}))'
    for place in range(1, lines + 1):
        row = table.row(
            f'=IF({place}<=MAX(line_numbers),{place},"")',
            item,
            *map(found.format, ("line_trade", "line_quantities", "line_units")),
            "",
            '=IF(${number}="","",ROUND(N({quantity})*N({price}),2))',
            border=look.NONE,
        )
        page.sheet.row_dimensions[row].height = 13
        page.sheet.cell(row, NUMBER).alignment = look.LEFT
        page.sheet.cell(row, ITEM).alignment = look.SHRUNK_UNIT
        cell = page.put(row, PRICE, None, number_format=look.PRICE, align=look.BOXED_RIGHT)
        cell.protection = look.UNLOCKED
    number, price = get_column_letter(NUMBER), get_column_letter(PRICE)
    last = page.at - 1
    page.name("scope_places", first, NUMBER, last)
    marks.show_where_filled(page.sheet, f"{price}{first}:{price}{last}", number, border=look.INPUT_BOX, fill=look.MARKED_INPUT)
    marks.show_where_filled(page.sheet, f"{number}{first}:{get_column_letter(TOTAL)}{last}", number, border=look.ROW)
    return last


def _own_lines(page: Page) -> int:
    """Blank lines for what the contractor finds missing; gives the first row."""
    page.heading("Lines of your own", "what is missing among the lines to be priced")
    Table(page, COLUMNS).head()
    first = page.at
    for place in range(1, OWN_LINES + 1):
        row = page.at
        quantity, price = (f"{get_column_letter(column)}{row}" for column in (QUANTITY, PRICE))
        total = f"=ROUND(N({quantity})*N({price}),2)"
        page.row((f"+{place}", None, None, None, None, None, total), ("text",) * 6 + (look.PRICE,))
        for column in (ITEM, TRADE, UNIT):
            _box(page, row, column, "@")
        _box(page, row, QUANTITY, look.GENERAL)
        _box(page, row, PRICE, look.PRICE)
    page.skip()
    return first


def _box(page: Page, row: int, column: int, number_format: str) -> None:
    """A blank cell to be filled in."""
    page.box(row, column, number_format=number_format, align=look.BOXED if number_format == "@" else look.BOXED_RIGHT)
