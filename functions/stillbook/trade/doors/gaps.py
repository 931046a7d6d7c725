"""What a door leaks: the gap around it."""

from __future__ import annotations

from typing import Annotated

from stillbook.formula import formula
from stillbook.quantities import LENGTH, SHARE, SMALL_AREA
from stillbook.readers import Floats, Quantity
from stillbook.results import Number
from stillbook.trade.doors.limits import DoorSizes
from stillbook.trade.physics.constants import INCH


@formula(
    "DOORLEAK",
    family="Doors",
    summary="Open area of the gap around a door, less the share that seals close",
    example=("STILL_DOORLEAK(36,80,0.125,90%)", 2.9),
    source="Perimeter times gap",
)
def door_leak(
    width: DoorSizes,
    height: DoorSizes,
    gap: Annotated[Floats, Quantity(LENGTH, above=0, most=3 * INCH)],
    share_sealed: Annotated[Floats, Quantity(SHARE, least=0, most=1)] = 0.0,
) -> Annotated[Floats, Number(SMALL_AREA)]:
    """Give the open area of the gap along head, jambs and threshold [m²].

    S = 2 (W + H) g (1 - s), with g the gap and s the share sealed.

    Args:
        width: Width of the door [m].
        height: Height of the door [m].
        gap: Width of the gap, the same all round [m].
        share_sealed: Share of the gap that seals close: 0 without seals, 1 where they close it all.
    """
    return 2 * (width + height) * gap * (1 - share_sealed)
