"""Inputs: what holds for all rooms."""

from __future__ import annotations

from stillbook.quantities import (
    AIR_SPEED,
    AIRFLOW,
    ALTITUDE,
    LENGTH,
    MINUTES,
    PARTS_PER_MILLION,
    PRESSURE,
    ROOM_LENGTH,
    TEMPERATURE_DIFFERENCE,
    THERMAL_RESISTANCE,
)
from stillbook.templates import look
from stillbook.templates.air_schedule import rooms
from stillbook.templates.page import Book, Page
from stillbook.templates.parts import input_sheet, job_inputs
from stillbook.templates.parts.schedule import notes
from stillbook.workbook.job.inputs import InputSpec


def write(book: Book) -> Page:
    """Write the sheet."""
    page = input_sheet.begin(book)
    job = [entry for entry in job_inputs.job(book) if entry.name not in ("valid_days", "currency")]
    input_sheet.sections(
        page,
        (
            ("Job", "", job),
            ("Air for the people", "each room has its row on the Rooms sheet", air(book)),
            ("Quiet", "", quiet(book)),
            ("One fan for all rooms", "", fan(book)),
            ("Changes to compare", "for the room on the One room sheet", changes(book)),
        ),
    )
    page.break_here()
    page.heading("Columns of the Rooms sheet", "a row for each room")
    notes(page, rooms.columns(book))
    page.finish(page.at - 1)
    return page


def air(book: Book) -> list[InputSpec]:
    """Rates and limits."""
    return [
        book.input("per_person", "Air for each person", AIRFLOW, (15, 7.1), (1, 0.5), (100, 50)).saying("15 cfm each is common practice."),
        book.input("least_airflow", "Least air for a small room", AIRFLOW, (30, 14.2), 0, (1000, 500)).saying("30 cfm for a small booth is common practice."),
        book.input("air_effectiveness", "Air distribution effectiveness", "", 0.8, 0.5, 1.2, look.TWO).saying("0.8 for warm air from the ceiling, 1 for cool."),
        book.input("fresh_share", "Outdoor air in the air supplied", "share", 1, 0, 1).saying(
            "1 from outdoors; less from a room: the building's engineer and the local code decide."
        ),
        book.input("shell_resistance", "R of the rooms' shells", THERMAL_RESISTANCE, (16, 2.8), (1, 0.2), (100, 18), look.ONE).saying(
            "Walls, floor and ceiling together: 3½ in of wool, four boards and the air films come to about 16."
        ),
        book.input("outdoor_co2", "CO2 in the air supplied", PARTS_PER_MILLION, 420, 300, 2000).saying("Outdoors about 420; more from an occupied room."),
        book.input("co2_limit", "CO2 to hold", PARTS_PER_MILLION, 1400, 500, 5000).saying("A marker of stale air, not a health limit."),
        book.input("least_minutes", "Least time with the fan stopped", MINUTES, 15, 1, 240).saying(
            "From the end of a session to 5000 ppm, the 8-hour workplace limit of 29 CFR 1910.1000."
        ),
        book.input("altitude", "Altitude", ALTITUDE, 0, 0, (12000, 3600), look.WHOLE).saying("Thin air carries less heat."),
        book.input("rise_limit", "Rise of temperature to hold", TEMPERATURE_DIFFERENCE, (12, 6.5), (2, 1), (60, 33)).saying("Room over supply air."),
    ]


def quiet(book: Book) -> list[InputSpec]:
    """Speeds, lining and the listener."""
    return [
        book.input("quiet_speed", "Quiet air speed", AIR_SPEED, (100, 0.5), (20, 0.1), (1000, 5)).saying("At the rooms; common practice."),
        book.input("duct_most_height", "Most duct height", LENGTH, (12, 300), (3, 75), (60, 1500)).saying("Room above the ceiling, lining apart."),
        book.input("duct_lining", "Duct lining", LENGTH, (1.5, 38), (0.5, 13), (6, 150), look.TWO).saying("1½ to 2 in is usual (common practice)."),
        book.input("grille_free", "Free share of the grilles", "share", 0.7, 0.1, 1).saying("From the maker's sheet."),
        book.input("room_alpha", "Mean absorption inside", "share", 0.35, 0.02, 1, look.TWO).saying("Of all surfaces; treated rooms 0.3 to 0.5."),
        book.input("listener_distance", "Grille to listener", ROOM_LENGTH, (4, 1.2), (1, 0.3), (60, 18), look.ONE).saying("The nearest seat."),
        book.input("open_end", "End of the branches", "", "diffuser", choices=("flush", "free", "diffuser")).saying(
            "Flush or free only after straight duct; with a grille, damper or bend: diffuser."
        ),
    ]


def fan(book: Book) -> list[InputSpec]:
    """The fan and what all branches share."""
    narrow, wide = book.pick((2, 120), (50, 3000))
    return [
        book.input("leakage", "Air lost from the ducts", "share", 0.05, 0, 0.5).saying("Added to the rooms' air."),
        book.input("trunk_loss", "Loss all branches share", PRESSURE, (0.15, 37), 0, (5, 1250), look.TWO).saying(
            "Filter, louvre, box, main duct and grille, from the makers' sheets at this airflow."
        ),
        book.input("fan_pressure", "Fan pressure at the airflow", PRESSURE, (0.3, 75), (0.01, 2), (5, 1250), look.TWO).saying("From the maker's curve."),
        book.input("fan_type", "Kind of fan", "", "tube axial", options="fan_types").saying("For its sound where the maker gives none."),
        book.input("main_width", "Main duct width, free", LENGTH, (16, 400), narrow, wide).saying("At the box after the fan."),
        book.input("main_height", "Main duct height, free", LENGTH, (8, 200), narrow, wide).saying("Likewise."),
        book.input("takeoff_edge", "Take-offs, radius of their edge", "", None, 0, 0.2, look.TWO, optional=True).saying(
            "Over the branch's diameter, 0 for a sharp edge: then each is heard as a junction with all the fan's air passing; blank, as an elbow."
        ),
        book.input("box_length", "Lined box after the fan, length", LENGTH, (60, 1500), (12, 300), (240, 6000), optional=True).saying(
            "Free size; blank for no box."
        ),
        book.input("box_width", "Its width", LENGTH, (36, 900), narrow, wide).saying("Free size inside the lining."),
        book.input("box_height", "Its height", LENGTH, (30, 750), narrow, wide).saying("Free size inside the lining."),
        book.input("box_lining", "Its lining", LENGTH, (2, 50), (0.5, 13), (12, 300), look.TWO).saying("2 in or more."),
    ]


def changes(book: Book) -> list[InputSpec]:
    """What the One room sheet compares."""
    return [
        book.input("alt_duct_more", "Branch wider and higher by", LENGTH, (2, 50), (1, 25), (36, 900)).saying("A larger duct for that room alone."),
        book.input("alt_box_longer", "Lined box longer by", LENGTH, (24, 600), (12, 300), (120, 3000)).saying(
            "For all rooms; a box of this length where there is none."
        ),
        book.input("alt_fan_speed", "Fan at", "share", 0.8, 0.2, 1).saying("Of its speed; it moves so much less air."),
    ]
