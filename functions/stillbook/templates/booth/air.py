"""Air: how much the people need, what it does to CO2 and heat, and how long it lasts when the fan stops."""

from __future__ import annotations

from stillbook.templates import look
from stillbook.templates.page import Book, Page, Result


def write(book: Book) -> Page:
    """Write the sheet."""
    flow, heat, rise = book.pick("cfm", "L/s"), book.pick("Btu/h", "W"), book.pick("°F", "K")
    page = book.page(
        "Air",
        "A sealed room has only the air the fan brings. Enough of it for the people comes first; quiet comes after.",
        (40, 11, 9, 12, 12, 20),
        single=True,
    )
    page.heading("Airflow")
    for entry in (
        Result("By people", "=STILL_OCCUPANTAIRFLOW(people,per_person,units)", flow, "airflow_people", look.ONE,
               "Common practice: 15 cfm for each person."),
        Result("By people and floor area",
               "=STILL_OUTDOORAIRFLOW(space_type,people,floor_area,air_effectiveness,units)", flow, "airflow_code", look.ONE,
               "Rates of the breathing-zone procedure; the local code decides."),
        Result("Least for a small room", "=least_airflow", flow, "", look.ONE),
        Result("Airflow of this estimate",
               '=IF(N(airflow_chosen)>0,airflow_chosen,MAX(airflow_people,airflow_code,least_airflow))', flow, "airflow",
               look.ONE, "The largest of the three, or the one you chose.", key=True),
        Result("Air changes", "=STILL_AIRCHANGES(airflow,room_volume,units)", "per hour", "air_changes", look.ONE, key=True),
    ):  # fmt: skip
        page.result(entry)
    page.skip()
    page.heading("CO2")
    sealed = "STILL_CO2MINUTES(people,0,room_volume,{0},activity,outdoor_co2,co2_session,units)"
    for entry in (
        Result("CO2 at the end of the longest session",
               "=STILL_CO2LEVEL(people,airflow,room_volume,session_minutes,activity,outdoor_co2,units)", "ppm", "co2_session",
               look.WHOLE, "With the fan on.", key=True),
        Result("CO2 if the session never ends", '=STILL_CO2LEVEL(people,airflow,room_volume,"",activity,outdoor_co2,units)', "ppm",
               "co2_steady", look.WHOLE, "What the room comes to."),
        Result("Fan off: minutes to 2000 ppm", "=" + sealed.format(2000), "min", "fan_off_stale", look.ONE,
               "Sealed room, from the level at the end of the session."),
        Result("Fan off: minutes to 5000 ppm", "=" + sealed.format(5000), "min", "fan_off_minutes", look.ONE,
               "The 8-hour workplace limit of 29 CFR 1910.1000.", key=True),
    ):  # fmt: skip
        page.result(entry)
    page.caution(
        "Caution: fresh air in a sealed room is a life-safety matter. When the fan stops, the people inside must know at once and be "
        "able to leave: an alarm, a door that opens from inside without a key, no lock that traps. The local code decides."
    )
    page.skip()
    page.heading("Heat")
    for entry in (
        Result("People, equipment and lights", "=STILL_HEATGAIN(people,equipment_power,light_power,units)", heat, "heat_gain",
               look.WHOLE, "Sensible heat."),
        Result("Air alone would run warmer by", "=STILL_TEMPERATURERISE(heat_gain,airflow,altitude,units)", rise,
               "rise_air_alone", look.ONE, "Room over supply air. Fresh air for the people does not cool a room with equipment."),
        Result("Airflow to hold the rise by air alone", "=STILL_COOLINGAIRFLOW(heat_gain,rise_limit,altitude,units)", flow,
               "cooling_airflow", look.ONE, "Far more than the people need."),
        Result("Heat the air carries at the rise to hold", "=heat_gain*MIN(1,airflow/cooling_airflow)", heat, "heat_by_air",
               look.WHOLE),
        Result("Heat left for the cooling unit", "=heat_gain-heat_by_air", heat, "heat_left", look.WHOLE,
               "Compare with the cooling on the Inputs sheet.", key=True),
    ):  # fmt: skip
        page.result(entry)
    page.finish()
    return page
