"""What joins the leaves of a wall: lines, points, springs of steel, and what theory leaves open about them."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Annotated, Final

import numpy as np

from stillbook.quantities import LENGTH
from stillbook.readers import Choice, Quantity
from stillbook.tables import table
from stillbook.trade.isolation.solids import Panel
from stillbook.trade.physics.constants import INCH
from stillbook.trade.physics.sound import SPEED_OF_SOUND, Spectrum


@dataclass(frozen=True, slots=True)
class Fitted:
    """What theory leaves open in the cavity wall model, fitted to measured walls (see ``tests/published``).

    Args:
        empty_from: Frequency from which an empty cavity decouples no further, since sound runs along it [Hz].
        bay_loss: Loss factor of a bay of one board between studs; boards on one another rub, and lose as much each.
        frame_joint: Side of the square of wall for which separate frames have one joint, through the floor and ceiling
            they stand on [m].
    """

    empty_from: float = 47.1
    bay_loss: float = 0.418
    frame_joint: float = 1.166


FITTED: Final = Fitted()

LINE_TERM: Final = 23.9
"""Line bridge between two leaves: Vigran, Building Acoustics 2008, eq. 8.26, after Sharp 1978 and Davy 1991 [dB]."""

POINT_TERM: Final = 45.0
"""Point bridge between two leaves: Sharp 1978; both leaves yield [dB]."""

LIMP_CRITICAL: Final = 20_000.0
"""Critical frequency that stands for a limp leaf at a bridge [Hz]: it yields, and passes little."""

_COMPLIANCE_FROM: Final = 100.0
"""Frequency up to which a steel stud gives way as it does at rest [Hz]."""

_COMPLIANCE_FALL: Final = 1.5
"""Power of frequency by which a steel stud gives way less above that: its web and flanges have waves of their own."""

_STEEL_LOSS: Final = 0.1
"""Loss factor of a steel stud with board on it."""

_BAY_RESTRAINT: Final = 2.03
"""How firmly rigid studs hold a bay of board: 1 is simply supported, 2.27 clamped.

Ratings alone would have it past clamped. A tenth firmer than this, boards of 1/2 in on filled wood studs are weakest no
longer at 125 to 160 Hz, where NRC Canada measured it (IR-761, TL-93-176).
"""

_FREESTANDING: Final = 2 * INCH
"""Thickness from which a leaf is a wall that stands by itself: framing on it is furring, and stiffens no bays."""


@dataclass(frozen=True, slots=True)
class Framing:
    """How two leaves are joined: along lines, at points, or along lines and from some frequency at points.

    Args:
        name: The name in the workbook.
        connection: "line", "points" or "line then points".
        spacing: Usual distance between the lines, or between rows of points; 0 where it was fitted [m].
        spacing_counts: Whether another spacing may be given.
        along: Distance between points along a row [m].
        stiffens: Whether studs hold the board firmly enough to stiffen the bays between them.
        compliance: How far a line gives way under a force on each metre [m²/N]; 0 where it is rigid.
    """

    name: str
    connection: str
    spacing: float
    spacing_counts: bool
    along: float
    stiffens: bool
    compliance: float = 0.0


@dataclass(frozen=True, slots=True)
class Gap:
    """The space between two leaves: depth [m], whether it holds absorption, framing, and the framing's spacing [m]."""

    depth: float
    filled: bool
    framing: Framing
    spacing: float


@cache
def framings() -> Mapping[str, Framing]:
    """The table of framing by name."""
    return {
        row["framing"]: Framing(
            row["framing"],
            row["connection"],
            float(row["spacing_m"] or 0),
            row["spacing_counts"] == "yes",
            float(row["along_m"] or 0),
            row["bay_stiffness"] == "yes",
            float(row["compliance_m2_n"] or 0),
        )
        for row in table("framing")
    }


FRAMINGS: Final = (
    "unconnected",
    "separate frames",
    "staggered studs",
    "wood studs",
    "load-bearing steel studs",
    "20 gauge steel studs",
    "steel studs",
    "resilient channels",
    "isolation clips",
    "wall ties",
    "window frame",
)

FramingChoice = Annotated[str, Choice(*FRAMINGS)]
Spacing = Annotated[float, Quantity(LENGTH, least=2 * INCH, most=3)]


def gap_of(depth: float, fill: str, framing: str, spacing: float | None = None, fitted: Fitted = FITTED) -> Gap:
    """The space between two leaves from what a workbook gives.

    Studs that hold the board firmly count as no farther apart than usual: the tables of codes give one rating for 16
    and 24 in (400 or 600 mm), and no measured wall shows that a wider spacing helps. Closer studs bridge more, by
    10 log b after Sharp: 12 in is 1.2 dB below 16 in.
    """
    frame = framings()[framing]
    if not frame.spacing:
        frame = replace(frame, spacing=fitted.frame_joint, along=fitted.frame_joint)
    counted = spacing if spacing and frame.spacing_counts else frame.spacing
    if frame.stiffens:
        counted = min(counted, frame.spacing)
    return Gap(depth, fill == "filled", frame, counted)


def bridge_gain(one: Panel, other: Panel, gap: Gap, frequency: Spectrum) -> Spectrum:
    """What two leaves joined by their framing isolate more than one panel of their total mass [dB]; never less than 0.

    Line: 10 log(b f_L) - 24 with f_L = [(m1 √f2 + m2 √f1) / (m1 + m2)]², b between lines. Points: 20 log(e f_P) - 45
    with f_P = (m1 f2 + m2 f1) / (m1 + m2), e the side of the square that holds one point; f1 and f2 are the critical
    frequencies. Screws act as a line while they lie closer than half a bending wave in the board, and as points from
    an octave above that (Craik and Smith 2000). A line that gives way gains what Davy's compliance gives.

    Source: Sharp 1978; Vigran, Building Acoustics 2008, eq. 8.18 to 8.27.
    """
    f1, f2 = (min(panel.critical_frequency, LIMP_CRITICAL) for panel in (one, other))
    total = one.mass + other.mass
    framing = gap.framing
    points = lines = np.zeros_like(frequency)
    if "points" in framing.connection:
        side = math.sqrt(gap.spacing * framing.along)
        points = points + 20 * math.log10(side * (one.mass * f2 + other.mass * f1) / total) - POINT_TERM
    if "line" in framing.connection:
        critical = ((one.mass * math.sqrt(f2) + other.mass * math.sqrt(f1)) / total) ** 2
        lines = lines + 10 * math.log10(gap.spacing * critical) - LINE_TERM
        if framing.compliance:
            lines = lines + _yielding_gain(one, other, (f1, f2), framing.compliance, frequency)
    if framing.connection == "points":
        return np.maximum(points, 0.0)
    if framing.connection == "line":
        return np.maximum(lines, 0.0)
    from_points = SPEED_OF_SOUND**2 / (4 * framing.along**2 * max(f1, f2))
    share = np.clip(np.log2(frequency / from_points), 0.0, 1.0)
    return np.asarray(np.maximum(lines + (np.maximum(points, lines) - lines) * share, 0.0))


def _yielding_gain(
    one: Panel, other: Panel, critical: tuple[float, float], compliance: float, frequency: Spectrum
) -> Spectrum:
    """What a line that gives way isolates more than a rigid one [dB]; the resonance of the line itself is left out.

    10 log{[g² + (4 ω^1.5 m1 m2 c C - g)²] / 2 g²} with g = m1 √ω2 + m2 √ω1, of the critical frequencies ω1 and ω2.

    Source: Davy 1991, in Vigran, Building Acoustics 2008, eq. 8.27.
    """
    w1, w2 = (2 * math.pi * each for each in critical)
    rigid = one.mass * math.sqrt(w2) + other.mass * math.sqrt(w1)
    gives = compliance * np.maximum(frequency / _COMPLIANCE_FROM, 1.0) ** -_COMPLIANCE_FALL
    yielding = 4 * (2 * np.pi * frequency) ** 1.5 * one.mass * other.mass * SPEED_OF_SOUND * gives
    return np.asarray(10 * np.log10(np.maximum((rigid**2 + (yielding - rigid) ** 2) / (2 * rigid**2), 1.0)))


def frame_stiffness(leaves: Sequence[Panel], gaps: Sequence[Gap], fitted: Fitted) -> list[complex]:
    """Stiffness per area with which the framing itself holds the leaves on each gap apart, beside the air [Pa/m].

    Rigid studs stand still while the leaves move against each other, and each bay of board bends between them: its
    lowest frequency is (π/2) √(B/m) / b², and twice that since the studs nearly clamp it. Two leaves' bays are springs
    in a row. Past a leaf between them the studs hold the outer two as well, which counts in halves for both gaps. The
    spacing b is the usual one: no measured wall shows what the dip does at another. Steel studs are springs themselves.

    Source: Leissa, Vibration of Plates; the dip it makes: Lin and Garrelick 1977; Bradley and Birta 2001.
    """
    found = [_flange_stiffness(gap) for gap in gaps]
    rigid = [_holds_bays(one, other, gap) for one, other, gap in zip(leaves, leaves[1:], gaps, strict=False)]
    for first in (place for place, holds in enumerate(rigid) if holds):
        last = first + 1
        if first and rigid[first - 1]:
            continue
        while last < len(gaps) and rigid[last]:
            last += 1
        held = leaves[first : last + 1]
        bays = [_bay_stiffness(leaf, gaps[first]) for leaf in held]
        if sum(bays) <= 0:
            continue
        loss = fitted.bay_loss * min(leaf.sheets for leaf in (held[0], held[-1]))
        past = 2 * bays[0] * bays[-1] if last > first + 1 else 0.0
        for place, (one, other) in enumerate(itertools.pairwise(bays), start=first):
            found[place] += (1 + 1j * loss) * (one * other + past) / sum(bays)
    return found


def _flange_stiffness(gap: Gap) -> complex:
    """Stiffness per area of lines that give way themselves [Pa/m]."""
    compliance = gap.framing.compliance
    return (1 + 1j * _STEEL_LOSS) / (compliance * gap.spacing) if compliance else 0j


def _holds_bays(one: Panel, other: Panel, gap: Gap) -> bool:
    """Whether the framing stiffens the bays between its studs; furring on a wall stands too far apart."""
    return gap.framing.stiffens and max(one.thickness, other.thickness) < _FREESTANDING


def _bay_stiffness(leaf: Panel, gap: Gap) -> float:
    """Stiffness per area of a bay of board between two studs [Pa/m]."""
    return leaf.stiffness * (math.pi**2 * _BAY_RESTRAINT / gap.framing.spacing**2) ** 2
