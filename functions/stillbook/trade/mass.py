"""Mass of a build-up: what each leaf of the shell weighs, how thick it is, and what it puts on the floor."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Annotated, Any

from stillbook.formula import (
    Missing,
    NotUnderstood,
    OutOfRange,
    Quantity,
    Reader,
    as_rows,
    formula,
    is_blank,
    show,
)
from stillbook.quantities import COUNT, DENSITY, LENGTH, SURFACE_MASS, QuantityError, System, read_text
from stillbook.tables import table


@dataclass(frozen=True, slots=True)
class Material:
    """A row of the material table: density [kg/m³]; for a sheet, usual thickness [m] and surface mass [kg/m²]."""

    name: str
    group: str
    density: float
    thickness: float | None
    surface_mass: float | None
    source: str


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


@cache
def materials() -> Mapping[str, Material]:
    """The material table by lower-case name."""
    return {
        row["material"].lower(): Material(
            row["material"],
            row["group"],
            float(row["density_kg_m3"]),
            float(row["thickness_mm"]) / 1000 if row["thickness_mm"] else None,
            float(row["surface_mass_kg_m2"]) if row["surface_mass_kg_m2"] else None,
            row["source"],
        )
        for row in table("materials")
    }


_THICKNESS = Quantity(LENGTH, above=0, most=3)
_COUNT = Quantity(COUNT, least=0, most=50, whole=True)
_SURFACE_MASS = Quantity(SURFACE_MASS, above=0, most=3000)


class LeafReader(Reader):
    """A build-up as rows of material, thickness and count; the last two may be blank or absent.

    A material is a name from the table, a mass per area (a number, or text such as ``2.5 lb/ft²``), or a density such
    as ``45 lb/ft³`` with a thickness. Blank rows are passed over.
    """

    broadcasts = False

    @property
    def dimensional(self) -> bool:
        return True

    def label(self, system: System) -> str:
        return f"rows of material, thickness ({LENGTH.unit(system)}), count"

    def read(self, value: Any, name: str, system: System) -> Leaf:
        rows = as_rows(value)
        if len(rows[0]) > 3:
            raise NotUnderstood(f"{name} has {len(rows[0])} columns: give material, thickness and count")
        layers = []
        for number, row in enumerate(rows, start=1):
            if all(is_blank(cell) for cell in row):
                continue
            where = name if len(rows) == 1 else f"{name}, row {number}"
            layers.append(_layer([*row, None, None][:3], where, system))
        if not layers:
            raise Missing(f"{name} is blank: give a material, or a mass per area in {SURFACE_MASS.unit(system)}")
        return Leaf(tuple(layers))


def _layer(row: list[Any], name: str, system: System) -> Layer:
    """One row of a build-up."""
    material, thickness_cell, count_cell = row
    if is_blank(material):
        raise Missing(f"{name} has no material: give its name, or a mass per area")
    thickness = None if is_blank(thickness_cell) else _THICKNESS.read(thickness_cell, f"{name}, thickness", system)
    count = 1 if is_blank(count_cell) else int(_COUNT.read(count_cell, f"{name}, count", system))
    if not isinstance(material, str):
        return Layer("", _SURFACE_MASS.read(material, name, system), thickness, count)
    known = materials().get(" ".join(material.lower().split()))
    if known is not None:
        return Layer(known.name, _sheet_mass(known, thickness, name, system), thickness or known.thickness, count)
    if material.lstrip()[:1].isdigit() or material.lstrip()[:1] in "+-.":
        return Layer(material, _mass_from_text(material, thickness, name, system), thickness, count)
    near = difflib.get_close_matches(material.lower(), materials(), n=2, cutoff=0.5)
    hint = " or ".join(f'"{materials()[key].name}"' for key in near)
    raise NotUnderstood(
        f'{name}: the material "{material[:60]}" is not in the table'
        + (f": did you mean {hint}?" if hint else ": give a name from STILL_MATERIALS, or a mass per area")
    )


def _sheet_mass(material: Material, thickness: float | None, name: str, system: System) -> float:
    """Surface mass of a material from the table, at its usual thickness or the one given."""
    if thickness is None:
        if material.surface_mass is None:
            raise Missing(f"{name}: {material.name} has no usual thickness: give one in {LENGTH.unit(system)}")
        return material.surface_mass
    if material.surface_mass is not None and material.thickness is not None:
        return material.surface_mass * thickness / material.thickness
    return material.density * thickness


def _mass_from_text(text: str, thickness: float | None, name: str, system: System) -> float:
    """Surface mass from text: a mass per area, or a density with a thickness."""
    try:
        mass = read_text(text, SURFACE_MASS, system)
    except QuantityError as error:
        try:
            density = read_text(text, DENSITY, system)
        except QuantityError:
            raise NotUnderstood(f"{name}: {error}") from None
        if thickness is None:
            raise Missing(f'{name}: "{text}" is a density: give the thickness in {LENGTH.unit(system)} too') from None
        mass = density * thickness
    if not 0 < mass <= _SURFACE_MASS.most:
        raise OutOfRange(f"{name} is {show(mass, SURFACE_MASS, system)}: {_SURFACE_MASS.wanted(system)}")
    return mass


LeafRows = Annotated[Leaf, LeafReader()]


@formula(
    "SURFACEMASS",
    family="Mass",
    summary="Mass per area of a leaf: the sum of its layers",
    example=('STILL_SURFACEMASS("2.2 lb/ft²")', 2.2),
    source="common practice, no source",
    vectorised=False,
)
def surface_mass(leaf: LeafRows) -> Annotated[float, Quantity(SURFACE_MASS)]:
    """Give the mass per area of a leaf [kg/m²], the sum over its layers of sheet mass times count.

    Args:
        leaf: Build-up of the leaf.

    Raises:
        FormulaError: If a material is unknown, or a row has neither mass nor density with thickness.
    """
    return leaf.surface_mass
