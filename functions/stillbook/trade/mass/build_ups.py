"""Mass of a build-up: what each leaf of the shell weighs, how thick it is, and what it puts on the floor."""

from __future__ import annotations

import difflib
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Annotated, Any, Final

from stillbook.cells import Missing, NotUnderstood, OutOfRange, as_rows, is_blank
from stillbook.formula import formula
from stillbook.quantities import (
    AREA,
    COUNT,
    DENSITY,
    LENGTH,
    MASS,
    ROOM_LENGTH,
    SURFACE_MASS,
    QuantityError,
    System,
    read_text,
)
from stillbook.readers import Choice, Floats, Quantity, Reader, show
from stillbook.results import Number, UnderHeadings
from stillbook.tables import table

# --- the material table -----------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Material:
    """A row of the material table: density [kg/m³]; for a sheet, usual thickness [m] and surface mass [kg/m²].

    ``scales`` is true where the mass of a sheet goes with its thickness; false for a product whose name sets its mass,
    such as a gauge of steel, a masonry unit or a door.
    """

    name: str
    group: str
    density: float
    thickness: float | None
    surface_mass: float | None
    scales: bool
    source: str
    confidence: str


@cache
def materials() -> Mapping[str, Material]:
    """The material table by spelling key, see :func:`material_key`."""
    return {
        material_key(row["material"]): Material(
            row["material"],
            row["group"],
            float(row["density_kg_m3"]),
            float(row["thickness_mm"]) / 1000 if row["thickness_mm"] else None,
            float(row["surface_mass_kg_m2"]) if row["surface_mass_kg_m2"] else None,
            row["scales"] == "yes",
            row["source"],
            row["confidence"],
        )
        for row in table("materials")
    }


@cache
def material_groups() -> tuple[str, ...]:
    """The groups of the material table, in file order."""
    return tuple(dict.fromkeys(material.group for material in materials().values()))


def material_key(name: str) -> str:
    """One spelling of a material's name: letter case, commas, spaces, inch marks and superscripts are alike.

    >>> material_key('Gypsum board, 5/8" Type X')
    'gypsum board 5/8 in type x'
    """
    key = unicodedata.normalize("NFKC", name).lower().replace("\u2044", "/").replace("\u2013", "-")
    for spelling, ours in ((",", " "), ("''", " in "), ('"', " in "), ("aluminum", "aluminium"), ("fiber", "fibre")):
        key = key.replace(spelling, ours)
    return " ".join(key.split())


# --- reading a build-up -----------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Layer:
    """One row of a build-up: a material, surface mass [kg/m²] and thickness [m] of one sheet, and how many sheets."""

    name: str
    surface_mass: float
    thickness: float | None
    count: int = 1


@dataclass(frozen=True, slots=True)
class Leaf:
    """Layers that move as one: one side of a wall."""

    layers: tuple[Layer, ...]

    @property
    def surface_mass(self) -> float:
        """Mass per area of all layers [kg/m²]."""
        return sum(layer.surface_mass * layer.count for layer in self.layers)


_THICKNESS: Final = Quantity(LENGTH, above=0, most=3)
_COUNT: Final = Quantity(COUNT, least=1, most=50, whole=True)
_SURFACE_MASS: Final = Quantity(SURFACE_MASS, above=0, most=3000)

_DENSEST: Final = 11_500
"""Denser than lead [kg/m³]: no sheet of the trade is, so a mass and thickness that imply more are a slip."""

_TOLERANCE: Final = 0.15
"""How far a thickness may lie from the one a sheet is named for: 18 mm beside 3/4 in, never the next gauge of steel."""


class LeafReader(Reader):
    """A build-up as rows of material, thickness and count; the last two may be blank or absent.

    A material is a name from the table, a mass per area (a number, or text such as ``2.5 lb/ft²``), or a density such
    as ``45 lb/ft³`` with a thickness. Blank rows are passed over.

    Args:
        optional: True where a build-up may be blank throughout, which gives None.
    """

    broadcasts = False

    def __init__(self, *, optional: bool = False) -> None:
        self.optional = optional

    @property
    def dimensional(self) -> bool:
        return True

    def label(self, system: System) -> str:
        return f"rows of material, thickness ({LENGTH.unit(system)}), count"

    def read(self, value: Any, name: str, system: System) -> Leaf | None:
        rows = as_rows(value)
        if len(rows[0]) > 3:
            raise NotUnderstood(f"{name} has {len(rows[0])} columns: give material, thickness and count")
        layers = [
            _layer([*row, None, None][:3], name if len(rows) == 1 else f"{name}, row {number}", system)
            for number, row in enumerate(rows, start=1)
            if not all(is_blank(cell) for cell in row)
        ]
        if layers:
            return Leaf(tuple(layers))
        if self.optional:
            return None
        raise Missing(f"{name} is blank: give a material, or a mass per area in {SURFACE_MASS.unit(system)}")


class SheetsReader(Reader):
    """Sheets to choose among, as rows of material and thickness; a group of the material table means all its sheets."""

    broadcasts = False

    @property
    def dimensional(self) -> bool:
        return True

    def label(self, system: System) -> str:
        return f"rows of a material or a group of materials, thickness ({LENGTH.unit(system)})"

    def read(self, value: Any, name: str, system: System) -> tuple[Layer, ...]:
        rows = as_rows(value)
        if len(rows[0]) > 2:
            raise NotUnderstood(f"{name} has {len(rows[0])} columns: give material and thickness")
        sheets: list[Layer] = []
        for number, row in enumerate(rows, start=1):
            if all(is_blank(cell) for cell in row):
                continue
            material, thickness = [*row, None][:2]
            where = name if len(rows) == 1 else f"{name}, row {number}"
            members = sheets_of(material) if isinstance(material, str) and is_blank(thickness) else ()
            sheets += members or [_sheet(_layer([material, thickness, None], where, system), where, system)]
        if not sheets:
            raise Missing(f"{name} is blank: give names of sheet materials or groups")
        return tuple(dict.fromkeys(sheets))


def sheets_of(group: str) -> tuple[Layer, ...]:
    """All sheets with a usual thickness in one group of the material table; none if there is no such group."""
    key = material_key(group)
    return tuple(
        Layer(material.name, material.surface_mass, material.thickness)
        for material in materials().values()
        if material.group.lower() == key and material.surface_mass is not None
    )


def _sheet(layer: Layer, name: str, system: System) -> Layer:
    if layer.thickness is None:
        raise Missing(f"{name} has no thickness: give that of one sheet beside it ({LENGTH.unit(system)})")
    return layer


def _layer(row: list[Any], name: str, system: System) -> Layer:
    """One row of a build-up."""
    material, thickness_cell, count_cell = row
    if is_blank(material):
        raise Missing(f"{name} has no material: give its name, or a mass per area in {SURFACE_MASS.unit(system)}")
    thickness = None if is_blank(thickness_cell) else _THICKNESS.read(thickness_cell, f"{name}, thickness", system)
    count = 1 if is_blank(count_cell) else int(_COUNT.read(count_cell, f"{name}, count", system))
    if not isinstance(material, str):
        mass = _SURFACE_MASS.read(material, name, system)
        return Layer("", _plausible(mass, thickness, name, system), thickness, count)
    known = materials().get(material_key(material))
    if known is not None:
        return Layer(known.name, _table_mass(known, thickness, name, system), thickness or known.thickness, count)
    if material.strip()[:1].isdigit() or material.strip()[:1] in ("+", "-", "."):
        mass = _mass_from_text(material, thickness, name, system)
        return Layer(material, _plausible(mass, thickness, name, system), thickness, count)
    raise NotUnderstood(
        f'{name}: the material "{material[:60]}" is not in the table'
        + (_did_you_mean(material) or ": give a name from STILL_MATERIALS, or a mass per area")
    )


def _table_mass(material: Material, thickness: float | None, name: str, system: System) -> float:
    """Surface mass of a material from the table, at its usual thickness or one near it, or of a plain density."""
    if material.thickness is None or material.surface_mass is None:
        if thickness is None:
            unit = LENGTH.unit(system)
            raise Missing(f"{name}: {material.name} has no usual thickness: give one beside the name ({unit})")
        return material.density * thickness
    if thickness is None:
        return material.surface_mass
    if abs(thickness / material.thickness - 1) > _TOLERANCE:
        raise OutOfRange(
            f"{name}: {material.name} is {show(material.thickness, LENGTH, system)} thick, not "
            f"{show(thickness, LENGTH, system)}: leave the thickness blank, or give {_instead(material, system)}"
        )
    return material.surface_mass * (thickness / material.thickness if material.scales else 1)


def _instead(material: Material, system: System) -> str:
    """What to write for a sheet of another thickness."""
    for other in materials().values():
        if other.thickness is None and other.group == material.group and material.name.startswith(f"{other.name} "):
            return f'"{other.name}" with the thickness'
    if not material.scales:
        return "the product that has this thickness"
    return f'its density "{show(material.density, DENSITY, system)}" with the thickness'


def _plausible(mass: float, thickness: float | None, name: str, system: System) -> float:
    """A mass per area that its thickness can hold."""
    if thickness is not None and mass / thickness > _DENSEST:
        raise OutOfRange(
            f"{name} is {show(mass, SURFACE_MASS, system)} in {show(thickness, LENGTH, system)}, denser than lead: "
            f'check both; a density needs its unit, as in "1 {DENSITY.unit(system)}"'
        )
    return mass


def _mass_from_text(text: str, thickness: float | None, name: str, system: System) -> float:
    """Surface mass from text: a mass per area, or a density with a thickness."""
    try:
        mass = read_text(text, SURFACE_MASS, system)
    except QuantityError as error:
        try:
            density = read_text(text, DENSITY, system)
        except QuantityError:
            raise NotUnderstood(f"{name}: {error}{_did_you_mean(text)}") from None
        if thickness is None:
            unit = LENGTH.unit(system)
            raise Missing(f'{name}: "{text}" is a density: give the thickness beside it ({unit})') from None
        mass = density * thickness
    if not 0 < mass <= _SURFACE_MASS.most:
        raise OutOfRange(f"{name} is {show(mass, SURFACE_MASS, system)}: {_SURFACE_MASS.wanted(system)}")
    return mass


def _did_you_mean(text: str) -> str:
    """The names in the table that come nearest, as a question; empty if none is near or the text is a quantity."""
    key = material_key(text)
    words = {word for word in key.split() if len(word) > 1}
    near = {
        name: len(words & set(name.split())) + difflib.SequenceMatcher(None, key, name).ratio()
        for name, material in materials().items()
        if material.group != "Code dead load"
    }
    best = [name for name in sorted(near, key=lambda name: -near[name])[:2] if near[name] > 0.6]
    if not best or not any(len(word) > 3 and word.isalpha() for word in words):
        return ""
    return ": did you mean " + " or ".join(f'"{materials()[name].name}"' for name in best) + "?"


LeafRows = Annotated[Leaf, LeafReader()]
SurfaceMass = Annotated[Floats, Quantity(SURFACE_MASS, above=0, most=3000)]

# --- formulas ---------------------------------------------------------------------------------------------------------


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
    "MATERIALS",
    family="Mass",
    summary="The table of materials: usual thickness, mass per area and density, with the source of each",
    example=(
        'STILL_MATERIALS("Lead")',
        (
            "Material",
            "Group",
            "Usual thickness (in)",
            "Mass per area (lb/ft²)",
            "Density (lb/ft³)",
            "Source",
            "How it is known",
        ),
    ),
    source="The source beside each material in its table",
    vectorised=False,
)
def list_materials(
    group: Annotated[str | None, Choice(*material_groups())] = None,
) -> Annotated[
    list[tuple[str, str, float | None, float | None, float, str, str]],
    UnderHeadings(
        ("Material", None),
        ("Group", None),
        ("Usual thickness", LENGTH),
        ("Mass per area", SURFACE_MASS),
        ("Density", DENSITY),
        ("Source", None),
        ("How it is known", None),
    ),
]:
    """List the materials that a build-up can name, each with usual thickness, mass per area, density and source.

    A material without a usual thickness is a plain substance: give a thickness beside it. The last column says whether
    a value was seen in print, computed, or comes from memory.

    Args:
        group: Only this group of materials; all of them when left out.
    """
    return [
        (m.name, m.group, m.thickness, m.surface_mass, m.density, m.source, m.confidence)
        for m in materials().values()
        if group in (None, m.group)
    ]


@formula(
    "TOTALMASS",
    family="Mass",
    summary="Mass of a leaf over an area: of a wall face, a ceiling, a sheet",
    example=('STILL_TOTALMASS("Gypsum board 5/8 in type X",32)', 70.4),
    source="Mass per area times area",
)
def total_mass(leaf: LeafRows, area: Annotated[Floats, Quantity(AREA, above=0)]) -> Annotated[Floats, Number(MASS)]:
    """Give the mass of a leaf over an area [kg].

    Heavy sheets need a crew or a lift: the best-case limit of one person's lift in the NIOSH equation is 51 lb (23 kg),
    less than one 5/8 in board of 4 × 8 ft.

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
    mass: Annotated[Floats, Quantity(MASS, above=0)],
    length: Annotated[Floats, Quantity(ROOM_LENGTH, above=0, most=300)],
    width: Annotated[Floats, Quantity(ROOM_LENGTH, above=0, most=300)],
) -> Annotated[Floats, Number(SURFACE_MASS)]:
    """Give the mass per area of footprint [kg/m²], spread evenly; a lb/ft² of mass weighs one lb/ft² of load.

    A small double-leaf room can pass the 40 lb/ft² live load of a dwelling floor by itself, and it is a dead load that
    may stand on a few joists: whether the floor carries it is for a structural engineer.

    Args:
        mass: Whole mass of the room with doors, equipment and people [kg].
        length: Length of its footprint [m].
        width: Width of its footprint [m].
    """
    return mass / (length * width)
