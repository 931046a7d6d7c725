"""The way of the air as a line: each element in its order, with the speed of the air in it; those too fast are marked.

The elements stand one step apart, a sixth of the longer duct: a diagram, whose order and figures count, not its lengths.
"""

from __future__ import annotations

from typing import Final

from stillbook.quantities import AIR_SPEED, AIRFLOW, LENGTH, ROOM_LENGTH
from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts.drawing import AIR, FACE, LAYER, NO_PLACE, Drawing
from stillbook.templates.parts.quiet_room.air_ways import HAS_FAN, HAS_FLEXIBLE, HAS_NO_BOX, OUT, SUPPLY

SIZE: Final = (18.6, 6.2)
"""On paper, in centimetres."""
_STEPS: Final = 6.4
_TOLD: Final = (
    "Diagram of the way of the air: above from where it comes through fan, duct, elbows, baffle box and grille into the room, below out again, with the size "
    "of each element and the speed of the air in it, those faster than quiet framed. The table of air speeds on this sheet holds the figures."
)


def write(book: Book, points: Page) -> Drawing:
    """Write the points of the ducts on their sheet."""
    points.put(points.at, FIRST, "Ducts, one step", font=look.SMALL)
    points.put(points.at, FIRST + 2, "=MAX(duct_length,way_out_length)/6", font=look.SMALL, number_format=look.TWO)
    points.name("duct_step", points.at, FIRST + 2)
    points.at += 1
    high = (SIZE[1] * 10 - 22) / (SIZE[0] * 10 - 22) * _STEPS
    drawing = Drawing(points, "ducts", SIZE, (f"({_STEPS:g}*duct_step)", f"({high:.3f}*duct_step)"), _TOLD)
    small, large, speed, flow = (book.unit(kind) for kind in (LENGTH, ROOM_LENGTH, AIR_SPEED, AIRFLOW))
    digits = book.pick("0", "0.00")
    size = f'TEXT(duct_width,"0")&" × "&TEXT(duct_height,"0")&" {small}, "'
    box = f'TEXT(baffle_length,"0")&" {small} box"'
    grille = f'TEXT(grille_width,"0")&" × "&TEXT(grille_height,"0")&" {small}"'

    def moving(name: str) -> str:
        return f'TEXT({name},"{digits}")&" {speed}"'

    has_fan, has_box = f"IF({HAS_FAN},1,0)", f"IF({HAS_NO_BOX},0,1)"
    for way, up, flows, length, elbows, fan, silenced, boxed, fast in (
        ("In", f"{high - 0.35:.3f}", "airflow", "duct_length", "elbow_count", "1", SUPPLY.silenced, "1", "speed_duct"),
        ("Out", "0.35", "way_out_airflow", "way_out_length", "way_out_elbows", has_fan, OUT.silenced, has_box, "speed_return"),
    ):
        y = f"{up}*duct_step"
        edge = "5.6*duct_step"
        drawing.line(f"{way}: line", LAYER, [("0.2*duct_step", y), (edge, y)])
        ends = [("0.45*duct_step", f"({up}+0.06)*duct_step"), ("0.2*duct_step", y), ("0.45*duct_step", f"({up}-0.06)*duct_step")]
        tip = [("5.42*duct_step", f"({up}+0.06)*duct_step"), (edge, y), ("5.42*duct_step", f"({up}-0.06)*duct_step")]
        drawing.line(f"{way}: arrow", AIR, tip if way == "In" else ends)
        drawing.word(f"{way}: end", ("0.2*duct_step", f"({up}+0.1)*duct_step"), '"from: "&air_source' if way == "In" else '"out"', "t")
        radius = f"0.13*duct_step*{fan}"
        drawing.circle(f"{way}: fan", AIR, ("1.15*duct_step", y), radius)
        drawing.line(f"{way}: blades", AIR, [(f"1.15*duct_step-{radius}*0.7", f"{y}-{radius}*0.7"), (f"1.15*duct_step+{radius}*0.7", f"{y}+{radius}*0.7")])
        moved = f'TEXT({flows},"0")&" {flow}"&IF({silenced},", silencer","")'
        _said(drawing, f"{way}: fan", up, 1.15, f'IF({fan}=1,"fan"," ")', moved, f"IF(OR({fan}=1,{silenced}),1,0)")
        for side in ("+", "-"):
            drawing.line(f"{way}: duct {side}", AIR, [("1.85*duct_step", f"({up}{side}0.07)*duct_step"), ("2.55*duct_step", f"({up}{side}0.07)*duct_step")])
        _said(drawing, f"{way}: duct", up, 2.2, f'{size}&TEXT({length},"0.0")&" {large}"', moving(fast))
        bend = f"0.1*duct_step*({elbows}>0)"
        drawing.line(
            f"{way}: elbows",
            AIR,
            [(f"3.1*duct_step-{bend}", f"{y}-{bend}"), (f"3.1*duct_step-{bend}", f"{y}+{bend}"), (f"3.1*duct_step+{bend}", f"{y}+{bend}")],
        )
        _said(drawing, f"{way}: elbows", up, 3.1, f'{elbows}&IF({elbows}=1," elbow"," elbows")', moving(fast), f"({elbows}>0)")
        corner, wide, tall = ("3.75*duct_step", f"({up}-0.12)*duct_step"), f"0.5*duct_step*{boxed}", f"0.24*duct_step*{boxed}"
        drawing.rectangle(f"{way}: baffle box", FACE, corner, (wide, tall))
        for number, (foot, top) in enumerate(((0, 0.65), (0.35, 1), (0, 0.65)), start=1):
            at = f"{corner[0]}+{wide}*{number / 4:g}"
            drawing.line(f"{way}: baffle {number}", LAYER, [(at, f"{corner[1]}+{tall}*{foot:g}"), (at, f"{corner[1]}+{tall}*{top:g}")])
        _said(drawing, f"{way}: baffle box", up, 4.0, box, moving("speed_box"), boxed)
        drawing.rectangle(f"{way}: grille", AIR, ("4.9*duct_step", f"({up}-0.12)*duct_step"), ("0.08*duct_step", "0.24*duct_step"))
        for number in range(1, 4):
            at = f"({up}-0.12+{number * 0.06:g})*duct_step"
            drawing.line(f"{way}: slat {number}", LAYER, [("4.9*duct_step", at), ("4.98*duct_step", at)])
        end = f'IF({HAS_FLEXIBLE},"flexible, ","")&"grille "&{grille}'
        _said(drawing, f"{way}: grille", up, 4.94, end, moving("speed_grille"))
        for what, middle, name, shown in (("duct", 2.2, fast, "1"), ("baffle box", 4.0, "speed_box", boxed), ("grille", 4.94, "speed_grille", "1")):
            too = f"IF({name}>quiet_speed*1.0000001,1,0)*{shown}"
            half = 0.4 if what != "grille" else 0.12
            drawing.rectangle(
                f"{way}: {what} too fast",
                NO_PLACE,
                (f"{middle - half:g}*duct_step", f"({up}-0.17)*duct_step"),
                (f"{2 * half:g}*duct_step*{too}", f"0.34*duct_step*{too}"),
            )
    drawing.rectangle("Room", FACE, ("5.6*duct_step", "0.1*duct_step"), ("0.75*duct_step", f"{high - 0.2:.3f}*duct_step"))
    drawing.word("Room, words", ("5.975*duct_step", f"{high / 2:.3f}*duct_step"), '"room"')
    drawing.close()
    return drawing


def _said(drawing: Drawing, what: str, up: str, middle: float, name: str, figure: str, shown: str = "1") -> None:
    """The name of an element over it, and its figure under it."""
    for words, side, off in ((name, "t", "+0.14"), (figure, "b", "-0.14")):
        drawing.word(
            f"{what}, {'name' if side == 't' else 'figure'}", (f"{middle:g}*duct_step", f"({up}{off})*duct_step"), f'IF({shown}*1=1,{words}," ")', side
        )
