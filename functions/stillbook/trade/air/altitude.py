"""Air at an altitude: its pressure and its density beside those at sea level."""

from __future__ import annotations

from functools import cache
from typing import Annotated, Final

import numpy as np

from stillbook.quantities import ALTITUDE
from stillbook.readers import Floats, Quantity

SEA_LEVEL_PRESSURE: Final = 101_325.0

ALTITUDE_LIMITS: Final = Quantity(ALTITUDE, least=-500, most=9000)
Altitude = Annotated[Floats, ALTITUDE_LIMITS]
OneAltitude = Annotated[float, ALTITUDE_LIMITS]


def air_pressure(altitude: Floats) -> Floats:
    """Pressure of the air [Pa] at an altitude [m]: US Standard Atmosphere 1976."""
    return SEA_LEVEL_PRESSURE * air_thinness(altitude)


def air_thinness(altitude: Floats) -> Floats:
    """Density of room air at an altitude [m] as a share of that at sea level, at the same temperature: p / p₀.

    >>> round(air_thinness(5000 * 0.3048), 3)
    0.832
    """
    if isinstance(altitude, np.ndarray):
        return np.array([_thinness(height) for height in altitude.ravel().tolist()]).reshape(altitude.shape)
    return _thinness(float(altitude))


@cache
def _thinness(altitude: float) -> float:
    from fluids.atmosphere import ATMOSPHERE_1976

    return float(ATMOSPHERE_1976(altitude).P / ATMOSPHERE_1976(0).P)
