"""Assemblies: made-up work by its unit, and the parts it is made of."""

from __future__ import annotations

from typing import Any, Final

from stillbook.templates import look
from stillbook.templates.page import Book, Page
from stillbook.templates.parts.schedule import Schedule, Typed, Worked, typed
from stillbook.templates.price_book.levels import columns as level_columns

ROWS: Final = 24
PART_ROWS: Final = 90

# Code, description, unit US, unit SI.
EXAMPLES: Final = (
    ("WALL", "Wall of two separate leaves, two boards each, both frames filled", "ft²", "m²"),
    ("CEILING", "Ceiling of two boards on joists of its own, filled", "ft²", "m²"),
    ("DECK", "Floor deck of two layers on a resilient underlay", "ft²", "m²"),
    ("DOOR", "One heavy door, made up with one sheet, hung and sealed", "piece", "piece"),
    ("BOX", "Baffle box, two layers of panel, lined, in place", "piece", "piece"),
    ("HOLE", "Cable penetration through both leaves, sleeved and sealed", "piece", "piece"),
)

_BOARD: Final = ("Gypsum board 5/8 in type X", "Gypsum board 15 mm")
_PANEL: Final = ("Plywood 3/4 in", "MDF 18 mm")
_BOX_PANEL: Final = ("MDF 3/4 in", "MDF 18 mm")

# Assembly, item (US, SI), quantity of it in one unit of the assembly (US, SI), waste, how it is found. Geometry: sheets of
# 4 × 8 ft or 1.2 × 2.4 m, studs at 16 in or 400 mm in walls 8 ft or 2.4 m high; rates of work: invented.
PARTS: Final = (
    ("WALL", _BOARD, ("4/32", "4/(1.2*2.4)"), 0.15, "4 layers"),
    ("WALL", "STUD", ("2*(12/16)/8", "2/0.4/2.4"), 0.15, "2 frames; corners in the waste"),
    ("WALL", "PLATE", ("4/8/8", "4/2.4/2.4"), 0.1, "2 frames, head and sole"),
    ("WALL", "SCREWS", ("4*28/32/1000", "4*28/(1.2*2.4)/1000"), 0.05, "28 a sheet and layer"),
    ("WALL", "WOOL", ("2/48", "2/4.5"), 0.1, "2 frames"),
    ("WALL", "SEALANT", ("4*2/8/38", "4*2/2.4/10.5"), 0.15, "each layer's edges; 38 ft (10.5 m) a tube"),
    ("WALL", "LIFT", ("1/400", "1/37"), 0, "a day for 400 ft² or 37 m²"),
    ("CEILING", _BOARD, ("2/32", "2/(1.2*2.4)"), 0.15, "2 layers"),
    ("CEILING", "JOIST", ("12/16", "1/0.4"), 0.15, "by length; spans are for an engineer"),
    ("CEILING", "SCREWS", ("2*32/32/1000", "2*32/(1.2*2.4)/1000"), 0.05, "32 a sheet and layer"),
    ("CEILING", "WOOL", ("1/48", "1/4.5"), 0.1, "between the joists"),
    ("CEILING", "SEALANT", ("2*0.5/38", "2*1.6/10.5"), 0.15, "edges of each layer"),
    ("CEILING", "LIFT", ("1/200", "1/18.5"), 0, "a day for 200 ft² or 18.5 m²"),
    ("DECK", _PANEL, ("2/32", "2/(1.2*2.4)"), 0.1, "2 layers"),
    ("DECK", "UNDERLAY", ("1", "1"), 0.05, "whole floor"),
    ("DECK", "SCREWS", ("45/32/1000", "45/(1.2*2.4)/1000"), 0.05, "upper layer to lower alone"),
    ("DOOR", "SLAB", ("1", "1"), 0, ""),
    ("DOOR", _PANEL, ("1", "1"), 0, "one face, a whole sheet"),
    ("DOOR", "FRAME", ("1", "1"), 0, ""),
    ("DOOR", "HINGE", ("3", "3"), 0, "4 above 7 ft 6 in or 200 lb"),
    ("DOOR", "SEALS", ("1", "1"), 0, ""),
    ("DOOR", "LATCH", ("1", "1"), 0, "opens from inside without a key"),
    ("DOOR", "SEALANT", ("20/38", "6/10.5"), 0.15, "frame to wall, both sides"),
    ("DOOR", "HOIST", ("0.25", "0.25"), 0, "four doors a day"),
    ("BOX", _BOX_PANEL, ("2*40/32", "2*3.7/(1.2*2.4)"), 0.2, "4 × 2 × 2 ft outside, two layers"),
    ("BOX", "LINING", ("36", "3.3"), 0.1, "inside faces and the baffle"),
    ("BOX", "AIRBOX", ("1", "1"), 0, "lid, collars, supports"),
    ("BOX", "SEALANT", ("2", "2"), 0, "every joint of both layers"),
    ("BOX", "SCREWS", ("0.2", "0.2"), 0, ""),
    ("BOX", "CONNECTOR", ("2", "2"), 0, ""),
    ("HOLE", "SLEEVE", ("2", "2"), 0, "one a leaf, not in line"),
    ("HOLE", "SEALANT", ("0.25", "0.25"), 0, ""),
    ("HOLE", "FIRESTOP", ("0.25", "0.25"), 0, "in a rated wall: its listed system"),
)


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
        Worked("Parts", "COUNTIF(part_assemblies,{assembly_codes})", 7, "assembly_counts", look.WHOLE, each=True),
        Worked(f"Material, {money}", cents("part_materials"), 11, "assembly_materials", look.PRICE, each=True),
        Worked(f"Equipment, {money}", cents("part_equipment"), 11.5, "assembly_equipment", look.PRICE, each=True),
        Worked("Hours", total("part_hours"), 8, "assembly_hours", look.THREE, each=True),
        Worked(f"Labour, {money}", cents("part_labour"), 11, "assembly_labour", look.PRICE, each=True),
        Worked(f"Cost, {money}", "assembly_materials+assembly_equipment+assembly_labour", 11, "assembly_costs", look.PRICE, strong=True),
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
    mend += '&IF(N({part_quantities})<=0,"no quantity; ","")'
    return (
        typed(book, "Assembly", "part_assemblies", 11, options="assembly_codes", words=True).saying("Code of the Assemblies sheet."),
        typed(book, "Item", "part_items", 27, options="price_codes", words=True).saying("Code of the Prices sheet."),
        typed(book, "In one unit", "part_quantities", 11, "", 0, 100000, "0.0000").saying(
            "Of the item, in one unit of the assembly; a sum such as =4/32 says how."
        ),
        typed(book, "Waste", "part_wastes", 8, "", 0, 2, look.PERCENT).saying("Share bought beyond it."),
        typed(book, "How", "part_notes", 44, words=True).saying("Where the quantity comes from."),
        Worked("Unit", f"INDEX(price_units,{at})", 8, words=True, each=True),
        Worked(f"Unit cost, {money}", f"INDEX(price_costs,{at})", 10, "part_costs", look.PRICE, each=True),
        Worked(f"Material, {money}", f"IF({hired},0,{cost})", 10, "part_materials", look.PRICE, each=True),
        Worked(f"Equipment, {money}", f"IF({hired},{cost},0)", 11, "part_equipment", look.PRICE, each=True),
        Worked("Hours", f"IF(N({rate})=0,0,{{part_quantities}}/{rate})", 8, "part_hours", look.THREE, each=True),
        Worked(f"Labour, {money}", f"IF({{part_hours}}=0,0,{{part_hours}}*{wage})", 11, "part_labour", look.PRICE, each=True),
        Worked("Taken off", "SUMIF(takeoff_codes,{part_assemblies},takeoff_quantities)*{part_quantities}", 10, "parts_net", look.TWO, each=True),
        Worked("With waste", "parts_net*(1+part_wastes)", 11, "parts_needed", look.TWO),
        Worked("To mend", mend, 26, "part_mends", words=True, each=True),
    )


def parts(book: Book) -> list[tuple[Any, ...]]:
    """The example rows of parts."""
    return [
        (code, item if isinstance(item, str) else book.pick(*item), f"={book.pick(*quantity)}", waste, how or None)
        for code, item, quantity, waste, how in PARTS
    ]


def write(book: Book, schedule: Schedule) -> Page:
    """Write the sheet of assemblies."""
    return schedule.page(
        "Assemblies",
        "What one unit of made-up work costs, from its parts, and with the mark-up of each level. Invented examples.",
        columns(book),
        [(code, text, book.pick(us, si)) for code, text, us, si in EXAMPLES],
        note="Hours are those of the quantity fixed; waste is bought and not fixed. The Parts sheet says what each is made of.",
        caution="Caution: a price book is for the office. Rated walls, floors and penetrations follow their tested or listed systems; "
        "spans and loads are an engineer's.",
    )


def write_parts(book: Book, schedule: Schedule) -> Page:
    """Write the sheet of parts."""
    return schedule.page(
        "Parts",
        "What one unit of each assembly takes, with waste: the take-off follows the geometry. Invented examples.",
        part_columns(book),
        parts(book),
        single=False,
    )
