"""Take-off: quantities of assemblies, what they come to, and the materials and hours they take."""

from __future__ import annotations

from typing import Final

from openpyxl.utils import get_column_letter

from stillbook.templates import look
from stillbook.templates.charts import stacked_bars
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts.schedule import Schedule, Typed, Worked, typed, widths

ROWS: Final = 20
CHART_ROWS: Final = 10
_EXAMPLES: Final = (
    ("WALL", (270, 25), "Voice room, outer faces less the door"),
    ("CEILING", (76, 7), "Voice room"),
    ("DECK", (76, 7), "Voice room"),
    ("DOOR", (2, 2), "A pair"),
    ("BOX", (2, 2), "Supply and return"),
    ("HOLE", (4, 4), "Power apart from audio and data"),
)
_NONE: Final = '#,##0;-#,##0;"–"'
_NONE_TWO: Final = '#,##0.00;-#,##0.00;"–"'


def columns(book: Book) -> tuple[Typed | Worked, ...]:
    """The columns, in order."""
    money = book.currency
    at = "MATCH({takeoff_codes},assembly_codes,0)"
    return (
        typed(book, "Assembly", "takeoff_codes", 12, options="assembly_codes", words=True).saying("Code of the Assemblies sheet."),
        typed(book, "Quantity", "takeoff_quantities", 12, "", 0, 1000000, look.ONE).saying("In the assembly's unit."),
        typed(book, "Where", "takeoff_notes", 38, words=True).saying("Room or drawing it is taken from."),
        Worked("Unit", f"INDEX(assembly_units,{at})", 8, words=True, each=True),
        Worked(
            f"Material and equipment, {money}",
            f"{{takeoff_quantities}}*(INDEX(assembly_materials,{at})+INDEX(assembly_equipment,{at}))",
            14,
            "takeoff_materials",
            look.MONEY,
            each=True,
        ),
        Worked(f"Labour, {money}", f"{{takeoff_quantities}}*INDEX(assembly_labour,{at})", 12, "takeoff_labour", look.MONEY, each=True),
        Worked(f"Cost, {money}", "takeoff_materials+takeoff_labour", 12, "takeoff_costs", look.MONEY),
        Worked("Hours", f"{{takeoff_quantities}}*INDEX(assembly_hours,{at})", 10, "takeoff_hours", look.ONE, each=True),
        Worked(
            f"At the level, {money}",
            'takeoff_costs*(1+IF(level="A",level_a_markup,IF(level="B",level_b_markup,level_c_markup)))',
            13,
            "takeoff_prices",
            look.MONEY,
            strong=True,
        ),
        Worked("To mend", 'IF(COUNTIF(assembly_codes,{takeoff_codes})=0,"assembly not known","")', 20, "takeoff_mends", words=True, each=True),
    )


_TOTALS: Final = (
    ("takeoff_costs", "takeoff_cost", "Cost of the take-off", look.MONEY),
    ("takeoff_hours", "takeoff_hours_all", "Hours of the take-off", look.ONE),
    ("takeoff_prices", "takeoff_price", "Take-off at the level", look.MONEY),
)


def write(book: Book, schedule: Schedule) -> Page:
    """Write the sheet."""
    shown = columns(book)
    money = book.currency
    page = book.page(
        "Take-off", "Measure in assemblies; the Order sheet says what to buy. The rows here are invented examples.", widths(shown), wide=True, single=True
    )
    first = schedule.write(page, shown, [(code, book.pick(*quantity), where) for code, quantity, where in _EXAMPLES])
    values: list[str | None] = ["Together", *[None] * (len(shown) - 1)]
    formats = ["text", *[""] * (len(shown) - 1)]
    for source, _, _, number_format in _TOTALS:
        offset = schedule.places[source].column - FIRST
        values[offset], formats[offset] = f"=SUM({source})", number_format
    row = page.row(values, formats, strong=True, border=look.TOTAL_ROW)
    for source, name, label, _ in _TOTALS:
        comment = book.result_comment(name, label, "h" if source == "takeoff_hours" else money)
        book.name(name, page, row, schedule.places[source].column, comment=comment)
    page.note("At the level chosen on the Inputs sheet, before an estimate's own overhead, margin and tax.")
    page.skip()
    stacked_bars(
        page,
        title="Cost of the take-off by assembly",
        labels=(FIRST, first, first + CHART_ROWS - 1),
        series=[(schedule.places[name].column, first - 1) for name in ("takeoff_materials", "takeoff_labour")],
        value_title=money,
        anchor=f"{get_column_letter(FIRST)}{page.at}",
        size=(24, 8),
    )
    page.skip(17)
    page.finish()
    return page


def write_order(book: Book, codes: int) -> Page:
    """Write the sheet of materials and hours."""
    page = book.page("Order", "What the take-off needs of each code, with waste, rounded up to what is sold.", (27, 40, 9, 12, 11, 12, 10))
    page.head_row(("Code", "Item", "Unit", "With waste", "To order", f"Cost, {book.currency}", "Hours"), words=(0, 1, 2))
    first = page.at
    for number in range(1, codes + 1):
        _order_row(page, number)
    last = page.at - 1
    cost, hours = (get_column_letter(FIRST + offset) for offset in (5, 6))
    page.row(
        ("Together", None, None, None, None, f"=SUM({cost}{first}:{cost}{last})", f"=SUM({hours}{first}:{hours}{last})"),
        ("text", "", "", "", "", look.MONEY, look.ONE),
        strong=True,
        border=look.TOTAL_ROW,
        names=("", "", "", "", "", "order_cost", "order_hours"),
    )
    page.note("Whole packs and pieces cost more than the shares of them that the assemblies count.")
    page.finish(heading=True)
    return page


def _order_row(page: Page, number: int) -> None:
    """The row of one code of the Prices sheet."""
    row = page.at
    code, waste, order = (f"{get_column_letter(FIRST + offset)}{row}" for offset in (0, 3, 4))
    rate = f"INDEX(price_rates,{number})"
    formulas = (
        f"INDEX(price_texts,{number})",
        f"INDEX(price_units,{number})",
        f"SUMIF(part_items,{code},parts_needed)",
        f"ROUNDUP(ROUND({waste},6),0)",
        f"{order}*INDEX(price_costs,{number})",
        f"IF(N({rate})=0,0,SUMIF(part_items,{code},parts_net)/{rate})",
    )
    page.row(
        (f'=IF(INDEX(price_codes,{number})="","",INDEX(price_codes,{number}))', *(f'=IF({code}="","",{formula})' for formula in formulas)),
        ("text", "text", "text", _NONE_TWO, _NONE, _NONE, _NONE_TWO),
    )
    page.sheet.row_dimensions[row].height = 13.5
