"""Sound that the air makes where a branch leaves a main duct."""

from __future__ import annotations

import math
from typing import Annotated, Final

import numpy as np

from stillbook.cells import OutOfRange
from stillbook.formula import formula
from stillbook.quantities import NUMBER
from stillbook.readers import Quantity
from stillbook.trade.ducts.sizes import MOST_VELOCITY, TOO_FAST, OneAirflow, section_area
from stillbook.trade.physics.sound import Spectrum, SpectrumResult, decibels, heard
from stillbook.trade.quiet_path.duct_sound import FREQUENCIES, OtherSide, Side

_DRAWN: Final = 0.2
"""Largest rounding over diameter for which the guideline's figure is drawn."""


def junction_power(diameter: float, speed: float, approach: float, rounding: float | None) -> Spectrum:
    """Sound power by octave of a branch, or of a bend, where both speeds are one and no rounding counts [dB re 1 pW].

    Args:
        diameter: Diameter of the branch, or of the round duct of its area [m].
        speed: Velocity in the branch [m/s].
        approach: Velocity in the main duct before the branch [m/s].
        rounding: Radius of the edge over the diameter; None leaves its correction out, as for a bend.

    Raises:
        OutOfRange: If the Strouhal number of the lowest octave is not above 1, where the equation ends.
    """
    strouhal = FREQUENCIES * diameter / speed
    if strouhal[0] <= 1:
        raise OutOfRange("the air is too fast for so small a branch: the equation ends at a Strouhal number of 1")
    log = np.log10(strouhal)
    own = 12 - 21.5 * log**1.268 + (32 + 13 * log) * math.log10(approach / speed)
    edge = 0.0 if rounding is None else 13.9 * (3.43 - log) * (0.15 - rounding)
    power = own + decibels(FREQUENCIES / math.sqrt(2)) + 30 * math.log10(diameter) + 50 * math.log10(speed) + edge
    return np.asarray(power)


@formula(
    "JUNCTIONNOISE",
    family="Quiet air path",
    summary="Sound power that the air makes where it turns off into a branch, by octave, 63 to 8000 Hz",
    example=(
        "STILL_JUNCTIONNOISE(100,6,0,200,8)",
        (
            22.0700116581817,
            17.2097732846585,
            11.553444046936,
            5.30196483836694,
            -1.45136681827793,
            -8.6419251092212,
            -16.2219010415467,
            -24.1542820290101,
        ),
    ),
    source="VDI 2081 Part 1:2001, eq. 18 with figures 17 and 18",
    vectorised=False,
)
def junction_noise(
    airflow: OneAirflow,
    width: Side,
    height: OtherSide | None,
    main_airflow: OneAirflow,
    main_width: Side,
    main_height: OtherSide | None = None,
    rounding: Annotated[float, Quantity(NUMBER, least=0, most=_DRAWN)] = 0.0,
) -> SpectrumResult:
    """Give the sound power that runs into the branch [dB re 1 pW]. It goes on from there: no element before it helps.

    12 - 21.5 (lg St)^1.268 + (32 + 13 lg St) lg(vₘ / v) + 10 lg(f / √2) + 30 lg d + 50 lg v + K, with the Strouhal
    number St = f d / v, velocity v and diameter d of the branch, the velocity vₘ in the main duct before it, and the
    correction K = 13.9 (3.43 - lg St)(0.15 - r / d) for the radius r of the edge. d is that of the round duct of the
    branch's area. A sharp edge makes up to 7 dB more than one rounded by 0.15 d.

    Fast air in the main duct past a slow branch is the loud case. For an elbow take STILL_AIRFLOWNOISE.

    Args:
        airflow: Air into the branch [m³/s].
        width: Clear width of the branch, or its diameter [m].
        height: Clear height of the branch, blank or 0 for a round one [m].
        main_airflow: Air in the main duct before the branch [m³/s].
        main_width: Clear width of the main duct, or its diameter [m].
        main_height: Clear height of the main duct, blank or 0 for a round one [m].
        rounding: Radius of the edge over the diameter of the branch; 0 for a sharp edge.

    Raises:
        OutOfRange: If the branch takes more air than there is, the air is faster than any duct carries, or too fast for
            so small a branch.
    """
    if airflow > main_airflow * (1 + 1e-9):
        raise OutOfRange("the branch takes more air than the main duct has before it: check the two airflows")
    area = float(section_area(width, height))
    speed, approach = airflow / area, main_airflow / float(section_area(main_width, main_height))
    if max(speed, approach) > MOST_VELOCITY:
        raise OutOfRange(f"the air is {TOO_FAST}")
    return heard(junction_power(math.sqrt(4 * area / math.pi), speed, approach, rounding))
