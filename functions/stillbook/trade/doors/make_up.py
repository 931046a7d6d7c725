"""What to add to a door slab: whole layers of sheets that make up what it lacks."""

from __future__ import annotations

import math
import re
from collections import defaultdict
from typing import Annotated, Final

from stillbook.cells import OutOfRange
from stillbook.formula import formula
from stillbook.quantities import COUNT, LENGTH, MASS, SURFACE_MASS, System
from stillbook.readers import Quantity, show
from stillbook.results import UnderHeadings
from stillbook.trade.doors.limits import DoorSize
from stillbook.trade.mass.leaves import Layer, SheetsReader, sheets_of
from stillbook.trade.mass.materials import material_key, materials

SHEET_GROUPS: Final = ("Gypsum board", "Wood panel", "Limp sheet", "Lead", "Metal sheet")
"""Groups of the material table that a door is made heavier with."""

MOST_LAYERS: Final = 4
"""Layers of one sheet material that a door make-up offers; common practice, no source."""

LEAD_CAUTION: Final = "Lead: local rules, gloves, no sanding"


@formula(
    "DOORMAKEUP",
    family="Doors",
    summary="Sheet materials that make up a door's shortfall, thinnest first: layers, added thickness and mass",
    example=(
        "STILL_DOORMAKEUP(28,36,80,0.1)",
        (
            "Sheet",
            "Layers",
            "Added thickness (in)",
            "Added mass (lb)",
            "Above the shortfall (lb)",
            "Caution",
        ),
    ),
    source="Whole layers over the door face; masses from the source beside each material in STILL_MATERIALS",
    vectorised=False,
)
def door_makeup(
    shortfall: Annotated[float, Quantity(MASS, least=0, most=5000)],
    width: DoorSize,
    height: DoorSize,
    most_thickness: Annotated[float | None, Quantity(LENGTH, above=0, most=1)] = None,
    materials: Annotated[tuple[Layer, ...] | None, SheetsReader()] = None,
    *,
    units: System = "US",
) -> Annotated[
    list[tuple[str, int, float, float, float, str]],
    UnderHeadings(
        ("Sheet", None),
        ("Layers", COUNT),
        ("Added thickness", LENGTH),
        ("Added mass", MASS),
        ("Above the shortfall", MASS),
        ("Caution", None),
    ),
]:
    """List the sheets that make up a shortfall in whole layers over the whole door face, thinnest first.

    The layers may lie on one face or be shared between both. Of one product in several thicknesses only those are
    listed that no other beats in both thickness and number of layers; sheets asked for, by name or group, are all
    listed. No more than four layers are offered.

    n = ⌈A / (m W H)⌉ and at most 4, with A the shortfall and m the mass per area of one sheet; the layers are n t thick
    and weigh n m W H.

    Args:
        shortfall: What the door must gain [kg].
        width: Width of the door [m].
        height: Height of the door [m].
        most_thickness: The most thickness that may be added; any when left out [m].
        materials: Rows of sheet material and, where it is not the usual one, thickness; or names of groups. Gypsum
            board, wood panel, limp sheet, lead and metal sheet when left out.

    Raises:
        OutOfRange: If no sheet makes up the shortfall within the thickness and four layers.
    """
    if shortfall == 0:
        return [("No sheet needed", 0, 0.0, 0.0, 0.0, "")]
    candidates = materials or tuple(sheet for group in SHEET_GROUPS for sheet in sheets_of(group))
    area = width * height
    options = [(sheet, math.ceil(round(shortfall / (sheet.surface_mass * area), 9))) for sheet in candidates]
    options = [(sheet, layers) for sheet, layers in options if layers <= MOST_LAYERS]
    thinnest = min((_added(option) for option in options), default=math.inf)
    if most_thickness is not None:
        options = [option for option in options if _added(option) <= most_thickness * (1 + 1e-9)]
    if not options:
        raise OutOfRange(
            f"no sheet adds {show(shortfall, MASS, units)} in {MOST_LAYERS} layers: name heavier sheets, or start "
            "from a heavier slab"
            if math.isinf(thinnest)
            else f"the thinnest make-up of {show(shortfall, MASS, units)} adds {show(thinnest, LENGTH, units)}: "
            "allow that thickness, name denser sheets, or start from a heavier slab"
        )
    if materials is None:
        options = _unbeaten(options)
    rows = [
        (
            _sheet_name(sheet, units),
            layers,
            _added((sheet, layers)),
            sheet.surface_mass * area * layers,
            max(0.0, sheet.surface_mass * area * layers - shortfall),
            LEAD_CAUTION if _is_lead(sheet) else "",
        )
        for sheet, layers in options
    ]
    return sorted(rows, key=lambda row: (round(row[2], 9), row[1], row[3]))


def _added(option: tuple[Layer, int]) -> float:
    """Thickness of a sheet in so many layers [m]."""
    sheet, layers = option
    return (sheet.thickness or 0.0) * layers


def _unbeaten(options: list[tuple[Layer, int]]) -> list[tuple[Layer, int]]:
    """Of each product, the thicknesses that no other of its thicknesses beats in layers, thickness and mass."""
    products: dict[str, list[tuple[Layer, int]]] = defaultdict(list)
    for option in options:
        products[re.split(r"\s*\d", option[0].name)[0]].append(option)
    kept = []
    for same in products.values():
        best: list[tuple[Layer, int]] = []
        for option in sorted(same, key=lambda option: (_added(option), option[1], option[0].surface_mass)):
            if not best or option[1] < best[-1][1]:
                best.append(option)
        kept += best
    return kept


def _sheet_name(sheet: Layer, units: System) -> str:
    """What to call a sheet: its name, with the thickness where the name is of a plain substance or a bare mass."""
    known = materials().get(material_key(sheet.name))
    if known is not None and known.thickness is not None:
        return sheet.name
    name = sheet.name or f"Sheet of {show(sheet.surface_mass, SURFACE_MASS, units)}"
    return f"{name}, {show(sheet.thickness or 0.0, LENGTH, units)}"


def _is_lead(sheet: Layer) -> bool:
    known = materials().get(material_key(sheet.name))
    return known is not None and known.group == "Lead"
