"""One lined box that the air passes to and fro: the sound it keeps back and the pressure it takes."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Annotated, Final

import numpy as np
import numpy.typing as npt

from stillbook.formula import formula
from stillbook.quantities import COUNT, PRESSURE
from stillbook.readers import Quantity
from stillbook.results import Number
from stillbook.trade.ducts.pressure import duct_loss, fitting_loss
from stillbook.trade.ducts.sizes import TOO_FAST, OneAirflow
from stillbook.trade.physics.constants import FOOT
from stillbook.trade.physics.sound import OCTAVES, Spectrum, SpectrumResult
from stillbook.trade.quiet_path.duct_sound import MOST_LOSS, LiningThickness, Side, elbow_loss, lined_loss_of_a_foot
from stillbook.trade.quiet_path.plenum import BoxSize

Array = npt.NDArray[np.float64]

Passes = Annotated[float, Quantity(COUNT, least=1, most=8, whole=True)]

_TESTED_LENGTH: Final = 10 * FOOT


def _straight(length: Array, width: Array, passes: Array) -> Array:
    """Straight length of each pass without the turns at its ends [m]."""
    return np.asarray((passes * length - 2 * (passes - 1) * width) / passes)


def turned_loss(foot: Spectrum, turn: Spectrum, length: Array, width: Array, passes: Array) -> Spectrum:
    """Loss of boxes with turns [dB]: of the lining in the straight parts, and of one elbow for each turn."""
    straight = np.minimum(_straight(length, width, passes), _TESTED_LENGTH)[..., None] / FOOT
    count = passes[..., None]
    return np.minimum(count * np.minimum(foot * straight, MOST_LOSS) + (count - 1) * turn, MOST_LOSS)


@formula(
    "LABYRINTHLOSS",
    family="Quiet air path",
    summary="Sound lost in a lined box that the air passes to and fro, by octave, 63 to 8000 Hz",
    example=(
        "STILL_LABYRINTHLOSS(6,10,42,3,2)",
        (2.55, 5.1, 15.9756109459484, 35.6599200396683, 40.0, 40.0, 40.0, 34.9220050583118),
    ),
    source="Straight parts as STILL_LINEDDUCTLOSS, turns as STILL_ELBOWLOSS",
    no_answer="the box is too short for its turns: give a length of more than two widths of the passage",
    vectorised=False,
)
def labyrinth_loss(
    width: Side, height: Side, length: BoxSize, passes: Passes, lining: LiningThickness
) -> SpectrumResult:
    """Give what a box with baffles keeps back [dB], at most 40 dB.

    The passes lie side by side and the air turns back at the end of each but the last. Counted are the lining of the
    straight part of each pass on the safer basis, and for each turn, though it bends twice, one lined square elbow.
    Sound that runs through the boards from end to end sets the limit of 40 dB: more needs a second box, apart.

    min[n min(a s, 40) + (n - 1) e, 40], with n passes, a the loss of a lined length, e that of one elbow, and s = [n L
    - 2 (n - 1) W] / n the straight part of a pass, at most 10 ft; L is the length inside and W the passage.

    Args:
        width: Clear width of the passage, in the plane of the turns [m].
        height: Clear height of the passage [m].
        length: Clear length inside the box [m].
        passes: How often the air runs the length of the box; one is a straight lined duct.
        lining: Thickness of the lining on all faces, baffles too [m].
    """
    if passes > 1 and length <= 2 * width:
        return np.full(len(OCTAVES), np.nan)
    sizes = (np.array(length), np.array(width), np.array(passes))
    return turned_loss(lined_loss_of_a_foot(width, height, lining), elbow_loss(width, lining), *sizes)


@formula(
    "LABYRINTHPRESSURE",
    family="Quiet air path",
    summary="Pressure that a lined box with turns takes",
    no_answer=f"the air is {TOO_FAST}",
    example=("STILL_LABYRINTHPRESSURE(60,6,10,42,3)", 0.0133464572375618),
    source="As STILL_DUCTLOSS and STILL_FITTINGLOSS: friction, turns around a baffle, a box",
    vectorised=False,
)
def labyrinth_pressure(
    airflow: OneAirflow, width: Side, height: Side, length: BoxSize, passes: Passes
) -> Annotated[float, Number(PRESSURE)]:
    """Give the loss of the box from collar to collar [Pa].

    Friction along lined passes, for each turn back a turn around a baffle, and for the collars a full exit and entrance
    at the velocity in the passage. A collar narrower than the passage takes more: give STILL_TRANSITIONLOSS its size.

    Δp = p_c + n L r + (n - 1) p_t, with p_c for both collars, r the friction of a length, p_t for a turn, n passes and
    L the length inside.

    Args:
        airflow: Air through the box [m³/s].
        width: Clear width of the passage, in the plane of the turns [m].
        height: Clear height of the passage [m].
        length: Clear length inside the box [m].
        passes: How often the air runs the length of the box.
    """
    parts = pressure_parts(airflow, width, height)
    return parts.collars + passes * length * parts.metre + (passes - 1) * parts.turn


@dataclass(frozen=True, slots=True)
class PressureParts:
    """Losses of a passage [Pa]: of a metre, of one turn back, of both collars."""

    metre: float
    turn: float
    collars: float


@lru_cache(maxsize=1024)
def pressure_parts(airflow: float, width: float, height: float) -> PressureParts:
    return PressureParts(
        float(duct_loss(airflow, width, height, 1.0, "lined")),
        fitting_loss(airflow, width, height, "turn around a baffle", 1.0, "lined"),
        fitting_loss(airflow, width, height, "box"),
    )
