"""What the air of a room absorbs, which counts in the high octaves of hard and large rooms."""

from __future__ import annotations

import math
from typing import Annotated, Final

import numpy as np

from stillbook.formula import formula
from stillbook.quantities import ABSORPTION_AREA, SHARE, TEMPERATURE, VOLUME
from stillbook.readers import Quantity
from stillbook.results import Numbers
from stillbook.trade.air.altitude import SEA_LEVEL_PRESSURE, OneAltitude, air_pressure
from stillbook.trade.physics.sound import Spectrum

_ZERO: Final = 273.15
_TRIPLE: Final = 273.16
_REFERENCE: Final = 293.15

EXACT_BANDS: Final[Spectrum] = np.array([10 ** (3 + 0.3 * place) for place in range(-3, 3)])
"""The exact middle of each octave, at which the tables of the standard stand [Hz]."""

_PER_DECIBEL: Final = 10 * math.log10(math.e)


def attenuation(frequency: Spectrum, temperature: float, humidity: float, pressure: float) -> Spectrum:
    """Attenuation of sound in air along its way [dB/m]: ISO 9613-1:1993, equations 3 to 5.

    Args:
        frequency: Frequencies [Hz].
        temperature: Temperature of the air [°C].
        humidity: Relative humidity, as a share.
        pressure: Pressure of the air [Pa].
    """
    kelvin, share = temperature + _ZERO, pressure / SEA_LEVEL_PRESSURE
    warm = kelvin / _REFERENCE
    saturation = 10 ** (-6.8346 * (_TRIPLE / kelvin) ** 1.261 + 4.6151)
    vapour = 100 * humidity * saturation / share
    oxygen = share * (24 + 4.04e4 * vapour * (0.02 + vapour) / (0.391 + vapour))
    nitrogen = share * warm**-0.5 * (9 + 280 * vapour * np.exp(-4.170 * (warm ** (-1 / 3) - 1)))
    relaxing = 0.01275 * np.exp(-2239.1 / kelvin) / (oxygen + frequency**2 / oxygen)
    relaxing = relaxing + 0.1068 * np.exp(-3352.0 / kelvin) / (nitrogen + frequency**2 / nitrogen)
    return np.asarray(8.686 * frequency**2 * (1.84e-11 / share * warm**0.5 + warm**-2.5 * relaxing))


@formula(
    "AIRABSORPTION",
    family="Inside the room",
    summary="Absorption area of the air in a room by octave, 125 to 4000 Hz",
    example=(
        'STILL_AIRABSORPTION("100 m³","20 °C","50 %",0,"SI")',
        (
            0.0410179610816554,
            0.121396718746116,
            0.251761339996826,
            0.42963768301902,
            0.907701305777531,
            2.70961285494561,
        ),
    ),
    source="ISO 9613-1:1993, equations 3 to 5, at the exact middle of each octave",
    vectorised=False,
)
def air_absorption(
    volume: Annotated[float, Quantity(VOLUME, least=0.1, most=1_000_000)],
    temperature: Annotated[float, Quantity(TEMPERATURE, least=-20, most=50)] = 20.0,
    humidity: Annotated[float, Quantity(SHARE, least=0.05, most=1)] = 0.5,
    altitude: OneAltitude = 0.0,
) -> Annotated[Spectrum, Numbers(ABSORPTION_AREA)]:
    """Give the absorption area of the air, to go with the objects of STILL_ROOMABSORPTION and STILL_REVERBERATION [m²].

    A = 4 m V with m = α / (10 log e), the volume V and the attenuation α of the standard [dB/m], which takes the
    relaxation of oxygen and nitrogen by temperature, moisture and pressure.

    Dry air takes more. In a room of a booth's size it is little beside any treatment.

    Args:
        volume: Volume of the room [m³].
        temperature: Temperature of the air [°C].
        humidity: Relative humidity, as a share: 0.5 or 50 %.
        altitude: Height over the sea [m].
    """
    lost = attenuation(EXACT_BANDS, temperature, humidity, float(air_pressure(altitude)))
    return np.asarray(4 * lost / _PER_DECIBEL * volume)
