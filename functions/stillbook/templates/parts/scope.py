"""Scope: the page for contractors. Quantities to be priced, with no price, cost, margin or client on it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final

from openpyxl.utils import get_column_letter

from stillbook.cautions import CAUTIONS
from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts import alternates, wall_drawing
from stillbook.templates.parts.cautions import part
from stillbook.templates.parts.drawing import Drawing
from stillbook.templates.parts.proposal import NOT_INCLUDED, dated, optional, room
from stillbook.templates.parts.quiet_room import sizes
from stillbook.templates.parts.quiet_room.takeoff import WHEN_SINGLE, Line
from stillbook.templates.parts.room_drawing import Views
from stillbook.templates.parts.schedule import widths
from stillbook.templates.parts.table import Column, Table

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


def what_is_built(book: Book, page: Page) -> None:
    """The same sentences about the room that the client reads."""
    room(book, page, "What is built")
    sizes.write(book, page, sizes.booth_joists(book))


def most(lines: Sequence[tuple[int, Line]]) -> int:
    """The lines of an estimate in one arrangement of doors: those it does without leave room for lines of one's own."""
    return 2 + sum(line.when != WHEN_SINGLE and not line.own for _, line in lines)


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
) -> Page:
    """Write the sheet, with place for that many lines.

    Args:
        book: The workbook.
        lines: How many lines the estimate has.
        describe: Writes what is built.
        not_included: What the price leaves out.
        cautions: The cautions.
        changes: Whether the template has allowances, alternates and revisions.
        views: The drawings of what is built.
        details: Drawings to a larger scale.
    """
    page = book.page(
        "Scope", "Please price each line in the boxes; line totals and the sum follow. Send the workbook back as it is.", widths(COLUMNS), title="Scope of work"
    )
    _job(page, dated(changes))
    boxes = _bid(page)
    describe(book, page)
    if views:
        views.place(page, TRADE)
        page.break_here()
        for detail in details:
            page.heading("Wall build-up", "to a larger scale")
            detail.show(page, page.at)
            page.skip(wall_drawing.ROWS)
    _terms(page, not_included, cautions)
    if changes:
        # What is said of allowances may fill half a sheet of paper or nothing: the lines follow it on the same one.
        alternates.say(page, "scope", amounts=False)
    elif not views:
        page.break_here()
    # Rows left over at the end show nothing.
    first = _own_lines(page)
    last = _lines(page, lines)
    page.put(
        boxes,
        TOTAL,
        f"=SUM({get_column_letter(TOTAL)}{first}:{get_column_letter(TOTAL)}{last})",
        font=look.STRONG,
        number_format=look.PRICE,
        border=look.TOTAL_ROW,
    )
    page.finish(page.at - 1)
    if views:
        page.shrink(82)
    page.show_to("contractor")
    return page


def _job(page: Page, date: str) -> None:
    for label, formula in (("Project", '=IF(project="","(project not filled in)",project)'), ("Date", date), *optional("From")):
        page.put(page.at, ITEM, formula).alignment = look.LEFT
        page.put(page.at, NUMBER, label, font=look.QUIET).alignment = look.UNWRAPPED
        page.merge(page.at, ITEM)
        page.at += 1
    page.skip()


def _bid(page: Page) -> int:
    """The contractor's own boxes; gives the row of the sum."""
    page.heading("Your bid")
    for label, number_format in (("Contractor", "@"), ("Date", look.DATE), ("Remarks", "@")):
        page.put(page.at, ITEM, label).alignment = look.UNWRAPPED_RIGHT
        _box(page, page.at, TRADE, number_format)
        page.rule(page.at, look.INPUT_BOX, first=QUANTITY)
        page.merge(page.at, TRADE)
        page.sheet.row_dimensions[page.at].height = 18
        page.at += 1
    page.put(page.at, ITEM, "Sum of all lines, before tax", font=look.STRONG, border=look.TOTAL_ROW)
    for column in range(TRADE, PRICE):
        page.sheet.cell(page.at, column).border = look.TOTAL_ROW
    page.put(page.at, PRICE, "=currency", font=look.QUIET, border=look.TOTAL_ROW)
    page.sheet.row_dimensions[page.at].height = 18
    page.at += 1
    page.skip()
    return page.at - 2


def _terms(page: Page, not_included: str, cautions: Sequence[str]) -> None:
    page.heading("Terms")
    for text in (
        "Prices include delivery to the room, fixings, cutting, protection of what is there, and clearing up.",
        "Quantities include waste and are rounded up to what is sold. Please do not change them: say in your remarks what you find different.",
        not_included.replace("named above", "named here"),
    ):
        page.across(text)
    page.skip()
    part(page, "Please note", cautions)


def _lines(page: Page, lines: int) -> int:
    """The lines of the estimate that count, in their order; gives the last row."""
    page.heading("Lines to be priced")
    table = Table(page, COLUMNS)
    table.head()
    first = page.at
    found = '=IF(${{number}}="","",INDEX({},MATCH(${{number}},line_numbers,0)))'
    for place in range(1, lines + 1):
        row = table.row(
            f'=IF({place}<=MAX(line_numbers),{place},"")',
            *map(found.format, ("line_texts", "line_trade", "line_quantities", "line_units")),
            "",
            '=IF(${number}="","",ROUND(N({quantity})*N({price}),2))',
            border=look.NONE,
        )
        page.sheet.row_dimensions[row].height = 13
        page.sheet.cell(row, NUMBER).alignment = look.LEFT
        cell = page.put(row, PRICE, None, number_format=look.PRICE, align=look.BOXED_RIGHT)
        cell.protection = look.UNLOCKED
    number, price = get_column_letter(NUMBER), get_column_letter(PRICE)
    last = page.at - 1
    page.name("scope_places", first, NUMBER, last)
    page.show_where_filled(f"{price}{first}:{price}{last}", number, border=look.INPUT_BOX, fill=look.MARKED_INPUT)
    page.show_where_filled(f"{number}{first}:{get_column_letter(TOTAL)}{last}", number, border=look.ROW)
    return last


def _own_lines(page: Page) -> int:
    """Blank lines for what the contractor finds missing; gives the first row."""
    page.heading("Lines of your own", "what is missing among the lines below")
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
