"""Plan and section of the conversion: the room as found, the leaves added in it, its window, its door and the air boxes.

Walls stand as they are named: A below, B at the right, C above, D at the left.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Final

from stillbook.quantities import LENGTH, ROOM_LENGTH
from stillbook.templates import look
from stillbook.templates.conversion.inputs import FRAMES, NEW, WALLS
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts.drawing import AIR, DOOR, FACE, GLASS, LAYER, NO_PLACE, SPACE, SWING, WOOL, Drawing, Pen, Point, sheet
from stillbook.templates.parts.room_drawing import BESIDE, SIDES, SIZE, Views, finish, key
from stillbook.templates.parts.wall_drawing import Layer, boards, gap, studs
from stillbook.workbook.job.audience import Audience

_PLAN: Final = (
    "Plan to scale: the room as found with its walls by their letters, the leaves added in it with the wool behind them, the window with its new pane, the "
    "door and its swing, and the air boxes outside a wall, with the sizes inside above and at the right, and as found below and at the left. The Surfaces "
    "sheet holds the figures."
)
_SECTION: Final = (
    "Section to scale: the room as found, the new ceiling, walls and deck in it, and the door, with the height inside at the left and as found at the "
    "right. The Surfaces sheet holds the figures."
)
_FITS: Final = 'IF(OR(check_fits_boxes="Fails",check_fits_shell="Fails"),0,1)'


def write(book: Book, shown_to: Sequence[Audience], more: Sequence[Callable[[Page], Drawing]]) -> Views:
    """Write the sheet of the points; ``shown_to`` are the readers of pages that hold them, ``more`` draws on the same sheet."""
    points = sheet(book)
    each = book.units_in(LENGTH, ROOM_LENGTH)
    wall = {name: f'IF(wall_{name.lower()}_plan="{NEW}",wall_depth,0)/{each}' for name in WALLS}
    number = "".join(f'IF({{0}}_wall="{name}",{place},' for place, name in enumerate(WALLS[:-1], start=1)) + f"{len(WALLS)}" + ")" * (len(WALLS) - 1)
    near = 'IF(wall_near_board_1="",0,wall_found_gap+wall_near_thickness)'
    glass = f"window_width/{each}*{_GLAZED}"
    for label, name, formula in (
        ("Wall as found, thickness", "plan_wall", f"=(wall_far_thickness+{near})/{each}"),
        *((f"Added at wall {name}", f"plan_added_{name.lower()}", f"={formula}") for name, formula in wall.items()),
        ("The door's wall: 1 A to 4 D", "plan_door_wall", f"={number.format('door')}"),
        ("The window's wall: 1 A to 4 D", "plan_window_wall", f"={number.format('window')}"),
        ("The boxes' wall: 1 A to 4 D", "plan_box_wall", "=IF(OR(plan_door_wall=2,plan_window_wall=2),IF(OR(plan_door_wall=4,plan_window_wall=4),3,4),2)"),
        ("Added at the door's wall", "plan_added_door", "=CHOOSE(plan_door_wall,plan_added_a,plan_added_b,plan_added_c,plan_added_d)"),
        ("Added at the window's wall", "plan_added_window", "=CHOOSE(plan_window_wall,plan_added_a,plan_added_b,plan_added_c,plan_added_d)"),
        ("The door's wall, length", "plan_door_run", "=IF(MOD(plan_door_wall,2)=1,existing_length,existing_width)"),
        ("The window's wall, length", "plan_window_run", "=IF(MOD(plan_window_wall,2)=1,existing_length,existing_width)"),
        ("The boxes' wall, length", "plan_box_run", "=IF(MOD(plan_box_wall,2)=1,existing_length,existing_width)"),
        ("The door, from", "plan_door_from", "=plan_door_run*0.14"),
        ("and to", "plan_door_to", f"=plan_door_from+door_width/{each}"),
        ("The window, from", "plan_window_from", f"=MAX(0,MIN(plan_window_run*0.62-{glass}/2,plan_window_run-{glass}))"),
        ("and to", "plan_window_to", f"=plan_window_from+{glass}"),
        *((label, name, f"={formula}") for label, name, formula in _stretches(f"inner_thickness/{each}")),
        ("Outside the walls", "plan_round", f"=plan_wall+MAX(door_width,MIN(baffle_outer_width,baffle_outer_height))/{each}"),
        ("Drawn, across", "plan_space_across", "=existing_length+2*plan_round"),
        ("Drawn, deep", "plan_space_deep", "=existing_width+2*plan_round"),
        ("Drawn, high", "section_top", f"=existing_height+ceiling_far_thickness/{each}"),
    ):
        points.put(points.at, FIRST, label, font=look.SMALL)
        points.put(points.at, FIRST + 2, formula, font=look.SMALL, number_format=look.TWO)
        points.name(name, points.at, FIRST + 2)
        points.at += 1
    return finish(
        points, Views(_plan(book, points, each), _section(book, points, each), key(points, _FITS, ("window", GLASS), ("as found", SPACE))), shown_to, more
    )


def wall(book: Book) -> list[Layer]:
    """The wall of the conversion, from its far side into the room."""
    frames = f'IF(wall_fixing="{FRAMES}",1,0)'
    stays = '(1-wall_open)*IF(wall_near_board_1="",0,1)'
    unit = book.unit(LENGTH)
    found = f'wall_found_framing&", cavity as found "&wall_found_gap&" {unit}"&IF(wall_found_fill="filled",", wool","")'
    filled = 'IF(OR(wall_found_fill="filled",AND(wall_open=1,cavity_fill="filled")),1,0)'
    return [
        *boards("wall_far", "Far leaf as found", outward=True),
        Layer("Cavity as found", "studs", 'IF(wall_near_board_1="",0,wall_found_gap)', found, wool=filled),
        *boards("wall_near", "Old board", outward=False, there=stays),
        gap(book, "Gap to the old wall", "frame_gap", "gap, nothing bridges it:", there=frames),
        studs(book, "New frame", "stud_depth", there=frames),
        Layer("Clips or channels", "gap", f"clip_depth*(1-{frames})", f'wall_fixing&" "&clip_depth&" {unit}"'),
        *boards("inner", "New leaf", outward=False),
    ]


def _at(wall: str | int, along: str, out: str) -> Point:
    """A point by its place along a wall, from its lower or left end, and how far outside its inner face it lies.

    The wall is a number, 1 for A to 4 for D, or the name of a cell that holds it.
    """
    across = (along, f"existing_length+{out}", along, f"-({out})")
    up = (f"-({out})", along, f"existing_width+{out}", along)
    if isinstance(wall, int):
        return f"plan_round+({across[wall - 1]})", f"plan_round+({up[wall - 1]})"
    return f"plan_round+CHOOSE({wall},{','.join(across)})", f"plan_round+CHOOSE({wall},{','.join(up)})"


def _box(drawing: Drawing, what: str, pen: Pen, wall: str, along: tuple[str, str], out: tuple[str, str]) -> None:
    """A rectangle in a wall, by two places along it and two outside its inner face."""
    corners = ((0, 0), (1, 0), (1, 1), (0, 1), (0, 0), *([(1, 1)] if pen in (AIR, NO_PLACE) else []))
    drawing.line(what, pen, [_at(wall, along[first], out[second]) for first, second in corners])


_FILLED: Final = 'IF(cavity_fill="filled",1,0)'
_GLAZED: Final = "IF(window_area>0,1,0)"


_STRETCHES: Final = ((1, "before the door", 8), (2, "after it", 24), (3, "after the window", 14))
"""The wool behind the new leaf of a wall, from its lower or left end: its parts, and the teeth each is drawn with."""


def _stretches(leaf: str) -> Iterator[tuple[str, str, str]]:
    """Where the wool of each wall begins and how long each of its parts is, but in its door and in its window."""
    for number, name in enumerate(WALLS, start=1):
        key, run = f"plan_wool_{name.lower()}", "existing_length" if name in "AC" else "existing_width"
        first, last = ("plan_added_d", f"{run}-plan_added_b") if name in "AC" else ("plan_added_a", f"{run}-plan_added_c")
        yield f"Wool, wall {name}: depth", f"{key}_deep", f"MAX(0,plan_added_{name.lower()}-{leaf})*{_FILLED}"
        opens, shuts = (f"IF(plan_door_wall={number},plan_door_{end},{first})" for end in ("from", "to"))
        sees, blind = (f"IF(plan_window_wall={number},MAX(plan_window_{end},{shuts}),{last})" for end in ("from", "to"))
        for (part, what, _), start, end in zip(_STRETCHES, (first, shuts, blind), (opens, sees, last), strict=True):
            yield f"Wool, wall {name}, {what}: from", f"{key}_from_{part}", start
            yield "and its length", f"{key}_long_{part}", f"MAX(0,({end})-{key}_from_{part})*({key}_deep>0)"


def _wool(drawing: Drawing, number: int) -> None:
    """The wool behind the new leaf of a wall."""
    name = WALLS[number - 1]
    key = f"plan_wool_{name.lower()}"
    for part, what, teeth in _STRETCHES:
        points = ((f"{key}_from_{part}+{key}_long_{part}*{n / teeth:.4g}", f"-{key}_deep*{0.9 if n % 2 else 0.1}") for n in range(teeth + 1))
        drawing.line(f"Wool, wall {name}, {what}", WOOL, [_at(number, along, out) for along, out in points])


def _plan(book: Book, points: Page, each: str) -> Drawing:
    drawing = Drawing(points, "plan", SIZE, ("plan_space_across", "plan_space_deep"), _PLAN, SIDES)
    corner = "plan_round"
    drawing.rectangle(
        "Walls as found, outside", SPACE, (f"{corner}-plan_wall", f"{corner}-plan_wall"), ("existing_length+2*plan_wall", "existing_width+2*plan_wall")
    )
    drawing.rectangle("Walls as found, inside", LAYER, (corner, corner), ("existing_length", "existing_width"))
    left, foot = f"{corner}+plan_added_d", f"{corner}+plan_added_a"
    drawing.rectangle("Room", FACE, (left, foot), ("room_length", "room_width"))
    leaf = f"inner_thickness/{each}"
    door, out, inside = f"door_width/{each}", "plan_wall", "-plan_added_door"
    hinge = "plan_door_from"
    _box(drawing, "Door opening", LAYER, "plan_door_wall", (hinge, "plan_door_to"), (inside, out))
    _swing(drawing, "Outer door", "plan_door_wall", hinge, door, out, "1", "1")
    _swing(drawing, "Inner door", "plan_door_wall", hinge, door, inside, "-1", 'IF(door_arrangement="pair",1,0)')
    there, ends = _GLAZED, ("plan_window_from", "plan_window_to")
    _box(drawing, "Window, reveal", LAYER, "plan_window_wall", ends, (f"-plan_added_window*{there}", f"plan_wall*{there}"))
    for number in range(1, len(WALLS) + 1):
        _wool(drawing, number)
    for what, place in (("pane as found", f"plan_wall*0.5*{there}"), ("new pane", f"-MAX(0,plan_added_window-{leaf}/2)*{there}")):
        drawing.line(f"Window, {what}", GLASS, [_at("plan_window_wall", end, place) for end in ends])
    run, deep = f"MIN(baffle_length/{each},plan_box_run)", f"MIN(baffle_outer_width,baffle_outer_height)/{each}"
    for what, pen, shown in (("Air boxes", AIR, _FITS), ("Air boxes without a place", NO_PLACE, f"(1-{_FITS})")):
        start = f"(plan_box_run-{run})/2"
        _box(drawing, what, pen, "plan_box_wall", (start, f"({start}+{run}*{shown})"), ("plan_wall", f"(plan_wall+{deep}*{shown})"))
    for number, name in enumerate(WALLS, start=1):
        run = "existing_length" if name in "AC" else "existing_width"
        low, high = (2, 4) if name in "AC" else (3, 1)  # the walls whose door swings over the far end of this one, and over the near one
        clear = f"IF(plan_door_wall={low},0.25,IF(plan_door_wall={high},0.8,0.56))"
        free = f"IF(plan_door_wall={number},(plan_door_to+{run})/2,{run}*{clear})"
        drawing.word(f"Wall {name}", _at(number, free, f"(-plan_added_{name.lower()}-4/plan_scale)"), f'"{name}"')
    unit, off = book.unit(ROOM_LENGTH), f"{BESIDE}/plan_scale"
    above, beside = f"plan_space_deep+{off}", f"plan_space_across+{off}"
    drawing.dimension("Length inside", (left, above), (f"{left}+room_length", above), f'{_told("room_length", unit)}&" inside"')
    drawing.dimension("Width inside", (beside, foot), (beside, f"{foot}+room_width"), _told("room_width", unit), "r")
    length, width = _told("existing_length", unit), _told("existing_width", unit)
    drawing.dimension("Length as found", (corner, f"-{off}"), (f"{corner}+existing_length", f"-{off}"), f'{length}&" as found"', "b")
    drawing.dimension("Width as found", (f"-{off}", corner), (f"-{off}", f"{corner}+existing_width"), width, "l")
    drawing.close()
    return drawing


def _swing(drawing: Drawing, what: str, wall: str, hinge: str, width: str, face: str, out: str, shown: str) -> None:
    """A door open at a right angle to its wall, and its swing."""
    size = f"{width}*{shown}"
    drawing.line(what, DOOR, [_at(wall, hinge, face), _at(wall, hinge, f"({face}+{out}*{size})")])
    arc = [(0.0, 1.0), (0.195, 0.981), (0.383, 0.924), (0.556, 0.831), (0.707, 0.707), (0.831, 0.556), (0.924, 0.383), (0.981, 0.195), (1.0, 0.0)]
    drawing.line(f"{what}, swing", SWING, [_at(wall, f"({hinge}+{size}*{along:g})", f"({face}+{out}*{size}*{off:g})") for along, off in arc])


def _section(book: Book, points: Page, each: str) -> Drawing:
    drawing = Drawing(points, "section", SIZE, ("plan_space_across", "section_top"), _SECTION, SIDES)
    left = "plan_round"
    drawing.rectangle("Room as found", SPACE, (left, "0"), ("existing_length", "existing_height"))
    above = f'IF(ceiling_plan="{NEW}",ceiling_depth,0)/{each}'
    deck = f'IF(floor_plan="{NEW}",floor_depth,0)/{each}'
    leaf = f"inner_thickness/{each}"
    inner = f"{left}+plan_added_d"
    drawing.rectangle("Room", FACE, (inner, deck), ("room_length", "room_height"))
    over = f"MAX(0,{above}-{leaf})*{_FILLED}"
    drawing.zigzag("Wool over the ceiling", WOOL, (inner, f"existing_height-{over}"), (f"room_length*({over}>0)", over), 40)
    for name, x in (("D", left), ("B", f"{inner}+room_length+{leaf}*(plan_added_b>0)")):
        deep = f"MAX(0,plan_added_{name.lower()}-{leaf})*{_FILLED}"
        drawing.zigzag(f"Wool, wall {name}", WOOL, (x, deck), (deep, f"room_height*({deep}>0)"), 40, upright=True)
    drawing.zigzag("Floor deck", LAYER, (inner, "0"), (f"room_length*({deck}>0)", deck), 60)
    across = f"MIN(door_width/{each},room_length*0.9)"
    drawing.rectangle("Door", DOOR, (f"{inner}+room_length*0.06", deck), (across, f"door_height/{each}"))
    unit = book.unit(ROOM_LENGTH)
    off = f"{BESIDE}/section_scale"
    before, beside = f"{left}-{off}", f"{left}+existing_length+{off}"
    drawing.dimension("Room height", (before, deck), (before, f"{deck}+room_height"), _told("room_height", unit), "l")
    drawing.dimension("Height as found", (beside, "0"), (beside, "existing_height"), _told("existing_height", unit), "r")
    drawing.close()
    return drawing


def _told(name: str, unit: str) -> str:
    return f'TEXT({name},"0.0#")&" {unit}"'
