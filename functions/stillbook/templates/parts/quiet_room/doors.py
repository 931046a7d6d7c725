"""Doors: a pair or one heavy door, what each must weigh, and what to add to the slab."""

from __future__ import annotations

from stillbook.cautions import HEAVY_DOORS
from stillbook.quantities import AREA, FORCE, LENGTH, MASS, SMALL_AREA, SURFACE_MASS
from stillbook.templates import look
from stillbook.templates.calls import out_of_range
from stillbook.templates.page import FIRST, Book, Page, ResultRow
from stillbook.templates.parts.quiet_room.allowances import HEAVIEST_DOOR
from stillbook.templates.parts.quiet_room.door_limits import NO_MASS
from stillbook.trade.doors.make_up import MOST_LAYERS

OPTIONS = 7
"""Rows of make-up options shown for each arrangement."""

_NO_DOOR = "no door can"
"""What stands for the mass per area of a leaf that no door can match."""

_SIDES = (("Inner door of a pair", "inner"), ("Outer door of a pair", "outer"), ("One heavy door", "single"))


def write(book: Book) -> Page:
    """Write the sheet."""
    page = book.page(
        "Doors",
        "A door passes sound like any other part of the wall: each of a pair matches its own leaf of boards, a single door both. "
        "Beside a leaf that no door can match, its sound is judged.",
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
    can = f'=IF({{0}}_mass<=matchable_mass,{{0}}_mass,"{_NO_DOOR}")'
    # One heavy door carries the sum of those sides that a door can match, as one of a pair carries its own.
    of_both = f'=IF(AND(ISTEXT(INDEX(side_masses,1,1)),ISTEXT(INDEX(side_masses,1,2))),"{_NO_DOOR}",SUM(side_masses))'
    target = f'=IF(ISTEXT({{side_mass}}),"{NO_MASS}",STILL_DOORTARGETMASS({{side_mass}},door_width,door_height,"pair",door_margin,units))'
    least, short = (
        "=IF(ISTEXT({target}),{target},ROUNDUP(ROUND({target},6),0))",
        '=IF(ISTEXT({door_least}),0,STILL_ADDEDMASS({door_least},slab_mass,"","",units))',
    )
    added = ("=pair_makeup_material", "=pair_makeup_material", "=single_makeup_material")
    none, pair = ("", "", ""), ("pair_{0}", "", "single_{0}")
    each_side = tuple(f"{side}_{{0}}" for _, side in _SIDES)
    page.name("side_masses", page.at, FIRST + 1, last_column=FIRST + 2)
    rows: dict[str, int] = {}
    for label, key, formulas, unit, number_format, names in (
        ("Mass per area to match", "side_mass", (can.format("inner"), can.format("outer"), of_both), each, look.TWO, none),
        ("Least mass, with the margin", "target", (target,) * 3, mass, look.ONE, none),
        ("Least mass, rounded up", "door_least", (least,) * 3, mass, look.WHOLE, each_side),
        ("Slab", "slab", ("=slab_mass",) * 3, mass, look.WHOLE, none),
        ("Still short by", "short", (short,) * 3, mass, look.ONE, each_side),
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
        ResultRow("Heaviest leaf that a door can match", f"={book.pick(*HEAVIEST_DOOR)}/door_area", each, "matchable_mass", look.TWO).noting(
            f"By a door of {book.pick(*HEAVIEST_DOOR)} {mass}, the heaviest allowed."
        ),
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
    usual = "Beside boards a door is asked the mass of its leaf, with the margin (common practice, no source)."
    heavy = (
        f'"A leaf over "&TEXT(matchable_mass,"{look.ONE}")&" {each} no door can match: no least mass is asked beside it. The doors are judged there '
        'by what they pass, seals and all: the check ""Sound through the doors"" (common practice, no source)."'
    )
    page.note("x" * 220, f'=IF(COUNT(side_masses)=2,"{usual}",{heavy})')
    page.skip()


def _options(book: Book, page: Page) -> None:
    none = f'"No sheet makes it up in {MOST_LAYERS} layers within "&makeup_most&" {book.unit(LENGTH)}: allow more, or take a heavier slab."'
    for title, short in (("Ways to make up a door of the pair", "MAX(inner_short,outer_short)"), ("Ways to make up one heavy door", "single_short")):
        page.heading(title, "thinnest first; layers of one sheet material that reach the least mass")
        ask = f'STILL_DOORMAKEUP({short},door_width,door_height,makeup_most,"",units)'
        thickness, mass = f"Added, {book.unit(LENGTH)}", f"Added, {book.unit(MASS)}"
        page.head_row(("Material", "Layers", thickness, mass, "", ""))
        for option in range(1, OPTIONS + 1):
            name, *figures = (f"INDEX({ask},{option + 1},{column})" for column in range(1, 5))
            words = f'IFERROR({name},IF({out_of_range(name)},{none},""))' if option == 1 else f'IFERROR({name},"")'
            row = page.row((f"={words}", *(f'=IFERROR({figure},"")' for figure in figures)), ("text", look.WHOLE, look.TWO, look.ONE))
            page.sheet.cell(row, FIRST).alignment = look.UNWRAPPED
        page.skip()
