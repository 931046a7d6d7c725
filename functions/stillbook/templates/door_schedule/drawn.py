"""Drawn door: one door of the schedule, chosen by its mark, drawn with its gaps, its layers and what it weighs."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from stillbook.quantities import LENGTH, MASS, ROOM_LENGTH, SMALL_AREA
from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page, ResultRow
from stillbook.templates.parts import drawing
from stillbook.templates.parts.drawing import DOOR, FACE, LAYER, WORDS, Drawing

SIZE: Final = (17.6, 9.0)
_MOST_HINGES: Final = 6
_TOLD: Final = (
    "Door to scale: its opening and its leaf with the gap between them, its hinges, width and height; at the right the leaf cut through, slab and added sheets "
    "at four times the scale, two where doors are a pair. What it weighs and what it has to weigh stand in the table over it."
)


def write(book: Book) -> Page:
    """Write the sheet, and that of its points."""
    points = drawing.sheet(book)
    page = book.page("Drawn door", "One door of the schedule to scale, with its gaps, its layers and what it weighs.", (34, 26, 10, 16, 16), single=True)
    _choice(book, page)
    _facts(book, page)
    page.heading("Door to scale", "its edge at four times the scale")
    drawn = _draw(book, points)
    drawn.show(page, page.at)
    page.skip(18)
    page.finish()
    page.print_for_site()
    points.finish(points.at - 1)
    points.never_print()
    return page


def _choice(book: Book, page: Page) -> None:
    page.put(page.at, FIRST, "Mark of the door")
    entry = book.input("drawn_mark", "Mark of the door to draw", options="marks", optional=True).saying("Mark from the Schedule sheet; blank takes the first.")
    page.input_cell(page.at, FIRST + 1, entry)
    page.put(page.at, FIRST + 3, "Blank takes the first door of the schedule.", font=look.QUIET, align=look.UNWRAPPED)
    page.at += 1
    typed = 'IFERROR(MATCH(drawn_mark,marks,0),IFERROR(MATCH(VALUE(drawn_mark),marks,0),MATCH(drawn_mark&"",marks,0)))'
    chosen = f'IF(drawn_mark="",1,{typed})'
    known = "+".join(f"0*INDEX({name},{chosen})" for name in ("widths", "heights", "door_masses", "targets", "hinge_counts", "door_leaks"))
    row = ResultRow("Its row in the schedule", f'=IFERROR({chosen}+{known},"")', "", "drawn_row", look.WHOLE)
    page.result(row.noting("Blank where there is no door of this mark, or where an input of it is missing."))
    page.skip()


def _facts(book: Book, page: Page) -> None:
    small, mass, area = (book.unit(kind) for kind in (LENGTH, MASS, SMALL_AREA))
    of = "INDEX({},drawn_row)".format
    rows = (
        ResultRow("Mark and room", f'={of("marks")}&" "&{of("rooms")}', "", "", look.GENERAL),
        ResultRow("Doors in the opening", f"={of('kinds')}", "", "drawn_kind", look.GENERAL),
        ResultRow("Width of the leaf", f"={of('widths')}", small, "drawn_width", look.TWO),
        ResultRow("Height of the leaf", f"={of('heights')}", small, "drawn_height", look.TWO),
        ResultRow("Slab", f"={of('slabs')}", "", "drawn_slab", look.GENERAL),
        ResultRow("Added sheet", f'=IF({of("added_sheets")}="","none",{of("added_sheets")})', "", "drawn_sheet", look.GENERAL),
        ResultRow("Sheets of it on each door", f"=N({of('added_layers')})", "", "drawn_sheets", look.WHOLE),
        ResultRow("Added thickness", f"=N({of('added_thicknesses')})", small, "drawn_added", look.TWO),
        ResultRow("Mass of each door", f"={of('door_masses')}", mass, "drawn_mass", look.ONE),
        ResultRow("Mass it has to have", f"={of('targets')}", mass, "drawn_target", look.ONE),
        ResultRow("Hinges", f"={of('hinge_counts')}", "", "drawn_hinges", look.WHOLE),
        ResultRow("Open gap left at its edges", f"={of('door_leaks')}", area, "drawn_leak", look.TWO),
    )
    page.part("The door", *(replace(row, formula=f'=IF(drawn_row="","",{row.formula[1:]})') for row in rows))


def _draw(book: Book, points: Page) -> Drawing:
    each = book.units_in(LENGTH, ROOM_LENGTH)
    small, mass = book.unit(LENGTH), book.unit(MASS)
    for label, name, formula in (
        ("Leaf, width", "door_drawn_width", f'=IF(drawn_row="",1,drawn_width/{each})'),
        ("Leaf, height", "door_drawn_height", f'=IF(drawn_row="",1,drawn_height/{each})'),
        ("Gap", "door_drawn_gap", f"=door_gap/{each}"),
        ("Drawn, across", "door_across", "=door_drawn_height*1.9"),
        ("Drawn, high", "door_high", "=door_drawn_height+2*door_drawn_gap"),
    ):
        points.put(points.at, FIRST, label, font=look.SMALL)
        points.put(points.at, FIRST + 2, formula, font=look.SMALL, number_format=look.THREE)
        points.name(name, points.at, FIRST + 2)
        points.at += 1
    drawn = Drawing(points, "door", SIZE, ("door_across", "door_high"), _TOLD)
    left = "door_drawn_height*0.25"
    wide, high, gap = "door_drawn_width", "door_drawn_height", "door_drawn_gap"
    drawn.rectangle("Opening", FACE, (left, "0"), (f"{wide}+2*{gap}", f"{high}+2*{gap}"))
    drawn.rectangle("Leaf", DOOR, (f"{left}+{gap}", gap), (wide, high))
    for number in range(1, _MOST_HINGES + 1):
        shown = f"({number}<=N(drawn_hinges))"
        at = f"{gap}+{high}*(0.07+0.86*MIN(1,({number}-1)/MAX(1,N(drawn_hinges)-1)))"
        drawn.rectangle(f"Hinge {number}", LAYER, (f"{left}-0.01*{high}", f"{at}-0.02*{high}*{shown}"), (f"0.02*{high}*{shown}", f"0.04*{high}*{shown}"))
    handle = f"{left}+{gap}+{wide}*0.9"
    drawn.line("Handle", DOOR, [(handle, f"{high}*0.44"), (handle, f"{high}*0.5")])
    drawn.line("Opens", LAYER, [(f"{left}+{gap}+{wide}", f"{gap}+{high}"), (f"{left}+{gap}", f"{gap}+{high}/2"), (f"{left}+{gap}+{wide}", gap)])
    beside, under = f"{left}-5/door_scale", "-3/door_scale"
    drawn.dimension("Height", (beside, gap), (beside, f"{gap}+{high}"), f'drawn_height&" {small}"', "l")
    drawn.dimension("Width", (f"{left}+{gap}", under), (f"{left}+{gap}+{wide}", under), f'drawn_width&" {small}"', "b")
    edge = f"{left}+{wide}+2*{gap}+16/door_scale"
    slab, added = f"slab_thickness*4/{each}", f"N(drawn_added)*4/{each}"
    for place, shown, label in ((0, "1", "leaf"), (1, 'IF(drawn_kind="pair",1,0)', "second leaf")):
        foot = f"{high}*{0.02 if place else 0.54}"
        drawn.rectangle(f"Edge of the {label}, slab", DOOR, (edge, foot), (f"({slab})*{shown}", f"{high}*0.4*{shown}"))
        drawn.rectangle(f"Edge of the {label}, added", FACE, (f"{edge}+{slab}", foot), (f"({added})*{shown}", f"{high}*0.4*{shown}*(N(drawn_added)>0)"))
    names = f"{edge}+({slab})+({added})+4/door_scale"
    for number, (what, words) in enumerate(
        (
            ("Slab, name", "drawn_slab"),
            ("Added, name", 'IF(drawn_sheets>0,"+ "&drawn_sheets&" × "&drawn_sheet,"no sheet added")'),
            ("Mass, name", f'TEXT(drawn_mass,"0.0")&" {mass}, has to be "&TEXT(drawn_target,"0.0")&" {mass}"'),
            ("Gap, name", f'"gap "&door_gap&" {small}, "&TEXT(seal_share,"0%")&" of it sealed"'),
            ("Hinges, name", 'drawn_hinges&" hinges"'),
            ("Pair, name", 'IF(drawn_kind="pair","a pair: two doors alike, one in each leaf of the wall","a single door, for both leaves of the wall")'),
        )
    ):
        drawn.line(what, WORDS, [(names, f"{high}*{0.9 - 0.07 * number:g}")], label=f'IF(drawn_row="","",{words})', side="r")
    drawn.close()
    return drawn
