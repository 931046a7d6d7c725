"""Carbon dioxide in an occupied room: the level in time or where it settles, and the time to a level."""

from __future__ import annotations

from typing import Annotated, Final

import numpy as np

from stillbook.formula import formula
from stillbook.quantities import MINUTES, PARTS_PER_MILLION
from stillbook.readers import Floats, Quantity
from stillbook.results import Number
from stillbook.trade.air.airflow import AnyAirflow, Volume
from stillbook.trade.air.altitude import Altitude
from stillbook.trade.air.people import ROOM_TEMPERATURE, Activity, People, RoomTemperature, co2_generation

OUTDOOR_CO2: Final = 420.0
WORKPLACE_CO2: Final = 5000
"""The 8-hour workplace limit of carbon dioxide, 29 CFR 1910.1000 [ppm]."""

MOST_CO2: Final = 100_000.0
"""Above a tenth of the air people lose consciousness in minutes, and the balance is off by a tenth [ppm]."""

MOST_MINUTES: Final = 100_000.0
BEYOND: Final = "above 100,000 ppm people lose consciousness and the balance fails: give more air or fewer people"

OutdoorLevel = Annotated[Floats, Quantity(PARTS_PER_MILLION, least=250, most=5000)]
StartLevel = Annotated[Floats, Quantity(PARTS_PER_MILLION, least=250, most=MOST_CO2)]


@formula(
    "CO2LEVEL",
    family="Air",
    summary="Carbon dioxide in an occupied room, in time or where it settles",
    example=("STILL_CO2LEVEL(1,15,168)", 1148.50296810608),
    source="Mass balance of one well-mixed space; generation by Persily & de Jonge, Indoor Air 27 (2017) 868-879",
    no_answer="without any air the level never settles: give the minutes or an airflow; " + BEYOND,
)
def co2_level(
    people: People,
    airflow: AnyAirflow,
    volume: Volume,
    minutes: Annotated[Floats, Quantity(MINUTES, above=0, most=MOST_MINUTES)] | None = None,
    activity: Activity = "office work",
    outdoor: OutdoorLevel = OUTDOOR_CO2,
    start: StartLevel | None = None,
    temperature: RoomTemperature = ROOM_TEMPERATURE,
    altitude: Altitude = 0.0,
) -> Annotated[Floats, Number(PARTS_PER_MILLION)]:
    """Give the carbon dioxide level [ppm] of an occupied room.

    One well-mixed space with steady airflow. People breathe out 0.0040 L/s for each met of activity, the published
    rate of men of 21 to 30 years, a seventh to a third above other adults. It is stated at 273 K and 101 kPa: in the
    air of the room it fills 7 % more at 70 °F, and more still at an altitude. An airflow of 0 is a sealed room. For a
    day with breaks see STILL_SESSIONCO2.

    C = Cₒ + G / Q where it settles, and in time C = Cₒ + (C₀ - Cₒ) e^(-Q t / V) + (G / Q) (1 - e^(-Q t / V)), with Cₒ
    outdoors, C₀ at the start, Q the airflow, V the volume, t the time and G = 10⁶ n M g (T / 273 K) (101 kPa / p): n
    people, M met, g the rate for one met, T and p of the room. Above 100,000 ppm no level is given: people lose
    consciousness, and what they add to the air no longer counts as little.

    A stopped fan in a sealed room is a danger: this is an estimate, not a monitor. Fit an alarm, and a way out that
    opens by hand. 5000 ppm is the US workplace limit over 8 hours (29 CFR 1910.1000).

    >>> round(float(co2_level(1, 0.0, 4.757, minutes=60.0)))
    4323

    Args:
        people: People in the room.
        airflow: Outdoor air through the room, 0 for a sealed one [m³/s].
        volume: Volume of air in the room [m³].
        minutes: Time since the people went in; the level it settles at when left out.
        activity: What the people do.
        outdoor: Level outdoors [ppm].
        start: Level in the room at the start; as outdoors when left out [ppm].
        temperature: Temperature of the room [°C].
        altitude: Height above the sea [m].
    """
    lasting = np.nan if minutes is None else np.asarray(minutes, dtype=np.float64)
    generated = co2_generation(people, activity, temperature, altitude)
    with np.errstate(divide="ignore"):
        settled = outdoor + np.where(np.asarray(airflow) > 0, generated / np.asarray(airflow, dtype=np.float64), np.nan)
    level = co2_after(start_level(start, outdoor), lasting, generated, airflow, volume, outdoor)
    return within_reach(np.where(np.isnan(lasting), settled, level))


def co2_after(
    start: Floats, minutes: Floats, generated: Floats, airflow: Floats, volume: Floats, outdoor: Floats
) -> Floats:
    """Level [ppm] a time after a level at the start with what people breathe out [ppm m³/s] and steady air, or none."""
    seconds = np.asarray(minutes) * 60.0
    changes = airflow * seconds / volume
    with np.errstate(divide="ignore", invalid="ignore"):
        held = np.where(changes > 0, -np.expm1(-changes) / changes, 1.0)
    level: Floats = outdoor + (np.asarray(start) - outdoor) * np.exp(-changes) + generated * seconds / volume * held
    return level


def within_reach(level: Floats) -> Floats:
    """Levels as they are; NaN where one is above all that the balance holds for."""
    found: Floats = np.where(np.asarray(level) <= MOST_CO2, level, np.nan)[()]
    return found


def start_level(start: Floats | None, outdoor: Floats) -> Floats:
    """Level at the start [ppm], as outdoors where it is left out or NaN."""
    return outdoor if start is None else np.where(np.isnan(start), outdoor, start)


@formula(
    "CO2MINUTES",
    family="Air",
    summary="Minutes until carbon dioxide in an occupied room reaches a level",
    example=("STILL_CO2MINUTES(1,0,168,1000)", 8.91691631248657),
    source="Mass balance of one well-mixed space; generation by Persily & de Jonge, Indoor Air 27 (2017) 868-879",
    no_answer="with this airflow the level is never reached",
)
def co2_minutes(
    people: People,
    airflow: AnyAirflow,
    volume: Volume,
    limit: Annotated[Floats, Quantity(PARTS_PER_MILLION, above=0, most=MOST_CO2)],
    activity: Activity = "office work",
    outdoor: OutdoorLevel = OUTDOOR_CO2,
    start: StartLevel | None = None,
    temperature: RoomTemperature = ROOM_TEMPERATURE,
    altitude: Altitude = 0.0,
) -> Annotated[Floats, Number(MINUTES)]:
    """Give the time [min] until a room reaches a carbon dioxide level; 0 where it already stands there or above.

    NaN where the airflow holds the room below the level for good. For a fan that stops, give an airflow of 0 and the
    level at which the room had settled as the start. Assumptions and cautions as for STILL_CO2LEVEL: this is no
    promise of how long a stopped fan may be borne.

    t = (V / Q) ln[G / (G - Q (C - Cₒ))] from the level outdoors, and V (C - C₀) / G without air; symbols as for
    STILL_CO2LEVEL.

    Args:
        people: People in the room.
        airflow: Outdoor air through the room, 0 for a sealed one [m³/s].
        volume: Volume of air in the room [m³].
        limit: Level to reach [ppm].
        activity: What the people do.
        outdoor: Level outdoors [ppm].
        start: Level in the room at the start; as outdoors when left out [ppm].
        temperature: Temperature of the room [°C].
        altitude: Height above the sea [m].
    """
    begun = np.asarray(start_level(start, outdoor), dtype=np.float64)
    rise = np.asarray(limit, dtype=np.float64) - begun
    rate = co2_generation(people, activity, temperature, altitude) - (begun - outdoor) * airflow
    with np.errstate(divide="ignore", invalid="ignore"):
        share = rise * airflow / rate
        slowed = np.where(share > 0, -np.log1p(-share) / share, 1.0)
        minutes = volume * rise / rate * slowed / 60
    reached = np.where((rate > 0) & (share < 1), minutes, np.nan)
    return np.where(rise > 0, reached, 0.0)[()]
