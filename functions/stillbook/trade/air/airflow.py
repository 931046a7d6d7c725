"""Air for the people in a small sealed room: how much they need, what they breathe out, and the heat to carry away."""

from __future__ import annotations

from functools import cache
from typing import Annotated, Final

import numpy as np

from stillbook.formula import formula
from stillbook.quantities import (
    AIRFLOW,
    ALTITUDE,
    AREA,
    COUNT,
    ELECTRIC_POWER,
    HEAT,
    MINUTES,
    NUMBER,
    PARTS_PER_MILLION,
    SHARE,
    TEMPERATURE_DIFFERENCE,
    VOLUME,
    System,
)
from stillbook.readers import Choice, Floats, Quantity
from stillbook.results import Number
from stillbook.tables import table
from stillbook.trade.physics.constants import BTU_PER_HOUR, CFM, FAHRENHEIT_DEGREE, FOOT

AIR_PER_PERSON: Final = 15 * CFM
OUTDOOR_CO2: Final = 420.0
CO2_PER_MET: Final = 0.0040e-3
"""Carbon dioxide a person breathes out [m³/s per met]: men of 21 to 30 years, the highest of the adult groups."""
SENSIBLE_HEAT_PER_PERSON: Final = 245 * BTU_PER_HOUR
"""Seated, very light work [W]: ASHRAE Handbook-Fundamentals, heat given off by occupants, I-P table."""
AIR_HEAT_CAPACITY: Final = 1.08 * BTU_PER_HOUR / (CFM * FAHRENHEIT_DEGREE)
"""Heat that standard air carries [J/m³K]: 0.075 lb/ft³ of 0.24 Btu/lb°F."""

_SPACES: Final = {row["space"]: row for row in table("outdoor_air")}
_METS: Final = {row["activity"]: float(row["met"]) for row in table("activities")}

People = Annotated[Floats, Quantity(COUNT, above=0, most=10_000)]
Airflow = Annotated[Floats, Quantity(AIRFLOW, above=0)]
AnyAirflow = Annotated[Floats, Quantity(AIRFLOW, least=0)]
Volume = Annotated[Floats, Quantity(VOLUME, above=0)]
Activity = Annotated[str, Choice(*_METS)]
OutdoorLevel = Annotated[Floats, Quantity(PARTS_PER_MILLION, least=250, most=5000)]
StartLevel = Annotated[Floats, Quantity(PARTS_PER_MILLION, least=250, most=1_000_000)]
Altitude = Annotated[Floats, Quantity(ALTITUDE, least=-500, most=9000)]


@formula(
    "OCCUPANTAIRFLOW",
    family="Air",
    summary="Outdoor air for the people in a room, at so much a person",
    example=("STILL_OCCUPANTAIRFLOW(2)", 30.0),
    source="common practice, no source; 15 cfm is also the least rate of ASHRAE 62-1989 Table 2",
)
def occupant_airflow(
    people: People, per_person: Annotated[Floats, Quantity(AIRFLOW, above=0, most=0.1)] = AIR_PER_PERSON
) -> Annotated[Floats, Number(AIRFLOW)]:
    """Give the outdoor airflow for a number of people [m³/s].

    A local code may ask for more: compare with :func:`outdoor_airflow`. It says nothing of heat: see
    :func:`temperature_rise`.

    Args:
        people: People in the room at its fullest.
        per_person: Outdoor air for each person [m³/s].
    """
    return people * per_person


@formula(
    "OUTDOORAIRFLOW",
    family="Air",
    summary="Outdoor air a ventilation code asks for, by kind of space, people and floor area",
    example=('STILL_OUTDOORAIRFLOW("studio or stage",1,24)', 11.44),
    source="Breathing-zone procedure of ASHRAE 62.1 and International Mechanical Code section 403.3; rates by row",
)
def outdoor_airflow(
    space_type: Annotated[str, Choice(*_SPACES)],
    people: People,
    floor_area: Annotated[Floats, Quantity(AREA, above=0)],
    effectiveness: Annotated[Floats, Quantity(SHARE, least=0.5, most=1.5)] = 1.0,
    *,
    units: System = "US",
) -> Annotated[Floats, Number(AIRFLOW)]:
    """Give the outdoor airflow by the breathing-zone procedure [m³/s]: a rate a person plus a rate an area.

    The codes print each rate twice, rounded on its own: 5 cfm stands beside 2.5 L/s, which is 6 % more. A US workbook
    uses the printed cfm, an SI workbook the printed L/s, so that each agrees with the code its reviewer holds.
    Editions and places differ, and the local code rules.

    Args:
        space_type: Kind of space, as the code lists it.
        people: People in the room at its fullest.
        floor_area: Floor area inside the room [m²].
        effectiveness: Share of the supply that reaches the people, 1 for cool air from above, 0.8 for warm air
            from above that leaves from above.
        units: System of the printed rates.
    """
    row = _SPACES[space_type]
    if units == "US":
        a_person, an_area = float(row["people_cfm"]) * CFM, float(row["area_cfm_ft2"]) * CFM / FOOT**2
    else:
        a_person, an_area = float(row["people_l_s"]) / 1000, float(row["area_l_s_m2"]) / 1000
    return (a_person * people + an_area * floor_area) / effectiveness


@formula(
    "AIRCHANGES",
    family="Air",
    summary="How many times an hour an airflow fills a room",
    example=("STILL_AIRCHANGES(15,168)", 5.357142857142857),
    source="definition",
)
def air_changes(airflow: Airflow, volume: Volume) -> Annotated[Floats, Number(NUMBER)]:
    """Give the air changes an hour.

    A small room needs many: what counts for people is the airflow each has, not the changes.

    Args:
        airflow: Air through the room [m³/s].
        volume: Volume of air in the room [m³].
    """
    return airflow * 3600 / volume


@formula(
    "CO2LEVEL",
    family="Air",
    summary="Carbon dioxide in an occupied room, in time or where it settles",
    example=("STILL_CO2LEVEL(1,15,168)", 1098.041601052581),
    source="Mass balance of one well-mixed space; generation by Persily & de Jonge, Indoor Air 27 (2017) 868-879",
    no_answer="without any air the level never settles: give the minutes, or an airflow",
)
def co2_level(
    people: People,
    airflow: AnyAirflow,
    volume: Volume,
    minutes: Annotated[Floats, Quantity(MINUTES, above=0)] | None = None,
    activity: Activity = "office work",
    outdoor: OutdoorLevel = OUTDOOR_CO2,
    start: StartLevel | None = None,
) -> Annotated[Floats, Number(PARTS_PER_MILLION)]:
    """Give the carbon dioxide level [ppm] of an occupied room.

    One well-mixed space with steady airflow. People breathe out 0.0040 L/s for each met of activity, the published
    rate of men of 21 to 30 years at 0 °C, a seventh to a third above other adults; by the volume they fill at room
    temperature the rise is some 8 % greater. An airflow of 0 is a sealed room. For a day with breaks see
    STILL_SESSIONCO2.

    A stopped fan in a sealed room is a danger: this is an estimate, not a monitor. Fit an alarm, and a way out that
    opens by hand. 5000 ppm is the US workplace limit over 8 hours (29 CFR 1910.1000).

    >>> round(float(co2_level(1, 0.0, 4.757, minutes=60.0)))
    4053

    Args:
        people: People in the room.
        airflow: Outdoor air through the room, 0 for a sealed one [m³/s].
        volume: Volume of air in the room [m³].
        minutes: Time since the people went in; the level it settles at when left out.
        activity: What the people do.
        outdoor: Level outdoors [ppm].
        start: Level in the room at the start; as outdoors when left out [ppm].
    """
    lasting = np.nan if minutes is None else np.asarray(minutes, dtype=np.float64)
    with np.errstate(divide="ignore"):
        settled = outdoor + np.where(
            np.asarray(airflow) > 0, co2_generation(people, activity) / np.asarray(airflow, dtype=np.float64), np.nan
        )
    level = co2_after(start_level(start, outdoor), lasting, people, airflow, volume, activity, outdoor)
    return np.where(np.isnan(lasting), settled, level)[()]


def co2_generation(people: Floats, activity: str) -> Floats:
    """Carbon dioxide people breathe out [ppm m³/s]."""
    return 1e6 * people * CO2_PER_MET * _METS[activity]


def co2_after(
    start: Floats, minutes: Floats, people: Floats, airflow: Floats, volume: Floats, activity: str, outdoor: Floats
) -> Floats:
    """Level [ppm] a time after a level at the start, with steady people and air; both may be none."""
    seconds = np.asarray(minutes) * 60.0
    changes = airflow * seconds / volume
    with np.errstate(divide="ignore", invalid="ignore"):
        held = np.where(changes > 0, -np.expm1(-changes) / changes, 1.0)
    level: Floats = (
        outdoor
        + (np.asarray(start) - outdoor) * np.exp(-changes)
        + co2_generation(people, activity) * seconds / volume * held
    )
    return level


def start_level(start: Floats | None, outdoor: Floats) -> Floats:
    """Level at the start [ppm], as outdoors where it is left out or NaN."""
    return outdoor if start is None else np.where(np.isnan(start), outdoor, start)


@formula(
    "CO2MINUTES",
    family="Air",
    summary="Minutes until carbon dioxide in an occupied room reaches a level",
    example=("STILL_CO2MINUTES(1,0,168,1000)", 9.580533096960002),
    source="Mass balance of one well-mixed space; generation by Persily & de Jonge, Indoor Air 27 (2017) 868-879",
    no_answer="with this airflow the level is never reached, or the air already stands above it",
)
def co2_minutes(
    people: People,
    airflow: AnyAirflow,
    volume: Volume,
    limit: Annotated[Floats, Quantity(PARTS_PER_MILLION, above=0, most=1_000_000)],
    activity: Activity = "office work",
    outdoor: OutdoorLevel = OUTDOOR_CO2,
    start: StartLevel | None = None,
) -> Annotated[Floats, Number(MINUTES)]:
    """Give the time [min] until a room reaches a carbon dioxide level.

    NaN where the airflow holds the room below the level for good. For a fan that stops, give an airflow of 0 and the
    level at which the room had settled as the start. Assumptions and cautions as for :func:`co2_level`: this is no
    promise of how long a stopped fan may be borne.

    Args:
        people: People in the room.
        airflow: Outdoor air through the room, 0 for a sealed one [m³/s].
        volume: Volume of air in the room [m³].
        limit: Level to reach [ppm].
        activity: What the people do.
        outdoor: Level outdoors [ppm].
        start: Level in the room at the start; as outdoors when left out [ppm].
    """
    begun = np.asarray(start_level(start, outdoor), dtype=np.float64)
    rise = np.asarray(limit, dtype=np.float64) - begun
    rate = co2_generation(people, activity) - (begun - outdoor) * airflow
    with np.errstate(divide="ignore", invalid="ignore"):
        share = rise * airflow / rate
        slowed = np.where(share > 0, -np.log1p(-share) / share, 1.0)
        minutes = volume * rise / rate * slowed / 60
    return np.where((rise > 0) & (rate > 0) & (share < 1), minutes, np.nan)[()]


@formula(
    "HEATGAIN",
    family="Air",
    summary="Heat that people, equipment and lights give a room",
    example=("STILL_HEATGAIN(1,150,0)", 756.8212449691912),
    source="ASHRAE Handbook-Fundamentals, heat given off by occupants: seated, very light work, 245 Btu/h sensible",
    no_answer="nothing gives heat: give people, equipment or lights",
)
def heat_gain(
    people: Annotated[Floats, Quantity(COUNT, least=0, most=10_000)],
    equipment: Annotated[Floats, Quantity(ELECTRIC_POWER, least=0)],
    lights: Annotated[Floats, Quantity(ELECTRIC_POWER, least=0)],
) -> Annotated[Floats, Number(HEAT)]:
    """Give the heat that warms the air of a room [W]: 245 Btu/h a person, and all power drawn inside.

    A person also gives off about 155 Btu/h as moisture, which adds to the humidity and not to the temperature. Heat
    through the walls and heat they store are left out.

    Args:
        people: People in the room.
        equipment: Power the equipment draws while in use [W].
        lights: Power the lights draw [W].
    """
    heat = people * SENSIBLE_HEAT_PER_PERSON + equipment + lights
    return np.where(np.asarray(heat) > 0, heat, np.nan)[()]


@formula(
    "TEMPERATURERISE",
    family="Air",
    summary="How much warmer than the supply air a room becomes, with an airflow to carry its heat",
    example=('STILL_TEMPERATURERISE("245 Btu/h",15)', 15.123456790123456),
    source="Standard air, 0.075 lb/ft³ and 0.24 Btu/lb°F (1.08 Btu/h per cfm and °F); US Standard Atmosphere 1976",
)
def temperature_rise(
    heat: Annotated[Floats, Quantity(HEAT, above=0)], airflow: Airflow, altitude: Altitude = 0.0
) -> Annotated[Floats, Number(TEMPERATURE_DIFFERENCE)]:
    """Give the rise of the room air above the supply air [K], once it has settled.

    The airflow that people need does not cool a room: one person and 150 W of equipment give 757 Btu/h, and 15 cfm
    lets that warm the room by 47 °F. Size the air by :func:`cooling_airflow` too, or cool the room by other means.

    >>> round(float(temperature_rise(757 * BTU_PER_HOUR, 15 * CFM)) / FAHRENHEIT_DEGREE)
    47

    Args:
        heat: Heat that the air must carry [W].
        airflow: Air through the room [m³/s].
        altitude: Height above the sea; thin air carries less [m].
    """
    return heat / (airflow * AIR_HEAT_CAPACITY * air_thinness(altitude))


@formula(
    "COOLINGAIRFLOW",
    family="Air",
    summary="Airflow that carries a heat away at a given temperature rise",
    example=('STILL_COOLINGAIRFLOW("1080 Btu/h",10)', 100.0),
    source="Standard air, 0.075 lb/ft³ and 0.24 Btu/lb°F (1.08 Btu/h per cfm and °F); US Standard Atmosphere 1976",
)
def cooling_airflow(
    heat: Annotated[Floats, Quantity(HEAT, above=0)],
    rise: Annotated[Floats, Quantity(TEMPERATURE_DIFFERENCE, above=0, most=100)],
    altitude: Altitude = 0.0,
) -> Annotated[Floats, Number(AIRFLOW)]:
    """Give the airflow that holds a room at a given rise above its supply air [m³/s].

    Args:
        heat: Heat that the air must carry [W].
        rise: Rise of the room above the supply air that can be borne [K].
        altitude: Height above the sea; thin air carries less [m].
    """
    return heat / (rise * AIR_HEAT_CAPACITY * air_thinness(altitude))


def air_thinness(altitude: Floats) -> Floats:
    """Density of room air at an altitude [m] as a share of that at sea level, at the same temperature.

    >>> round(air_thinness(5000 * FOOT), 3)
    0.832
    """
    if isinstance(altitude, np.ndarray):
        return np.array([_thinness(height) for height in altitude.ravel().tolist()]).reshape(altitude.shape)
    return _thinness(float(altitude))


@cache
def _thinness(altitude: float) -> float:
    from fluids.atmosphere import ATMOSPHERE_1976

    return float(ATMOSPHERE_1976(altitude).P / ATMOSPHERE_1976(0).P)
