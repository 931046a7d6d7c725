"""Job price: what each opening costs and sells for."""

from __future__ import annotations

from typing import Final

from stillbook.quantities import MASS
from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts.priced_lines import COST, PLACE
from stillbook.templates.parts.schedule import Schedule, Worked, widths

_SLAB: Final = '"SLAB"'
_HINGE: Final = '"HINGE"'


def _cost(code: str) -> str:
    return COST.format(place=PLACE.format(code=code))


def _hours(code: str, quantity: str) -> str:
    """Hours of a quantity; none where no rate of work stands, which is a fault of the line."""
    rate = f"N(INDEX(price_rates,{PLACE.format(code=code)}))"
    return f"IF({rate}>0,{quantity}/{rate},0)"


def columns() -> tuple[Worked, ...]:
    """The columns, in order."""
    pieces = "STILL_SHEETPIECES({door_counts}*{added_layers},{widths},{heights},sheet_width,sheet_height,units)"
    parts = "+".join(_cost(f'"{code}"') for code in ("FRAME", "SEALS", "LATCH"))
    each = "+".join(_hours(f'"{code}"', "{door_counts}") for code in ("SLAB", "FRAME", "SEALS", "LATCH"))
    sheets = _hours("{added_sheets}", "{sheets_used}")
    return (
        Worked("Mark", "{marks}", 8, words=True),
        Worked("Room", 'IF({rooms}="","",{rooms})', 20, words=True),
        Worked("Doors", 'IF({kinds}="pair",2,1)', 11, "door_counts", look.WHOLE),
        Worked("Slabs", f"ROUND({{door_counts}}*{_cost(_SLAB)},2)", 10, "slab_costs", look.PRICE),
        Worked("Sheets used", f'IF({{added_sheets}}="",0,{pieces})', 9, "sheets_used", look.WHOLE),
        Worked("Added sheets", f'IF({{added_sheets}}="",0,ROUND({{sheets_used}}*{_cost("{added_sheets}")},2))', 10, "sheet_costs", look.PRICE),
        Worked("Hinges", "{door_counts}*{hinge_counts}", 8, "hinges_needed", look.WHOLE),
        Worked("Hinges, cost", f"ROUND({{hinges_needed}}*{_cost(_HINGE)},2)", 9, "hinge_costs", look.PRICE),
        Worked("Frames, seals, latches", f"ROUND({{door_counts}}*({parts}),2)", 11, "set_costs", look.PRICE),
        Worked("Material", "{slab_costs}+{sheet_costs}+{hinge_costs}+{set_costs}", 11, "material_costs", look.PRICE),
        Worked("Hours", f'ROUND({each}+{_hours(_HINGE, "{hinges_needed}")}+IF({{added_sheets}}="",0,{sheets}),2)', 8, "door_hours", look.TWO),
        Worked("Labour", 'ROUND({door_hours}*N(INDEX(labour_rates,MATCH("Doors",labour_trades,0))),2)', 10, "labour_costs", look.PRICE),
        Worked("Cost", "{material_costs}+{labour_costs}", 11, "opening_costs", look.PRICE),
        Worked(
            "Price before tax",
            "ROUND(STILL_PRICEFROMMARGIN({opening_costs},margin)*(1+overhead)*(1+contingency)*(1+level_markup),2)",
            12,
            "opening_prices",
            look.PRICE,
            strong=True,
        ),
    )


def write(book: Book, schedule: Schedule) -> Page:
    """Write the sheet."""
    shown = columns()
    money = book.currency
    page = book.page(
        "Job price", "For the office only: each opening with its slabs, sheets, frames, hinges, seals and latches, and the work.", widths(shown), single=True
    )
    schedule.write(page, shown)
    page.skip()
    page.heading("All openings", f"in {money}, as on the Unit costs sheet")
    for label, formula, name, number_format, unit in (
        ("Openings", '=SUMPRODUCT((marks<>"")*1)', "openings", look.WHOLE, ""),
        ("Doors", "=SUM(door_counts)", "doors", look.WHOLE, ""),
        ("Heaviest door", "=MAX(door_masses)", "heaviest", look.WHOLE, book.unit(MASS)),
        ("Material", "=SUM(material_costs)", "material_cost", look.PRICE, "=currency"),
        ("Labour", "=SUM(labour_costs)", "labour_cost", look.PRICE, "=currency"),
        ("Hours", "=SUM(door_hours)", "labour_hours", look.TWO, "h"),
        ("Cost", "=SUM(opening_costs)", "total_cost", look.PRICE, "=currency"),
        ("Client level", "=ROUND(total_cost*(1+overhead)*(1+contingency)*level_markup,2)", "level_amount", look.PRICE, "=currency"),
        ("Price before tax", "=SUM(opening_prices)", "price", look.PRICE, "=currency"),
    ):
        row = page.at
        font = look.STRONG if name == "price" else look.BODY
        page.put(row, FIRST, label, font=font).alignment = look.UNWRAPPED
        page.put(row, FIRST + 2, formula, font=font, number_format=number_format)
        page.put(row, FIRST + 3, unit or None, font=look.QUIET, align=look.UNIT)
        comment = book.result_comment(name, label, money if unit == "=currency" else unit)
        book.name(name, page, row, FIRST + 2, comment=comment)
        page.at += 1
    page.note(
        "Overhead on cost, contingency on both, the client's level on all three, then the margin as a share of the price. Sheets are the whole "
        "sheets the faces of an opening are cut from, a piece for each door and layer."
    )
    page.finish()
    return page
