"""Sealant and putty for the joints and boxes of a leaf.

Acoustic sealant is not firestop, nor a putty pad's fire listing a sound rating, unless the maker says so.
"""

from __future__ import annotations

from typing import Annotated, Final

import numpy as np

from stillbook.formula import formula
from stillbook.quantities import CONTAINER, COUNT, LENGTH, ROOM_LENGTH
from stillbook.readers import Choice, Floats, Quantity
from stillbook.results import Number
from stillbook.trade.physics.constants import CUBIC_INCH
from stillbook.trade.pricing.takeoff import Pieces, Waste, whole_up
from stillbook.trade.services.penetrations import Width

FLUID_OUNCE: Final = 231 * CUBIC_INCH / 128

Section = Annotated[str, Choice("round", "half round", "square", "rectangular")]
Bead = Annotated[Floats, Quantity(LENGTH, above=0, most=0.1)]
Depth = Annotated[Floats, Quantity(LENGTH, above=0, most=0.1)]
ContainerSize = Annotated[Floats, Quantity(CONTAINER, above=0, most=0.25)]

_DEPTH_AMISS: Final = "a rectangular section needs its depth, and no other section takes one: give it or leave it out"


def bead_section(bead: Floats, section: str, depth: Floats | None) -> Floats:
    """Give the area of a bead of sealant [m²]; NaN where a rectangular one has no depth, or another one has."""
    depth = np.nan if depth is None else depth
    if section == "rectangular":
        return bead * depth
    share = {"round": np.pi / 4, "half round": np.pi / 8, "square": 1.0}[section]
    return np.where(np.isnan(depth), share * np.square(bead), np.nan)


@formula(
    "BEADLENGTH",
    family="Services",
    summary="Length of bead that one container of sealant gives",
    example=('STILL_BEADLENGTH("1/4 in","square")', 67.375),
    source="common practice, no source (volume over section; 231 cubic inches and 128 fluid ounces to the gallon)",
    no_answer=_DEPTH_AMISS,
)
def bead_length(
    bead: Bead,
    section: Section = "round",
    depth: Depth | None = None,
    container: ContainerSize = 28 * FLUID_OUNCE,
) -> Annotated[Floats, Number(ROOM_LENGTH)]:
    """Give the length of bead in one container, nothing wasted [m].

    A "1/4 inch bead" is not one thing: a round bead goes 27 percent further than a square joint of that width.

    L = V / A, with V the contents and A = π b² / 4 round, π b² / 8 half round, b² square, b d rectangular; b is the
    bead and d the depth.

    Args:
        bead: Diameter of a round bead, or width of a half-round, square or rectangular one [m].
        section: Shape of the bead.
        depth: Depth of a rectangular joint; not for the others [m].
        container: Contents of one container [m³].

    Returns:
        The length; NaN where a rectangular section has no depth, or another one has.

    >>> round(float(bead_length(0.25 * 0.0254, container=10.1 * FLUID_OUNCE)) / 0.3048, 2)
    30.94
    """
    return container / bead_section(bead, section, depth)


@formula(
    "SEALANTTUBES",
    family="Services",
    summary="Whole tubes of sealant for a length of bead",
    example=('STILL_SEALANTTUBES(72,"3/8 in","10%")', 3.0),
    source="common practice, no source (volume over section; 231 cubic inches and 128 fluid ounces to the gallon)",
    no_answer=_DEPTH_AMISS,
)
def sealant_tubes(
    length: Annotated[Floats, Quantity(ROOM_LENGTH, above=0, most=1_000_000)],
    bead: Bead,
    waste: Waste = 0.0,
    section: Section = "round",
    depth: Depth | None = None,
    container: ContainerSize = 28 * FLUID_OUNCE,
) -> Annotated[Floats, Number(COUNT)]:
    """Give the number of whole tubes for all beads together.

    A bead runs along the top, bottom and both ends of each sealed layer: count every layer of every leaf, and give the
    whole length at once, or each line is rounded up by itself. Acoustic sealant is not firestop unless so listed.

    n = ⌈L (1 + w) / L₁⌉, with w the waste and L₁ the length that STILL_BEADLENGTH gives one tube.

    Args:
        length: Length of all beads [m].
        bead: Diameter of a round bead, or width of a half-round, square or rectangular one [m].
        waste: Share added for what stays in the tube and is tooled off, as 0.1 or 10%.
        section: Shape of the bead.
        depth: Depth of a rectangular joint; not for the others [m].
        container: Contents of one tube [m³].

    Returns:
        The tubes; NaN where a rectangular section has no depth, or another one has.
    """
    return whole_up(length * (1 + waste) / bead_length(bead, section, depth, container))


@formula(
    "PUTTYPADS",
    family="Services",
    summary="Whole putty pads for outlet boxes, by the faces they cover",
    example=("STILL_PUTTYPADS(3,4,4,1.5,7,7)", 3.0),
    source="common practice, no source",
)
def putty_pads(
    boxes: Pieces,
    width: Width,
    height: Width,
    depth: Width,
    pad_width: Width,
    pad_height: Width,
) -> Annotated[Floats, Number(COUNT)]:
    """Give the number of whole pads to cover the back and the four sides of each box.

    A pad is moulded over the box, so its area counts, not its shape; each box takes whole pads. A pad's fire listing
    names the boxes and the pads each takes, and governs where the wall is rated.

    n = N ⌈(W H + 2 D (W + H)) / (w h)⌉, with N boxes of W by H by D and pads of w by h.

    Args:
        boxes: Boxes to cover.
        width: Width of a box [m].
        height: Height of a box [m].
        depth: Depth of a box [m].
        pad_width: Width of a pad [m].
        pad_height: Height of a pad [m].
    """
    covered = width * height + 2 * depth * (width + height)
    return boxes * whole_up(covered / (pad_width * pad_height))
