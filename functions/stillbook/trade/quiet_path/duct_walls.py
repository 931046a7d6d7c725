"""Sound through the walls of ducts and boxes, out of them and into them, and between rooms that share a duct."""

from __future__ import annotations

import math
from functools import cache
from typing import Annotated, Final, Literal

import numpy as np

from stillbook.cells import OutOfRange
from stillbook.formula import formula
from stillbook.quantities import AREA
from stillbook.readers import Quantity, Vector
from stillbook.tables import table
from stillbook.trade.ducts.sizes import section_area
from stillbook.trade.isolation.single_leaf import panel_loss
from stillbook.trade.isolation.solids import Panel, panel_of
from stillbook.trade.mass.leaves import Leaf, PanelRows
from stillbook.trade.mass.materials import material_key, materials
from stillbook.trade.physics.constants import INCH, PSF
from stillbook.trade.physics.octave_rows import ELEMENT_LOSS, OctaveRows
from stillbook.trade.physics.sound import BAND_VALUE, OCTAVE_BANDS, OCTAVES, Spectrum, SpectrumResult, decibels, heard
from stillbook.trade.quiet_path.duct_sound import (
    ALONG_THE_PATH,
    FREQUENCIES,
    OtherSide,
    Run,
    Side,
    cutoff,
    is_round,
)

OctaveLevels = Annotated[Spectrum, Vector(BAND_VALUE, lengths=(len(OCTAVES),))]

MOST_WALL_LOSS: Final = 45.0
"""Most that the wall of a duct is trusted to keep in [dB]: seams, hangers and flanks pass the rest."""

_BY_MASS: Final = 17.6
"""What the walls of a round duct keep by the logarithm of their mass: Reynolds and Bledsoe, from memory [dB]."""

_A_LITTLE: Final = 1.05
"""How far over the largest measured duct another one is taken to be like it."""

SHEET: Final = 0.003
"""Walls thicker than this are boards, not sheet metal [m]."""

Direction = Literal["out", "in"]

_FROM_ALL_SIDES: Final = 6.0
"""Level of a diffuse field less its power that meets a square metre [dB]."""


def _sides(width: float, height: float | None) -> tuple[float, float]:
    """Longer and shorter side [m]; of a round duct, those of the square around it."""
    other = width if height is None or is_round(height) else height
    return max(width, other), min(width, other)


def wall_loss(width: float, height: float | None, shell: Leaf) -> Spectrum:
    """Loss from power inside a duct to power through its walls, each over its own area [dB].

    The walls of the equations of rectangular ducts have mass alone; what bending waves take off a board of that mass
    comes off here too.
    """
    if is_round(height):
        return _measured("out", width, shell)
    a, b = (side / INCH for side in _sides(width, height))
    heavy = shell.surface_mass / PSF
    plane = decibels(FREQUENCIES * heavy**2 / (a + b)) + 17
    many = 2 * decibels(heavy * FREQUENCIES) - 31
    limp = np.where(24134 / math.sqrt(a * b) > FREQUENCIES, plane, many)
    panel = panel_of(shell)
    stiff = _coincidence(panel) if panel.thickness > SHEET else 0.0
    return np.clip(limp + stiff, 0.0, MOST_WALL_LOSS)


@cache
def _round_rows(direction: Direction) -> tuple[Spectrum, Spectrum, Spectrum]:
    """Diameters [m], masses per area [kg/m²] and losses, a row for each, of the round ducts that were measured."""
    rows = [row for row in table("round_duct_walls") if row["direction"] == direction]
    losses = [[float(row[f"f{band:.0f}"]) for band in OCTAVES[:-1]] for row in rows]
    sheets = [materials()[material_key(f"Steel sheet {row['gauge']} gauge")].surface_mass for row in rows]
    return (
        np.array([float(row["diameter_mm"]) / 1000 for row in rows]),
        np.array(sheets),
        np.array([[*row, row[-1]] for row in losses]),
    )


def _measured(direction: Direction, diameter: float, shell: Leaf) -> Spectrum:
    """Loss of the walls of a round duct, between the measured ones by the logarithm of the diameter [dB].

    A lighter wall keeps less by 17.6 log of its mass; a heavier one is not trusted to keep more, for a spiral duct of
    16 gauge was measured no better than one of 24. Well beyond the largest that was measured no more is trusted than
    what the square around the duct keeps.
    """
    diameters, masses, losses = _round_rows(direction)
    at = np.log(diameter)
    like = np.array([np.interp(at, np.log(diameters), band) for band in losses.T])
    sheet = np.exp(np.interp(at, np.log(diameters), np.log(masses)))
    lighter = min(float(_BY_MASS * np.log10(shell.surface_mass / sheet)), 0.0)
    loss: Spectrum = np.clip(like + lighter, 0.0, MOST_WALL_LOSS)
    if diameter > _A_LITTLE * diameters[-1]:
        loss = np.minimum(loss, wall_loss(diameter, diameter, shell))
    return loss


def _coincidence(panel: Panel) -> Spectrum:
    """How far bending waves pull a panel below its mass law in each octave: zero or less [dB]."""
    stiff = OCTAVE_BANDS.loss(lambda thirds: panel_loss(panel, thirds))
    limp = OCTAVE_BANDS.loss(lambda thirds: panel_loss(Panel(panel.mass), thirds))
    return np.minimum(stiff - limp, 0.0)


def _wall_area(width: float, height: float | None, length: float) -> float:
    if is_round(height):
        return math.pi * width * length
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
    source="Cummings, ASHRAE Trans. 91(2A), 1985, as in SMACNA 1990 eq. 11-52 to 11-55; "
    "ASHRAE Handbook, HVAC Applications 2019, ch. 49, table 29; round: table 30 there",
    vectorised=False,
)
def duct_wall_loss(width: Side, height: OtherSide | None, shell: PanelRows) -> SpectrumResult:
    """Give the breakout transmission loss of a duct [dB], at most 45 dB.

    Rectangular: 10 log[f q² / (a + b)] + 17 below 24134 / √(ab) Hz, 20 log(q f) - 31 above it; a and b in inches, q in
    lb/ft², f in Hz. It falls by only 3 dB an octave: thin ducts let low frequencies out, and as well in. The equations
    are of sheet metal; of walls of stiff boards the dip of STILL_LEAFTL below mass law comes off.

    Round: what was measured on steel ducts with a long seam, 200 to 810 mm in diameter, between them by the logarithm
    of the diameter, and of a lighter wall 17.6 log of its share of their mass less. A round duct is far better than a
    rectangular one at low frequencies, and no better near its ring frequency: from 300 to 600 mm it falls to 25 to 35
    dB at 1000 to 4000 Hz.

    Args:
        width: Clear width, or diameter of a round duct [m].
        height: Clear height, blank or 0 for a round duct [m].
        shell: Build-up of the walls, or their mass per area.
    """
    return wall_loss(width, height, shell)


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
def breakout_loss(width: Side, height: OtherSide | None, length: Run, shell: PanelRows) -> SpectrumResult:
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
    return np.maximum(wall_loss(width, height, shell) - spread, 0.0)


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
    source="Vér, ASHRAE RP-319, 1983, as in SMACNA 1990 eq. 11-47 to 11-49; coefficients from memory; "
    "round: ASHRAE Handbook, HVAC Applications 2019, ch. 49, table 32",
    vectorised=False,
)
def break_in_power(
    levels: OctaveLevels, width: Side, height: OtherSide | None, length: Run, shell: PanelRows
) -> SpectrumResult:
    """Give the power that runs each way along the duct from sound around it [dB re 1 pW].

    L - 6 + 10 log S - TL - 3 with S the area of the walls in m². TL is 3 dB less than the breakout loss above c/2a;
    below it the breakout loss - 4 - 10 log(a/b) + 20 log(f 2a/c), and not less than 10 log of half the wall area over
    the duct area. Walls of boards, thicker than sheet metal, keep no more than the same boards as a leaf, STILL_LEAFTL.
    Of a round duct TL is measured, see STILL_DUCTWALLTL.

    Args:
        levels: Octave-band levels in the space around the duct, 63 to 8000 Hz [dB].
        width: Clear width, or diameter of a round duct [m].
        height: Clear height, blank or 0 for a round duct [m].
        length: Length of duct in that space [m].
        shell: Build-up of the walls, or their mass per area.
    """
    area = _wall_area(width, height, length)
    loss = _measured("in", width, shell) if is_round(height) else _rectangular_in(width, height, area, shell)
    panel = panel_of(shell)
    if panel.thickness > SHEET:
        loss = np.minimum(loss, OCTAVE_BANDS.loss(lambda thirds: panel_loss(panel, thirds)))
    return heard(levels - _FROM_ALL_SIDES + decibels(area) - loss - 3)


def _rectangular_in(width: float, height: float | None, area: float, shell: Leaf) -> Spectrum:
    """Loss from the power that meets the walls of a rectangular duct to that in it [dB]."""
    a, b = _sides(width, height)
    out = wall_loss(width, height, shell)
    waves = FREQUENCIES / cutoff(a, b)
    plane = np.maximum(out - 4 - decibels(a / b) + 2 * decibels(waves), decibels(area / 2 / (a * b)))
    return np.where(waves < 1, plane, out - 3)


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
    return heard(levels - _FROM_ALL_SIDES + decibels(float(section_area(width, height))))


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
    wall_area: Annotated[float, Quantity(AREA, least=1e-4, most=100_000)],
    losses: Annotated[Spectrum, OctaveRows(ELEMENT_LOSS)],
) -> SpectrumResult:
    """Give the loss of the air path as if it were a loss of the wall [dB].

    The losses along the duct plus 10 log of wall area over opening area. A duct as a whole keeps back no more than
    50 dB, as in STILL_PATHLEVEL, nor less than nothing. Hold it beside the wall's own loss in STILL_TOTALTL: a path
    10 dB above the wall in every octave takes half a decibel off it, an equal one 3 dB.

    TL = min(Σ D, 50) + 10 log(S / A), with D each loss along the duct, S the wall and A the opening.

    Args:
        width: Clear width of the opening, or its diameter [m].
        height: Clear height, blank or 0 for a round opening [m].
        wall_area: Area of the wall between the rooms [m²].
        losses: Losses along the duct, a row of eight octave bands for each element [dB].

    Raises:
        OutOfRange: If the opening is larger than the wall.
    """
    opening = float(section_area(width, height))
    if opening > wall_area * (1 + 1e-9):
        raise OutOfRange("the opening is larger than the wall between the rooms: check their sizes and units")
    along = np.clip(np.nan_to_num(losses, nan=0.0).sum(axis=0), 0.0, ALONG_THE_PATH)
    return np.asarray(along + decibels(wall_area / opening))
