"""Reading a leaf: the rows of a build-up as layers that move as one, and sheets to choose among."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from typing import Annotated, Any, Final

from stillbook.cells import Missing, NotUnderstood, OutOfRange, as_rows, is_blank
from stillbook.quantities import COUNT, DENSITY, LENGTH, SURFACE_MASS, QuantityError, System, read_text
from stillbook.readers import Floats, Quantity, Reader, show
from stillbook.tables import table
from stillbook.trade.mass.materials import Material, material_key, materials
from stillbook.trade.mass.words import did_you_mean, kind_of, may_mean, named


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

_HEAVIEST_LIMP: Final = 11.0
"""Mass per area of the heavier usual limp sheets [kg/m²]; what is heavier and has no name may be a stiff board."""

_SLAB: Final = "Solid-core door slab 1-3/4 in"
"""What a heavy mass without a name mostly was: older estimates held their door slab so."""

_BOARD: Final = "Gypsum board 5/8 in type X"
"""What a light mass without a name is taken for, since most leaves are of it: common practice, no source."""

_BOARDS: Final = ("Gypsum board", "Wood panel")
"""Groups of the material table that leaves are boarded with."""

_DENSEST: Final = 11_500
"""Denser than lead [kg/m³]: no sheet of the trade is, so a mass and thickness that imply more are a slip."""

_DENSITY: Final = Quantity(DENSITY, above=0, most=_DENSEST)

_TOLERANCE: Final = 0.15
"""How far a thickness may lie from the one a sheet is named for: 18 mm beside 3/4 in, never the next gauge of steel."""


class LeafReader(Reader):
    """A build-up as rows of material, thickness, count and mass per area; the last three may be blank or absent.

    A material is a name from the table, another word for it with its thickness, a mass per area (a number, or text
    such as ``2.5 lb/ft²``), or a density such as ``45 lb/ft³`` with a thickness. A mass beside a name is what one sheet
    weighs, and keeps its stiffness.
    Blank rows are passed over.

    Args:
        optional: True where a build-up may be blank throughout, which gives None.
        stiff: True where what a leaf keeps out is asked: a mass without a name must be light enough to be limp, and a
            leaf of porous materials alone is refused.
    """

    broadcasts = False

    def __init__(self, *, optional: bool = False, stiff: bool = False) -> None:
        self.optional = optional
        self.stiff = stiff

    @property
    def quantities(self) -> tuple[Quantity, ...]:
        return _THICKNESS, _COUNT, _SURFACE_MASS, _DENSITY

    def label(self, system: System) -> str:
        return f"rows of material, thickness ({LENGTH.unit(system)}), count, mass ({SURFACE_MASS.unit(system)})"

    def read(self, value: Any, name: str, system: System) -> Leaf | None:
        rows = as_rows(value)
        if len(rows[0]) > 4:
            raise NotUnderstood(f"{name} has {len(rows[0])} columns: give material, thickness, count and mass per area")
        layers = []
        for number, row in enumerate(rows, start=1):
            if all(is_blank(cell) for cell in row):
                continue
            where = name if len(rows) == 1 else f"{name}, row {number}"
            layers.append(_layer([*row, None, None, None][:4], where, system))
            if self.stiff:
                _limp_enough(layers[-1], where, system)
        if layers:
            return _bearable(_closed(Leaf(tuple(layers)), name) if self.stiff else Leaf(tuple(layers)), name, system)
        if self.optional:
            return None
        raise Missing(f"{name} is blank: give a material, and beside it its mass where unusual")


class SheetsReader(Reader):
    """Sheets to choose among, as rows of material and thickness; a group of the material table means all its sheets."""

    broadcasts = False

    @property
    def quantities(self) -> tuple[Quantity, ...]:
        return _THICKNESS, _SURFACE_MASS, _DENSITY

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
            sheets += members or [_sheet(_layer([material, thickness, None, None], where, system), where, system)]
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
    material, thickness_cell, count_cell, mass_cell = row
    if is_blank(material):
        raise Missing(f"{name} has no material: give its name")
    thickness = None if is_blank(thickness_cell) else _THICKNESS.read(thickness_cell, f"{name}, thickness", system)
    count = 1 if is_blank(count_cell) else int(_COUNT.read(count_cell, f"{name}, count", system))
    if not is_blank(mass_cell):
        return _weighed(material, thickness, count, mass_cell, name, system)
    if not isinstance(material, str):
        mass = _SURFACE_MASS.read(material, name, system)
        return Layer("", _plausible(mass, thickness, name, system), thickness, count)
    known = named(material, thickness)
    if known is not None:
        return Layer(known.name, _table_mass(known, thickness, name, system), thickness or known.thickness, count)
    if not may_mean(material) and (material.strip()[:1].isdigit() or material.strip()[:1] in ("+", "-", ".")):
        mass = _mass_from_text(material, thickness, name, system)
        return Layer(material, _plausible(mass, thickness, name, system), thickness, count)
    raise NotUnderstood(
        f'{name}: the material "{material[:60]}" is not in the table'
        + (did_you_mean(material) or ": give a name from STILL_MATERIALS")
    )


def _weighed(material: Any, thickness: float | None, count: int, mass_cell: Any, name: str, system: System) -> Layer:
    """A named material of which one sheet weighs what stands beside it; its thickness is the usual one unless typed."""
    mass = _SURFACE_MASS.read(mass_cell, f"{name}, mass", system)
    known = named(material) if isinstance(material, str) else None
    kind = None if known else _kinds().get(material_key(kind_of(str(material))))
    if known is None and kind is None:
        raise NotUnderstood(f"{name} has a mass beside a material not in the table: give a name from STILL_MATERIALS")
    called = known.name if known else str(kind)
    thickness = thickness or (known.thickness if known else None)
    if thickness is None:
        raise Missing(f"{name}: {called} has no usual thickness: give one beside the name ({LENGTH.unit(system)})")
    return Layer(called, _plausible(mass, thickness, name, system), thickness, count)


@cache
def _kinds() -> dict[str, str]:
    """Names of a kind, by spelling key: solids whose stiffness is known, and what the names of materials begin with."""
    solids = {material_key(row["material"]): row["material"] for row in table("solids")}
    words = [material_key(material.name).split() for material in materials().values()]
    begun = {" ".join(name[:count]) for name in words for count in range(2, len(name))}
    # A name that stops short of a solid's would lose its stiffness.
    whole = {name for name in begun if not any(solid.startswith(f"{name} ") for solid in solids)}
    return {name: name for name in whole} | solids


def _bearable(leaf: Leaf, name: str, system: System) -> Leaf:
    """A leaf whose layers together weigh no more than one may."""
    if leaf.surface_mass > _SURFACE_MASS.most:
        shown, most = (show(mass, SURFACE_MASS, system) for mass in (leaf.surface_mass, _SURFACE_MASS.most))
        raise OutOfRange(f"{name} weighs {shown} in all, more than any wall: give layers of at most {most} together")
    return leaf


@cache
def _porous() -> tuple[str, ...]:
    """What the names of materials begin with that sound goes through, by spelling key."""
    return tuple(material_key(row["material"]) for row in table("solids") if not row["critical_product_m_s"])


def _closed(leaf: Leaf, name: str) -> Leaf:
    """A leaf that something closes against air."""
    if all(material_key(layer.name).startswith(_porous()) for layer in leaf.layers):
        raise NotUnderstood(
            f"{name} is of {leaf.layers[0].name} alone, which sound goes through: a leaf needs a board or sheet; what "
            "fills a cavity is told as its fill"
        )
    return leaf


def boarded(leaf: Leaf) -> Leaf:
    """A leaf of nothing but masses without a name as gypsum board that weighs as much; any other as it is.

    A limp sheet, which keeps out more on framing and where board is weak, has a name in the table of materials.
    """
    if any(_has_name(layer) for layer in leaf.layers):
        return leaf
    board = materials()[material_key(_BOARD)]
    thick = (layer.thickness or layer.surface_mass / board.density for layer in leaf.layers)
    return Leaf(
        tuple(replace(layer, name=board.name, thickness=depth) for layer, depth in zip(leaf.layers, thick, strict=True))
    )


def _has_name(layer: Layer) -> bool:
    """Whether a layer is of a material that is known."""
    key = material_key(layer.name)
    return key in materials() or key in _kinds()


def _limp_enough(layer: Layer, name: str, system: System) -> None:
    """Refuse a mass without a name that is too heavy to be a limp sheet: its stiffness decides what it keeps out."""
    if layer.surface_mass > _HEAVIEST_LIMP and not _has_name(layer):
        shown = show(layer.surface_mass, SURFACE_MASS, system)
        raise OutOfRange(
            f"{name} holds {shown} without a name, and its stiffness can take 10 dB off it: give the material's name, "
            f"its thickness, the count and {shown.split()[0]} as the mass in a fourth cell, or in rows of three cells "
            f'the name alone, such as "{_SLAB}"'
        )


def named_instead(material: Any, system: System) -> tuple[str, ...]:
    """The boards of the table nearest to a mass without a name that is too heavy to be a limp sheet.

    Args:
        material: What stands as the material of a layer.
        system: The unit system of a bare number.

    Returns:
        The names of three, the nearest first; none where the layer has a name, or may be limp.

    >>> named_instead("2.5 lb/ft²", "US")[0], named_instead("1 lb/ft²", "US"), named_instead("MDF 3/4 in", "US")
    ('OSB 3/4 in', (), ())
    """
    try:
        layer = _layer([material, None, None, None], "leaf", system)
        _limp_enough(layer, "leaf", system)
    except OutOfRange:
        sheets = [sheet for sheet in materials().values() if sheet.surface_mass is not None and sheet.group in _BOARDS]
        sheets.sort(key=lambda sheet: abs((sheet.surface_mass or 0.0) - layer.surface_mass))
        return tuple(sheet.name for sheet in sheets[:3])
    except (Missing, NotUnderstood, QuantityError):
        return ()
    return ()


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
            read_text(text, DENSITY, system)
        except QuantityError:
            raise NotUnderstood(f"{name}: {error}{did_you_mean(text)}") from None
        if thickness is None:
            unit = LENGTH.unit(system)
            raise Missing(f'{name}: "{text}" is a density: give the thickness beside it ({unit})') from None
        mass = _DENSITY.read(text, name, system) * thickness
    if not _SURFACE_MASS.least <= mass <= _SURFACE_MASS.most:
        raise OutOfRange(f"{name} is {show(mass, SURFACE_MASS, system)}: {_SURFACE_MASS.wanted(system)}")
    return mass


LeafRows = Annotated[Leaf, LeafReader()]
PanelRows = Annotated[Leaf, LeafReader(stiff=True)]
"""A leaf of which the stiffness counts."""

SurfaceMass = Annotated[Floats, Quantity(SURFACE_MASS, above=0, most=3000)]
