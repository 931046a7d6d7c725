"""What people give a room by what they do: carbon dioxide, heat that warms the air, and moisture."""

from __future__ import annotations

from typing import Annotated, Final

import numpy as np

from stillbook.quantities import COUNT, TEMPERATURE
from stillbook.readers import Choice, Floats, Quantity
from stillbook.tables import table
from stillbook.trade.air.altitude import air_pressure
from stillbook.trade.physics.constants import BTU_PER_HOUR

CO2_PER_MET: Final = 0.0040e-3
"""Carbon dioxide a person breathes out [m³/s per met] at 273 K and 101 kPa: men of 21 to 30 years, the highest of the
adult groups. Persily & de Jonge, Indoor Air 27 (2017) 868-879."""
_TABLE_TEMPERATURE: Final = 273.0
_TABLE_PRESSURE: Final = 101_000.0
"""The state of the air in which that volume is stated [K] and [Pa]."""

_KELVIN: Final = 273.15
ROOM_TEMPERATURE: Final = (70.0 - 32.0) / 1.8
"""Temperature of standard air, 70 °F [°C]."""

_ACTIVITIES: Final = {row["activity"]: row for row in table("activities")}
_METS: Final = {activity: float(row["met"]) for activity, row in _ACTIVITIES.items()}

PEOPLE: Final = Quantity(COUNT, above=0, most=10_000)
PEOPLE_OR_NONE: Final = Quantity(COUNT, least=0, most=10_000)
People = Annotated[Floats, PEOPLE]
Activity = Annotated[str, Choice(*_ACTIVITIES)]
RoomTemperature = Annotated[Floats, Quantity(TEMPERATURE, least=0, most=50)]


def co2_generation(people: Floats, activity: str, temperature: Floats, altitude: Floats) -> Floats:
    """Carbon dioxide people breathe out [ppm m³/s], by the volume that it fills in the air of the room.

    G = 10⁶ n M g (T / 273 K) (101 kPa / p), with n people, M the met of the activity, g the rate for one met at 273 K
    and 101 kPa, T the temperature and p the pressure of the room.

    >>> round(float(co2_generation(1, "office work", 20.0, 0.0)) / (1e6 * CO2_PER_MET * 1.2), 4)
    1.0704
    """
    state = (np.asarray(temperature) + _KELVIN) / _TABLE_TEMPERATURE * _TABLE_PRESSURE / air_pressure(altitude)
    found: Floats = 1e6 * people * CO2_PER_MET * _METS[activity] * state
    return found


def sensible_heat(activity: str) -> float:
    """Heat a person gives the air [W]."""
    return float(_ACTIVITIES[activity]["sensible_btu_h"]) * BTU_PER_HOUR


def latent_heat(activity: str) -> float:
    """Heat a person gives off as moisture [W]."""
    return float(_ACTIVITIES[activity]["latent_btu_h"]) * BTU_PER_HOUR
