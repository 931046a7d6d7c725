"""Proposal: the page for the client, with each opening and its price. It shows no cost, margin or rate."""

# ruff: noqa: E501 - rows of a table stay whole

from __future__ import annotations

from typing import Final

from stillbook.templates import look
from stillbook.templates.booth.proposal import VALID, parties, sentence
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts.schedule import Schedule

NOT_INCLUDED: Final = (
    "Not included: the openings in the walls and what carries them, wiring of locks and closers, painting, tax, and anything "
    "not named above."
)


def write(book: Book, schedule: Schedule) -> Page:
    """Write the sheet."""
    page = book.page("Proposal", "Doors for quiet rooms, each as heavy as its wall.", (12, 27, 9, 20, 12, 12, 13))
    parties(page, revisions=False)
    _price(page)
    page.heading("Terms")
    sentence(page, VALID)
    sentence(
        page, "The price of each door includes its slab, sheets, frame, hinges, seals and latch, hung and adjusted."
    )
    sentence(page, NOT_INCLUDED, 2)
    page.skip()
    page.heading("Please note")
    for text in (
        "This is an estimate, not a certified design. STC is predicted for the opening alone; walls and flanking are not in it.",
        "The doors are heavy: frames fixed to structure, hinges rated for the load, and a crew to hang them.",
        "Each door must open from inside without a key. Fire, width and way out follow local codes.",
    ):
        page.caution(text)
    page.skip()
    row = page.at
    page.put(row, FIRST, "Accepted, date and name", font=look.QUIET).alignment = look.UNWRAPPED
    page.rule(row, look.UNDER_HEADING, first=FIRST + 2)
    page.sheet.row_dimensions[row].height = 26
    page.at += 1
    page.skip()
    head = _openings(book, page, schedule)
    page.finish(page.at - 1, head=head)
    page.show_to("client")
    return page


def _price(page: Page) -> None:
    page.heading("Price")
    row = page.at
    page.rule(row, look.TOTAL_ROW)
    words = '=openings&IF(openings=1," opening, "," openings, ")&doors&IF(doors=1," door"," doors")&", before tax"'
    page.put(row, FIRST, words, font=look.STRONG, border=look.TOTAL_ROW).alignment = look.UNWRAPPED
    page.put(row, page.last_column - 1, "=currency", font=look.QUIET, border=look.TOTAL_ROW)
    page.put(row, page.last_column, "=price", font=look.STRONG, number_format=look.MONEY, border=look.TOTAL_ROW)
    page.sheet.row_dimensions[row].height = 18
    page.at += 1
    page.skip()


def _openings(book: Book, page: Page, schedule: Schedule) -> int:
    """Each opening in its row; a blank row of the schedule shows nothing. Gives the row of the headings."""
    small, mass, digits = book.pick("in", "mm"), book.pick("lb", "kg"), book.pick(2, 0)
    page.heading("Openings")
    page.head_row(("Mark", "Room", "Doors", "Leaf", f"Each, {mass}", "STC", "Price"), words=(0, 1, 2, 3))
    head = page.at - 1
    formats = (look.GENERAL, look.GENERAL, look.GENERAL, look.GENERAL, look.WHOLE, look.WHOLE, look.MONEY)
    for number in range(schedule.count):
        cells = schedule.cells(number)
        values = (
            cells["marks"],
            f'IF({cells["rooms"]}="","",{cells["rooms"]})',
            cells["kinds"],
            f'ROUND({cells["widths"]},{digits})&" × "&ROUND({cells["heights"]},{digits})&" {small}"',
            cells["door_masses"],
            cells["opening_stcs"],
            cells["opening_prices"],
        )
        for offset, (value, number_format) in enumerate(zip(values, formats, strict=True)):
            align = look.RIGHT if offset > 3 else look.UNWRAPPED if offset == 0 else look.SHRUNK_UNIT
            page.put(
                page.at,
                FIRST + offset,
                f'=IF({cells["marks"]}="","",{value})',
                number_format=number_format,
                align=align,
            )
        page.sheet.row_dimensions[page.at].height = 15.5
        page.at += 1
    return head
