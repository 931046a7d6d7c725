"""Options: what the client may choose instead, side by side, each with what it changes and what it does to the price."""

from __future__ import annotations

from typing import Final

from openpyxl.formatting.rule import FormulaRule
from openpyxl.utils import get_column_letter

from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts import said
from stillbook.templates.parts.priced_lines import ALL_PRICED
from stillbook.templates.parts.quiet_room import door_limits
from stillbook.templates.parts.table import Column, Table

PLACES: Final = 5
"""Columns of options: the other doors, and each alternate."""

_MONEY: Final = 'TEXT({0},IF(ROUND({0},2)=ROUND({0},0),"#,##0","#,##0.00"))&" "&currency'
_SHOWN: Final = (
    ("words", look.STRONG_SMALL, 38.0, look.OPTION_FOOT),
    ("amounts", look.STRONG, 16.0, look.SHRUNK_UNIT),
    ("totals", look.SMALL, 14.0, look.SHRUNK_UNIT),
    ("choices", look.SMALL, 17.0, look.SHRUNK_UNIT),
)
"""The rows of each option: what it is, what it does to the price, the total with it, and where to mark it."""


def keep(page: Page, alternates: int) -> None:
    """Write the table of those that there are, on the sheet of alternates."""
    page.heading("Options that the Proposal shows side by side", "tax included; rows without a number do not show")
    table = Table(
        page,
        (
            Column("No.", key="number", name="offered_numbers", number_format=said.NUMBER),
            Column("Option", key="words", name="offered_words", words=True),
            Column("Adds", key="price", name="offered_prices", number_format='#,##0.00;-#,##0.00;""'),
            Column("As told", _changes(), key="amount", name="offered_amounts", words=True),
            Column("Accepted", key="accepted", words=True),
            Column("Total then", _total(), key="total", name="offered_totals", words=True),
            Column("To mark", _choice(), key="choice", name="offered_choices", words=True),
        ),
    )
    table.head()
    _row(table, _other_doors(page.book), _DOORS, 'IF(door_arrangement="pair",price_single,price_pair)-price', '""')
    for n in range(1, alternates + 1):
        words = f'INDEX(alternate_numbers,{n})&". "&INDEX(alternate_texts,{n})'
        priced = f"AND(INDEX(alternate_numbers,{n})>0,ISNUMBER(INDEX(alternate_costs,{n})))"
        _row(table, priced, words, f"INDEX(alternate_prices,{n})", f"INDEX(alternate_counts,{n})")
    table.name()
    page.skip()


def _row(table: Table, when: str, words: str, price: str, accepted: str) -> None:
    there = '=IF({{number}}=0,"",{0})'
    cells = (f"=IF({when},MAX({{above}})+1,0)", there.format(words), f"=IF({{number}}=0,0,{price})", there.format(accepted))
    row = table.row(*cells)
    for place in table.places.values():
        if place != table.places["price"]:
            table.page.sheet.cell(row, place).alignment = look.SHRUNK
    table.page.sheet.row_dimensions[row].height = 15


def _changes() -> str:
    return f'IF({{number}}=0,"",IF(ROUND({{price}},2)=0,"no change",IF({{price}}>0,"add ","deduct ")&{_MONEY.format("ABS({price})")}))'


def _total() -> str:
    return 'IF({number}=0,"",IF({accepted}="yes","accepted: in the total","total "&TEXT(price+{price},"#,##0.00")))'


def _choice() -> str:
    return 'IF({number}=0,"",IF({accepted}="yes","","initials: __________"))'


def _other_doors(book: Book) -> str:
    """Whether the doors may come in the other arrangement: only as far as is known that no check of theirs would fail.

    With a line to mend they would seem cheaper than they are. What is heard is not worked out for it. It is offered where the
    room isolates no less than now, or where all that is heard lies under its target by more than the isolation is less, and
    5 dB more.
    """
    less = f"room_stc-other_doors_stc+{_TO_SPARE}"
    quiet = f"AND(N(next_over)+{less}<=0,N(outdoor_over)+{less}<=0,nc_inside+{less}<=nc_target)"
    isolates = f"AND(other_doors_stc>=N(stc_target),OR(other_doors_stc>=room_stc,{quiet}))"
    return f'AND({ALL_PRICED},{isolates},IF(door_arrangement="pair",{door_limits.single_may_be(book)},{door_limits.pair_may_be(book)}))'


_TO_SPARE: Final = 5
"""By how much all that is heard stays under its target where the doors isolate less, since octaves differ [dB]."""


_REACH: Final = 'MAX(stc_range,IF(door_arrangement="pair",STILL_RATINGUNCERTAINTY("door"),STILL_RATINGUNCERTAINTY("pair of doors")))'
_DOORS: Final = (
    'IF(door_arrangement="pair","One heavy door instead of the pair","A pair of doors instead of one")&": STC "'
    f'&TEXT(other_doors_stc-{_REACH},"0")&" to "&TEXT(other_doors_stc+{_REACH},"0")&" instead of "&stc_from_to&" (predicted)"'
)
"""The doors in the other arrangement, and the isolation with them."""


def show(page: Page) -> None:
    """Write them on a page of as many columns, side by side; without any, the heading says so."""
    row = page.at
    page.heading('=IF(MAX(offered_numbers)=0,"No options with this price","Options")')
    note = '=IF(MAX(offered_numbers)=0,"","instead of what is described, or beside it; tax included")'
    page.put(row, FIRST + 1, note, font=look.QUIET, border=look.UNDER_HEADING).alignment = look.UNWRAPPED_RIGHT
    page.merge(row, FIRST + 1)
    first = page.at
    for part, font, height, align in _SHOWN:
        for place in range(1, PLACES + 1):
            page.put(page.at, FIRST + place - 1, f"={said.nth('offered', part, place)}", font=font, align=align)
        page.sheet.row_dimensions[page.at].height = height
        page.at += 1
    column, end = get_column_letter(FIRST), get_column_letter(FIRST + PLACES - 1)
    page.sheet.conditional_formatting.add(f"{column}{first}:{end}{page.at - 1}", FormulaRule(formula=[f'{column}${first}<>""'], border=look.BESIDE))
    page.skip()
