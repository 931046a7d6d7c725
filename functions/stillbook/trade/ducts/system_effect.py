"""What a fan loses to the duct at its inlet: its curve was measured with even air, and an elbow there spoils it."""

from __future__ import annotations

from functools import cache
from typing import Annotated, Final

import numpy as np

from stillbook.cells import OutOfRange
from stillbook.formula import formula
from stillbook.quantities import LENGTH, NUMBER, PRESSURE
from stillbook.readers import Choice, Quantity
from stillbook.results import Number
from stillbook.tables import table
from stillbook.trade.ducts.fans import MOST_PRESSURE
from stillbook.trade.ducts.pressure import velocity_pressure
from stillbook.trade.ducts.sizes import MOST_VELOCITY, TOO_FAST, OneAirflow, section_area

_STRAIGHTS: Final = (0.0, 2.0, 5.0)
"""Lengths of straight duct between elbow and fan for which a factor is printed [duct diameters]."""


@cache
def _factors(vanes: str) -> tuple[list[float], list[list[float]]]:
    """Radius over side, and for each the factors of the three lengths of straight duct."""
    rows = [row for row in table("system_effect") if row["vanes"] == vanes]
    return (
        [float(row["radius_over_side"]) for row in rows],
        [[float(row[f"straight_{length:.0f}"]) for length in _STRAIGHTS] for row in rows],
    )


VANES: Final = tuple(dict.fromkeys(row["vanes"] for row in table("system_effect")))


def inlet_elbow_factor(radius: float, straight: float, vanes: str) -> float:
    """Loss over the velocity pressure at the inlet, between the printed ones in proportion.

    Args:
        radius: Radius of the elbow over the side of the duct.
        straight: Straight duct between elbow and fan [duct diameters].
        vanes: Which vanes the elbow has.
    """
    radii, factors = _factors(vanes)
    by_radius = [float(np.interp(straight, _STRAIGHTS, row)) for row in factors]
    return float(np.interp(radius, radii, by_radius))


@formula(
    "FANINLETLOSS",
    family="Ducts",
    summary="Pressure that an elbow close before a fan takes off the fan's curve",
    example=('STILL_FANINLETLOSS(500,10,1,0,"none")', 0.0627612563730263),
    source="System effect factors of ASHRAE 1988 for square elbows before a fan inlet, as reprinted with a handbook",
    vectorised=False,
)
def fan_inlet_loss(
    airflow: OneAirflow,
    diameter: Annotated[float, Quantity(LENGTH, least=0.01, most=10)],
    radius: Annotated[float, Quantity(NUMBER, least=0.5, most=10)],
    straight: Annotated[float, Quantity(NUMBER, least=0, most=100)] = 0.0,
    vanes: Annotated[str, Choice(*VANES)] = "none",
) -> Annotated[float, Number(PRESSURE)]:
    """Give the pressure to add to what the fan has to give, beside what the elbow itself takes [Pa].

    C ρ v² / 2, with v the velocity at the fan's inlet and C printed for square elbows with a transition to the inlet,
    by the radius of the elbow over the side of its duct, 0.5 to 2, and the straight duct between elbow and fan, none, 2
    or 5 diameters; between them in proportion. A larger radius counts as 2, a longer straight duct as 5 diameters, as
    nothing is printed beyond. A fan that turns in even air loses nothing: give it straight duct.

    The factors are approximations, and for these elbows alone: a damper or a flexible duct pulled askew before the
    inlet, or a wall close to it, takes pressure too. Where the maker gives a figure for the inlet, it goes before this.

    Args:
        airflow: Air through the fan [m³/s].
        diameter: Diameter of the fan's inlet [m].
        radius: Radius of the elbow, at the middle of the duct, over the side of the duct.
        straight: Straight duct between elbow and inlet, in duct diameters; none is the worst.
        vanes: Vanes in the elbow: none, three long ones, or many short ones.

    Raises:
        OutOfRange: If the air is faster than any duct carries, or the loss is more than any fan has.
    """
    if airflow / float(section_area(diameter, None)) > MOST_VELOCITY:
        raise OutOfRange(f"the air is {TOO_FAST}")
    loss = inlet_elbow_factor(radius, straight, vanes) * float(velocity_pressure(airflow, diameter, None))
    if loss > MOST_PRESSURE:
        raise OutOfRange("the elbow would take more than 10 kPa (40 in.wg): give a larger inlet or less air")
    return loss
