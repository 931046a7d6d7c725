"""The material table: what each product and substance weighs, how it is spelled, and where that is known from."""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Annotated

from stillbook.formula import formula
from stillbook.quantities import DENSITY, LENGTH, SURFACE_MASS
from stillbook.readers import Choice
from stillbook.results import UnderHeadings
from stillbook.tables import table


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
