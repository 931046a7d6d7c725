"""Take-off: what the job needs, from the geometry, with waste and whole packs."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Final

from openpyxl.utils import get_column_letter

from stillbook.quantities import AREA, ROOM_LENGTH
from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts.inputs import OUTDOORS
from stillbook.templates.parts.quiet_room import sheets
from stillbook.templates.parts.quiet_room.air_ways import HAS_NO_BOX
from stillbook.templates.parts.schedule import widths
from stillbook.templates.parts.table import Column, Table
from stillbook.templates.parts.walls import LAYERS, count, counts, material

WHEN_PAIR = '=IF(door_arrangement="pair",1,0)'
WHERE = {"inner": "inner leaf", "outer": "outer leaf", "deck": "deck", "baffle": "baffle boxes"}
COUNTED = ("piece", "set", "job")
"""Units of what comes in whole numbers."""
WHEN_SINGLE = '=IF(door_arrangement="single",1,0)'


Surfaces = tuple[str, str, Callable[[str], str], str]
"""A leaf, its area, the whole sheets of so many layers of it, and when it is not there."""


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


def counted(code: str, text: str, count: str, unit: str = "piece", when: str = "") -> Line:
    """A line of whole things: what is needed is what is ordered."""
    return Line(code, text, f"={count}", unit, "", f"={count}", when)


def covered(book: Book, code: str, text: str, area: str) -> Line:
    """A line by area, with waste."""
    whole = f"({area})" if "+" in area else area
    return Line(code, text, f"={area}", book.unit(AREA), "=board_waste", f"=ROUNDUP({whole}*(1+board_waste),0)")


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
        "Sheets of walls, ceilings and deck count surface by surface, in strips a sheet wide, door and window left in; those added to doors, "
        "baffles and box shells by the pieces cut from a sheet, each size by itself. A rated wall follows its tested system."
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


LEAVES: Final[tuple[Surfaces, ...]] = (
    ("inner", "inner_wall_area+floor_area", lambda layers: sheets.on_room("room", layers), ""),
    ("outer", "outer_wall_area+footprint", lambda layers: sheets.on_room("outside", layers), ""),
    ("deck", "footprint", lambda layers: sheets.on_floor("outside", layers), ""),
)
"""Leaves, the area of each, the whole sheets of so many layers of it, and a further condition under which it is not there."""


def box_faces(book: Book, layers: str) -> str:
    """Whole sheets for the shells of the baffle boxes, face by face: two of each size to a box and layer."""
    sides = (("baffle_outer_width", "baffle_length"), ("baffle_outer_height", "baffle_length"), ("baffle_outer_height", "baffle_outer_width"))
    return "+".join(sheets.cut(book, f"2*baffle_boxes*{layers}", *of) for of in sides)


def boards(book: Book, leaves: Iterable[Surfaces] = LEAVES) -> list[Line]:
    """Sheets of each layer of each leaf and of the shells of the boxes."""
    lines = []
    shell: Surfaces = ("baffle", "baffle_boxes*baffle_shell_area", lambda layers: box_faces(book, layers), "")
    for leaf, area, whole, absent in (*leaves, shell):
        for layer in range(1, LAYERS + 1):
            board, layered = material(leaf, layer), count(leaf, layer)
            used = f'OR({board}="",N({layered})=0{"," + absent if absent else ""})'
            lines.append(
                Line(
                    f'=IF({used},"",{board})',
                    f'=IF({used},"not used",{board}&", {WHERE.get(leaf, leaf.replace("_", " "))}")',
                    f"=IF({used},0,({area})*{layered})",
                    book.unit(AREA),
                    "",
                    f"=IF({used},0,{whole(layered)})",
                )
            )
    return lines


def frames(book: Book) -> list[Line]:
    """Frames, screws, wool, sealant and underlay."""
    inner, outer = "2*(room_length+room_width)", "2*(outside_length+outside_width)"
    length, area = book.unit(ROOM_LENGTH), book.unit(AREA)
    stock, pack = book.pick(*sheets.PLATE_STOCK), book.pick(*sheets.WOOL_PACK)
    wool = "inner_wall_area+floor_area+outer_wall_area+footprint"
    screws = "+".join((sheets.room_screws("inner", "room"), sheets.room_screws("outer", "outside"), sheets.deck_screws("outside")))
    seam_inner = f"(2*{inner}+4*room_height)*{counts('inner')}"
    seam_outer = f"(2*{outer}+4*outside_height)*{counts('outer')}"
    return [
        studs(book, "inner frame", inner, "inner_thickness"),
        studs(book, "outer frame", outer, "inner_thickness+stud_depth+frame_gap"),
        joists(book, "inner ceiling", "MAX(room_length,room_width)", "joist_length_inner"),
        joists(book, "outer ceiling", "MAX(outside_length,outside_width)", "joist_length_outer"),
        Line("PLATE", "Plates, both frames", f"=2*({inner}+{outer})", length, "=framing_waste", f"=STILL_PACKS(2*({inner}+{outer}),{stock},framing_waste)"),
        Line("SCREWS", "Board screws, deck too", f"={screws}", "piece", "", f"=STILL_PACKS({screws},1000)"),
        Line("WOOL", "Cavity wool", f"={wool}", area, "=board_waste", f"=STILL_PACKS({wool},{pack},board_waste)"),
        sealant(book, f"{seam_inner}+{seam_outer}"),
        covered(book, "UNDERLAY", "Resilient underlay", "footprint"),
    ]


def sealant(book: Book, seam: str) -> Line:
    """Sealant along the edge of every layer."""
    tubes = f'=STILL_SEALANTTUBES({seam},sealant_bead,sealant_waste,"round","","",units)'
    return Line("SEALANT", "Sealant, every layer's edge", f"={seam}", book.unit(ROOM_LENGTH), "=sealant_waste", tubes)


def studs(book: Book, where: str, run: str, above: str, when: str = "TRUE") -> Line:
    """Studs of a frame from the deck up to ``above`` over the room, less its plates: whole stock lengths."""
    height = f"(room_height+({above}-{book.pick(*sheets.PLATES)})/{book.pick('12', '1000')})"
    return _stock(book, "STUD", f"Studs, {where}", f"STILL_STUDS({run},stud_spacing,4,1,3,{{}},units)", height, when)


def joists(book: Book, where: str, across: str, length: str, when: str = "TRUE") -> Line:
    """Joists along the shorter side of a room, set out across its longer one: whole stock lengths, each over one joist."""
    return _stock(book, "JOIST", f"Joists, {where}", f"STILL_STUDS({across},stud_spacing,0,0,0,{{}},units)", length, when)


def _stock(book: Book, code: str, what: str, count: str, length: str, when: str) -> Line:
    """Pieces of one length, each of the next length that is sold; ``count`` takes the waste."""
    unit = book.unit(ROOM_LENGTH)
    least, step = book.pick(("8", "2"), ("2.4", "0.6"))
    stock = f"MAX({least},ROUNDUP(ROUND({length}/{step},6),0)*{step})"
    pieces = count.format("framing_waste")
    return Line(
        code,
        f'="{what}"&IF({when},": "&{pieces}&" of "&ROUND({stock},2)&" {unit}","")',
        f"=IF({when},{count.format('0')}*{length},0)",
        unit,
        "=framing_waste",
        f"=IF({when},ROUND({pieces}*{stock},3),0)",
    )


def doors(kind: str, leaves: int, when: str) -> list[Line]:
    """The doors in one of the two arrangements."""
    makeup = f"STILL_SHEETPIECES({leaves}*{kind}_makeup_count,door_width,door_height,sheet_width,sheet_height,units)"
    return [
        counted("SLAB", "Door slabs", f"{leaves}", when=when),
        Line(
            f"={kind}_makeup_material",
            f'="Sheets added to the slab: "&{kind}_makeup_material',
            f"={leaves}*{kind}_makeup_count",
            "piece",
            "",
            f"=IF({kind}_makeup_count=0,0,{makeup})",
            when,
        ),
        counted("FRAME", "Frames", f"{leaves}", when=when),
        counted("HINGE", "Hinges", f"{leaves}*{kind}_hinges", when=when),
        counted("SEALS", "Seals", f"{leaves}", "set", when=when),
        counted("LATCH", "Latches", f"{leaves}", when=when),
    ]


def air(book: Book) -> list[Line]:
    """Supply and return."""
    length, area = book.unit(ROOM_LENGTH), book.unit(AREA)
    ducts = "duct_length+way_out_length"
    baffles = sheets.cut(book, "baffle_boxes*(baffle_passes-1)", "baffle_inside_height", "(baffle_inside_length-baffle_width)")
    return [
        Line(
            "DUCT",
            f'="Lined duct, supply and "&IF({HAS_NO_BOX},"transfer","return")',
            f"={ducts}",
            length,
            "=framing_waste",
            f"=STILL_PACKS({ducts},1,framing_waste)",
        ),
        counted("ELBOW", "Elbows", "elbow_count+way_out_elbows"),
        Line("=baffle_board", '="Baffles of the boxes: "&baffle_board', "=baffle_boxes*baffle_board_area", area, "", f"=IF(baffle_passes<2,0,{baffles})"),
        covered(book, "LINING", "Lining of the boxes", "baffle_boxes*baffle_lining_area"),
        counted("AIRBOX", "Baffle boxes", "baffle_boxes"),
        counted("FAN", "Fans", "fan_count"),
        counted("VENTILATOR", "Recovery ventilator", f'IF(air_source="{OUTDOORS}",1,0)'),
        counted("CONNECTOR", "Flexible connectors", "2*fan_count"),
        counted("GRILLE", "Grilles, in the room and outside", "4"),
        counted("FILTER", "Filter", "1"),
        counted("COOLING", "Cooling unit", "IF(cooling_power>0,1,0)"),
    ]


def wiring() -> list[Line]:
    """Power and what passes the shell."""
    return [
        counted("CIRCUIT", "Circuits", "1"),
        counted("POINT", "Points", "socket_count+light_count"),
        counted("JACK", "Panel connectors", "audio_connectors+data_connectors+power_connectors"),
        counted("SLEEVE", "Sleeves, two leaves", "2*hole_count"),
        counted("ALARM", "Air alarm", "1", "set"),
    ]


def site(book: Book) -> list[Line]:
    """Finish, and what every job needs."""
    return [
        covered(book, "FINISH", "Finish inside", "inner_wall_area+2*floor_area"),
        covered(book, "TREATMENT", "Acoustic treatment", "wall_treatment+ceiling_treatment"),
        counted("SETUP", "Delivery, protection, clearing up", "1", "job"),
    ]
