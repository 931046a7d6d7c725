"""Inputs: everything the estimator types, on one sheet, each a named cell."""

from __future__ import annotations

from collections.abc import Iterable

from openpyxl.utils import get_column_letter

from stillbook.templates import look
from stillbook.templates.booth import alternates
from stillbook.templates.page import FIRST, Book, Input, Page
from stillbook.trade.quiet_path.fan_sound import FAN_TYPES

LAYERS = 3
"""Rows of a build-up."""

DAY_PARTS = 4
"""Rows of the day in the room."""

NEXT_ROOM, OUTDOORS = "neighbouring room", "outdoors with recovery"
"""Where the air may come from."""

RETURN_DUCT, TRANSFER_DUCT, RETURN_FAN = "return duct", "transfer duct", "return duct with fan"
"""How the air leaves the room."""


def write(book: Book) -> Page:
    """Write the sheet."""
    page = begin(book)
    sections(
        page,
        (
            ("Job", "", job(book)),
            ("Room and the space it stands in", "inside sizes are finished sizes", room(book)),
            ("People and heat", "", people(book)),
        ),
    )
    day(book, page)
    page.break_here()
    build_ups(book, page, leaves(book))
    sections(page, (("Frames and cavity", "", frames(book)), *services(book)))
    alternates.ask(book, page)
    page.finish(page.at - 2)
    return page


def begin(book: Book) -> Page:
    """Start the sheet, with the cell of its unit system."""
    page = book.page(
        "Inputs",
        "Type only in the boxed cells. Everything else in the workbook is calculated from them.",
        (31, 25, 10, 18, 38),
    )
    page.put(page.at, FIRST, "Units of bare numbers", font=look.QUIET)
    page.put(page.at, FIRST + 1, book.system, font=look.QUIET)
    book.name("units", page, page.at, FIRST + 1)
    page.skip(2)
    return page


Section = tuple[str, str, list[Input]]

FAN = "Fan and what is heard"


def services(book: Book) -> tuple[Section, ...]:
    """The sections after the build-ups: title, note, inputs."""
    return (
        ("Doors", "", doors(book)),
        ("Isolation", "", isolation(book)),
        ("Inside the room", "", inside(book)),
        ("Air", "", air(book)),
        ("Where the air comes from", "", air_source(book)),
        ("Ducts", "", ducts(book)),
        ("How the air leaves", "blank is as the supply", way_out(book)),
        (
            "Baffle boxes",
            "all alike; the Air path sheet lists boxes that can be made",
            baffle_boxes(book),
        ),
        (FAN, "", fan(book)),
        ("Wiring and penetrations", "", wiring(book)),
        ("Take-off", "", takeoff(book)),
        ("Price", "", price(book)),
    )


def sections(page: Page, parts: Iterable[Section]) -> None:
    """Write sections of inputs."""
    for title, note, rows in parts:
        if title in ("Isolation", "Air", "Ducts", "Baffle boxes", "Wiring and penetrations"):
            page.break_here()
        page.heading(title, note)
        for entry in rows:
            page.input(entry)
        if title == FAN:
            fan_curve(page.book, page)
        page.skip()


def job(book: Book) -> list[Input]:
    """Who the estimate is for."""
    return [
        Input("client", "Client", None, "text", "Name as it stands on the proposal."),
        Input("project", "Project", None, "text", "What the room is for, in a few words."),
        Input("reference", "Reference", None, "text", "Your own number for the job.", optional=True),
        Input("prepared_by", "Prepared by", None, "text", "Name or office on the proposal.", optional=True),
        Input("estimate_date", "Date", None, "date", "Date of this estimate.", number_format=look.DATE),
        Input(
            "valid_days",
            "Valid for",
            30,
            "days",
            "Days the price stands.",
            1,
            365,
            number_format=look.WHOLE,
            whole=True,
        ),
        Input("currency", "Currency", book.pick("USD", "EUR"), "text", "Shown beside every amount."),
    ]


def room(book: Book) -> list[Input]:
    """Sizes of the room and of the space around it."""
    unit, two = book.pick("ft", "m"), look.TWO
    floor = book.pick("lb/ft²", "kg/m²")
    return [
        Input("room_length", "Room length, inside", book.pick(8, 2.4), unit, "Finished face to finished face.",
              book.pick(3, 0.9), book.pick(60, 18), number_format=two),
        Input("room_width", "Room width, inside", book.pick(6, 1.8), unit, "Finished face to finished face.",
              book.pick(3, 0.9), book.pick(60, 18), number_format=two),
        Input("room_height", "Room height, inside", book.pick(7.5, 2.3), unit, "Finished floor to finished ceiling.",
              book.pick(6, 1.8), book.pick(20, 6), number_format=two),
        Input("space_length", "Space length", book.pick(16, 4.9), unit, "Clear length of the space the room stands in.",
              book.pick(3, 0.9), book.pick(300, 90), number_format=two),
        Input("space_width", "Space width", book.pick(12, 3.7), unit, "Clear width of that space.",
              book.pick(3, 0.9), book.pick(300, 90), number_format=two),
        Input("space_height", "Space height", book.pick(9.5, 2.9), unit, "Lowest clear height of that space.",
              book.pick(6, 1.8), book.pick(60, 18), number_format=two),
        Input("floor_capacity", "Floor may carry", None, floor,
              "Uniform load the building's engineer allows on the floor here. Ask; do not guess.",
              book.pick(10, 50), book.pick(1000, 5000), number_format=look.WHOLE),
    ]  # fmt: skip


def people(book: Book) -> list[Input]:
    """Who and what is inside."""
    return [
        Input("people", "People inside", 2, "people", "The most at one time.", 1, 50, number_format=look.WHOLE, whole=True),
        Input("space_type", "Kind of space", "studio or stage", "", "Row of the outdoor air table.", options="space_types"),
        Input("activity", "Activity", "talking", "", "How hard the people work.", options="activities"),
        Input("session_minutes", "Longest session", 90, "min", "Time with the door shut.", 5, 1440, number_format=look.WHOLE),
        Input("equipment_power", "Equipment", 150, "W", "Electric power that stays in the room as heat.", 0, 20000,
              number_format=look.WHOLE),
        Input("light_power", "Lights", 40, "W", "Electric power of the lights.", 0, 5000, number_format=look.WHOLE),
        Input("equipment_mass", "Equipment and furniture", book.pick(200, 90), book.pick("lb", "kg"),
              "Total carried by the room's floor.", 0, book.pick(20000, 9000), number_format=look.WHOLE),
    ]  # fmt: skip


Leaf = tuple[str, str, bool, list[tuple[str, int]]]


def leaves(book: Book) -> tuple[Leaf, ...]:
    """The leaves: name, label, whether it must be there, and the layers it starts with."""
    board = book.pick("Gypsum board 5/8 in type X", "Gypsum board 15 mm")
    return (
        ("inner", "Inner leaf, walls and ceiling", True, [(board, 2)]),
        ("outer", "Outer leaf, walls and ceiling", True, [(board, 2)]),
        ("deck", "Floor deck", True, [(book.pick("Plywood 3/4 in", "MDF 18 mm"), 2)]),
        box_shell(book),
    )


def box_shell(book: Book) -> Leaf:
    """The shell of the baffle boxes, as the leaf they stand on."""
    return "baffle", "Baffle box shell", True, [(book.pick("Gypsum board 5/8 in type X", "Gypsum board 15 mm"), 2)]


def day(book: Book, page: Page) -> None:
    """The day in the room, part by part, for CO2 and heat over time."""
    page.heading("A day in the room", "part by part; people and power left blank are as above")
    page.head_row(("Part", "Lasts, min", "People", "Power, W", ""))
    usual = ((90, None), (15, 0), (90, None))
    for number in range(1, DAY_PARTS + 1):
        minutes, inside = usual[number - 1] if number <= len(usual) else (None, None)
        page.put(page.at, FIRST, f"Part {number}", border=look.ROW)
        for offset, entry in enumerate((
            Input(f"day_minutes_{number}", f"Part {number} lasts", minutes, "min", "Minutes; blank for a part not used.",
                  1, 1440, optional=number > 1, number_format=look.WHOLE),
            Input(f"day_people_{number}", f"People in part {number}", inside, "people",
                  "0 in a break; blank takes the people inside.", 0, 50, optional=True, number_format=look.WHOLE, whole=True),
            Input(f"day_power_{number}", f"Power in part {number}", None, "W",
                  "Equipment and lights; blank takes both as above.", 0, 25000, optional=True, number_format=look.WHOLE),
        ), start=1):  # fmt: skip
            page.input_cell(page.at, FIRST + offset, entry)
        page.sheet.row_dimensions[page.at].height = 17
        page.at += 1
    page.skip()


def fan_curve(book: Book, page: Page) -> None:
    """The fan's curve at full speed, as points of airflow and pressure."""
    flow, loss = book.pick("cfm", "L/s"), book.pick("in.wg", "Pa")
    page.skip()
    page.heading("Fan curve at full speed", "from the maker's sheet, from no air to free air; invented example figures")
    page.head_row(("Point", f"Airflow, {flow}", f"Pressure, {loss}", "", ""))
    points = book.pick(
        ((0, 0.6), (30, 0.55), (60, 0.45), (90, 0.28), (120, 0)), ((0, 150), (14, 137), (28, 112), (42, 70), (56, 0))
    )
    first = page.at
    for number, (air_moved, pressure) in enumerate(points, start=1):
        page.put(page.at, FIRST, f"Point {number}", border=look.ROW)
        for offset, entry in enumerate((
            Input(f"fan_flow_{number}", f"Point {number}, airflow", air_moved, flow, "Airflow of this point of the curve.",
                  0, book.pick(5000, 2500), optional=number > 2, number_format=look.ONE),
            Input(f"fan_pressure_{number}", f"Point {number}, pressure", pressure, loss, "Pressure of this point of the curve.",
                  0, book.pick(10, 2500), optional=number > 2, number_format=book.pick(look.THREE, look.ONE)),
        ), start=1):  # fmt: skip
            page.input_cell(page.at, FIRST + offset, entry)
        page.sheet.row_dimensions[page.at].height = 17
        page.at += 1
    book.name("fan_curve", page, first, FIRST + 1, last=f"${get_column_letter(FIRST + 2)}${page.at - 1}")


def build_ups(book: Book, page: Page, leaves: Iterable[Leaf], title: str = "Build-ups") -> None:
    """The leaves, as rows of material, thickness and count, each leaf a named range."""
    unit = book.pick("in", "mm")
    page.heading(
        title,
        f"a material from the list; of a limp sheet its mass per area, such as {book.pick('1 lb/ft²', '5 kg/m²')}",
    )
    page.head_row(
        ("Layer", "Material", f"Thickness, {unit}", "Sheets", ""),
        words=(0, 1),
    )
    for leaf, label, needed, layers in leaves:
        first = page.at
        for number in range(1, LAYERS + 1):
            material, count = layers[number - 1] if number <= len(layers) else (None, None)
            _layer_row(book, page, leaf, label, number, material, count, optional=number > 1 or not needed)
        book.name(f"{leaf}_layers", page, first, FIRST + 1, last=f"${get_column_letter(FIRST + 3)}${page.at - 1}")
    page.skip()


def _layer_row(
    book: Book,
    page: Page,
    leaf: str,
    label: str,
    number: int,
    material: str | None,
    count: int | None,
    *,
    optional: bool,
) -> None:
    unit = book.pick("in", "mm")
    row = page.at
    page.put(row, FIRST, f"{label}, layer {number}", border=look.ROW)
    page.input_cell(
        row,
        FIRST + 1,
        Input(
            f"{leaf}_material_{number}",
            f"{label}, layer {number}",
            material,
            "",
            "Sheet material from the table; of a limp sheet its mass per area.",
            options="material_names",
            free=True,
            optional=optional,
        ),
    )
    page.input_cell(
        row,
        FIRST + 2,
        Input(
            f"{leaf}_thickness_{number}",
            "Thickness",
            None,
            unit,
            "Only where it is not the usual one, or the layer is given as a mass per area.",
            book.pick(0.01, 0.2),
            book.pick(24, 600),
            optional=True,
            number_format=look.GENERAL,
        ),
    )
    page.input_cell(
        row,
        FIRST + 3,
        Input(
            f"{leaf}_count_{number}",
            "Sheets",
            count,
            "",
            "Sheets of this layer.",
            1,
            10,
            optional=optional,
            number_format=look.WHOLE,
            whole=True,
        ),
    )
    page.sheet.row_dimensions[row].height = 17
    page.at += 1


def frames(book: Book) -> list[Input]:
    """The frames that carry the leaves."""
    unit = book.pick("in", "mm")
    return [
        Input("stud_depth", "Stud depth", book.pick(3.5, 89), unit, "Each of the two separate frames.",
              book.pick(1, 25), book.pick(12, 300), number_format=look.TWO),
        Input("frame_gap", "Gap between frames", book.pick(1, 25), unit, "Nothing may bridge it.",
              book.pick(0.25, 6), book.pick(24, 600), number_format=look.TWO),
        Input("stud_spacing", "Stud spacing", book.pick(16, 400), unit, "Centre to centre.",
              book.pick(8, 200), book.pick(48, 1200), number_format=look.WHOLE),
        Input("framing_mass", "Framing", book.pick(1.2, 5.9), book.pick("lb/ft²", "kg/m²"),
              book.pick("Mass per area of each frame with its plates; 2×4 at 16 in is about 1.2 lb/ft² (common practice).",
                        "Mass per area of each frame with its plates; 38 × 89 mm at 400 mm is about 5.9 kg/m² (common practice)."),
              0, book.pick(20, 100), number_format=look.TWO),
        Input("wool_material", "Cavity wool", book.pick("Mineral wool batt 3 in", "Mineral wool batt 3 in"), "",
              "In each frame.", options="material_names", free=True),
    ]  # fmt: skip


def doors(book: Book) -> list[Input]:
    """The door opening, the slabs and what is added to them."""
    unit = book.pick("in", "mm")
    return [
        Input("door_width", "Door width", book.pick(36, 915), unit, "Leaf width.", book.pick(24, 600), book.pick(60, 1500),
              number_format=look.WHOLE),
        Input("door_height", "Door height", book.pick(80, 2030), unit, "Leaf height.", book.pick(60, 1500),
              book.pick(108, 2750), number_format=look.WHOLE),
        Input("door_choice", "Arrangement", "suggested", "", "A pair, one heavy door, or what the space suggests.",
              choices=("suggested", "pair", "single")),
        Input("slab_mass", "Door slab", book.pick(60, 27), book.pick("lb", "kg"),
              book.pick("One solid-core slab of this size; 36 × 80 in is about 60 lb (common practice).",
                        "One solid-core slab of this size; 915 × 2030 mm is about 27 kg (common practice)."),
              book.pick(10, 5), book.pick(600, 270), number_format=look.WHOLE),
        Input("door_margin", "Margin over the wall's mass", 0.05, "share", "Added to the target mass.", 0, 1,
              number_format=look.PERCENT),
        Input("pair_makeup_material", "Added to each door of a pair", book.pick("Plywood 3/4 in", "MDF 18 mm"), "",
              "Sheet material screwed to the slab.", options="material_names", free=True),
        Input("pair_makeup_count", "Sheets on each door of a pair", 1, "sheets", "Layers of it.", 0, 10,
              number_format=look.WHOLE, whole=True),
        Input("single_makeup_material", "Added to a single door", book.pick("MDF 3/4 in", "MDF 18 mm"), "",
              "Sheet material screwed to the slab.", options="material_names", free=True),
        Input("single_makeup_count", "Sheets on a single door", 3, "sheets", "Layers of it.", 0, 10,
              number_format=look.WHOLE, whole=True),
        Input("makeup_most", "Most added thickness", book.pick(2.5, 64), unit, "Latch, hinges and frame set it.",
              book.pick(0.1, 3), book.pick(6, 150), number_format=look.TWO),
        Input("door_gap", "Gap at the edges", book.pick(0.125, 3), unit, "Between leaf and frame, before seals.",
              book.pick(0.01, 0.3), book.pick(1, 25), number_format=look.THREE),
        Input("seal_share", "Share of the gap sealed", 0.98, "share", "1 is a perfect seal; none is.", 0, 1,
              number_format=look.PERCENT),
    ]  # fmt: skip


def isolation(book: Book) -> list[Input]:
    """What must not be heard inside."""
    return [
        Input("cavity_fill", "Cavity", "filled", "", "Filled over at least half its depth, or empty.", choices=("filled", "empty")),
        Input("source_kind", "Source outside", "speech loud", "", "What must not be heard inside.", options="sources"),
        Input("source_level", "Its overall level", None, "dB", "Blank takes the usual level of that source.", 30, 140,
              optional=True, number_format=look.WHOLE),
        Input("nc_target", "Target inside", 25, "NC", "Recording and audiology NC 15 to 20, practice NC 25 to 30.", 15, 65,
              number_format=look.WHOLE),
        Input("room_alpha", "Mean absorption inside", None, "share", "Blank takes it from the Room sheet, octave by octave.",
              0.02, 1, optional=True, number_format=look.TWO),
        Input("reveal_absorption", "Absorption between a pair of doors", 0.5, "share", "Lined reveals 0.5 or more; bare 0.1.",
              0.02, 1, number_format=look.TWO),
        Input("flanking_limit", "Flanking limit", 65, "dB", "Loss of the ways round the shell: floor, structure, ducts.",
              30, 90, number_format=look.WHOLE),
        Input("lab_report", "Laboratory report used", None, "text", "Number of the report behind figures on the Isolation sheet.",
              optional=True),
    ]  # fmt: skip


def inside(book: Book) -> list[Input]:
    """Surfaces inside, their treatment, and what it takes."""
    area, small, most = book.pick("ft²", "m²"), book.pick("in", "mm"), book.pick(20000, 2000)
    board = "Gypsum board, two layers"
    return [
        Input("wall_surface", "Walls inside", board, "", "Where no treatment covers them.", options="surface_names"),
        Input("ceiling_surface", "Ceiling inside", board, "", "Where no treatment covers it.", options="surface_names"),
        Input("floor_surface", "Floor inside", "Carpet, heavy, on pad", "", "Its covering.", options="surface_names"),
        Input("door_surface", "Door, inside face", "Solid wood door", "", "", options="surface_names"),
        Input("treatment_surface", "Treatment", "Wool panel 50 mm, 40 kg/m³", "",
              "A laboratory's own figures go on the Room sheet.", options="surface_names"),
        Input("wall_treatment", "Treatment on the walls", book.pick(44, 4.1), area, "Face area.", 0, most, number_format=look.ONE),
        Input("ceiling_treatment", "Treatment on the ceiling", book.pick(18, 1.7), area, "Face area.", 0, most,
              number_format=look.ONE),
        Input("other_absorption", "People and furniture", 0, area,
              f"Absorption area; about {book.pick('5 ft²', '0.5 m²')} a person (common practice). 0 is the empty room.",
              0, most, number_format=look.ONE),
        Input("target_time", "Reverberation to reach", 0.2, "s", "Voice 0.15 to 0.25, practice 0.3 to 0.5 (common practice).",
              0.05, 5, number_format=look.TWO),
        Input("treatment_depth", "Treatment wall depth", book.pick(4, 100), small, "From the leaf to its face; 0 for none.",
              0, book.pick(24, 600), number_format=look.TWO),
        Input("treatment_walls_length", "Treatment walls across the length", 2, "", "Each shortens the room.", 0, 2,
              number_format=look.WHOLE, whole=True),
        Input("treatment_walls_width", "Treatment walls across the width", 2, "", "Each narrows the room.", 0, 2,
              number_format=look.WHOLE, whole=True),
    ]  # fmt: skip


def air(book: Book) -> list[Input]:
    """How much air, and what it must hold the room to."""
    flow = book.pick("cfm", "L/s")
    return [
        Input("per_person", "Air for each person", book.pick(15, 7.1), flow, "15 cfm each is common practice.",
              book.pick(1, 0.5), book.pick(100, 50), number_format=look.ONE),
        Input("least_airflow", "Least air for a small room", book.pick(30, 14.2), flow,
              "30 cfm for a small booth is common practice.", book.pick(5, 2.5), book.pick(1000, 500),
              number_format=look.ONE),
        Input("airflow_chosen", "Airflow you choose", None, flow, "Blank takes the largest of the three rules.",
              book.pick(5, 2.5), book.pick(5000, 2500), optional=True, number_format=look.ONE),
        Input("air_effectiveness", "Air distribution effectiveness", 0.8, "", "0.8 for warm air from the ceiling, 1 for cool.",
              0.5, 1.2, number_format=look.TWO),
        Input("altitude", "Altitude", 0, book.pick("ft", "m"), "Thin air carries less heat.", 0, book.pick(12000, 3600),
              number_format=look.WHOLE),
        Input("outdoor_co2", "CO2 in the air supplied", 450, "ppm", "Outdoors about 420; a room with few people 450; an office to 1000.",
              300, 2000, number_format=look.WHOLE),
        Input("co2_limit", "CO2 to hold", 1400, "ppm", "A marker of stale air, not a health limit.", 500, 5000,
              number_format=look.WHOLE),
        Input("fan_stops", "Fan stops after", 10, "min", "For the line of a fan that fails, on the Air sheet.", 1, 600,
              number_format=look.WHOLE),
        Input("cooling_power", "Cooling by other means", book.pick(2000, 600), book.pick("Btu/h", "W"),
              "Sensible cooling of a quiet unit; 0 for none. Fresh air does not cool a room with equipment.",
              0, book.pick(100000, 30000), number_format=look.WHOLE),
        Input("shell_resistance", "R of the shell", book.pick(16, 2.8), book.pick("ft²·°F·h/Btu", "m²·K/W"),
              "Walls, floor and ceiling together: 3½ in of wool, four boards and the air films come to about 16.",
              book.pick(1, 0.2), book.pick(100, 18), number_format=look.ONE),
        Input("rise_limit", "Rise of temperature to hold", book.pick(12, 6.5), book.pick("°F", "K"),
              "Room over supply air.", book.pick(2, 1), book.pick(60, 33), number_format=look.ONE),
    ]  # fmt: skip


def ducts(book: Book) -> list[Input]:
    """The way the air takes."""
    unit, speed, loss = book.pick("in", "mm"), book.pick("fpm", "m/s"), book.pick("in.wg", "Pa")
    return [
        Input("quiet_speed", "Quiet air speed", book.pick(100, 0.5), speed, "Target at the room; common practice.",
              book.pick(20, 0.1), book.pick(1000, 5), number_format=book.pick(look.WHOLE, look.TWO)),
        Input("most_speed", "Highest air speed", book.pick(500, 2.5), speed, "Anywhere on the way; common practice.",
              book.pick(50, 0.25), book.pick(2000, 10), number_format=book.pick(look.WHOLE, look.TWO)),
        Input("duct_width", "Duct width, free", book.pick(8, 200), unit, "Inside the lining. Choose from the Ducts sheet.",
              book.pick(2, 50), book.pick(60, 1500), number_format=look.WHOLE),
        Input("duct_height", "Duct height, free", book.pick(6, 150), unit, "Inside the lining.",
              book.pick(2, 50), book.pick(60, 1500), number_format=look.WHOLE),
        Input("duct_most_height", "Most duct height", book.pick(10, 250), unit, "Room above the ceiling, lining apart.",
              book.pick(3, 75), book.pick(60, 1500), number_format=look.WHOLE),
        Input("duct_lining", "Duct lining", book.pick(1.5, 38), unit, "1½ to 2 in is usual (common practice).",
              0, book.pick(6, 150), number_format=look.TWO),
        Input("duct_length", "Duct length", book.pick(12, 3.6), book.pick("ft", "m"), "Of the supply, from fan to grille.",
              book.pick(1, 0.3), book.pick(300, 90), number_format=look.ONE),
        Input("elbow_count", "Elbows", 3, "", "Square bends in the supply.", 0, 20, number_format=look.WHOLE, whole=True),
        Input("fan_collar", "Fan collar", book.pick(4, 100), unit, "Diameter of the fan's round collar.",
              book.pick(2, 50), book.pick(40, 1000), number_format=look.WHOLE),
        Input("collar_length", "Change to the duct, length", book.pick(12, 300), unit,
              "Gradual over this length; 0 for a sudden change, which costs more.", 0, book.pick(96, 2400), number_format=look.WHOLE),
        Input("grille_width", "Grille width", book.pick(14, 350), unit, "Face size.", book.pick(2, 50), book.pick(60, 1500),
              number_format=look.WHOLE),
        Input("grille_height", "Grille height", book.pick(8, 200), unit, "Face size.", book.pick(2, 50),
              book.pick(60, 1500), number_format=look.WHOLE),
        Input("grille_free", "Free share of the grille", 0.7, "share", "From the maker's sheet.", 0.1, 1,
              number_format=look.PERCENT),
        Input("grille_loss", "Grille loss", book.pick(0.01, 2.5), loss, "From the maker's sheet, at this airflow.",
              0, book.pick(1, 250), number_format=look.THREE),
        Input("filter_loss", "Filter loss", book.pick(0.08, 20), loss, "From the maker's sheet, half loaded.",
              0, book.pick(2, 500), number_format=look.THREE),
        Input("opening_distance", "Intake to return", book.pick(8, 2.4), book.pick("ft", "m"),
              "Between the openings outside the room.", 0, book.pick(200, 60), number_format=look.ONE),
    ]  # fmt: skip


def way_out(book: Book) -> list[Input]:
    """How the air leaves, where it differs from the supply."""
    length, loss, flow = book.pick("ft", "m"), book.pick("in.wg", "Pa"), book.pick("cfm", "L/s")
    return [
        Input("air_leaves", "The air leaves by a", RETURN_DUCT, "",
              "A return duct with a baffle box, pushed by the supply fan or drawn by a fan of its own; or a lined transfer "
              "duct to the space outside, without a box.", choices=(RETURN_DUCT, TRANSFER_DUCT, RETURN_FAN)),
        Input("return_length", "Its length", None, length, "Of the same section and lining as the supply's duct.",
              book.pick(1, 0.3), book.pick(300, 90), optional=True, number_format=look.ONE),
        Input("return_elbows", "Its elbows", None, "", "Square bends.", 0, 20, optional=True, number_format=look.WHOLE, whole=True),
        Input("return_grille_loss", "Loss of its grilles, each", None, loss, "In the room and outside.", 0, book.pick(1, 250),
              optional=True, number_format=look.THREE),
        Input("return_airflow", "Airflow of its own fan", None, flow, "Counts with a fan of its own, which is taken like the supply's.",
              book.pick(5, 2.5), book.pick(5000, 2500), optional=True, number_format=look.ONE),
    ]  # fmt: skip


def air_source(book: Book) -> list[Input]:
    """Where the air comes from, and its state."""
    degrees = book.pick("°F", "°C")
    coldest, hottest = book.pick((-40, 140), (-40, 60))
    return [
        Input("air_source", "Air source", NEXT_ROOM, "", "A conditioned room beside it, or outdoors through a recovery ventilator.",
              choices=(NEXT_ROOM, OUTDOORS)),
        Input("fresh_share", "Fresh share of that room's air", None, "share",
              "Outdoor air in it, not yet used. Ask the building's engineer; do not guess. Outdoors needs none.", 0, 1,
              optional=True, number_format=look.PERCENT),
        Input("room_temperature", "Room held at", book.pick(74, 23), degrees, "With the cooling on.", book.pick(50, 10),
              book.pick(95, 35), number_format=look.ONE),
        Input("humidity_limit", "Humidity to hold", 0.6, "share", "Above it mould and wet lining; common practice.", 0.2, 0.95,
              number_format=look.PERCENT),
        Input("space_temperature", "Neighbouring room", book.pick(70, 21), degrees, "Air of the conditioned room beside.",
              book.pick(40, 5), book.pick(100, 38), number_format=look.ONE),
        Input("space_humidity", "Its humidity", 0.45, "share", "Relative humidity.", 0.01, 1, number_format=look.PERCENT),
        Input("outdoor_temperature", "Outdoors", book.pick(36, 2), degrees, "Design day; look at winter and at summer.",
              coldest, hottest, number_format=look.ONE),
        Input("outdoor_humidity", "Its humidity", 0.8, "share", "Relative humidity.", 0.01, 1, number_format=look.PERCENT),
        Input("recovery_sensible", "Recovery of heat", 0.75, "share", "Sensible effectiveness, from the maker's sheet.",
              0.05, 0.99, number_format=look.PERCENT),
        Input("recovery_latent", "Recovery of moisture", 0.5, "share", "Latent effectiveness; 0 for a core that hands on none.",
              0, 0.99, number_format=look.PERCENT),
        Input("exhaust_humidity", "Humidity of the air drawn out", 0.45, "share", "Compare with the room's on the Air sheet.",
              0.05, 0.95, number_format=look.PERCENT),
    ]  # fmt: skip


def baffle_boxes(book: Book) -> list[Input]:
    """The box that stands where each way goes through the shell."""
    unit = book.pick("in", "mm")
    large = book.pick(240, 6000)
    return [
        Input("baffle_passes", "Passes", 3, "", "Of the air along the box; turns are one less. 0 is an open box.", 0, 8,
              number_format=look.WHOLE, whole=True),
        Input("baffle_width", "Passage width", book.pick(6, 150), unit, "Free, in the plane of the turns; of an open box, its openings.", book.pick(2, 50),
              book.pick(60, 1500), number_format=look.WHOLE),
        Input("baffle_height", "Passage height", book.pick(8, 200), unit, "Free, inside the lining.", book.pick(2, 50),
              book.pick(60, 1500), number_format=look.WHOLE),
        Input("baffle_lining", "Lining of the box", book.pick(2, 50), unit, "On all faces, baffles too.", book.pick(0.5, 12),
              book.pick(6, 150), number_format=look.TWO),
        Input("baffle_length", "Box outside length", book.pick(72, 1800), unit, "Over the shell.", book.pick(12, 300), large,
              number_format=look.WHOLE),
        Input("baffle_open_width", "Open box, outside width", book.pick(24, 600), unit, "Counts with 0 passes only.", book.pick(6, 150),
              large, number_format=look.WHOLE),
        Input("baffle_open_height", "Open box, outside height", book.pick(20, 500), unit, "Counts with 0 passes only.", book.pick(6, 150),
              large, number_format=look.WHOLE),
        Input("baffle_board", "Baffle", book.pick("MDF 1/2 in", "MDF 12 mm"), "", "Board between the passes.",
              options="material_names", free=True),
        Input("baffle_most_length", "Space for a box, length", book.pick(96, 2400), unit, "Most outside length.", book.pick(12, 300),
              large, number_format=look.WHOLE),
        Input("baffle_most_width", "Space for a box, width", book.pick(36, 900), unit, "Most outside width.", book.pick(6, 150),
              large, number_format=look.WHOLE),
        Input("baffle_most_height", "Space for a box, height", book.pick(24, 600), unit, "Most outside height.", book.pick(6, 150),
              large, number_format=look.WHOLE),
    ]  # fmt: skip


def fan(book: Book) -> list[Input]:
    """The fan, the listener, and the alternatives looked at."""
    unit = book.pick("in", "mm")
    return [
        Input("fan_type", "Kind of fan", "backward inclined", "", "For its sound where the maker gives none.", choices=FAN_TYPES),
        Input("fan_share", "Efficiency over its best", 0.85, "share", "At the working point; 0.85 is prudent.", 0.5, 1,
              number_format=look.PERCENT),
        Input("fan_margin", "Margin on its sound", 5, "dB", "Where the maker gives none; small fans differ by 10 dB.", 0, 20,
              number_format=look.ONE),
        Input("open_end", "End of the path", "diffuser", "", "Flush or free only after straight duct; with a grille or bend: diffuser.",
              choices=("flush", "free", "diffuser")),
        Input("listener_distance", "Opening to the ear", book.pick(3, 0.9), book.pick("ft", "m"), "The nearest seat.",
              book.pick(1, 0.3), book.pick(30, 9), number_format=look.ONE),
        Input("alt_duct_width", "Alternative: duct width", book.pick(10, 250), unit, "A larger duct to compare.",
              book.pick(2, 50), book.pick(60, 1500), number_format=look.WHOLE),
        Input("alt_duct_height", "Alternative: duct height", book.pick(8, 200), unit, "Inside the lining.", book.pick(2, 50),
              book.pick(60, 1500), number_format=look.WHOLE),
        Input("alt_box_length", "Alternative: box length", book.pick(96, 2400), unit, "A longer box to compare.",
              book.pick(12, 300), book.pick(240, 6000), number_format=look.WHOLE),
        Input("alt_fan_speed", "Alternative: fan speed", 0.8, "share", "Of its speed here; it moves so much less air.", 0.2, 1,
              number_format=look.PERCENT),
    ]  # fmt: skip


def wiring(book: Book) -> list[Input]:
    """Power, boxes, panels, and what goes through the shell."""
    unit = book.pick("in", "mm")
    return [
        Input("volts", "Circuit voltage", book.pick(120, 230), "V", "At the panel.", 12, 480, number_format=look.WHOLE),
        Input("breaker_amps", "Breaker", book.pick(20, 16), "A", "Of the circuit that feeds the room.", 1, 200,
              number_format=look.WHOLE),
        Input("socket_count", "Sockets and switches", 5, "", "Boxes in the inner treatment wall, not in the leaf.", 0, 60,
              number_format=look.WHOLE, whole=True),
        Input("light_count", "Light points", 2, "", "", 0, 40, number_format=look.WHOLE, whole=True),
        Input("cable_count", "Cables through the shell", 4, "", "Audio, data and power together.", 0, 60,
              number_format=look.WHOLE, whole=True),
        Input("cable_diameter", "Cable diameter", book.pick(0.35, 9), book.pick("in", "mm"), "The thickest.",
              book.pick(0.05, 1), book.pick(4, 100), number_format=look.TWO),
        Input("hole_sealed", "Share of each hole sealed", 0.98, "share", "Sealant full depth, both faces.", 0, 1,
              number_format=look.PERCENT),
        Input("hole_count", "Holes for cables", 2, "", "Through each leaf; power apart from audio and data.", 0, 20,
              number_format=look.WHOLE, whole=True),
        Input("leaf_boxes", "Boxes cut into a leaf", 0, "", "Each is a leak. None is best.", 0, 60, number_format=look.WHOLE,
              whole=True),
        Input("box_width", "Box width", book.pick(4, 100), unit, "Outside.", book.pick(1, 25), book.pick(20, 500),
              number_format=look.TWO),
        Input("box_height", "Box height", book.pick(4, 100), unit, "Outside.", book.pick(1, 25), book.pick(20, 500),
              number_format=look.TWO),
        Input("box_depth", "Box depth", book.pick(2.125, 54), unit, "Hidden in the treatment wall.", book.pick(0.5, 12),
              book.pick(8, 200), number_format=look.THREE),
        Input("box_gap", "Gap around a box", book.pick(0.125, 3), unit, "Between box and board, before sealing.", 0,
              book.pick(1, 25), number_format=look.THREE),
        Input("putty_size", "Putty pad, square side", book.pick(7.25, 184), unit, "As bought.", book.pick(2, 50),
              book.pick(24, 600), number_format=look.TWO),
        Input("wire_size", "Wires in a socket box, AWG", 12, "AWG", "US wire size.", 6, 18, number_format=look.WHOLE, whole=True),
        Input("wire_count", "Wires in a socket box", 4, "", "Insulated conductors; grounds apart.", 1, 40,
              number_format=look.WHOLE, whole=True),
        Input("audio_connectors", "Audio connectors", 8, "", "On the panel inside.", 0, 200, number_format=look.WHOLE, whole=True),
        Input("data_connectors", "Data connectors", 2, "", "On a plate of their own.", 0, 200, number_format=look.WHOLE,
              whole=True),
        Input("power_connectors", "Power connectors", 1, "", "On a plate of their own, in a box.", 0, 60,
              number_format=look.WHOLE, whole=True),
        Input("connector_hole", "Connector hole", book.pick(0.95, 24), unit, "In the plate; 0.95 in (24 mm) is common.",
              book.pick(0.1, 3), book.pick(4, 100), number_format=look.TWO),
        Input("connector_pitch", "Connector spacing", book.pick(1.25, 32), unit, "Centre to centre.", book.pick(0.25, 6),
              book.pick(8, 200), number_format=look.TWO),
        Input("power_apart", "Power from audio and data", book.pick(12, 300), unit,
              book.pick("12 in against hum (common practice); the code asks 2 in or a barrier.",
                        "300 mm against hum (common practice); the code asks for distance or a barrier."),
              0, book.pick(120, 3000), number_format=look.WHOLE),
    ]  # fmt: skip


def takeoff(book: Book) -> list[Input]:
    """How boards, sealant and work are counted."""
    unit = book.pick("ft", "m")
    return [
        Input("sheet_width", "Sheet width", book.pick(4, 1.2), unit, "Boards as bought.", book.pick(1, 0.3), book.pick(6, 2),
              number_format=look.TWO),
        Input("sheet_height", "Sheet height", book.pick(8, 2.4), unit, "Boards as bought.", book.pick(3, 0.9),
              book.pick(16, 5), number_format=look.TWO),
        Input("board_waste", "Waste, boards", 0.15, "share", "Small rooms cut more to waste than large ones.", 0, 1,
              number_format=look.PERCENT),
        Input("framing_waste", "Waste, framing", 0.1, "share", "", 0, 1, number_format=look.PERCENT),
        Input("sealant_bead", "Sealant bead", book.pick(0.375, 10), book.pick("in", "mm"), "Round bead, diameter.",
              book.pick(0.1, 3), book.pick(1, 25), number_format=look.THREE),
        Input("sealant_waste", "Waste, sealant", 0.15, "share", "", 0, 1, number_format=look.PERCENT),
    ]  # fmt: skip


def price(book: Book) -> list[Input]:
    """What stands between cost and price."""
    return [
        Input("overhead", "Overhead on direct cost", 0.12, "share", "", 0, 1, number_format=look.PERCENT),
        Input("contingency", "Contingency on cost", 0.05, "share", "On direct cost with overhead.", 0, 1,
              number_format=look.PERCENT),
        Input("margin", "Margin in the price", 0.2, "share", "Profit as a share of the price, not of the cost.", 0, 0.9,
              number_format=look.PERCENT),
        Input("tax", "Sales tax", book.pick(0.0, 0.2), "share", "On the price.", 0, 0.5, number_format=look.PERCENT),
        Input("deposit_share", "Payment on order", 0.4, "share", "", 0, 1, number_format=look.PERCENT),
        Input("shell_share", "Payment when the shell stands", 0.4, "share", "The rest on completion.", 0, 1,
              number_format=look.PERCENT),
    ]  # fmt: skip
