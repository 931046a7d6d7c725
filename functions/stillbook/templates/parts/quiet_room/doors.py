"""Doors: a pair or one heavy door, what each must weigh, and what to add to the slab."""

from __future__ import annotations

from stillbook.cautions import HEAVY_DOORS
from stillbook.quantities import AREA, FORCE, LENGTH, MASS, SMALL_AREA, SURFACE_MASS
from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page, ResultRow

OPTIONS = 7
"""Rows of make-up options shown for each arrangement."""

_SIDES = (("Inner door of a pair", "inner"), ("Outer door of a pair", "outer"), ("One heavy door", "single"))


def write(book: Book) -> Page:
    """Write the sheet."""
    page = book.page(
        "Doors",
        "A door passes sound like any other part of the wall: each door of a pair matches its own leaf, a single door both.",
        (32, 17, 17, 17, 8, 14),
        single=True,
    )
    _arrangement(book, page)
    _masses(book, page)
    _options(book, page)
    page.caution(HEAVY_DOORS)
    page.finish()
    page.print_for_site()
    return page


def _arrangement(book: Book, page: Page) -> None:
    small, area = book.unit(LENGTH), book.unit(AREA)
    page.heading("Arrangement")
    ask = 'STILL_DOORARRANGEMENT(room_length,room_width,door_width,cavity,"",seal_share,units)'
    for label, formula, name in (
        ("The space suggests", f"=INDEX({ask},1,1)", "door_suggestion"),
        ("Because", f"=INDEX({ask},1,2)", ""),
        ("This estimate has", '=IF(door_choice="suggested",door_suggestion,door_choice)', "door_arrangement"),
    ):
        _words(book, page, label, formula, name)
    added = 'IF(door_arrangement="pair",pair_added_thickness,single_added_thickness)'
    page.results(
        ResultRow("Floor the inner door sweeps", "=STILL_SWINGAREA(door_width,90,units)", area, "swing_area"),
        ResultRow("Slab thickness", f"={book.pick('1.75', '44')}", small, "slab_thickness", look.TWO),
        ResultRow("Clear width, open 90°", f"=door_width-slab_thickness-{added}", small, "clear_width").noting("Leaf width less the door's thickness."),
    )
    page.skip()


def _words(book: Book, page: Page, label: str, formula: str, name: str) -> None:
    """A result row whose answer is words, over the width of the page."""
    row = page.at
    page.rule(row)
    page.put(row, FIRST, label, border=look.ROW)
    page.put(row, FIRST + 1, formula, align=look.UNIT, border=look.ROW)
    page.merge(row, FIRST + 1)
    page.sheet.row_dimensions[row].height = 17 if name else 46
    if name:
        comment = book.result_comment(name, "Door arrangement", "") if name == "door_arrangement" else ""
        book.name(name, page, row, FIRST + 1, comment=comment)
    page.at += 1


def _masses(book: Book, page: Page) -> None:
    mass, each, small = book.unit(MASS), book.unit(SURFACE_MASS), book.unit(LENGTH)
    page.heading("What each door weighs", "the arrangement of this estimate counts; the other is there to compare")
    page.head_row(("", *(title for title, _ in _SIDES), "Unit", ""))
    target = '=STILL_DOORTARGETMASS({0},door_width,door_height,"{1}",door_margin,units)'
    added = ("=pair_makeup_material", "=pair_makeup_material", "=single_makeup_material")
    none, pair = ("", "", ""), ("pair_{0}", "", "single_{0}")
    each_side = tuple(f"{side}_{{0}}" for _, side in _SIDES)
    page.name("side_masses", page.at, FIRST + 1, last_column=FIRST + 2)
    rows: dict[str, int] = {}
    for label, key, formulas, unit, number_format, names in (
        ("Mass per area to match", "side_mass", ("=inner_mass", "=outer_mass", "=inner_mass+outer_mass"), each, look.TWO, none),
        (
            "Least mass, with the margin",
            "target",
            (target.format("inner_mass", "pair"), target.format("outer_mass", "pair"), target.format("side_masses", "single")),
            mass,
            look.ONE,
            none,
        ),
        ("Least mass, rounded up", "door_least", ("=ROUNDUP(ROUND({target},6),0)",) * 3, mass, look.WHOLE, each_side),
        ("Slab", "slab", ("=slab_mass",) * 3, mass, look.WHOLE, none),
        ("Still short by", "short", ('=STILL_ADDEDMASS({door_least},slab_mass,"","",units)',) * 3, mass, look.ONE, each_side),
        ("Added sheets", "added", added, "", look.GENERAL, none),
        ("Layers of them", "layers", tuple(name.replace("material", "count") for name in added), "", look.WHOLE, none),
        ("Added thickness", "added_thickness", ("=STILL_BUILDUPTHICKNESS({added},units)*{layers}",) * 3, small, look.TWO, pair),
        ("Door as built", "door_mass", ("=slab_mass+STILL_TOTALMASS({added},door_area,units)*{layers}",) * 3, mass, look.WHOLE, each_side),
        ("Hinges", "hinges", ("=STILL_HINGES({door_mass},door_height,units)",) * 3, "pieces", look.WHOLE, pair),
        (
            "Pull on the top hinge",
            "pull",
            ("=INDEX(STILL_HINGELOAD({door_mass},door_width,door_height,{hinges},units),1,1)",) * 3,
            book.unit(FORCE),
            look.WHOLE,
            none,
        ),
    ):
        cells = [formula.format_map({name: f"{letter}{row}" for name, row in rows.items()}) for letter, formula in zip("CDE", formulas, strict=True)]
        rows[key] = page.row(
            (label, *cells, unit, None),
            ("text", number_format, number_format, number_format, "text", ""),
            strong=key in ("door_least", "door_mass"),
            names=("", *(name.format(key) for name in names), "", ""),
        )
    page.results(
        ResultRow(
            "Doors, all together", '=IF(door_arrangement="pair",inner_door_mass+outer_door_mass,single_door_mass)', mass, "doors_mass", look.WHOLE, key=True
        ).noting("Together."),
        ResultRow(
            "Open gap left at one door's edges",
            "=STILL_DOORLEAK(door_width,door_height,door_gap,seal_share,units)",
            book.unit(SMALL_AREA),
            "door_leak",
            look.TWO,
        ).noting("Every gap counts: seal all four edges."),
    )
    page.skip()


def _options(book: Book, page: Page) -> None:
    for title, short in (("Ways to make up a door of the pair", "MAX(inner_short,outer_short)"), ("Ways to make up one heavy door", "single_short")):
        page.heading(title, "thinnest first; layers of one sheet material that reach the least mass")
        ask = f'STILL_DOORMAKEUP({short},door_width,door_height,makeup_most,"",units)'
        thickness, mass = f"Added, {book.unit(LENGTH)}", f"Added, {book.unit(MASS)}"
        page.head_row(("Material", "Layers", thickness, mass, "", ""))
        for option in range(1, OPTIONS + 1):
            page.row(tuple(f'=IFERROR(INDEX({ask},{option + 1},{column}),"")' for column in range(1, 5)), ("text", look.WHOLE, look.TWO, look.ONE))
        page.skip()
