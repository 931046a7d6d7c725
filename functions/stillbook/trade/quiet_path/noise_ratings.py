"""Single figures for a noise in a room beside NC: A-weighted level, NR and RC Mark II."""

from __future__ import annotations

from typing import Annotated, Final

import numpy as np

from stillbook.formula import formula
from stillbook.quantities import LEVEL, NUMBER
from stillbook.readers import Quantity, Vector
from stillbook.results import Number, SideBySide
from stillbook.trade.physics.noise_criteria import OctaveLevels
from stillbook.trade.physics.sound import BAND_VALUE, Spectrum, SpectrumResult, level_sum, round_half_up

A_WEIGHTING: Final = np.array((-26.2, -16.1, -8.6, -3.2, 0.0, 1.2, 1.0, -1.1))
"""IEC 61672-1:2013, table 3, octaves 63 to 8000 Hz [dB]."""

NR_START: Final = np.array((35.5, 22.0, 12.0, 4.8, 0.0, -3.5, -6.1, -8.0))
NR_STEP: Final = np.array((0.790, 0.870, 0.930, 0.974, 1.0, 1.015, 1.025, 1.030))
"""ISO/R 1996 and AS 1469:1983, table 1: each curve is start + step times its number, octaves 63 to 8000 Hz [dB]."""

_RUMBLE: Final = 5.0
_HISS: Final = 3.0
"""More than this over the RC curve, below and above, is heard as a character of its own: S12.2-2019, Annex D [dB]."""

_LOW_FLOOR: Final = 55.0
"""Least level of the RC curve at 16 and 31.5 Hz [dB]."""

_NOISE: Final = 1e-9

LowLevels = Annotated[Spectrum, Vector(BAND_VALUE, lengths=(2,))]


@formula(
    "ALEVEL",
    family="Quiet air path",
    summary="A-weighted level, dB(A), of a noise by octave, 63 to 8000 Hz",
    example=("STILL_ALEVEL({75,84,86,88,97,99,97,96})", 104.021963239029),
    source="IEC 61672-1:2013, table 3",
    vectorised=False,
)
def a_level(spectrum: OctaveLevels) -> Annotated[float, Number(LEVEL)]:
    """Give the A-weighted level of a noise [dB].

    L = 10 log Σ 10^((Lᵢ + Aᵢ) / 10), with the level Lᵢ and the weight Aᵢ of each octave.

    It says how loud a noise is, and nothing of what kind: a rumble may keep to it and still be the first complaint.

    Args:
        spectrum: Octave-band levels, 63 to 8000 Hz [dB].
    """
    return level_sum(spectrum + A_WEIGHTING)


@formula(
    "NRCURVE",
    family="Quiet air path",
    summary="Levels of an NR curve by octave, 63 to 8000 Hz",
    example=("STILL_NRCURVE(25)", (55.25, 43.75, 35.25, 29.15, 25.0, 21.875, 19.525, 17.75)),
    source="ISO/R 1996, withdrawn; AS 1469:1983, table 1",
    vectorised=False,
)
def nr_curve(number: Annotated[float, Quantity(NUMBER, least=0, most=130)]) -> SpectrumResult:
    """Give the noise rating curve of a number [dB]: L = a + b NR, with a and b of each octave.

    Args:
        number: The NR number.
    """
    return np.asarray(NR_START + NR_STEP * number)


@formula(
    "NRRATING",
    family="Quiet air path",
    summary="NR of a noise: the lowest noise rating curve that no octave band exceeds",
    example=("STILL_NRRATING({55,46,38,33,29,26,22,20})", 29.064039408867),
    source="ISO/R 1996, withdrawn; AS 1469:1983, table 1",
    vectorised=False,
)
def nr_rating(spectrum: OctaveLevels) -> Annotated[float, Number(NUMBER)]:
    """Give the noise rating number with its decimals; round up to state it.

    NR = max (L - a) / b over the octaves, with the level L and the constants a and b of each.

    The 31.5 Hz band of the curves is not asked for: say so where it counts.

    Args:
        spectrum: Octave-band levels, 63 to 8000 Hz [dB].
    """
    return float(np.max((spectrum - NR_START) / NR_STEP))


@formula(
    "RCRATING",
    family="Quiet air path",
    summary="RC Mark II of a noise: its number, beside it whether it rumbles or hisses",
    example=("STILL_RCRATING({64,57,48,41,35,29,21,15})", (35.0, "rumble")),
    source="ANSI/ASA S12.2-2019, Annex D",
    vectorised=False,
)
def rc_rating(
    spectrum: OctaveLevels, low: LowLevels | None = None
) -> Annotated[tuple[float, str], SideBySide(("RC", NUMBER), ("Character", None))]:
    """Give the room criterion number of a noise and its character: neutral, rumble, hiss, or rumble and hiss.

    RC is the mean of the levels at 500, 1000 and 2000 Hz, rounded. The curve falls by 5 dB an octave through RC at
    1000 Hz; at 31.5 Hz and below it is not under 55 dB. It rumbles where an octave up to 500 Hz lies more than 5 dB
    over the curve, and hisses where one from 1000 to 4000 Hz lies more than 3 dB over it.

    This is the form of the standard. The handbook of ventilation engineers has another, by a quality index, without the
    floor of 55 dB: the two may differ.

    Args:
        spectrum: Octave-band levels, 63 to 8000 Hz; that at 8000 Hz is not judged [dB].
        low: Levels at 16 and 31.5 Hz; rumble there is not judged when left out [dB].
    """
    number = round_half_up(float(np.mean(spectrum[3:6])))
    over = spectrum[:7] - (number - 5 * np.arange(-4, 3))
    below = over[:4]
    if low is not None:
        below = np.concatenate([low - max(number + 25, _LOW_FLOOR), below])
    heard = [
        word
        for word, part, most in (("rumble", below, _RUMBLE), ("hiss", over[4:], _HISS))
        if (part > most + _NOISE).any()
    ]
    return number, " and ".join(heard) or "neutral"
