"""Quote: the facts of a telephone call, beside them what they come to, below them plan and section."""

from __future__ import annotations

from itertools import zip_longest
from typing import Final

from stillbook.cautions import CAUTIONS
from stillbook.quantities import AIRFLOW, LENGTH, MASS, ROOM_LENGTH, SURFACE_MASS
from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page, ResultRow, height_for
from stillbook.templates.parts import front
from stillbook.templates.parts.cautions import part
from stillbook.templates.parts.room_drawing import Views
from stillbook.templates.quick_quote.inputs import asked
from stillbook.workbook.job.inputs import InputSpec

RESULTS: Final = FIRST + 4
"""The column of the results' labels."""


def write(book: Book, views: Views) -> Page:
    """Write the sheet."""
    page = book.page(
        "Quote",
        "A first price for a quiet room inside a room. Type in the boxed cells; what is set once stands on the Rates and Usual sheets.",
        (27, 25, 9, 2, 25, 19, 9),
        title=book.title,
        single=True,
    )
    page.heading("What is asked for")
    page.put(page.at - 1, RESULTS, "What it comes to", font=look.HEADING).alignment = look.UNWRAPPED
    for entry, result in zip_longest(asked(book), _results(book)):
        if entry is not None:
            _typed(page, entry)
        if result is not None:
            _told(page, result)
        page.at += 1
    page.skip()
    for word, begins in (("Fails", "To look at: "), ("Waits", "Not known yet: ")):
        first = f'MATCH("{word}",INDEX(checks,0,4),0)'
        said = f'INDEX(checks,{first},1)&": "&INDEX(checks,{first},5)' if word == "Fails" else f"INDEX(checks,{first},5)"
        count = f'COUNTIF(INDEX(checks,0,4),"{word}")'
        more = f'IF({count}>1," And "&({count}-1)&" more on the Checks sheet.","")'
        page.put(page.at, FIRST, f'=IFERROR("{begins}"&{said}&{more},"")', font=look.STRONG, align=look.LEFT)
        page.merge(page.at, FIRST)
        page.sheet.row_dimensions[page.at].height = 30
        page.at += 1
    views.place(page, RESULTS, size=1.1, note="to scale; they follow what is typed")
    part(page, "Cautions", CAUTIONS)
    page.note(f"{front.LOCKED} The figures on the Rates sheet are invented examples. A first price: the full estimate takes everything over.")
    page.finish()
    return page


def _typed(page: Page, entry: InputSpec) -> None:
    row = page.at
    page.put(row, FIRST, entry.label)
    page.input_cell(row, FIRST + 1, entry)
    page.put(row, FIRST + 2, "" if entry.unit == "text" else entry.unit, font=look.QUIET, align=look.UNIT)
    words = entry.default if isinstance(entry.default, str) else "\n" if entry.default is None and entry.unit == "text" and not entry.choices else None
    page.sheet.row_dimensions[row].height = max(18.0, height_for(words, page.widths[1] - 2, 10.5), height_for(entry.label, page.widths[0], 10.5))


def _told(page: Page, result: ResultRow) -> None:
    row, font = page.at, look.STRONG if result.key else look.BODY
    page.put(row, RESULTS, result.label, font=font, border=look.ROW)
    page.put(row, RESULTS + 1, result.formula, font=font, number_format=result.number_format, border=look.ROW)
    page.put(row, RESULTS + 2, result.unit, font=look.QUIET, align=look.UNIT, border=look.ROW)


def _results(book: Book) -> list[ResultRow]:
    """What one wants to know first."""
    large, small, mass = book.unit(ROOM_LENGTH), book.unit(LENGTH), book.unit(MASS)
    outside = '&" × "&'.join(f'TEXT(outside_{side},"0.0")' for side in ("length", "width", "height"))
    return [
        ResultRow("Price, tax included", "=price", "=currency", number_format=look.MONEY, key=True),
        ResultRow("It may come to, from", "=ROUND(price*(1-price_under),-2)", "=currency", number_format=look.MONEY),
        ResultRow("to", "=ROUND(price*(1+price_over),-2)", "=currency", number_format=look.MONEY),
        ResultRow("Isolation, from to", "=stc_from_to", "STC", key=True),
        ResultRow("The walls alone", "=wall_stc", "STC", number_format=look.WHOLE),
        ResultRow("The doors alone", "=door_stc", "STC", number_format=look.WHOLE),
        ResultRow("Mass of the leaves", '=TEXT(inner_mass,"0.0")&" + "&TEXT(outer_mass,"0.0")', book.unit(SURFACE_MASS)),
        ResultRow("Doors", '=IF(door_arrangement="pair","a pair, each","one, of")', ""),
        ResultRow("Mass of the door", "=door_mass", mass, number_format=look.WHOLE),
        ResultRow("Air", "=airflow", book.unit(AIRFLOW), number_format=look.WHOLE, key=True),
        ResultRow("Duct, free inside", '=TEXT(duct_width,"0")&" × "&TEXT(duct_height,"0")', small),
        ResultRow("CO2 where it settles", "=co2_settled", "ppm", number_format=look.WHOLE),
        ResultRow("Outside size", f"={outside}", large),
        ResultRow("Load on the floor", "=floor_load", book.unit(SURFACE_MASS), number_format=look.WHOLE),
        ResultRow("Checks", front.CHECKS.formula, "", key=True),
    ]
