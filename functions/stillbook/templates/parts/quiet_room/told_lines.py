"""Told lines: which lines the client reads as included work, which as done by others, and the names of all lines."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from stillbook.templates import look
from stillbook.templates.page import FIRST, Page
from stillbook.templates.parts.quiet_room import own_lines
from stillbook.templates.parts.quiet_room.takeoff import COLUMNS, TakeoffLine
from stillbook.templates.parts.table import Column, Table

CODES: Final = ("OUTFINISH", "VISION", "VENT", "FIRE", "DRAWINGS", "TEST")
"""Codes of lines of the template that are told beside those of one's own."""

_AT: Final = {column.called: place for place, column in enumerate(COLUMNS)}
_NUMBER: Final = '0;;""'


def write(page: Page, source: Page, lines: Sequence[tuple[int, TakeoffLine]]) -> None:
    """Write both tables on the sheet of lists, from the lines of the Take-off sheet.

    Args:
        page: The sheet of lists.
        source: The Take-off sheet.
        lines: Its lines, each with its row.
    """
    sheet = source.sheet.title

    def cell(key: str, row: int) -> str:
        return f"'{sheet}'!{chr(ord('A') + FIRST - 1 + _AT[key])}{row}"

    page.skip()
    told = Table(
        page,
        (
            Column("Told to the client", name="told_texts", words=True),
            Column("Included", name="told_included", number_format=_NUMBER),
            Column("By others", name="told_by_others", number_format=_NUMBER),
        ),
    )
    told.head()
    for row, line in lines:
        if line.own or line.code in CODES:
            text, off = cell("text", row), cell("off", row)
            there = f'AND({text}<>"",{cell("order", row)}>0)'
            seen = f',ISNUMBER(SEARCH("{own_lines.CLIENT}",INDEX(own_readers,{line.own})&""))' if line.own else ""
            guarded = f'IF({text}="",FALSE,AND({off}=""{seen}))' if line.own else f'AND({there},{off}="")'
            told.row(f"={text}", f"=IF({guarded},MAX({{above}})+1,0)", f'=IF(AND({text}<>"",{off}="{own_lines.OTHERS}"),MAX({{above}})+1,0)')
    told.name()
    page.skip()
    names = Table(page, (Column("Lines of the take-off", name="takeoff_texts", words=True),))
    names.head()
    seen_texts: set[str] = set()
    for row, line in lines:
        if not line.own and (line.text not in seen_texts or line.text.startswith("=")):
            seen_texts.add(line.text)
            names.row(f'=IF({cell("code", row)}="","",{cell("text", row)})')
    names.name()
    page.skip()
    faults = Table(page, (Column("Switched off, to mend", name="off_faults", words=True),))
    faults.head()
    for number in range(1, own_lines.SWITCHED + 1):
        line_of, reason = (f"INDEX({name},{number})" for name in ("off_lines", "off_reasons"))
        faults.row(
            f'=IF({line_of}&{reason}="","",IF({line_of}="","no line",IF({reason}="","no reason: ",IF(ISNA(MATCH({line_of}&"",takeoff_texts,0)),'
            f'"not found: ",""))&IF(OR({reason}="",ISNA(MATCH({line_of}&"",takeoff_texts,0))),{line_of},"")))'
        )
    faults.name()
    for row in range(told.first, page.at):
        page.sheet.row_dimensions[row].height = 13
        page.ink(row, look.SMALL)
