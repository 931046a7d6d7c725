"""Proposal: the page for the client, with each opening and its price. It shows no cost, margin or rate."""

from __future__ import annotations

from typing import Final

from stillbook.quantities import LENGTH, MASS
from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts.letter import amount, parties, sentence, terms
from stillbook.templates.parts.schedule import Schedule, widths
from stillbook.templates.parts.table import Column, Table

NOT_INCLUDED: Final = "Not included: the openings in the walls and what carries them, wiring of locks and closers, painting, tax, and anything not named above."


def write(book: Book, schedule: Schedule) -> Page:
    """Write the sheet."""
    columns = (
        Column("Mark", "", 12, words=True),
        Column("Room", "", 27, words=True),
        Column("Doors", "", 9, words=True),
        Column("Leaf", "", 20, words=True),
        Column(f"Each, {book.unit(MASS)}", "", 12, number_format=look.WHOLE),
        Column("STC", "", 12, number_format=look.WHOLE),
        Column("Price", "", 13, number_format=look.PRICE),
    )
    page = book.page("Proposal", "Doors for quiet rooms: each opening, its doors and its price.", widths(columns), scale=75)
    parties(page, revisions=False)
    page.heading("Price")
    words = '=openings&IF(openings=1," opening, "," openings, ")&doors&IF(doors=1," door"," doors")&", before tax"'
    amount(page, words, "=price", strong=True)
    heavy = (
        'IF(COUNTIF(mass_states,"Passes")=openings,"Each door is as heavy as its wall asks",'
        'COUNTIF(mass_states,"Fails")&" with doors lighter than their wall asks")'
    )
    rated = 'IF(COUNTIF(stc_states,"Passes")=openings,".","; "&COUNTIF(stc_states,"Fails")&" below the STC wanted.")'
    hard = 'IF(COUNTIF(added_states,"Fails")+COUNTIF(width_states,"Fails")+COUNTIF(hanging_states,"Fails")=0,"","; some cannot be built or passed as drawn")'
    sentence(page, f"={heavy}&{hard}&{rated}")
    page.skip()
    hung = "The price of each door includes its slab, sheets, frame, hinges, seals and latch, hung and adjusted."
    notes = (
        "This is an estimate, not a certified design. STC is predicted for the opening alone; walls and flanking are not in it.",
        "The doors are heavy: frames fixed to structure, hinges rated for the load, and a crew to hang them.",
        "Each door must open from inside without a key. Fire, width and way out follow local codes.",
    )
    terms(page, hung, NOT_INCLUDED, notes)
    row = page.at
    page.put(row, FIRST, "Accepted, date and name", font=look.QUIET).alignment = look.UNWRAPPED
    page.rule(row, look.UNDER_HEADING, first=FIRST + 2)
    page.sheet.row_dimensions[row].height = 26
    page.at += 1
    page.skip()
    head = _openings(book, Table(page, columns), schedule)
    page.finish(page.at - 1, head=head)
    page.show_to("client")
    return page


def _openings(book: Book, table: Table, schedule: Schedule) -> int:
    """Each opening in its row; a blank row of the schedule shows nothing. Gives the row of the headings."""
    page, small, digits = table.page, book.unit(LENGTH), book.pick(2, 0)
    page.heading("Openings")
    head = table.head()
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
        row = table.row(*(f'=IF({cells["marks"]}="","",{value})' for value in values), border=None)
        for offset, align in enumerate((look.UNWRAPPED, look.SHRUNK_UNIT, look.SHRUNK_UNIT, look.SHRUNK_UNIT)):
            page.sheet.cell(row, FIRST + offset).alignment = align
        page.sheet.row_dimensions[row].height = 12.5
    return head
