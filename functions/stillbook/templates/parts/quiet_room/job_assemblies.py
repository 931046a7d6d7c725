"""Assemblies: made-up work that a line of one's own brings in by its code, with the parts it is made of.

A price book has the same columns under the same names, and repricing brings its assemblies here.
"""

from __future__ import annotations

from typing import Final

from stillbook.templates import look
from stillbook.templates.page import Book, Page
from stillbook.templates.parts.examples import examples
from stillbook.templates.parts.priced_lines import figures_faults, first_of
from stillbook.templates.parts.schedule import Schedule, Typed, Worked, typed, widths
from stillbook.workbook.calculation.engine import evaluate

ROWS: Final = 12
PART_ROWS: Final = 44


def write(book: Book) -> Page:
    """Write the sheet."""
    columns, parts = _columns(book), _part_columns(book)
    page = book.page(
        "Assemblies",
        "For the office only: what one unit of made-up work takes and costs, at the figures of this job. Invented examples. Not printed.",
        widths(columns),
        wide=True,
    )
    page.heading("Assemblies", "chosen by their code on the Own lines sheet")
    Schedule(book, ROWS).write(page, columns, examples("example_assemblies", book.system))
    page.note(
        "Hours are those of the quantity fixed; waste is bought and not fixed. All hours of an assembly stand under the trade of its first part. "
        "Repricing from a price book brings its assemblies."
    )
    page.skip()
    page.heading("Parts", "what one unit of an assembly takes of each code of the Unit costs sheet")
    Schedule(book, PART_ROWS).write(page, parts, [(*row[:2], _number(row[2]), row[3]) for row in examples("example_parts", book.system)])
    page.finish(page.at - 1)
    page.never_print()
    return page


def _number(quantity: str | float) -> float:
    """A quantity of the examples, which say how it comes about, as the number that repricing can replace."""
    worked = evaluate(quantity) if isinstance(quantity, str) else quantity
    if not isinstance(worked, int | float):
        raise ValueError(f"example_parts: {quantity} is no number")
    return float(worked)


def _columns(book: Book) -> tuple[Typed | Worked, ...]:
    money = book.currency

    def total(column: str) -> str:
        return f"SUMIF(part_assemblies,{{assembly_codes}},{column})"

    first = "MATCH({assembly_codes},part_assemblies,0)"
    mend = (
        'IF({assembly_counts}=0,"no parts",IF(COUNTIFS(part_assemblies,{assembly_codes},part_mends,"?*")>0,"its parts are to be mended",'
        'IF({assembly_materials}<=0,"costs nothing","")))'
    )
    return (
        typed(book, "Code", "assembly_codes", 12, words=True),
        typed(book, "Description", "assembly_texts", 54, words=True),
        typed(book, "Unit", "assembly_units", 11, words=True),
        Worked("Parts", "COUNTIF(part_assemblies,{assembly_codes})", 8, "assembly_counts", look.WHOLE),
        Worked(f"Material, {money}", f"ROUND({total('part_materials')},2)", 12, "assembly_materials", look.PRICE),
        Worked("Hours", total("part_hours"), 9, "assembly_hours", look.THREE),
        Worked(f"Labour, {money}", f"ROUND({total('part_labour')},2)", 12, "assembly_labour", look.PRICE),
        Worked("Trade", f'IFERROR(INDEX(part_trades,{first}),"")', 10, "assembly_trades", words=True),
        Worked("To mend", mend, 26, "assembly_faults", words=True),
    )


def _part_columns(book: Book) -> tuple[Typed | Worked, ...]:
    money = book.currency
    at = "MATCH({part_items},price_codes,0)"
    rate = f"N(INDEX(price_rates,{at}))"
    wage = "MATCH({part_trades},labour_trades,0)"
    known = f"ISNUMBER({at})"
    mend = first_of(
        (
            (f"NOT({known})", '"item not on the Unit costs sheet"'),
            ("N({part_quantities})<=0", '"no quantity"'),
            ("OR(ISTEXT({part_wastes}),N({part_wastes})<0)", '"waste no share from 0 up"'),
            *figures_faults(at),
        )
    )
    return (
        typed(book, "Assembly", "part_assemblies", 12, words=True),
        typed(book, "Item", "part_items", 54, words=True),
        typed(book, "In one unit", "part_quantities", 11, "", 0, 100_000, "0.0000"),
        typed(book, "Waste", "part_wastes", 8, "", 0, 2, look.PERCENT),
        Worked(
            f"Material, {money}", f"IF({known},N({{part_quantities}})*(1+N({{part_wastes}}))*N(INDEX(price_costs,{at})),0)", 12, "part_materials", look.PRICE
        ),
        Worked("Hours", f"IF({known},IF({rate}>0,N({{part_quantities}})/{rate},0),0)", 9, "part_hours", look.THREE),
        Worked("Trade", f'IFERROR(INDEX(price_trades,{at})&"","")', 12, "part_trades", words=True),
        Worked(f"Labour, {money}", f"IF(ISNUMBER({wage}),{{part_hours}}*N(INDEX(labour_rates,{wage})),0)", 10, "part_labour", look.PRICE),
        Worked("To mend", mend, 26, "part_mends", words=True),
    )
