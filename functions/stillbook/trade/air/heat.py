"""Heat of a room: what people, equipment and lights give it, and the air and shell that carry it away."""

from __future__ import annotations

from typing import Annotated, Final

import numpy as np

from stillbook.formula import formula
from stillbook.quantities import (
    AIRFLOW,
    AREA,
    ELECTRIC_POWER,
    HEAT,
    TEMPERATURE_DIFFERENCE,
    THERMAL_RESISTANCE,
)
from stillbook.readers import Floats, Quantity
from stillbook.results import Number
from stillbook.trade.air.airflow import Airflow
from stillbook.trade.air.altitude import Altitude, air_thinness
from stillbook.trade.air.people import PEOPLE_OR_NONE, Activity, sensible_heat
from stillbook.trade.physics.constants import BTU_PER_HOUR, CFM, FAHRENHEIT_DEGREE

AIR_HEAT_CAPACITY: Final = 1.08 * BTU_PER_HOUR / (CFM * FAHRENHEIT_DEGREE)
"""Heat that standard air carries [J/m³K]: 0.075 lb/ft³ of 0.24 Btu/lb°F."""

MOST_RISE: Final = 60.0
"""Greatest rise that is given [K]: beyond it nobody can be in the room, and its air is no longer standard air."""

POWER: Final = Quantity(ELECTRIC_POWER, least=0, most=1_000_000)
Power = Annotated[Floats, POWER]
RoomHeat = Annotated[Floats, Quantity(HEAT, above=0, most=10_000_000)]
ShellArea = Annotated[Floats, Quantity(AREA, least=0, most=100_000)]
ShellResistance = Annotated[Floats, Quantity(THERMAL_RESISTANCE, least=0.05, most=50)]


@formula(
    "HEATGAIN",
    family="Air",
    summary="Heat that people, equipment and lights give a room",
    example=("STILL_HEATGAIN(1,150,0)", 756.8212449691912),
    source="ASHRAE Handbook-Fundamentals, heat given off by occupants, by activity; all power stays as heat",
    no_answer="nothing gives heat: give people, equipment or lights",
)
def heat_gain(
    people: Annotated[Floats, PEOPLE_OR_NONE],
    equipment: Power,
    lights: Power,
    activity: Activity = "office work",
) -> Annotated[Floats, Number(HEAT)]:
    """Give the heat that warms the air of a room [W]: of its people by what they do, and all power drawn inside.

    P = n h + E + L, with n people, h the sensible heat of one, E the equipment and L the lights. h is 245 Btu/h seated
    at light work and 580 at the drums. A person also gives off moisture, 155 and 870 Btu/h of it, which adds to the
    humidity and not to the temperature. Heat that walls store is left out.

    Args:
        people: People in the room.
        equipment: Power the equipment draws while in use [W].
        lights: Power the lights draw [W].
        activity: What the people do.
    """
    heat = people * sensible_heat(activity) + equipment + lights
    return np.where(np.asarray(heat) > 0, heat, np.nan)[()]


@formula(
    "TEMPERATURERISE",
    family="Air",
    summary="How much warmer than the supply air a room becomes, with air and shell to carry its heat",
    example=('STILL_TEMPERATURERISE("245 Btu/h",15)', 15.123456790123456),
    source="Standard air, 0.075 lb/ft³ and 0.24 Btu/lb°F (1.08 Btu/h per cfm and °F); US Standard Atmosphere 1976",
    no_answer="the room would be more than 60 K (108 °F) warmer, beyond what this balance holds for: cool it, move "
    "more air, or take heat out of it",
)
def temperature_rise(
    heat: RoomHeat,
    airflow: Airflow,
    altitude: Altitude = 0.0,
    shell_area: ShellArea = 0.0,
    shell_resistance: ShellResistance = 2.0,
) -> Annotated[Floats, Number(TEMPERATURE_DIFFERENCE)]:
    """Give the rise of the room air above the supply air [K], once it has settled.

    ΔT = P / (c Q p / p₀ + A / R), with P the heat, c = 1.08 Btu/h per cfm and °F, Q the airflow, p / p₀ the thinness of
    the air, A the area of the shell and R its resistance. The space around the shell is taken to be as warm as the
    supply air. Without a shell area the air alone carries the heat.

    The airflow that people need does not cool a room: one person and 150 W of equipment give 757 Btu/h, and 15 cfm
    lets that warm the room by 47 °F. Size the air by STILL_COOLINGAIRFLOW too, or cool the room by other means.

    >>> round(float(temperature_rise(757 * BTU_PER_HOUR, 15 * CFM)) / FAHRENHEIT_DEGREE)
    47

    Args:
        heat: Heat that is to be carried away [W].
        airflow: Air through the room [m³/s].
        altitude: Height above the sea; thin air carries less [m].
        shell_area: Area of walls, ceiling and floor that let heat through [m²].
        shell_resistance: Thermal resistance of the shell, the R of its build-up, 1 over its U-value [m²K/W].
    """
    through = np.asarray(shell_area) / shell_resistance
    rise = heat / (airflow * AIR_HEAT_CAPACITY * air_thinness(altitude) + through)
    return np.where(rise <= MOST_RISE, rise, np.nan)[()]


@formula(
    "COOLINGAIRFLOW",
    family="Air",
    summary="Airflow that carries a heat away at a given temperature rise",
    example=('STILL_COOLINGAIRFLOW("1080 Btu/h",10)', 100.0),
    source="Standard air, 0.075 lb/ft³ and 0.24 Btu/lb°F (1.08 Btu/h per cfm and °F); US Standard Atmosphere 1976",
)
def cooling_airflow(
    heat: RoomHeat,
    rise: Annotated[Floats, Quantity(TEMPERATURE_DIFFERENCE, above=0, most=MOST_RISE)],
    altitude: Altitude = 0.0,
) -> Annotated[Floats, Number(AIRFLOW)]:
    """Give the airflow that holds a room at a given rise above its supply air [m³/s].

    Q = P / (c ΔT p / p₀), symbols as for STILL_TEMPERATURERISE. What goes through the shell is left out, on the safe
    side.

    Args:
        heat: Heat that the air must carry [W].
        rise: Rise of the room above the supply air that can be borne [K].
        altitude: Height above the sea; thin air carries less [m].
    """
    return heat / (rise * AIR_HEAT_CAPACITY * air_thinness(altitude))
