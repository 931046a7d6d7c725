"""Mass of a build-up: what each leaf of the shell weighs, how thick it is, and what it puts on the floor."""

from __future__ import annotations

from typing import Annotated

from stillbook.cells import Missing
from stillbook.formula import formula
from stillbook.quantities import AREA, LENGTH, MASS, ROOM_LENGTH, SURFACE_MASS
from stillbook.readers import Floats, Quantity
from stillbook.results import Number
from stillbook.trade.mass.leaves import LeafRows


@formula(
    "SURFACEMASS",
    family="Mass",
    summary="Mass per area of a leaf: the sum of its layers",
    example=('STILL_SURFACEMASS("Gypsum board 5/8 in type X")', 2.2),
    source="Sum of layers; masses from the source beside each material in STILL_MATERIALS",
    vectorised=False,
)
def surface_mass(leaf: LeafRows) -> Annotated[float, Number(SURFACE_MASS)]:
    """Give the mass per area of a leaf [kg/m²], the sum over its layers of sheet mass times count.

    A sheet from the table weighs what the table says. A thickness typed beside it must be near its usual one: a board
    is then scaled, so 18 mm beside plywood 3/4 in weighs less; a product named by its mass, gauge or unit is not.

    m = Σ n m₁, with n sheets of mass per area m₁ in each layer: that of the table, times t / t₀ where a sheet of usual
    thickness t₀ scales; ρ t for a substance or a density.

    Args:
        leaf: Build-up of the leaf.

    Raises:
        FormulaError: If a material is unknown, a row has neither mass nor density with thickness, or a thickness
            belongs to another product.
    """
    return leaf.surface_mass


@formula(
    "BUILDUPTHICKNESS",
    family="Mass",
    summary="Thickness of a leaf: the sum of its layers",
    example=('STILL_BUILDUPTHICKNESS("Gypsum board 5/8 in type X")', 0.625),
    source="Sum of layers; usual thicknesses from the source beside each material in STILL_MATERIALS",
    vectorised=False,
)
def buildup_thickness(leaf: LeafRows) -> Annotated[float, Number(LENGTH)]:
    """Give the thickness of a leaf [m], the sum over its layers of sheet thickness times count.

    t = Σ n t₁, with n sheets of thickness t₁ in each layer.

    Args:
        leaf: Build-up of the leaf.

    Raises:
        Missing: If a layer has no thickness, neither typed nor usual.
    """
    total = 0.0
    for number, layer in enumerate(leaf.layers, start=1):
        if layer.thickness is None:
            which = f"layer {number}" + (f' ("{layer.name}")' if layer.name else "")
            raise Missing(f"{which} of the leaf has no thickness: give it beside the material")
        total += layer.thickness * layer.count
    return total


@formula(
    "TOTALMASS",
    family="Mass",
    summary="Mass of a leaf over an area: of a wall face, a ceiling, a sheet",
    example=('STILL_TOTALMASS("Gypsum board 5/8 in type X",32)', 70.4),
    source="Mass per area times area",
)
def total_mass(
    leaf: LeafRows, area: Annotated[Floats, Quantity(AREA, above=0, most=100_000)]
) -> Annotated[Floats, Number(MASS)]:
    """Give the mass of a leaf over an area [kg].

    Heavy sheets need a crew or a lift: the best-case limit of one person's lift in the NIOSH equation is 51 lb (23 kg),
    less than one 5/8 in board of 4 × 8 ft.

    M = m S, with m the mass per area and S the area.

    Args:
        leaf: Build-up of the leaf.
        area: Area it covers [m²].

    Raises:
        FormulaError: If the build-up cannot be read, see STILL_SURFACEMASS.
    """
    return leaf.surface_mass * area


@formula(
    "FLOORLOAD",
    family="Mass",
    summary="Mass per area that a room puts on the floor under it",
    example=("STILL_FLOORLOAD(1443.2,7,5)", 41.23428571428571),
    source="Mass divided by footprint; compare ASCE/SEI 7 Table 4.3-1 and the local code",
)
def floor_load(
    mass: Annotated[Floats, Quantity(MASS, above=0, most=10_000_000)],
    length: Annotated[Floats, Quantity(ROOM_LENGTH, above=0, most=300)],
    width: Annotated[Floats, Quantity(ROOM_LENGTH, above=0, most=300)],
) -> Annotated[Floats, Number(SURFACE_MASS)]:
    """Give the mass per area of footprint [kg/m²], spread evenly; a lb/ft² of mass weighs one lb/ft² of load.

    A small double-leaf room can pass the 40 lb/ft² live load of a dwelling floor by itself, and it is a dead load that
    may stand on a few joists: whether the floor carries it is for a structural engineer.

    q = M / (L W), with M the mass, L and W the sides of the footprint.

    Args:
        mass: Whole mass of the room with doors, equipment and people [kg].
        length: Length of its footprint [m].
        width: Width of its footprint [m].
    """
    return mass / (length * width)
