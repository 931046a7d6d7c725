"""Shell: build-up of each leaf, mass, thickness, outside size and weight on the floor."""

from __future__ import annotations

from collections.abc import Sequence

from stillbook.quantities import AREA, LENGTH, MASS, ROOM_LENGTH, SURFACE_MASS, VOLUME
from stillbook.templates import look
from stillbook.templates.booth import beside
from stillbook.templates.page import Book, Page, ResultRow
from stillbook.templates.parts import wall_drawing
from stillbook.templates.parts.drawing import Drawing
from stillbook.templates.parts.inputs import ON_TOP
from stillbook.templates.parts.quiet_room.allowances import DUCTS_AND_FAN, PERSON, TREATMENT_MASS
from stillbook.templates.parts.table import Column, Table


def write(book: Book, wall: Drawing) -> Page:
    """Write the sheet; ``wall`` is the drawing of the build-up of its walls."""
    page = book.page(
        "Shell", "Two leaves on separate frames: what each weighs, how thick the shell is, and what it puts on the floor.", (36, 10.5, 8.5, 36, 10.5, 8.5)
    )
    beside.write(page, (("Leaves", _leaves(book)), ("In the space", _space(book))), (("Sizes", _sizes(book)),))
    page.note(
        "Left of the space: both ends and both sides together; working room is that on each side, with the shell in the middle. Boxes lie or hang flat, with "
        "room before the face, over the shell or away from the door; less than 0 over its wall or top is place left. The vision window is not taken off the "
        "walls, nor in the isolation. From three times its resonance on the underlay the floor keeps footsteps and bass. "
        "Joists lie along the shorter side: their span is clear, their length with the bearing on both frames."
    )
    page.skip()
    page.heading("Wall build-up", "to scale, from the room to the space around")
    wall.show(page, page.at)
    page.skip(wall_drawing.ROWS)
    _weights(book, page)
    page.caution(
        "Caution: a shell of this weight is a dead load the floor may not have been built for. A structural engineer decides "
        "whether the floor, and what it stands on, may carry it. Boards are heavy: two people to a sheet, more overhead."
    )
    page.finish(page.at - 1)
    page.fit(1)
    page.print_for_site()
    return page


def _leaves(book: Book) -> Sequence[ResultRow]:
    mass, small = book.unit(SURFACE_MASS), book.unit(LENGTH)
    rings = '=IF(N(underlay_stiffness)=0,"not told",STILL_FLOATINGFLOOR(underlay_stiffness,floor_load,units))'
    return [
        row
        for leaf, label in (("inner", "Inner leaf"), ("outer", "Outer leaf"), ("deck", "Floor deck"))
        for row in (
            ResultRow(f"{label}, mass per area", f"=STILL_SURFACEMASS({leaf}_layers,units)", mass, f"{leaf}_mass", look.TWO, key=leaf != "deck"),
            ResultRow(f"{label}, thickness", f"=STILL_BUILDUPTHICKNESS({leaf}_layers,units)", small, f"{leaf}_thickness", look.TWO),
        )
    ] + [ResultRow("Resonance on the underlay", rings, "Hz", "floor_resonance", look.ONE)]


def _sizes(book: Book) -> Sequence[ResultRow]:
    large, small = book.unit(ROOM_LENGTH), book.unit(LENGTH)
    area, each = book.unit(AREA), book.units_in(LENGTH, ROOM_LENGTH)
    return (
        ResultRow("Cavity between the leaves", "=2*stud_depth+frame_gap", small, "cavity", look.TWO),
        ResultRow("Shell thickness", "=inner_thickness+cavity+outer_thickness", small, "shell_thickness", look.TWO),
        ResultRow("Outside length", f"=room_length+2*shell_thickness/{each}", large, "outside_length", look.TWO, key=True),
        ResultRow("Outside width", f"=room_width+2*shell_thickness/{each}", large, "outside_width", look.TWO, key=True),
        ResultRow("Outside height", f"=room_height+(shell_thickness+deck_thickness)/{each}", large, "outside_height", look.TWO, key=True),
        ResultRow("Room volume", "=room_length*room_width*room_height", book.unit(VOLUME), "room_volume", look.ONE),
        ResultRow("Floor area, inside", "=room_length*room_width", area, "floor_area", look.ONE),
        ResultRow("Floor area the shell takes", "=outside_length*outside_width-floor_area", area, "shell_floor_area"),
        ResultRow("Door opening", f"=door_width*door_height/{each}^2", area, "door_area", look.TWO),
        ResultRow("Vision window", f"=vision_width*vision_height/{each}^2", area, "vision_area", look.TWO),
        ResultRow("Inner walls, door taken off", "=2*(room_length+room_width)*room_height-door_area", area, "inner_wall_area", look.ONE),
        ResultRow("Outer walls, door taken off", "=2*(outside_length+outside_width)*outside_height-door_area", area, "outer_wall_area", look.ONE),
        ResultRow("Outer ceiling and deck", "=outside_length*outside_width", area, "footprint", look.ONE),
        ResultRow("Joists, span of the inner ceiling", f"=MIN(room_length,room_width)+2*inner_thickness/{each}", large, "joist_span_inner", look.TWO),
        ResultRow("Their length", f"=joist_span_inner+2*stud_depth/{each}", large, "joist_length_inner", look.TWO),
        ResultRow("Joists, span of the outer ceiling", f"=joist_length_outer-2*stud_depth/{each}", large, "joist_span_outer", look.TWO),
        ResultRow("Their length", f"=MIN(outside_length,outside_width)-2*outer_thickness/{each}", large, "joist_length_outer", look.TWO),
    )


def _space(book: Book) -> Sequence[ResultRow]:
    """What the space leaves beside and over the shell, and what door and boxes take of it; blank while it is not measured.

    The outer door opens into the longer of what is left along the two sides of the shell, with working room behind it.
    Boxes beside the shell stand along the other side, or along the same one at the end away from the door: where the
    wall they hang on is long enough for them, if one is.
    """
    small, each = book.unit(LENGTH), book.units_in(LENGTH, ROOM_LENGTH)
    left = '=IF(N(space_{0})=0,"",(space_{0}-outside_{0})*' + each + ")"
    both = 'IF(COUNT(left_length,left_width)<2,"",{})'
    flat = "MIN(baffle_outer_width,baffle_outer_height)"
    ahead = "MAX(working_room,service_room)"
    beside, opposite = "(MIN(left_length,left_width)-working_room)", "(MAX(left_length,left_width)-MAX(working_room,door_width))"
    # Walls along which boxes hang in either place; what is left of a side lies before the walls across it.
    along, across = (f"IF(left_length>=left_width,outside_{one},outside_{other})*{each}" for one, other in (("length", "width"), ("width", "length")))
    hung = f"IF(({along}>=baffle_length)=({across}>=baffle_length),MAX({beside},{opposite}),IF({along}>=baffle_length,{beside},{opposite}))"
    return (
        *(ResultRow(f"Left of the space's {side}", left.format(side), small, f"left_{side}") for side in ("length", "width", "height")),
        ResultRow("Working room, the narrower way", "=" + both.format("MIN(left_length,left_width)/2"), small, "room_round"),
        ResultRow("Room before the outer door", "=" + both.format("MAX(left_length,left_width)-working_room"), small, "room_before_door"),
        ResultRow("Room for the boxes", f'=IF(box_place="{ON_TOP}",left_height,' + both.format(hung) + ")", small, "box_room"),
        ResultRow("Boxes and their service take", f'={flat}+IF(box_place="{ON_TOP}",service_room,{ahead})', small, "box_room_needed"),
        ResultRow(
            "Boxes over the shell's wall or top, by",
            f"=MAX(baffle_length-MAX(outside_length,outside_width)*{each},"
            f'baffle_boxes*MAX(baffle_outer_width,baffle_outer_height)-IF(box_place="{ON_TOP}",MIN(outside_length,outside_width),outside_height)*{each})',
            small,
            "box_overhang",
        ),
    )


def _weights(book: Book, page: Page) -> None:
    mass, each = book.unit(MASS), book.unit(SURFACE_MASS)
    page.heading("Weight", "boards, frames, doors, air boxes, and what is inside")
    table = Table(
        page,
        (
            Column("Part", key="part", words=True),
            Column(f"Area, {book.unit(AREA)}", key="area", number_format=look.ONE),
            Column(each, key="per_area", number_format=look.TWO),
            Column("", key="note", words=True),
            Column(f"Mass, {mass}", key="mass", number_format=look.WHOLE, total="total_mass"),
        ),
    )
    table.head()
    both, treated = "=inner_wall_area+floor_area+outer_wall_area+footprint", book.pick(*TREATMENT_MASS)
    leaf = "=STILL_TOTALMASS({}_layers,{},units)"
    for label, area, per_area, total, note in (
        ("Inner leaf, walls", "=inner_wall_area", "=inner_mass", leaf.format("inner", "inner_wall_area"), None),
        ("Inner leaf, ceiling", "=floor_area", "=inner_mass", leaf.format("inner", "floor_area"), None),
        ("Outer leaf, walls", "=outer_wall_area", "=outer_mass", leaf.format("outer", "outer_wall_area"), None),
        ("Outer leaf, ceiling", "=footprint", "=outer_mass", leaf.format("outer", "footprint"), None),
        ("Floor deck", "=footprint", "=deck_mass", leaf.format("deck", "footprint"), None),
        ("Cavity wool, both frames", both, "=STILL_SURFACEMASS(wool_material,units)", "=STILL_TOTALMASS(wool_material,{area},units)", None),
        ("Frames, both leaves", both, "=framing_mass", "=framing_mass*{area}", None),
        ("Doors", None, None, "=doors_mass", None),
        ("Baffle boxes", "=baffle_boxes*baffle_shell_area", None, "=baffle_boxes*baffle_mass", "See the Air path sheet."),
        ("Ducts and fans", None, None, f"={book.pick(*DUCTS_AND_FAN)}", "Allowance."),
        ("Treatment inside", "=wall_treated+ceiling_treated", f"={treated}", f"={treated}*{{area}}", "Allowance: wool, frame, fabric."),
        ("Equipment and furniture", None, None, "=equipment_mass", None),
    ):
        table.row(label, area, per_area, note, total)
    page.row(("People", "=people", None, f"{book.pick(*PERSON)} {mass} each.", f"=people*{book.pick(*PERSON)}"), ("text", look.WHOLE, "", "text", look.WHOLE))
    table.total("Total on the floor")
    page.skip()
    page.result(
        ResultRow("Load over the footprint", "=STILL_FLOORLOAD(total_mass,outside_length,outside_width,units)", each, "floor_load", key=True).noting(
            "Compare with what the floor may carry; most of it is dead load."
        )
    )
    page.skip()
