"""Rules that several kinds of job have to keep: what it says of itself, its doors in their wall, its lines and their prices."""

from __future__ import annotations

from stillbook.quantities import LENGTH
from stillbook.templates import look
from stillbook.templates.page import Book
from stillbook.templates.parts.check_sheet import AT_MOST, CheckRow

FIRST_SHEET = "the first sheet"
"""Where booth and conversion ask whose job it is."""


def job(where: str = "the Inputs sheet") -> list[CheckRow]:
    """What any job must say of itself, and where."""
    return [
        CheckRow("Client, project and date are filled in", '=IF(OR(client="",project="",N(estimate_date)=0),"","yes")', number_format=look.GENERAL).advising(
            f"Fill them in on {where}."
        )
    ]


def door_fits(book: Book, wall: str) -> list[CheckRow]:
    """The door in the wall it stands in, whose length inside is given as a formula without its sign."""
    each, frame = book.pick((12, 4), (1000, 100))
    return [
        CheckRow("Door: under the ceiling of the room", "=door_height", AT_MOST, f"=room_height*{each}", look.WHOLE)
        .measured_in(book.unit(LENGTH))
        .advising("A lower door, as far as the local code allows for a way out; or a higher room.")
        .named("check_door_under"),
        CheckRow("Door: in the wall it is drawn in, with its frame", f"=door_width+{frame}", AT_MOST, f"=({wall})*{each}", look.WHOLE)
        .measured_in(book.unit(LENGTH))
        .advising("A narrower door, as far as the local code allows for a way out; or a larger room.")
        .named("check_door_in_wall"),
    ]


def priced() -> CheckRow:
    """Every line that is ordered has its cost, its rate of work and its labour rate, each once and more than nothing."""
    count = 'COUNTIF(line_faults,"?*")'
    first = 'MATCH("?*",line_faults,0)'
    whose = f'IF(INDEX(line_codes,{first})="",INDEX(line_texts,{first}),INDEX(line_codes,{first}))'
    # A fault begins with its sheet and a colon.
    told = f'SUBSTITUTE(INDEX(line_faults,{first}),": "," sheet: "&{whose}&": ",1)&IF({count}>1,", and "&({count}-1)&" more","")'
    return (
        CheckRow("Lines without a valid price", f"={count}", AT_MOST, "=0", look.WHOLE)
        .measured_in("lines")
        .advising(f'=IF({count}=0,"Mend it on its sheet.","Mend it on the "&{told}&".")')
    )
