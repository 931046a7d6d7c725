"""Assemblies: made-up work by its unit, and the parts it is made of."""

from __future__ import annotations

from typing import Final

from stillbook.templates import look
from stillbook.templates.page import Book, Page
from stillbook.templates.parts.examples import examples
from stillbook.templates.parts.schedule import Schedule, Typed, Worked, typed
from stillbook.templates.price_book.levels import columns as level_columns

ROWS: Final = 24
PART_ROWS: Final = 90


def columns(book: Book) -> tuple[Typed | Worked, ...]:
    """The columns of the assemblies, in order."""
    money = book.currency

    def total(column: str) -> str:
        return f"SUMIF(part_assemblies,{{assembly_codes}},{column})"

    def cents(column: str) -> str:
        return f"ROUND({total(column)},2)"

    return (
        typed(book, "Code", "assembly_codes", 11, words=True).saying("One for each assembly."),
        typed(book, "Description", "assembly_texts", 54, words=True).saying("What one unit of it is."),
        typed(book, "Unit", "assembly_units", 8, words=True).saying("What it is measured in."),
        Worked("Parts", "COUNTIF(part_assemblies,{assembly_codes})", 7, "assembly_counts", look.WHOLE),
        Worked(f"Material, {money}", cents("part_materials"), 11, "assembly_materials", look.PRICE),
        Worked(f"Equipment, {money}", cents("part_equipment"), 11.5, "assembly_equipment", look.PRICE),
        Worked("Hours", total("part_hours"), 8, "assembly_hours", look.THREE),
        Worked(f"Labour, {money}", cents("part_labour"), 11, "assembly_labour", look.PRICE),
        Worked(f"Cost, {money}", "{assembly_materials}+{assembly_equipment}+{assembly_labour}", 11, "assembly_costs", look.PRICE, strong=True),
        *level_columns("assembly_costs"),
    )


def part_columns(book: Book) -> tuple[Typed | Worked, ...]:
    """The columns of the parts, in order."""
    money = book.currency
    at = "MATCH({part_items},price_codes,0)"
    rate = f"INDEX(price_rates,{at})"
    wage = f"INDEX(labour_rates,MATCH(INDEX(price_trades,{at}),labour_trades,0))"
    cost = "{part_quantities}*(1+{part_wastes})*{part_costs}"
    hired = f'INDEX(price_kinds,{at})="equipment"'
    mend = 'IF(COUNTIF(assembly_codes,{part_assemblies})=0,"assembly not known; ","")&IF(COUNTIF(price_codes,{part_items})=0,"item not known; ","")'
    mend += '&IF(N({part_quantities})<=0,"no quantity; ","")&IF(OR(ISTEXT({part_wastes}),N({part_wastes})<0),"waste; ","")'
    return (
        typed(book, "Assembly", "part_assemblies", 11, options="assembly_codes", words=True).saying("Code of the Assemblies sheet."),
        typed(book, "Item", "part_items", 27, options="price_codes", words=True).saying("Code of the Unit costs sheet."),
        typed(book, "In one unit", "part_quantities", 11, "", 0, 100000, "0.0000").saying(
            "Of the item, in one unit of the assembly; a sum such as =4/32 says how."
        ),
        typed(book, "Waste", "part_wastes", 8, "", 0, 2, look.PERCENT).saying("Share bought beyond it."),
        typed(book, "How", "part_notes", 44, words=True).saying("Where the quantity comes from."),
        Worked("Unit", f"INDEX(price_units,{at})", 8, words=True),
        Worked(f"Unit cost, {money}", f"INDEX(price_costs,{at})", 10, "part_costs", look.PRICE),
        Worked(f"Material, {money}", f"IF({hired},0,{cost})", 10, "part_materials", look.PRICE),
        Worked(f"Equipment, {money}", f"IF({hired},{cost},0)", 11, "part_equipment", look.PRICE),
        Worked("Hours", f"IF(N({rate})=0,0,{{part_quantities}}/{rate})", 8, "part_hours", look.THREE),
        Worked(f"Labour, {money}", f"IF({{part_hours}}=0,0,{{part_hours}}*{wage})", 11, "part_labour", look.PRICE),
        Worked("Taken off", "SUMIF(takeoff_codes,{part_assemblies},takeoff_quantities)*{part_quantities}", 10, "parts_net", look.TWO),
        Worked("With waste", "{parts_net}*(1+{part_wastes})", 11, "parts_needed", look.TWO),
        Worked("To mend", mend, 26, "part_mends", words=True),
    )


def write(book: Book, schedule: Schedule) -> Page:
    """Write the sheet of assemblies."""
    return schedule.page(
        "Assemblies",
        "What one unit of made-up work costs, from its parts, and with the mark-up of each level. Invented examples.",
        columns(book),
        examples("example_assemblies", book.system),
        note="Hours are those of the quantity fixed; waste is bought and not fixed. The Parts sheet says what each is made of.",
        caution="Caution: a price book is for the office. Rated walls, floors and penetrations follow their tested or listed systems; "
        "spans and loads are an engineer's.",
    )


def write_parts(book: Book, schedule: Schedule) -> Page:
    """Write the sheet of parts.

    The geometry of the examples: sheets of 4 × 8 ft or 1.2 × 2.4 m, studs at 16 in or 400 mm in walls 8 ft or 2.4 m high.
    """
    return schedule.page(
        "Parts",
        "What one unit of each assembly takes, with waste: the take-off follows the geometry. Invented examples.",
        part_columns(book),
        examples("example_parts", book.system),
        single=False,
    )
