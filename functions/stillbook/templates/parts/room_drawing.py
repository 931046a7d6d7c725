"""Plan and section: the room in its shell, doors and their swings, air boxes, and the space around, to scale.

The plan shows the door in the side of the shell that has the most room before it, and the working room behind.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from stillbook.quantities import LENGTH, ROOM_LENGTH
from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts.drawing import AIR, DOOR, FACE, GLASS, LAYER, NO_PLACE, SPACE, SWING, WOOL, Drawing, Pen, sheet
from stillbook.workbook.job.audience import Audience

SIZE: Final = (9.2, 7.4)
"""Of each on paper, in centimetres."""

_PLAN: Final = (
    "Plan to scale: the room in its two leaves with the wool between them, doors and their swings, air boxes, and the space around, with the "
    "sizes of the room inside above and at the right, and of the space below and at the left. The sizes also stand in the tables of this workbook."
)
_SECTION: Final = (
    "Section to scale: the room in its two leaves on its floor, the door, air boxes on top where they lie there, and the ceiling of the space, "
    "with the height of the room at the left and of the shell at the right. The heights also stand in the tables of this workbook."
)

SIDES: Final = 22
"""Paper left at the sides of both, in millimetres: upright dimensions and their words stand there, outside all that is drawn."""
BESIDE: Final = 3
"""How far from what is drawn a dimension stands, in millimetres."""

_ROWS: Final = 15
"""Rows of usual height that they take at that size."""


@dataclass(frozen=True)
class Boxes:
    """Formulas of the air boxes.

    Args:
        depth: How far they stand off the shell, in the unit of small lengths.
        length: How long they are, in the same.
        fit: 1 where they find their place, 0 where not.
        on_top: 1 where they lie on top of the shell, 0 where they hang beside it.
    """

    depth: str
    length: str
    fit: str
    on_top: str = "0"


@dataclass(frozen=True)
class Views:
    """Plan and section."""

    plan: Drawing
    section: Drawing
    key: Drawing
    more: tuple[Drawing, ...] = ()

    def place(self, page: Page, beside: int, *, size: float = 1, note: str = "to scale") -> None:
        """Write them on a page under a heading, the section from the column ``beside``, ``size`` times as large."""
        page.heading("Plan and section", note)
        self.plan.show(page, page.at, size=size)
        self.section.show(page, page.at, beside, size=size)
        page.skip(math.ceil(_ROWS * size))
        self.key.show(page, page.at, size=max(1, size))
        page.skip(2)


class Sizes:
    """Formulas of the thicknesses, in the unit of the room."""

    def __init__(self, book: Book, boxes: Boxes) -> None:
        each = book.units_in(LENGTH, ROOM_LENGTH)
        self.unit = book.unit(ROOM_LENGTH)
        self.leaf = f"outer_thickness/{each}"
        self.shell = f"shell_thickness/{each}"
        self.inner = f"(shell_thickness-inner_thickness)/{each}"
        self.gap = f"cavity/{each}"
        self.deck = f"deck_thickness/{each}"
        self.door = f"door_width/{each}"
        self.door_height = f"door_height/{each}"
        self.boxes = boxes
        self.box_depth = f"({boxes.depth})/{each}"
        self.box_length = f"({boxes.length})/{each}"
        self.working = f"working_room/{each}"

    def faces(self) -> tuple[tuple[str, Pen, str], ...]:
        """The faces of the two leaves from outside in: what it is, its pen, and how far inside the outer face it lies."""
        return (("Shell, outside", FACE, "0"), ("Outer leaf, inside", LAYER, self.leaf), ("Inner leaf, outside", LAYER, self.inner), ("Room", FACE, self.shell))


def write(book: Book, boxes: Boxes, shown_to: Sequence[Audience], more: Sequence[Callable[[Page], Drawing]] = ()) -> Views:
    """Write the sheet of the points of plan and section; ``shown_to`` are the readers of pages that hold them.

    ``more`` writes further drawings on the same sheet.
    """
    points = sheet(book)
    sizes = Sizes(book, boxes)
    turned = "space_length-outside_length>space_width-outside_width"
    left = "MAX(0,plan_true_deep-plan_deep)"
    # Boxes beside the shell, and whoever services them, take their room before the door does, as long as the door can open.
    behind = f"({sizes.working}+{sizes.box_depth}*(1-({sizes.boxes.on_top})))"
    kept = f"MIN({behind},MAX(MIN({sizes.working},{left}),{left}-{sizes.door}))"
    for label, name, formula in (
        ("The space is measured: 1, or not: 0", "plan_measured", "=IF(COUNT(space_length,space_width)<2,0,1)"),
        ("The plan is turned: 1, or not: 0", "plan_turned", f"=IF(COUNT(space_length,space_width)<2,0,IF({turned},1,0))"),
        (f"Room, across, {sizes.unit}", "plan_room_across", "=IF(plan_turned=1,room_width,room_length)"),
        (f"Room, deep, {sizes.unit}", "plan_room_deep", "=IF(plan_turned=1,room_length,room_width)"),
        (f"Shell, across, {sizes.unit}", "plan_across", "=IF(plan_turned=1,outside_width,outside_length)"),
        (f"Shell, deep, {sizes.unit}", "plan_deep", "=IF(plan_turned=1,outside_length,outside_width)"),
        (f"Space, across, {sizes.unit}", "plan_true_across", "=IF(plan_turned=1,N(space_width),N(space_length))*plan_measured"),
        (f"Space, deep, {sizes.unit}", "plan_true_deep", "=IF(plan_turned=1,N(space_length),N(space_width))*plan_measured"),
        (f"Behind the shell, {sizes.unit}", "plan_behind", f"=IF(plan_measured=1,{kept},{behind})"),
        (f"Drawn, across, {sizes.unit}", "plan_space_across", "=MAX(plan_true_across,plan_across)"),
        (f"Drawn, deep, {sizes.unit}", "plan_space_deep", f"=MAX(plan_true_deep,plan_behind+plan_deep+{sizes.door})"),
        (f"Drawn, high, {sizes.unit}", "section_top", f"=MAX(N(space_height),outside_height+{sizes.box_depth}*{sizes.boxes.on_top})"),
        ("The air boxes find place: 1, or not: 0", "plan_boxes_fit", f"={boxes.fit}"),
    ):
        points.put(points.at, FIRST, label, font=look.SMALL)
        points.put(points.at, FIRST + 2, formula, font=look.SMALL, number_format=look.TWO)
        points.name(name, points.at, FIRST + 2)
        points.at += 1
    views = Views(_plan(points, sizes), _section(points, sizes), key(points, "plan_boxes_fit", ("space", SPACE)))
    return finish(points, views, shown_to, more)


def finish(points: Page, views: Views, shown_to: Sequence[Audience], more: Sequence[Callable[[Page], Drawing]] = ()) -> Views:
    """Write further drawings and finish the sheet of points; gives all views."""
    views = replace(views, more=tuple(draw(points) for draw in more))
    points.finish(points.at - 1)
    for audience in shown_to:
        points.show_to(audience)
    points.never_print()
    return views


_KEY: Final = "What the lines of plan and section mean: {0}."


def key(points: Page, fit: str, *found: tuple[str, Pen]) -> Drawing:
    """A strip of samples of the lines of plan and section, each with its word.

    ``found`` are those of what is there already, ``fit`` is 1 where the air boxes find place, else 0: only then boxes
    without one are in it.
    """
    entries = (("leaf", FACE), ("wool", WOOL), ("door", DOOR), ("swing", SWING), ("air box", AIR), *found, ("box does not fit", NO_PLACE))
    drawing = Drawing(points, "key", (18.4, 0.9), ("162", "-13"), _KEY.format(", ".join(word for word, _ in entries)))
    x = -8.0
    for word, pen in entries:
        shown, told = (f"*(1-{fit})", f'IF({fit}=1," ","{word}")') if pen is NO_PLACE else ("", f'"{word}"')
        drawing.line(f"Key: {word}", pen, [(f"{x:g}+{across:g}{shown}", f"{6.5 + up:g}-13") for across, up in _sample(pen)])
        drawing.word(f"Key: {word}, word", (f"{x + _SAMPLE:g}", "6.5-13"), told, "r")
        x += _SAMPLE + _APART + _LETTER * len(word)
    return drawing


_SAMPLE, _APART, _LETTER = 7.0, 4.0, 1.6
"""Of the key, in millimetres: a sample, what is left before and after its word, and a letter."""


def _sample(pen: Pen) -> list[tuple[float, float]]:
    """Points of a sample, across from its left and up from its middle: to and fro, a box, a pane, or a line."""
    if pen is WOOL:
        return [(step * _SAMPLE / 6, 1.0 if step % 2 else -1.0) for step in range(7)]
    if pen is AIR:
        return [(0, -1.5), (_SAMPLE, -1.5), (_SAMPLE, 1.5), (0, 1.5), (0, -1.5), (_SAMPLE, 1.5)]
    if pen is GLASS:
        return [(0, -0.9), (_SAMPLE, -0.9), (_SAMPLE, 0.9), (0, 0.9), (0, -0.9)]
    return [(0, 0), (_SAMPLE, 0)]


def _plan(points: Page, sizes: Sizes) -> Drawing:
    drawing = Drawing(points, "plan", SIZE, ("plan_space_across", "plan_space_deep"), _PLAN, SIDES)
    x, y = "(plan_space_across-plan_across)/2", "plan_space_deep-plan_behind-plan_deep"
    begins, under = "(plan_space_across-plan_true_across)/2", "plan_space_deep-plan_true_deep"
    drawing.rectangle("Space", SPACE, (begins, under), ("plan_true_across", "plan_true_deep"))
    for what, pen, inset in sizes.faces():
        drawing.rectangle(what, pen, (f"{x}+{inset}", f"{y}+{inset}"), (f"(plan_across-2*({inset}))", f"(plan_deep-2*({inset}))"))
    hinge = f"{x}+{sizes.shell}+plan_room_across*0.08"
    _wool(drawing, sizes, (x, y), hinge)
    drawing.rectangle("Door opening", LAYER, (hinge, y), (sizes.door, sizes.shell))
    drawing.door("Outer door", (hinge, y), sizes.door, -1)
    drawing.door("Inner door", (hinge, f"{y}+{sizes.shell}"), sizes.door, 1, 'IF(door_arrangement="pair",1,0)')
    top = f"{y}+plan_deep"
    foot = f"{top}-{sizes.box_depth}*{sizes.boxes.on_top}"
    box = f"{x}+plan_across-{sizes.box_length}"
    for what, pen, shown in (("Air boxes", AIR, "plan_boxes_fit"), ("Air boxes without a place", NO_PLACE, "(1-plan_boxes_fit)")):
        drawing.crossed(what, pen, (box, foot), (f"{sizes.box_length}*{shown}", f"{sizes.box_depth}*{shown}"))
    way, end, tip = f"{x}+plan_across-{sizes.shell}-{sizes.door}*0.4", f"{top}-{sizes.shell}-{sizes.door}*0.2", "1.2/plan_scale"
    into = [(way, f"{foot}+{sizes.box_depth}*0.5"), (way, end), (f"{way}-{tip}", f"{end}+{tip}"), (way, end), (f"{way}+{tip}", f"{end}+{tip}")]
    drawing.line("Air into the room", AIR, into)
    left, low, off = f"{x}+{sizes.shell}", f"{y}+{sizes.shell}", f"{BESIDE}/plan_scale"
    above, beside = f"plan_space_deep+{off}", f"plan_space_across+{off}"
    across, deep = _length("plan_room_across", sizes), _length("plan_room_deep", sizes)
    drawing.dimension("Across inside", (left, above), (f"{left}+plan_room_across", above), f'{across}&" inside"')
    drawing.dimension("Deep inside", (beside, low), (beside, f"{low}+plan_room_deep"), deep, "r")
    wide, high = f'{_length("plan_true_across", sizes)}&" space"', _length("plan_true_deep", sizes)
    drawing.dimension("Space across", (begins, f"-{off}"), (f"{begins}+plan_true_across", f"-{off}"), wide, "b", "plan_measured")
    drawing.dimension("Space deep", (f"-{off}", under), (f"-{off}", f"{under}+plan_true_deep"), high, "l", "plan_measured")
    drawing.word("Space not measured", ("plan_space_across/2", f"-{off}"), 'IF(plan_measured=1," ","space not measured")', "b")
    drawing.close()
    return drawing


def _wool(drawing: Drawing, sizes: Sizes, corner: tuple[str, str], hinge: str) -> None:
    """The wool in all four walls, but in the opening of the door."""
    x, y = corner
    gap = f"({sizes.gap})*{_FILLED}"
    start, run = f"{x}+{sizes.leaf}", f"(plan_across-2*({sizes.leaf}))*{_FILLED}"
    drawing.zigzag("Wool", WOOL, (start, f"{y}+plan_deep-{sizes.inner}"), (run, gap), 40)
    foot = f"{y}+{sizes.leaf}"
    drawing.zigzag("Wool before the door", WOOL, (start, foot), (f"({hinge}-({start}))*{_FILLED}", gap), 8)
    behind = f"{hinge}+{sizes.door}"
    drawing.zigzag("Wool after the door", WOOL, (behind, foot), (f"({x}+plan_across-{sizes.leaf}-({behind}))*{_FILLED}", gap), 28)
    deep = f"(plan_deep-2*({sizes.inner}))*{_FILLED}"
    for side, at in (("left", start), ("right", f"{x}+plan_across-{sizes.inner}")):
        drawing.zigzag(f"Wool at the {side}", WOOL, (at, f"{y}+{sizes.inner}"), (gap, deep), 40, upright=True)


_FILLED: Final = 'IF(cavity_fill="filled",1,0)'


def _section(points: Page, sizes: Sizes) -> Drawing:
    drawing = Drawing(points, "section", SIZE, ("plan_space_across", "section_top"), _SECTION, SIDES)
    x = "(plan_space_across-plan_across)/2"
    drawing.line("Floor", FACE, [("0", "0"), ("plan_space_across", "0")])
    there = "IF(N(space_height)=0,0,1)"
    drawing.line("Ceiling of the space", SPACE, [("0", "N(space_height)"), (f"plan_space_across*{there}", "N(space_height)")])
    for what, pen, inset in sizes.faces():
        foot = "0" if inset in ("0", sizes.leaf) else sizes.deck
        drawing.rectangle(what, pen, (f"{x}+{inset}", foot), (f"(plan_across-2*({inset}))", f"(outside_height-({inset})-({foot}))"))
    run = f"(plan_across-2*({sizes.leaf}))"
    gap = f"({sizes.gap})*{_FILLED}"
    drawing.zigzag("Wool", WOOL, (f"{x}+{sizes.leaf}", f"outside_height-{sizes.inner}"), (f"{run}*{_FILLED}", gap), 40)
    for side, at in (("left", f"{x}+{sizes.leaf}"), ("right", f"{x}+plan_across-{sizes.inner}")):
        high = f"(outside_height-{sizes.inner}-{sizes.deck})*{_FILLED}"
        drawing.zigzag(f"Wool at the {side}", WOOL, (at, sizes.deck), (gap, high), 40, upright=True)
    drawing.zigzag("Floor deck", LAYER, (f"{x}+{sizes.leaf}", "0"), (run, sizes.deck), 60)
    left = f"{x}+{sizes.shell}+plan_room_across*0.08"
    drawing.rectangle("Door", LAYER, (left, sizes.deck), (sizes.door, sizes.door_height))
    length = f"{sizes.box_length}*{sizes.boxes.on_top}"
    high = f"{sizes.box_depth}*{sizes.boxes.on_top}"
    for what, pen, shown in (("Air boxes on top", AIR, "plan_boxes_fit"), ("Air boxes on top without a place", NO_PLACE, "(1-plan_boxes_fit)")):
        drawing.crossed(what, pen, (f"{x}+plan_across-{length}", "outside_height"), (f"{length}*{shown}", f"{high}*{shown}"))
    off = f"{BESIDE}/section_scale"
    before, beside = f"{x}-{off}", f"{x}+plan_across+{off}"
    drawing.dimension("Room height", (before, sizes.deck), (before, f"{sizes.deck}+room_height"), _length("room_height", sizes), "l")
    drawing.dimension("Outside height", (beside, "0"), (beside, "outside_height"), _length("outside_height", sizes), "r")
    told = f'IF(N(space_height)=0,"space not measured",{_length("space_height", sizes)}&" space")'
    drawing.word("Space height", ("plan_space_across*0.5", "section_top"), told, "t")
    drawing.close()
    return drawing


def _length(name: str, sizes: Sizes) -> str:
    return f'TEXT({name},"0.0#")&" {sizes.unit}"'
