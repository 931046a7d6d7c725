"""Sound lost along a duct by octave band: lining, sheet metal, elbows, branches, changes of size, the open end.

Each answer is a row of eight losses, 63 to 8000 Hz. Wherever a duct has a width and a height, a height that is blank or
0 means a round duct and the width is its diameter; sizes are clear of the lining.
"""

from __future__ import annotations

import math
from functools import cache
from typing import Annotated, Final

import numpy as np

from stillbook.cells import OutOfRange
from stillbook.formula import formula
from stillbook.quantities import COUNT, LENGTH, LEVEL, ROOM_LENGTH, SMALL_AREA
from stillbook.readers import Choice, Quantity
from stillbook.tables import table
from stillbook.trade.ducts.sizes import hydraulic_diameter, section_area
from stillbook.trade.physics.constants import FOOT, INCH
from stillbook.trade.physics.sound import OCTAVES, SPEED_OF_SOUND, Spectrum, SpectrumResult, decibels

Side = Annotated[float, Quantity(LENGTH, least=0.01, most=10)]
"""Side or diameter of a duct or opening; a slot narrower than a centimetre is no duct."""

OtherSide = Annotated[float, Quantity(LENGTH, least=0.01, most=10, zero=True)]
Run = Annotated[float, Quantity(ROOM_LENGTH, above=0, most=300)]
OpeningArea = Annotated[float, Quantity(SMALL_AREA, least=1e-4, most=100)]
LiningThickness = Annotated[float, Quantity(LENGTH, least=0.012, most=0.3)]
MostLoss = Annotated[float, Quantity(LEVEL, above=0, most=300)]
"""Most that a path keeps back; more than any level is no limit, as where a schedule asks what its elements do alone."""

DuctBasis = Annotated[str, Choice("safer", "regression")]

MOST_LOSS: Final = 40.0
"""Most that one lined element keeps back [dB]: beyond it, sound runs along the wall of the duct and through it."""

ALONG_THE_PATH: Final = 50.0
"""Most that a path of ducts keeps back from end to end; common practice, no source [dB]."""

FREQUENCIES: Final = np.array(OCTAVES)

_TESTED_LENGTH: Final = 10 * FOOT
_TESTED_RATIO: Final = 6.0
"""Largest perimeter over area among the ducts that were measured [1/ft]."""

_LEAST_RATIO: Final = 0.8
"""Smallest perimeter over area of the printed tables, 60 by 60 in [1/ft]."""

_TABULATED_RATIO: Final = 12.0
"""Largest perimeter over area in the printed tables of bare duct, 4 by 4 in [1/ft]."""

_LARGEST_DIAMETER: Final = 60 * INCH
"""Largest round duct that was measured [m]."""

_TESTED_DIAMETER: Final = 6.0
"""Smallest round duct that was measured [in]."""

_TESTED_LINING: Final = (1.0, 2.0)
"""Thinnest and thickest lining that was measured [in]."""

_SAFER_SHARE: Final = 0.75
_SAFER_LOW: Final = (0.025, 0.05)
"""Most loss of a foot of lined duct at 63 and 125 Hz, for each 1/ft of perimeter over area and inch of lining [dB]."""


def is_round(height: float | None) -> bool:
    """Whether a height says that a duct is round."""
    return height is None or math.isnan(height) or height == 0


def cutoff(width: float, height: float | None) -> float:
    """Below this frequency only plane waves travel in a duct [Hz]: c/2a, and 0.586 c/d for a round one."""
    if height is None or is_round(height):
        return 0.586 * SPEED_OF_SOUND / width
    return SPEED_OF_SOUND / (2 * max(width, height))


# --- lined duct -------------------------------------------------------------------------------------------------------


@cache
def _rectangular_coefficients() -> tuple[Spectrum, ...]:
    return tuple(np.array([float(row[key]) for row in table("lined_duct")]) for key in "bcd")


@cache
def _round_coefficients() -> tuple[Spectrum, ...]:
    return tuple(np.array([float(row[key]) for row in table("lined_round_duct")]) for key in "abcdef")


def _regression(ratio: float, diameter: float | None, lining: float) -> Spectrum:
    """Loss of a foot of lined duct by the regressions: perimeter over area [1/ft], diameter and lining [in]."""
    if diameter is None:
        b, c, d = _rectangular_coefficients()
        return np.asarray(b * ratio**c * lining**d)
    a, b, c, d, e, f = _round_coefficients()
    across = d * diameter + e * diameter**2 + f * diameter**3
    return np.maximum(a + b * lining + c * lining**2 + across, 0.0)


def lined_loss_of_a_foot(width: float, height: float | None, lining: float, basis: str = "safer") -> Spectrum:
    """Loss of a foot of lined duct [dB], from sizes in metres."""
    ratio = 4 / float(hydraulic_diameter(width, height)) * FOOT
    diameter = width / INCH if is_round(height) else None
    thickness = lining / INCH
    if basis == "regression":
        return _regression(ratio, diameter, thickness)
    thinnest, thickest = _TESTED_LINING
    held = None if diameter is None else max(diameter, _TESTED_DIAMETER)
    loss = _SAFER_SHARE * _regression(min(ratio, _TESTED_RATIO), held, min(thickness, thickest))
    # The regressions give a thin lining all that a thick one does from 1000 Hz up.
    loss[FREQUENCIES >= 1000] *= min(thickness / thinnest, 1.0)
    loss[:2] = np.minimum(loss[:2], np.array(_SAFER_LOW) * min(ratio, _TESTED_RATIO) * min(thickness, thickest))
    return loss


@formula(
    "LINEDDUCTLOSS",
    family="Quiet air path",
    summary="Sound lost in a lined duct by octave, 63 to 8000 Hz",
    example=(
        "STILL_LINEDDUCTLOSS(8,8,6,1)",
        (
            0.9,
            1.8,
            5.33799834701074,
            11.1847375890094,
            27.6694737403282,
            26.3590073900568,
            15.3260592170711,
            10.5331800411613,
        ),
    ),
    source="Reynolds and Bledsoe, ASHRAE Trans. 95(1), 1989, as in Long, Architectural Acoustics, 2nd ed., tables 14.2 "
    "and 14.3; held back as the notes say",
    no_answer="no lined duct larger than this was tested: its perimeter over area is less than 0.8 per ft, "
    "or it is round and wider than 60 in; divide the duct",
    vectorised=False,
)
def lined_duct_loss(
    width: Side,
    height: OtherSide | None,
    length: Run,
    lining: LiningThickness,
    basis: DuctBasis = "safer",
) -> SpectrumResult:
    """Give what the lining of a straight duct keeps back, at most 40 dB [dB]. All sides are lined with fibrous board.

    Regression, in dB a foot with P/A in 1/ft and the lining t in inches: B (P/A)^C t^D, and a cubic in the diameter for
    round duct. It was fitted to ducts of 10 ft with P/A of 1.2 to 6 and linings of 1 and 2 in. Published tables of
    measurements and the worked example of AHRI 885-2008 lie below it: by half at 125 Hz in small ducts and with 2 in of
    lining, and by up to a quarter above. So the safer basis, which is taken when none is named, is three quarters of
    the regression; at 63 and 125 Hz no more than 0.025 and 0.05 dB a foot for each 1/ft of P/A and inch of lining;
    smaller sizes and other linings than tested count as those at their edge, and larger sizes have no answer; and no
    more than 10 ft of one run is counted.

    8 × 8 in with 1 in of lining, dB a foot at 63 to 8000 Hz: regression 0.44 0.72 1.19 2.49 6.15 5.86 3.41 2.34, safer
    0.15 0.30 0.89 1.86 4.61 4.39 2.55 1.76.

    What thin sheet metal loses besides goes out through its walls: STILL_UNLINEDDUCTLOSS. Linings in an air stream need
    a facing that holds the fibres, and a rating for fire and smoke by the local code.

    Args:
        width: Clear width, or diameter of a round duct [m].
        height: Clear height, blank or 0 for a round duct [m].
        length: Length of the straight run [m].
        lining: Thickness of the lining, half an inch or more [m].
        basis: What is promised: the safer of the published sources, or the plain regression.
    """
    ratio = 4 / float(hydraulic_diameter(width, height)) * FOOT
    if (width > _LARGEST_DIAMETER * (1 + 1e-9)) if is_round(height) else (ratio < _LEAST_RATIO * (1 - 1e-9)):
        return np.full(len(OCTAVES), np.nan)
    counted = length if basis == "regression" else min(length, _TESTED_LENGTH)
    return np.minimum(lined_loss_of_a_foot(width, height, lining, basis) * counted / FOOT, MOST_LOSS)


# --- sheet metal ------------------------------------------------------------------------------------------------------


@cache
def _round_duct_rows() -> tuple[tuple[float, Spectrum], ...]:
    return tuple(
        (float(row["most_diameter_in"]), np.array([float(row[f"f{band:.0f}"]) for band in OCTAVES]))
        for row in table("round_duct")
    )


@formula(
    "UNLINEDDUCTLOSS",
    family="Quiet air path",
    summary="Sound lost in a bare sheet metal duct by octave, 63 to 8000 Hz",
    example=(
        "STILL_UNLINEDDUCTLOSS(12,12,10)",
        (
            3.55217584329772,
            1.98408563367011,
            1.10074042454437,
            0.606286626604159,
            0.606286626604159,
            0.606286626604159,
            0.606286626604159,
            0.606286626604159,
        ),
    ),
    source="Reynolds and Bledsoe, Algorithms for HVAC Acoustics, 1991, coefficients from memory",
    no_answer="no figures for round ducts of more than 60 in",
    vectorised=False,
)
def unlined_duct_loss(width: Side, height: OtherSide | None, length: Run) -> SpectrumResult:
    """Give what a duct of thin sheet metal loses without a lining, at most 40 dB [dB].

    Rectangular, in dB a foot with P/A in 1/ft: up to 250 Hz 17.0 (P/A)^-0.25 f^-0.85 where P/A is 3 or more, else
    1.64 (P/A)^0.73 f^-0.58; above 250 Hz 0.02 (P/A)^0.8, where a duct smaller than 4 × 4 in, the smallest tabulated,
    counts as that. Round: a small table, 0.02 to 0.1 dB a foot. What is lost at low frequencies goes out through the
    walls, into the space the duct runs through. A stiff or heavy duct, an outside wrap of board and a duct in concrete
    keep it in: count none there.

    Args:
        width: Clear width, or diameter of a round duct [m].
        height: Clear height, blank or 0 for a round duct [m].
        length: Length of the straight run [m].
    """
    if is_round(height):
        fitting = [loss for most, loss in _round_duct_rows() if width / INCH <= most + 1e-9]
        return (
            np.asarray(np.minimum(fitting[0] * length / FOOT, MOST_LOSS)) if fitting else np.full(len(OCTAVES), np.nan)
        )
    ratio = 4 / float(hydraulic_diameter(width, height)) * FOOT
    low = 17.0 * ratio**-0.25 * FREQUENCIES**-0.85 if ratio >= 3 else 1.64 * ratio**0.73 * FREQUENCIES**-0.58
    foot = np.where(FREQUENCIES <= 250, low, 0.02 * min(ratio, _TABULATED_RATIO) ** 0.8)
    return np.asarray(np.minimum(foot * length / FOOT, MOST_LOSS))


# --- elbows -----------------------------------------------------------------------------------------------------------

_ELBOW_EDGES: Final = (1.9, 3.8, 7.5, 15.0, 30.0)
"""Frequency times width [kHz in] at which the elbows' steps change."""

_LEAST_LINED_SHARE: Final = 0.1
"""Share of the width that a lining must have for an elbow to count as lined."""


@cache
def _elbow_steps() -> dict[tuple[str, bool], Spectrum]:
    columns = (*(f"fw_{edge:g}" for edge in _ELBOW_EDGES), "above")
    return {
        (row["elbow"], row["lined"] == "yes"): np.array([float(row[column]) for column in columns])
        for row in table("elbow_sound")
    }


ELBOWS: Final = ("square elbow", "square elbow with vanes", "round elbow")


@formula(
    "ELBOWLOSS",
    family="Quiet air path",
    summary="Sound lost in elbows by octave, 63 to 8000 Hz",
    example=("STILL_ELBOWLOSS(8,1)", (0.0, 0.0, 1.0, 6.0, 11.0, 10.0, 10.0, 10.0)),
    source="Steps over frequency times width: Bies, Hansen and Howard, 5th ed. (2017), table 8.11, from ASHRAE",
    vectorised=False,
)
def elbow_loss(
    width: Side,
    lining: Annotated[float, Quantity(LENGTH, least=0, most=0.3)] | None = None,
    count: Annotated[float, Quantity(COUNT, least=1, most=50, whole=True)] = 1.0,
    elbow: Annotated[str, Choice(*ELBOWS)] = "square elbow",
) -> SpectrumResult:
    """Give what elbows of 90° keep back, at most 40 dB [dB].

    The loss goes in steps over frequency times width, in kHz inches, at 1.9, 3.8, 7.5, 15 and 30. An elbow counts as
    lined where the lining is a tenth of the width or more and runs on for two widths before and after the bend; else as
    unlined. Two elbows closer than three widths give less than twice one: count one. A lined round elbow counts as
    unlined.

    min[n D(f w), 40], with n elbows and D the step for frequency f times width w.

    Args:
        width: Clear width in the plane of the bend, or diameter [m].
        lining: Thickness of the lining, blank or 0 without one [m].
        count: How many alike.
        elbow: Kind of elbow.
    """
    thick = lining is not None and not math.isnan(lining) and lining >= _LEAST_LINED_SHARE * width * (1 - 1e-9)
    steps = _elbow_steps()
    own = steps.get((elbow, thick), steps[elbow, False])
    places = np.searchsorted(_ELBOW_EDGES, FREQUENCIES / 1000 * width / INCH, side="right")
    return np.minimum(count * own[places], MOST_LOSS)


# --- the open end, branches, changes of size --------------------------------------------------------------------------

_END_FACTORS: Final = {"flush": 0.7, "free": 1.0, "diffuser": 0.0}


@formula(
    "ENDREFLECTION",
    family="Quiet air path",
    summary="Sound that the open end of a duct throws back by octave, 63 to 8000 Hz",
    example=(
        "STILL_ENDREFLECTION(8,8)",
        (
            14.6277864636596,
            9.09497585714584,
            4.44002120304657,
            1.59847321974936,
            0.458051016898641,
            0.119120916871806,
            0.0300879383345309,
            0.00754154926519717,
        ),
    ),
    source="Form of ASHRAE RP-1314 (Michaud and Cunefare, 2007), coefficients from memory",
    vectorised=False,
)
def end_reflection(
    width: Side,
    height: OtherSide | None = None,
    termination: Annotated[str, Choice(*_END_FACTORS)] = "flush",
) -> SpectrumResult:
    """Give the loss where a duct opens into a room [dB]: 10 log[1 + (k c / π f D)²], at most 40 dB.

    k is 0.7 for an end flush with a wall or ceiling and 1 for one that stands free; D is the diameter, or that of a
    circle of the same area. It needs three to five diameters of straight duct before the end. A diffuser, a damper, an
    elbow or a flexible last length takes most of it away, and tests scatter by 10 dB: with any of these none is
    counted. The handbooks' table is met to 0.7 dB for flush ends, and is up to 1.3 dB lower for free ones;
    another table in common use gives up to 3 dB less for small flush ducts.

    Args:
        width: Clear width of the opening, or its diameter [m].
        height: Clear height, blank or 0 for a round opening [m].
        termination: How the duct ends.
    """
    diameter = math.sqrt(4 * float(section_area(width, height)) / math.pi)
    waves = _END_FACTORS[termination] * SPEED_OF_SOUND / (math.pi * FREQUENCIES * diameter)
    return np.minimum(decibels(1 + waves**2), MOST_LOSS)


@formula(
    "BRANCHLOSS",
    family="Quiet air path",
    summary="Sound that a branch does not get where a duct divides, in each octave",
    example=(
        "STILL_BRANCHLOSS(64,128)",
        (
            3.01029995663981,
            3.01029995663981,
            3.01029995663981,
            3.01029995663981,
            3.01029995663981,
            3.01029995663981,
            3.01029995663981,
            3.01029995663981,
        ),
    ),
    source="Power divides as the areas: Reynolds and Bledsoe, Algorithms for HVAC Acoustics, 1991",
    vectorised=False,
)
def branch_loss(branch_area: OpeningArea, total_area: OpeningArea) -> SpectrumResult:
    """Give the loss from the duct before a division into one of the ducts after it [dB]: -10 log of its share of area.

    -10 log(S / ΣS), with S the branch followed and ΣS all branches.

    Args:
        branch_area: Clear area of the branch that is followed [m²].
        total_area: Clear area of all ducts that leave the division, that branch among them [m²].

    Raises:
        OutOfRange: If the branch is larger than all together.
    """
    if branch_area > total_area * (1 + 1e-9):
        raise OutOfRange("the branch is larger than all ducts together: give the sum of their areas as total area")
    return np.full(len(OCTAVES), -decibels(min(branch_area / total_area, 1.0)))


@formula(
    "AREACHANGELOSS",
    family="Quiet air path",
    summary="Sound that a sudden change of duct size throws back by octave, 63 to 8000 Hz",
    example=(
        "STILL_AREACHANGELOSS(64,256)",
        (1.93820026016113, 1.93820026016113, 1.93820026016113, 0.0, 0.0, 0.0, 0.0, 0.0),
    ),
    source="Plane waves at a change of area: Kinsler and others, Fundamentals of Acoustics; NACA Report 1192, 1954",
    vectorised=False,
)
def area_change_loss(area_before: OpeningArea, area_after: OpeningArea) -> SpectrumResult:
    """Give the loss at a sudden change of area, larger or smaller alike [dB]: 10 log[(1 + m)² / 4m].

    It holds for plane waves, so only below c/2a of a square duct of the larger area; above that none is counted. A
    gradual change throws back less.

    Args:
        area_before: Clear area before the change [m²].
        area_after: Clear area after it [m²].
    """
    ratio = area_after / area_before
    side = math.sqrt(max(area_before, area_after))
    plane = cutoff(side, side) > FREQUENCIES
    return np.where(plane, decibels((1 + ratio) ** 2 / (4 * ratio)), 0.0)
