"""Sound levels in octave bands: their sum, and the NC curves."""

from __future__ import annotations

from typing import Annotated

import numpy as np

from stillbook.formula import formula
from stillbook.quantities import LEVEL, NUMBER
from stillbook.readers import Vector
from stillbook.results import Number
from stillbook.trade.physics.noise_criteria import LOWEST_NC, NcNumber, OctaveLevels, interpolated_curve, nc_curves
from stillbook.trade.physics.sound import BAND_VALUE, Spectrum, SpectrumResult, level_sum


@formula(
    "DBSUM",
    family="Quiet air path",
    summary="Level of several sounds together",
    example=("STILL_DBSUM({60,60,63})", 66.015452988449),
    source="Sum of powers: ISO 1996-1",
    vectorised=False,
)
def db_sum(
    levels: Annotated[Spectrum, Vector(BAND_VALUE, blanks=True)],
) -> Annotated[float, Number(LEVEL)]:
    """Give the level of several sounds, or of all bands of one, together [dB]. Blank cells are passed over.

    L = 10 log Σ 10^(Lᵢ / 10), with Lᵢ each level.

    Args:
        levels: Levels to add up [dB].
    """
    return level_sum(levels)


@formula(
    "NCCURVE",
    family="Quiet air path",
    summary="Levels of an NC curve by octave, 63 to 8000 Hz",
    example=("STILL_NCCURVE(30)", (57.0, 48.0, 41.0, 35.0, 31.0, 29.0, 28.0, 27.0)),
    source="Beranek 1957, as tabulated by ASHRAE; ANSI/ASA S12.2-2019 differs by 1 dB in ten of its cells",
    vectorised=False,
)
def nc_curve(number: NcNumber) -> SpectrumResult:
    """Give the NC curve of a number, between two tabulated curves in proportion [dB].

    L = L₁ + (N - N₁) (L₂ - L₁) / (N₂ - N₁), with N the number between the tabulated N₁ and N₂ and L₁, L₂ their levels.

    Args:
        number: The NC number, 15 to 70.
    """
    return interpolated_curve(number)


@formula(
    "NCRATING",
    family="Quiet air path",
    summary="NC of a noise: the lowest curve that no octave band exceeds",
    example=("STILL_NCRATING({61,56,54,50,44,43,39,34})", 46.0),
    source="Tangent method, Beranek 1957; ANSI/ASA S12.2-2019",
    no_answer="a band lies above the NC-70 curve, where the curves end",
    vectorised=False,
)
def nc_rating(spectrum: OctaveLevels) -> Annotated[float, Number(NUMBER)]:
    """Give the NC number by the tangent method, with decimals between curves; round up to state it.

    NC-15 is the lowest curve: whatever lies below it in every band gives 15.

    NC = max over the octaves of the curve number whose level there is the band level.

    Args:
        spectrum: Octave-band levels, 63 to 8000 Hz [dB].
    """
    numbers, levels = nc_curves()
    reached = [
        np.interp(level, band, numbers, left=LOWEST_NC, right=np.nan)
        for level, band in zip(spectrum, levels.T, strict=True)
    ]
    return float(np.max(reached))
