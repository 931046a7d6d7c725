"""Pressure that air loses along a duct: friction, fittings, changes of size and parts rated by their makers.

All of it in standard air of 0.075 lb/ft³. In other air each loss is to be multiplied by its density over that: see
:func:`stillbook.trade.ducts.fans.density_factor`.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cache
from typing import Annotated, Final

import numpy as np
import numpy.typing as npt

from stillbook.cells import NotUnderstood
from stillbook.formula import formula
from stillbook.quantities import COUNT, LENGTH, PRESSURE, ROOM_LENGTH, SHARE
from stillbook.readers import Choice, Floats, Quantity
from stillbook.results import Number
from stillbook.tables import table
from stillbook.trade.ducts.fittings import change_coefficient, fittings, opening_angle
from stillbook.trade.ducts.sizes import (
    TOO_FAST,
    Airflow,
    Height,
    OneAirflow,
    Size,
    friction_diameter,
    hydraulic_diameter,
    section_area,
    ventilating,
)
from stillbook.trade.physics.constants import FOOT, FPM, INCH, STANDARD_AIR_DENSITY

AIR_VISCOSITY: Final = INCH * FPM / 8.56
"""Kinematic viscosity of standard air [m²/s], as in the trade's Reynolds number 8.56 D V (in, fpm)."""

USUAL_SLACK: Final = 0.15
"""By what share flexible duct is left shorter than its full length, where nothing is said."""

_ROUGHNESS: Final = {row["surface"]: float(row["roughness_ft"]) * FOOT for row in table("duct_surfaces")}

Surface = Annotated[str, Choice(*_ROUGHNESS)]
OneSize = Annotated[float, Quantity(LENGTH, least=0.01, most=10)]
OneHeight = Annotated[float, Quantity(LENGTH, least=0.01, most=10, zero=True)]


_MOST_LOSS: Final = 10_000.0
"""Above any fan of ventilation, where air begins to be compressed [Pa]."""


def velocity_pressure(airflow: Floats, width: Floats, height: Floats | None) -> Floats:
    """Pressure of the moving air [Pa] at its mean velocity in a duct."""
    pressure: Floats = STANDARD_AIR_DENSITY / 2 * ventilating(airflow / section_area(width, height)) ** 2
    return pressure


# --- friction ---------------------------------------------------------------------------------------------------------


@formula(
    "DUCTLOSS",
    family="Ducts",
    summary="Pressure that friction takes over a length of straight duct",
    example=('STILL_DUCTLOSS(100,6,0,100,"sheet metal")', 0.082978309626423),
    source=(
        "Darcy-Weisbach with Colebrook's friction factor; Huebscher 1948; roughness by row: Moody, Idelchik, Swim; "
        "slack: Abushakra, Walker & Sherman, Lawrence Berkeley National Laboratory"
    ),
    no_answer=f"only flexible duct has slack: leave the slack blank for other surfaces; or the air is {TOO_FAST}",
)
def duct_loss(
    airflow: Airflow,
    width: Size,
    height: Height | None,
    length: Annotated[Floats, Quantity(ROOM_LENGTH, above=0, most=1000)],
    surface: Surface = "sheet metal",
    slack: Annotated[Floats, Quantity(SHARE, least=0, most=0.3)] | None = None,
) -> Annotated[Floats, Number(PRESSURE)]:
    """Give the friction loss [Pa] of standard air.

    Δp = f (L / D) (ρ / 2) v² with v = 4 Q / (π D²) and Colebrook's 1 / √f = -2 log10[ε / (3.7 D) + 2.51 / (Re √f)], or
    f = 64 / Re in slow air; L is the length, D the diameter, 1.30 (ab)^0.625 / (a + b)^0.25 for sides a and b, ε the
    roughness, Re = v D / ν. Flexible duct: times 1 + 0.58 s e^(-0.126 D), slack s in percent and D in inches.

    A rectangular duct is taken as the round duct of equal friction at the same airflow, as duct charts take it, so that
    its loss is that of STILL_DUCTEQUIVALENT. The other way, true velocity with the hydraulic diameter, differs by less
    than 3 % up to a ratio of sides of 4.

    Flexible duct is seldom pulled straight: 15 % of slack makes its loss four to six times as great, 30 % about twice
    that. The factor was measured on ducts of 6 to 10 in. A bend in flexible duct is a radius elbow besides.

    Args:
        airflow: Air through the duct [m³/s].
        width: Clear width, or diameter of a round duct [m].
        height: Clear height, blank or 0 for a round duct [m].
        length: Length of straight duct [m].
        surface: What the air runs along.
        slack: Of flexible duct, the share by which it is left shorter than its full length, 0 if pulled straight; 0.15
            where nothing is given.
    """
    diameter = friction_diameter(width, height)
    loss = friction_loss(airflow, diameter, length, _ROUGHNESS[surface])
    given = np.asarray(np.nan if slack is None else slack, dtype=np.float64)
    if surface == "flexible":
        share = np.where(np.isnan(given), USUAL_SLACK, given)
        # Measured by the percentage and the diameter in inches.
        loss = loss * (1 + 0.58 * 100 * share * np.exp(-0.126 * diameter / INCH))
    else:
        loss = np.where(given > 0, np.nan, loss)
    return np.asarray(loss)[()]


def friction_loss(airflow: Floats, diameter: Floats, length: Floats, roughness: float) -> Floats:
    """Friction loss [Pa] of a round duct by its roughness [m]: laminar in slow air, else by Colebrook's factor."""
    velocity = ventilating(airflow / section_area(diameter, None))
    factor = friction_factor(velocity * diameter / AIR_VISCOSITY, roughness / diameter)
    loss: Floats = factor * length / diameter * STANDARD_AIR_DENSITY / 2 * velocity**2
    return loss


@cache
def _friction_factors() -> Callable[..., npt.NDArray[np.float64]]:
    from fluids.friction import friction_factor as of_fluids

    return np.vectorize(of_fluids, otypes=[np.float64])


def friction_factor(reynolds: Floats, relative_roughness: Floats) -> Floats:
    """Darcy friction factor: laminar, or Colebrook's."""
    return _friction_factors()(reynolds, relative_roughness)[()]


# --- fittings ---------------------------------------------------------------------------------------------------------


@formula(
    "FITTINGLOSS",
    family="Ducts",
    summary="Pressure that elbows, entrances, exits and boxes take",
    example=('STILL_FITTINGLOSS(60,8,8,"square elbow",2)', 0.00461468292041785),
    source="Loss coefficient times velocity pressure; coefficients by Rennels & Hudson, Miller and Blevins, by row",
    no_answer=f"the air is {TOO_FAST}",
    vectorised=False,
)
def fitting_loss(
    airflow: OneAirflow,
    width: OneSize,
    height: OneHeight | None,
    fitting: Annotated[str, Choice(*fittings())],
    count: Annotated[float, Quantity(COUNT, least=1, most=1000, whole=True)] = 1.0,
    surface: Surface = "sheet metal",
) -> Annotated[float, Number(PRESSURE)]:
    """Give the loss of one or more fittings of a kind [Pa].

    Δp = n K (ρ / 2) v² with v = Q / A: the count n, the loss coefficient K, the density ρ of standard air, the airflow
    Q and the area A of the duct.

    Published correlations differ, and the greatest counts. Beside the handbook tables of duct fittings:

    - A square elbow loses 1.3 at a Reynolds number of 100,000 and 2.0 at 10,000, where most quiet ducts run, against
      1.25 and 1.7 in the tables: slow air raises it more by Blevins than by the tables' factor of 1.4. Only in a flat
      duct in fast air do the tables stand higher, by 5 %.
    - A round elbow loses 0.25 to 0.4, against 0.1 to 0.2 for a smooth stamped one.
    - An elbow of several pieces counts each joint as a bend of its own. Close joints lose less than that: the tables
      have a half to a quarter. For a pleated elbow take the three-piece one.
    - An entrance takes 0.57 against the usual 0.5, a bellmouth 0.11 against 0.03.

    For an elbow with turning vanes take one without: no public figure is good for all vanes, and they make noise. A box
    in the run is an exit and an entrance of its openings; turns inside are square elbows, or turns around a baffle, of
    the free passage. The surface counts for bends alone: lining raises a square elbow by up to a fifth in slow air, by
    half in fast.

    Args:
        airflow: Air through the fitting [m³/s].
        width: Clear width in the plane of the bend, or diameter of a round duct [m].
        height: Clear height, blank or 0 for a round duct [m].
        fitting: Kind of fitting.
        count: How many alike.
        surface: What the air runs along.

    Raises:
        NotUnderstood: If a round fitting is asked for in a rectangular duct, or the other way.
    """
    kind = fittings()[fitting]
    tall = 0.0 if height is None or math.isnan(height) else height
    if kind.shape == "round" and tall:
        raise NotUnderstood(f'"{fitting}" is a fitting of round duct: leave the height blank, or give another fitting')
    if kind.shape == "rectangular" and not tall:
        raise NotUnderstood(f'"{fitting}" is a fitting of rectangular duct: give the height, or another fitting')
    diameter = float(hydraulic_diameter(width, tall))
    reynolds = airflow / float(section_area(width, tall)) * diameter / AIR_VISCOSITY
    coefficient = kind.coefficient(diameter, reynolds, _ROUGHNESS[surface])
    return count * coefficient * float(velocity_pressure(airflow, width, tall))


@formula(
    "TRANSITIONLOSS",
    family="Ducts",
    summary="Pressure that a gradual or sudden change of duct size takes",
    example=("STILL_TRANSITIONLOSS(60,6,0,12,12,24)", 0.00121037219203482),
    source="Rennels & Hudson, Pipe Flow (2012); Crane, Flow of Fluids; sudden widening by Borda and Carnot",
    no_answer=f"the air is {TOO_FAST}",
    vectorised=False,
)
def transition_loss(
    airflow: OneAirflow,
    width: OneSize,
    height: OneHeight | None,
    to_width: OneSize,
    to_height: OneHeight | None,
    length: Annotated[float, Quantity(LENGTH, least=0, most=100)] | None = None,
) -> Annotated[float, Number(PRESSURE)]:
    """Give the loss where one duct goes over into another [Pa]: from a small fan collar to a wide quiet duct, or back.

    Δp = K (ρ / 2) v², with the loss coefficient K, the density ρ of standard air and the velocity v in the smaller of
    both ducts; a sudden widening from area A1 to A2 has K = (1 - A1 / A2)².

    The greater of two published correlations. A gradual change goes by the angle between the sides that open most;
    beyond 40° it is no better than a sudden one. Widening at 15° or less, some two lengths for each width gained, keeps
    most of the pressure; the friction along it is counted. Two ducts of equal area and unlike shape lose nothing here.

    For the velocity at each end see STILL_DUCTVELOCITY.

    Args:
        airflow: Air through the change [m³/s].
        width: Clear width or diameter of the duct the air comes from [m].
        height: Clear height of it, blank or 0 if round [m].
        to_width: Clear width or diameter of the duct the air goes to [m].
        to_height: Clear height of it, blank or 0 if round [m].
        length: Length over which it changes; sudden where left out or 0 [m].
    """
    sections = [(w, 0.0 if h is None or math.isnan(h) else h) for w, h in ((width, height), (to_width, to_height))]
    before, after = (math.sqrt(4 / math.pi * float(section_area(w, h))) for w, h in sections)
    if math.isclose(before, after, rel_tol=1e-9):
        return 0.0
    (w1, h1), (w2, h2) = ((w, h or w) for w, h in sections)
    long = 0.0 if length is None or math.isnan(length) else length
    # Where a square duct goes over into a round one of its width no side opens, but the corners do.
    angle = opening_angle(max(abs(w2 - w1), abs(h2 - h1), abs(after - before) / 2), long)
    small = min(before, after)
    factor = float(friction_factor(airflow * 4 / math.pi / small / AIR_VISCOSITY, _ROUGHNESS["sheet metal"] / small))
    coefficient = change_coefficient(small, max(before, after), angle, factor, widens=after > before)
    return coefficient * float(velocity_pressure(airflow, small, None))


# --- parts rated by their makers --------------------------------------------------------------------------------------


@formula(
    "RATEDLOSS",
    family="Ducts",
    summary="Pressure a grille, louvre or filter takes at an airflow, from its maker's figure at another",
    example=('STILL_RATEDLOSS(60,100,0.3,"filter")', 0.18),
    no_answer="the part would take more than 10 kPa: give an airflow nearer to the maker's",
    source="Square law; through media Forchheimer's law, between the first and the second power of the airflow",
)
def rated_loss(
    airflow: Airflow,
    rated_airflow: Airflow,
    rated_loss: Annotated[Floats, Quantity(PRESSURE, above=0, most=_MOST_LOSS)],
    part: Annotated[str, Choice("grille", "filter")] = "grille",
) -> Annotated[Floats, Number(PRESSURE)]:
    """Give the loss of a part at an airflow its maker does not list [Pa].

    Δp = Δpr x² with x = Q / Qr, for a filter Δpr max(x, x²), where the maker gives the loss Δpr at the airflow Qr.

    A grille, louvre or damper goes with the square of the airflow. A filter goes with something between the airflow and
    its square, by how dense its media are, and the greater of both is given. Take the filter's figure when it is due
    for a change, not when it is clean.

    Args:
        airflow: Air through the part [m³/s].
        rated_airflow: Airflow of the maker's figure [m³/s].
        rated_loss: The maker's loss at that airflow [Pa].
        part: What kind of part: grille for all that goes by the square.
    """
    ratio = np.asarray(airflow, dtype=np.float64) / rated_airflow
    loss = np.asarray(rated_loss * (np.maximum(ratio, ratio**2) if part == "filter" else ratio**2))
    kept: Floats = np.where(loss <= _MOST_LOSS, loss, np.nan)[()]
    return kept
