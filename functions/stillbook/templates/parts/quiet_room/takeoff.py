"""Take-off: what the job needs, from the geometry, with waste and whole packs."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from openpyxl.utils import get_column_letter

from stillbook.quantities import AREA, ROOM_LENGTH
from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts.inputs import LAYERS, OUTDOORS
from stillbook.templates.parts.quiet_room.air_ways import HAS_NO_BOX
from stillbook.templates.parts.schedule import widths
from stillbook.templates.parts.table import Column, Table

WHEN_PAIR = '=IF(door_arrangement="pair",1,0)'
WHERE = {"inner": "inner leaf", "outer": "outer leaf", "deck": "deck", "baffle": "baffle boxes"}
COUNTED = ("piece", "set", "job")
"""Units of what comes in whole numbers."""
WHEN_SINGLE = '=IF(door_arrangement="single",1,0)'


@dataclass(frozen=True)
class Line:
    """One line: its price code (text, or a formula that gives it), what it is, net and order quantity."""

    code: str
    text: str
    net: str
    net_unit: str
    waste: str
    order: str
    when: str = ""


COLUMNS: Final = (
    Column("Code", "", 26, key="code", words=True),
    Column("Item", "", 36, key="text", words=True),
    Column("Net", "", 10, key="net", number_format=look.ONE),
    Column("Unit", "", 9, key="net_unit", words=True),
    Column("Waste", "", 8, key="waste", number_format=look.PERCENT),
    Column("To order", "", 10, key="order", number_format=look.GENERAL),
    Column("Unit", 'IF(${code}="","",INDEX(price_units,MATCH(${code},price_codes,0)))', 9, key="unit", words=True),
)


def write(book: Book, groups: Iterable[tuple[str, list[Line]]]) -> tuple[Page, list[tuple[int, Line]]]:
    """Write the sheet, group by group; gives it with the row of each line, for the price."""
    page = book.page("Take-off", "Quantities from the geometry, with waste, rounded up to what is sold. No prices here.", widths(COLUMNS))
    written: list[tuple[int, Line]] = []
    first = page.at
    for title, lines in groups:
        if title == "Doors, as one heavy door":
            page.break_here()
        page.heading(title)
        table = Table(page, COLUMNS)
        table.head()
        for line in lines:
            text = line.text or '=IF(${code}="","not used",${code})'
            row = table.row(line.code, text, line.net, line.net_unit, line.waste, line.order)
            page.sheet.cell(row, FIRST).font = look.QUIET
            if line.net_unit in COUNTED:
                page.sheet.cell(row, table.places["net"]).number_format = look.WHOLE
            written.append((row, line))
        page.skip()
    page.quiet_where_blank(f"{get_column_letter(FIRST)}{first}:{get_column_letter(page.last_column)}{page.at - 1}")
    page.note(
        "Sheets added to doors, baffles and box shells count by the pieces cut from a sheet, each size by itself; leaves and deck by area with "
        "waste. Small rooms cut many sheets: lay the boards out before ordering. A rated wall follows its tested system."
    )
    page.finish()
    return page, written


def groups(book: Book) -> Iterable[tuple[str, list[Line]]]:
    """All lines, group by group."""
    return (
        ("Boards", boards(book)),
        ("Frames, wool and sealant", frames(book)),
        ("Doors, as a pair", doors("pair", 2, WHEN_PAIR)),
        ("Doors, as one heavy door", doors("single", 1, WHEN_SINGLE)),
        ("Air", air(book)),
        ("Wiring", wiring()),
        ("Finish and site", site(book)),
    )


LEAVES = (
    ("inner", "inner_wall_area+floor_area", ""),
    ("outer", "outer_wall_area+footprint", ""),
    ("deck", "footprint", ""),
    ("baffle", "baffle_boxes*baffle_shell_area", ""),
)
"""Leaves, the area of each, and a further condition under which it is not there."""


def cut(book: Book, pieces: str, width: str, height: str) -> str:
    """Whole sheets for pieces of one size; a piece larger than a sheet is made up of equal parts."""
    each = book.pick("12", "1000")
    across, along = (f"ROUNDUP(ROUND({size}/({side}*{each}),6),0)" for size, side in ((width, "sheet_width"), (height, "sheet_height")))
    return f"STILL_SHEETPIECES({pieces}*{across}*{along},{width}/{across},{height}/{along},sheet_width,sheet_height,units)"


def box_faces(book: Book, layers: str) -> str:
    """Whole sheets for the shells of the baffle boxes, face by face: two of each size to a box and layer."""
    sides = (("baffle_outer_width", "baffle_length"), ("baffle_outer_height", "baffle_length"), ("baffle_outer_height", "baffle_outer_width"))
    return "+".join(cut(book, f"2*baffle_boxes*{layers}", *of) for of in sides)


def boards(book: Book, leaves: Iterable[tuple[str, str, str]] = LEAVES) -> list[Line]:
    """Sheets of each layer of each leaf."""
    unit = book.unit(AREA)
    lines = []
    for leaf, area, absent in leaves:
        for layer in range(1, LAYERS + 1):
            material, count = f"{leaf}_material_{layer}", f"{leaf}_count_{layer}"
            used = f'OR({material}="",N({count})=0{"," + absent if absent else ""})'
            by_area = f"STILL_SHEETS({area},sheet_width,sheet_height,{count},board_waste,units)"
            lines.append(
                Line(
                    f'=IF({used},"",{material})',
                    f'=IF({used},"not used",{material}&", {WHERE.get(leaf, leaf.replace("_", " "))}")',
                    f"=IF({used},0,({area})*{count})",
                    unit,
                    "" if leaf == "baffle" else "=board_waste",
                    f"=IF({used},0,{box_faces(book, count) if leaf == 'baffle' else by_area})",
                )
            )
    return lines


def frames(book: Book) -> list[Line]:
    """Frames, screws, wool, sealant and underlay."""
    inner, outer = "2*(room_length+room_width)", "2*(outside_length+outside_width)"
    length, area = book.unit(ROOM_LENGTH), book.unit(AREA)
    stock, pack = book.pick("8", "2.4"), book.pick("48", "4.5")
    studs = "=STILL_STUDS({0},stud_spacing,4,1,3,framing_waste,units)"
    wool = "inner_wall_area+floor_area+outer_wall_area+footprint"
    inner_screws = room_screws("inner", "room")
    outer_screws = room_screws("outer", "outside")
    seam_inner = f"(2*{inner}+4*room_height)*SUM(inner_count_1,inner_count_2,inner_count_3)"
    seam_outer = f"(2*{outer}+4*outside_height)*SUM(outer_count_1,outer_count_2,outer_count_3)"
    return [
        Line("STUD", "Studs, inner frame", f"={inner}", length, "=framing_waste", studs.format(inner)),
        Line("STUD", "Studs, outer frame", f"={outer}", length, "=framing_waste", studs.format(outer)),
        joists(book, "inner ceiling", "MAX(room_length,room_width)", "joist_length_inner"),
        joists(book, "outer ceiling", "MAX(outside_length,outside_width)", "joist_length_outer"),
        Line("PLATE", "Plates, both frames", f"=2*({inner}+{outer})", length, "=framing_waste", f"=STILL_PACKS(2*({inner}+{outer}),{stock},framing_waste)"),
        Line("SCREWS", "Board screws", f"={inner_screws}+{outer_screws}", "piece", "", f"=STILL_PACKS({inner_screws}+{outer_screws},1000)"),
        Line("WOOL", "Cavity wool", f"={wool}", area, "=board_waste", f"=STILL_PACKS({wool},{pack},board_waste)"),
        sealant(book, f"{seam_inner}+{seam_outer}"),
        underlay(book, "footprint"),
    ]


def sealant(book: Book, seam: str) -> Line:
    """Sealant along the edge of every layer."""
    tubes = f'=STILL_SEALANTTUBES({seam},sealant_bead,sealant_waste,"round","","",units)'
    return Line("SEALANT", "Sealant, every layer's edge", f"={seam}", book.unit(ROOM_LENGTH), "=sealant_waste", tubes)


def underlay(book: Book, covered: str) -> Line:
    """Underlay below a floor deck."""
    return Line("UNDERLAY", "Resilient underlay", f"={covered}", book.unit(AREA), "=board_waste", f"=ROUNDUP({covered}*(1+board_waste),0)")


def joists(book: Book, where: str, across: str, length: str, when: str = "TRUE") -> Line:
    """Joists along the shorter side of a room, set out across its longer one: whole stock lengths, each over one joist."""
    unit = book.unit(ROOM_LENGTH)
    least, step = book.pick(("8", "2"), ("2.4", "0.6"))
    count = "STILL_STUDS({},stud_spacing,0,0,0,{},units)"
    stock = f"MAX({least},ROUNDUP(ROUND({length}/{step},6),0)*{step})"
    pieces = count.format(across, "framing_waste")
    return Line(
        "JOIST",
        f'="Joists, {where}"&IF({when},": "&{pieces}&" of "&ROUND({stock},2)&" {unit}","")',
        f"=IF({when},{count.format(across, '0')}*{length},0)",
        unit,
        "=framing_waste",
        f"=IF({when},ROUND({pieces}*{stock},3),0)",
    )


SCREWS_APART = "12 in"
"""Spacing of the screws along a stud or joist: the largest for ceilings that the source of STILL_SCREWS gives."""


def surface_screws(leaf: str, across: str, height: str) -> str:
    """The screws of all layers of a leaf on one wall or ceiling, by the pieces its sheets are cut into."""
    layers = f"SUM({leaf}_count_1,{leaf}_count_2,{leaf}_count_3)"
    return f'STILL_SCREWS({across}*{height},{layers},"{SCREWS_APART}",stud_spacing,sheet_width,sheet_height,"vertical",0.05,{height},units)'


def room_screws(leaf: str, size: str) -> str:
    """The screws of a leaf on four walls and a ceiling, whose sheets run along the joists."""
    length, width, height = (f"{size}_{side}" for side in ("length", "width", "height"))
    walls = "+".join(f"2*{surface_screws(leaf, side, height)}" for side in (length, width))
    return f"{walls}+{ceiling_screws(leaf, size)}"


def ceiling_screws(leaf: str, size: str) -> str:
    """The screws of a leaf on a ceiling: its sheets run along the joists, from long wall to long wall."""
    sides = f"{size}_length,{size}_width"
    return surface_screws(leaf, f"MAX({sides})", f"MIN({sides})")


def doors(kind: str, leaves: int, when: str) -> list[Line]:
    """The doors in one of the two arrangements."""
    makeup = f"STILL_SHEETPIECES({leaves}*{kind}_makeup_count,door_width,door_height,sheet_width,sheet_height,units)"
    return [
        Line("SLAB", "Door slabs", f"={leaves}", "piece", "", f"={leaves}", when),
        Line(
            f"={kind}_makeup_material",
            f'="Sheets added to the slab: "&{kind}_makeup_material',
            f"={leaves}*{kind}_makeup_count",
            "piece",
            "",
            f"=IF({kind}_makeup_count=0,0,{makeup})",
            when,
        ),
        Line("FRAME", "Frames", f"={leaves}", "piece", "", f"={leaves}", when),
        Line("HINGE", "Hinges", f"={leaves}*{kind}_hinges", "piece", "", f"={leaves}*{kind}_hinges", when),
        Line("SEALS", "Seals", f"={leaves}", "set", "", f"={leaves}", when),
        Line("LATCH", "Latches", f"={leaves}", "piece", "", f"={leaves}", when),
    ]


def air(book: Book) -> list[Line]:
    """Supply and return."""
    length, area = book.unit(ROOM_LENGTH), book.unit(AREA)
    ducts = "duct_length+way_out_length"
    baffles = cut(book, "baffle_boxes*(baffle_passes-1)", "baffle_inside_height", "(baffle_inside_length-baffle_width)")
    ventilators = f'IF(air_source="{OUTDOORS}",1,0)'
    return [
        Line(
            "DUCT",
            f'="Lined duct, supply and "&IF({HAS_NO_BOX},"transfer","return")',
            f"={ducts}",
            length,
            "=framing_waste",
            f"=STILL_PACKS({ducts},1,framing_waste)",
        ),
        Line("ELBOW", "Elbows", "=elbow_count+way_out_elbows", "piece", "", "=elbow_count+way_out_elbows"),
        Line("=baffle_board", '="Baffles of the boxes: "&baffle_board', "=baffle_boxes*baffle_board_area", area, "", f"=IF(baffle_passes<2,0,{baffles})"),
        Line(
            "LINING",
            "Lining of the boxes",
            "=baffle_boxes*baffle_lining_area",
            area,
            "=board_waste",
            "=ROUNDUP(baffle_boxes*baffle_lining_area*(1+board_waste),0)",
        ),
        Line("AIRBOX", "Baffle boxes", "=baffle_boxes", "piece", "", "=baffle_boxes"),
        Line("FAN", "Fans", "=fan_count", "piece", "", "=fan_count"),
        Line("VENTILATOR", "Recovery ventilator", f"={ventilators}", "piece", "", f"={ventilators}"),
        Line("CONNECTOR", "Flexible connectors", "=2*fan_count", "piece", "", "=2*fan_count"),
        Line("GRILLE", "Grilles, in the room and outside", "=4", "piece", "", "=4"),
        Line("FILTER", "Filter", "=1", "piece", "", "=1"),
        Line("COOLING", "Cooling unit", "=IF(cooling_power>0,1,0)", "piece", "", "=IF(cooling_power>0,1,0)"),
    ]


def wiring() -> list[Line]:
    """Power and what passes the shell."""
    return [
        Line("CIRCUIT", "Circuits", "=1", "piece", "", "=1"),
        Line("POINT", "Points", "=socket_count+light_count", "piece", "", "=socket_count+light_count"),
        Line(
            "JACK", "Panel connectors", "=audio_connectors+data_connectors+power_connectors", "piece", "", "=audio_connectors+data_connectors+power_connectors"
        ),
        Line("SLEEVE", "Sleeves, two leaves", "=2*hole_count", "piece", "", "=2*hole_count"),
        Line("ALARM", "Air alarm", "=1", "set", "", "=1"),
    ]


def site(book: Book) -> list[Line]:
    """Finish, and what every job needs."""
    finished = "inner_wall_area+2*floor_area"
    return [
        Line("FINISH", "Finish inside", f"={finished}", book.unit(AREA), "=board_waste", f"=ROUNDUP(({finished})*(1+board_waste),0)"),
        Line(
            "TREATMENT",
            "Acoustic treatment",
            "=wall_treatment+ceiling_treatment",
            book.unit(AREA),
            "=board_waste",
            "=ROUNDUP((wall_treatment+ceiling_treatment)*(1+board_waste),0)",
        ),
        Line("SETUP", "Delivery, protection, clearing up", "=1", "job", "", "=1"),
    ]
