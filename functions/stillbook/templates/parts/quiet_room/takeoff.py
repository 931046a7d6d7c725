"""Take-off: what the job needs, from the geometry, with waste and whole packs."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any, Final

from openpyxl.utils import get_column_letter

from stillbook.quantities import AIRFLOW, AREA, HEAT, LENGTH, MASS, PRESSURE, ROOM_LENGTH
from stillbook.templates import look, marks
from stillbook.templates.heights import height_for
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts.inputs import OUTDOORS
from stillbook.templates.parts.quiet_room import connectors, own_lines, sheets, sizes
from stillbook.templates.parts.quiet_room.air_ways import HAS_FAN, HAS_NO_BOX, OUT, SUPPLY
from stillbook.templates.parts.schedule import widths
from stillbook.templates.parts.table import Column, Table
from stillbook.templates.parts.walls import LAYERS, count, counts, material

WHEN_PAIR = '=IF(door_arrangement="pair",1,0)'
WHERE = {"inner": "inner leaf", "outer": "outer leaf", "deck": "deck", "baffle": "baffle boxes"}
COUNTED = ("piece", "set", "job", "day", "trip")
"""Units of what comes in whole numbers."""
SHOWN_WHEN_THERE: Final = '#,##0.##;-#,##0.##;""'
WHEN_SINGLE = '=IF(door_arrangement="single",1,0)'

SELDOM: Final = ("FLEXDUCT", "SILENCER")
"""Codes of what few jobs have: on the scope they take the places of lines that a job does without."""

_ROW: Final = 13.5
"""Height of the row of a line."""

_AND_A_BOARD: Final = re.compile(r'="([^"]*)"&\w+')
"""What a line is, where its words end with the name of a board."""

_BOARD: Final = 26
"""Letters of the name of a usual board."""

Surfaces = tuple[str, str, Callable[[str], str], str]
"""A leaf, its area, the whole sheets of so many layers of it, and when it is not there."""


@dataclass(frozen=True)
class TakeoffLine:
    """One line: its price code (text, or a formula that gives it), what it is, net and order quantity."""

    code: str
    text: str
    net: str
    net_unit: str
    waste: str
    order: str
    when: str = ""
    pieces: str = ""
    """In what pieces it comes, as a formula."""
    by_others: str = ""
    """A condition under which somebody else does it."""
    spec: str = ""
    """What it is made of or sold in, in words for those who price it, as a formula without its sign."""
    own: int = 0
    """Its place among the lines of one's own; 0 for one of the template's."""

    def height(self, width: float) -> float:
        """Height of its row where what it is stands in a column of so many letters."""
        found = _AND_A_BOARD.fullmatch(self.text)
        told = found[1] + "x" * _BOARD if found else "" if self.text.startswith("=") else self.text
        one, all_of_it = (height_for(words, width, look.BODY.size) for words in ("x", told))
        return _ROW if all_of_it <= one else all_of_it


def counted(code: str, text: str, count: str, unit: str = "piece", when: str = "", by_others: str = "", spec: str = "") -> TakeoffLine:
    """A line of whole things: what is needed is what is ordered."""
    return TakeoffLine(code, text, f"={count}", unit, "", f"={count}", when, by_others=by_others, spec=spec)


def covered(book: Book, code: str, text: str, area: str, spec: str = "") -> TakeoffLine:
    """A line by area, with waste."""
    whole = f"({area})" if "+" in area else area
    return TakeoffLine(code, text, f"={area}", book.unit(AREA), "=board_waste", f"=ROUNDUP({whole}*(1+board_waste),0)", spec=spec)


def sized(unit: str, *sides: str) -> str:
    """Sizes one after the other with their unit, as a formula that gives words."""
    return '&" × "&'.join(f"ROUND({side},2)" for side in sides) + f'&" {unit}"'


def sheet_size(book: Book) -> str:
    """In what sheets boards are sold."""
    return f'"sheets of "&{sized(book.unit(ROOM_LENGTH), "sheet_width", "sheet_height")}'


COLUMNS: Final = (
    Column("Code", "", 22, key="code", words=True),
    Column("Item", "", 36, key="text", words=True),
    Column("In pieces", "", 11, key="pieces", words=True),
    Column("Net", "", 9, key="net", number_format=look.ONE),
    Column("Unit", "", 7, key="net_unit", words=True),
    Column("Waste", "", 7, key="waste", number_format=look.PERCENT),
    Column("To order", "", 9, key="order", number_format=look.GENERAL),
    Column("Unit", 'IF(${code}="","",INDEX(price_units,MATCH(${code},price_codes,0)))', 7, key="unit", words=True),
    Column("Off because", 'IF(${code}="","",IFERROR(INDEX(off_reasons,MATCH({text},off_lines,0))&"",""))', 18, key="off", words=True),
)

BOARDS: Final = "Boards"


def write(book: Book, groups: Iterable[tuple[str, list[TakeoffLine]]], second: str) -> tuple[Page, list[tuple[int, TakeoffLine]]]:
    """Write the sheet, group by group, that called ``second`` on a new sheet of paper; gives it with the row of each line, for the price."""
    page = book.page("Take-off", "Quantities from the geometry, with waste, rounded up to what is sold. No prices here.", widths(COLUMNS), scale=75)
    written: list[tuple[int, TakeoffLine]] = []
    first = Table(page, COLUMNS).head() + 1
    page.sheet.freeze_panes = f"A{first}"
    for title, lines in groups:
        if title == second:
            page.break_here()
        page.heading(title)
        table = Table(page, COLUMNS)
        for line in lines:
            text = line.text or '=IF(${code}="","not used",${code})'
            off: dict[str, Any] = {"off": f'=IF({line.by_others},"{own_lines.OTHERS}",{COLUMNS[-1].formula})'} if line.by_others else {}
            row = table.row(line.code, text, line.pieces, line.net, line.net_unit, line.waste, line.order, **off)
            _dress(page, row, line)
            page.sheet.row_dimensions[row].height = line.height(COLUMNS[1].width)
            written.append((row, line))
        if title == BOARDS:
            table.page.name("board_sheets", table.first, table.places["order"], page.at - 1)
        page.skip()
    marks.quiet_where_blank(page.sheet, f"{get_column_letter(FIRST)}{first}:{get_column_letter(page.last_column)}{page.at - 1}")
    page.note(
        "Sheets of walls, ceilings and deck count surface by surface, in strips a sheet wide, door and window left in; those added to doors, "
        "baffles and box shells by the pieces cut from a sheet, each size by itself. A rated wall follows its tested system."
    )
    page.skip()
    written += _own(page)
    page.finish(page.at - 1, heading=True)
    return page, written


def _dress(page: Page, row: int, line: TakeoffLine) -> None:
    page.sheet.cell(row, FIRST).font = look.QUIET
    for offset in (2, len(COLUMNS) - 1):
        page.sheet.cell(row, FIRST + offset).alignment = look.SHRUNK_UNIT
    if line.net_unit in COUNTED:
        page.sheet.cell(row, FIRST + 3).number_format = look.WHOLE


def _own(page: Page) -> list[tuple[int, TakeoffLine]]:
    """The lines of one's own, in the order of their sheet; rows left over show nothing."""
    page.heading("Lines of your own", '=COUNTIF(own_places,"?*")&" on the Own lines sheet"')
    table = Table(page, COLUMNS)
    written = []
    for k in range(1, own_lines.PLACES + 1):
        code, text, quantity, unit, off = (
            "=" + formula.replace("{k}", str(k)) for formula in (own_lines.CODE, own_lines.TEXT, own_lines.QUANTITY, own_lines.UNIT, own_lines.OFF)
        )
        row = table.row(code, text, None, None, None, None, quantity, unit=unit, off=off, border=look.NONE)
        page.sheet.cell(row, table.places["order"]).number_format = SHOWN_WHEN_THERE
        _dress(page, row, TakeoffLine("", "", "", "", "", ""))
        page.sheet.row_dimensions[row].height = 12.5
        written.append((row, TakeoffLine("", "", "", "", "", "", own=k)))
    last = get_column_letter(page.last_column)
    page.name("own_places", table.first, table.places["text"], page.at - 1)
    marks.show_where_filled(
        page.sheet, f"{get_column_letter(FIRST)}{table.first}:{last}{page.at - 1}", get_column_letter(table.places["text"]), border=look.ROW
    )
    own_lines.close_further(page, table.first, page.at - 1, table.places["text"])
    page.at += 1
    return written


def groups(book: Book) -> Iterable[tuple[str, list[TakeoffLine]]]:
    """All lines, group by group."""
    return (
        (BOARDS, boards(book)),
        ("Frames, wool and sealant", frames(book)),
        ("Doors, as a pair", doors(book, "pair", 2, WHEN_PAIR)),
        ("Doors, as one heavy door", doors(book, "single", 1, WHEN_SINGLE)),
        ("Air", air(book)),
        ("Wiring", wiring(book)),
        ("Finish and site", site(book, OUTSIDE, VISION, new_ceilings="floor_area+footprint")),
        *by_the_hours(),
    )


OUTSIDE: Final = "outside_finish*outer_wall_area"
"""Area of the outer walls that is finished."""

VISION: Final = "vision_area"


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


def boards(book: Book, leaves: Iterable[Surfaces] = LEAVES) -> list[TakeoffLine]:
    """Sheets of each layer of each leaf and of the shells of the boxes."""
    lines = []
    shell: Surfaces = ("baffle", "baffle_boxes*baffle_shell_area", lambda layers: box_faces(book, layers), "")
    for leaf, area, whole, absent in (*leaves, shell):
        for layer in range(1, LAYERS + 1):
            board, layered = material(leaf, layer), count(leaf, layer)
            used = f'OR({board}="",N({layered})=0{"," + absent if absent else ""})'
            lines.append(
                TakeoffLine(
                    f'=IF({used},"",{board})',
                    f'=IF({used},"not used",{board}&", {WHERE.get(leaf, leaf.replace("_", " "))}")',
                    f"=IF({used},0,({area})*{layered})",
                    book.unit(AREA),
                    "",
                    f"=IF({used},0,{whole(layered)})",
                    spec=sheet_size(book),
                )
            )
    return lines


def frames(book: Book) -> list[TakeoffLine]:
    """Frames, screws, wool, sealant and underlay."""
    inner, outer = "2*(room_length+room_width)", "2*(outside_length+outside_width)"
    area = book.unit(AREA)
    pack = book.pick(*sheets.WOOL_PACK)
    wool = "inner_wall_area+floor_area+outer_wall_area+footprint"
    screws = "+".join((sheets.room_screws("inner", "room"), sheets.room_screws("outer", "outside"), sheets.deck_screws("outside")))
    seam_inner = f"(2*{inner}+4*room_height)*{counts('inner')}"
    seam_outer = f"(2*{outer}+4*outside_height)*{counts('outer')}"
    return [
        studs(book, "inner frame", inner, "inner_thickness"),
        studs(book, "outer frame", outer, "inner_thickness+stud_depth+frame_gap"),
        joists(book, "inner ceiling", "MAX(room_length,room_width)", "joist_length_inner"),
        joists(book, "outer ceiling", "MAX(outside_length,outside_width)", "joist_length_outer"),
        plates(book, "Sole plates, both frames", f"({inner}+{outer})"),
        plates(book, "Top plates, both frames", f"top_plates*({inner}+{outer})"),
        TakeoffLine("SCREWS", "Board screws, deck too", f"={screws}", "piece", "", f"=STILL_PACKS({screws},1000)", spec=SCREW_BOX),
        TakeoffLine("WOOL", "Cavity wool", f"={wool}", area, "=board_waste", f"=STILL_PACKS({wool},{pack},board_waste)", spec=wool_pack(book)),
        sealant(book, f"{seam_inner}+{seam_outer}"),
        covered(book, "UNDERLAY", "Resilient underlay", "footprint"),
    ]


SCREW_BOX: Final = '"boxes of 1000"'


def wool_pack(book: Book) -> str:
    """Of what wool, and in what packs it is sold."""
    return f'wool_material&", packs of {book.pick(*sheets.WOOL_PACK)} {book.unit(AREA)}"'


def plates(book: Book, text: str, run: str, when: str = "TRUE") -> TakeoffLine:
    """Plates of frames along a run: whole stock lengths."""
    there = "{0}" if when == "TRUE" else f"IF({when},{{0}},0)"
    packs = f"STILL_PACKS({run},{book.pick(*sheets.PLATE_STOCK)},framing_waste)"
    stock = f'"lengths of {book.pick(*sheets.PLATE_STOCK)} {book.unit(ROOM_LENGTH)}, "&{sized(book.unit(LENGTH), "stud_depth")}&" wide"'
    return TakeoffLine("PLATE", text, "=" + there.format(run), book.unit(ROOM_LENGTH), "=framing_waste", "=" + there.format(packs), spec=stock)


def sealant(book: Book, seam: str) -> TakeoffLine:
    """Sealant along the edge of every layer."""
    tubes = f'=STILL_SEALANTTUBES({seam},sealant_bead,sealant_waste,"round","","",units)'
    bead = f'"round bead of "&{sized(book.unit(LENGTH), "sealant_bead")}'
    return TakeoffLine("SEALANT", "Sealant, every layer's edge", f"={seam}", book.unit(ROOM_LENGTH), "=sealant_waste", tubes, spec=bead)


def studs(book: Book, where: str, run: str, above: str, when: str = "TRUE") -> TakeoffLine:
    """Studs of a frame from the deck up to ``above`` over the room, less its plates: whole stock lengths."""
    height = f"(room_height+({above}-(1+top_plates)*{book.pick(*sheets.PLATE)})/{book.units_in(LENGTH, ROOM_LENGTH)})"
    return _stock(book, "STUD", f"Studs, {where}", f"STILL_STUDS({run},stud_spacing,4,1,3,{{}},units)", height, when)


def joists(book: Book, where: str, across: str, length: str, when: str = "TRUE") -> TakeoffLine:
    """Joists along the shorter side of a room, set out across its longer one: whole stock lengths, each over one joist."""
    return _stock(book, "JOIST", f"Joists, {where}", f"STILL_STUDS({across},stud_spacing,0,0,0,{{}},units)", length, when)


def _stock(book: Book, code: str, what: str, count: str, length: str, when: str) -> TakeoffLine:
    """Pieces of one length, each of the next length that is sold; ``count`` takes the waste."""
    unit = book.unit(ROOM_LENGTH)
    least, step = book.pick(("8", "2"), ("2.4", "0.6"))
    stock = f"MAX({least},ROUNDUP(ROUND({length}/{step},6),0)*{step})"
    pieces = count.format("framing_waste")
    return TakeoffLine(
        code,
        what,
        f"=IF({when},{count.format('0')}*{length},0)",
        unit,
        "=framing_waste",
        f"=IF({when},ROUND({pieces}*{stock},3),0)",
        pieces=f'=IF({when},{pieces}&" of "&ROUND({stock},2)&" {unit}","")',
        spec=f'{sized(book.unit(LENGTH), "stud_depth")}&" deep"' if code == "STUD" else f'"{sizes.SECTION}"',
    )


def doors(book: Book, kind: str, leaves: int, when: str) -> list[TakeoffLine]:
    """The doors in one of the two arrangements."""
    makeup = f"STILL_SHEETPIECES({leaves}*{kind}_makeup_count,door_width,door_height,sheet_width,sheet_height,units)"
    opening = sized(book.unit(LENGTH), "door_width", "door_height")
    return [
        counted("SLAB", "Door slabs", f"{leaves}", when=when, spec=f'{opening}&", "&{sized(book.unit(MASS), "slab_mass")}'),
        TakeoffLine(
            f"={kind}_makeup_material",
            f'="Sheets added to the slab: "&{kind}_makeup_material',
            f"={leaves}*{kind}_makeup_count",
            "piece",
            "",
            f"=IF({kind}_makeup_count=0,0,{makeup})",
            when,
            spec=sheet_size(book),
        ),
        counted("FRAME", "Frames", f"{leaves}", when=when, spec=f'"for "&{opening}'),
        counted("HINGE", "Hinges", f"{leaves}*{kind}_hinges", when=when),
        counted("SEALS", "Seals", f"{leaves}", "set", when=when),
        counted("LATCH", "Latches", f"{leaves}", when=when),
        counted("THRESHOLD", "Thresholds", f"{leaves}", when=when),
        counted("CLOSER", "Closers", f"MIN({leaves},closer_count)", when=when),
    ]


def air(book: Book) -> list[TakeoffLine]:
    """Supply and return."""
    length, area = book.unit(ROOM_LENGTH), book.unit(AREA)
    ducts = "duct_length+way_out_length"
    small = book.unit(LENGTH)
    box = f'{sized(small, "baffle_length", "baffle_outer_width", "baffle_outer_height")}&" outside, "&baffle_passes&" passes"'
    baffles = sheets.cut(book, "baffle_boxes*(baffle_passes-1)", "baffle_inside_height", "(baffle_inside_length-baffle_width)")
    return [
        TakeoffLine(
            "DUCT",
            f'="Lined duct, supply and "&IF({HAS_NO_BOX},"transfer","return")',
            f"={ducts}",
            length,
            "=framing_waste",
            f"=STILL_PACKS({ducts},1,framing_waste)",
            spec=f'{sized(small, "duct_width", "duct_height")}&" inside, lined "&{sized(small, "duct_lining")}',
        ),
        TakeoffLine(
            "FLEXDUCT",
            "Flexible duct, lined, at the grilles",
            "=2*N(flex_length)",
            length,
            "=framing_waste",
            "=ROUNDUP(2*N(flex_length)*(1+framing_waste),0)",
            spec=f'{sized(small, SUPPLY.flexible(book))}&" inside"',
        ),
        counted("ELBOW", "Elbows", "elbow_count+way_out_elbows"),
        TakeoffLine(
            "=baffle_board",
            '="Baffles of the boxes: "&baffle_board',
            "=baffle_boxes*baffle_board_area",
            area,
            "",
            f"=IF(baffle_passes<2,0,{baffles})",
            spec=sheet_size(book),
        ),
        covered(book, "LINING", "Lining of the boxes", "baffle_boxes*baffle_lining_area", f'{sized(small, "baffle_lining")}&" thick"'),
        counted("AIRBOX", "Baffle boxes", "baffle_boxes", spec=box),
        counted("FAN", '=IF(fan_count=2,"Fans, one in and one out","Fan")', "fan_count", spec=_fans(book)),
        counted("SILENCER", "Silencers", f"IF({SUPPLY.silenced},1,0)+IF({OUT.silenced},1,0)", spec=sized(small, *SUPPLY.face)),
        counted("VENTILATOR", "Recovery ventilator", f'IF(air_source="{OUTDOORS}",1,0)'),
        counted("CONNECTOR", "Flexible connectors", "2*fan_count"),
        counted("GRILLE", "Grilles, in the room and outside", "4", spec=sized(small, "grille_width", "grille_height")),
        counted("FILTER", "Filter", "1"),
        counted("COOLING", "Cooling unit", "IF(cooling_power>0,1,0)", spec=sized(book.unit(HEAT), "cooling_power")),
        _run("LINESET", "Refrigerant lines", book),
        _run("DRAIN", "Condensate drain", book),
    ]


def _fans(book: Book) -> str:
    """What each fan has to move, against what."""
    flow, loss, heavy = book.unit(AIRFLOW), book.unit(PRESSURE), book.pick("0.00", "0")
    out = f'"; out "&TEXT(way_out_airflow,"0")&" {flow} at "&TEXT(return_loss,"{heavy}")&" {loss}"'
    return f'TEXT(airflow,"0")&" {flow} at "&TEXT(fan_system_loss,"{heavy}")&" {loss}"&IF({HAS_FAN},{out},"")'


def _run(code: str, text: str, book: Book) -> TakeoffLine:
    """A run from the cooling unit to its outdoor part, or to a drain."""
    return TakeoffLine(
        code, text, "=IF(cooling_power>0,line_run,0)", book.unit(ROOM_LENGTH), "=framing_waste", "=IF(cooling_power>0,ROUNDUP(line_run*(1+framing_waste),0),0)"
    )


def wiring(book: Book) -> list[TakeoffLine]:
    """Power and what passes the shell."""
    return [
        counted("CIRCUIT", "Circuits", "1"),
        counted("POINT", "Points", "socket_count+light_count"),
        *panels(book),
        counted("LUMINAIRE", "Luminaires", 'IF(luminaire_count="",light_count,luminaire_count)'),
        counted("SLEEVE", "Sleeves, two leaves", "2*hole_count"),
        counted("SLEEVE", "Sleeves of cooling lines, two leaves", "IF(cooling_power>0,2*line_holes,0)"),
        counted("FIRE", "Fire detection or sprinkler", 'IF(fire_detection="not needed",0,1)', "set", by_others='fire_detection="by others"'),
        counted("ALARM", "Air alarm", "1", "set"),
    ]


def panels(book: Book) -> list[TakeoffLine]:
    """What the rows of the connector schedule buy: connectors, their holes in the plate, and their cables."""
    kinds = [counted(kind.code, f"Connectors, {kind.words.lower()}", kind.count) for kind in connectors.KINDS]
    unit = book.unit(ROOM_LENGTH)
    runs = (("SIGNALCABLE", "Signal cable", "signal_count"), ("POWERCABLE", "Power cable to the panel", connectors.POWER.count))
    cables = [
        TakeoffLine(code, text, f"={count}*cable_run", unit, "=framing_waste", f"=ROUNDUP({count}*cable_run*(1+framing_waste),0)") for code, text, count in runs
    ]
    return [*kinds, counted("PANELHOLE", "Holes in the plates, cut and marked", "SUM(connector_counts)"), *cables]


def site(book: Book, outside: str = "", vision: str = "", *, new_ceilings: str, stripped: str = "0") -> list[TakeoffLine]:
    """Finish, and what every job needs.

    Args:
        book: The workbook.
        outside: The area finished outside; none where there is no outside.
        vision: The area of a vision window; none where the template has a window of its own.
        new_ceilings: The area of new ceilings, by which a lift is hired.
        stripped: The area of old boards that go away.
    """
    lift, sheets_a_load, stripped_a_load = book.pick(("200", "40", "250"), ("18.5", "50", "30"))
    loads = f"SUM(board_sheets)/{sheets_a_load}+({stripped})/{stripped_a_load}"
    return [
        covered(book, "FINISH", "Finish inside", "inner_wall_area+2*floor_area"),
        *([covered(book, "OUTFINISH", "Outside finish", outside)] if outside else []),
        covered(book, "TREATMENT", "Acoustic treatment", "wall_treated+ceiling_treated", f'{sized(book.unit(LENGTH), "treatment_depth")}&" deep"'),
        *(
            [
                TakeoffLine(
                    "VISION",
                    "Vision window",
                    f"={vision}",
                    book.unit(AREA),
                    "",
                    f"=ROUND({vision},2)",
                    spec=sized(book.unit(LENGTH), "vision_width", "vision_height"),
                )
            ]
            if vision
            else []
        ),
        counted("VENT", "Old vents closed and made good", "old_vents"),
        counted("LIFT", "Panel lift, hired by the day", f'IF(lift_days="",ROUNDUP(ROUND(({new_ceilings})/{lift},6),0),lift_days)', "day"),
        TakeoffLine("WASTE", "Waste, taken away", f"={loads}", book.pick("yd³", "m³"), "", f"=ROUNDUP(ROUND({loads},6),0)"),
        counted("DRAWINGS", "Drawings for the site", "drawing_sets", "set"),
        counted("TEST", "Test of the finished room", "room_tests", "job"),
    ]


def by_the_hours() -> Iterable[tuple[str, list[TakeoffLine]]]:
    """What grows with the hours of all other work, in either arrangement of doors."""
    for title, hours, when in (("Site, doors as a pair", "hours_with_pair", WHEN_PAIR), ("Site, one heavy door", "hours_with_single", WHEN_SINGLE)):
        days = f"{hours}*(1+setup_share+supervision_share)/(crew*day_hours)"
        yield (
            title,
            [
                _share("SETUP", "Delivery, protection, clearing up", f"{hours}*setup_share", when),
                _share("SUPERVISION", "Supervision", f"{hours}*supervision_share", when),
                counted("TRAVEL", "Travel", f'IF(travel_trips="",ROUNDUP(ROUND({days},6),0),travel_trips)', "trip", when),
            ],
        )


def _share(code: str, text: str, hours: str, when: str) -> TakeoffLine:
    """Whole hours that are a share of others."""
    return TakeoffLine(code, text, f"={hours}", "h", "", f"=ROUNDUP(ROUND({hours},6),0)", when)
