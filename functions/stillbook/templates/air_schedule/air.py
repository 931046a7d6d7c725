"""Air: what each room needs, and what it does to CO2 and heat."""

from __future__ import annotations

from stillbook.cautions import SEALED_AIR
from stillbook.quantities import AIRFLOW, AREA, HEAT, TEMPERATURE_DIFFERENCE, VOLUME
from stillbook.templates import look
from stillbook.templates.calls import filled, out_of_range
from stillbook.templates.page import Book, Page
from stillbook.templates.parts.schedule import Schedule, Worked


def write(book: Book, schedule: Schedule) -> Page:
    """Write the sheet."""
    flow, area, volume = book.unit(AIRFLOW), book.unit(AREA), book.unit(VOLUME)
    heat, rise = book.unit(HEAT), book.unit(TEMPERATURE_DIFFERENCE)
    level = 'STILL_CO2LEVEL({{people}},{{airflows}},{{volumes}},{0},{{activities}},outdoor_co2,"","",altitude,units)'
    shell = filled("2*({lengths}*{widths}+({lengths}+{widths})*{heights})", "lengths", "widths", "heights")
    rule = "IF({airflows_people}>{airflows_code},{airflows_people},{airflows_code})"
    columns = (
        Worked("Mark", "{rooms}", 7, words=True),
        Worked("Room", 'IF({room_names}="","",{room_names})', 19, words=True),
        Worked(f"Floor, {area}", filled("{lengths}*{widths}", "lengths", "widths"), 8, "floor_areas", look.ONE),
        Worked(f"Volume, {volume}", filled("{floor_areas}*{heights}", "heights"), 8.5, "volumes", book.pick(look.WHOLE, look.ONE)),
        Worked(f"By people, {flow}", "STILL_OCCUPANTAIRFLOW({people},per_person,units)", 11, "airflows_people"),
        Worked(f"By people and floor, {flow}", "STILL_OUTDOORAIRFLOW({space_kinds},{people},{floor_areas},air_effectiveness,units)", 10.5, "airflows_code"),
        Worked(f"Airflow, {flow}", f'IF({{airflows_chosen}}="",IF({rule}>least_airflow,{rule},least_airflow),{{airflows_chosen}})', 9, "airflows", strong=True),
        Worked("Air changes per hour", "STILL_AIRCHANGES({airflows},{volumes},units)", 9, "air_changes"),
        Worked("CO2 at the end, ppm", level.format("{sessions}"), 10, "co2_ends", look.WHOLE),
        Worked("CO2 to hold, ppm", "co2_limit", 10, "co2_limits", look.WHOLE),
        Worked("CO2 if it never ends, ppm", level.format('""'), 13, "co2_settled", look.WHOLE),
        Worked(
            "Fan stopped: minutes to 5000 ppm",
            f'IF({out_of_range("{co2_ends}")},0,STILL_CO2MINUTES({{people}},0,{{volumes}},5000,{{activities}},outdoor_co2,{{co2_ends}},"",altitude,units))',
            12.5,
            "fan_off_minutes",
            look.ONE,
        ),
        Worked(f"Heat, {heat}", "STILL_HEATGAIN({people},{watts},0,{activities},units)", 9, "heats", look.WHOLE),
        Worked(f"Rise by air and shell alone, {rise}", f"STILL_TEMPERATURERISE({{heats}},{{airflows}},altitude,{shell},shell_resistance,units)", 11.5, "rises"),
        Worked(f"Air to hold the rise, {flow}", "STILL_COOLINGAIRFLOW({heats},rise_limit,altitude,units)", 11.5, "cooling_airflows", look.WHOLE),
    )
    return schedule.page(
        "Air",
        "Each room gets the largest of three: its people's, the outdoor air table's, the least for a small room; or the air chosen.",
        columns,
        note="Rates of the breathing-zone procedure; the local code decides. Fan stopped: from the level at the end of the session, door "
        "shut. Fresh air for the people does not cool a room with equipment: the last column is what that would take.",
        caution=SEALED_AIR,
    )
