"""A day in a room, as rows of a schedule: carbon dioxide and heat over time as people come, rest and go."""

from __future__ import annotations

from typing import Annotated

import numpy as np
import numpy.typing as npt

from stillbook.formula import formula
from stillbook.quantities import HEAT, MINUTES, PARTS_PER_MILLION
from stillbook.readers import Columns, Floats, Quantity
from stillbook.results import Number
from stillbook.trade.air.airflow import ANY_AIRFLOW, Volume
from stillbook.trade.air.altitude import Altitude
from stillbook.trade.air.co2 import (
    BEYOND,
    MOST_MINUTES,
    OUTDOOR_CO2,
    OutdoorLevel,
    StartLevel,
    co2_after,
    start_level,
    within_reach,
)
from stillbook.trade.air.heat import POWER
from stillbook.trade.air.people import (
    PEOPLE_OR_NONE,
    ROOM_TEMPERATURE,
    Activity,
    RoomTemperature,
    co2_generation,
    sensible_heat,
)

Schedule = Annotated[
    tuple[npt.NDArray[np.float64], ...],
    Columns(
        ("minutes", Quantity(MINUTES, above=0, most=10_000)),
        ("people", PEOPLE_OR_NONE),
        ("airflow", ANY_AIRFLOW),
        ("equipment and lights", POWER),
    ),
]
Time = Annotated[Floats, Quantity(MINUTES, least=0, most=MOST_MINUTES)]

_LATE = "the schedule ends before that time: give an earlier time, or more rows"
_JUST = 1 + 1e-12
"""A time that is at the end of a row but for rounding is in the row."""


@formula(
    "SESSIONCO2",
    family="Air",
    summary="Carbon dioxide in a room at a time of a session with breaks, or its highest level",
    example=("STILL_SESSIONCO2({50,2,30,300;10,0,30,300;50,2,30,300},168,60)", 542.137182306734),
    source="Mass balance of one well-mixed space, row by row; generation by Persily & de Jonge, Indoor Air 27 (2017)",
    no_answer=f"{_LATE}; {BEYOND}",
)
def session_co2(
    schedule: Schedule,
    volume: Volume,
    time: Time | None = None,
    activity: Activity = "office work",
    outdoor: OutdoorLevel = OUTDOOR_CO2,
    start: StartLevel | None = None,
    temperature: RoomTemperature = ROOM_TEMPERATURE,
    altitude: Altitude = 0.0,
) -> Annotated[Floats, Number(PARTS_PER_MILLION)]:
    """Give the carbon dioxide level [ppm] at a time from the start of the schedule; the highest without a time.

    Each row lasts so many minutes with so many people and so much outdoor air: 0 people in a break, 0 air with the fan
    off. Each starts where the last one ended, by the equation of STILL_CO2LEVEL. A column of times gives the line of a
    chart. Assumptions and cautions as for STILL_CO2LEVEL: an estimate, not a monitor.

    Args:
        schedule: Rows of minutes the row lasts, people, airflow, and power of equipment and lights.
        volume: Volume of air in the room [m³].
        time: Time since the start; the highest level of the whole session when left out.
        activity: What the people do.
        outdoor: Level outdoors [ppm].
        start: Level in the room at the start; as outdoors when left out [ppm].
        temperature: Temperature of the room [°C].
        altitude: Height above the sea [m].
    """
    asked = np.asarray(np.nan if time is None else time, dtype=np.float64)
    level: Floats = start_level(start, outdoor)
    found, highest, begun = np.where(asked == 0, level, np.nan), level, 0.0
    for lasting, people, airflow, _ in zip(*schedule, strict=True):
        since = asked - begun
        within = (since > 0) & (since <= lasting * _JUST)
        air = (co2_generation(people, activity, temperature, altitude), airflow, volume, outdoor)
        found = np.where(within, co2_after(level, np.where(within, since, 0.0), *air), found)
        level = co2_after(level, lasting, *air)
        highest = np.maximum(highest, level)
        begun += lasting
    return within_reach(np.where(np.isnan(asked), highest, found))


@formula(
    "SESSIONHEAT",
    family="Air",
    summary="Heat people, equipment and lights give a room at a time of a session, or the greatest",
    example=("STILL_SESSIONHEAT({50,2,30,300;10,0,30,300;50,2,30,300},60)", 1023.64248993838),
    source="ASHRAE Handbook-Fundamentals, heat given off by occupants, its row for each activity",
    no_answer=_LATE,
)
def session_heat(
    schedule: Schedule, time: Time | None = None, activity: Activity = "office work"
) -> Annotated[Floats, Number(HEAT)]:
    """Give the heat that warms the air [W] at a time from the start of the schedule; the greatest without a time.

    P = n h + E in each row, with n people, h the sensible heat of one and E the power. With STILL_TEMPERATURERISE it
    gives the rise the room is making for. Light shells follow within minutes, heavy ones within hours, so that short
    peaks are felt less than they count here.

    Args:
        schedule: Rows of minutes the row lasts, people, airflow, and power of equipment and lights.
        time: Time since the start; the greatest heat of the whole session when left out.
        activity: What the people do.
    """
    lasting, people, _, power = schedule
    heat = people * sensible_heat(activity) + power
    ends = np.cumsum(lasting) * _JUST
    asked = np.asarray(np.nan if time is None else time, dtype=np.float64)
    at = np.append(heat, np.nan)[np.searchsorted(ends, asked)]
    return np.where(np.isnan(asked), heat.max(), at)[()]
