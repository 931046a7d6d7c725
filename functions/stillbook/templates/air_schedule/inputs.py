"""Inputs: what holds for all rooms."""

# ruff: noqa: E501 - rows of a table stay whole

from __future__ import annotations

from stillbook.templates import look
from stillbook.templates.air_schedule import rows
from stillbook.templates.booth import inputs
from stillbook.templates.page import Book, Input, Page
from stillbook.templates.parts.schedule import notes


def write(book: Book) -> Page:
    """Write the sheet."""
    page = inputs.begin(book)
    job = [entry for entry in inputs.job(book) if entry.name not in ("valid_days", "currency")]
    inputs.sections(
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
    notes(page, rows.columns(book))
    page.finish(page.at - 1)
    return page


def air(book: Book) -> list[Input]:
    """Rates and limits."""
    flow = book.pick("cfm", "L/s")
    return [
        Input("per_person", "Air for each person", book.pick(15, 7.1), flow, "15 cfm each is common practice.", book.pick(1, 0.5),
              book.pick(100, 50), number_format=look.ONE),
        Input("least_airflow", "Least air for a small room", book.pick(30, 14.2), flow, "30 cfm for a small booth is common practice.",
              0, book.pick(1000, 500), number_format=look.ONE),
        Input("air_effectiveness", "Air distribution effectiveness", 0.8, "", "0.8 for warm air from the ceiling, 1 for cool.",
              0.5, 1.2, number_format=look.TWO),
        Input("fresh_share", "Outdoor air in the air supplied", 1, "share",
              "1 from outdoors; less from a room: the building's engineer and the local code decide.", 0, 1, number_format=look.PERCENT),
        Input("shell_resistance", "R of the rooms' shells", book.pick(16, 2.8), book.pick("ft²·°F·h/Btu", "m²·K/W"),
              "Walls, floor and ceiling together: 3½ in of wool, four boards and the air films come to about 16.",
              book.pick(1, 0.2), book.pick(100, 18), number_format=look.ONE),
        Input("outdoor_co2", "CO2 in the air supplied", 420, "ppm", "Outdoors about 420; more from an occupied room.", 300, 2000,
              number_format=look.WHOLE),
        Input("co2_limit", "CO2 to hold", 1400, "ppm", "A marker of stale air, not a health limit.", 500, 5000,
              number_format=look.WHOLE),
        Input("least_minutes", "Least time with the fan stopped", 15, "min",
              "From the end of a session to 5000 ppm, the 8-hour workplace limit of 29 CFR 1910.1000.", 1, 240,
              number_format=look.WHOLE),
        Input("altitude", "Altitude", 0, book.pick("ft", "m"), "Thin air carries less heat.", 0, book.pick(12000, 3600),
              number_format=look.WHOLE),
        Input("rise_limit", "Rise of temperature to hold", book.pick(12, 6.5), book.pick("°F", "K"), "Room over supply air.",
              book.pick(2, 1), book.pick(60, 33), number_format=look.ONE),
    ]  # fmt: skip


def quiet(book: Book) -> list[Input]:
    """Speeds, lining and the listener."""
    small, speed = book.pick("in", "mm"), book.pick("fpm", "m/s")
    digits = book.pick(look.WHOLE, look.TWO)
    return [
        Input("quiet_speed", "Quiet air speed", book.pick(100, 0.5), speed, "At the rooms; common practice.", book.pick(20, 0.1),
              book.pick(1000, 5), number_format=digits),
        Input("duct_most_height", "Most duct height", book.pick(12, 300), small, "Room above the ceiling, lining apart.",
              book.pick(3, 75), book.pick(60, 1500), number_format=look.WHOLE),
        Input("duct_lining", "Duct lining", book.pick(1.5, 38), small, "1½ to 2 in is usual (common practice).",
              book.pick(0.5, 13), book.pick(6, 150), number_format=look.TWO),
        Input("grille_free", "Free share of the grilles", 0.7, "share", "From the maker's sheet.", 0.1, 1,
              number_format=look.PERCENT),
        Input("room_alpha", "Mean absorption inside", 0.35, "share", "Of all surfaces; treated rooms 0.3 to 0.5.", 0.02, 1,
              number_format=look.TWO),
        Input("listener_distance", "Grille to listener", book.pick(4, 1.2), book.pick("ft", "m"), "The nearest seat.",
              book.pick(1, 0.3), book.pick(60, 18), number_format=look.ONE),
        Input("open_end", "End of the branches", "diffuser", "",
              "Flush or free only after straight duct; with a grille, damper or bend: diffuser.",
              choices=("flush", "free", "diffuser")),
    ]  # fmt: skip


def fan(book: Book) -> list[Input]:
    """The fan and what all branches share."""
    loss, small = book.pick("in.wg", "Pa"), book.pick("in", "mm")
    narrow, wide = book.pick((2, 120), (50, 3000))
    return [
        Input("leakage", "Air lost from the ducts", 0.05, "share", "Added to the rooms' air.", 0, 0.5, number_format=look.PERCENT),
        Input("trunk_loss", "Loss all branches share", book.pick(0.15, 37), loss,
              "Filter, louvre, box, main duct and grille, from the makers' sheets at this airflow.", 0, book.pick(5, 1250),
              number_format=look.TWO),
        Input("fan_pressure", "Fan pressure at the airflow", book.pick(0.3, 75), loss, "From the maker's curve.",
              book.pick(0.01, 2), book.pick(5, 1250), number_format=look.TWO),
        Input("fan_type", "Kind of fan", "tube axial", "", "For its sound where the maker gives none.", options="fan_types"),
        Input("main_width", "Main duct width, free", book.pick(16, 400), small, "At the box after the fan.", narrow, wide,
              number_format=look.WHOLE),
        Input("main_height", "Main duct height, free", book.pick(8, 200), small, "Likewise.", narrow, wide,
              number_format=look.WHOLE),
        Input("box_length", "Lined box after the fan, length", book.pick(60, 1500), small, "Free size; blank for no box.",
              book.pick(12, 300), book.pick(240, 6000), optional=True, number_format=look.WHOLE),
        Input("box_width", "Its width", book.pick(36, 900), small, "Free size inside the lining.", narrow, wide,
              number_format=look.WHOLE),
        Input("box_height", "Its height", book.pick(30, 750), small, "Free size inside the lining.", narrow, wide,
              number_format=look.WHOLE),
        Input("box_lining", "Its lining", book.pick(2, 50), small, "2 in or more.", book.pick(0.5, 13), book.pick(12, 300),
              number_format=look.TWO),
    ]  # fmt: skip


def changes(book: Book) -> list[Input]:
    """What the One room sheet compares."""
    small = book.pick("in", "mm")
    return [
        Input("alt_duct_more", "Branch wider and higher by", book.pick(2, 50), small, "A larger duct for that room alone.",
              book.pick(1, 25), book.pick(36, 900), number_format=look.WHOLE),
        Input("alt_box_longer", "Lined box longer by", book.pick(24, 600), small, "For all rooms; a box of this length where there is none.",
              book.pick(12, 300), book.pick(120, 3000), number_format=look.WHOLE),
        Input("alt_fan_speed", "Fan at", 0.8, "share", "Of its speed; it moves so much less air.", 0.2, 1,
              number_format=look.PERCENT),
    ]  # fmt: skip
