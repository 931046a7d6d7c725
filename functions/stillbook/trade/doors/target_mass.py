"""What a door must weigh to match its wall, what it weighs, and what it lacks."""

from __future__ import annotations

import math
from typing import Annotated

from stillbook.cells import Missing
from stillbook.formula import formula
from stillbook.quantities import MASS, SHARE, SURFACE_MASS
from stillbook.readers import Choice, Few, Floats, Quantity
from stillbook.results import Number, SideBySide
from stillbook.trade.doors.limits import DoorMass, DoorMasses, DoorSize, DoorSizes
from stillbook.trade.mass.leaves import Leaf, LeafReader


@formula(
    "DOORTARGETMASS",
    family="Doors",
    summary="What a door must weigh to match the wall it stands in: each door of a pair, or one door alone",
    example=('STILL_DOORTARGETMASS(4.4,36,80,"pair")', 88.0),
    source="Mass per area of the wall side times door area; common practice, no source",
    vectorised=False,
)
def door_target_mass(
    side_masses: Annotated[tuple[float, ...], Few(Quantity(SURFACE_MASS, above=0, most=3000), 2)],
    width: DoorSize,
    height: DoorSize,
    arrangement: Annotated[str, Choice("pair", "single")] = "pair",
    margin: Annotated[float, Quantity(SHARE, least=0, most=1)] = 0.0,
) -> Annotated[tuple[float, ...], SideBySide(("Door", MASS), ("Door on the second side", MASS))]:
    """Give the least mass of a door that is no lighter than its wall [kg].

    A pair: each door matches its own side of the wall, so one number, or two alike, give one mass, and two unlike give
    two side by side. A single door carries the sum of both sides.

    In a schedule of several doors each row is a door. One column of side masses is one number a door; two columns are
    its two sides. A row or column of just two side masses, beside single sizes, is the two sides of one wall. Each row
    of the answer holds what that row alone would give; where others have two, the second cell of one stays empty.

    A heavy door needs hinges, a frame, a structure and a crew to suit; where it is a way out, its opening force and
    clear width are for the local code.

    Pair: M = m W H (1 + k) with the m of each side; single: M = (m₁ + m₂) W H (1 + k). W and H are the sizes of the
    door, k the margin.

    Args:
        side_masses: Mass per area of one side of the wall, or a range of two where the sides differ [kg/m²].
        width: Width of the door [m].
        height: Height of the door [m].
        arrangement: A pair of doors, one in each side of the wall, or a single door for both.
        margin: Share added to the mass, such as 10%.
    """
    first, second = side_masses if len(side_masses) > 1 else side_masses * 2
    area_and_margin = width * height * (1 + margin)
    if arrangement == "single":
        return ((first + second) * area_and_margin,)
    if math.isclose(first, second, rel_tol=1e-9):
        return (first * area_and_margin,)
    return first * area_and_margin, second * area_and_margin


@formula(
    "DOORMASS",
    family="Doors",
    summary="Mass of a door: its slab and what is added over its whole face",
    example=('STILL_DOORMASS(60,"Lead sheet 1/32 in",36,80)', 96.87151421528541),
    source="Slab mass plus mass per area of the add-on times door area",
)
def door_mass(
    slab_mass: DoorMasses,
    add_on_leaf: Annotated[Leaf, LeafReader(optional=True)] | None,
    width: DoorSizes,
    height: DoorSizes,
) -> Annotated[Floats, Number(MASS)]:
    """Give the mass of a door with its add-on layers [kg].

    Weigh the slab or ask its maker: a solid-core slab of 36 × 80 in weighs from 60 lb to 100 lb or more.

    M = M₀ + m W H, with M₀ the slab and m the mass per area of what is added.

    Args:
        slab_mass: Mass of the bare slab [kg].
        add_on_leaf: Build-up added over the whole face; nothing is added where it is blank.
        width: Width of the door [m].
        height: Height of the door [m].

    Raises:
        FormulaError: If the build-up cannot be read, see STILL_SURFACEMASS.
    """
    return slab_mass + (add_on_leaf.surface_mass if add_on_leaf else 0.0) * width * height


@formula(
    "ADDEDMASS",
    family="Doors",
    summary="What to add to a door slab to reach its target, and over its size what that is per area",
    example=("STILL_ADDEDMASS(88,60)", 28.0),
    source="Target less slab mass",
    vectorised=False,
)
def added_mass(
    target: DoorMass,
    slab_mass: DoorMass,
    width: DoorSize | None = None,
    height: DoorSize | None = None,
) -> Annotated[tuple[float, ...], SideBySide(("Mass to add", MASS), ("Mass per area to add", SURFACE_MASS))]:
    """Give the mass a slab falls short of its target [kg], never less than 0.

    With a width and a height a second cell beside it gives the same as mass per area of the door [kg/m²], to set
    against sheet materials; the first stays a mass.

    A = max(0, T - M₀) and a = A / (W H), with T the target and M₀ the slab.

    Args:
        target: What the door must weigh [kg].
        slab_mass: Mass of the bare slab [kg].
        width: Width of the door, for the mass per area [m].
        height: Height of the door, for the mass per area [m].

    Raises:
        Missing: If only one of width and height is given.
    """
    shortfall = max(0.0, target - slab_mass)
    sizes = [size for size in (width, height) if size is not None and not math.isnan(size)]
    if len(sizes) == 1:
        raise Missing("width and height go together: give both for the mass per area, or neither")
    return (shortfall, shortfall / math.prod(sizes)) if sizes else (shortfall,)
