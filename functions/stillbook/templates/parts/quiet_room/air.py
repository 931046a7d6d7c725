"""Air: how much the people need, what it does to CO2 and heat, and how long it lasts when the fan stops."""

from __future__ import annotations

from typing import Final

from openpyxl.utils import get_column_letter

from stillbook.cautions import SEALED_AIR
from stillbook.quantities import AIRFLOW, AREA, HEAT, LENGTH, TEMPERATURE, TEMPERATURE_DIFFERENCE
from stillbook.templates import look
from stillbook.templates.calls import answered, out_of_range
from stillbook.templates.charts import curves
from stillbook.templates.page import FIRST, Book, Page, ResultRow
from stillbook.templates.parts.inputs import DAY_PARTS, NEXT_ROOM, OUTDOORS
from stillbook.templates.parts.table import Column, Table
from stillbook.trade.air.co2 import WORKPLACE_CO2

NO_COOLING: Final = "none needed"
"""What stands for a cooling load where air and shell take all the heat."""

SCALE: Final = 71
"""Of the page in print, in percent: it takes one sheet of paper, and its type stays large enough."""

STEPS: Final = 13
"""Steps of the day in the chart."""

_CHART: Final = 9
"""Rows that the chart takes."""

CONDUCTIVITY, SURFACE = "0.04 W/m/K", "0.125 m²·K/W"
"""Insulation as most of it is, and the surface of a dull jacket to still air: common practice, no source."""


def write(book: Book) -> Page:
    """Write the sheet."""
    flow, heat, rise = book.unit(AIRFLOW), book.unit(HEAT), book.unit(TEMPERATURE_DIFFERENCE)
    page = book.page(
        "Air",
        "A sealed room has only the air the fan brings. Enough of it for the people comes first; quiet comes after.",
        (41, 12, 11, 14, 14, 43),
        scale=SCALE,
    )
    page.part(
        "Airflow",
        ResultRow("By people", "=STILL_OCCUPANTAIRFLOW(people,per_person,units)", flow, "airflow_people").noting("Common practice: 15 cfm for each person."),
        ResultRow("By people and floor area", "=STILL_OUTDOORAIRFLOW(space_type,people,floor_area,air_effectiveness,units)", flow, "airflow_code").noting(
            "Rates of the breathing-zone procedure; the local code decides."
        ),
        ResultRow("Least for a small room", "=least_airflow", flow, "", look.ONE),
        ResultRow(
            "Airflow of this estimate", "=IF(N(airflow_chosen)>0,airflow_chosen,MAX(airflow_people,airflow_code,least_airflow))", flow, "airflow", key=True
        ).noting("The largest of the three, or the one you chose."),
        ResultRow(
            "Outdoor air in it", f'=IF(air_source="{OUTDOORS}",airflow,IF(ISNUMBER(fresh_share),airflow*fresh_share,""))', flow, "outdoor_airflow", look.ONE
        ).noting("Of a neighbouring room's air its fresh share alone; blank until that is known."),
        ResultRow("Air changes", "=STILL_AIRCHANGES(airflow,room_volume,units)", "per hour", "air_changes", look.ONE, key=True),
    )
    page.heading("CO2")
    level = 'STILL_CO2LEVEL(people,airflow,room_volume,{0},activity,outdoor_co2,"",room_temperature,altitude,units)'
    minutes = "STILL_CO2MINUTES(people,0,room_volume,{0},activity,outdoor_co2,co2_session,room_temperature,altitude,units)"
    sealed = f"IF({out_of_range('co2_session')},0,{minutes})"
    page.results(
        ResultRow("CO2 at the end of the longest session", "=" + level.format("session_minutes"), "ppm", "co2_session", look.WHOLE, key=True).noting(
            "With the fan on."
        ),
        ResultRow("CO2 if the session never ends", "=" + level.format('""'), "ppm", "co2_steady", look.WHOLE).noting("What the room comes to."),
        ResultRow("Fan off: minutes to 2000 ppm", "=" + sealed.format(2000), "min", "fan_off_stale").noting(
            "Sealed room, from the level at the end of the session."
        ),
        ResultRow("Fan off: minutes to 5000 ppm", "=" + sealed.format(5000), "min", "fan_off_minutes", key=True).noting(
            "The 8-hour workplace limit of 29 CFR 1910.1000."
        ),
    )
    _caution(page)
    page.skip()
    page.heading("Heat")
    for_heat = "IF(N(cooling_share)>0,MAX(heat_left,N(cooling_load)-N(cooling_moisture))/cooling_share,0)"
    page.results(
        ResultRow("People, equipment and lights", "=STILL_HEATGAIN(people,equipment_power,light_power,activity,units)", heat, "heat_gain", look.WHOLE).noting(
            "Sensible heat."
        ),
        ResultRow("Shell, inside", "=2*(room_length*room_width+(room_length+room_width)*room_height)", book.unit(AREA), "warm_shell", look.ONE).noting(
            "Walls, floor and ceiling, which let heat through."
        ),
        ResultRow(
            "Air and shell alone would leave it warmer by",
            "=STILL_TEMPERATURERISE(heat_gain,airflow,altitude,warm_shell,shell_resistance,units)",
            rise,
            "rise_air_alone",
        ).noting("Room over supply air. Fresh air for the people does not cool a room with equipment."),
        ResultRow("Airflow to hold the rise by air alone", "=STILL_COOLINGAIRFLOW(heat_gain,rise_limit,altitude,units)", flow, "cooling_airflow").noting(
            "Far more than the people need. The shell is left out, on the safe side."
        ),
        ResultRow("Heat the air carries at the rise to hold", "=heat_gain*MIN(1,airflow/cooling_airflow)", heat, "heat_by_air", look.WHOLE),
        ResultRow("Heat left for the cooling unit", "=heat_gain-heat_by_air", heat, "heat_left", look.WHOLE, key=True),
        ResultRow("Cooling that the room needs", f"=MAX(heat_left,N(cooling_load),{for_heat})", heat, "cooling_needed", look.WHOLE, key=True).noting(
            "That, or what holds the room with the source of its air, below, if it is more; "
            "of a unit whose sensible share is told, enough that this share takes the heat."
        ),
    )
    _sources(book, page)
    _day(book, page)
    return page


def _caution(page: Page) -> None:
    """The caution, with the minutes that are left in this room."""
    page.caution(SEALED_AIR)
    page.sheet.cell(page.at - 1, FIRST).value = (
        '="Caution: "&IFERROR(IF(fan_off_minutes>0,"when the fan stops at the end of a session, this room reaches '
        f'{WORKPLACE_CO2} ppm of CO2 in "&TEXT(fan_off_minutes,"0")&" minutes","this room stands above {WORKPLACE_CO2} ppm of CO2 at the end '
        'of a session, with the fan on"),"fresh air in a sealed room is a life-safety matter")&". '
        "The people inside must know at once that the fan stopped, and be able to leave: "
        'an alarm, a door that opens from inside without a key, "&"no lock that traps. The local code decides."'
    )


def _sources(book: Book, page: Page) -> None:
    """What the choice of air source does, both side by side."""
    degrees, heat = book.unit(TEMPERATURE), book.unit(HEAT)
    page.skip()
    page.heading("Where the air comes from", "both sources on the day of the Inputs sheet; the one chosen counts")
    page.head_row(("What it brings", "Next room", "Outdoors", "Chosen", "", ""))
    outdoors = "outdoor_temperature,outdoor_humidity,room_temperature,exhaust_humidity"
    found = f"=INDEX(STILL_RECOVERYAIR({outdoors},recovery_sensible,recovery_latent,altitude,units),1,{{0}})"
    supplied = "{c}{temperature},{c}{humidity}"
    breathed = f"people,airflow,{supplied},room_temperature"
    settled = "=" + answered(f"STILL_ROOMHUMIDITY({breathed},altitude,activity,units)", "1", breathed, breathed.count(",") + 1)
    given = (
        "people,equipment_power,light_power,airflow,{{c}}{{temperature}},{{c}}{{humidity}},room_temperature,exhaust_humidity,0,warm_shell,"
        "shell_resistance,space_temperature"
    )
    cooled = f"INDEX(STILL_COOLINGLOAD({given},activity,altitude,units),1,{{0}})"
    # Of numbers it refuses an answer where air and shell take all the heat; what it is given may be an error of its own.
    load = f'=IF(AND(COUNT({given})={given.count(",") + 1},{out_of_range(cooled)}),"{NO_COOLING}",{cooled})'
    sensible = "({c}{load}-{c}{damp})"
    dries = f"AND(cooling_power*cooling_share>={sensible},{{c}}{{load}}*cooling_share<={sensible})"
    held = f"=IF(AND(N(cooling_share)>0,ISNUMBER({{c}}{{load}})),IF({dries},MIN({{c}}{{settled}},exhaust_humidity),{{c}}{{settled}}),{{c}}{{settled}})"
    dry = f'=STILL_DRYTHICKNESS(outdoor_temperature,space_temperature,space_humidity,"{CONDUCTIVITY}","{SURFACE}",units)'
    rows: dict[str, int] = {}
    for key, label, inside, outside, number_format, name in (
        ("temperature", f"Supply air, {degrees}", "=space_temperature", found.format(1), look.ONE, "supply_temperature"),
        ("humidity", "Humidity of the supply air", "=space_humidity", found.format(2), look.PERCENT, "supply_humidity"),
        ("settled", "Humidity of the room by air alone, settled", settled, settled, look.PERCENT, ""),
        ("alone", f"Room by air and shell alone, no cooling, {degrees}", *["={c}{temperature}+rise_air_alone"] * 2, look.ONE, ""),
        ("load", f"Cooling that holds the room, {heat}", *[load.format(1)] * 2, look.WHOLE, "cooling_load"),
        ("damp", f"Of it moisture, {heat}", *[load.format(3)] * 2, look.WHOLE, "cooling_moisture"),
        ("held", "Humidity of the room, the cooling unit with it", held, held, look.PERCENT, "room_humidity"),
        ("dew", f"Room air wets surfaces below, {degrees}", *["=STILL_DEWPOINT(room_temperature,{c}{held},units)"] * 2, look.ONE, "room_dew_point"),
        ("dry", f"Insulation that keeps the intake duct dry, {book.unit(LENGTH)}", '="–"', dry, look.ONE, "intake_insulation"),
        ("core", "In the core of the ventilator", "no core", found.format(4), "text", "condensation"),
        ("exhaust", f"Exhaust air, {degrees}", '="–"', found.format(3), look.ONE, ""),
        ("total", "Total effectiveness on this day", '="–"', found.format(5), look.PERCENT, ""),
    ):
        row = rows[key] = page.at
        next_room, outdoor = (formula.format(c=c, **rows) for c, formula in (("C", inside), ("D", outside)))
        chosen = f'=IF(air_source="{OUTDOORS}",$D${row},$C${row})'
        page.row((label, next_room, outdoor, chosen), ("text", *[number_format] * 3), names=("", "", "", name))
        for column in range(FIRST + 1, FIRST + 4):
            page.sheet.cell(row, column).alignment = look.RIGHT
    page.note(
        f"From the {NEXT_ROOM}: air already heated, cooled and dried, but as stale as that room: outdoor air only by its fresh share, which "
        "the building's engineer and the local code decide; keep intake and return apart. "
        "From outdoors: fresher, but insulate its ducts and boxes and seal them against vapour where they are colder than the "
        f"dew point (thickness for insulation of {CONDUCTIVITY}, dull outside, in that room's air), and give "
        "the core a drain; where it frosts, preheat. Neither cools a room with equipment in it. "
        "A cooling unit holds the humidity of the air drawn out, for which its load is worked out, where it takes all that heat and a sensible share "
        "no larger than the load's is told of it: with the heat it then takes that moisture too. Otherwise none that it takes counts."
    )
    none = "No cooling needed on that day: air and shell take all the heat, and the damp stays in the room."
    takes, moist = (f'TEXT({what},"#,##0")&" {heat}' for what in ("cooling_load", "cooling_moisture"))
    some = f'"On that day it takes "&{takes} of cooling to hold the room, "&{moist} of it for moisture."'
    page.note(none, f'=IF(cooling_load="{NO_COOLING}","{none}",{some})')
    page.skip()


def _day(book: Book, page: Page) -> None:
    """CO2 over the day, with the fan on and with a fan that stops; the figures of its chart stand below what is printed."""
    page.heading("CO2 over the day", "the day of the Inputs sheet, and a fan that stops early in it")
    flow = book.unit(AIRFLOW)
    table = Table(
        page,
        (
            Column("Part", key="part", words=True),
            Column("Lasts, min", key="minutes", number_format=look.WHOLE),
            Column("People", key="people", number_format=look.WHOLE),
            Column(f"Air, {flow}", key="air", number_format=look.ONE),
            Column("Power, W", key="power", number_format=look.WHOLE),
        ),
    )
    table.head()
    for n in range(1, DAY_PARTS + 1):
        lasts = (
            f"day_minutes_{n}",
            f'IF(day_people_{n}="",people,day_people_{n})',
            "airflow",
            f'IF(day_power_{n}="",equipment_power+light_power,day_power_{n})',
        )
        table.row(f"Part {n}", *(f'=IF(N(day_minutes_{n})=0,"",{formula})' for formula in lasts))
    page.name("day_parts", table.first, FIRST + 1, page.at - 1, FIRST + 4)
    first = page.at
    table.row("Fan stops: before", "=fan_stops", "=people", "=airflow", "=0")
    table.row("Fan stops: after", "=MAX(1,day_minutes-fan_stops)", "=people", "=0", "=0")
    page.name("day_without_fan", first, FIRST + 1, page.at - 1, FIRST + 4)
    page.skip()
    level = 'STILL_SESSIONCO2({0},room_volume,{1},activity,outdoor_co2,"",room_temperature,altitude,units)'
    page.results(
        ResultRow("The day lasts", "=SUM(day_minutes_1,day_minutes_2,day_minutes_3,day_minutes_4)", "min", "day_minutes", look.WHOLE),
        ResultRow("Highest CO2 of the day", "=" + level.format("day_parts", '""'), "ppm", "co2_day", look.WHOLE, key=True).noting("With the fan on."),
        ResultRow("Greatest heat of the day", '=STILL_SESSIONHEAT(day_parts,"",activity,units)', book.unit(HEAT), "heat_day", look.WHOLE).noting(
            "Sensible heat."
        ),
    )
    page.skip()
    chart_at = page.at
    page.skip(_CHART)
    page.note("The chart is cut off at 6000 ppm. One well-mixed room, door shut; an estimate, not a monitor. Its figures stand below, and are not printed.")
    page.finish()
    page.skip()
    page.heading("Figures of the chart")
    stopped = "MIN(${minutes},fan_stops+MAX(1,day_minutes-fan_stops))"
    table = Table(
        page,
        (
            Column("Minutes", key="minutes", number_format=look.WHOLE),
            Column("Fan on", level.format("day_parts", "${minutes}"), number_format=look.WHOLE),
            Column("Fan stops", level.format("day_without_fan", stopped), number_format=look.WHOLE),
            Column("CO2 to hold", "co2_limit", number_format=look.WHOLE),
            Column(f"{WORKPLACE_CO2} ppm", f"{WORKPLACE_CO2}", number_format=look.WHOLE),
        ),
    )
    table.head()
    for step in range(STEPS + 1):
        row = table.row(f"=day_minutes*{step}/{STEPS}")
        page.sheet.cell(row, FIRST).alignment = look.LEFT
    first = table.first
    curves(
        page,
        title="CO2, ppm",
        told="Lines over the minutes of a day with the door shut: CO2 with the fan on, and where it stops, against what is to be held and "
        f"{WORKPLACE_CO2} ppm, the 8-hour workplace limit of 29 CFR 1910.1000. The table on this sheet holds the figures.",
        labels=(FIRST, first, page.at - 1),
        series=(FIRST + 1, FIRST + 2, FIRST + 3, FIRST + 4),
        labels_title="minutes",
        value_title="ppm",
        limits=(0, WORKPLACE_CO2 + 1000),
        anchor=f"{get_column_letter(FIRST)}{chart_at}",
        size=(25.4, 4.7),
    )
