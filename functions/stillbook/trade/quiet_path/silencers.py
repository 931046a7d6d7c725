"""The sound that a silencer makes by itself: its maker's at another airflow and size, or an estimate without one."""

from __future__ import annotations

import math
from typing import Annotated, Final

import numpy as np

from stillbook.cells import OutOfRange
from stillbook.formula import formula
from stillbook.quantities import AIR_SPEED, COUNT, LENGTH, SMALL_AREA
from stillbook.readers import Quantity
from stillbook.trade.ducts.sizes import MOST_VELOCITY, TOO_FAST, OneAirflow, section_area
from stillbook.trade.physics.sound import SpectrumResult, decibels, heard
from stillbook.trade.quiet_path.duct_sound import OtherSide, Side
from stillbook.trade.quiet_path.duct_walls import OctaveLevels

BY_SPEED: Final = 55.0
"""What the noise of a silencer rises by the logarithm of the velocity [dB]: Fry 1988, as in Long, eq. 14.31."""

_RATED_FACE: Final = 0.36
"""Face of the silencers that makers measure, 600 by 600 mm [m²]: Long, at eq. 14.31."""

_FARTHEST: Final = 4.0
"""Times faster or slower than measured beyond which a maker's level is not moved; common practice, no source."""

_BELOW_WHOLE: Final = np.array([4.0, 4.0, 6.0, 8.0, 13.0, 18.0, 23.0, 28.0])
"""What the octaves lie below the whole level [dB]: Fry 1988, as in Long, table 14.8."""


def _checked(speed: float) -> float:
    if speed > MOST_VELOCITY:
        raise OutOfRange(f"the air is {TOO_FAST}")
    return speed


@formula(
    "SILENCERNOISE",
    family="Quiet air path",
    summary="A maker's self-noise of a silencer at another airflow and face, by octave, 63 to 8000 Hz",
    example=(
        'STILL_SILENCERNOISE({50,48,45,42,40,36,30,25},1000,400,12,12,"0.36 m²")',
        (
            22.2305737687163,
            20.2305737687163,
            17.2305737687163,
            14.2305737687163,
            12.2305737687163,
            8.23057376871632,
            2.23057376871632,
            -2.76942623128368,
        ),
    ),
    source="Fry 1988, as in Long, Architectural Acoustics, 2nd ed., eq. 14.31: 55 log of velocity, 10 log of face area",
    vectorised=False,
)
def silencer_noise(
    levels: OctaveLevels,
    rated_velocity: Annotated[float, Quantity(AIR_SPEED, above=0, most=MOST_VELOCITY)],
    airflow: OneAirflow,
    width: Side,
    height: OtherSide | None = None,
    rated_face: Annotated[float, Quantity(SMALL_AREA, least=0.001, most=10)] = _RATED_FACE,
) -> SpectrumResult:
    """Give the sound power that the air makes in a silencer [dB re 1 pW]. It goes on from there: add it behind it.

    L + 55 log(v / v₀) + 10 log(S / S₀), with the maker's level L at the face velocity v₀ on a face of area S₀, and the
    face velocity v and area S of this one. Halving the velocity takes off 17 dB. Insertion loss does not change much at
    such velocities: take the maker's, at the velocity and direction that he states, as a row of the path.

    Makers state the power by octave at one or more velocities (ISO 7235, ASTM E477). Take the nearest; beyond four
    times it no level is given. Length, gaps and lining are as measured.

    Args:
        levels: The maker's octave-band sound powers, 63 to 8000 Hz [dB].
        rated_velocity: Face velocity at which they were measured, airflow over the whole face [m/s].
        airflow: Air through this silencer [m³/s].
        width: Width of its face, or diameter of a round one [m].
        height: Height of its face, blank or 0 for a round one [m].
        rated_face: Face on which they were measured; 600 x 600 mm is usual [m²].

    Raises:
        OutOfRange: If the air is faster than any duct carries, or more than four times off the velocity measured.
    """
    face = float(section_area(width, height))
    speed = _checked(airflow / face)
    if not 1 / _FARTHEST <= speed / rated_velocity <= _FARTHEST:
        raise OutOfRange("the air is more than four times off the velocity measured: take levels measured nearer to it")
    return heard(levels + BY_SPEED * math.log10(speed / rated_velocity) + decibels(face / rated_face))


@formula(
    "SPLITTERNOISE",
    family="Quiet air path",
    summary="Self-noise of a splitter silencer by octave, 63 to 8000 Hz, where the maker gives none",
    example=(
        "STILL_SPLITTERNOISE(1200,4,12,2)",
        (
            31.7129415396128,
            31.7129415396128,
            29.7129415396128,
            27.7129415396128,
            22.7129415396128,
            17.7129415396128,
            12.7129415396128,
            7.71294153961284,
        ),
    ),
    source="Fry 1988, as in Long, Architectural Acoustics, 2nd ed., eq. 14.31 and table 14.8",
    vectorised=False,
)
def splitter_noise(
    airflow: OneAirflow,
    gap: Annotated[float, Quantity(LENGTH, least=0.005, most=2)],
    height: Annotated[float, Quantity(LENGTH, least=0.01, most=10)],
    gaps: Annotated[float, Quantity(COUNT, least=1, most=100)] = 1.0,
) -> SpectrumResult:
    """Give the sound power that the air makes between the splitters [dB re 1 pW].

    55 log v + 10 log n + 10 log H - 45, less 4, 4, 6, 8, 13, 18, 23 and 28 dB in the octaves; v is the velocity in the
    gaps in m/s, n their number and H their height in mm. Of a round silencer take its one gap as n = 1, the inner
    circumference as H and the width that gives the clear area. The guideline VDI 2081 gives 5 dB(A) more for one worked
    silencer: a maker's levels go before both, see STILL_SILENCERNOISE.

    Args:
        airflow: Air through the silencer [m³/s].
        gap: Clear width between two splitters [m].
        height: Height of the gaps [m].
        gaps: How many gaps the air has.

    Raises:
        OutOfRange: If the air in the gaps is faster than any duct carries.
    """
    speed = _checked(airflow / (gap * height * gaps))
    whole = BY_SPEED * math.log10(speed) + 10 * math.log10(gaps) + 10 * math.log10(height * 1000) - 45
    return heard(whole - _BELOW_WHOLE)
