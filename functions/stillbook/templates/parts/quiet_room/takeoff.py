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
    page.note("Small rooms cut many sheets: lay the boards out before ordering. A rated wall follows its tested system.")
    page.finish()
    return page, written


def groups(book: Book) -> Iterable[tuple[str, list[Line]]]:
    """All lines, group by group."""
    return (
        ("Boards", boards(book)),
        ("Frames, wool and sealant", frames(book)),
        ("Doors, as a pair", doors(book, "pair", 2, WHEN_PAIR)),
        ("Doors, as one heavy door", doors(book, "single", 1, WHEN_SINGLE)),
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


def boards(book: Book, leaves: Iterable[tuple[str, str, str]] = LEAVES) -> list[Line]:
    """Sheets of each layer of each leaf."""
    unit = book.unit(AREA)
    lines = []
    for leaf, area, absent in leaves:
        for layer in range(1, LAYERS + 1):
            material, count = f"{leaf}_material_{layer}", f"{leaf}_count_{layer}"
            used = f'OR({material}="",N({count})=0{"," + absent if absent else ""})'
            lines.append(
                Line(
                    f'=IF({used},"",{material})',
                    f'=IF({used},"not used",{material}&", {WHERE.get(leaf, leaf.replace("_", " "))}")',
                    f"=IF({used},0,({area})*{count})",
                    unit,
                    "=board_waste",
                    f"=IF({used},0,STILL_SHEETS({area},sheet_width,sheet_height,{count},board_waste,units))",
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
    inner_screws = board_screws(book, "inner_wall_area+floor_area", "inner")
    outer_screws = board_screws(book, "outer_wall_area+footprint", "outer")
    seam_inner = f"(2*{inner}+4*room_height)*SUM(inner_count_1,inner_count_2,inner_count_3)"
    seam_outer = f"(2*{outer}+4*outside_height)*SUM(outer_count_1,outer_count_2,outer_count_3)"
    return [
        Line("STUD", "Studs, inner frame", f"={inner}", length, "=framing_waste", studs.format(inner)),
        Line("STUD", "Studs, outer frame", f"={outer}", length, "=framing_waste", studs.format(outer)),
        Line(
            "STUD",
            "Joists, both ceilings",
            "=room_length+outside_length",
            length,
            "=framing_waste",
            "=STILL_STUDS(room_length,stud_spacing,0,0,0,framing_waste,units)+STILL_STUDS(outside_length,stud_spacing,0,0,0,framing_waste,units)",
        ),
        Line("PLATE", "Plates, both frames", f"=2*({inner}+{outer})", length, "=framing_waste", f"=STILL_PACKS(2*({inner}+{outer}),{stock},framing_waste)"),
        Line("SCREWS", "Board screws", f"={inner_screws}+{outer_screws}", "piece", "", f"=STILL_PACKS({inner_screws}+{outer_screws},1000)"),
        Line("WOOL", "Cavity wool", f"={wool}", area, "=board_waste", f"=STILL_PACKS({wool},{pack},board_waste)"),
        Line(
            "SEALANT",
            "Sealant, every layer's edge",
            f"={seam_inner}+{seam_outer}",
            length,
            "=sealant_waste",
            f'=STILL_SEALANTTUBES({seam_inner}+{seam_outer},sealant_bead,sealant_waste,"round","","",units)',
        ),
        Line("UNDERLAY", "Resilient underlay", "=footprint", area, "=board_waste", "=ROUNDUP(footprint*(1+board_waste),0)"),
    ]


def board_screws(book: Book, area: str, leaf: str) -> str:
    """The screws of all layers of a leaf over an area."""
    layers = f"SUM({leaf}_count_1,{leaf}_count_2,{leaf}_count_3)"
    return f'STILL_SCREWS({area},{layers},{book.pick("12", "300")},stud_spacing,sheet_width,sheet_height,"vertical",0.05,units)'


def doors(book: Book, kind: str, leaves: int, when: str) -> list[Line]:
    """The doors in one of the two arrangements."""
    makeup = f"STILL_SHEETS({leaves}*door_area,sheet_width,sheet_height,{kind}_makeup_count,board_waste,units)"
    return [
        Line("SLAB", "Door slabs", f"={leaves}", "piece", "", f"={leaves}", when),
        Line(
            f"={kind}_makeup_material",
            f'="Sheets added to the slab: "&{kind}_makeup_material',
            f"={leaves}*door_area*{kind}_makeup_count",
            book.unit(AREA),
            "=board_waste",
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
        Line(
            "=baffle_board",
            '="Baffles of the boxes: "&baffle_board',
            "=baffle_boxes*baffle_board_area",
            area,
            "=board_waste",
            "=IF(baffle_passes<2,0,STILL_SHEETS(baffle_boxes*baffle_board_area,sheet_width,sheet_height,1,board_waste,units))",
        ),
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
