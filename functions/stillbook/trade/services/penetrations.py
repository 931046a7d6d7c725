"""Services through a leaf: holes for cables, and the leaks that cables and outlet boxes leave.

Electrical work and fire-stopping belong to licensed trades and the local code; these formulas size and count for an
estimate.
"""

from __future__ import annotations

from typing import Annotated, Final

import numpy as np
import numpy.typing as npt

from stillbook.cells import NotUnderstood, OutOfRange
from stillbook.formula import formula
from stillbook.quantities import COUNT, LENGTH, SHARE, SMALL_AREA
from stillbook.readers import Floats, Places, Quantity
from stillbook.results import Number
from stillbook.trade.pricing.takeoff import Pieces

# Share of a raceway that cables may fill, by their number (NEC Chapter 9, Table 1), and of a nipple (Note 4).
_FILL_OF_ONE: Final = 0.53
_FILL_OF_TWO: Final = 0.31
_FILL_OF_MORE: Final = 0.40
_FILL_OF_NIPPLE: Final = 0.60

Sealed = Annotated[Floats, Quantity(SHARE, least=0, most=1)]
Width = Annotated[Floats, Quantity(LENGTH, above=0, most=2)]

Cables = Annotated[npt.NDArray[np.float64], Places(Quantity(LENGTH, above=0, most=0.3))]
Counts = Annotated[npt.NDArray[np.float64] | None, Places(Quantity(COUNT, least=0, most=500, whole=True))]


def bundle(diameters: npt.NDArray[np.float64], counts: npt.NDArray[np.float64] | None) -> npt.NDArray[np.float64]:
    """Give the diameter of each single cable of a schedule; a count left blank is one, a row without diameter none.

    Raises:
        NotUnderstood: If the two lists differ in length.
        OutOfRange: If there are no cables in all.
    """
    if counts is None:
        counts = np.ones(len(diameters))
    if len(counts) != len(diameters):
        raise NotUnderstood(
            f"there are {len(diameters)} cable diameters and {len(counts)} counts: give one count for each diameter"
        )
    listed = ~np.isnan(diameters)
    each = np.repeat(diameters[listed], np.nan_to_num(counts[listed], nan=1.0).astype(int))
    if not len(each):
        raise OutOfRange("the counts come to no cables: give at least one")
    return each


def _two_largest(cables: npt.NDArray[np.float64]) -> float:
    """Width of the two largest cables side by side: no smaller hole passes them."""
    return float(np.sort(cables)[-2:].sum())


@formula(
    "HOLESIZE",
    family="Services",
    summary="Diameter of the hole for a bundle of cables, by the share they fill",
    example=("STILL_HOLESIZE(0.2,,10)", 1.0),
    source="NFPA 70 (NEC) Chapter 9, Table 1 and Note 4: conduit fill, taken here for a hole",
    no_answer="at that fill the two largest cables do not pass side by side: give a lower fill",
)
def hole_size(
    cable_diameters: Cables,
    fill: Annotated[Floats, Quantity(SHARE, above=0, most=_FILL_OF_NIPPLE)] | None = None,
    counts: Counts = None,
) -> Annotated[Floats, Number(LENGTH)]:
    """Give the diameter of a round hole or sleeve that a bundle of cables fills to a given share [m].

    The shares are those of conduit: 53 % for one cable, 31 % for two, 40 % for more; a nipple up to 24 in long may be
    filled to 60 %, and a sleeve through a wall is as short. A connector wider than its cable needs a hole of its own
    size. Power keeps apart from audio and data: separate holes, at the distance the local code asks for.

    D = √(Σ d² / s), with d the diameter of each cable and s the share they fill.

    Args:
        cable_diameters: Outside diameters of the cables [m].
        fill: Share of the hole's area that the cables fill; by the number of cables when left out.
        counts: How many there are of each; one when left out.

    Returns:
        The diameter; NaN where the two largest cables would not pass.
    """
    cables = bundle(cable_diameters, counts)
    usual = {1: _FILL_OF_ONE, 2: _FILL_OF_TWO}.get(len(cables), _FILL_OF_MORE)
    share = usual if fill is None else np.where(np.isnan(fill), usual, fill)
    hole = np.sqrt(np.sum(cables**2) / share)
    return np.where(hole >= _two_largest(cables), hole, np.nan)


@formula(
    "PENETRATIONLEAK",
    family="Services",
    summary="Open area left around the cables in a round hole",
    example=('STILL_PENETRATIONLEAK(1,0.25,"90%",2)', 0.06872233929727673),
    source="common practice, no source",
    no_answer="the cables do not fit in the hole: give a larger hole or fewer cables",
)
def penetration_leak(
    hole: Width,
    cable_diameters: Cables,
    sealed: Sealed = 0.0,
    counts: Counts = None,
) -> Annotated[Floats, Number(SMALL_AREA)]:
    """Give the area left open around cables through a round hole, after sealing a share of it [m²].

    Even a little open area caps what the wall does: one part in ten thousand of it caps the wall at 40 dB. Seal every
    hole full depth on both faces, with a sealant that stays soft. A rated wall needs a listed firestop system instead.

    S = π/4 (D² - Σ d²) (1 - k), with D the hole, d each cable and k the share sealed.

    Args:
        hole: Diameter of the hole [m].
        cable_diameters: Outside diameters of the cables [m].
        sealed: Share of the open area that sealant closes, as 0.9 or 90%.
        counts: How many there are of each; one when left out.

    Returns:
        The open area; NaN where the cables do not fit.
    """
    cables = bundle(cable_diameters, counts)
    opening = np.square(hole) - np.sum(cables**2)
    fits = (opening >= 0) & (np.asarray(hole) >= _two_largest(cables))
    return np.where(fits, np.pi / 4 * opening * (1 - np.asarray(sealed)), np.nan)


@formula(
    "BOXLEAK",
    family="Services",
    summary="Open area left around outlet boxes cut into a leaf",
    example=('STILL_BOXLEAK(2,4,4,"1/8 in")', 4.125),
    source="common practice, no source",
)
def box_leak(
    boxes: Pieces,
    width: Width,
    height: Width,
    gap: Annotated[Floats, Quantity(LENGTH, least=0, most=0.1)],
    sealed: Sealed = 0.0,
) -> Annotated[Floats, Number(SMALL_AREA)]:
    """Give the area of the gaps around outlet boxes, after sealing a share of it [m²].

    Boxes belong in the inner treatment wall, not in the isolating leaf: each box cut into a leaf is a leak, and the
    box itself is lighter than the board it replaces. Never back to back.

    S = n 2 g (W + H + 2 g) (1 - k), with n boxes of W by H, g the gap and k the share sealed.

    Args:
        boxes: Boxes cut into the leaf.
        width: Outside width of a box [m].
        height: Outside height of a box [m].
        gap: Width of the gap between box and board, all round [m].
        sealed: Share of the gap that sealant or putty closes, as 0.9 or 90%.
    """
    ring = 2 * gap * (width + height + 2 * gap)
    return boxes * ring * (1 - sealed)
