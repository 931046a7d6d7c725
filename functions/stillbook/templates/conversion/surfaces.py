"""Surfaces: each wall, the ceiling and the floor, what stands and what comes, what is left, and the load added."""

from __future__ import annotations

from typing import Final

from stillbook.quantities import AREA, LENGTH, MASS, ROOM_LENGTH, SURFACE_MASS, VOLUME
from stillbook.templates import look
from stillbook.templates.conversion.inputs import FRAMES, NEW, OFF, SIDES
from stillbook.templates.page import FIRST, Book, Page, ResultRow
from stillbook.templates.parts import wall_drawing
from stillbook.templates.parts.bands import small_areas
from stillbook.templates.parts.quiet_room.allowances import DUCTS_AND_FAN, TREATMENT_MASS
from stillbook.templates.parts.room_drawing import Views
from stillbook.templates.parts.table import Column, Table

JOISTS: Final = f'AND(ceiling_fixing="{FRAMES}",lined_ceiling_area>0)'
"""Whether the new ceiling has joists of its own."""

WALLS_OPENED: Final = "IF(wall_open=1,wall_new_area,0)"
CEILING_OPENED: Final = f'IF(AND(ceiling_open=1,ceiling_plan="{NEW}"),ceiling_found_area,0)'
"""Areas whose old boards come off."""


_VIEWS: Final = 0.8
"""Size of the plan and section."""


def write(book: Book, views: Views) -> Page:
    """Write the sheet; ``views`` are the drawings of room and wall."""
    page = book.page(
        "Surfaces",
        "What each surface is now, what it becomes, the room it takes, and what the building has to carry in addition.",
        (34, 12, 13, 13, 13, 13, 12),
        scale=79,
    )
    _build_ups(book, page)
    _areas(book, page)
    page.heading("Wall build-up", "to a larger scale, from the room to the other side")
    views.more[0].show(page, page.at)
    page.skip(wall_drawing.ROWS)
    page.break_here()
    views.place(page, FIRST + 3, size=_VIEWS)
    _left(book, page)
    _loads(book, page)
    page.finish(page.at - 1)
    page.print_for_site()
    return page


def _build_ups(book: Book, page: Page) -> None:
    mass, small = book.unit(SURFACE_MASS), book.unit(LENGTH)
    page.heading("Build-ups")
    table = Table(
        page,
        (
            Column("Leaf", key="leaf", words=True),
            Column(f"Mass, {mass}", key="mass", number_format=look.TWO),
            Column(f"Thickness, {small}", key="thickness", number_format=look.TWO),
        ),
    )
    table.head()
    for leaf, label, has in (
        ("wall_far", "Wall as found, far side", ""),
        ("wall_near", "Wall as found, room side", "wall_near_board_1"),
        ("ceiling_far", "Above the ceiling", ""),
        ("ceiling_near", "Ceiling board as found", "ceiling_near_board_1"),
        ("inner", "New leaf", ""),
        ("deck", "New floor deck", ""),
    ):
        cells = [f"STILL_{of}({leaf}_layers,units)" for of in ("SURFACEMASS", "BUILDUPTHICKNESS")]
        formulas = [f'=IF({has}="",0,{cell})' if has else f"={cell}" for cell in cells]
        row = table.row(label, *formulas)
        comment = book.result_comment("inner_mass", "New leaf", mass) if leaf == "inner" else ""
        book.name(f"{leaf}_mass", page, row, table.places["mass"], comment=comment)
        page.name(f"{leaf}_thickness", row, table.places["thickness"])
    page.skip()
    page.results(
        ResultRow("Wall as it will stand behind the new leaf", "=wall_far_mass+IF(wall_leaves=3,wall_near_mass,0)", mass, "outer_mass", look.TWO).noting(
            "The door in it should match this, where a door can: Doors sheet."
        ),
        ResultRow("Leaves of a converted wall", leaves("wall"), "", "wall_leaves", look.WHOLE).noting("3 where the old board stays: see the Isolation sheet."),
        ResultRow("Leaves of the converted ceiling", leaves("ceiling"), "", "ceiling_leaves", look.WHOLE),
        ResultRow("New cavity, walls", f'=IF(wall_fixing="{FRAMES}",stud_depth+frame_gap,clip_depth)', small, "wall_new_gap", look.TWO),
        ResultRow("New cavity, ceiling", f'=IF(ceiling_fixing="{FRAMES}",ceiling_joist+frame_gap,clip_depth)', small, "ceiling_new_gap", look.TWO),
        ResultRow("Cavity behind the new wall leaf", "=wall_new_gap+IF(wall_open=1,wall_found_gap,0)", small, "cavity", look.TWO, key=True).noting(
            "With the old cavity where the board comes off."
        ),
        ResultRow("Cavity above the new ceiling", "=ceiling_new_gap+IF(ceiling_open=1,ceiling_found_gap,0)", small, "ceiling_cavity", look.TWO),
        ResultRow("Old board of the walls comes off", opened("wall"), "", "wall_open", look.WHOLE).noting("1 yes, 0 no or none there."),
        ResultRow("Old board of the ceiling comes off", opened("ceiling"), "", "ceiling_open", look.WHOLE),
    )
    page.skip()


def leaves(place: str) -> str:
    """How many leaves the converted surface has."""
    return f'=IF({place}_near_board_1="",2,IF({place}_board="{OFF}",2,3))'


def opened(place: str) -> str:
    """Whether an old board is there and comes off."""
    return f'=IF({place}_near_board_1="",0,IF({place}_board="{OFF}",1,0))'


def _areas(book: Book, page: Page) -> None:
    area, small = book.unit(AREA), book.unit(LENGTH)
    each = small_areas(book)
    page.heading("Surface by surface", "areas without door and window")
    table = Table(
        page,
        (
            Column("Surface", key="surface", name="shell_surfaces", words=True),
            Column("Plan", key="plan", name="shell_plans", words=True),
            Column(f"As found, {area}", key="found", name="shell_areas", number_format=look.ONE),
            Column(f"New leaf, {area}", key="lined", number_format=look.ONE),
            Column(f"Depth lost, {small}", key="depth", number_format=look.TWO),
            Column(f"Door, {area}", key="door", name="shell_doors", number_format=look.ONE),
            Column(f"Window, {area}", key="window", name="shell_windows", number_format=look.ONE),
        ),
    )
    table.head()
    for wall, side in SIDES.items():
        plan = f"wall_{wall.lower()}_plan"
        table.row(
            f"Wall {wall}",
            f"={plan}",
            f"=existing_{side}*existing_height-{{door}}-{{window}}",
            f'=IF({plan}="{NEW}",room_{side}*room_height-{{door}}-{{window}},0)',
            f'=IF({plan}="{NEW}",wall_depth,0)',
            f'=IF(door_wall="{wall}",door_area,0)',
            f'=IF(window_wall="{wall}",window_area,0)',
        )
    plans, found, lined = (table.cells(key) for key in ("plan", "found", "lined"))
    for part in ("ceiling", "floor"):
        new = f'{part}_plan="{NEW}"'
        table.row(
            part.capitalize(),
            f"={part}_plan",
            "=existing_length*existing_width",
            f"=IF({new},floor_area,0)",
            f"=IF({new},{part}_depth,0)",
            None,
            None,
            names={"found": f"{part}_found_area", "lined": f"lined_{part}_area"},
        )
    table.name()
    page.skip()
    run = "+".join(f'IF(wall_{wall.lower()}_plan="{NEW}",room_{side},0)' for wall, side in SIDES.items())
    page.results(
        ResultRow("Depth of a new wall leaf", "=inner_thickness+wall_new_gap-IF(wall_open=1,wall_near_thickness,0)", small, "wall_depth", look.TWO).noting(
            "Gap, frame or clip, and boards, less an old board taken off."
        ),
        ResultRow("Depth of the new ceiling", "=inner_thickness+ceiling_new_gap-IF(ceiling_open=1,ceiling_near_thickness,0)", small, "ceiling_depth", look.TWO),
        ResultRow("Depth of the new deck", "=deck_thickness+underlay_depth", small, "floor_depth", look.TWO),
        ResultRow("Door opening", f"=door_width*door_height/{each}", area, "door_area", look.TWO),
        ResultRow("Window", f"=window_width*window_height/{each}", area, "window_area", look.TWO),
        ResultRow("Walls as found, all", f"=SUM({found})", area, "wall_found_area", look.ONE),
        ResultRow("Walls that get a new leaf, as found", f'=SUMIF({plans},"{NEW}",{found})', area, "wall_new_area", look.ONE),
        ResultRow("Walls left as they are", "=wall_found_area-wall_new_area", area, "wall_old_area", look.ONE),
        ResultRow("New wall leaf", f"=SUM({lined})", area, "lined_wall_area", look.ONE),
        ResultRow("New leaf, walls and ceiling", "=lined_wall_area+lined_ceiling_area", area, "lined_area", look.ONE, key=True),
        ResultRow("Run of the new walls", f"={run}", book.unit(ROOM_LENGTH), "lined_run", look.ONE),
        ResultRow("Everything around the room", "=wall_found_area+ceiling_found_area+door_area+window_area", area, "envelope_area").noting(
            "Walls, ceiling, door and window. The floor counts as flanking."
        ),
    )
    page.skip()


def _left(book: Book, page: Page) -> None:
    large, each, area = book.unit(ROOM_LENGTH), book.units_in(LENGTH, ROOM_LENGTH), book.unit(AREA)

    def lost(*walls: str) -> str:
        return "+".join(f'IF(wall_{wall}_plan="{NEW}",wall_depth,0)' for wall in walls)

    above = f'IF(ceiling_plan="{NEW}",ceiling_depth,0)+IF(floor_plan="{NEW}",floor_depth,0)'
    page.part(
        "What is left",
        ResultRow("Room length, inside", f"=existing_length-({lost('b', 'd')})/{each}", large, "room_length", look.TWO, key=True),
        ResultRow("Room width, inside", f"=existing_width-({lost('a', 'c')})/{each}", large, "room_width", look.TWO, key=True),
        ResultRow("Room height, inside", f"=existing_height-({above})/{each}", large, "room_height", look.TWO, key=True),
        ResultRow("Floor area left", "=room_length*room_width", area, "floor_area", look.ONE, key=True),
        ResultRow("Floor area lost", "=floor_found_area-floor_area", area, "floor_lost", look.ONE),
        ResultRow("Share of the floor left", "=floor_area/floor_found_area", "", "floor_share", look.PERCENT),
        ResultRow("Room volume", "=floor_area*room_height", book.unit(VOLUME), "room_volume", look.ONE),
        ResultRow(
            "Walls inside, door and window taken off", "=2*(room_length+room_width)*room_height-door_area-window_area", area, "inner_wall_area", look.ONE
        ),
        ResultRow(
            "Joists of the new ceiling, span", f"=IF({JOISTS},MIN(room_length,room_width)+2*inner_thickness/{each},0)", large, "joist_span", look.TWO
        ).noting("Clear, along the shorter side, between the new frames; 0 without joists of its own."),
        ResultRow("Their length", f"=IF({JOISTS},joist_span+2*stud_depth/{each},0)", large, "joist_length", look.TWO).noting("With bearing on both frames."),
    )


def _loads(book: Book, page: Page) -> None:
    mass, each, small = book.unit(MASS), book.unit(SURFACE_MASS), book.unit(LENGTH)
    hung = f'ceiling_fixing<>"{FRAMES}"'
    page.heading("Load added", "to the existing floor, and to the structure above where the ceiling hangs from it")
    table = Table(
        page,
        (
            Column("Part", key="part", words=True),
            Column(f"Area, {book.unit(AREA)}", key="area", number_format=look.ONE),
            Column(f"Mass, {each}", key="mass", number_format=look.TWO),
            Column(f"All, {mass}", "{area}*{mass}", key="all", number_format=look.WHOLE, total="added_mass"),
            Column(f"On the floor, {mass}", "{all}-{over}", key="floor", number_format=look.WHOLE, total="floor_mass"),
            Column(f"Above, {mass}", key="over", number_format=look.WHOLE, total="hung_mass"),
        ),
    )
    table.head()
    floor, above, ceiling = "=0", "={all}", f"=IF({hung},{{all}},0)"
    wool = "STILL_SURFACEMASS(wool_material,units)"
    filled = f'=IF(cavity_fill="filled",{wool},0)'
    for row in (
        ("New leaf, walls", "=lined_wall_area", "=inner_mass", floor),
        ("New leaf, ceiling", "=lined_ceiling_area", "=inner_mass", ceiling),
        ("Floor deck", "=lined_floor_area", "=deck_mass", floor),
        ("Wool, walls", "=lined_wall_area", filled, floor),
        ("Wool, ceiling", "=lined_ceiling_area", filled, ceiling),
        ("Frames or channels, walls", "=lined_wall_area", "=framing_mass", floor),
        ("Joists or channels, ceiling", "=lined_ceiling_area", "=framing_mass", ceiling),
        ("New pane", "=window_area", "=STILL_SURFACEMASS(new_pane,units)", floor),
        ("Doors, less the old one", "=door_area", "=doors_mass/door_area-STILL_SURFACEMASS(old_door,units)", floor),
        ("Old wall board taken off", f"={WALLS_OPENED}", "=-wall_near_mass", floor),
        ("Old ceiling board taken off", f"={CEILING_OPENED}", "=-ceiling_near_mass", above),
    ):
        table.row(*row)
    treated, allowed = "=wall_treated+ceiling_treated", book.pick(*TREATMENT_MASS)
    for label, area, per_area, load in (
        ("Treatment inside", treated, f"={allowed}", f"={allowed}*({treated[1:]})"),
        ("Baffle boxes", "=baffle_boxes*baffle_shell_area", None, "=baffle_boxes*baffle_mass"),
        ("Ducts and fans", None, None, f"={book.pick(*DUCTS_AND_FAN)}"),
        ("Equipment and furniture", None, None, "=equipment_mass"),
    ):
        table.row(label, area, per_area, "=0", all=load, floor=load)
    table.total("Added to the building")
    page.skip()
    wall = f'inner_mass+framing_mass+IF(cavity_fill="filled",{wool},0)'
    page.results(
        ResultRow(
            "Load added over the floor as found",
            "=IF(floor_mass<=0,floor_mass/(existing_length*existing_width),STILL_FLOORLOAD(floor_mass,existing_length,existing_width,units))",
            each,
            "floor_load",
            key=True,
        ).noting("Compare with what the floor may take in addition; below 0 it is relieved."),
        ResultRow(
            "Of which along the new walls",
            f"=IF(lined_run=0,0,(({wall})*lined_wall_area+IF({hung},0,({wall})*lined_ceiling_area))/lined_run)",
            book.pick("lb/ft", "kg/m"),
            "wall_line_load",
            look.WHOLE,
        ).noting("A line load on each run of wall, ceiling with it; joists feel lines more than an even load."),
        ResultRow("Load hung from the structure above", "=hung_mass/ceiling_found_area", each, "ceiling_load").noting(
            "Old ceiling board taken off; below 0 the structure is relieved."
        ),
        ResultRow("Boxes and their service take", "=MIN(baffle_outer_width,baffle_outer_height)+service_room", small, "box_room_needed").noting(
            "Hung flat on the outside of a wall, with room before the face."
        ),
        ResultRow(
            "Boxes over the wall they hang on, by",
            f"=MAX(baffle_length-MAX(existing_length,existing_width)*{book.units_in(LENGTH, ROOM_LENGTH)},"
            f"baffle_boxes*MAX(baffle_outer_width,baffle_outer_height)-existing_height*{book.units_in(LENGTH, ROOM_LENGTH)})",
            small,
            "box_overhang",
        ).noting("One over the other; less than 0 where they find place on it."),
    )
    page.caution(
        "Caution: this weight is new to a building that was not made for it. A structural engineer decides whether "
        "the floor, the structure above and what they stand on may carry it, line loads under the new walls included."
    )
    page.caution(
        "Caution: before a board, a ceiling or a window comes off, ask whether it braces the building, keeps a fire "
        "back or holds asbestos or lead paint. What opens a fire-rated wall or ceiling must leave it rated: the local "
        "code decides."
    )
