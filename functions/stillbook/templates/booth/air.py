"""Air: how much the people need, what it does to CO2 and heat, and how long it lasts when the fan stops."""

from __future__ import annotations

from typing import Final

from openpyxl.utils import get_column_letter

from stillbook.templates import look
from stillbook.templates.booth.inputs import DAY_PARTS, NEXT_ROOM, OUTDOORS
from stillbook.templates.calls import out_of_range
from stillbook.templates.charts import curves
from stillbook.templates.page import FIRST, Book, Page, Result

STEPS: Final = 13
"""Steps of the day in the chart."""

HOLDING: Final = 5000
"""The 8-hour workplace limit of carbon dioxide, 29 CFR 1910.1000 [ppm]."""


def write(book: Book) -> Page:
    """Write the sheet."""
    flow, heat, rise = book.pick("cfm", "L/s"), book.pick("Btu/h", "W"), book.pick("°F", "K")
    page = book.page(
        "Air",
        "A sealed room has only the air the fan brings. Enough of it for the people comes first; quiet comes after.",
        (40, 12, 12, 13, 12, 16),
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
        Result("Outdoor air in it", f'=IF(air_source="{OUTDOORS}",airflow,IF(ISNUMBER(fresh_share),airflow*fresh_share,""))', flow,
               "outdoor_airflow", look.ONE, "Of a neighbouring room's air its fresh share alone; blank until that is known."),
        Result("Air changes", "=STILL_AIRCHANGES(airflow,room_volume,units)", "per hour", "air_changes", look.ONE, key=True),
    ):  # fmt: skip
        page.result(entry)
    page.skip()
    page.heading("CO2")
    sealed = f"IF({out_of_range('co2_session')},0,STILL_CO2MINUTES(people,0,room_volume,{{0}},activity,outdoor_co2,co2_session,room_temperature,altitude,units))"
    for entry in (
        Result("CO2 at the end of the longest session",
               '=STILL_CO2LEVEL(people,airflow,room_volume,session_minutes,activity,outdoor_co2,"",room_temperature,altitude,units)', "ppm", "co2_session",
               look.WHOLE, "With the fan on.", key=True),
        Result("CO2 if the session never ends", '=STILL_CO2LEVEL(people,airflow,room_volume,"",activity,outdoor_co2,"",room_temperature,altitude,units)', "ppm",
               "co2_steady", look.WHOLE, "What the room comes to."),
        Result("Fan off: minutes to 2000 ppm", "=" + sealed.format(2000), "min", "fan_off_stale", look.ONE,
               "Sealed room, from the level at the end of the session."),
        Result("Fan off: minutes to 5000 ppm", "=" + sealed.format(5000), "min", "fan_off_minutes", look.ONE,
               "The 8-hour workplace limit of 29 CFR 1910.1000.", key=True),
    ):  # fmt: skip
        page.result(entry)
    _caution(page)
    page.skip()
    page.heading("Heat")
    for entry in (
        Result("People, equipment and lights", "=STILL_HEATGAIN(people,equipment_power,light_power,activity,units)", heat, "heat_gain",
               look.WHOLE, "Sensible heat."),
        Result("Shell, inside", "=2*(room_length*room_width+(room_length+room_width)*room_height)", book.pick("ft²", "m²"),
               "warm_shell", look.ONE, "Walls, floor and ceiling, which let heat through."),
        Result("Air and shell alone would leave it warmer by",
               "=STILL_TEMPERATURERISE(heat_gain,airflow,altitude,warm_shell,shell_resistance,units)", rise,
               "rise_air_alone", look.ONE, "Room over supply air. Fresh air for the people does not cool a room with equipment."),
        Result("Airflow to hold the rise by air alone", "=STILL_COOLINGAIRFLOW(heat_gain,rise_limit,altitude,units)", flow,
               "cooling_airflow", look.ONE, "Far more than the people need. The shell is left out, on the safe side."),
        Result("Heat the air carries at the rise to hold", "=heat_gain*MIN(1,airflow/cooling_airflow)", heat, "heat_by_air",
               look.WHOLE),
        Result("Heat left for the cooling unit", "=heat_gain-heat_by_air", heat, "heat_left", look.WHOLE,
               "Compare with the cooling on the Inputs sheet.", key=True),
    ):  # fmt: skip
        page.result(entry)
    _sources(book, page)
    _day(book, page)
    page.finish()
    return page


def _caution(page: Page) -> None:
    """The caution, with the minutes that are left in this room."""
    page.caution(
        "Caution: fresh air in a sealed room is a life-safety matter. When the fan stops, the people inside must know at once and be "
        "able to leave: an alarm, a door that opens from inside without a key, no lock that traps. The local code decides."
    )
    page.sheet.cell(page.at - 1, FIRST).value = (
        '="Caution: "&IFERROR(IF(fan_off_minutes>0,"when the fan stops at the end of a session, this room reaches '
        f'{HOLDING} ppm of CO2 in "&TEXT(fan_off_minutes,"0")&" minutes","this room stands above {HOLDING} ppm of CO2 at the end '
        'of a session, with the fan on"),"fresh air in a sealed room is a life-safety matter")&". '
        "The people inside must know at once that the fan stopped, and be able to leave: "
        'an alarm, a door that opens from inside without a key, "&"no lock that traps. The local code decides."'
    )


def _sources(book: Book, page: Page) -> None:
    """What the choice of air source does, both side by side."""
    degrees = book.pick("°F", "°C")
    page.break_here()
    page.heading("Where the air comes from", "both sources on the day of the Inputs sheet; the one chosen counts")
    page.head_row(("What it brings", "Next room", "Outdoors", "Chosen", "", ""))
    recovered = (
        "STILL_RECOVERYAIR(outdoor_temperature,outdoor_humidity,room_temperature,exhaust_humidity,"
        "recovery_sensible,recovery_latent,altitude,units)"
    )
    settled = "=IFERROR(STILL_ROOMHUMIDITY(people,airflow,{c}{temperature},{c}{humidity},room_temperature,altitude,activity,units),1)"
    found = f"=INDEX({recovered},1,{{0}})"
    rows: dict[str, int] = {}
    for key, label, inside, outside, number_format, name in (
        ("temperature", f"Supply air, {degrees}", "=space_temperature", found.format(1), look.ONE, "supply_temperature"),
        ("humidity", "Humidity of the supply air", "=space_humidity", found.format(2), look.PERCENT, "supply_humidity"),
        ("settled", "Humidity of the room, settled", settled, settled, look.PERCENT, "room_humidity"),
        ("dew", f"Room air wets surfaces below, {degrees}", *["=STILL_DEWPOINT(room_temperature,{c}{settled},units)"] * 2, look.ONE,
         "room_dew_point"),
        ("alone", f"Room by air and shell alone, no cooling, {degrees}", *["={c}{temperature}+rise_air_alone"] * 2, look.ONE, ""),
        ("core", "In the core of the ventilator", "no core", found.format(4), "text", "condensation"),
        ("exhaust", f"Exhaust air, {degrees}", '="–"', found.format(3), look.ONE, ""),
        ("total", "Total effectiveness on this day", '="–"', found.format(5), look.PERCENT, ""),
    ):  # fmt: skip
        rows[key] = page.at
        own, other = (f"${get_column_letter(FIRST + place)}${page.at}" for place in (1, 2))
        values = [
            formula.format(c=get_column_letter(FIRST + place), **rows)
            for place, formula in enumerate((inside, outside), start=1)
        ]
        chosen = f'=IF(air_source="{OUTDOORS}",{other},{own})'
        page.row((label, *values, chosen), ("text", *[number_format] * 3), names=("", "", "", name))
        for place in (1, 2, 3):
            page.sheet.cell(page.at - 1, FIRST + place).alignment = look.RIGHT
    page.note(
        f"From the {NEXT_ROOM}: air already heated, cooled and dried, but as stale as that room: outdoor air only by its fresh share, which "
        "the building's engineer and the local code decide; keep intake and return apart. "
        "From outdoors: fresher, but insulate its ducts and boxes and seal them against vapour where they are colder than the "
        "dew point, and give the core a drain; where it frosts, preheat. Neither cools a room with equipment in it."
    )
    page.skip()


def _day(book: Book, page: Page) -> None:
    """CO2 over the day, with the fan on and with a fan that stops."""
    page.heading("CO2 over the day", "the day of the Inputs sheet, and a fan that stops early in it")
    flow = book.pick("cfm", "L/s")
    page.head_row(("Part", "Lasts, min", "People", f"Air, {flow}", "Power, W", ""))
    first = page.at
    for number in range(1, DAY_PARTS + 1):
        minutes = f"N(day_minutes_{number})"
        page.row((
            f"Part {number}",
            f'=IF({minutes}=0,"",day_minutes_{number})',
            f'=IF({minutes}=0,"",IF(day_people_{number}="",people,day_people_{number}))',
            f'=IF({minutes}=0,"",airflow)',
            f'=IF({minutes}=0,"",IF(day_power_{number}="",equipment_power+light_power,day_power_{number}))',
        ), ("text", look.WHOLE, look.WHOLE, look.ONE, look.WHOLE))  # fmt: skip
    _named(book, page, "day_parts", first)
    first = page.at
    for label, minutes, moved in (
        ("Fan stops: before", "=fan_stops", "=airflow"),
        ("Fan stops: after", "=MAX(1,day_minutes-fan_stops)", "=0"),
    ):
        page.row((label, minutes, "=people", moved, "=0"), ("text", look.WHOLE, look.WHOLE, look.ONE, look.WHOLE))
    _named(book, page, "day_without_fan", first)
    page.skip()
    level = 'STILL_SESSIONCO2({0},room_volume,{1},activity,outdoor_co2,"",room_temperature,altitude,units)'
    for entry in (
        Result("The day lasts", "=SUM(day_minutes_1,day_minutes_2,day_minutes_3,day_minutes_4)", "min", "day_minutes", look.WHOLE),
        Result("Highest CO2 of the day", "=" + level.format("day_parts", '""'), "ppm", "co2_day", look.WHOLE, "With the fan on.",
               key=True),
        Result("Greatest heat of the day", '=STILL_SESSIONHEAT(day_parts,"",activity,units)', book.pick("Btu/h", "W"), "heat_day", look.WHOLE,
               "Sensible heat."),
    ):  # fmt: skip
        page.result(entry)
    page.skip()
    chart_at = page.at
    page.skip(17)
    page.break_here()
    page.head_row(("Minutes", "Fan on", "Fan stops", "CO2 to hold", f"{HOLDING} ppm", ""))
    first = page.at
    for step in range(STEPS + 1):
        at = f"${get_column_letter(FIRST)}{page.at}"
        row = page.row((
            f"=day_minutes*{step}/{STEPS}",
            "=" + level.format("day_parts", at),
            "=" + level.format("day_without_fan", f"MIN({at},fan_stops+MAX(1,day_minutes-fan_stops))"),
            "=co2_limit",
            f"={HOLDING}",
        ), (look.WHOLE,) * 5)  # fmt: skip
        page.sheet.cell(row, FIRST).alignment = look.LEFT
    curves(
        page,
        title="CO2, ppm",
        labels=(FIRST, first, page.at - 1),
        series=(FIRST + 1, FIRST + 2, FIRST + 3, FIRST + 4),
        labels_title="minutes",
        limits=(0, HOLDING + 1000),
        anchor=f"{get_column_letter(FIRST)}{chart_at}",
        size=(19.5, 8.2),
    )
    page.note("The chart is cut off at 6000 ppm. One well-mixed room, door shut; an estimate, not a monitor.")


def _named(book: Book, page: Page, name: str, first: int) -> None:
    """Name the four columns of a schedule from a row on."""
    book.name(name, page, first, FIRST + 1, last=f"${get_column_letter(FIRST + 4)}${page.at - 1}")
