"""Services through the shell: cable holes and the leaks they leave, sealant, outlet boxes, circuits.

Electrical work and fire-stopping belong to licensed trades and the local code; these formulas size and count for an
estimate. Acoustic sealant is not firestop, nor a putty pad's fire listing a sound rating, unless the maker says so.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Annotated, Any, Final

import numpy as np
import numpy.typing as npt

from stillbook.cells import NotUnderstood, OutOfRange, as_rows, is_blank
from stillbook.formula import formula
from stillbook.quantities import (
    BOX_VOLUME,
    CONTAINER,
    COUNT,
    CURRENT,
    ELECTRIC_POWER,
    LENGTH,
    ROOM_LENGTH,
    SHARE,
    SMALL_AREA,
    VOLTAGE,
    System,
)
from stillbook.readers import Choice, Floats, Quantity, Vector
from stillbook.results import Number, UnderHeadings
from stillbook.tables import table
from stillbook.trade.physics.constants import INCH
from stillbook.trade.pricing.takeoff import Pieces, Waste, whole_up

# Share of a raceway that cables may fill, by their number (NEC Chapter 9, Table 1), and of a nipple (Note 4).
_FILL_OF_ONE: Final = 0.53
_FILL_OF_TWO: Final = 0.31
_FILL_OF_MORE: Final = 0.40
_FILL_OF_NIPPLE: Final = 0.60

_CONTINUOUS_EXTRA: Final = 0.25
"""Added to a load that runs three hours or more (NEC 210.19, 210.20)."""

_GROUNDS_AS_ONE: Final = 4
_EXTRA_GROUND: Final = 0.25
"""Grounds counted as one conductor, and the share of one for each further ground (NEC 314.16(B)(5), 2020)."""

CUBIC_INCH: Final = INCH**3
FLUID_OUNCE: Final = 231 * CUBIC_INCH / 128

Sealed = Annotated[Floats, Quantity(SHARE, least=0, most=1)]
Width = Annotated[Floats, Quantity(LENGTH, above=0, most=2)]


# --- cables through a leaf --------------------------------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class Places(Vector):
    """A row or column taken whole with its blank cells kept as NaN, so that a list beside it keeps its places."""

    def read(self, value: Any, name: str, system: System) -> npt.NDArray[np.float64]:
        rows = as_rows(value)
        cells = [cell for row in rows for cell in row]
        kept = [index for index, cell in enumerate(cells) if not is_blank(cell)]
        if len(kept) == len(cells) or (len(rows) > 1 and len(rows[0]) > 1):
            return super().read(value, name, system)
        places = np.full(len(cells), np.nan)
        places[kept] = super().read([cells[index] for index in kept], name, system)
        return places


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

    Args:
        boxes: Boxes cut into the leaf.
        width: Outside width of a box [m].
        height: Outside height of a box [m].
        gap: Width of the gap between box and board, all round [m].
        sealed: Share of the gap that sealant or putty closes, as 0.9 or 90%.
    """
    ring = 2 * gap * (width + height + 2 * gap)
    return boxes * ring * (1 - sealed)


# --- sealant and putty ------------------------------------------------------------------------------------------------

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

    Args:
        bead: Diameter of a round bead, or width of a half-round, square or rectangular one [m].
        section: Shape of the bead.
        depth: Depth of a rectangular joint; not for the others [m].
        container: Contents of one container [m³].

    Returns:
        The length; NaN where a rectangular section has no depth, or another one has.

    >>> round(float(bead_length(0.25 * INCH, container=10.1 * FLUID_OUNCE)) / 0.3048, 2)
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
    length: Annotated[Floats, Quantity(ROOM_LENGTH, above=0)],
    bead: Bead,
    waste: Waste = 0.0,
    section: Section = "round",
    depth: Depth | None = None,
    container: ContainerSize = 28 * FLUID_OUNCE,
) -> Annotated[Floats, Number(COUNT)]:
    """Give the number of whole tubes for all beads together.

    A bead runs along the top, bottom and both ends of each sealed layer: count every layer of every leaf, and give the
    whole length at once, or each line is rounded up by itself. Acoustic sealant is not firestop unless so listed.

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


# --- boxes and circuits -----------------------------------------------------------------------------------------------


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
    wire_sizes: Annotated[npt.NDArray[np.float64], Vector(Quantity(COUNT, above=0, whole=True))],
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
    least_volume: Annotated[float, Quantity(BOX_VOLUME, least=0)] = 0.0,
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


@formula(
    "CIRCUITAMPS",
    family="Services",
    summary="Least circuit rating for a load, with the 125 percent factor for continuous loads",
    example=("STILL_CIRCUITAMPS(1440,120)", 15.0),
    source="NFPA 70 (NEC) 210.19 and 210.20",
)
def circuit_amps(
    watts: Annotated[Floats, Quantity(ELECTRIC_POWER, least=0)],
    volts: Annotated[Floats, Quantity(VOLTAGE, least=1, most=1000)],
    continuous: Annotated[Floats, Quantity(SHARE, least=0, most=1)] = 1.0,
) -> Annotated[Floats, Number(CURRENT)]:
    """Give the rating that a single-phase circuit must have at least for a load [A].

    A load that runs three hours or more counts 125 percent, so a 20 A circuit carries 16 A of it; the rest counts as it
    is. Fans, lights and recording equipment in a sealed room run that long. Where a label states volt-amperes, give
    those in place of watts. Electrical work belongs to a licensed electrician and the local code.

    Args:
        watts: Load on the circuit [W].
        volts: Voltage of the circuit [V].
        continuous: Share of the load that runs three hours or more, as 1 or 100%.
    """
    return watts * (1 + _CONTINUOUS_EXTRA * continuous) / volts
