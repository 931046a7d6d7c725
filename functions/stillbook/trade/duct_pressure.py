"""Pressure along a duct: friction, fittings, and what a fan delivers against them, in standard air of 0.075 lb/ft³."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Annotated, Final

import numpy as np
import numpy.typing as npt

from stillbook.formula import Choice, Columns, Floats, NotUnderstood, OutOfRange, Quantity, formula
from stillbook.quantities import AIRFLOW, COUNT, LENGTH, NUMBER, PRESSURE, ROOM_LENGTH
from stillbook.tables import table
from stillbook.trade.constants import FOOT, FPM, INCH, STANDARD_AIR_DENSITY
from stillbook.trade.ducts import Airflow, Height, Size, friction_diameter, hydraulic_diameter, section_area

AIR_VISCOSITY: Final = INCH * FPM / 8.56
"""Kinematic viscosity of standard air [m²/s], as in the handbooks' Reynolds number 8.56 D V (in, fpm)."""

_SURFACES: Final = {row["surface"]: row for row in table("duct_surfaces")}


def velocity_pressure(airflow: Floats, width: Floats, height: Floats | None) -> Floats:
    """Pressure of the moving air [Pa] at its mean velocity in a duct."""
    pressure: Floats = STANDARD_AIR_DENSITY / 2 * (airflow / section_area(width, height)) ** 2
    return pressure


# --- friction ---------------------------------------------------------------------------------------------------------


@formula(
    "DUCTLOSS",
    family="Ducts",
    summary="Pressure that friction takes over a length of straight duct",
    example=('STILL_DUCTLOSS(100,6,0,100,"sheet metal")', 0.082978309626423),
    source="Darcy-Weisbach with Colebrook's friction factor; Huebscher 1948; roughness by ASHRAE Fundamentals",
)
def duct_loss(
    airflow: Airflow,
    width: Size,
    height: Height | None,
    length: Annotated[Floats, Quantity(ROOM_LENGTH, above=0)],
    surface: Annotated[str, Choice(*_SURFACES)] = "sheet metal",
) -> Annotated[Floats, Quantity(PRESSURE)]:
    """Give the friction loss [Pa] of standard air.

    A rectangular duct is taken as the round duct of equal friction at the same airflow, as duct charts take it, so that
    its loss is that of STILL_DUCTEQUIVALENT. The other way, true velocity with the hydraulic diameter, differs by less
    than 3 % up to a ratio of sides of 4.

    Flexible duct is seldom pulled straight: 15 % of slack makes its loss four to six times as great. The factor for
    slack was measured on ducts of 6 to 10 in.

    Args:
        airflow: Air through the duct [m³/s].
        width: Clear width, or diameter of a round duct [m].
        height: Clear height, blank or 0 for a round duct [m].
        length: Length of straight duct [m].
        surface: What the air runs along.
    """
    row = _SURFACES[surface]
    diameter = friction_diameter(width, height)
    velocity = airflow / section_area(diameter, None)
    factor = _friction_factor(velocity * diameter / AIR_VISCOSITY, float(row["roughness_ft"]) * FOOT / diameter)
    slack = 1 + 0.58 * float(row["compression_percent"]) * np.exp(-0.126 * diameter / INCH)
    loss: Floats = slack * factor * length / diameter * STANDARD_AIR_DENSITY / 2 * velocity**2
    return loss


@cache
def _friction_factors() -> Callable[..., npt.NDArray[np.float64]]:
    from fluids.friction import friction_factor

    return np.vectorize(friction_factor, otypes=[np.float64])


def _friction_factor(reynolds: Floats, relative_roughness: Floats) -> Floats:
    """Darcy friction factor: laminar, or Colebrook's."""
    return _friction_factors()(reynolds, relative_roughness)[()]


# --- fittings ---------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Fitting:
    """A fitting's loss coefficient: one value, or a table against the diameter [mm] or height over width."""

    name: str
    shape: str
    by: str
    at: tuple[float, ...]
    coefficients: tuple[float, ...]
    slows: bool

    def coefficient(self, width: float, height: float, reynolds: float) -> float:
        """Loss coefficient for a duct [m], straight lines between the table's values and its ends beyond them."""
        if not self.by:
            return self.coefficients[0]
        place = width * 1000 if self.by == "diameter_mm" else height / width
        base = float(np.interp(place, self.at, self.coefficients))
        return base * _elbow_factor(reynolds) if self.slows else base


@cache
def fittings() -> dict[str, Fitting]:
    """The fittings by name, in the order of the table."""
    rows = table("fittings")
    found = {}
    for name in dict.fromkeys(row["fitting"] for row in rows):
        own = [row for row in rows if row["fitting"] == name]
        found[name] = Fitting(
            name,
            own[0]["shape"],
            own[0]["by"],
            tuple(float(row["at"]) for row in own if row["at"]),
            tuple(float(row["coefficient"]) for row in own),
            own[0]["reynolds"] == "yes",
        )
    return found


def _elbow_factor(reynolds: float) -> float:
    """By how much slow air raises the loss of a sharp elbow; held at the table's ends."""
    rows = table("elbow_reynolds")
    return float(np.interp(reynolds, [float(row["reynolds"]) for row in rows], [float(row["factor"]) for row in rows]))


@formula(
    "FITTINGLOSS",
    family="Ducts",
    summary="Pressure that elbows, entrances, exits and changes of size take",
    example=('STILL_FITTINGLOSS(60,6,0,"round elbow",2)', 0.0016085477559308974),
    source="Loss coefficient times velocity pressure; coefficients by row: ASHRAE Fundamentals, Kreider, Idelchik",
    vectorised=False,
)
def fitting_loss(
    airflow: Annotated[float, Quantity(AIRFLOW, above=0)],
    width: Annotated[float, Quantity(LENGTH, above=0, most=10)],
    height: Annotated[float, Quantity(LENGTH, least=0, most=10)] | None,
    fitting: Annotated[str, Choice(*fittings())],
    count: Annotated[float, Quantity(COUNT, least=1, most=1000, whole=True)] = 1.0,
) -> Annotated[float, Quantity(PRESSURE)]:
    """Give the loss of one or more fittings of a kind [Pa].

    Round elbows go by the diameter. Square elbows and sharp bends go by height over width, the width lying in the plane
    of the bend, and rise in slow air: by 26 to 40 % in most quiet ducts. Below a Reynolds number of 10,000 the rise is
    held at 40 %. For an expansion or a contraction give the smaller duct. A box in the run is an exit and an entrance.
    For a grille, filter or louvre take the maker's pressure at the maker's airflow, times the square of the ratio of
    airflows.

    Args:
        airflow: Air through the fitting [m³/s].
        width: Clear width in the plane of the bend, or diameter of a round duct [m].
        height: Clear height, blank or 0 for a round duct [m].
        fitting: Kind of fitting.
        count: How many alike.

    Raises:
        NotUnderstood: If a round fitting is asked for in a rectangular duct, or the other way.
    """
    kind = fittings()[fitting]
    tall = 0.0 if height is None or np.isnan(height) else height
    if kind.shape == "round" and tall:
        raise NotUnderstood(f'"{fitting}" is a fitting of round duct: leave the height blank, or give another fitting')
    if kind.shape == "rectangular" and not tall:
        raise NotUnderstood(f'"{fitting}" is a fitting of rectangular duct: give the height, or another fitting')
    velocity = airflow / float(section_area(width, tall))
    reynolds = velocity * float(hydraulic_diameter(width, tall)) / AIR_VISCOSITY
    return count * kind.coefficient(width, tall, reynolds) * float(velocity_pressure(airflow, width, tall))


# --- fans -------------------------------------------------------------------------------------------------------------

FanCurve = Annotated[
    tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]],
    Columns(("airflow", Quantity(AIRFLOW, least=0)), ("pressure", Quantity(PRESSURE, least=0))),
]


@formula(
    "FANFLOW",
    family="Ducts",
    summary="Airflow a fan delivers through a system, from the fan's curve and one known point of the system",
    example=("STILL_FANFLOW({0,0.5;100,0.375;200,0},120,0.375)", 112.3474979488466),
    source="System curve as the square of airflow, crossing the fan curve: ASHRAE Systems and Equipment, fans",
    vectorised=False,
)
def fan_flow(
    curve: FanCurve,
    design_flow: Annotated[float, Quantity(AIRFLOW, above=0)],
    design_loss: Annotated[float, Quantity(PRESSURE, above=0)],
) -> Annotated[float, Quantity(AIRFLOW)]:
    """Give the airflow at which the fan's pressure equals the system's loss [m³/s].

    The loss goes with the square of the airflow through the design point. Between its points the fan curve runs
    straight, as a ruler on a chart would have it: on a curve that bulges upward a few points give a little less air
    than the fan does, and more points come closer.

    Args:
        curve: Two columns from the maker's curve, airflow and pressure, at the speed the fan will run.
        design_flow: Airflow at which the system's loss is known [m³/s].
        design_loss: Loss of the whole system at that airflow [Pa].

    Raises:
        OutOfRange: If the curve is too short to be crossed, gives one airflow twice, or is crossed more than once.
    """
    order = np.argsort(curve[0], kind="stable")
    flow, pressure = curve[0][order], curve[1][order]
    if len(flow) < 2 or (np.diff(flow) <= 0).any():
        raise OutOfRange("the fan curve needs two or more points, each at an airflow of its own")
    resistance = design_loss / design_flow**2
    spare = pressure - resistance * flow**2
    if spare[0] < 0:
        raise OutOfRange("the system takes more pressure than the fan has at the least airflow of its curve")
    if spare[-1] > 0:
        raise OutOfRange("the fan curve ends before the system curve meets it: give points of less pressure")
    crossings = [
        i for i in range(len(flow) - 1) if spare[i] > 0 >= spare[i + 1] or (i == 0 and spare[0] == 0 > spare[1])
    ]
    if len(crossings) != 1:
        raise OutOfRange("the system curve meets the fan curve more than once: the fan would hunt, choose another")
    first = crossings[0]
    slope = (pressure[first + 1] - pressure[first]) / (flow[first + 1] - flow[first])
    start = pressure[first] - slope * flow[first]
    # The root of start + slope q = resistance q² that lies on this piece.
    return float((slope + np.sqrt(slope**2 + 4 * resistance * start)) / (2 * resistance))


_FAN_LAWS: Final[dict[str, int]] = {"airflow": 1, "pressure": 2, "power": 3}


@formula(
    "FANSCALED",
    family="Ducts",
    summary="A fan's airflow, pressure, power or sound level at another speed",
    example=('STILL_FANSCALED(0.4,"pressure",0.8)', 0.256),
    source="Fan laws (ASHRAE Systems and Equipment); sound as 50 log10 of the speed ratio, AMCA practice, from memory",
)
def fan_scaled(
    value: Annotated[Floats, Quantity(NUMBER)],
    kind: Annotated[str, Choice(*_FAN_LAWS, "sound")],
    speed_ratio: Annotated[Floats, Quantity(NUMBER, above=0, most=10)],
) -> Annotated[Floats, Quantity(NUMBER)]:
    """Give a fan's value at another speed, in the unit it was given in.

    Airflow goes with the speed ratio, pressure with its square, power with its cube; a sound level rises by
    50 log10 of it. One fan, one system, the same air.

    Args:
        value: Value at the present speed.
        kind: What the value is.
        speed_ratio: New speed over present speed.
    """
    if kind == "sound":
        return value + 50 * np.log10(speed_ratio)
    scaled: Floats = value * speed_ratio ** _FAN_LAWS[kind]
    return scaled
