"""The NC curves, by which a noise by octave band is judged."""

from __future__ import annotations

from functools import cache
from typing import Annotated

import numpy as np

from stillbook.quantities import NUMBER
from stillbook.readers import Quantity, Vector
from stillbook.tables import table
from stillbook.trade.physics.sound import BAND_VALUE, OCTAVES, Spectrum

OctaveLevels = Annotated[Spectrum, Vector(BAND_VALUE, lengths=(len(OCTAVES),))]

LOWEST_NC, HIGHEST_NC = 15, 70
"""The family of NC curves reaches from one to the other."""

NcNumber = Annotated[float, Quantity(NUMBER, least=LOWEST_NC, most=HIGHEST_NC)]


@cache
def nc_curves() -> tuple[Spectrum, Spectrum]:
    """The NC numbers that are tabulated, and their levels: a row for each number, a column for each octave band."""
    rows = table("nc_curves")
    levels = np.array([[float(row[f"f{band:.0f}"]) for band in OCTAVES] for row in rows])
    return np.array([float(row["nc"]) for row in rows]), levels


def interpolated_curve(number: float) -> Spectrum:
    """The curve of any number, between two tabulated curves in proportion, 63 to 8000 Hz [dB]."""
    numbers, levels = nc_curves()
    return np.array([np.interp(number, numbers, band) for band in levels.T])
