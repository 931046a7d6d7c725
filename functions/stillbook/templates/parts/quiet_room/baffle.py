"""The baffle box: its sizes, mass and materials, its shell beside the leaf it stands on, and boxes that can be made."""

from __future__ import annotations

from typing import Final

from stillbook.quantities import AIR_SPEED, AREA, LENGTH, MASS, PRESSURE, ROOM_LENGTH, SURFACE_MASS
from stillbook.templates import look
from stillbook.templates.calls import nth
from stillbook.templates.page import FIRST, Book, Page, ResultRow
from stillbook.templates.parts import octaves
from stillbook.templates.parts.quiet_room.air_ways import HAS_NO_BOX, Places
from stillbook.templates.parts.quiet_room.door_limits import BOXED_LEAF
from stillbook.templates.parts.walls import LAYERS
from stillbook.trade.mass.materials import material_key, materials
from stillbook.trade.physics.constants import FOOT, POUND

BOXES: Final = 5
"""Rows of baffle boxes shown."""

SPARE: Final = 3
"""How far below the target a box should bring the fan, for two ways and the rest to add up [dB]."""

LINING: Final = "Glass fibre 3 pcf"
"""What the boxes are lined with."""


def write(book: Book, page: Page, places: Places, leaf: str) -> None:
    """The box of the Inputs sheet; ``leaf`` is the build-up it stands on."""
    small, each, area = book.unit(LENGTH), book.units_in(LENGTH, ROOM_LENGTH), book.unit(AREA)
    page.heading("The baffle box of the Inputs sheet", f'=IF({HAS_NO_BOX},"one, for the supply","one for the supply, one for the return")')
    wall = "(STILL_BUILDUPTHICKNESS(baffle_board,units)+2*baffle_lining)"
    skin = "2*(baffle_lining+baffle_shell_thickness)"
    density = f"{(materials()[material_key(LINING)].density or 0) / book.pick(POUND / FOOT**3, 1):.6g}"
    page.results(
        ResultRow(
            "Air speed in the passage",
            "=STILL_DUCTVELOCITY(MAX(airflow,way_out_airflow),baffle_width,baffle_height,units)",
            book.unit(AIR_SPEED),
            "speed_box",
            book.pick(look.WHOLE, look.TWO),
        ),
        ResultRow("Shell thickness", "=STILL_BUILDUPTHICKNESS(baffle_layers,units)", small, "baffle_shell_thickness", look.TWO),
        ResultRow("Inside length", f"=baffle_length-{skin}", small, "baffle_inside_length", look.ONE),
        ResultRow(
            "Inside width",
            f"=IF(baffle_passes=0,baffle_open_width-{skin},baffle_passes*baffle_width+(baffle_passes-1)*{wall})",
            small,
            "baffle_inside_width",
            look.ONE,
        ),
        ResultRow("Inside height", f"=IF(baffle_passes=0,baffle_open_height-{skin},baffle_height)", small, "baffle_inside_height", look.ONE),
        ResultRow(
            "Between the axes of its openings", "=SQRT((baffle_inside_width-baffle_width)^2+(baffle_inside_height-baffle_height)^2)", small, "baffle_offset"
        ).noting("Of an open box with its openings at opposite corners."),
        ResultRow("Outside width", f"=baffle_inside_width+{skin}", small, "baffle_outer_width", look.ONE),
        ResultRow("Outside height", f"=baffle_inside_height+{skin}", small, "baffle_outer_height", look.ONE),
        ResultRow(
            "Shell area",
            f"=2*(baffle_length*baffle_outer_width+baffle_length*baffle_outer_height+baffle_outer_width*baffle_outer_height)/{each}^2",
            area,
            "baffle_shell_area",
            look.ONE,
        ),
        ResultRow(
            "Baffle area", f"=MAX(0,baffle_passes-1)*(baffle_inside_length-baffle_width)*baffle_inside_height/{each}^2", area, "baffle_board_area", look.ONE
        ),
        ResultRow(
            "Lining area",
            f"=2*(baffle_inside_length*baffle_inside_width+baffle_inside_length*baffle_inside_height+baffle_inside_width*baffle_inside_height)/{each}^2+2*baffle_board_area",
            area,
            "baffle_lining_area",
            look.ONE,
        ),
        ResultRow(
            "Mass of one box",
            f"=STILL_TOTALMASS(baffle_layers,baffle_shell_area,units)+baffle_board_area*STILL_SURFACEMASS(baffle_board,units)+baffle_lining_area*baffle_lining/{each}*{density}",
            book.unit(MASS),
            "baffle_mass",
            look.WHOLE,
            key=True,
        ).noting("Without collars and hangers. Supports checked by a structural engineer; a lift or a crew."),
        ResultRow(
            "Materials of all boxes",
            "=baffle_boxes*(baffle_shell_area*baffle_shell_cost+baffle_board_area*baffle_board_cost+baffle_lining_area*baffle_lining_cost)",
            book.currency,
            "baffle_materials",
            look.MONEY,
        ).noting("By area with waste; the Take-off sheet orders whole sheets."),
    )
    _box_costs(book, page)
    page.heading(
        "Its shell beside the leaf it stands on, and boxes that can be made",
        f'=IF({BOXED_LEAF},"no octave from 125 to 4000 Hz may be weaker","not asked beside a leaf so heavy: what is heard at the seat judges it")',
    )
    octaves.head(page, label="Transmission loss, dB")
    loss = 'STILL_LEAFTL({0}_layers,"octave",units)'
    rows = {
        key: octaves.row(page, label, f"={nth(loss.format(key))}", number_format=look.ONE)
        for key, label in (("baffle", "Box shell"), (leaf, "The leaf it stands on"))
    }
    octaves.less(page, "Box shell over the leaf", rows["baffle"], rows[leaf], 2, "=ROUND({},6)", "baffle_shell_less")
    places.rows |= {"baffle": rows["baffle"], "baffle_leaf": rows[leaf]}
    at = (places.rows["fan"], places.rows["room"], places.heard["target"], places.supply.loss["box"], places.supply.sum)
    sound, room, target, box, path = (f"{{c}}{row}" for row in at)
    inlet = nth("STILL_CROSSTALKPOWER(source_outside,duct_width,duct_height,units)")
    over = f"MAX({sound},{inlet}+3)-({path}-{box}+{room}+{target})+{SPARE}"
    label = f"Loss wanted of the box, {SPARE} dB to spare"
    octaves.row(page, label, f"=MAX({over},0)", number_format=look.WHOLE, called="baffle_wanted")
    mass, loss = book.unit(MASS), book.unit(PRESSURE)
    octaves.head(page, label=f"Passage, lining · outside, {small}", before=("", f"Mass, {mass}", f"Loss, {loss}"))
    ask = "STILL_BAFFLEBOX(airflow,quiet_speed,baffle_wanted,baffle_most_length,baffle_most_width,baffle_most_height,baffle_layers,baffle_leaf_loss,units)"
    formats = ("", look.WHOLE, book.pick("0.0000", look.TWO))
    for place in range(2, BOXES + 2):
        passes, width, height, lining, pressure, *losses, mass, out, across, tall = (
            f"INDEX({ask},{place},{column})" for column in (1, 2, 3, 4, 7, *range(8, 16), 19, 16, 17, 18)
        )
        outside = '&" × "&'.join(f'TEXT({size},"0")' for size in (out, across, tall))
        none = "none: allow more space or speed, or two boxes" if place == 2 else ""
        row = page.row(
            (
                f'=IFERROR(IF({passes}=0,"open box, ",{passes}&" passes, ")&{width}&" × "&{height}&", "&{lining}&" · "&{outside},"{none}")',
                None,
                *(f'=IFERROR({found},"")' for found in (mass, pressure, *losses)),
            ),
            ("text", *formats, *[look.WHOLE] * len(octaves.OCTAVES)),
        )
        page.sheet.cell(row, FIRST).alignment = look.LEFT
    page.note(
        "Smallest first; none is beaten by another in size, pressure and height at once. Write the one you take on the Inputs sheet. "
        "0 passes is an open box with its openings at opposite corners. Lining in the air people breathe needs a facing that holds "
        "its fibres, a fire rating by the local code, and a lid to clean it through."
    )


def asked_of_shell(book: Book, page: Page, places: Places, leaf: str) -> None:
    """Write the leaf that the box stands on, and the loss asked of its shell: no more than its own where no door could match that leaf."""
    page.heading("What is asked of the shell of a box")
    page.result(ResultRow("Leaf that it stands on", f"=STILL_SURFACEMASS({leaf}_layers,units)", book.unit(SURFACE_MASS), "baffle_leaf_mass", look.TWO))
    loss = f"=IF({BOXED_LEAF},{{c}}{places.rows['baffle_leaf']},{{c}}{places.rows['baffle']})"
    octaves.row(page, "Loss asked of its shell", loss, number_format=look.ONE, called="baffle_leaf_loss")
    page.skip()


def _box_costs(book: Book, page: Page) -> None:
    """Cost of a unit of area of shell, baffle and lining, with waste."""
    sheet = "sheet_width*sheet_height"
    board = "INDEX(price_costs,MATCH({0},price_codes,0))*(1+board_waste)/(" + sheet + ")"
    shell = "+".join(
        f'IF(OR(baffle_material_{n}="",N(baffle_count_{n})=0),0,baffle_count_{n}*{board.format(f"baffle_material_{n}")})' for n in range(1, LAYERS + 1)
    )
    lining = 'INDEX(price_costs,MATCH("LINING",price_codes,0))*(1+board_waste)'
    per = f"{book.currency}/{book.unit(AREA)}"
    for label, formula, name in (
        ("Materials of its shell", f"={shell}", "baffle_shell_cost"),
        ("Materials of its baffles", f"=IF(baffle_passes<2,0,{board.format('baffle_board')})", "baffle_board_cost"),
        ("Materials of its lining", f"={lining}", "baffle_lining_cost"),
    ):
        page.result(ResultRow(label, formula, per, name, look.PRICE))
