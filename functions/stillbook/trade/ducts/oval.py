"""Flat oval ducts, two flat sides between two half rounds: area, perimeter, and the round duct like them."""

from __future__ import annotations

import math
from typing import Annotated

from stillbook.cells import OutOfRange
from stillbook.formula import formula
from stillbook.quantities import LENGTH
from stillbook.readers import Quantity
from stillbook.results import Number

OvalWidth = Annotated[float, Quantity(LENGTH, least=0.01, most=10)]
OvalHeight = Annotated[float, Quantity(LENGTH, least=0.01, most=10)]


def check_oval(width: float, height: float) -> None:
    """Refuse an oval that stands on end: its width is the longer of the two [m]."""
    if width < height:
        raise OutOfRange("the width is less than the height: give the longer axis of the oval as its width")


def oval_area(width: float, height: float) -> float:
    """Clear area [m²].

    >>> round(oval_area(0.2, 0.2) / (math.pi / 4 * 0.2**2), 9)
    1.0
    """
    return height * (width - height) + math.pi / 4 * height**2


def oval_perimeter(width: float, height: float) -> float:
    """Length around it [m]."""
    return 2 * (width - height) + math.pi * height


@formula(
    "OVALEQUIVALENT",
    family="Ducts",
    summary="Diameter of the round duct that takes the same pressure as a flat oval one at the same airflow",
    example=("STILL_OVALEQUIVALENT(14,6)", 9.57786917769746),
    source="Heyt and Diaz, ASHRAE Transactions 81(2), 1975, the equation of the ASHRAE Handbook, Fundamentals",
    vectorised=False,
)
def oval_equivalent(width: OvalWidth, height: OvalHeight) -> Annotated[float, Number(LENGTH)]:
    """Give the diameter of the round duct of equal friction at equal airflow [m].

    D = 1.55 A^0.625 / P^0.25, with the area A = h (w - h) + π h² / 4 and the perimeter P = 2 (w - h) + π h of an oval
    of width w and height h. Take the pressure of the oval from STILL_DUCTLOSS of that round duct; the velocity in the
    oval is the airflow over A, more than in the round one.

    Args:
        width: Longer axis, from half round to half round [m].
        height: Shorter axis, between the flat sides [m].

    Raises:
        OutOfRange: If the width is less than the height.
    """
    check_oval(width, height)
    return float(1.55 * oval_area(width, height) ** 0.625 / oval_perimeter(width, height) ** 0.25)
