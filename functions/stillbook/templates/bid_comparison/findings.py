"""Findings: what differs from what was asked, or does not add up, as one list."""

from __future__ import annotations

from typing import Final

from openpyxl.styles import Alignment
from openpyxl.utils import get_column_letter

from stillbook.templates import look
from stillbook.templates.bid_comparison.workings import OF_LINES, OF_NOTES, OF_OWN_LINES
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts.schedule import widths
from stillbook.templates.parts.table import Column, Table

ROWS: Final = 240
PRINTED: Final = 34
"""Rows that the template prints."""
COLUMNS: Final = (
    Column("Bidder", "", 34, "finding_bidders", words=True),
    Column("Line", "", 7, "finding_lines", look.WHOLE),
    Column("What", "", 11, "finding_kinds", words=True),
    Column("Finding", "", 106, "finding_texts", words=True),
)
_SHRUNK: Final = Alignment(horizontal="left", vertical="center", shrink_to_fit=True)


def write(book: Book) -> Page:
    """Write the sheet."""
    page = book.page("Findings", "What differs from what was asked, or does not add up. Nothing is put right: ask the bidder.", widths(COLUMNS), wide=True)
    count = '=IF(bids_in=0,"No bid is in yet.",IF(findings=0,"Nothing to look at.",findings&IF(findings=1," finding"," findings")'
    listed = f'{count}&IF(findings>{ROWS},"; the first {ROWS} are listed","")))'
    page.put(page.at, FIRST, listed, font=look.STRONG, align=look.UNWRAPPED)
    page.at += 1
    table = Table(page, COLUMNS)
    table.head()
    for place in range(1, ROWS + 1):
        _row(table, place)
    table.name()
    first = table.first
    page.finish(first + PRINTED - 1)
    page.sheet.print_title_rows = f"1:{first - 1}"
    return page


def _row(table: Table, place: int) -> None:
    """One place of the list: the column of its finding, then its row there."""
    page, row = table.page, table.page.at
    column, line = (f"${get_column_letter(page.last_column + offset)}{row}" for offset in (2, 3))
    source = f"INDEX(found_sources,{column})"
    letter = (
        f"IF({source}={OF_LINES},INDEX(found_letters,{column}),IF({source}={OF_OWN_LINES},INDEX(own_bids,{line}),"
        f"IF({source}={OF_NOTES},INDEX(note_bids,{line}),INDEX(bidder_letters,{line}))))"
    )
    number = (
        f'IF({source}={OF_LINES},INDEX(asked_numbers,{line}),IF({source}={OF_OWN_LINES},INDEX(own_numbers,{line})&"",'
        f'IF({source}={OF_NOTES},INDEX(note_lines,{line})&"","")))'
    )
    kind = f"IF({source}={OF_NOTES},INDEX(note_kinds,{line}),INDEX(found_kinds,{column}))"
    for_bidder = f"INDEX(bidder_names,MATCH({letter},bidder_letters,0))"
    found = (for_bidder, number, f'{kind}&""', f"INDEX(found_texts,{line},{column})")
    table.row(*(f'=IF({column}="","",{formula})' for formula in found))
    place_of = f'=IF({column}="","",MATCH({place},INDEX(found_places,0,{column}),0))'
    page.put(row, page.last_column + 2, f'=IF({place}>findings,"",COUNTIF(found_before,"<"&{place}))', font=look.QUIET)
    page.put(row, page.last_column + 3, place_of, font=look.QUIET)
    for offset in (0, 3):
        page.sheet.cell(row, FIRST + offset).font = look.SMALL
        page.sheet.cell(row, FIRST + offset).alignment = _SHRUNK if offset == 0 else look.UNIT
    page.sheet.row_dimensions[row].height = None
