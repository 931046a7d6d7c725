"""Take-off: quantities of assemblies, what they come to, and the materials and hours they take."""

from __future__ import annotations

from typing import Final

from stillbook.templates import look
from stillbook.templates.charts import stacked_bars
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts.examples import examples
from stillbook.templates.parts.schedule import Schedule, Typed, Worked, typed, widths
from stillbook.templates.parts.table import Column, Table

ROWS: Final = 20
CHART_ROWS: Final = 10
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
        Worked("Unit", f"INDEX(assembly_units,{at})", 8, words=True),
        Worked(
            f"Material and equipment, {money}",
            f"ROUND({{takeoff_quantities}}*(INDEX(assembly_materials,{at})+INDEX(assembly_equipment,{at})),2)",
            14,
            "takeoff_materials",
            look.PRICE,
        ),
        Worked(f"Labour, {money}", f"ROUND({{takeoff_quantities}}*INDEX(assembly_labour,{at}),2)", 12, "takeoff_labour", look.PRICE),
        Worked(f"Cost, {money}", "{takeoff_materials}+{takeoff_labour}", 12, "takeoff_costs", look.PRICE),
        Worked("Hours", f"{{takeoff_quantities}}*INDEX(assembly_hours,{at})", 10, "takeoff_hours", look.ONE),
        Worked(
            f"At the level, {money}",
            'ROUND({takeoff_costs}*(1+IF(level="A",level_a_markup,IF(level="B",level_b_markup,level_c_markup))),2)',
            13,
            "takeoff_prices",
            look.PRICE,
            strong=True,
        ),
        Worked(
            "To mend",
            'IF(COUNTIF(assembly_codes,{takeoff_codes})=0,"assembly not known",IF(N({takeoff_quantities})<=0,"no quantity",""))',
            20,
            "takeoff_mends",
            words=True,
        ),
    )


_TOTALS: Final = (
    ("takeoff_costs", "takeoff_cost", "Cost of the take-off", look.PRICE),
    ("takeoff_hours", "takeoff_hours_all", "Hours of the take-off", look.ONE),
    ("takeoff_prices", "takeoff_price", "Take-off at the level", look.PRICE),
)


def write(book: Book, schedule: Schedule) -> Page:
    """Write the sheet."""
    shown = columns(book)
    money = book.currency
    page = book.page(
        "Take-off", "Measure in assemblies; the Order sheet says what to buy. The rows here are invented examples.", widths(shown), wide=True, single=True
    )
    first = schedule.write(page, shown, examples("example_takeoff", book.system))
    row = page.row(["Together"], ["text"], strong=True, border=look.TOTAL_ROW)
    for source, name, label, number_format in _TOTALS:
        column = schedule.places[source].column
        page.put(row, column, f"=SUM({source})", font=look.STRONG, number_format=number_format, border=look.TOTAL_ROW)
        comment = book.result_comment(name, label, "h" if source == "takeoff_hours" else money)
        book.name(name, page, row, column, comment=comment)
    page.note("At the level chosen on the Inputs sheet, before an estimate's own overhead, margin and tax.")
    page.skip()
    stacked_bars(
        page,
        title="Cost of the take-off by assembly",
        told="Bars: what each assembly of the take-off costs, material and labour one after the other. The table above holds the figures.",
        labels=(FIRST, first, first + CHART_ROWS - 1),
        series=[(schedule.places[name].column, first - 1) for name in ("takeoff_materials", "takeoff_labour")],
        value_title=money,
        size=(24, 8),
    )
    page.skip(17)
    page.finish()
    return page


def _order_columns(money: str) -> tuple[Column, ...]:
    """The columns of the order, a row for each code of the Unit costs sheet."""

    def known(formula: str) -> str:
        return f'IF({{code}}="","",{formula})'

    hours = "IF(N(INDEX(price_rates,{n}))=0,0,SUMIF(part_items,{code},parts_net)/INDEX(price_rates,{n}))"
    return (
        Column("Code", 'IF(INDEX(price_codes,{n})="","",INDEX(price_codes,{n}))', 27, key="code", words=True),
        Column("Item", known("INDEX(price_texts,{n})"), 40, key="text", words=True),
        Column("Unit", known("INDEX(price_units,{n})"), 9, key="unit", words=True),
        Column("With waste", known("SUMIF(part_items,{code},parts_needed)"), 12, "", _NONE_TWO, key="waste"),
        Column("To order", known("ROUNDUP(ROUND({waste},6),0)"), 11, "", _NONE, key="order"),
        Column(f"Cost, {money}", known("ROUND({order}*INDEX(price_costs,{n}),2)"), 12, "", _NONE_TWO, key="cost", total="order_cost"),
        Column("Hours", known(hours), 10, "", _NONE_TWO, key="hours", total="order_hours"),
    )


def write_order(book: Book, codes: int) -> Page:
    """Write the sheet of materials and hours."""
    columns = _order_columns(book.currency)
    purpose = "What the take-off needs of each code, with waste, rounded up to what is sold."
    page = book.page("Order", purpose, widths(columns))
    table = Table(page, columns)
    table.head()
    for _ in range(codes):
        page.sheet.row_dimensions[table.row()].height = 13.5
    row = table.total("Together")
    for key, number_format in (("cost", look.PRICE), ("hours", look.TWO)):
        page.sheet.cell(row, table.places[key]).number_format = number_format
    page.note("Whole packs and pieces cost more than the shares of them that the assemblies count.")
    page.finish(heading=True)
    return page
