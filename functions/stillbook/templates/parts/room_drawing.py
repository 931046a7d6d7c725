"""Plan and section: the room in its shell, doors and their swings, air boxes, and the space around, to scale.

The plan shows the door in the side of the shell that has the most room before it, and the working room behind.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from stillbook.quantities import ROOM_LENGTH
from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts.drawing import AIR, DOOR, FACE, LAYER, NO_PLACE, SPACE, SWING, WOOL, Drawing, Pen, sheet
from stillbook.workbook.job.audience import Audience

SIZE: Final = (9.2, 7.4)
"""Of each on paper, in centimetres."""

_PLAN: Final = (
    "Plan to scale: the room in its two leaves with the wool between them, doors and their swings, air boxes, and the space around, with the "
    "sizes of the room and the space. The sizes also stand in the tables of this workbook."
)
_SECTION: Final = (
    "Section to scale: the room in its two leaves on its floor, the door, air boxes on top where they lie there, and the ceiling of the space, "
    "with the heights. The heights also stand in the tables of this workbook."
)

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
        each = book.pick("12", "1000")
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
    unmeasured = f"IF(COUNT(space_length,space_width)<2,{sizes.box_depth}+{sizes.door},0)"
    for label, name, formula in (
        ("The plan is turned: 1, or not: 0", "plan_turned", f"=IF(COUNT(space_length,space_width)<2,0,IF({turned},1,0))"),
        (f"Room, across, {sizes.unit}", "plan_room_across", "=IF(plan_turned=1,room_width,room_length)"),
        (f"Room, deep, {sizes.unit}", "plan_room_deep", "=IF(plan_turned=1,room_length,room_width)"),
        (f"Shell, across, {sizes.unit}", "plan_across", "=IF(plan_turned=1,outside_width,outside_length)"),
        (f"Shell, deep, {sizes.unit}", "plan_deep", "=IF(plan_turned=1,outside_length,outside_width)"),
        (f"Drawn, across, {sizes.unit}", "plan_space_across", "=MAX(IF(plan_turned=1,N(space_width),N(space_length)),plan_across)"),
        (f"Drawn, deep, {sizes.unit}", "plan_space_deep", f"=MAX(IF(plan_turned=1,N(space_length),N(space_width)),plan_deep+{unmeasured})"),
        (f"Behind the shell, {sizes.unit}", "plan_behind", f"=MIN(MAX({sizes.working},{sizes.box_depth}),plan_space_deep-plan_deep)"),
        (f"Drawn, high, {sizes.unit}", "section_top", f"=MAX(N(space_height),outside_height+{sizes.box_depth}*{sizes.boxes.on_top})"),
        ("The air boxes find place: 1, or not: 0", "plan_boxes_fit", f"={boxes.fit}"),
    ):
        points.put(points.at, FIRST, label, font=look.SMALL)
        points.put(points.at, FIRST + 2, formula, font=look.SMALL, number_format=look.TWO)
        points.name(name, points.at, FIRST + 2)
        points.at += 1
    views = Views(_plan(points, sizes), _section(points, sizes), key(points))
    return finish(points, views, shown_to, more)


def finish(points: Page, views: Views, shown_to: Sequence[Audience], more: Sequence[Callable[[Page], Drawing]] = ()) -> Views:
    """Write further drawings and finish the sheet of points; gives all views."""
    views = replace(views, more=tuple(draw(points) for draw in more))
    points.finish(points.at - 1)
    for audience in shown_to:
        points.show_to(audience)
    points.never_print()
    return views


_KEY: Final = "What the lines of plan and section mean: leaf, wool, door and its swing, air box, air box without a place, and what is there already."


def key(points: Page) -> Drawing:
    """A strip of samples of the lines of plan and section, each with its word."""
    drawing = Drawing(points, "key", (18.4, 0.9), ("162", "-13"), _KEY)
    each = 25.0
    for number, (word, pen) in enumerate(
        (("leaf", FACE), ("wool", WOOL), ("door", DOOR), ("its swing", SWING), ("air box", AIR), ("no place", NO_PLACE), ("there already", SPACE))
    ):
        x = number * each - 8
        points_of = [(f"{x + step * 1.5:g}", f"{6.5 if pen is not WOOL else 6.5 + (1 if step % 2 else -1):g}-13") for step in range(7)]
        drawing.line(f"Key: {word}", pen, points_of, label=f'"{word}"', at=6, side="r")
    return drawing


def _plan(points: Page, sizes: Sizes) -> Drawing:
    drawing = Drawing(points, "plan", SIZE, ("plan_space_across", "plan_space_deep"), _PLAN)
    x, y = "(plan_space_across-plan_across)/2", "plan_space_deep-plan_behind-plan_deep"
    measured = "IF(COUNT(space_length,space_width)<2,0,1)"
    drawing.rectangle("Space", SPACE, ("0", "0"), (f"plan_space_across*{measured}", f"plan_space_deep*{measured}"))
    for what, pen, inset in sizes.faces():
        drawing.rectangle(what, pen, (f"{x}+{inset}", f"{y}+{inset}"), (f"(plan_across-2*({inset}))", f"(plan_deep-2*({inset}))"))
    run = f"(plan_across-2*({sizes.leaf}))"
    drawing.zigzag("Wool", WOOL, (f"{x}+{sizes.leaf}", f"{y}+plan_deep-{sizes.inner}"), (run, sizes.gap), 40)
    hinge = f"{x}+{sizes.shell}+plan_room_across*0.08"
    drawing.rectangle("Door opening", LAYER, (hinge, y), (sizes.door, sizes.shell))
    drawing.door("Outer door", (hinge, y), sizes.door, -1)
    drawing.door("Inner door", (hinge, f"{y}+{sizes.shell}"), sizes.door, 1, 'IF(door_arrangement="pair",1,0)')
    top = f"{y}+plan_deep"
    foot = f"{top}-{sizes.box_depth}*{sizes.boxes.on_top}"
    box = f"{x}+plan_across-{sizes.box_length}"
    for what, pen, shown in (("Air boxes", AIR, "plan_boxes_fit"), ("Air boxes without a place", NO_PLACE, "(1-plan_boxes_fit)")):
        drawing.rectangle(what, pen, (box, foot), (f"{sizes.box_length}*{shown}", f"{sizes.box_depth}*{shown}"))
    way = f"{x}+plan_across-{sizes.shell}-{sizes.door}*0.4"
    drawing.line("Air into the room", AIR, [(way, f"{foot}+{sizes.box_depth}*0.5"), (way, f"{top}-{sizes.shell}-{sizes.door}*0.2")])
    drawing.word("Air boxes, words", (f"{box}+{sizes.box_length}/2", f"{foot}+{sizes.box_depth}/2"), '"air"')
    middle = f"{y}+{sizes.shell}+plan_room_deep*0.74"
    drawing.dimension("Across inside", (f"{x}+{sizes.shell}", middle), (f"{x}+{sizes.shell}+plan_room_across", middle), _length("plan_room_across", sizes))
    upright = f"{x}+{sizes.shell}+plan_room_across*0.8"
    low = f"{y}+{sizes.shell}"
    drawing.dimension("Deep inside", (upright, low), (upright, f"{low}+plan_room_deep"), _length("plan_room_deep", sizes), "l")
    under = "-6/plan_scale"
    told = f'IF(COUNT(space_length,space_width)<2,"space not measured",{_length("plan_space_across", sizes)}&" space")'
    drawing.dimension("Space across", ("0", under), ("plan_space_across", under), told, "b")
    drawing.close()
    return drawing


def _section(points: Page, sizes: Sizes) -> Drawing:
    drawing = Drawing(points, "section", SIZE, ("plan_space_across", "section_top"), _SECTION)
    x = "(plan_space_across-plan_across)/2"
    drawing.line("Floor", FACE, [("0", "0"), ("plan_space_across", "0")])
    drawing.line("Ceiling of the space", SPACE, [("0", "section_top"), ("plan_space_across", "section_top")])
    for what, pen, inset in sizes.faces():
        foot = "0" if inset in ("0", sizes.leaf) else sizes.deck
        drawing.rectangle(what, pen, (f"{x}+{inset}", foot), (f"(plan_across-2*({inset}))", f"(outside_height-({inset})-({foot}))"))
    run = f"(plan_across-2*({sizes.leaf}))"
    drawing.zigzag("Wool", WOOL, (f"{x}+{sizes.leaf}", f"outside_height-{sizes.inner}"), (run, sizes.gap), 40)
    drawing.zigzag("Floor deck", LAYER, (f"{x}+{sizes.leaf}", "0"), (run, sizes.deck), 60)
    left = f"{x}+{sizes.shell}+plan_room_across*0.08"
    drawing.rectangle("Door", LAYER, (left, sizes.deck), (sizes.door, sizes.door_height))
    length = f"{sizes.box_length}*{sizes.boxes.on_top}"
    drawing.rectangle("Air boxes on top", AIR, (f"{x}+plan_across-{length}", "outside_height"), (length, f"{sizes.box_depth}*{sizes.boxes.on_top}"))
    upright = f"{x}+{sizes.shell}+plan_room_across*0.9"
    drawing.dimension("Room height", (upright, sizes.deck), (upright, f"{sizes.deck}+room_height"), _length("room_height", sizes), "l")
    beside = f"{x}+plan_across+5/section_scale"
    drawing.dimension("Outside height", (beside, "0"), (beside, "outside_height"), _length("outside_height", sizes), "r")
    told = f'IF(N(space_height)=0,"space not measured",{_length("section_top", sizes)}&" space")'
    drawing.word("Space height", ("plan_space_across*0.5", "section_top"), told, "t")
    drawing.close()
    return drawing


def _length(name: str, sizes: Sizes) -> str:
    return f'TEXT({name},"0.0#")&" {sizes.unit}"'
