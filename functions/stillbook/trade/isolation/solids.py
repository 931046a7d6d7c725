"""Stiffness and damping of the solids a leaf is made of, and a leaf as one vibrating panel."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache, cached_property
from typing import Final

from stillbook.tables import table
from stillbook.trade.isolation.pores import Pores
from stillbook.trade.mass.leaves import Layer, Leaf
from stillbook.trade.mass.materials import material_key
from stillbook.trade.physics.sound import SPEED_OF_SOUND

LIMP_LOSS_FACTOR: Final = 0.02
"""Loss factor of a leaf without stiffness data; it has no bending waves for it to damp."""


@dataclass(frozen=True, slots=True)
class Solid:
    """Bending data of a material: critical frequency times thickness [m/s], and loss factor with usual mounting.

    The product is infinite for a porous material, which has no bending stiffness to speak of. ``laid_wet`` is
    "masonry", or "render" for what is spread on masonry and sets there; else empty. The airflow resistivity [Pa·s/m²]
    is infinite where sound passes no pores, and ``porosity`` is the share of the volume that they open.
    """

    name: str
    critical_product: float
    loss_factor: float
    source: str
    laid_wet: str
    airflow_resistivity: float
    porosity: float


@dataclass(frozen=True)
class Panel:
    """A leaf as one panel.

    Args:
        mass: Mass per area [kg/m²].
        stiffness: Bending stiffness per width [N·m]; 0 for a limp leaf.
        loss_factor: Share of vibration energy lost in each radian of vibration.
        thickness: Thickness of its thickest stiff sheet, or of sheets that bend as one [m]; 0 where unknown.
        sheets: How many stiff sheets lie loose on one another; they rub.
        pores: Pores that are open right across it; None where something closes them.
    """

    mass: float
    stiffness: float = 0.0
    loss_factor: float = LIMP_LOSS_FACTOR
    thickness: float = 0.0
    sheets: int = 1
    pores: Pores | None = None

    @cached_property
    def critical_frequency(self) -> float:
        """Where bending waves in the panel run as fast as sound in air [Hz]; infinite for a limp panel."""
        if self.stiffness <= 0:
            return math.inf
        return SPEED_OF_SOUND**2 / (2 * math.pi) * math.sqrt(self.mass / self.stiffness)


@cache
def solids() -> tuple[Solid, ...]:
    """The table of solids, longest name first."""
    rows = [
        Solid(
            row["material"],
            float(row["critical_product_m_s"] or math.inf),
            float(row["loss_factor"] or LIMP_LOSS_FACTOR),
            row["source"],
            row["laid_wet"],
            float(row["airflow_resistivity_pa_s_m2"] or math.inf),
            float(row["open_porosity"] or 0),
        )
        for row in table("solids")
    ]
    return tuple(sorted(rows, key=lambda solid: -len(solid.name)))


@cache
def solid_of(name: str) -> Solid | None:
    """The solid whose name a material's name begins with; None where there is no stiffness data.

    >>> solid_of("Gypsum board 5/8 in type X").critical_product
    38.0
    >>> solid_of("Heavy limp sheet 1 lb/ft²")
    """
    words = material_key(name).split()
    for solid in solids():
        start = material_key(solid.name).split()
        if words[: len(start)] == start:
            return solid
    return None


def panel_of(leaf: Leaf, *, glued: bool = False) -> Panel:
    """A leaf as one panel.

    Loose layers (screwed or laid together) slide on each other: their stiffnesses add. Glued layers bend as one plate
    about their common neutral axis, and so do plaster, stucco and screed with the masonry they are spread on. Layers of
    a material without stiffness data, and layers given by mass alone, count as limp: they add mass only.

    Masonry beside bare block, and what is spread on it or glued to it all over, close its pores; board that is screwed
    to it or on dabs does not (NRC Canada, concrete block walls).

    Source: Fahy and Gardonio, Sound and Structural Vibration, thin plates; laminate theory of thin plates for glued
    layers, with Poisson's ratio of the layers taken alike.
    """
    sheets = [sheet for layer in leaf.layers for sheet in [layer] * layer.count]
    stiff = [(layer, solid) for layer in sheets if (solid := _bending(layer)) is not None]
    if not stiff:
        return Panel(leaf.surface_mass)
    plates = [plate for plate in ([sheets] if glued else _plates(sheets)) if any(map(_bending, plate))]
    alone = [(_stiffness(layer, solid), solid.loss_factor) for layer, solid in stiff]
    loss = sum(part * factor for part, factor in alone) / sum(part for part, _ in alone)
    thickest = max(sum(layer.thickness or 0.0 for layer in plate) for plate in plates)
    pores = None if glued and len(sheets) > 1 else _open_pores(sheets)
    return Panel(leaf.surface_mass, sum(map(_laminate, plates)), loss, thickest, len(plates), pores)


def _open_pores(sheets: Iterable[Layer]) -> Pores | None:
    """The pores right across sheets on one another; None where a sheet of masonry or render closes them."""
    laid = [(layer, solid) for layer in sheets if (solid := _bending(layer)) is not None and solid.laid_wet]
    if not laid or any(math.isinf(solid.airflow_resistivity) for _, solid in laid):
        return None
    depths = [layer.thickness or 0.0 for layer, _ in laid]
    resistance = sum(solid.airflow_resistivity * depth for (_, solid), depth in zip(laid, depths, strict=True))
    porosity = sum(solid.porosity * depth for (_, solid), depth in zip(laid, depths, strict=True)) / sum(depths)
    return Pores(resistance, porosity, sum(depths))


def _plates(sheets: Iterable[Layer]) -> list[list[Layer]]:
    """Sheets that bend as one, in order: plaster, stucco or screed with the masonry beside it, else each alone."""
    plates: list[list[Layer]] = []
    before = ""
    for layer in sheets:
        solid = _bending(layer)
        laid = solid.laid_wet if solid else ""
        if laid and before and "render" in (laid, before):
            plates[-1].append(layer)
        else:
            plates.append([layer])
        before = laid
    return plates


def together(panels: Iterable[Panel]) -> Panel:
    """Panels that move alike: their masses and stiffnesses add, and each closes the pores of the others."""
    panels = tuple(panels)
    stiffness = sum(panel.stiffness for panel in panels)
    loss = (
        sum(panel.stiffness * panel.loss_factor for panel in panels) / stiffness if stiffness > 0 else LIMP_LOSS_FACTOR
    )
    thickest = max(panels, key=lambda panel: panel.stiffness)
    return Panel(sum(panel.mass for panel in panels), stiffness, loss, thickest.thickness)


def _bending(layer: Layer) -> Solid | None:
    """The solid of a layer that bends; None for a limp one."""
    solid = solid_of(layer.name) if layer.thickness else None
    return solid if solid and math.isfinite(solid.critical_product) else None


def _stiffness(layer: Layer, solid: Solid) -> float:
    """Bending stiffness of one sheet [N·m], from the critical frequency it has alone."""
    assert layer.thickness is not None
    return layer.surface_mass * (SPEED_OF_SOUND**2 * layer.thickness / (2 * math.pi * solid.critical_product)) ** 2


def _laminate(sheets: list[Layer]) -> float:
    """Bending stiffness of sheets glued in this order [N·m]; limp sheets only hold the others apart."""
    position, parts = 0.0, []
    for layer in sheets:
        thickness = layer.thickness or 0.0
        solid = _bending(layer)
        own = _stiffness(layer, solid) if solid else 0.0
        stretching = 12 * own / thickness**2 if own else 0.0
        parts.append((position + thickness / 2, stretching, own))
        position += thickness
    axis = sum(middle * stretching for middle, stretching, _ in parts) / sum(stretching for _, stretching, _ in parts)
    return sum(own + stretching * (middle - axis) ** 2 for middle, stretching, own in parts)
