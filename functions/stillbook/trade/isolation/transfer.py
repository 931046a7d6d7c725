"""Leaves and filled cavities as transfer matrices, for sound from all sides: what one leaf more adds to a chain."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from stillbook.trade.isolation.pores import fluid
from stillbook.trade.physics.sound import AIR_IMPEDANCE, SPEED_OF_SOUND, Spectrum, decibels

_FILL: Final = 7000.0
"""Airflow resistivity of batts in a cavity [Pa·s/m²]: glass fibre from 4 000, mineral wool to 12 000; from memory."""

_GRAZING: Final = np.radians(78.0)
"""Angle from which sound no longer meets a wall in a test opening: field incidence, Beranek and Vér."""

_POINTS, _WEIGHTS = np.polynomial.legendre.leggauss(12)

_COSINES: Final = np.cos(_GRAZING * (_POINTS + 1) / 2)
_SHARES: Final = _WEIGHTS * _COSINES * np.sqrt(1 - _COSINES**2) / np.sum(_WEIGHTS * _COSINES * np.sqrt(1 - _COSINES**2))
"""What share of the sound a diffuse field sends at each angle."""


def limp_chain_loss(masses: Sequence[float], depths: Sequence[float], frequency: Spectrum) -> Spectrum:
    """Transmission loss of limp leaves with fibre between them, large against the waves, field incidence [dB].

    Leaf: pressure p becomes p + jωm v. Cavity: p becomes p cos kd + jZ v sin kd, v becomes v cos kd + j p sin kd / Z,
    with the part k of the wavenumber in the fibre that is across it and Z = ωρ / k. The power that passes is averaged
    over the angles.

    Source: Allard and Atalla, Propagation of Sound in Porous Media, 2nd ed. 2009, chapter 11.

    Args:
        masses: Mass per area of each leaf [kg/m²].
        depths: Depth of each cavity, one fewer than the leaves [m].
        frequency: Frequencies, of any shape [Hz].
    """
    angular = 2 * np.pi * np.asarray(frequency, dtype=np.float64)[..., None]
    density, modulus = fluid(_FILL, 1.0, angular)
    along = angular / SPEED_OF_SOUND * np.sqrt(1 - _COSINES**2)
    across = np.sqrt(angular**2 * density / modulus - along**2)
    impedance = angular * density / across
    air = AIR_IMPEDANCE / _COSINES
    pressure = air + 1j * angular * masses[-1]
    velocity = np.ones_like(pressure)
    for mass, depth in zip(masses[-2::-1], depths[::-1], strict=True):
        straight, crossed = np.cos(across * depth), 1j * np.sin(across * depth)
        pressure, velocity = (
            straight * pressure + crossed * impedance * velocity,
            straight * velocity + crossed / impedance * pressure,
        )
        pressure = pressure + 1j * angular * mass * velocity
    passed = np.abs(2 * air / (pressure + air * velocity)) ** 2
    return np.asarray(-decibels(np.sum(passed * _SHARES, axis=-1)))
