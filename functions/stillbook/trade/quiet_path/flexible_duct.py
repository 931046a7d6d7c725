"""Sound lost in lined flexible duct, between the lengths and diameters that are printed."""

from __future__ import annotations

from functools import cache
from typing import Annotated, Final

import numpy as np

from stillbook.formula import formula
from stillbook.quantities import LENGTH, ROOM_LENGTH
from stillbook.readers import Quantity
from stillbook.tables import table
from stillbook.trade.physics.constants import FOOT, INCH
from stillbook.trade.physics.sound import OCTAVES, Spectrum, SpectrumResult

SMALLEST, LARGEST, LONGEST = 4 * INCH, 16 * INCH, 12 * FOOT
_PRINTED: Final = OCTAVES[:-1]


@cache
def _rows() -> tuple[tuple[float, ...], tuple[float, ...], Spectrum]:
    """The diameters and lengths [m] of the table, and its losses: diameter by length by octave [dB]."""
    losses = {
        (float(row["diameter_in"]) * INCH, float(row["length_ft"]) * FOOT): [
            float(row[f"f{band:.0f}"]) for band in _PRINTED
        ]
        for row in table("flexible_duct")
    }
    diameters, lengths = (tuple(sorted({key[place] for key in losses})) for place in (0, 1))
    nothing = [0.0] * len(_PRINTED)
    cube = np.array([[nothing, *(losses[diameter, length] for length in lengths)] for diameter in diameters])
    return diameters, (0.0, *lengths), cube


@formula(
    "FLEXDUCTLOSS",
    family="Quiet air path",
    summary="Sound lost in lined flexible duct by octave, 63 to 8000 Hz",
    example=("STILL_FLEXDUCTLOSS(6,9)", (6.0, 9.0, 13.0, 25.0, 29.0, 30.0, 20.0, 0.0)),
    source="Long, Architectural Acoustics, 2nd ed. (2014), table 14.4, from ASHRAE 1995",
    vectorised=False,
)
def flexible_duct_loss(
    diameter: Annotated[float, Quantity(LENGTH, least=SMALLEST, most=LARGEST)],
    length: Annotated[float, Quantity(ROOM_LENGTH, least=0, most=100)],
) -> SpectrumResult:
    """Give the insertion loss of straight, stretched flexible duct with an acoustic lining [dB].

    It lies between the printed diameters, 4 to 16 in, and lengths, 3 to 12 ft, in proportion, and from nothing for no
    length; more than 12 ft are not counted. At 8000 Hz nothing is printed, and nothing is counted.

    What a flexible duct loses goes out through its walls: it lets nearly all of it into the space that it runs through.
    In a noisy space sound gets in as easily. Bent or slack it takes far more pressure, see STILL_DUCTLOSS.

    Args:
        diameter: Inside diameter [m].
        length: Stretched length [m].
    """
    diameters, lengths, losses = _rows()
    held = min(length, LONGEST)
    by_diameter = [[np.interp(held, lengths, band) for band in row.T] for row in losses]
    found = [np.interp(diameter, diameters, band) for band in np.array(by_diameter).T]
    return np.array([*found, 0.0])
