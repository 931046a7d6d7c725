"""Inputs: everything the estimator types, each a named cell.

A few differ from job to job and stand on the first sheet; the others have a value that an office sets once, and lie in
closed parts of the Inputs sheet.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from stillbook.quantities import (
    ABSORPTION_AREA,
    AIR_SPEED,
    AIRFLOW,
    ALTITUDE,
    AREA,
    CURRENT,
    ELECTRIC_POWER,
    HEAT,
    LENGTH,
    LEVEL,
    MASS,
    MINUTES,
    PARTS_PER_MILLION,
    PRESSURE,
    REVERBERATION_TIME,
    ROOM_LENGTH,
    SMALL_AREA,
    STIFFNESS_PER_AREA,
    SURFACE_MASS,
    TEMPERATURE,
    TEMPERATURE_DIFFERENCE,
    THERMAL_RESISTANCE,
    VOLTAGE,
    VOLUME,
)
from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts import job_inputs
from stillbook.templates.parts.closed import closed
from stillbook.templates.parts.closed import write as write_rows
from stillbook.templates.parts.input_sheet import Leaf, Section, row_of_boxes
from stillbook.trade.physics.sound import OCTAVES
from stillbook.trade.quiet_path.fan_sound import FAN_TYPES
from stillbook.trade.quiet_path.outlets import DAMPER_PLACES
from stillbook.trade.room.hearing_tests import HEARING_TESTS
from stillbook.workbook.job.inputs import InputSpec

DAY_PARTS = 4
"""Rows of the day in the room."""

STAYS_BLANK: Final = {"_thickness_": "a sheet of the list is as thick as the list says: another thickness is refused, and is typed for a mass per area alone"}
"""Inputs that have no answer beside all others filled in, by a part of their names, and why."""

NEXT_ROOM, OUTDOORS = "neighbouring room", "outdoors with recovery"
"""Where the air may come from."""

IN_THE_ROOM, IN_A_VOID = "in the room", "in a closed void of it"
"""Where the flexible duct runs: what it loses comes out through its walls."""

FLEXIBLE: Final = ((4, 102), (16, 406))
"""Least and most diameter of flexible duct whose loss is known [in, mm]."""

IN_THE_SUPPLY, IN_BOTH_WAYS = "the supply", "both ways"
"""Where a silencer stands."""

RETURN_DUCT, TRANSFER_DUCT, RETURN_FAN = "return duct", "transfer duct", "return duct with fan"
"""How the air leaves the room."""

NO_TESTS: Final = "none"
"""What is said where no hearing is tested inside."""

BESIDE, ON_TOP = "beside the shell", "on top of the shell"
"""Where the baffle boxes of a booth stand."""


FAN, FAN_OUT = "Fan and what is heard", "Fan of the way out"
SILENCER: Final = "Silencer, if any"


def services(book: Book) -> tuple[Section, ...]:
    """The sections after the build-ups: title, note, inputs."""
    return (
        ("Doors", "", doors(book)),
        ("Isolation", "", isolation(book)),
        ("What is heard outside", "of a source in the room, next door and outdoors", outside(book)),
        ("Inside the room", "", inside(book)),
        ("Air", "", air(book)),
        ("Where the air comes from", "", air_source(book)),
        ("Ducts", "", ducts(book)),
        ("Flexible duct, if any", "the last piece before the grille", flexible(book)),
        (SILENCER, "between fan collar and duct", silencer(book)),
        ("How the air leaves", "blank is as the supply", way_out(book)),
        ("Baffle boxes", "all alike; the Air path sheet lists boxes that can be made", baffle_boxes(book)),
        (FAN, "", fan(book)),
        (FAN_OUT, "blank is as the supply fan", fan_out(book)),
        ("Wiring and penetrations", "", wiring(book)),
        ("Take-off", "", job_inputs.takeoff(book)),
        ("What the job needs besides", "quantities not drawn; the Take-off sheet counts them", job_inputs.besides(book)),
        ("Price", "", job_inputs.price(book)),
    )


def closed_sections(page: Page, parts: Iterable[Section]) -> None:
    """Write sections of those inputs that no sheet before asks, each closed."""
    for title, note, rows in parts:
        left = [entry for entry in rows if entry.name not in page.book.workbook.defined_names]
        if left:
            with closed(page, title, note):
                write_rows(page, left)
        if title == FAN:
            fan_curve(page.book, page, "Fan curve at full speed", "fan", page.book.pick(*_CURVES))
        elif title == FAN_OUT:
            fan_curve(page.book, page, "Its curve at full speed", "return_fan", ((None, None),) * CURVE_POINTS)
        elif title == SILENCER:
            silencer_octaves(page.book, page)


def room(book: Book) -> list[InputSpec]:
    """Sizes of the room and of the space around it."""
    return [
        book.input("room_length", "Room length, inside", ROOM_LENGTH, (8, 2.4), (3, 0.9), (60, 18)).saying("Finished face to finished face."),
        book.input("room_width", "Room width, inside", ROOM_LENGTH, (6, 1.8), (3, 0.9), (60, 18)).saying("Finished face to finished face."),
        book.input("room_height", "Room height, inside", ROOM_LENGTH, (7.5, 2.3), (6, 1.8), (20, 6)).saying("Finished floor to finished ceiling."),
        *space(book),
        book.input("floor_capacity", "Floor may carry", SURFACE_MASS, None, (10, 50), (1000, 5000), look.WHOLE, one_job=True, load=True).saying(
            "Uniform load the building's engineer allows on the floor here. Ask; do not guess."
        ),
    ]


def space(book: Book) -> list[InputSpec]:
    """Sizes of the space around the room, which no template knows, and how much of it building and servicing take."""
    return [
        book.input("space_length", "Space length", ROOM_LENGTH, None, (3, 0.9), (300, 90), one_job=True).saying(
            "Clear length of the space the room stands in."
        ),
        book.input("space_width", "Space width", ROOM_LENGTH, None, (3, 0.9), (300, 90), one_job=True).saying("Clear width of that space."),
        book.input("space_height", "Space height", ROOM_LENGTH, None, (6, 1.8), (60, 18), one_job=True).saying("Lowest clear height of that space."),
        book.input("working_room", "Working room round the shell", LENGTH, (24, 600), 0, (120, 3000)).saying(
            book.pick("On each side, to board and seal it; 24 in is common practice.", "On each side, to board and seal it; 600 mm is common practice.")
        ),
        book.input("box_place", "Baffle boxes stand", "", BESIDE, choices=(BESIDE, ON_TOP))
        .saying("Hung flat on the outside of a wall of the shell, one over the other, or laid flat on top of it.")
        .trying(BESIDE, ON_TOP),
        service_room(book),
    ]


def service_room(book: Book) -> InputSpec:
    """What opening and cleaning a baffle box takes of its space."""
    return book.input("service_room", "Room to service a box", LENGTH, (12, 300), 0, (120, 3000)).saying(
        book.pick("Before its face, to open and clean it; 12 in is common practice.", "Before its face, to open and clean it; 300 mm is common practice.")
    )


def people(book: Book) -> list[InputSpec]:
    """Who and what is inside."""
    return [
        book.input("people", "People inside", "people", 2, 1, 50, whole=True).saying("The most at one time."),
        book.input("space_type", "Kind of space", "", "studio or stage", options="space_types").saying("Row of the outdoor air table."),
        book.input("activity", "Activity", "", "talking", options="activities").saying("How hard the people work."),
        book.input("session_minutes", "Longest session", MINUTES, 90, 5, 1440).saying("Time with the door shut."),
        book.input("equipment_power", "Equipment", ELECTRIC_POWER, 150, 0, 20000).saying("Electric power that stays in the room as heat."),
        book.input("light_power", "Lights", ELECTRIC_POWER, 40, 0, 5000).saying("Electric power of the lights."),
        book.input("equipment_mass", "Equipment and furniture", MASS, (200, 90), 0, (20000, 9000)).saying("Total carried by the room's floor."),
    ]


def leaves(book: Book) -> tuple[Leaf, ...]:
    """The leaves: name, label, whether it must be there, and the layers it starts with; those of a wall chosen by name with none."""
    return (
        ("inner", "Own inner leaf", False, []),
        ("outer", "Own outer leaf", False, []),
        ("deck", "Floor deck", True, [(book.pick("Plywood 3/4 in", "MDF 18 mm"), 2)]),
        box_shell(book),
    )


def box_shell(book: Book) -> Leaf:
    """The shell of the baffle boxes, as the leaf they stand on."""
    return "baffle", "Baffle box shell", True, [(book.pick("Gypsum board 5/8 in type X", "Gypsum board 15 mm"), 2)]


def day(book: Book, page: Page) -> None:
    """The day in the room, part by part, for CO2 and heat over time."""
    usual = ((90, None), (15, 0), (90, None))
    with closed(page, "A day in the room", "part by part; people and power left blank are as above"):
        page.head_row(("Part", "Lasts, min", "People", "Power, W", ""))
        for number in range(1, DAY_PARTS + 1):
            minutes, inside = usual[number - 1] if number <= len(usual) else (None, None)
            row_of_boxes(
                page,
                f"Part {number}",
                book.input(f"day_minutes_{number}", f"Part {number} lasts", MINUTES, minutes, 1, 1440, optional=number > 1).saying(
                    "Minutes; blank for a part not used."
                ),
                book.input(f"day_people_{number}", f"People in part {number}", "people", inside, 0, 50, optional=True, whole=True).saying(
                    "0 in a break; blank takes the people inside."
                ),
                book.input(f"day_power_{number}", f"Power in part {number}", ELECTRIC_POWER, None, 0, 25000, optional=True).saying(
                    "Equipment and lights; blank takes both as above."
                ),
            )


_CURVES: Final = (((0, 0.6), (30, 0.55), (60, 0.45), (90, 0.28), (120, 0)), ((0, 150), (14, 137), (28, 112), (42, 70), (56, 0)))
CURVE_POINTS: Final = len(_CURVES[0])
"""Points of the curve of a fan."""


def fan_curve(book: Book, page: Page, title: str, fan: str, points: Sequence[tuple[float | None, float | None]]) -> None:
    """The curve of a fan at full speed, as points of airflow and pressure; without points it is that of the other fan."""
    flow, loss = book.unit(AIRFLOW), book.unit(PRESSURE)
    alike = points[0][0] is None
    note = "blank is the curve of the supply fan" if alike else "from the maker's sheet, from no air to free air; invented example figures"
    with closed(page, title, note):
        page.head_row(("Point", f"Airflow, {flow}", f"Pressure, {loss}", "", ""))
        first = page.at
        whose = "Way out, point" if alike else "Point"
        for number, (air_moved, pressure) in enumerate(points, start=1):
            row_of_boxes(
                page,
                f"Point {number}",
                book.input(f"{fan}_flow_{number}", f"{whose} {number}, airflow", AIRFLOW, air_moved, 0, (5000, 2500), optional=alike or number > 2).saying(
                    "Airflow of this point of the curve."
                ),
                book.input(
                    f"{fan}_pressure_{number}",
                    f"{whose} {number}, pressure",
                    PRESSURE,
                    pressure,
                    0,
                    (10, 2500),
                    (look.THREE, look.ONE),
                    optional=alike or number > 2,
                ).saying("Pressure of this point of the curve."),
            )
        page.name(f"{fan}_curve_typed" if alike else f"{fan}_curve", first, FIRST + 1, page.at - 1, FIRST + 2)


def frames(book: Book) -> list[InputSpec]:
    """The frames that carry the leaves."""
    return [
        book.input("stud_depth", "Stud depth", LENGTH, (3.5, 89), (1, 25), (12, 300), look.TWO).saying("Each of the two separate frames."),
        book.input("frame_gap", "Gap between frames", LENGTH, (1, 25), (0.25, 6), (24, 600), look.TWO)
        .saying("Nothing may bridge it.")
        .trying(*book.pick((1, 2, 4, 6), (25, 50, 100, 150))),
        book.input("stud_spacing", "Stud spacing", LENGTH, (16, 400), (8, 200), (48, 1200)).saying("Centre to centre."),
        joist_limit(book, (8, 2.4), book.pick("2×4 at 16 in", "38 × 89 mm at 400 mm")),
        book.input("framing_mass", "Framing", SURFACE_MASS, (1.2, 5.9), 0, (20, 100)).saying(
            book.pick(
                "Mass per area of each frame with its plates; 2×4 at 16 in is about 1.2 lb/ft² (common practice).",
                "Mass per area of each frame with its plates; 38 × 89 mm at 400 mm is about 5.9 kg/m² (common practice).",
            )
        ),
        book.input("wool_material", "Cavity wool", "", ("Mineral wool batt 3 in", "Mineral wool batt 75 mm"), options="material_names", material=True).saying(
            "In each frame."
        ),
        book.input("underlay_stiffness", "Underlay, stiffness", STIFFNESS_PER_AREA, None, (1, 0.3), (1000, 300), look.GENERAL, optional=True).saying(
            "Under the deck: dynamic, by area, the maker's figure. Blank where it is not known."
        ),
    ]


def joist_limit(book: Book, longest: tuple[float, float], section: str) -> InputSpec:
    """How far the joists of a new ceiling may span before a table or an engineer is asked."""
    return book.input("joist_most_span", "Longest span of ceiling joists", ROOM_LENGTH, longest, (3, 0.9), (30, 9), look.ONE).saying(
        f"Of {section} under two boards: from memory, no source. The local code's span table decides; write what it allows."
    )


def doors(book: Book) -> list[InputSpec]:
    """The door opening, the slabs and what is added to them."""
    return [
        book.input("door_width", "Door width", LENGTH, (36, 915), (24, 600), (60, 1500)).saying("Leaf width."),
        book.input("door_height", "Door height", LENGTH, (80, 2030), (60, 1500), (108, 2750)).saying("Leaf height."),
        book.input("door_choice", "Arrangement", "", "suggested", choices=("suggested", "pair", "single"))
        .saying("A pair, one heavy door, or what the space suggests.")
        .trying("pair", "single"),
        book.input("slab_mass", "Door slab", MASS, (60, 27), (10, 5), (600, 270)).saying(
            book.pick(
                "One solid-core slab of this size; 36 × 80 in is about 60 lb (common practice).",
                "One solid-core slab of this size; 915 × 2030 mm is about 27 kg (common practice).",
            )
        ),
        book.input("door_margin", "Margin over the wall's mass", "share", 0.05, 0, 1).saying("Added to the target mass."),
        book.input("pair_makeup_material", "Added to each door of a pair", "", ("Plywood 3/4 in", "MDF 18 mm"), options="material_names", material=True).saying(
            "Sheet material screwed to the slab."
        ),
        book.input("pair_makeup_count", "Sheets on each door of a pair", "sheets", 1, 0, 10, whole=True).saying("Layers of it.").trying(0, 1, 2, 3),
        book.input("single_makeup_material", "Added to a single door", "", ("MDF 3/4 in", "MDF 18 mm"), options="material_names", material=True).saying(
            "Sheet material screwed to the slab."
        ),
        book.input("single_makeup_count", "Sheets on a single door", "sheets", 3, 0, 10, whole=True).saying("Layers of it.").trying(2, 3, 4),
        book.input("makeup_most", "Most added thickness", LENGTH, (2.5, 64), (0.1, 3), (6, 150), look.TWO).saying("Latch, hinges and frame set it."),
        book.input("door_gap", "Gap at the edges", LENGTH, (0.125, 3), (0.01, 0.3), (1, 25), look.THREE).saying("Between leaf and frame, before seals."),
        book.input("seal_share", "Share of the gap sealed", "share", 0.98, 0, 1).saying("1 is a perfect seal; none is."),
    ]


def isolation(book: Book) -> list[InputSpec]:
    """What must not be heard inside."""
    return [
        stc_target(book),
        book.input("cavity_fill", "Cavity", "", "filled", choices=("filled", "empty"))
        .saying("Filled over at least half its depth, or empty.")
        .trying("filled", "empty"),
        book.input("source_kind", "Source outside", "", "speech loud", options="sources").saying("What must not be heard inside."),
        book.input("source_level", "Its overall level", LEVEL, None, 30, 140, optional=True).saying("Blank takes the usual level of that source."),
        book.input("nc_target", "Target inside", "NC", 25, 15, 65, look.WHOLE).saying("Recording and audiology NC 15 to 20, practice NC 25 to 30."),
        book.input("hearing_tests", "Hearing tests inside", "", NO_TESTS, choices=(NO_TESTS, *HEARING_TESTS)).saying(
            "Highest levels beside NC. A licensed professional certifies."
        ),
        book.input("test_tone", "Lowest test tone", "", "125 Hz", choices=("125 Hz", "250 Hz", "500 Hz")).saying("Counts with hearing tests."),
        book.input("room_alpha", "Mean absorption inside", "share", None, 0.02, 1, look.TWO, optional=True).saying(
            "Blank takes it from the Room sheet, octave by octave."
        ),
        book.input("reveal_absorption", "Absorption between a pair of doors", "share", 0.5, 0.02, 1, look.TWO).saying("Lined reveals 0.5 or more; bare 0.1."),
        book.input("flanking_limit", "Flanking limit", LEVEL, 65, 30, 90).saying("Loss of the ways round the shell: floor, structure, ducts."),
        book.input("lab_report", "Laboratory report used", "text", optional=True, one_job=True).saying(
            "Number of the report behind figures on the Isolation sheet."
        ),
    ]


def stc_target(book: Book) -> InputSpec:
    """The rating that the client asks for."""
    return book.input("stc_target", "Isolation to reach", "STC", 50, 25, 80, look.WHOLE, one_job=True).saying("Of the whole room, its doors included.")


def outside(book: Book) -> list[InputSpec]:
    """What is played or said in the room, and who must not hear it; what is there already is typed on the Isolation sheet."""
    return [
        book.input("inside_source", "Source inside", "", "speech loud", options="sources").saying("What must not be heard outside."),
        book.input("inside_level", "Its level in the room", LEVEL, None, 30, 140, optional=True).saying(
            "All bands together, as a meter without weighting reads it in the room. Blank takes the usual level of that source."
        ),
        book.input("next_volume", "Room next door, volume", VOLUME, (1000, 28), (100, 3), (100_000, 3000), look.WHOLE).saying(
            "The room on the other side of the shell; a wall of the building between takes off more."
        ),
        book.input("next_time", "Its reverberation time", REVERBERATION_TIME, 0.5, 0.1, 10).saying("0.5 s in a furnished room: ISO 16283-1."),
        book.input("next_target", "Target next door", "NC", 30, 15, 65, look.WHOLE).saying("Or type what is there already, by octave, on the Isolation sheet."),
        book.input("dntw_target", "Isolation to keep to next door", "DnT,w", None, 20, 90, look.WHOLE, optional=True, one_job=True).saying(
            "As a test of the finished rooms by ISO 16283-1 finds it; blank asks nothing."
        ),
        book.input("privacy_target", "Speech privacy to keep next door", "SPC", None, 60, 100, look.WHOLE, optional=True, one_job=True).saying(
            "70 minimal, 75 standard, 80 and up security (ASTM E2638, from memory). Needs what is there already, typed."
        ),
        book.input("outdoor_distance", "Listener outdoors, from the shell", ROOM_LENGTH, (10, 3), (1, 0.3), (300, 90), look.ONE).saying(
            "As if the shell stood in the open; walls of the building take off more."
        ),
        book.input("outdoor_target", "Target outdoors", "NC", 40, 15, 65, look.WHOLE).saying("Or what is there already. Local rules on noise decide."),
    ]


def inside(book: Book) -> list[InputSpec]:
    """Surfaces inside, their treatment, and what it takes."""
    board = "Gypsum board, two layers"
    return [
        book.input("wall_surface", "Walls inside", "", board, options="surface_names").saying("Where no treatment covers them."),
        book.input("ceiling_surface", "Ceiling inside", "", board, options="surface_names").saying("Where no treatment covers it."),
        book.input("floor_surface", "Floor inside", "", "Carpet, heavy, on pad", options="surface_names").saying("Its covering."),
        book.input("door_surface", "Door, inside face", "", "Solid wood door", options="surface_names"),
        book.input("treatment_surface", "Treatment", "", "Wool panel 50 mm, 40 kg/m³", options="surface_names").saying(
            "A laboratory's own figures go on the Room sheet."
        ),
        book.input("wall_treatment", "Treatment on the walls", AREA, None, 0, (20000, 2000), optional=True).saying(
            "Face area; blank takes what the reverberation to reach asks, 70 % of it on the walls. 0 for none."
        ),
        book.input("ceiling_treatment", "Treatment on the ceiling", AREA, None, 0, (20000, 2000), optional=True).saying(
            "Face area; blank takes the rest of it, at most the whole ceiling. 0 for none."
        ),
        book.input("other_absorption", "People and furniture", ABSORPTION_AREA, 0, 0, (20000, 2000)).saying(
            f"Absorption area; about {book.pick('5 ft²', '0.5 m²')} a person (common practice). 0 is the empty room."
        ),
        book.input("target_time", "Reverberation to reach", REVERBERATION_TIME, 0.2, 0.05, 5).saying(
            "Voice 0.15 to 0.25, practice 0.3 to 0.5 (common practice)."
        ),
        book.input("treatment_depth", "Treatment wall depth", LENGTH, (4, 100), 0, (24, 600), look.TWO).saying("From the leaf to its face; 0 for none."),
        book.input("treatment_walls_length", "Treatment walls across the length", "", 2, 0, 2, whole=True).saying("Each shortens the room."),
        book.input("treatment_walls_width", "Treatment walls across the width", "", 2, 0, 2, whole=True).saying("Each narrows the room."),
    ]


def air(book: Book) -> list[InputSpec]:
    """How much air, and what it must hold the room to."""
    return [
        book.input("per_person", "Air for each person", AIRFLOW, (15, 7.1), (1, 0.5), (100, 50)).saying("15 cfm each is common practice."),
        book.input("least_airflow", "Least air for a small room", AIRFLOW, (30, 14.2), (5, 2.5), (1000, 500)).saying(
            "30 cfm for a small booth is common practice."
        ),
        book.input("airflow_chosen", "Airflow you choose", AIRFLOW, None, (5, 2.5), (5000, 2500), optional=True).saying(
            "Blank takes the largest of the three rules."
        ),
        book.input("air_effectiveness", "Air distribution effectiveness", "", 0.8, 0.5, 1.2, look.TWO).saying("0.8 for warm air from the ceiling, 1 for cool."),
        book.input("altitude", "Altitude", ALTITUDE, 0, 0, (12000, 3600), look.WHOLE).saying("Thin air carries less heat."),
        book.input("outdoor_co2", "CO2 in the air supplied", PARTS_PER_MILLION, 450, 300, 2000).saying(
            "Outdoors about 420; a room with few people 450; an office to 1000."
        ),
        book.input("co2_limit", "CO2 to hold", PARTS_PER_MILLION, 1400, 500, 5000).saying("A marker of stale air, not a health limit."),
        book.input("fan_stops", "Fan stops after", MINUTES, 10, 1, 600).saying("For the line of a fan that fails, on the Air sheet."),
        book.input("cooling_power", "Cooling by other means", HEAT, (2000, 600), 0, (100000, 30000)).saying(
            "What a quiet unit takes, heat and moisture together; 0 for none. Fresh air does not cool a room with equipment."
        ),
        book.input("cooling_share", "Its sensible share", "share", None, 0.3, 1, look.TWO, optional=True).saying(
            "Of what it takes, from its maker at the room's air. Blank: no moisture that it takes counts."
        ),
        book.input("shell_resistance", "R of the shell", THERMAL_RESISTANCE, (16, 2.8), (1, 0.2), (100, 18), look.ONE).saying(
            "Walls, floor and ceiling together: 3½ in of wool, four boards and the air films come to about 16."
        ),
        book.input("rise_limit", "Rise of temperature to hold", TEMPERATURE_DIFFERENCE, (12, 6.5), (2, 1), (60, 33)).saying("Room over supply air."),
    ]


def ducts(book: Book) -> list[InputSpec]:
    """The way the air takes."""
    return [
        book.input("quiet_speed", "Quiet air speed", AIR_SPEED, (100, 0.5), (20, 0.1), (1000, 5)).saying("Target at the room; common practice."),
        book.input("most_speed", "Highest air speed", AIR_SPEED, (500, 2.5), (50, 0.25), (2000, 10)).saying("Anywhere on the way; common practice."),
        book.input("duct_width", "Duct width, free", LENGTH, (8, 200), (2, 50), (60, 1500))
        .saying("Inside the lining. Choose from the Ducts sheet.")
        .trying(*book.pick((6, 8, 10, 12), (150, 200, 250, 300))),
        book.input("duct_height", "Duct height, free", LENGTH, (6, 150), (2, 50), (60, 1500))
        .saying("Inside the lining.")
        .trying(*book.pick((4, 6, 8), (100, 150, 200))),
        book.input("duct_most_height", "Most duct height", LENGTH, (10, 250), (3, 75), (60, 1500)).saying("Room above the ceiling, lining apart."),
        book.input("duct_lining", "Duct lining", LENGTH, (1.5, 38), 0, (6, 150), look.TWO)
        .saying("1½ to 2 in is usual (common practice).")
        .trying(*book.pick((1, 1.5, 2), (25, 38, 50))),
        book.input("duct_length", "Duct length", ROOM_LENGTH, (12, 3.6), (1, 0.3), (300, 90), look.ONE).saying("Of the supply, from fan to grille."),
        book.input("elbow_count", "Elbows", "", 3, 0, 20, whole=True).saying("Square bends in the supply."),
        book.input("fan_collar", "Fan collar", LENGTH, (4, 100), (2, 50), (40, 1000)).saying("Diameter of the fan's round collar."),
        book.input("inlet_straight", "Straight duct before the fan", "", None, 0, 100, look.ONE, optional=True).saying(
            "In diameters of its collar, where an elbow stands before it; blank without one."
        ),
        book.input("collar_length", "Change to the duct, length", LENGTH, (12, 300), 0, (96, 2400)).saying(
            "Gradual over this length; 0 for a sudden change, which costs more."
        ),
        book.input("grille_width", "Grille width", LENGTH, (14, 350), (2, 50), (60, 1500)).saying("Face size."),
        book.input("grille_height", "Grille height", LENGTH, (8, 200), (2, 50), (60, 1500)).saying("Face size."),
        book.input("grille_free", "Free share of the grille", "share", 0.7, 0.1, 1).saying("From the maker's sheet."),
        book.input("grille_loss", "Grille loss", PRESSURE, (0.01, 2.5), 0, (1, 250), look.THREE).saying("From the maker's sheet, at this airflow."),
        book.input("damper_ratio", "Damper at the grille, pressure", "", None, 1, 6, look.ONE, optional=True).saying(
            "As set, over that with it open; blank without one, or where it stays open."
        ),
        book.input("damper_place", "That damper sits in the", "", "supply duct", choices=DAMPER_PLACES).saying(
            "The neck of the grille is loudest; farther back is quieter."
        ),
        book.input("filter_loss", "Filter loss", PRESSURE, (0.08, 20), 0, (2, 500), look.THREE).saying("From the maker's sheet, half loaded."),
        book.input("opening_distance", "Intake to return", ROOM_LENGTH, (8, 2.4), 0, (200, 60), look.ONE).saying("Between the openings outside the room."),
    ]


def flexible(book: Book) -> list[InputSpec]:
    """The flexible duct at the end of both ways, as it differs from the rest."""
    return [
        book.input("flex_length", "Its length, of each", ROOM_LENGTH, None, (0.5, 0.2), (30, 9), look.ONE, optional=True).saying(
            "Besides the duct's; blank without one."
        ),
        book.input("flex_diameter", "Its diameter", LENGTH, None, FLEXIBLE[0], FLEXIBLE[1], optional=True).saying("Clear; blank is as large as the duct."),
        book.input("flex_slack", "Left slack by", "share", None, 0, 0.3, look.TWO, optional=True).saying(
            "Of its full length; blank is 0.15. Pulled straight it takes far less pressure."
        ),
        book.input("flex_runs", "It runs", "", IN_THE_ROOM, choices=(IN_THE_ROOM, IN_A_VOID)).saying(
            "Its walls let sound out and in: in the room no loss counts; never outside the shell."
        ),
    ]


def silencer(book: Book) -> list[InputSpec]:
    """A maker's silencer, which counts once all that it needs is told; its octaves are typed under it."""
    return [
        book.input("silencer_ways", "One stands in", "", IN_THE_SUPPLY, choices=(IN_THE_SUPPLY, IN_BOTH_WAYS)).saying(
            "Counts, and is priced, once loss, pressure, and self-noise or gaps are typed below."
        ),
        book.input("silencer_width", "Face, width", LENGTH, None, (2, 50), (60, 1500), optional=True).saying("Of the whole face; blank is as the duct."),
        book.input("silencer_height", "Face, height", LENGTH, None, (2, 50), (60, 1500), optional=True).saying("Likewise."),
        book.input("silencer_pressure", "Pressure it takes", PRESSURE, None, 0, (1, 250), look.THREE, optional=True).saying(
            "At the supply's airflow, from the maker's sheet."
        ),
        book.input("silencer_speed", "Self-noise measured at", AIR_SPEED, None, (20, 0.1), (6000, 30), optional=True).saying(
            "Face velocity of the maker's levels (ISO 7235, ASTM E477): the nearest to yours."
        ),
        book.input("silencer_face", "On a face of", SMALL_AREA, None, (12, 8000), (7000, 4_500_000), look.WHOLE, optional=True).saying(
            book.pick("Of the one measured; blank is 558 in², 24 × 24 in.", "Of the one measured; blank is 360 000 mm², 600 × 600 mm.")
        ),
        book.input("silencer_gap", "Gap between splitters", LENGTH, None, (0.25, 6), (24, 600), look.TWO, optional=True).saying(
            "Clear; with their number it stands for self-noise that the maker does not give."
        ),
        book.input("silencer_gaps", "Gaps", "", None, 1, 40, optional=True, whole=True).saying("How many; each as high as the face."),
    ]


def silencer_octaves(book: Book, page: Page) -> None:
    """What the maker of the silencer gives by octave: the loss, and the sound that it makes."""
    with closed(page, "Silencer by octave", "from the maker's sheet; all eight of a column or none"):
        page.head_row(("Octave", "Insertion loss, dB", "Self-noise", "", ""))
        first = page.at
        for hz in map(int, OCTAVES):
            row_of_boxes(
                page,
                f"{hz} Hz",
                book.input(f"silencer_loss_{hz}", f"Silencer, insertion loss, {hz} Hz", LEVEL, None, 0, 60, look.ONE, optional=True).saying(
                    "With the air in its direction; all eight."
                ),
                book.input(f"silencer_noise_{hz}", f"Silencer, self-noise, {hz} Hz", LEVEL, None, 0, 130, look.ONE, optional=True).saying(
                    "Sound power, dB re 1 pW; all eight, with the velocity."
                ),
            )
        for offset, name in enumerate(("silencer_losses", "silencer_noises"), start=1):
            page.name(name, first, FIRST + offset, page.at - 1)


def way_out(book: Book) -> list[InputSpec]:
    """How the air leaves, where it differs from the supply."""
    return [
        book.input("air_leaves", "The air leaves by a", "", RETURN_FAN, choices=(RETURN_FAN, RETURN_DUCT, TRANSFER_DUCT)).saying(
            "With a fan in and a fan out, as is usual; or the supply fan pushes it out by that duct, or by a transfer duct without a box."
        ),
        book.input("return_length", "Its length", ROOM_LENGTH, None, (1, 0.3), (300, 90), look.ONE, optional=True).saying(
            "Of the same section and lining as the supply's duct."
        ),
        book.input("return_elbows", "Its elbows", "", None, 0, 20, optional=True, whole=True).saying("Square bends."),
        book.input("return_grille_loss", "Loss of its grilles, each", PRESSURE, None, 0, (1, 250), look.THREE, optional=True).saying(
            "In the room and outside."
        ),
        book.input("return_airflow", "Airflow of its own fan", AIRFLOW, None, (5, 2.5), (5000, 2500), optional=True).saying(
            "Counts with a fan of its own; blank is as the supply's."
        ),
    ]


def fan_out(book: Book) -> list[InputSpec]:
    """The fan of the way out, where it is another than the supply's."""
    return [
        book.input("return_fan_type", "Its kind", "", None, choices=FAN_TYPES, optional=True).saying("Counts with a fan of its own, as all below."),
        book.input("return_fan_share", "Its efficiency over its best", "share", None, 0.5, 1, optional=True).saying("At the working point."),
        book.input("return_fan_margin", "Margin on its sound", LEVEL, None, 0, 20, look.ONE, optional=True).saying("Where the maker gives none."),
        book.input("return_fan_collar", "Its collar", LENGTH, None, (2, 50), (40, 1000), optional=True).saying("Diameter of its round collar."),
    ]


def air_source(book: Book) -> list[InputSpec]:
    """Where the air comes from, and its state."""
    coldest, hottest = book.pick((-40, 140), (-40, 60))
    return [
        book.input("air_source", "Air source", "", NEXT_ROOM, choices=(NEXT_ROOM, OUTDOORS)).saying(
            "A conditioned room beside it, or outdoors through a recovery ventilator."
        ),
        book.input("fresh_share", "Fresh share of that room's air", "share", None, 0, 1, optional=True, one_job=True).saying(
            "How much of it is outdoor air that nobody breathed yet: ask the building's engineer, do not guess. Air from outdoors needs none."
        ),
        book.input("room_temperature", "Room held at", TEMPERATURE, (74, 23), (50, 10), (95, 35)).saying("With the cooling on."),
        book.input("humidity_limit", "Humidity to hold", "share", 0.6, 0.2, 0.95).saying("Above it mould and wet lining; common practice."),
        book.input("space_temperature", "Neighbouring room", TEMPERATURE, (70, 21), (40, 5), (100, 38)).saying("Air of the conditioned room beside."),
        book.input("space_humidity", "Its humidity", "share", 0.45, 0.01, 1).saying("Relative humidity."),
        book.input("outdoor_temperature", "Outdoors", TEMPERATURE, (36, 2), coldest, hottest).saying("Design day; look at winter and at summer."),
        book.input("outdoor_humidity", "Its humidity", "share", 0.8, 0.01, 1).saying("Relative humidity."),
        book.input("intake_cover", "Insulation on the intake duct", LENGTH, None, 0, (12, 300), look.TWO, optional=True).saying(
            "As fitted, 0 for none; blank asks nothing. The Air sheet says what keeps it dry."
        ),
        book.input("recovery_sensible", "Recovery of heat", "share", 0.75, 0.05, 0.99).saying("Sensible effectiveness, from the maker's sheet."),
        book.input("recovery_latent", "Recovery of moisture", "share", 0.5, 0, 0.99).saying("Latent effectiveness; 0 for a core that hands on none."),
        book.input("exhaust_humidity", "Humidity of the air drawn out", "share", 0.45, 0.05, 0.95).saying("Compare with the room's on the Air sheet."),
    ]


def baffle_boxes(book: Book) -> list[InputSpec]:
    """The box that stands where each way goes through the shell."""
    return [
        book.input("baffle_passes", "Passes", "", 3, 0, 8, whole=True)
        .saying("Of the air along the box; turns are one less. 0 is an open box.")
        .trying(1, 2, 3, 4),
        book.input("baffle_width", "Passage width", LENGTH, (6, 150), (2, 50), (60, 1500)).saying(
            "Free, in the plane of the turns; of an open box, its openings."
        ),
        book.input("baffle_height", "Passage height", LENGTH, (8, 200), (2, 50), (60, 1500)).saying("Free, inside the lining."),
        book.input("baffle_lining", "Lining of the box", LENGTH, (2, 50), (0.5, 12), (6, 150), look.TWO)
        .saying("On all faces, baffles too.")
        .trying(*book.pick((1, 2, 3), (25, 50, 75))),
        book.input("baffle_length", "Box outside length", LENGTH, (72, 1800), (12, 300), (240, 6000))
        .saying("Over the shell.")
        .trying(*book.pick((48, 60, 72, 84, 96), (1200, 1500, 1800, 2100, 2400))),
        book.input("baffle_open_width", "Open box, outside width", LENGTH, (24, 600), (6, 150), (240, 6000)).saying("Counts with 0 passes only."),
        book.input("baffle_open_height", "Open box, outside height", LENGTH, (20, 500), (6, 150), (240, 6000)).saying("Counts with 0 passes only."),
        book.input("baffle_board", "Baffle", "", ("MDF 1/2 in", "MDF 12 mm"), options="material_names", material=True).saying("Board between the passes."),
        book.input("baffle_most_length", "Space for a box, length", LENGTH, (96, 2400), (12, 300), (240, 6000)).saying("Most outside length."),
        book.input("baffle_most_width", "Space for a box, width", LENGTH, (36, 900), (6, 150), (240, 6000)).saying("Most outside width."),
        book.input("baffle_most_height", "Space for a box, height", LENGTH, (24, 600), (6, 150), (240, 6000)).saying("Most outside height."),
    ]


def fan(book: Book) -> list[InputSpec]:
    """The fan, the listener, and the changes to try."""
    return [
        book.input("fan_type", "Kind of fan", "", "backward inclined", choices=FAN_TYPES).saying("For its sound where the maker gives none."),
        book.input("fan_share", "Efficiency over its best", "share", 0.85, 0.5, 1).saying("At the working point; 0.85 is prudent."),
        book.input("fan_margin", "Margin on its sound", LEVEL, 5, 0, 20, look.ONE).saying("Where the maker gives none; small fans differ by 10 dB."),
        book.input("open_end", "End of the path", "", "diffuser", choices=("flush", "free", "diffuser")).saying(
            "Flush or free only after straight duct; with a grille or bend: diffuser."
        ),
        book.input("listener_distance", "Opening to the ear", ROOM_LENGTH, (3, 0.9), (1, 0.3), (30, 9), look.ONE).saying("The nearest seat."),
        book.input("fan_rpm", "Fan turns, at full speed", "rpm", None, 100, 6000, look.WHOLE, optional=True).saying("From the maker's sheet, for its mounts."),
        book.input("mount_deflection", "Its mounts are pressed down by", LENGTH, None, (0.01, 0.2), (4, 100), look.THREE, optional=True).saying(
            "By its weight, from their maker; blank where it has none."
        ),
        book.input("alt_duct_width", "To try: duct width", LENGTH, (10, 250), (2, 50), (60, 1500)).saying("A larger duct to compare."),
        book.input("alt_duct_height", "To try: duct height", LENGTH, (8, 200), (2, 50), (60, 1500)).saying("Inside the lining."),
        book.input("alt_box_length", "To try: box length", LENGTH, (96, 2400), (12, 300), (240, 6000)).saying("A longer box to compare."),
        book.input("alt_fan_speed", "To try: fan speed", "share", 0.8, 0.2, 1).saying("Of its speed here; it moves so much less air."),
    ]


def wiring(book: Book) -> list[InputSpec]:
    """Power and boxes, and what all connectors share; each kind of connector is typed on the Wiring sheet."""
    return [
        book.input("volts", "Circuit voltage", VOLTAGE, (120, 230), 12, 480).saying("At the panel."),
        book.input("breaker_amps", "Breaker", CURRENT, (20, 16), 1, 200).saying("Of the circuit that feeds the room."),
        book.input("socket_count", "Sockets and switches", "", 5, 0, 60, whole=True).saying("Boxes in the inner treatment wall, not in the leaf."),
        book.input("light_count", "Light points", "", 2, 0, 40, whole=True),
        book.input("hole_sealed", "Share of each hole sealed", "share", 0.99, 0, 1).saying("Sealant full depth, both faces."),
        book.input("leaf_boxes", "Boxes cut into a leaf", "", 0, 0, 60, whole=True).saying("Each is a leak. None is best."),
        book.input("box_width", "Box width", LENGTH, (4, 100), (1, 25), (20, 500), look.TWO).saying("Outside."),
        book.input("box_height", "Box height", LENGTH, (4, 100), (1, 25), (20, 500), look.TWO).saying("Outside."),
        book.input("box_depth", "Box depth", LENGTH, (2.125, 54), (0.5, 12), (8, 200), look.THREE).saying("Hidden in the treatment wall."),
        book.input("box_gap", "Gap around a box", LENGTH, (0.125, 3), 0, (1, 25), look.THREE).saying("Between box and board, before sealing."),
        book.input("putty_size", "Putty pad, square side", LENGTH, (7.25, 184), (2, 50), (24, 600), look.TWO).saying("As bought."),
        book.input("wire_size", "Wires in a socket box, AWG", "AWG", 12, 6, 18, whole=True).saying("US wire size."),
        book.input("wire_count", "Wires in a socket box", "", 4, 1, 40, whole=True).saying("Insulated conductors; grounds apart."),
        book.input("connector_pitch", "Connector spacing", LENGTH, (1.25, 32), (0.25, 6), (8, 200), look.TWO).saying("Centre to centre."),
        book.input("cable_run", "Cable from the panel", ROOM_LENGTH, (25, 8), 0, (500, 150), look.ONE).saying("To where it is plugged in outside; each."),
        book.input("power_apart", "Power from audio and data", LENGTH, (12, 300), 0, (120, 3000)).saying(
            book.pick(
                "12 in against hum (common practice); the code asks 2 in or a barrier.",
                "300 mm against hum (common practice); the code asks for distance or a barrier.",
            )
        ),
    ]
