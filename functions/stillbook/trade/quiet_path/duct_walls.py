"""Sound through the walls of ducts and boxes, out of them and into them, and between rooms that share a duct."""

from __future__ import annotations

import math
from typing import Annotated, Final

import numpy as np

from stillbook.formula import formula
from stillbook.quantities import AREA
from stillbook.readers import Quantity, Vector
from stillbook.trade.ducts.sizes import section_area
from stillbook.trade.mass.leaves import LeafRows
from stillbook.trade.physics.constants import INCH, PSF
from stillbook.trade.physics.octave_rows import OctaveRows
from stillbook.trade.physics.sound import BAND_VALUE, OCTAVES, Spectrum, SpectrumResult, decibels
from stillbook.trade.quiet_path.duct_sound import FREQUENCIES, OtherSide, Run, Side, cutoff, is_round

OctaveLevels = Annotated[Spectrum, Vector(BAND_VALUE, lengths=(len(OCTAVES),))]

MOST_WALL_LOSS: Final = 45.0
"""Most that the wall of a duct is trusted to keep in [dB]: seams, hangers and flanks pass the rest."""

_FROM_ALL_SIDES: Final = 6.0
"""Level of a diffuse field less its power that meets a square metre [dB]."""


def _sides(width: float, height: float | None) -> tuple[float, float]:
    """Longer and shorter side [m]; a round duct counts as the square around it, which passes more."""
    other = width if height is None or is_round(height) else height
    return max(width, other), min(width, other)


def wall_loss(width: float, height: float | None, mass: float) -> Spectrum:
    """Loss from power inside a rectangular duct to power through its walls, each over its own area [dB]."""
    a, b = (side / INCH for side in _sides(width, height))
    heavy = mass / PSF
    plane = decibels(FREQUENCIES * heavy**2 / (a + b)) + 17
    many = 2 * decibels(heavy * FREQUENCIES) - 31
    return np.clip(np.where(24134 / math.sqrt(a * b) > FREQUENCIES, plane, many), 0.0, MOST_WALL_LOSS)


def _wall_area(width: float, height: float | None, length: float) -> float:
    return 2 * sum(_sides(width, height)) * length


@formula(
    "DUCTWALLTL",
    family="Quiet air path",
    summary="Transmission loss of the walls of a duct from inside to outside by octave, 63 to 8000 Hz",
    example=(
        'STILL_DUCTWALLTL(12,12,"1 lb/ft²")',
        (
            21.1912930774198,
            24.1669877129645,
            27.1772876696043,
            30.1875876262441,
            33.1978875828839,
            36.2081875395238,
            41.0411998265592,
            45.0,
        ),
    ),
    source="Cummings, ASHRAE Trans. 91(2A), 1985, as in SMACNA 1990 eq. 11-52 to 11-55; coefficients from memory",
    vectorised=False,
)
def duct_wall_loss(width: Side, height: OtherSide | None, shell: LeafRows) -> SpectrumResult:
    """Give the breakout transmission loss of a rectangular duct [dB], at most 45 dB.

    10 log[f q² / (a + b)] + 17 below 24134 / √(ab) Hz, 20 log(q f) - 31 above it; a and b in inches, q in lb/ft², f in
    Hz. It falls by only 3 dB an octave: thin ducts let low frequencies out, and as well in. A round duct is far better
    at low frequencies; it is taken here as the square around it, on the safe side. For a heavy box of boards hold it
    beside STILL_LEAFTL in octaves, and take the lower.

    Args:
        width: Clear width, or diameter of a round duct [m].
        height: Clear height, blank or 0 for a round duct [m].
        shell: Build-up of the walls, or their mass per area.
    """
    return wall_loss(width, height, shell.surface_mass)


@formula(
    "BREAKOUTLOSS",
    family="Quiet air path",
    summary="Sound power in a duct less the power its walls give off over a length, by octave, 63 to 8000 Hz",
    example=(
        'STILL_BREAKOUTLOSS(12,12,10,"1 lb/ft²")',
        (
            5.17069316414013,
            8.14638779968488,
            11.1566877563247,
            14.1669877129645,
            17.1772876696043,
            20.1875876262441,
            25.0205999132796,
            28.9794000867204,
        ),
    ),
    source="Cummings, ASHRAE Trans. 91(2A), 1985; SMACNA 1990 eq. 11-43 to 11-55; coefficients from memory",
    vectorised=False,
)
def breakout_loss(width: Side, height: OtherSide | None, length: Run, shell: LeafRows) -> SpectrumResult:
    """Give what to take off the sound power in a duct for the power that its walls radiate [dB].

    The transmission loss of the walls less 10 log of wall area over duct area, and never below 0: the walls cannot give
    off more than there is. The power in the duct is taken as even over the length, which is on the safe side in a
    lined one.

    max[TL - 10 log(S / A), 0], with TL as STILL_DUCTWALLTL, S the area of the walls and A that of the duct.

    Args:
        width: Clear width, or diameter of a round duct [m].
        height: Clear height, blank or 0 for a round duct [m].
        length: Length of duct in the room or space [m].
        shell: Build-up of the walls, or their mass per area.
    """
    spread = decibels(_wall_area(width, height, length) / float(section_area(width, height)))
    return np.maximum(wall_loss(width, height, shell.surface_mass) - spread, 0.0)


@formula(
    "BREAKINPOWER",
    family="Quiet air path",
    summary="Sound power that gets into a duct through its walls from a noisy space, by octave, 63 to 8000 Hz",
    example=(
        'STILL_BREAKINPOWER({70,70,70,70,70,70,70,70},12,12,10,"1 lb/ft²")',
        (
            53.6905992099911,
            53.6905992099911,
            50.5748577404883,
            41.5439578705688,
            36.5030115837469,
            33.4927116271071,
            28.6596993400716,
            24.7008991666309,
        ),
    ),
    source="Vér, ASHRAE RP-319, 1983, as in SMACNA 1990 eq. 11-47 to 11-49; coefficients from memory",
    vectorised=False,
)
def break_in_power(
    levels: OctaveLevels, width: Side, height: OtherSide | None, length: Run, shell: LeafRows
) -> SpectrumResult:
    """Give the power that runs each way along the duct from sound around it [dB re 1 pW].

    L - 6 + 10 log S - TL - 3 with S the area of the walls in m². TL is 3 dB less than the breakout loss above c/2a;
    below it the breakout loss - 4 - 10 log(a/b) + 20 log(f 2a/c), and not less than 10 log of half the wall area over
    the duct area.

    Args:
        levels: Octave-band levels in the space around the duct, 63 to 8000 Hz [dB].
        width: Clear width, or diameter of a round duct [m].
        height: Clear height, blank or 0 for a round duct [m].
        length: Length of duct in that space [m].
        shell: Build-up of the walls, or their mass per area.
    """
    a, b = _sides(width, height)
    out = wall_loss(width, height, shell.surface_mass)
    waves = FREQUENCIES / cutoff(a, b)
    area = _wall_area(width, height, length)
    plane = np.maximum(out - 4 - decibels(a / b) + 2 * decibels(waves), decibels(area / 2 / (a * b)))
    loss = np.where(waves < 1, plane, out - 3)
    return np.maximum(levels - _FROM_ALL_SIDES + decibels(area) - loss - 3, BAND_VALUE.least)


@formula(
    "CROSSTALKPOWER",
    family="Quiet air path",
    summary="Sound power that enters an air opening from a room, by octave, 63 to 8000 Hz",
    example=(
        "STILL_CROSSTALKPOWER({60,60,60,60,60,60,60,60},8,8)",
        (
            40.1584740722376,
            40.1584740722376,
            40.1584740722376,
            40.1584740722376,
            40.1584740722376,
            40.1584740722376,
            40.1584740722376,
            40.1584740722376,
        ),
    ),
    source="Power of a diffuse field on an opening: Kuttruff, Room Acoustics",
    vectorised=False,
)
def crosstalk_power(levels: OctaveLevels, width: Side, height: OtherSide | None = None) -> SpectrumResult:
    """Give the power that starts along the duct towards the next room that shares the air [dB re 1 pW].

    L - 6 + 10 log S with S in m². At low frequencies a small opening takes in less; leave that as a margin, and count
    the end reflection at the other end alone.

    Args:
        levels: Octave-band levels in the room where the sound is, 63 to 8000 Hz [dB].
        width: Clear width of the opening, or its diameter [m].
        height: Clear height, blank or 0 for a round opening [m].
    """
    return np.maximum(levels - _FROM_ALL_SIDES + decibels(float(section_area(width, height))), BAND_VALUE.least)


@formula(
    "CROSSTALKTL",
    family="Quiet air path",
    summary="Transmission loss of a duct between two rooms, related to the wall between them, by octave",
    example=(
        'STILL_CROSSTALKTL(8,8,"100 ft²",{10,10,10,10,10,10,10,10})',
        (
            33.5218251811136,
            33.5218251811136,
            33.5218251811136,
            33.5218251811136,
            33.5218251811136,
            33.5218251811136,
            33.5218251811136,
            33.5218251811136,
        ),
    ),
    source="Transmitted powers related to one area: EN 12354-1, small elements",
    vectorised=False,
)
def crosstalk_loss(
    width: Side,
    height: OtherSide | None,
    wall_area: Annotated[float, Quantity(AREA, above=0, most=100_000)],
    losses: Annotated[Spectrum, OctaveRows()],
) -> SpectrumResult:
    """Give the loss of the air path as if it were a loss of the wall [dB].

    The losses along the duct plus 10 log of wall area over opening area. Hold it beside the wall's own loss in
    STILL_TOTALTL: a path 10 dB above the wall in every octave takes half a decibel off it, an equal one 3 dB.

    TL = Σ D + 10 log(S / A), with D each loss along the duct, S the wall and A the opening.

    Args:
        width: Clear width of the opening, or its diameter [m].
        height: Clear height, blank or 0 for a round opening [m].
        wall_area: Area of the wall between the rooms [m²].
        losses: Losses along the duct, a row of eight octave bands for each element [dB].
    """
    along = np.nan_to_num(losses, nan=0.0).sum(axis=0)
    return np.asarray(along + decibels(wall_area / float(section_area(width, height))))
