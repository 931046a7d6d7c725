"""Moisture in the air: where it condenses, what people add to it, and what a recovery ventilator hands on."""

from __future__ import annotations

import math
from types import ModuleType
from typing import Annotated, Final

from stillbook.formula import formula
from stillbook.quantities import CONDUCTIVITY, LENGTH, SHARE, TEMPERATURE, THERMAL_RESISTANCE
from stillbook.readers import Quantity
from stillbook.results import Number, SideBySide
from stillbook.trade.air.airflow import SOME_AIRFLOW
from stillbook.trade.air.altitude import OneAltitude, air_pressure, air_thinness
from stillbook.trade.air.people import PEOPLE_OR_NONE, Activity, latent_heat
from stillbook.trade.physics.constants import BTU_PER_HOUR, POUND, STANDARD_AIR_DENSITY

VAPOUR_HEAT: Final = 1076 * BTU_PER_HOUR * 3600 / POUND
"""Heat that goes with water vapour at skin and room temperature [J/kg]: 1076 Btu/lb."""

Temperature = Annotated[float, Quantity(TEMPERATURE, least=-40, most=60)]
Humidity = Annotated[float, Quantity(SHARE, least=0.001, most=1)]


def _moist_air() -> ModuleType:
    """The library of moist air, set to SI at every use, for its unit system is one for the whole program."""
    import psychrolib

    psychrolib.SetUnitSystem(psychrolib.SI)
    return psychrolib  # type: ignore[no-any-return]


@formula(
    "DEWPOINT",
    family="Air",
    summary="Temperature at which air of a relative humidity begins to wet a surface",
    example=('STILL_DEWPOINT(70,"50 %")', 50.5283230927704),
    source="ASHRAE saturation pressure (Hyland and Wexler 1983), as in psychrolib",
    vectorised=False,
)
def dew_point(temperature: Temperature, humidity: Humidity) -> Annotated[float, Number(TEMPERATURE)]:
    """Give the dew point [°C]; below freezing, the point at which frost begins: p_s(T_d) = φ p_s(T), with p_s
    saturation.

    A duct that brings in outdoor air, the box it runs through and the shell round both must be warmer than this where
    room air touches them, or be insulated and sealed against vapour.

    Args:
        temperature: Temperature of the air [°C].
        humidity: Relative humidity, as a share: 0.5 or 50 %.
    """
    return float(_moist_air().GetTDewPointFromRelHum(temperature, humidity))


@formula(
    "DRYTHICKNESS",
    family="Air",
    summary="Thickness of insulation at which cold ducts and boxes stay dry on the outside",
    example=('STILL_DRYTHICKNESS("12 °C","30 °C","80 %","0.04 W/m/K","0.125 m²·K/W","SI")', 18.4900666049503),
    source="Heat balance of a flat layer, as in ISO 12241; dew point by psychrolib",
    no_answer="the air round the duct is saturated: no thickness keeps it dry",
    vectorised=False,
)
def dry_thickness(
    inside: Temperature,
    temperature: Temperature,
    humidity: Humidity,
    conductivity: Annotated[float, Quantity(CONDUCTIVITY, least=0.005, most=5)],
    surface_resistance: Annotated[float, Quantity(THERMAL_RESISTANCE, least=0.01, most=1)],
) -> Annotated[float, Number(LENGTH)]:
    """Give the least thickness of insulation on a flat wall so that its surface is no colder than the dew point [m].

    d = λ R (θ_d - θ_i) / (θ_a - θ_d), not below 0, with the conductivity λ, the resistance R of the surface to the room
    air, the dew point θ_d and temperature θ_a of that air, and the temperature θ_i inside.

    It holds where no vapour reaches the cold wall: joints and ends are sealed against it. On pipes and small round
    ducts a little less will do. Add to it where air stands still in corners.

    Args:
        inside: Temperature of the air in the duct or box [°C].
        temperature: Temperature of the air round it [°C].
        humidity: Relative humidity of that air, as a share: 0.8 or 80 %.
        conductivity: Thermal conductivity of the insulation [W/(m K)].
        surface_resistance: Resistance of its surface to the air: bright foil in still air holds more, and takes more
            thickness, than a dull one [m² K/W].

    Returns:
        The thickness; NaN where the air is saturated.
    """
    dew = dew_point(temperature, humidity)
    if dew >= temperature:
        return math.nan
    return max(conductivity * surface_resistance * (dew - inside) / (temperature - dew), 0.0)


@formula(
    "ROOMHUMIDITY",
    family="Air",
    summary="Relative humidity a room settles at with the moisture of its people",
    example=('STILL_ROOMHUMIDITY(1,15,70,"50 %",75)', 0.536326436881172),
    source="Moisture balance of a well-mixed room; ASHRAE Handbook-Fundamentals, heat of occupants; 1076 Btu/lb",
    no_answer="the room would be wetter than air can be: give more airflow",
    vectorised=False,
)
def room_humidity(
    people: Annotated[float, PEOPLE_OR_NONE],
    airflow: Annotated[float, SOME_AIRFLOW],
    supply_temperature: Temperature,
    supply_humidity: Humidity,
    room_temperature: Temperature,
    altitude: OneAltitude = 0.0,
    activity: Activity = "office work",
) -> Annotated[float, Number(SHARE)]:
    """Give the relative humidity of the room as a share, once it has settled.

    w = wₛ + n h / (r ρ Q), and the relative humidity of w at the temperature of the room: wₛ is the humidity ratio of
    the supply air, n people, h what one gives off as moisture, r = 1076 Btu/lb, ρ the density of the air and Q the
    airflow. Singing and playing give far more than sitting. What walls and lining soak up is left out: it delays the
    rise and does not lower it.

    Args:
        people: People in the room.
        airflow: Air through the room [m³/s].
        supply_temperature: Temperature of the supply air [°C].
        supply_humidity: Relative humidity of the supply air, as a share.
        room_temperature: Temperature of the room [°C].
        altitude: Height above the sea [m].
        activity: What the people do.
    """
    moist_air = _moist_air()
    pressure = float(air_pressure(altitude))
    density = STANDARD_AIR_DENSITY * float(air_thinness(altitude))
    ratio = moist_air.GetHumRatioFromRelHum(supply_temperature, supply_humidity, pressure)
    ratio += people * latent_heat(activity) / (VAPOUR_HEAT * density * airflow)
    if ratio > moist_air.GetSatHumRatio(room_temperature, pressure):
        return math.nan
    return float(moist_air.GetRelHumFromHumRatio(room_temperature, ratio, pressure))


@formula(
    "RECOVERYAIR",
    family="Air",
    summary="Supply air behind a recovery ventilator, its exhaust, whether water condenses, and total effectiveness",
    example=(
        'STILL_RECOVERYAIR(20,"80 %",70,"40 %",0.75)',
        (57.5, 0.172325073853927, 32.5, "frost", 0.532857716049033),
    ),
    source="Effectiveness as in ASHRAE 84 and AHRI 1060, equal airflows; moist air by psychrolib",
    vectorised=False,
)
def recovery_air(
    outdoor_temperature: Temperature,
    outdoor_humidity: Humidity,
    room_temperature: Temperature,
    room_humidity: Humidity,
    sensible: Annotated[float, Quantity(SHARE, above=0, below=1)],
    latent: Annotated[float, Quantity(SHARE, least=0, below=1)] = 0.0,
    altitude: OneAltitude = 0.0,
) -> Annotated[
    tuple[float | str, ...],
    SideBySide(
        ("Supply temperature", TEMPERATURE),
        ("Supply humidity", SHARE),
        ("Exhaust temperature", TEMPERATURE),
        ("Condensation", None),
        ("Total effectiveness", SHARE),
    ),
]:
    """Give the supply temperature [°C] and relative humidity, the exhaust temperature [°C], a word and a share.

    Tₛ = Tₒ + e (Tᵣ - Tₒ) and wₛ = wₒ + l (wᵣ - wₒ), the exhaust Tᵣ - e (Tᵣ - Tₒ), and the share (hₛ - hₒ) / (hᵣ - hₒ):
    T temperature, w humidity ratio, h enthalpy, e and l the effectiveness; o outdoors, r room, s supply.

    The word is "dry", "condenses" or "frost". The core is coldest where the exhaust leaves it: there it stands half
    way between the exhaust and the outdoor air coming in. Where that is below the dew point of the exhaust, water
    condenses and needs a drain; where it is also below freezing, the core frosts up and needs defrosting or preheating.
    In hot damp weather the supply side is looked at in the same way. The share is the total effectiveness in this
    weather, of heat and moisture together. Equal airflows both ways, no heat from the fans, no leakage across.

    Args:
        outdoor_temperature: Temperature outdoors [°C].
        outdoor_humidity: Relative humidity outdoors, as a share.
        room_temperature: Temperature of the air drawn from the room [°C].
        room_humidity: Relative humidity of that air, as a share.
        sensible: The maker's sensible effectiveness, as a share.
        latent: The maker's latent effectiveness, or moisture transfer, as a share; 0 for a core that hands on none.
        altitude: Height above the sea [m].
    """
    moist_air = _moist_air()
    pressure = float(air_pressure(altitude))
    outdoor = moist_air.GetHumRatioFromRelHum(outdoor_temperature, outdoor_humidity, pressure)
    room = moist_air.GetHumRatioFromRelHum(room_temperature, room_humidity, pressure)
    warmed, dampened = sensible * (room_temperature - outdoor_temperature), latent * (room - outdoor)
    supply_temperature, supply = outdoor_temperature + warmed, outdoor + dampened
    exhaust_temperature, exhaust = room_temperature - warmed, room - dampened
    if outdoor_temperature <= room_temperature:
        coldest, moisture = (exhaust_temperature + outdoor_temperature) / 2, exhaust
    else:
        coldest, moisture = (supply_temperature + room_temperature) / 2, supply
    wet = moisture > moist_air.GetSatHumRatio(coldest, pressure)
    before, after, most = (
        moist_air.GetMoistAirEnthalpy(temperature, ratio)
        for temperature, ratio in (
            (outdoor_temperature, outdoor),
            (supply_temperature, supply),
            (room_temperature, room),
        )
    )
    return (
        supply_temperature,
        min(1.0, moist_air.GetRelHumFromHumRatio(supply_temperature, supply, pressure)),
        exhaust_temperature,
        "dry" if not wet else "frost" if coldest < 0 else "condenses",
        (after - before) / (most - before) if most != before else math.nan,
    )
