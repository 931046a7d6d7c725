"""Doors: a pair or one heavy door, what each must weigh, and what to add to the slab."""

from __future__ import annotations

from openpyxl.utils import get_column_letter

from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page, Result

OPTIONS = 8
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
    page.caution(
        "Caution: doors of this weight need a crew, frames fixed to structure and hinges rated for the load. Lead: local rules, gloves, no "
        "sanding. A door must open from inside without a key; width and way out are for the local code. A person who lies behind "
        "a door that opens inward blocks rescue: open it outward, or let it come off from outside."
    )
    page.finish()
    return page


def _arrangement(book: Book, page: Page) -> None:
    small, area = book.pick("in", "mm"), book.pick("ft²", "m²")
    page.heading("Arrangement")
    ask = 'STILL_DOORARRANGEMENT(room_length,room_width,door_width,cavity,"",seal_share,units)'
    for label, formula, name in (
        ("The space suggests", f"=INDEX({ask},1,1)", "door_suggestion"),
        ("Because", f"=INDEX({ask},1,2)", ""),
        ("This estimate has", '=IF(door_choice="suggested",door_suggestion,door_choice)', "door_arrangement"),
    ):
        _words(book, page, label, formula, name)
    added = 'IF(door_arrangement="pair",pair_added_thickness,single_added_thickness)'
    for entry in (
        Result("Floor the inner door sweeps", "=STILL_SWINGAREA(door_width,90,units)", area, "swing_area"),
        Result("Slab thickness", f"={book.pick('1.75', '44')}", small, "slab_thickness", look.TWO),
        Result("Clear width, open 90°", f"=door_width-slab_thickness-{added}", small, "clear_width", look.ONE,
               "Leaf width less the door's thickness."),
    ):  # fmt: skip
        page.result(entry)
    page.skip()


def _words(book: Book, page: Page, label: str, formula: str, name: str) -> None:
    """A result row whose answer is words, over the width of the page."""
    row = page.at
    for column in range(FIRST, page.last_column + 1):
        page.sheet.cell(row, column).border = look.ROW
    page.put(row, FIRST, label, border=look.ROW)
    page.put(row, FIRST + 1, formula, align=look.UNIT, border=look.ROW)
    page.sheet.merge_cells(start_row=row, start_column=FIRST + 1, end_row=row, end_column=page.last_column)
    page.sheet.row_dimensions[row].height = 17 if name else 46
    if name:
        comment = book.result_comment(name, "Door arrangement", "") if name == "door_arrangement" else ""
        book.name(name, page, row, FIRST + 1, comment=comment)
    page.at += 1


def _masses(book: Book, page: Page) -> None:
    mass, each, small = book.pick("lb", "kg"), book.pick("lb/ft²", "kg/m²"), book.pick("in", "mm")
    page.heading("What each door weighs", "the arrangement of this estimate counts; the other is there to compare")
    page.head_row(("", *(title for title, _ in _SIDES), "Unit", ""))
    target = 'STILL_DOORTARGETMASS({0},door_width,door_height,"{1}",door_margin,units)'
    rows: tuple[tuple[str, str, tuple[str, str, str], str, str], ...] = (
        ("Mass per area to match", "side_mass", ("=inner_mass", "=outer_mass", "=inner_mass+outer_mass"), each, look.TWO),
        ("Least mass, with the margin", "door_target",
         ("=" + target.format("inner_mass", "pair"), "=" + target.format("outer_mass", "pair"),
          "=" + target.format("side_masses", "single")), mass, look.ONE),
        ("Least mass, rounded up", "door_least", ("=ROUNDUP(ROUND({door_target},6),0)",) * 3, mass, look.WHOLE),
        ("Slab", "door_slab", ("=slab_mass",) * 3, mass, look.WHOLE),
        ("Still short by", "door_short", ("=STILL_ADDEDMASS({door_least},slab_mass,\"\",\"\",units)",) * 3, mass, look.ONE),
        ("Added sheets", "door_added", ("=pair_makeup_material", "=pair_makeup_material", "=single_makeup_material"), "", look.GENERAL),
        ("Layers of them", "door_layers", ("=pair_makeup_count", "=pair_makeup_count", "=single_makeup_count"), "", look.WHOLE),
        ("Added thickness", "door_added_thickness",
         ("=STILL_BUILDUPTHICKNESS({door_added},units)*{door_layers}",) * 3, small, look.TWO),
        ("Door as built", "door_mass",
         ("=slab_mass+STILL_TOTALMASS({door_added},door_area,units)*{door_layers}",) * 3, mass, look.WHOLE),
        ("Hinges", "door_hinges", ("=STILL_HINGES({door_mass},door_height,units)",) * 3, "pieces", look.WHOLE),
        ("Pull on the top hinge", "door_pull",
         ("=INDEX(STILL_HINGELOAD({door_mass},door_width,door_height,{door_hinges},units),1,1)",) * 3, book.pick("lbf", "N"), look.WHOLE),
    )  # fmt: skip
    places: dict[str, int] = {}
    for label, key, formulas, unit, number_format in rows:
        places[key] = page.at
        cells = []
        for offset, formula in enumerate(formulas):
            column = get_column_letter(FIRST + 1 + offset)
            cells.append(formula.format(**{name: f"{column}{row}" for name, row in places.items()}))
        strong = key in ("door_least", "door_mass")
        row = page.row(
            (label, *cells, unit, None), ("text", number_format, number_format, number_format, "text"), strong=strong
        )
        if key == "side_mass":
            book.name("side_masses", page, row, FIRST + 1, last=f"${get_column_letter(FIRST + 2)}${row}")
        for offset, (_, side) in enumerate(_SIDES):
            name = {
                "door_least": f"{side}_door_least",
                "door_mass": f"{side}_door_mass",
                "door_hinges": {"inner": "pair_hinges", "single": "single_hinges"}.get(side, ""),
                "door_added_thickness": {"inner": "pair_added_thickness", "single": "single_added_thickness"}.get(
                    side, ""
                ),
                "door_short": {"inner": "inner_short", "outer": "outer_short", "single": "single_short"}[side],
            }.get(key, "")
            if name:
                book.name(name, page, row, FIRST + 1 + offset)
    page.result(Result(
        "Doors, all together", '=IF(door_arrangement="pair",inner_door_mass+outer_door_mass,single_door_mass)', mass,
        "doors_mass", look.WHOLE, "Together.", key=True))  # fmt: skip
    page.result(Result(
        "Open gap left at one door's edges", "=STILL_DOORLEAK(door_width,door_height,door_gap,seal_share,units)",
        book.pick("in²", "mm²"), "door_leak", look.TWO, "Every gap counts: seal all four edges.", key=False))  # fmt: skip
    page.skip()


def _options(book: Book, page: Page) -> None:
    for title, short in (
        ("Ways to make up a door of the pair", "MAX(inner_short,outer_short)"),
        ("Ways to make up one heavy door", "single_short"),
    ):
        page.heading(title, "thinnest first; layers of one sheet material that reach the least mass")
        ask = f'STILL_DOORMAKEUP({short},door_width,door_height,makeup_most,"",units)'
        page.head_row(
            ("Material", "Layers", f"Added, {book.pick('in', 'mm')}", f"Added, {book.pick('lb', 'kg')}", "", "")
        )
        for option in range(1, OPTIONS + 1):
            page.row(
                tuple(f'=IFERROR(INDEX({ask},{option + 1},{column}),"")' for column in range(1, 5)),
                ("text", look.WHOLE, look.TWO, look.ONE),
            )
        page.skip()
