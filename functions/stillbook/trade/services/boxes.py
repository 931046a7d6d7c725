"""Outlet boxes: the volume that their wires need, and the standard boxes that have it.

Electrical work belongs to a licensed electrician and the local code; these formulas size and count for an estimate.
"""

from __future__ import annotations

from functools import cache
from typing import Annotated, Final

import numpy as np
import numpy.typing as npt

from stillbook.cells import NotUnderstood, OutOfRange
from stillbook.formula import formula
from stillbook.quantities import BOX_VOLUME, COUNT
from stillbook.readers import Quantity, Vector
from stillbook.results import Number, UnderHeadings
from stillbook.tables import table
from stillbook.trade.physics.constants import CUBIC_INCH

_GROUNDS_AS_ONE: Final = 4
_EXTRA_GROUND: Final = 0.25
"""Grounds counted as one conductor, and the share of one for each further ground (NEC 314.16(B)(5), 2020)."""


@cache
def conductor_volumes() -> dict[int, float]:
    """Free space in a box for one conductor [m³], by its AWG size (NEC Table 314.16(B))."""
    return {int(row["awg"]): float(row["box_volume_in3"]) * CUBIC_INCH for row in table("conductors")}


@formula(
    "BOXFILL",
    family="Services",
    summary="Least volume of an outlet box for its conductors, devices, clamps and grounds",
    example=("STILL_BOXFILL(14,6,1,0)", 18.0),
    source="NFPA 70 (NEC) 314.16(B) and Table 314.16(B)",
    vectorised=False,
)
def box_fill(
    wire_sizes: Annotated[npt.NDArray[np.float64], Vector(Quantity(COUNT, above=0, most=40, whole=True))],
    wire_counts: Annotated[npt.NDArray[np.float64], Vector(Quantity(COUNT, least=0, most=500, whole=True))],
    devices: Annotated[float, Quantity(COUNT, least=0, most=50, whole=True)],
    clamps: Annotated[float, Quantity(COUNT, least=0, most=50, whole=True)] = 1,
    grounds: Annotated[float, Quantity(COUNT, least=0, most=500, whole=True)] = 1,
    fittings: Annotated[float, Quantity(COUNT, least=0, most=50, whole=True)] = 0,
) -> Annotated[float, Number(BOX_VOLUME)]:
    """Give the volume that the contents of a box need [m³]; the box must have at least that.

    Each insulated conductor counts once, each device twice, all clamps inside the box together once, grounds together
    once up to four and a quarter more for each over four. Devices, clamps, grounds and fittings are counted at the
    largest conductor in the box, which is on the safe side where a device or the grounds are wired smaller. For sizes
    up to 6 AWG. Electrical work belongs to a licensed electrician and the local code.

    V = Σ n v + v_max [2 d + min(c, 1) + min(g, 1) + max(g - 4, 0) / 4 + f], with n conductors of volume v of each size,
    v_max the largest, d devices, c clamps, g grounds and f fittings.

    Args:
        wire_sizes: Conductor sizes (AWG), one cell for each size.
        wire_counts: Insulated conductors of each size.
        devices: Switches and receptacles, each on one yoke.
        clamps: Cable clamps inside the box.
        grounds: Equipment grounding conductors.
        fittings: Studs and hickeys inside the box, one allowance each.

    Raises:
        NotUnderstood: If the two lists differ in length.
        OutOfRange: If a size is not in the table, or no conductors are counted.
    """
    if len(wire_sizes) != len(wire_counts):
        raise NotUnderstood(
            f"there are {len(wire_sizes)} wire sizes and {len(wire_counts)} counts: give one count for each size"
        )
    known = conductor_volumes()
    counted = {int(size): count for size, count in zip(wire_sizes, wire_counts, strict=True) if count}
    for size in counted:
        if size not in known:
            raise OutOfRange(f"wire size {size} is not in the table: give one of {', '.join(map(str, known))} AWG")
    if not counted:
        raise OutOfRange("no conductors are counted: give at least one")
    conductors = sum(known[int(size)] * count for size, count in zip(wire_sizes, wire_counts, strict=True) if count)
    grounding = min(grounds, 1) + _EXTRA_GROUND * max(grounds - _GROUNDS_AS_ONE, 0)
    largest = max(known[size] for size in counted)
    return float(conductors + largest * (2 * devices + min(clamps, 1) + grounding + fittings))


@formula(
    "OUTLETBOXES",
    family="Services",
    summary="Standard metal outlet boxes of at least a given volume, smallest first",
    example=("STILL_OUTLETBOXES(22)", ("Box (in)", "Volume (in³)")),
    source="NFPA 70 (NEC) Table 314.16(A)",
    vectorised=False,
)
def outlet_boxes(
    least_volume: Annotated[float, Quantity(BOX_VOLUME, least=0, most=0.1)] = 0.0,
) -> Annotated[list[tuple[str, float]], UnderHeadings(("Box (in)", None), ("Volume", BOX_VOLUME))]:
    """List the standard metal boxes of at least a given volume [m³], smallest first.

    A box marked with its own volume may hold more than the table gives it.

    Args:
        least_volume: Volume needed, from STILL_BOXFILL [m³].

    Raises:
        OutOfRange: If no box in the table is large enough.
    """
    listed = [(row["box"], float(row["volume_in3"]) * CUBIC_INCH) for row in table("outlet_boxes")]
    # The volume needed is a sum; its last digits must not turn away a box that holds it exactly.
    found = [(box, volume) for box, volume in listed if volume * (1 + 1e-9) >= least_volume]
    if not found:
        raise OutOfRange(
            f"no standard box holds {least_volume / CUBIC_INCH:.4g} in³: use a larger junction box or share the wires"
        )
    return sorted(found, key=lambda row: row[1])
