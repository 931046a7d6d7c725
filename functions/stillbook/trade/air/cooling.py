"""What a cooling coil has to take: people, equipment, lights, fans, shell and outdoor air, as heat and as moisture."""

from __future__ import annotations

import math
from typing import Annotated

from stillbook.formula import formula
from stillbook.quantities import AREA, HEAT, SHARE, THERMAL_RESISTANCE
from stillbook.readers import Quantity
from stillbook.results import SideBySide
from stillbook.trade.air.airflow import ANY_AIRFLOW
from stillbook.trade.air.altitude import OneAltitude, air_pressure, air_thinness
from stillbook.trade.air.heat import AIR_HEAT_CAPACITY, POWER
from stillbook.trade.air.humidity import VAPOUR_HEAT, Humidity, Temperature
from stillbook.trade.air.people import PEOPLE_OR_NONE, Activity, latent_heat, sensible_heat
from stillbook.trade.physics.constants import STANDARD_AIR_DENSITY

OnePower = Annotated[float, POWER]


def _humidity_ratio(temperature: float, humidity: float, pressure: float) -> float:
    import psychrolib

    psychrolib.SetUnitSystem(psychrolib.SI)
    return float(psychrolib.GetHumRatioFromRelHum(temperature, humidity, pressure))


@formula(
    "COOLINGLOAD",
    family="Air",
    summary="Heat and moisture that a cooling coil takes from a room and its outdoor air",
    example=(
        'STILL_COOLINGLOAD(1,150,50,15,95,"40 %",75,"50 %")',
        (1762.02117314006, 1251.42832662559, 510.592846514477, 0.710223205998962),
    ),
    source="Sensible 1.08 Btu/h per cfm and °F, latent 4840 Btu/h per cfm and lb/lb, heat of occupants: ASHRAE "
    "Handbook-Fundamentals; moist air by psychrolib",
    no_answer="nothing is to be cooled: what cools the room is as much as what warms it",
    vectorised=False,
)
def cooling_load(
    people: Annotated[float, PEOPLE_OR_NONE],
    equipment: OnePower,
    lights: OnePower,
    outdoor_airflow: Annotated[float, ANY_AIRFLOW],
    outdoor_temperature: Temperature,
    outdoor_humidity: Humidity,
    room_temperature: Temperature,
    room_humidity: Humidity,
    fans: OnePower = 0.0,
    shell_area: Annotated[float, Quantity(AREA, least=0, most=100_000)] = 0.0,
    shell_resistance: Annotated[float, Quantity(THERMAL_RESISTANCE, least=0.05, most=50)] = 2.0,
    surroundings: Temperature | None = None,
    activity: Activity = "office work",
    altitude: OneAltitude = 0.0,
) -> Annotated[
    tuple[float, ...],
    SideBySide(("Total", HEAT), ("Sensible", HEAT), ("Latent", HEAT), ("Sensible share", SHARE)),
]:
    """Give the whole load [W], its sensible and its latent part, and the sensible share of it.

    Sensible: n h + E + L + F + A (Tₛ - Tᵣ) / R + c Q (Tₒ - Tᵣ) p / p₀. Latent: n l + r ρ Q (wₒ - wᵣ) p / p₀, not below
    0. n people give h and l each, E is the equipment, L the lights, F the fans in the air, A and R area and resistance
    of the shell, Tₛ the temperature round it, Q the outdoor air, T and w temperature and humidity ratio outdoors and in
    the room, c = 1.08 Btu/h per cfm and °F, r = 1076 Btu/lb, ρ that of standard air.

    It is the load once all has settled, without sun and without what walls store. Outdoor air that has been through a
    recovery ventilator comes in as STILL_RECOVERYAIR gives it. A small unit takes much less moisture than heat: look
    for a sensible share near its maker's at the same air.

    Args:
        people: People in the room.
        equipment: Power the equipment draws while in use [W].
        lights: Power the lights draw [W].
        outdoor_airflow: Outdoor air into the room [m³/s].
        outdoor_temperature: Temperature of the outdoor air as it comes in [°C].
        outdoor_humidity: Relative humidity of that air, as a share.
        room_temperature: Temperature to hold [°C].
        room_humidity: Relative humidity to hold, as a share.
        fans: Power of the fans whose heat stays in the air [W].
        shell_area: Area of walls, ceiling and floor that let heat through [m²].
        shell_resistance: Thermal resistance of the shell [m²K/W].
        surroundings: Temperature round the shell; that of the outdoor air where it is left out [°C].
        activity: What the people do.
        altitude: Height above the sea [m].

    Returns:
        Four cells; NaN where nothing is to be cooled.
    """
    pressure, thin = float(air_pressure(altitude)), float(air_thinness(altitude))
    around = outdoor_temperature if surroundings is None or math.isnan(surroundings) else surroundings
    sensible = (
        people * sensible_heat(activity)
        + equipment
        + lights
        + fans
        + shell_area * (around - room_temperature) / shell_resistance
        + AIR_HEAT_CAPACITY * outdoor_airflow * (outdoor_temperature - room_temperature) * thin
    )
    outside = _humidity_ratio(outdoor_temperature, outdoor_humidity, pressure)
    moisture = outside - _humidity_ratio(room_temperature, room_humidity, pressure)
    vapour = VAPOUR_HEAT * STANDARD_AIR_DENSITY * thin * outdoor_airflow * moisture
    latent = max(people * latent_heat(activity) + vapour, 0.0)
    if sensible <= 0:
        return (math.nan,) * 4
    return sensible + latent, sensible, latent, sensible / (sensible + latent)
