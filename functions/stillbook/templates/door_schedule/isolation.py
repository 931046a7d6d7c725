"""Isolation: the build-up of each door, its transmission loss by band, and that of the opening with its pair."""

from __future__ import annotations

from typing import Final

from openpyxl.utils import get_column_letter

from stillbook.quantities import LENGTH, SURFACE_MASS
from stillbook.templates import look, marks
from stillbook.templates.calls import nth
from stillbook.templates.page import FIRST, Book
from stillbook.templates.parts.bands import THIRDS
from stillbook.templates.parts.schedule import Place, Schedule, Worked, widths
from stillbook.templates.parts.table import Column, Table
from stillbook.trade.doors.arrangement import MOST_PAIR_GAIN

_DOOR: Final = 'STILL_DOORTL({leaves},{widths},{heights},door_gap,seal_share,"STC",units)'


def write(book: Book, schedule: Schedule) -> None:
    """Write the sheet of build-ups and those of the losses."""
    _leaves(book, schedule)
    square = book.pick("144", "10^6")
    between = f"2*({{widths}}+{{heights}})*pair_distance*reveal_absorption/{square}"
    one = nth("{door_losses}")
    lock = f"STILL_SOUNDLOCKTL({{door_losses}},{{door_losses}},{{door_areas}},{between},units)"
    pair = f"MIN({nth(lock)},{one}+{MOST_PAIR_GAIN:.0f})"
    for sheet, purpose, loss, losses, rating in (
        (
            "One door",
            "What each door by itself keeps back, dB by third octave, with the gap and the seals on the Inputs sheet.",
            nth(_DOOR),
            "door_losses",
            "door_stcs",
        ),
        (
            "Openings",
            "What each opening keeps back, dB by third octave: two doors in a row with the lined space between, or one.",
            f'IF({{kinds}}="pair",{pair},{one})',
            "opening_losses",
            "opening_stcs",
        ),
    ):
        columns = (
            Worked("Mark", "{marks}", 8, words=True),
            Worked("", loss, 6, losses, look.WHOLE, titles=tuple(map(str, THIRDS))),
            Worked("STC", f"STILL_STCRATING({{{losses}}})", 7, rating, look.WHOLE, strong=True),
            Worked("Room", 'IF({rooms}="","",{rooms})', 20, words=True),
        )
        note = (
            "A prediction, to be replaced by a laboratory figure wherever there is one; in the field a door does less. A pair counts "
            "as at most 15 dB better than one of its doors. The wall and what flanks it are not counted here."
        )
        schedule.page(sheet, purpose, columns, note=note)


def _leaves(book: Book, schedule: Schedule) -> None:
    """The layers of each door, two rows each."""
    columns = (
        Column("Mark", "", 9, words=True),
        Column("Layer", "", 12, words=True),
        Column("Material", "", 46, words=True),
        Column(f"Thickness, {book.unit(LENGTH)}", "", 14, number_format=look.TWO),
        Column("Sheets", "", 10, number_format=look.WHOLE),
        Column(f"Mass, {book.unit(SURFACE_MASS)}", "", 12, number_format=look.TWO),
    )
    purpose = "Each door layer by layer, as its isolation is taken: the slab, and the sheets added to it."
    page = book.page("Leaves", purpose, widths(columns))
    table = Table(page, columns)
    table.head()
    first = page.at
    schedule.places["leaves"] = Place(page, FIRST + 2, page.at, wide=4, high=2)
    for number in range(schedule.count):
        cells = schedule.cells(number)
        slab, added = cells["slabs"], cells["added_sheets"]
        weighed = cells["weighed"]
        for layer, material, count, each in (
            ("slab", f'IF({slab}="","",{slab})', "1", f'IF({weighed}="","",{weighed}/{cells["door_areas"]})'),
            ("added", f'IF({added}="","",{added})', f'IF({added}="","",{cells["added_layers"]})', '""'),
        ):
            known = [f'=IF({cells["marks"]}="","",{text})' for text in (cells["marks"], f'"{layer}"', material, count, each)]
            row = table.row(*known[:3], "", *known[3:], border=look.NONE)
            for column in (FIRST, FIRST + 1, FIRST + 2):
                page.sheet.cell(row, column).alignment = look.UNWRAPPED
    letter = get_column_letter(FIRST)
    area = f"{letter}{first}:{get_column_letter(page.last_column)}{page.at - 1}"
    marks.show_where_filled(page.sheet, area, letter, border=look.ROW)
    page.finish(page.at - 1, heading=True)
    page.never_print()
