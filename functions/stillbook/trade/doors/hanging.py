"""What a door hangs on and sweeps: its hinges, their load, and the floor of its swing."""

from __future__ import annotations

from typing import Annotated, Final

import numpy as np

from stillbook.cells import OutOfRange
from stillbook.formula import formula
from stillbook.quantities import ANGLE, AREA, COUNT, FORCE, LENGTH, System
from stillbook.readers import Floats, Quantity, show
from stillbook.results import Number, SideBySide
from stillbook.trade.doors.limits import DoorMass, DoorMasses, DoorSize, DoorSizes
from stillbook.trade.physics.constants import INCH, POUND

STANDARD_GRAVITY: Final = 9.80665


# Common practice, no source: the top hinge 7 in below the head and the bottom hinge 11 in above the floor, to the edges
# of 4-1/2 in hinges. The other usual setting, 5 in and 10 in, puts them farther apart and pulls less.
HINGE_SETTING: Final = (7 + 11 + 4.5) * INCH

# Common practice, no source: hinge makers advise heavier hinges above about 200 lb.
HINGE_MASS: Final = 200 * POUND


@formula(
    "HINGES",
    family="Doors",
    summary="Number of hinges for a door by its height and mass",
    example=("STILL_HINGES(88,80)", 3.0),
    source="NFPA 80, 6.4, by height; one more for each 200 lb or part above 200 lb is common practice, no source",
)
def hinges(mass: DoorMasses, height: DoorSizes) -> Annotated[Floats, Number(COUNT)]:
    """Give the number of hinges: two up to 60 in of height and one more for each 30 in or part above that.

    A door heavier than 200 lb (91 kg) takes one more than its height asks for, and another for each further 200 lb or
    part. No standard sets a number by mass: choose hinges whose maker rates them for the mass and width of the door,
    heavy bearing hinges above about 200 lb, and a frame and wall that carry them.

    n = 2 + max(0, ⌈(H - 60 in) / 30 in⌉) + max(0, ⌈(M - 200 lb) / 200 lb⌉), with H the height and M the mass.

    Args:
        mass: Mass of the finished door [kg].
        height: Height of the door [m].
    """
    by_height = 2 + np.maximum(0, _steps(height - 60 * INCH, 30 * INCH))
    number: Floats = by_height + np.maximum(0, _steps(mass - HINGE_MASS, HINGE_MASS))
    return number


def _steps(excess: Floats, step: float) -> Floats:
    """Whole steps that cover an excess; rounded first, so that 90 in is not one step more than it is on paper."""
    steps: Floats = np.ceil(np.round(excess / step, 9))
    return steps


@formula(
    "HINGELOAD",
    family="Doors",
    summary="Horizontal pull of a door on its top hinge, and beside it the vertical share of each hinge",
    example=("STILL_HINGELOAD(88,36,80,3)", (27.547826086956523, 29.333333333333332)),
    source="Statics of a uniform plate on two hinges; hinge positions are common practice, no source",
    vectorised=False,
)
def hinge_load(
    mass: DoorMass,
    width: DoorSize,
    height: DoorSize,
    hinges: Annotated[float, Quantity(COUNT, least=2, most=12, whole=True)],
    *,
    units: System = "US",
) -> Annotated[
    tuple[float, ...], SideBySide(("Pull on the top hinge", FORCE), ("Vertical share of each hinge", FORCE))
]:
    """Give the horizontal pull on the top hinge and the vertical share of each hinge [N].

    The door is a uniform plate that hangs at rest. Its weight half a width from the pins is held by a couple: the top
    hinge is pulled from the frame and the bottom hinge pushed into it, equally. Hinges between them are taken to hold
    none of it. They are taken to be set 7 in (178 mm) below the head and 11 in (279 mm) above the floor, 4-1/2 in
    (114 mm) high. The weight is shared equally, which holds only if all hinges are shimmed alike: size each for more.

    Slamming, a closer and a child on the handle add to both. The frame, its anchors and the wall behind them take the
    same forces: ask a structural engineer where in doubt.

    F = M g W / (2 h) and V = M g / n, with g = 9.80665 m/s², W the width, n the hinges and h = H - 22.5 in between the
    middles of the top and bottom hinges.

    Args:
        mass: Mass of the finished door [kg].
        width: Width of the door [m].
        height: Height of the door [m].
        hinges: Number of hinges.

    Raises:
        OutOfRange: If the door is too low for hinges in these positions.
    """
    apart = height - HINGE_SETTING
    if apart < 4.5 * INCH:
        raise OutOfRange(
            f"height is {show(height, LENGTH, units)}: hinges 7 in below the head and 11 in above the floor need "
            f"at least {show(HINGE_SETTING + 4.5 * INCH, LENGTH, units)}"
        )
    weight = mass * STANDARD_GRAVITY
    return top_hinge_pull(weight, width, apart), weight / hinges


def top_hinge_pull(weight: float, width: float, apart: float) -> float:
    """Horizontal force [N] at the top hinge of a uniform door of this weight [N], hinges so far apart [m].

    Halliday, Resnick and Walker, Fundamentals of Physics, ch. 12, a door of 27 kg and 0.91 m on hinges 1.5 m apart:

    >>> round(top_hinge_pull(27 * 9.8, 0.91, 1.5))
    80
    """
    return weight * width / 2 / apart


@formula(
    "SWINGAREA",
    family="Doors",
    summary="Floor that a door sweeps as it opens",
    example=("STILL_SWINGAREA(36)", 7.0685834705770345),
    source="Area of a circle's sector",
)
def swing_area(
    width: DoorSizes, angle: Annotated[Floats, Quantity(ANGLE, above=0, most=180)] = 90.0
) -> Annotated[Floats, Number(AREA)]:
    """Give the floor area a door sweeps [m²], a sector with the door's width as radius.

    S = π W² φ / 360, with W the width and φ the angle in degrees.

    Args:
        width: Width of the door [m].
        angle: How far it opens.
    """
    return np.pi * width**2 * angle / 360
