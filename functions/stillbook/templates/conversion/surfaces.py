"""Surfaces: each wall, the ceiling and the floor, what stands and what comes, what is left, and the load added."""

from __future__ import annotations

from openpyxl.utils import get_column_letter

from stillbook.quantities import AREA, LENGTH, MASS, ROOM_LENGTH, SURFACE_MASS, VOLUME
from stillbook.templates import look
from stillbook.templates.conversion.inputs import FRAMES, NEW, OFF, WALLS
from stillbook.templates.page import FIRST, Book, Page, ResultRow


def write(book: Book) -> Page:
    """Write the sheet."""
    page = book.page(
        "Surfaces",
        "What each surface is now, what it becomes, the room it takes, and what the building has to carry in addition.",
        (34, 12, 12, 13, 13, 13, 13),
    )
    _build_ups(book, page)
    _areas(book, page)
    page.break_here()
    _left(book, page)
    _loads(book, page)
    page.finish()
    return page


def _build_ups(book: Book, page: Page) -> None:
    mass, small = book.unit(SURFACE_MASS), book.unit(LENGTH)
    page.heading("Build-ups")
    page.head_row(("Leaf", f"Mass, {mass}", f"Thickness, {small}", "", "", "", ""))
    for leaf, label, has in (
        ("wall_far", "Wall as found, far side", ""),
        ("wall_near", "Wall as found, room side", "wall_near_material_1"),
        ("ceiling_far", "Above the ceiling", ""),
        ("ceiling_near", "Ceiling board as found", "ceiling_near_material_1"),
        ("inner", "New leaf", ""),
        ("deck", "New floor deck", ""),
    ):
        cells = [f"STILL_{of}({leaf}_layers,units)" for of in ("SURFACEMASS", "BUILDUPTHICKNESS")]
        formulas = [f'=IF({has}="",0,{cell})' if has else f"={cell}" for cell in cells]
        row = page.row((label, *formulas), ("text", look.TWO, look.TWO))
        for offset, what in ((1, "mass"), (2, "thickness")):
            comment = book.result_comment("inner_mass", "New leaf", mass) if (leaf, what) == ("inner", "mass") else ""
            book.name(f"{leaf}_{what}", page, row, FIRST + offset, comment=comment)
    page.skip()
    for entry in (
        ResultRow("Wall as it will stand behind the new leaf", "=wall_far_mass+IF(wall_leaves=3,wall_near_mass,0)", mass, "outer_mass", look.TWO).noting(
            "The door in it should match this."
        ),
        ResultRow("Leaves of a converted wall", leaves("wall"), "", "wall_leaves", look.WHOLE).noting("3 where the old board stays: see the Isolation sheet."),
        ResultRow("Leaves of the converted ceiling", leaves("ceiling"), "", "ceiling_leaves", look.WHOLE),
        ResultRow("New cavity, walls", f'=IF(wall_fixing="{FRAMES}",stud_depth+frame_gap,clip_depth)', small, "wall_new_gap", look.TWO),
        ResultRow("New cavity, ceiling", f'=IF(ceiling_fixing="{FRAMES}",ceiling_joist+frame_gap,clip_depth)', small, "ceiling_new_gap", look.TWO),
        ResultRow("Cavity behind the new wall leaf", "=wall_new_gap+IF(wall_open=1,wall_gap,0)", small, "cavity", look.TWO, key=True).noting(
            "With the old cavity where the board comes off."
        ),
        ResultRow("Cavity above the new ceiling", "=ceiling_new_gap+IF(ceiling_open=1,ceiling_gap,0)", small, "ceiling_cavity", look.TWO),
        ResultRow("Old board of the walls comes off", opened("wall"), "", "wall_open", look.WHOLE).noting("1 yes, 0 no or none there."),
        ResultRow("Old board of the ceiling comes off", opened("ceiling"), "", "ceiling_open", look.WHOLE),
    ):
        page.result(entry)
    page.skip()


def leaves(place: str) -> str:
    """How many leaves the converted surface has."""
    return f'=IF({place}_near_material_1="",2,IF({place}_board="{OFF}",2,3))'


def opened(place: str) -> str:
    """Whether an old board is there and comes off."""
    return f'=IF({place}_near_material_1="",0,IF({place}_board="{OFF}",1,0))'


def _areas(book: Book, page: Page) -> None:
    area, small = book.unit(AREA), book.unit(LENGTH)
    each = book.pick("144", "1000000")
    page.heading("Surface by surface", "areas without door and window")
    page.head_row(("Surface", "Plan", f"As found, {area}", f"New leaf, {area}", f"Depth lost, {small}", f"Door, {area}", f"Window, {area}"), words=(0, 1))
    first = page.at
    for wall in WALLS:
        side = "length" if wall in "AC" else "width"
        plan = f"wall_{wall.lower()}_plan"
        door, window = (f"{get_column_letter(FIRST + offset)}{page.at}" for offset in (5, 6))
        new = f'{plan}="{NEW}"'
        page.row(
            (
                f"Wall {wall}",
                f"={plan}",
                f"=existing_{side}*existing_height-{door}-{window}",
                f"=IF({new},room_{side}*room_height-{door}-{window},0)",
                f"=IF({new},wall_depth,0)",
                f'=IF(door_wall="{wall}",door_area,0)',
                f'=IF(window_wall="{wall}",window_area,0)',
            ),
            ("text", "text", look.ONE, look.ONE, look.TWO, look.ONE, look.ONE),
        )
    last = page.at - 1
    for label, plan, depth, name in (
        ("Ceiling", "ceiling_plan", "ceiling_depth", "lined_ceiling_area"),
        ("Floor", "floor_plan", "floor_depth", "lined_floor_area"),
    ):
        new = f'{plan}="{NEW}"'
        page.row(
            (label, f"={plan}", "=existing_length*existing_width", f"=IF({new},floor_area,0)", f"=IF({new},{depth},0)"),
            ("text", "text", look.ONE, look.ONE, look.TWO),
            names=("", "", "ceiling_found_area" if label == "Ceiling" else "floor_found_area", name),
        )
    plans, found, lined = (f"{get_column_letter(FIRST + offset)}{first}:{get_column_letter(FIRST + offset)}{last}" for offset in (1, 2, 3))
    page.skip()
    sides = [f'IF(wall_{wall.lower()}_plan="{NEW}",room_{"length" if wall in "AC" else "width"},0)' for wall in WALLS]
    for entry in (
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
        ResultRow("Run of the new walls", "=" + "+".join(sides), book.unit(ROOM_LENGTH), "lined_run", look.ONE),
        ResultRow("Everything around the room", "=wall_found_area+ceiling_found_area+door_area+window_area", area, "envelope_area").noting(
            "Walls, ceiling, door and window. The floor counts as flanking."
        ),
    ):
        page.result(entry)
    page.skip()


def _left(book: Book, page: Page) -> None:
    large, each, area = book.unit(ROOM_LENGTH), book.pick("12", "1000"), book.unit(AREA)

    def lost(*walls: str) -> str:
        return "+".join(f'IF(wall_{wall}_plan="{NEW}",wall_depth,0)' for wall in walls)

    page.heading("What is left")
    for entry in (
        ResultRow("Room length, inside", f"=existing_length-({lost('b', 'd')})/{each}", large, "room_length", look.TWO, key=True),
        ResultRow("Room width, inside", f"=existing_width-({lost('a', 'c')})/{each}", large, "room_width", look.TWO, key=True),
        ResultRow(
            "Room height, inside",
            f'=existing_height-(IF(ceiling_plan="{NEW}",ceiling_depth,0)+IF(floor_plan="{NEW}",floor_depth,0))/{each}',
            large,
            "room_height",
            look.TWO,
            key=True,
        ),
        ResultRow("Floor area left", "=room_length*room_width", area, "floor_area", look.ONE, key=True),
        ResultRow("Floor area lost", "=floor_found_area-floor_area", area, "floor_lost", look.ONE),
        ResultRow("Share of the floor left", "=floor_area/floor_found_area", "", "floor_share", look.PERCENT),
        ResultRow("Room volume", "=floor_area*room_height", book.unit(VOLUME), "room_volume", look.ONE),
        ResultRow(
            "Walls inside, door and window taken off", "=2*(room_length+room_width)*room_height-door_area-window_area", area, "inner_wall_area", look.ONE
        ),
    ):
        page.result(entry)
    page.skip()


def _loads(book: Book, page: Page) -> None:
    mass, each = book.unit(MASS), book.unit(SURFACE_MASS)
    hung = f'ceiling_fixing<>"{FRAMES}"'
    page.heading("Load added", "to the existing floor, and to the structure above where the ceiling hangs from it")
    page.head_row(("Part", f"Area, {book.unit(AREA)}", f"Mass, {each}", f"All, {mass}", f"On the floor, {mass}", f"Above, {mass}", ""))
    wool = "STILL_SURFACEMASS(wool_material,units)"
    rows = (
        ("New leaf, walls", "=lined_wall_area", "=inner_mass", "floor"),
        ("New leaf, ceiling", "=lined_ceiling_area", "=inner_mass", "ceiling"),
        ("Floor deck", "=lined_floor_area", "=deck_mass", "floor"),
        ("Wool, walls", "=lined_wall_area", f'=IF(cavity_fill="filled",{wool},0)', "floor"),
        ("Wool, ceiling", "=lined_ceiling_area", f'=IF(cavity_fill="filled",{wool},0)', "ceiling"),
        ("Frames or channels, walls", "=lined_wall_area", "=framing_mass", "floor"),
        ("Joists or channels, ceiling", "=lined_ceiling_area", "=framing_mass", "ceiling"),
        ("New pane", "=window_area", "=STILL_SURFACEMASS(new_pane,units)", "floor"),
        ("Doors, less the old one", "=door_area", "=doors_mass/door_area-STILL_SURFACEMASS(old_door,units)", "floor"),
        ("Old wall board taken off", "=IF(wall_open=1,wall_new_area,0)", "=-wall_near_mass", "floor"),
        ("Old ceiling board taken off", f'=IF(AND(ceiling_open=1,ceiling_plan="{NEW}"),ceiling_found_area,0)', "=-ceiling_near_mass", "above"),
    )
    first = page.at
    for label, area, per_area, where in rows:
        at = [f"{get_column_letter(FIRST + offset)}{page.at}" for offset in range(4)]
        above = {"floor": "=0", "above": f"={at[3]}", "ceiling": f"=IF({hung},{at[3]},0)"}[where]
        beyond = f"{get_column_letter(FIRST + 5)}{page.at}"
        page.row((label, area, per_area, f"={at[1]}*{at[2]}", f"={at[3]}-{beyond}", above), ("text", look.ONE, look.TWO, look.WHOLE, look.WHOLE, look.WHOLE))
    treated = f"={book.pick('1.5', '7.3')}*(wall_treatment+ceiling_treatment)"
    page.row(
        ("Treatment inside", "=wall_treatment+ceiling_treatment", book.pick("=1.5", "=7.3"), treated, treated, "=0"),
        ("text", look.ONE, look.TWO, look.WHOLE, look.WHOLE, look.WHOLE),
    )
    page.row(
        ("Baffle boxes", "=baffle_boxes*baffle_shell_area", None, "=baffle_boxes*baffle_mass", "=baffle_boxes*baffle_mass", "=0"),
        ("text", look.ONE, "", look.WHOLE, look.WHOLE, look.WHOLE),
    )
    page.row(("Ducts and fan", None, None, book.pick("=60", "=27"), book.pick("=60", "=27"), "=0"), ("text", "", "", look.WHOLE, look.WHOLE, look.WHOLE))
    page.row(("Equipment and furniture", None, None, "=equipment_mass", "=equipment_mass", "=0"), ("text", "", "", look.WHOLE, look.WHOLE, look.WHOLE))
    sums = [f"=SUM({get_column_letter(FIRST + offset)}{first}:{get_column_letter(FIRST + offset)}{page.at - 1})" for offset in (3, 4, 5)]
    page.row(
        ("Added to the building", None, None, *sums),
        ("text", "", "", look.WHOLE, look.WHOLE, look.WHOLE),
        strong=True,
        border=look.TOTAL_ROW,
        names=("", "", "", "added_mass", "floor_mass", "hung_mass"),
    )
    page.skip()
    wall = f'inner_mass+framing_mass+IF(cavity_fill="filled",{wool},0)'
    for entry in (
        ResultRow(
            "Load added over the floor as found", "=STILL_FLOORLOAD(floor_mass,existing_length,existing_width,units)", each, "floor_load", key=True
        ).noting("Compare with what the floor may take in addition."),
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
    ):
        page.result(entry)
    page.caution(
        "Caution: this weight is new to a building that was not made for it. A structural engineer decides whether "
        "the floor, the structure above and what they stand on may carry it, line loads under the new walls included."
    )
    page.caution(
        "Caution: before a board, a ceiling or a window comes off, ask whether it braces the building, keeps a fire "
        "back or holds asbestos or lead paint. What opens a fire-rated wall or ceiling must leave it rated: the local "
        "code decides."
    )
