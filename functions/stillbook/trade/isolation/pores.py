"""Sound through the open pores of a leaf, such as lightweight block that neither paint nor plaster seals."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from stillbook.trade.physics.sound import (
    ADIABATIC_INDEX,
    AIR_DENSITY,
    AIR_IMPEDANCE,
    SPEED_OF_SOUND,
    Spectrum,
    decibels,
)

_POINTS, _WEIGHTS = np.polynomial.legendre.leggauss(48)

_COSINES: Final = (_POINTS + 1) / 2
"""Cosines of the angles of incidence; a diffuse field weighs each by itself."""

_MOST: Final = 100.0
"""Attenuation within the pores, in nepers, from where it only overflows."""


@dataclass(frozen=True, slots=True)
class Pores:
    """Open pores across a leaf: resistance to a flow of air [Pa·s/m], share of the volume, and depth [m].

    The resistance is of the whole leaf, what ISO 9053 calls the specific airflow resistance.
    """

    resistance: float
    porosity: float
    depth: float


def fluid(resistivity: float, porosity: float, angular: Spectrum) -> tuple[npt.NDArray[np.complex128], float]:
    """The air in a porous body at rest as a fluid of its own: density ρ/φ + σ/jω [kg/m³] and isothermal modulus [Pa].

    Source: Zwikker and Kosten 1949, Rayleigh's model.

    Args:
        resistivity: Airflow resistivity σ [Pa·s/m²].
        porosity: Share φ of the volume that the air fills.
        angular: Angular frequencies ω [rad/s].
    """
    density = AIR_DENSITY / porosity + resistivity / (1j * angular)
    return np.asarray(density, dtype=np.complex128), AIR_DENSITY * SPEED_OF_SOUND**2 / ADIABATIC_INDEX / porosity


def pore_loss(pores: Pores, frequency: Spectrum) -> Spectrum:
    """Transmission loss through the air in a leaf's pores, its frame at rest, for sound from all sides [dB].

    A slab of a fluid with the density ρ/φ + σ/jω and the bulk modulus P/φ, isothermal, with the airflow resistivity σ
    and the porosity φ: Rayleigh's model, after Zwikker and Kosten 1949. It takes sound in locally, whatever its
    angle: 1/τ = |cosh γd + (ζ + 1/ζ) sinh γd / 2|² with ζ = Z cos θ / ρc, averaged over the angles (Allard and Atalla,
    Propagation of Sound in Porous Media). At low frequencies it is a sheet of the resistance R: 1/τ = |1 + ζ / 2|² with
    ζ = R cos θ / ρc.
    """
    angular = 2 * np.pi * frequency
    density, modulus = fluid(pores.resistance / pores.depth, pores.porosity, angular)
    across = 1j * angular * np.sqrt(density / modulus) * pores.depth
    across = across * np.minimum(1.0, _MOST / across.real)
    impedance = np.sqrt(density * modulus)[:, None] / AIR_IMPEDANCE * _COSINES
    passed = np.cosh(across)[:, None] + (impedance + 1 / impedance) * np.sinh(across)[:, None] / 2
    return np.asarray(-decibels(np.average(np.abs(passed) ** -2, axis=1, weights=_WEIGHTS * _COSINES)))
