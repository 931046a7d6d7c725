"""Sound that moving air makes by itself in ducts, elbows, dampers and grilles: the noise floor of a path."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Annotated, Final

import numpy as np

from stillbook.cells import Missing, OutOfRange
from stillbook.formula import formula
from stillbook.quantities import NUMBER
from stillbook.readers import Choice, Quantity
from stillbook.trade.ducts.fans import MOST_PRESSURE
from stillbook.trade.ducts.sizes import MOST_VELOCITY, TOO_FAST, OneAirflow, section_area
from stillbook.trade.physics.constants import FOOT, FPM
from stillbook.trade.physics.sound import AIR_DENSITY, Spectrum, SpectrumResult, decibels, heard
from stillbook.trade.quiet_path.duct_sound import FREQUENCIES, OtherSide, Side, is_round

_PER_FOOT: Final = 107.0
"""Turns 50 log of a velocity in fpm and 10 log of a frequency into those in ft/s and relative to 63 Hz [dB]."""

_GRILLE_PEAK: Final = 160.0
"""Frequency of a grille's loudest band over the velocity of the air [Hz s/m]."""

_GRILLE_BELOW, _GRILLE_ABOVE = 3.0, 5.0
"""How a grille's noise falls below and above its loudest band [dB an octave]."""


def _duct(speed: float, area: float) -> Spectrum:
    """Straight duct: VDI 2081."""
    total = 7 + 50 * math.log10(speed) + 10 * math.log10(area)
    return total - 2 - 26 * np.log10(1.14 + 0.02 * FREQUENCIES / speed)


def _from_strouhal(spectrum: Spectrum, speed: float, area: float, across: float) -> Spectrum:
    """The common form of the elbow and damper equations; SI in, feet within."""
    level = spectrum + decibels(FREQUENCIES) + 50 * math.log10(speed / FPM) - _PER_FOOT
    return np.asarray(level + decibels(area / FOOT**2) + decibels(across / FOOT))


def _elbow(speed: float, area: float, *, sharp: bool) -> Spectrum:
    """Elbow without vanes; a sharp inside corner is louder than a rounded one."""
    across = math.sqrt(4 * area / math.pi)
    strouhal = np.log10(FREQUENCIES * across / speed)
    corner = np.maximum(6.793 - 1.86 * strouhal, 0.0) if sharp else 0.0
    return _from_strouhal(-9.22 - 16.48 * strouhal - 5.05 * strouhal**2 + corner, speed, area, across)


def constricted_speed(speed: float, loss_coefficient: float) -> float:
    """Velocity between the blades of a damper, from its loss coefficient in the duct [m/s]."""
    return speed * (1 + math.sqrt(loss_coefficient))


def _damper(speed: float, area: float, across: float, loss_coefficient: float) -> Spectrum:
    jet = constricted_speed(speed, loss_coefficient)
    strouhal = np.log10(FREQUENCIES * across / jet)
    spectrum = np.where(strouhal <= math.log10(25), -36.3 - 10.7 * strouhal, -1.1 - 35.9 * strouhal)
    return _from_strouhal(spectrum, jet, area, across)


def _grille(speed: float, area: float, loss_coefficient: float) -> Spectrum:
    loudest = 10 + 10 * math.log10(area) + 30 * math.log10(loss_coefficient) + 60 * math.log10(speed)
    octaves = np.log2(FREQUENCIES / (_GRILLE_PEAK * speed))
    return loudest + np.where(octaves < 0, _GRILLE_BELOW * octaves, -_GRILLE_ABOVE * octaves)


_PLAIN: Final[dict[str, Callable[[float, float], Spectrum]]] = {
    "duct": _duct,
    "round elbow": lambda speed, area: _elbow(speed, area, sharp=False),
    "square elbow": lambda speed, area: _elbow(speed, area, sharp=True),
}


@formula(
    "AIRFLOWNOISE",
    family="Quiet air path",
    summary="Sound power that the air makes in a duct, elbow, damper or grille by octave, 63 to 8000 Hz",
    example=(
        'STILL_AIRFLOWNOISE(200,8,8,"square elbow")',
        (
            18.5478515756669,
            13.2126629118128,
            6.90543782042288,
            -0.317039759690551,
            -8.45476982852752,
            -17.507752386088,
            -27.475987432372,
            -38.3594749673795,
        ),
    ),
    source="Duct: VDI 2081:2001, eq. 16 and figure 16; grille: Vér and Beranek, 2nd ed., as Long, eq. 13.27 and 13.32; "
    "elbow and damper: Reynolds and Bledsoe, 1991, coefficients from memory",
    vectorised=False,
)
def airflow_noise(
    airflow: OneAirflow,
    width: Side,
    height: OtherSide | None,
    element: Annotated[str, Choice(*_PLAIN, "damper", "grille")],
    loss_coefficient: Annotated[float, Quantity(NUMBER, least=0.01, most=1000)] | None = None,
) -> SpectrumResult:
    """Give the sound power made by the air itself [dB re 1 pW]. It goes on from there: no element before it helps.

    Straight duct: 7 + 50 log v + 10 log S, spread over the octaves by -2 - 26 log(1.14 + 0.02 f/v); v in m/s, S in m².
    Elbow and damper: K + 10 log f + 50 log U + 10 log S + 10 log D - 107 in fpm and feet, with K by the Strouhal number
    f D/U; for a damper U is the velocity between its blades. Grille: 10 + 10 log S + 30 log ξ + 60 log v, taken as the
    level of the loudest octave, which lies near 160 v Hz, 3 dB an octave less below it and 5 dB above.

    Halving the velocity takes off 15 to 18 dB. A take-off counts as a square elbow at its own velocity. The sources
    scatter by 5 dB; a maker's levels for a damper or grille come before these. Levels under -50 dB are given as -50.

    Args:
        airflow: Air through the element [m³/s].
        width: Clear width, or diameter of a round one; of a grille, that of its face [m].
        height: Clear height, blank or 0 for a round one [m].
        element: What the air passes.
        loss_coefficient: For a damper or grille, the maker's pressure loss over the velocity pressure in that area.

    Raises:
        OutOfRange: If the air is faster than any duct carries, or takes more pressure than any fan has.
        Missing: If a damper or grille has no loss coefficient.
    """
    area = float(section_area(width, height))
    speed = airflow / area
    if speed > MOST_VELOCITY:
        raise OutOfRange(f"the air is {TOO_FAST}")
    if element in _PLAIN:
        level = _PLAIN[element](speed, area)
    elif loss_coefficient is None or math.isnan(loss_coefficient):
        raise Missing(f"loss coefficient is blank: a {element} needs its maker's pressure loss over velocity pressure")
    elif AIR_DENSITY / 2 * speed**2 * loss_coefficient > MOST_PRESSURE:
        raise OutOfRange(f"the {element} would take more than 10 kPa (40 in.wg): give a larger one or less air")
    elif element == "grille":
        level = _grille(speed, area, loss_coefficient)
    else:
        across = width if height is None or is_round(height) else height
        level = _damper(speed, area, across, loss_coefficient)
    return heard(level)
