"""The build-up of a wall, drawn at a larger scale from one side to the other, each layer with its name.

A layer that is not there has no thickness and no words. The first layer of a leaf lies on its frame.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from stillbook.quantities import LENGTH, ROOM_LENGTH
from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts.drawing import FACE, FRAME, LAYER, WOOL, WORDS, Drawing
from stillbook.templates.parts.walls import LAYERS, count, material, thickness

SIZE: Final = (17.6, 6.4)
"""On paper, in centimetres."""
ROWS: Final = 13
"""Rows of usual height that it takes."""

_PIECE: Final = 1.2
"""Length of the piece of wall drawn, in thicknesses of the wall."""
_BEFORE, _AFTER = 20.0, 92.0
"""Paper for the dimension at the left and the names at the right, in millimetres."""
_SPREAD: Final = 6.0
"""How far the names reach over and under the wall, so that none lies on another, in millimetres."""
_SHEETS: Final = 4
"""Most sheets of a layer that are told apart by lines."""

_TOLD: Final = (
    "Wall build-up to a larger scale, from one side to the other: each layer of board with its sheets, frames with their studs and wool, and the gap between, "
    "named at the right, with the thickness of the wall at the left. The tables of this workbook hold the figures."
)


@dataclass(frozen=True)
class Layer:
    """One layer of a wall, by formulas.

    Args:
        what: What it is, in the table of points.
        kind: Sheets of board, a frame with studs, or a gap.
        thickness: In the unit of small lengths; 0 where it is not there.
        words: What its name says.
        sheets: How many sheets it has.
        wool: 1 where a frame is filled with wool, 0 where not.
    """

    what: str
    kind: Literal["board", "studs", "gap"]
    thickness: str
    words: str
    sheets: str = "1"
    wool: str = "0"


def boards(leaf: str, what: str, *, outward: bool, there: str = "1") -> list[Layer]:
    """The layers of a leaf, the first on its frame; ``outward`` where the frame lies on the room's side of them."""
    layers = []
    for number in range(1, LAYERS + 1):
        board, sheets = material(leaf, number), count(leaf, number)
        thick = f'IF({board}="",0,{thickness(leaf, number)}*{there})'
        layers.append(Layer(f"{what}, layer {number}", "board", thick, f'{sheets}&" × "&{board}', f"N({sheets})"))
    return layers[::-1] if outward else layers


def studs(book: Book, what: str, depth: str, *, there: str = "1", fill: str = "cavity_fill") -> Layer:
    """A frame with its studs, and wool where the cavity is filled."""
    unit = book.unit(LENGTH)
    words = f'"studs "&{depth}&" {unit} at "&stud_spacing&" {unit}"&IF({fill}="filled",", "&wool_material,", no wool")'
    return Layer(what, "studs", f"{depth}*{there}", words, wool=f'IF({fill}="filled",1,0)')


def gap(book: Book, what: str, depth: str, words: str, *, there: str = "1") -> Layer:
    """A gap, or what is hidden in it."""
    return Layer(what, "gap", f"{depth}*{there}", f'"{words} "&{depth}&" {book.unit(LENGTH)}"')


def write(book: Book, points: Page, layers: Sequence[Layer], outside: str) -> Drawing:
    """Write the points of a wall on their sheet; ``outside`` says what lies on its far side."""
    each = book.units_in(LENGTH, ROOM_LENGTH)
    first = points.at
    for number, layer in enumerate(layers):
        points.put(points.at, FIRST, f"{layer.what}: thickness, from", font=look.SMALL)
        begins = f"=$E${points.at - 1}+$D${points.at - 1}" if number else "=0"
        for offset, formula in ((2, f"=({layer.thickness})/{each}"), (3, begins)):
            points.put(points.at, FIRST + offset, formula, font=look.SMALL, number_format=look.THREE)
        named = f'=COUNTIF($D${first}:$D${points.at},">0")'
        points.put(points.at, FIRST + 4, named, font=look.SMALL, number_format=look.WHOLE)
        points.at += 1
    width = SIZE[0] * 10 - 22
    for label, name, formula in (
        ("Wall, thickness", "wall_drawn_thickness", f"=SUM($D${first}:$D${points.at - 1})"),
        ("Wall, drawn across", "wall_drawn_across", f"=wall_drawn_thickness*{_PIECE:g}*{width / (width - _BEFORE - _AFTER + 22):.4f}"),
    ):
        points.put(points.at, FIRST, label, font=look.SMALL)
        points.put(points.at, FIRST + 2, formula, font=look.SMALL, number_format=look.THREE)
        points.name(name, points.at, FIRST + 2)
        points.at += 1
    drawing = Drawing(points, "wall", SIZE, ("wall_drawn_across", "wall_drawn_thickness"), _TOLD)
    left, run = f"{_BEFORE - 11:g}/wall_scale", f"wall_drawn_thickness*{_PIECE:g}"
    for number, layer in enumerate(layers):
        thick, foot = f"$D${first + number}", f"$E${first + number}"
        _layer(book, drawing, layer, (left, foot), (run, thick), 0.25 if number % 2 else 0.6)
    for number, layer in enumerate(layers):
        thick, foot = f"$D${first + number}", f"$E${first + number}"
        shown = f"({thick}>0)"
        slot = f"(wall_drawn_thickness+{2 * _SPREAD:g}/wall_scale)*($F${first + number}-0.5)/$F${first + len(layers) - 1}-{_SPREAD:g}/wall_scale"
        middle = f"({foot}+{thick}/2)"
        label_at = (f"{left}+{run}", middle)
        named_at = (f"{left}+{run}+6/wall_scale*{shown}", f"{middle}+({slot}-({middle}))*{shown}")
        drawing.line(f"{layer.what}, name", WORDS, [label_at, named_at], label=f'IF({thick}>0,{layer.words},"\u00a0")', at=1, side="r")
    beside = "2/wall_scale"
    thickness = f'TEXT(wall_drawn_thickness*{each},"{book.pick("0.0", "0")}")&" {book.unit(LENGTH)}"'
    drawing.dimension("Wall, all together", (beside, "0"), (beside, "wall_drawn_thickness"), thickness, "l")
    drawing.word("Outside", (f"{left}+{run}/2", "0"), f'"{outside}"', "b")
    drawing.word("Inside", (f"{left}+{run}/2", "wall_drawn_thickness"), '"room"', "t")
    drawing.close()
    return drawing


def _layer(book: Book, drawing: Drawing, layer: Layer, corner: tuple[str, str], size: tuple[str, str], place: float) -> None:
    (x, y), (long, thick) = corner, size
    run = f"({long})*({thick}>0)"
    if layer.kind == "board":
        drawing.rectangle(layer.what, FACE, corner, (run, thick))
        for sheet in range(1, _SHEETS):
            at = f"{y}+{thick}*MIN(1,{sheet}/MAX(1,{layer.sheets}))"
            drawing.line(f"{layer.what}, sheet {sheet}", LAYER, [(x, at), (f"{x}+{run}", at)])
    elif layer.kind == "studs":
        wide = f"MIN({book.pick('1.5/12', '38/1000')},{run}*0.15)*({thick}>0)"
        stud = f"{x}+{run}*{place:g}"
        drawing.rectangle(f"{layer.what}, stud", FRAME, (stud, y), (wide, thick))
        drawing.line(f"{layer.what}, grain", FRAME, [(stud, y), (f"{stud}+{wide}", f"{y}+{thick}")])
        full = f"{thick}*{layer.wool}"
        shown = f"({full}>0)"
        drawing.zigzag(f"{layer.what}, wool left", WOOL, (x, y), (f"{run}*{place:g}*{shown}", full), 12)
        drawing.zigzag(f"{layer.what}, wool right", WOOL, (f"{stud}+{wide}", y), (f"({run}*{1 - place:g}-{wide})*{shown}", full), 20)
