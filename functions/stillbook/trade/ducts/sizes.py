"""Sizes of ducts: the area an airflow needs, the sizes that shops make, velocity, equivalents and lining.

Wherever a duct has a width and a height, a height that is blank or 0 means a round duct and the width is its diameter.
"""

from __future__ import annotations

from functools import cache
from typing import Annotated, Final

import numpy as np
import numpy.typing as npt

from stillbook.cells import OutOfRange
from stillbook.formula import formula
from stillbook.quantities import AIR_SPEED, AIRFLOW, LENGTH, NUMBER, SMALL_AREA, System, to_base
from stillbook.readers import Floats, Quantity
from stillbook.results import Number, UnderHeadings
from stillbook.tables import table

MOST_ROWS: Final = 12
_SNUG: Final = 1 - 1e-9
"""An area that is enough but for rounding is enough."""

MOST_AIRFLOW: Final = 100.0
"""More than the largest air handler moves [m³/s]; common practice, no source."""

MOST_VELOCITY: Final = 50.0
"""Faster than any duct or nozzle of ventilation [m/s]: the loss and noise equations were fitted well below it."""

Airflow = Annotated[Floats, Quantity(AIRFLOW, above=0, most=MOST_AIRFLOW)]
OneAirflow = Annotated[float, Quantity(AIRFLOW, above=0, most=MOST_AIRFLOW)]
Velocity = Annotated[Floats, Quantity(AIR_SPEED, above=0, most=MOST_VELOCITY)]
Size = Annotated[Floats, Quantity(LENGTH, above=0, most=10)]
Height = Annotated[Floats, Quantity(LENGTH, least=0.001, most=10, zero=True)]


TOO_FAST: Final = "faster than 50 m/s (9843 fpm), which no duct carries: give a larger duct or less air"


def ventilating(velocity: Floats) -> Floats:
    """A velocity as it is [m/s]; NaN where no duct carries it."""
    kept: Floats = np.where(np.asarray(velocity) <= MOST_VELOCITY, velocity, np.nan)[()]
    return kept


@cache
def standard_sizes(shape: str, units: System) -> npt.NDArray[np.float64]:
    """Standard diameters (``round``) or sides (``rectangular``) in one system [m], smallest first."""
    sizes = [float(row["size"]) for row in table("duct_sizes") if (row["system"], row["shape"]) == (units, shape)]
    return np.array([to_base(size, LENGTH, units) for size in sorted(sizes)])


def section_area(width: Floats, height: Floats | None) -> Floats:
    """Area of a duct's opening [m²]; round where the height is None, NaN or 0.

    >>> round(float(section_area(0.2, 0.1)), 3)
    0.02
    """
    width, height = np.asarray(width, dtype=np.float64), _height(height)
    area: Floats = np.where(height > 0, width * height, np.pi / 4 * width**2)[()]
    return area


def hydraulic_diameter(width: Floats, height: Floats | None) -> Floats:
    """Four times the area over the perimeter [m]: the diameter itself for a round duct."""
    width, height = np.asarray(width, dtype=np.float64), _height(height)
    diameter: Floats = np.where(height > 0, 2 * width * height / (width + height), width)[()]
    return diameter


def friction_diameter(width: Floats, height: Floats | None) -> Floats:
    """Diameter of the round duct of equal friction at equal airflow [m]: the diameter itself for a round duct."""
    width, height = np.asarray(width, dtype=np.float64), _height(height)
    equal = 1.30 * (width * height) ** 0.625 / (width + height) ** 0.25
    diameter: Floats = np.where(height > 0, equal, width)[()]
    return diameter


def _height(height: Floats | None) -> npt.NDArray[np.float64]:
    """A height as an array, 0 where the duct is round."""
    return np.nan_to_num(np.asarray(0.0 if height is None else height, dtype=np.float64), nan=0.0)


@formula(
    "DUCTAREA",
    family="Ducts",
    summary="Clear area of a duct or opening that keeps the air at or below a velocity",
    example=("STILL_DUCTAREA(30,100)", 43.2),
    source="definition; 100 fpm for quiet rooms and 500 fpm at most are common practice, no source",
)
def duct_area(airflow: Airflow, most_velocity: Velocity) -> Annotated[Floats, Number(SMALL_AREA)]:
    """Give the least clear area [m²], inside any lining.

    A = Q / v, with the airflow Q and the greatest velocity v.

    Args:
        airflow: Air through the duct [m³/s].
        most_velocity: Greatest velocity allowed, 100 fpm (0.5 m/s) for quiet rooms [m/s].
    """
    return airflow / most_velocity


@formula(
    "DUCTROUND",
    family="Ducts",
    summary="Smallest standard round duct that keeps the air at or below a velocity",
    example=("STILL_DUCTROUND(30,100)", 8.0),
    source="US sheet metal practice; EN 1506 preferred diameters in an SI workbook",
    no_answer="no standard round duct is large enough: divide the airflow, or allow a higher velocity",
)
def duct_round(airflow: Airflow, most_velocity: Velocity, *, units: System = "US") -> Annotated[Floats, Number(LENGTH)]:
    """Give the clear diameter of the next standard round duct [m].

    The least standard D with π D² / 4 ≥ Q / v, where Q is the airflow and v the greatest velocity.

    Standard sizes follow the workbook's unit system: inch sizes in a US one, the preferred metric sizes in an SI one.
    NaN where the largest is too small.

    >>> round(float(duct_round(0.014, 0.5, units="SI")), 3)
    0.2

    Args:
        airflow: Air through the duct [m³/s].
        most_velocity: Greatest velocity allowed, 100 fpm (0.5 m/s) for quiet rooms [m/s].
        units: System of the standard sizes.
    """
    sizes = standard_sizes("round", units)
    places = np.searchsorted(np.pi / 4 * sizes**2, np.asarray(duct_area(airflow, most_velocity)) * _SNUG)
    diameter: Floats = np.append(sizes, np.nan)[places]
    return diameter


@formula(
    "DUCTSIZES",
    family="Ducts",
    summary="Standard rectangular ducts that keep the air at or below a velocity, smallest first",
    example=(
        "STILL_DUCTSIZES(30,100)",
        ("Width (in)", "Height (in)", "Area (in²)", "Velocity (fpm)", "Width to height", "Equal round (in)"),
    ),
    source="US sheet metal practice, even inches, at most 4 to 1 (SMACNA); EN 1505 in an SI workbook",
    vectorised=False,
)
def duct_sizes(
    airflow: OneAirflow,
    most_velocity: Annotated[float, Quantity(AIR_SPEED, above=0, most=MOST_VELOCITY)],
    most_height: Annotated[float, Quantity(LENGTH, above=0, most=10)] | None = None,
    most_aspect: Annotated[float, Quantity(NUMBER, least=1, most=12)] = 4.0,
    *,
    units: System = "US",
) -> Annotated[
    list[tuple[float, ...]],
    UnderHeadings(
        ("Width", LENGTH),
        ("Height", LENGTH),
        ("Area", SMALL_AREA),
        ("Velocity", AIR_SPEED),
        ("Width to height", NUMBER),
        ("Equal round", LENGTH),
    ),
]:
    """Give the standard rectangular ducts whose clear area is enough, twelve at most, the smallest area first.

    Standard w and h with w h ≥ Q / v and h ≤ w ≤ r h, where Q is the airflow, v the greatest velocity and r the
    greatest ratio; the velocity is Q / (w h), the equal round 1.30 (w h)^0.625 / (w + h)^0.25.

    Of ducts of equal area the squarer stands first. The width is the longer side. Standard sizes follow the workbook's
    unit system. The last column is the round duct of equal friction, not of equal area.

    Args:
        airflow: Air through the duct [m³/s].
        most_velocity: Greatest velocity allowed, 100 fpm (0.5 m/s) for quiet rooms [m/s].
        most_height: Greatest height there is room for [m].
        most_aspect: Greatest ratio of width to height.
        units: System of the standard sizes.

    Raises:
        OutOfRange: If no standard size fits.
    """
    sides = standard_sizes("rectangular", units)
    width, height = (grid.ravel() for grid in np.meshgrid(sides, sides))
    tallest = np.inf if most_height is None or np.isnan(most_height) else most_height
    area = width * height
    fits = (height <= width) & (height * _SNUG <= tallest) & (width * _SNUG <= height * most_aspect)
    fits &= area >= duct_area(airflow, most_velocity) * _SNUG
    if not fits.any():
        raise OutOfRange(
            "no standard rectangular duct fits: divide the airflow, allow more height, a flatter duct or more velocity"
        )
    order = np.lexsort((width[fits] / height[fits], np.round(area[fits], 9)))[:MOST_ROWS]
    return [
        (w, h, w * h, airflow / (w * h), w / h, float(friction_diameter(w, h)))
        for w, h in zip(width[fits][order].tolist(), height[fits][order].tolist(), strict=True)
    ]


@formula(
    "DUCTVELOCITY",
    family="Ducts",
    summary="Velocity of the air in a round or rectangular duct",
    example=("STILL_DUCTVELOCITY(60,8,8)", 135.0),
    source="definition",
    no_answer=TOO_FAST,
)
def duct_velocity(airflow: Airflow, width: Size, height: Height | None = None) -> Annotated[Floats, Number(AIR_SPEED)]:
    """Give the mean velocity [m/s], by the clear area inside any lining.

    v = Q / (w h), of a round duct v = Q / (π w² / 4), with the airflow Q, the width or diameter w and the height h.

    Args:
        airflow: Air through the duct [m³/s].
        width: Clear width, or diameter of a round duct [m].
        height: Clear height, blank or 0 for a round duct [m].
    """
    return ventilating(airflow / section_area(width, height))


@formula(
    "DUCTEQUIVALENT",
    family="Ducts",
    summary="Diameter of the round duct with the same friction as a rectangular one at the same airflow",
    example=("STILL_DUCTEQUIVALENT(8,8)", 8.745322718638631),
    source="Huebscher, Friction equivalents for round, square and rectangular ducts, Trans. ASHVE 54 (1948)",
)
def duct_equivalent(width: Size, height: Size) -> Annotated[Floats, Number(LENGTH)]:
    """Give the equal-friction diameter [m].

    D = 1.30 (a b)^0.625 / (a + b)^0.25, with the sides a and b.

    It matches friction, not velocity: 12 × 12 in and 24 × 6 in have the same area and equivalents of 13.1 and 12.4 in.
    Good to a ratio of sides of about 8.

    Args:
        width: Clear width [m].
        height: Clear height [m].
    """
    return friction_diameter(width, height)


@formula(
    "DUCTOUTER",
    family="Ducts",
    summary="Outside size of a duct lined on both faces, from its clear size",
    example=("STILL_DUCTOUTER(8,1)", 10.0),
    source="common practice, no source",
)
def duct_outer(inside: Size, lining: Size) -> Annotated[Floats, Number(LENGTH)]:
    """Give the size over the lining [m]: the clear size and the lining of both faces, without the sheet.

    D = d + 2 t, with the clear size d and the thickness t of the lining.

    Args:
        inside: Clear width, height or diameter [m].
        lining: Thickness of the lining on each face [m].
    """
    return inside + 2 * lining


@formula(
    "DUCTINNER",
    family="Ducts",
    summary="Clear size of a duct lined on both faces, from its outside size",
    example=("STILL_DUCTINNER(10,1)", 8.0),
    source="common practice, no source",
    no_answer="the lining leaves no opening: give a larger outside size or a thinner lining",
)
def duct_inner(outside: Size, lining: Size) -> Annotated[Floats, Number(LENGTH)]:
    """Give the size clear of the lining [m]; NaN where nothing is left.

    d = D - 2 t, with the outside size D and the thickness t of the lining.

    Args:
        outside: Width, height or diameter over the lining [m].
        lining: Thickness of the lining on each face [m].
    """
    inside = np.asarray(outside, dtype=np.float64) - 2 * np.asarray(lining, dtype=np.float64)
    clear: Floats = np.where(inside > outside * (1 - _SNUG), inside, np.nan)[()]
    return clear
