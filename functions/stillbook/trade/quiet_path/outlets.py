"""Outlets whose damper is turned down: what their maker's rating does not hold."""

from __future__ import annotations

from typing import Annotated, Final

import numpy as np

from stillbook.formula import formula
from stillbook.quantities import LEVEL, NUMBER
from stillbook.readers import Choice, Quantity
from stillbook.results import Number
from stillbook.tables import table

_RATIOS: Final = (1.5, 2.0, 2.5, 3.0, 4.0, 6.0)
_ADDED: Final = {
    row["damper"]: [float(row[f"ratio_{ratio:g}"]) for ratio in _RATIOS] for row in table("throttled_outlet")
}

DAMPER_PLACES: Final = tuple(_ADDED)
"""Where a damper may sit."""


@formula(
    "THROTTLEDOUTLET",
    family="Quiet air path",
    summary="Decibels that a damper turned down adds to the sound rating of an outlet",
    example=('STILL_THROTTLEDOUTLET(2,"neck")', 9.0),
    source="ASHRAE Handbook, HVAC Applications 2019, ch. 49, table 10",
    vectorised=False,
)
def throttled_outlet(
    pressure_ratio: Annotated[float, Quantity(NUMBER, least=1, most=_RATIOS[-1])],
    damper: Annotated[str, Choice(*_ADDED)] = "neck",
) -> Annotated[float, Number(LEVEL)]:
    """Give what to add to the outlet's rated level, in its octaves or its NC alike [dB].

    It is printed for pressures of 1.5 to 6 times that of the open damper, between which it lies in proportion; nothing
    is added for an open one. A damper in the neck of the outlet is loudest: set the air by one farther back.

    Args:
        pressure_ratio: Pressure across outlet and damper as set, over that with the damper open.
        damper: Where the damper sits: in the neck of the outlet, at the inlet of a plenum before it, or in the supply
            duct some way back.
    """
    return float(np.interp(pressure_ratio, (1.0, *_RATIOS), (0.0, *_ADDED[damper])))
