"""Loss coefficients of fittings and changes of size, by the published correlations that the fluids library keeps.

Correlations of good name disagree by a third and more. The greater is taken throughout: a fan chosen by it is not too
small. Handbook tables of duct fittings lie lower still for rounded elbows.
"""

from __future__ import annotations

import importlib
import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Any, Final

from stillbook.tables import table
from stillbook.trade.ducts.splines import surface

SLOWEST: Final = 2000.0
"""Reynolds number below which a coefficient no longer rises."""


@dataclass(frozen=True, slots=True)
class Fitting:
    """A kind of fitting: its form, and what geometry the form takes.

    Args:
        name: Name in the trade.
        shape: Duct it belongs to: ``round``, ``rectangular`` or ``any``.
        form: Which correlation.
        angle: Turn of each joint [degrees]; NaN where there is none.
        radius: Radius of the bend or the edge over the diameter or width; NaN where there is none.
        joints: How many such turns it has.
    """

    name: str
    shape: str
    form: str
    angle: float
    radius: float
    joints: int

    def coefficient(self, diameter: float, reynolds: float, roughness: float) -> float:
        """Loss over the velocity pressure, at a hydraulic diameter [m], Reynolds number and roughness [m]."""
        return self.joints * _FORMS[self.form](self, diameter, max(reynolds, SLOWEST), roughness)


@cache
def fittings() -> dict[str, Fitting]:
    """The fittings by name, in the order of the table."""
    return {
        row["fitting"]: Fitting(
            row["fitting"],
            row["shape"],
            row["form"],
            float(row["angle"] or "nan"),
            float(row["radius"] or "nan"),
            int(row["joints"]),
        )
        for row in table("fittings")
    }


@cache
def _fluids() -> Any:
    """The fittings of the library fluids, with splines that need no other library."""
    from fluids.numerics import py_splev

    fittings: Any = importlib.import_module("fluids.fittings")
    fittings.bisplev, fittings.splev = surface, py_splev
    return fittings


def _rounded_bend(fitting: Fitting, diameter: float, reynolds: float, roughness: float) -> float:
    loss: float = max(
        _fluids().bend_rounded(
            Di=diameter,
            angle=fitting.angle,
            bend_diameters=fitting.radius,
            Re=reynolds,
            roughness=roughness,
            method=method,
        )
        for method in ("Rennels", "Miller")
    )
    return loss


def _mitred_bend(fitting: Fitting, diameter: float, reynolds: float, roughness: float) -> float:
    """Blevins leads in slow air, Miller where it is faster or the wall rough; Rennels holds the floor."""
    loss: float = max(
        _fluids().bend_miter(angle=fitting.angle, Di=diameter, Re=reynolds, roughness=roughness, method=method)
        for method in ("Rennels", "Miller", "Blevins")
    )
    return loss


def _sharp_entrance(*_: object) -> float:
    return float(_fluids().entrance_sharp(method="Rennels"))


def _projecting_entrance(*_: object) -> float:
    return float(_fluids().entrance_distance(Di=1.0, t=0.0, method="Rennels"))


def _rounded_entrance(fitting: Fitting, *_: object) -> float:
    return float(_fluids().entrance_rounded(Di=1.0, rc=fitting.radius, method="Rennels"))


def _exit(*_: object) -> float:
    return float(_fluids().exit_normal())


def _box(*_: object) -> float:
    return _exit() + _sharp_entrance()


_FORMS: Final[dict[str, Callable[[Fitting, float, float, float], float]]] = {
    "rounded bend": _rounded_bend,
    "mitred bend": _mitred_bend,
    "sharp entrance": _sharp_entrance,
    "projecting entrance": _projecting_entrance,
    "rounded entrance": _rounded_entrance,
    "exit": _exit,
    "box": _box,
}


def change_coefficient(small: float, large: float, angle: float, friction_factor: float, *, widens: bool) -> float:
    """Loss of a change of size over the velocity pressure in the small duct.

    Args:
        small: Diameter of the small duct, or of the round duct of its area [m].
        large: The same for the large duct [m].
        angle: Angle between opposite sides [degrees]; 180 for a sudden change.
        friction_factor: Darcy friction factor in the small duct.
        widens: True where the air runs from the small duct to the large.
    """
    fluids = _fluids()
    if angle >= 180:
        if widens:
            return float(fluids.diffuser_sharp(Di1=small, Di2=large, method="Rennels"))
        return float(fluids.contraction_sharp(Di1=large, Di2=small, method="Rennels"))
    gradual = fluids.diffuser_conical if widens else fluids.contraction_conical
    first, second = (small, large) if widens else (large, small)
    return max(
        float(gradual(Di1=first, Di2=second, angle=angle, fd=friction_factor, method=method))
        for method in ("Rennels", "Crane")
    )


def opening_angle(sides: float, length: float) -> float:
    """Angle between two opposite sides [degrees] that change by so much [m] over a length [m]; 180 over none.

    >>> round(opening_angle(0.1, 0.2), 2)
    28.07
    """
    return math.degrees(2 * math.atan2(sides / 2, length))
