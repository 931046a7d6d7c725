"""Quote: the facts of a telephone call, beside them what they come to, below them plan and section."""

from __future__ import annotations

from itertools import zip_longest
from typing import Final

from stillbook.cautions import CAUTIONS
from stillbook.quantities import AIRFLOW, LENGTH, MASS, ROOM_LENGTH, SURFACE_MASS
from stillbook.templates import look
from stillbook.templates.heights import height_for
from stillbook.templates.page import FIRST, Book, Page, ResultRow, longest_typed
from stillbook.templates.parts import front
from stillbook.templates.parts.bands import LOW_END
from stillbook.templates.parts.check_sheet import ADVICE, RULE, STATE
from stillbook.templates.parts.quiet_room.allowances import PERSON
from stillbook.templates.parts.room_drawing import Views
from stillbook.templates.quick_quote.inputs import asked
from stillbook.templates.quick_quote.workings import walls
from stillbook.workbook.job.inputs import InputSpec

_LOW_END: Final = (
    f'IF(AND(room_stc>=stc_target,{LOW_END}<stc_target)," The low end of the isolation, STC "&{LOW_END}&", is under the "&stc_target&" to reach.","")'
)
"""What is said where the range of the rating reaches under what is asked for."""

_RANGE: Final = (
    "It may come to: how far the office's past jobs ended under and over their first price (Usual sheet). The full estimate works its range out "
    "from how far the cost of each trade may be off; the two need not agree."
)
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
    for word, begins in (("Fails", "To look at: "), ("Waits", "Not known yet, whether: ")):
        first = f'MATCH("{word}",INDEX(checks,0,{STATE}),0)'
        said = f"INDEX(checks,{first},{RULE})" + (f'&": "&INDEX(checks,{first},{ADVICE})' if word == "Fails" else '&"."')
        count = f'COUNTIF(INDEX(checks,0,{STATE}),"{word}")'
        more = f'IF({count}>1," And "&({count}-1)&" more on the Checks sheet.","")'
        told = f'IFERROR("{begins}"&{said}&{more},"")'
        page.put(page.at, FIRST, f"=TRIM({told}&{_LOW_END})" if word == "Fails" else f"={told}", font=look.STRONG, align=look.LEFT)
        page.merge(page.at, FIRST)
        page.sheet.row_dimensions[page.at].height = 30
        page.at += 1
    views.place(page, RESULTS, size=0.85, note="to scale; they follow what is typed")
    page.note(_RANGE)
    page.skip()
    page.cautions("Cautions", CAUTIONS)
    page.note(f"{front.LOCKED} The figures on the Rates sheet are invented examples. A first price: the full estimate takes everything over.")
    page.finish(page.at - 1)
    return page


def _typed(page: Page, entry: InputSpec) -> None:
    row = page.at
    page.put(row, FIRST, entry.label)
    page.input_cell(row, FIRST + 1, entry)
    page.put(row, FIRST + 2, "" if entry.unit == "text" else entry.unit, font=look.QUIET, align=look.UNIT)
    page.sheet.row_dimensions[row].height = max(16.5, height_for(longest_typed(entry), page.widths[1] - 2, 10.5), height_for(entry.label, page.widths[0], 10.5))


def _told(page: Page, result: ResultRow) -> None:
    row, font = page.at, look.STRONG if result.key else look.BODY
    page.put(row, RESULTS, result.label, font=font, border=look.ROW)
    page.put(row, RESULTS + 1, result.formula, font=font, number_format=result.number_format, border=look.ROW)
    page.put(row, RESULTS + 2, result.unit, font=look.QUIET, align=look.UNIT, border=look.ROW)
    if result.name:
        comment = page.book.result_comment(result.name, result.label, result.unit, result.best) if result.key else ""
        page.book.name(result.name, page, row, RESULTS + 1, comment=comment)


def _results(book: Book) -> list[ResultRow]:
    """What one wants to know first."""
    mass, area_mass, air = book.unit(MASS), book.unit(SURFACE_MASS), book.unit(AIRFLOW)
    outside = '&" × "&'.join(f'TEXT(outside_{side},"0.0")' for side in ("length", "width", "height"))
    made = "slab_mass+{0}_makeup_count*STILL_TOTALMASS({0}_makeup_material,door_area,units)"
    co2 = 'STILL_CO2LEVEL(people,airflow,floor_area*room_height,"",activity,outdoor_co2,"",room_temperature,altitude,units)'
    leaves = "inner_mass*(2*(room_length+room_width)*room_height-door_area+floor_area)+outer_mass*shell_area+framing_mass*2*shell_area"
    wool = 'IF(cavity_fill="filled",STILL_TOTALMASS(wool_material,2*shell_area,units),0)'
    loose = f'{wool}+IF(door_arrangement="pair",2,1)*door_mass+2*box_mass+equipment_mass+people*{book.pick(*PERSON)}'
    total = f"{leaves}+STILL_TOTALMASS(deck_layers,outside_length*outside_width,units)+{loose}"
    return [
        ResultRow("Price, tax included", "=price", "=currency", number_format=look.MONEY, key=True),
        ResultRow("It may come to, from", "=ROUNDDOWN(price*(1-price_under),-2)", "", "price_from", look.MONEY),
        ResultRow("to", "=ROUNDUP(price*(1+price_over),-2)", "", "price_to", look.MONEY),
        ResultRow("Isolation, low to high", '=TEXT(room_stc-stc_range,"0")&" to "&TEXT(room_stc+stc_range,"0")', "STC", "stc_from_to", key=True),
        ResultRow("The walls alone", f"=STILL_STCRATING({walls(book)})", "STC", "wall_stc", look.WHOLE),
        ResultRow("The doors alone", "=STILL_STCRATING(doors_loss)", "STC", "door_stc", look.WHOLE),
        ResultRow("Mass of the leaves", '=TEXT(inner_mass,"0.0")&" + "&TEXT(outer_mass,"0.0")', area_mass),
        ResultRow("Doors", '=IF(door_arrangement="pair","a pair","one heavy door")', ""),
        ResultRow("Mass of each door", f'=IF(door_arrangement="pair",{made.format("pair")},{made.format("single")})', mass, "door_mass", look.WHOLE),
        ResultRow("Air", "=MAX(STILL_OCCUPANTAIRFLOW(people,per_person,units),airflow_code,least_airflow)", air, "airflow", number_format=look.WHOLE, key=True),
        ResultRow("Duct, free inside", '=TEXT(duct_width,"0")&" × "&TEXT(duct_height,"0")', book.unit(LENGTH)),
        ResultRow("CO2 where it settles", f"={co2}", "ppm", "co2_settled", look.WHOLE),
        ResultRow("Outside size", f"={outside}", book.unit(ROOM_LENGTH)),
        ResultRow("Load on the floor", f"=STILL_FLOORLOAD({total},outside_length,outside_width,units)", area_mass, "floor_load", look.WHOLE),
        ResultRow("Checks", front.CHECKS.formula, "", key=True),
    ]
