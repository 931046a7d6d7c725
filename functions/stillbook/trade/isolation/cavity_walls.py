"""Walls of two or three leaves: resonance of the cavity, the sound through it, and the sound along the framing.

A wall's isolation is the sum of paths. Through each gap sound goes either by the air or by the framing; every such
choice is a path, and the powers of all paths add. In air, leaves and cavities are a chain of impedances. Along the
framing, the leaves are one panel of their total mass with the gain of the bridge added, after Sharp.

Six numbers that theory leaves open were fitted to one half of the measured walls in the tests, and judged on the other
half; they stand in :class:`Fitted`. Which published bridge stands for which framing was chosen with all rows in view:
steel studs and resilient channels follow Sharp's points, with no compliance of the stud, better than lines.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Annotated, Any, Final, TypeVar

import numpy as np
import numpy.typing as npt

from stillbook.formula import formula
from stillbook.quantities import FREQUENCY, LENGTH
from stillbook.readers import Choice, Quantity
from stillbook.results import Number, SideBySide
from stillbook.tables import table
from stillbook.trade.isolation.single_leaf import (
    FIELD_CORRECTION,
    LABORATORY_AREA,
    WallArea,
    dip,
    field_correction,
    normal_loss,
)
from stillbook.trade.isolation.solids import Panel, panel_of, together
from stillbook.trade.mass.leaves import LeafRows, PanelRows
from stillbook.trade.physics.constants import INCH
from stillbook.trade.physics.sound import (
    ADIABATIC_INDEX,
    AIR_DENSITY,
    AIR_IMPEDANCE,
    SPEED_OF_SOUND,
    STC_BANDS,
    BandChoice,
    Spectrum,
    SpectrumResult,
    decibels,
    joined_loss,
    power,
)


@dataclass(frozen=True, slots=True)
class Fitted:
    """What theory leaves open in the cavity wall model, fitted to measured walls (see ``tests/published``).

    Args:
        filled_loss: Loss factor of the air spring in a cavity with absorption.
        empty_loss: The same without absorption; sound from all sides smears the resonance.
        glazed_loss: The same between panes of glass, whose frame and faces take up less sound than studs and board.
        empty_most: Most that an empty cavity decouples the leaves, as a share of a filled one.
        bay_restraint: How firmly rigid studs hold a bay of board: 1 is simply supported, 2.27 clamped.
        frame_joint: Side of the square of wall for which separate frames have one joint, through the floor and ceiling
            they stand on [m].
    """

    filled_loss: float = 0.8
    empty_loss: float = 0.95
    glazed_loss: float = 0.62
    empty_most: float = 0.32
    bay_restraint: float = 1.36
    frame_joint: float = 1.17


FITTED: Final = Fitted()

DIFFUSE_STIFFENING: Final = 1.8
"""How much stiffer an empty cavity is for sound from all sides than head-on: London 1950; Long, eq. 9.42."""

LINE_TERM: Final = 23.9
"""Line bridge between two leaves: Vigran, Building Acoustics 2008, eq. 8.26, after Sharp 1978 and Davy 1991 [dB]."""

POINT_TERM: Final = 45.0
"""Point bridge between two leaves: Sharp 1978; both leaves yield [dB]."""

_LIMP_CRITICAL: Final = 20_000.0
"""Critical frequency that stands for a limp leaf at a bridge [Hz]: it yields, and passes little."""

_BAY_LOSS: Final = 0.1
"""Loss factor of a bay of board between studs; it rounds the resonance, no more."""

Impedance = npt.NDArray[np.complex128]
"""Of leaves or cavities over that of air, a row for each band and a column for each frequency within it."""

_WITHIN: Final = np.linspace(-1, 1, 13) / 6 * 0.99
"""Places within a third-octave band, as powers of two, over which the power passed is averaged."""


@dataclass(frozen=True, slots=True)
class Framing:
    """How two leaves are joined: along lines, at points, or along lines at low and at points at higher frequencies.

    Args:
        name: The name in the workbook.
        connection: "line", "points" or "line then points".
        spacing: Usual distance between the lines, or between rows of points; 0 where it was fitted [m].
        spacing_counts: Whether another spacing may be given.
        along: Distance between points along a row [m].
        stiffens: Whether studs hold the board firmly enough to stiffen the bays between them.
        glazed: Whether the leaves are panes of glass.
    """

    name: str
    connection: str
    spacing: float
    spacing_counts: bool
    along: float
    stiffens: bool
    glazed: bool = False


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
            row["glazed"] == "yes",
        )
        for row in table("framing")
    }


FRAMINGS: Final = (
    "separate frames",
    "staggered studs",
    "wood studs",
    "load-bearing steel studs",
    "steel studs",
    "resilient channels",
    "isolation clips",
    "wall ties",
    "window frame",
)

CavityDepth = Annotated[float, Quantity(LENGTH, above=0, most=3)]
Fill = Annotated[str, Choice("empty", "filled")]
FramingChoice = Annotated[str, Choice(*FRAMINGS)]
Spacing = Annotated[float, Quantity(LENGTH, least=2 * INCH, most=3)]


# --- resonance --------------------------------------------------------------------------------------------------------


@formula(
    "RESONANCE",
    family="Isolation",
    summary="Resonance of two leaves on the air between them, below which the cavity does not help",
    example=("STILL_RESONANCE(2.2,2.2,3.5)", 86.7392222274835),
    source="Mass-air-mass resonance: Fahy and Gardonio, Sound and Structural Vibration; Sharp 1978",
    vectorised=False,
)
def resonance(
    leaf_1: LeafRows, leaf_2: LeafRows, cavity_depth: CavityDepth, fill: Fill = "empty"
) -> Annotated[float, Number(FREQUENCY)]:
    """Give the mass-air-mass resonance for sound that meets the wall head-on [Hz].

    f = √[s (1/m1 + 1/m2)] / 2π with the masses per area m1 and m2 and the stiffness s = ρc²/d of air, of density ρ, in
    the depth d, where c is the speed of sound: 60 √[(m1 + m2) / (m1 m2 d)] in kg/m² and m.

    Absorption lets the air give off heat, so that its stiffness falls by 1.4: 50.7 in place of 60. An empty cavity
    without cross walls rings up to a third higher for sound from all sides. The isolation is worse than one leaf's
    around this frequency and better from about 1.4 times it.

    Args:
        leaf_1: Build-up of one leaf, or its mass per area.
        leaf_2: Build-up of the other.
        cavity_depth: Distance between the leaves [m].
        fill: Whether the cavity holds absorption.
    """
    stiffness = _air_stiffness(cavity_depth, fill == "filled")
    return math.sqrt(stiffness * (1 / leaf_1.surface_mass + 1 / leaf_2.surface_mass)) / (2 * math.pi)


@formula(
    "THREELEAFRESONANCE",
    family="Isolation",
    summary="The two resonances of a wall of three leaves",
    example=("STILL_THREELEAFRESONANCE(2.2,2.2,2.2,2,2)", (81.1371128926225, 140.533601909474)),
    source="Chain of three masses: Vinokur, Applied Acoustics 46 (1996); Xin and Lu 2011",
    vectorised=False,
)
def three_leaf_resonance(
    leaf_1: LeafRows,
    leaf_2: LeafRows,
    leaf_3: LeafRows,
    cavity_1: CavityDepth,
    cavity_2: CavityDepth,
    fill: Fill = "empty",
) -> Annotated[tuple[float, float], SideBySide(("Lower", FREQUENCY), ("Higher", FREQUENCY))]:
    """Give both resonances of three leaves on the air in their two cavities [Hz].

    f = √[h ∓ √(h² - p)] / 2π with h = [s1 (1/m1 + 1/m2) + s2 (1/m2 + 1/m3)] / 2 and
    p = s1 s2 (m1 + m2 + m3) / (m1 m2 m3), where m1, m2, m3 are the masses per area and s1, s2 the stiffness of the air
    in each cavity: ρc²/d for air of density ρ and the depth d, c the speed of sound; over 1.4 with absorption.

    The same masses in two leaves over the same total depth resonate lower: a leaf added to an existing wall, or board
    inside a double stud cavity, costs isolation in the bass.

    Args:
        leaf_1: Build-up of one outer leaf, or its mass per area.
        leaf_2: Build-up of the middle leaf.
        leaf_3: Build-up of the other outer leaf.
        cavity_1: Distance between the first and the middle leaf [m].
        cavity_2: Distance between the middle and the third leaf [m].
        fill: Whether the cavities hold absorption.
    """
    m1, m2, m3 = (leaf.surface_mass for leaf in (leaf_1, leaf_2, leaf_3))
    s1, s2 = (_air_stiffness(depth, fill == "filled") for depth in (cavity_1, cavity_2))
    half = (s1 * (1 / m1 + 1 / m2) + s2 * (1 / m2 + 1 / m3)) / 2
    product = s1 * s2 * (m1 + m2 + m3) / (m1 * m2 * m3)
    root = math.sqrt(half**2 - product)
    return math.sqrt(half - root) / (2 * math.pi), math.sqrt(half + root) / (2 * math.pi)


def _air_stiffness(depth: float, filled: bool) -> float:
    """Stiffness per area of the air in a cavity [Pa/m]: isothermal where it is filled with absorption."""
    return AIR_DENSITY * SPEED_OF_SOUND**2 / depth / (ADIABATIC_INDEX if filled else 1.0)


# --- transmission -----------------------------------------------------------------------------------------------------


def wall_loss(
    panels: Sequence[Panel],
    gaps: Sequence[Gap],
    frequency: Spectrum,
    area: float = LABORATORY_AREA,
    fitted: Fitted = FITTED,
) -> Spectrum:
    """Transmission loss of leaves with gaps between them in third-octave bands [dB]: the sum of all paths."""
    sound = _Sound(frequency, area, fitted)
    ways = itertools.product((False, True), repeat=len(gaps))
    return np.maximum(joined_loss(*(_path(tuple(panels), tuple(gaps), way, sound) for way in ways)), 0.0)


@dataclass(frozen=True, slots=True, eq=False)
class _Sound:
    """The sound that meets a wall, and the chains of leaves it was already worked out for: loss, and loss head-on."""

    frequency: Spectrum
    area: float
    fitted: Fitted
    known: dict[tuple[Any, ...], tuple[Spectrum, Spectrum]] = field(default_factory=dict)


def _path(panels: tuple[Panel, ...], gaps: tuple[Gap, ...], bridged: tuple[bool, ...], sound: _Sound) -> Spectrum:
    """Loss of one path, which crosses each gap by the framing where it is bridged, and else by the air [dB].

    Framing that bridges both gaps beside a leaf goes past it: that leaf adds no more than its mass adds to the others.
    """
    gain = np.zeros_like(sound.frequency)
    groups: list[tuple[Panel, ...]] = [panels[:1]]
    for place, joined in enumerate(bridged):
        if joined:
            groups[-1] = (*groups[-1], panels[place + 1])
            gain = gain + bridge_gain(panels[place], panels[place + 1], gaps[place], sound.frequency)
        else:
            groups.append((panels[place + 1],))
    open_gaps = tuple(gap for gap, joined in zip(gaps, bridged, strict=True) if not joined)
    loss = _airborne(tuple(groups), open_gaps, sound)[0] + gain
    for middle in range(1, len(panels) - 1):
        if bridged[middle - 1] and bridged[middle]:
            without = _path(*_without(panels, gaps, middle), bridged[:middle] + bridged[middle + 1 :], sound)
            share = panels[middle].mass * (1 / panels[middle - 1].mass + 1 / panels[middle + 1].mass)
            loss = np.minimum(loss, without + 20 * math.log10(1 + share))
    return loss


Member = TypeVar("Member")


def _without(
    members: tuple[Member, ...], gaps: tuple[Gap, ...], place: int
) -> tuple[tuple[Member, ...], tuple[Gap, ...]]:
    """A chain without one of its leaves: the gaps beside it become one, or go with an outer leaf."""
    others = members[:place] + members[place + 1 :]
    if place in (0, len(members) - 1):
        return others, gaps[1:] if place == 0 else gaps[:-1]
    return others, (*gaps[: place - 1], _one_gap(gaps[place - 1], gaps[place]), *gaps[place + 1 :])


def _one_gap(one: Gap, other: Gap) -> Gap:
    """Two gaps without the leaf between them, joined by the framing that joins less and filled where either is."""
    looser = max(one, other, key=lambda gap: (gap.framing.connection == "points", gap.framing.along, gap.spacing))
    return Gap(one.depth + other.depth, one.filled or other.filled, looser.framing, looser.spacing)


def bridge_gain(one: Panel, other: Panel, gap: Gap, frequency: Spectrum) -> Spectrum:
    """What two leaves joined by their framing isolate more than one panel of their total mass [dB]; never less than 0.

    Line: 10 log(b f_L) - 24 with f_L = [(m1 √f2 + m2 √f1) / (m1 + m2)]², b between lines. Points: 20 log(e f_P) - 45
    with f_P = (m1 f2 + m2 f1) / (m1 + m2), e the side of the square that holds one point; f1 and f2 are the critical
    frequencies. Screws act as a line while they lie closer than half a bending wave in the board, and as points from
    an octave above that (Craik and Smith 2000).

    Source: Sharp 1978; Vigran, Building Acoustics 2008, eq. 8.18 to 8.26.
    """
    f1, f2 = (min(panel.critical_frequency, _LIMP_CRITICAL) for panel in (one, other))
    total = one.mass + other.mass
    framing = gap.framing
    points = lines = np.zeros_like(frequency)
    if "points" in framing.connection:
        side = math.sqrt(gap.spacing * framing.along)
        points = points + 20 * math.log10(side * (one.mass * f2 + other.mass * f1) / total) - POINT_TERM
    if "line" in framing.connection:
        critical = ((one.mass * math.sqrt(f2) + other.mass * math.sqrt(f1)) / total) ** 2
        lines = lines + 10 * math.log10(gap.spacing * critical) - LINE_TERM
    if framing.connection == "points":
        return np.maximum(points, 0.0)
    if framing.connection == "line":
        return np.maximum(lines, 0.0)
    from_points = SPEED_OF_SOUND**2 / (4 * framing.along**2 * min(f1, f2))
    share = np.clip(np.log2(frequency / from_points), 0.0, 1.0)
    return np.asarray(np.maximum(lines + (np.maximum(points, lines) - lines) * share, 0.0))


def _airborne(groups: tuple[tuple[Panel, ...], ...], gaps: tuple[Gap, ...], sound: _Sound) -> tuple[Spectrum, Spectrum]:
    """Loss through a chain of leaves and cavities, and its loss head-on [dB]; a group holds leaves that move as one.

    The chain of impedances gives the loss for sound head-on (Fahy and Gardonio, double-leaf partitions). Sound from all
    sides passes more: that of one finite panel where the leaves move together, and 5.5 dB more for each cavity that
    decouples them, which joins mass law to Sharp's R1 + R2 + 20 log(2 k d). Bending waves add the dip of each leaf
    where the leaves are decoupled, and that of all together where they are not.

    A leaf adds to the chain without it no more than its mass adds head-on: below its resonance on the air beside it a
    film moves with the air, and parts no cavity in two. What two cavities decouple more than one counts as far as the
    leaf throws sound back.
    """
    if (groups, gaps) in sound.known:
        return sound.known[groups, gaps]
    frequency, area, fitted = sound.frequency, sound.area, sound.fitted
    within = frequency[:, None] * 2.0**_WITHIN
    wave_number = 2 * np.pi * within / SPEED_OF_SOUND
    impedances = [_impedance(group, gaps, index, within, fitted) for index, group in enumerate(groups)]
    springs = [_spring(gap, wave_number, fitted) for gap in gaps]
    decoupled = [
        _decoupling(spring * near * far, near + far)
        for spring, near, far in zip(springs, impedances, impedances[1:], strict=False)
    ]
    head_on = _head_on(impedances, springs)
    all_round = field_correction(frequency, area) + FIELD_CORRECTION * sum(decoupled, np.zeros_like(frequency))
    loss = np.maximum(head_on - all_round, 0.0) + _dips(groups, decoupled, frequency, area)
    for place in range(len(groups) if gaps else 0):
        without, without_head_on = _airborne(*_without(groups, gaps, place), sound)
        massless = _head_on([*impedances[:place], 0 * impedances[place], *impedances[place + 1 :]], springs)
        thrown_back = 1 - power(-normal_loss(math.fsum(panel.mass for panel in groups[place]), frequency))
        added = np.maximum(head_on - massless, 0.0) + thrown_back * np.maximum(massless - without_head_on, 0.0)
        loss = np.minimum(loss, without + added)
    sound.known[groups, gaps] = loss, head_on
    return loss, head_on


def _head_on(impedances: Sequence[Impedance], springs: Sequence[Impedance]) -> Spectrum:
    """Loss of a chain for sound that meets it head-on, of the mean power within each band [dB]."""
    pressure, velocity = impedances[-1] + 1, np.ones_like(impedances[-1])
    for impedance, spring in zip(impedances[-2::-1], springs[::-1], strict=True):
        velocity = velocity + spring * pressure
        pressure = pressure + impedance * velocity
    return np.asarray(-decibels(np.mean(4 / np.abs(pressure + velocity) ** 2, axis=1)))


def _impedance(
    group: tuple[Panel, ...], gaps: Sequence[Gap], index: int, frequency: Spectrum, fitted: Fitted
) -> Impedance:
    """Impedance of a leaf over that of air: its mass, and its stiffness between studs that hold it firmly."""
    mass = math.fsum(panel.mass for panel in group)
    bay = 0.0
    if len(group) == 1:
        beside = [gaps[place] for place in (index - 1, index) if 0 <= place < len(gaps)]
        bay = max((_bay_frequency(group[0], gap, fitted) for gap in beside if gap.framing.stiffens), default=0.0)
    return 2j * np.pi * frequency * mass / AIR_IMPEDANCE * (1 - (bay / frequency) ** 2 * (1 + 1j * _BAY_LOSS))


def _bay_frequency(panel: Panel, gap: Gap, fitted: Fitted) -> float:
    """Lowest frequency of a bay of board between two studs [Hz]: (π/2) √(B/m) / b², more where it is held firmly.

    The spacing b is the usual one: how firmly studs hold was fitted at it, and no measured wall shows what the dip does
    at another.

    Source: Leissa, Vibration of Plates; the dip it makes: Lin and Garrelick 1977; Bradley and Birta 2001.
    """
    return fitted.bay_restraint * math.pi / 2 * math.sqrt(panel.stiffness / panel.mass) / gap.framing.spacing**2


def _spring(gap: Gap, wave_number: Spectrum, fitted: Fitted) -> Impedance:
    """How far the air in a gap gives way, times the impedance of air: j k d at low frequencies, with a limit.

    Filled: isothermal, and at most 1, from where Sharp's R1 + R2 + 6 holds. Empty: stiffer for sound from all sides,
    with a lower limit, since sound that runs along the cavity is not absorbed (Davy 1991 has 0.1 to 0.15 for it in a
    formula of another form).
    """
    yielding = wave_number * gap.depth
    if gap.filled:
        return 1j * np.minimum(yielding * ADIABATIC_INDEX, 1.0) * (1 - 1j * fitted.filled_loss)
    loss = fitted.glazed_loss if gap.framing.glazed else fitted.empty_loss
    return 1j * np.minimum(yielding / DIFFUSE_STIFFENING, fitted.empty_most) * (1 - 1j * loss)


def _decoupling(apart: Impedance, united: Impedance) -> Spectrum:
    """How far a cavity decouples its leaves, 0 to 1."""
    free, held = np.abs(apart) ** 2, np.abs(united) ** 2
    return np.asarray(np.mean(free / (free + held), axis=1))


def _dips(
    groups: Sequence[tuple[Panel, ...]], decoupled: Sequence[Spectrum], frequency: Spectrum, area: float
) -> Spectrum:
    """What bending waves cost, weighed over all ways in which the cavities couple or decouple the leaves [dB]."""
    cost = np.zeros_like(frequency)
    for split in itertools.product((False, True), repeat=len(decoupled)):
        weight = np.ones_like(frequency)
        clumps: list[list[tuple[Panel, ...]]] = [[groups[0]]]
        for group, free, share in zip(groups[1:], split, decoupled, strict=True):
            weight = weight * (share if free else 1 - share)
            if free:
                clumps.append([group])
            else:
                clumps[-1].append(group)
        cost = cost + weight * sum((_clump_dip(clump, frequency, area) for clump in clumps), np.zeros_like(frequency))
    return cost


def _clump_dip(clump: Sequence[tuple[Panel, ...]], frequency: Spectrum, area: float) -> Spectrum:
    """Dip of leaves that move together: through air as one panel; through a bridge, the worse of the leaves."""
    if len(clump) == 1:
        return np.asarray(np.min([dip(panel, frequency, area) for panel in clump[0]], axis=0))
    return dip(together(itertools.chain.from_iterable(clump)), frequency, area)


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


# --- formulas ---------------------------------------------------------------------------------------------------------


@formula(
    "WALLTL",
    family="Isolation",
    summary="Transmission loss by band of a wall of two leaves with a cavity and framing between them",
    example=(
        'STILL_WALLTL("Gypsum board 5/8 in type X","Gypsum board 5/8 in type X",3.625,"filled",'
        '"steel studs",24,{125,500,2500})',
        (26.8920848982057, 47.7723613741708, 48.2006598326312),
    ),
    source="Sharp 1978; Vigran, Building Acoustics 2008; Fahy and Gardonio; EN 12354-1:2000; fitted on measured walls",
    vectorised=False,
)
def double_wall_loss(
    leaf_1: PanelRows,
    leaf_2: PanelRows,
    cavity_depth: CavityDepth,
    fill: Fill = "empty",
    framing: FramingChoice = "wood studs",
    spacing: Spacing | None = None,
    bands: BandChoice = STC_BANDS,
    area: WallArea = LABORATORY_AREA,
) -> SpectrumResult:
    """Give the transmission loss of a two-leaf wall, closed against air and without flanking [dB].

    TL = -10 log10[10^(-Ra/10) + 10^(-Rb/10)]. Through the air Ra = 20 log10(|p + v| / 2), less what sound from all
    sides and bending waves cost, with v = 1 + s (1 + z2), p = 1 + z2 + z1 v, z = j 2π f m / ρc for each leaf and about
    s = j 2π f d / c for the cavity: frequency f, mass per area m, depth d, air's density ρ and speed of sound c. Along
    the framing Rb is the loss of one panel of both masses plus 10 log10(b fL) - 23.9 for lines b apart or
    20 log10(e fP) - 45 for points e apart, fL and fP being means of both critical frequencies.

    The sound through the cavity and the sound along the framing add. Cavities are filled with soft absorption over at
    least half their depth, or empty. The estimate has an uncertainty of several decibels, see STILL_RATINGUNCERTAINTY:
    use a laboratory figure where there is one.

    Against published measurements, the worst: linings on 13 mm channels over block up to 8 too low; 6 in studs with
    channels up to 6 too low; two brick leaves on ties 6 too high to 4 too low; empty light steel stud walls with single
    boards up to 6 too high; board and stucco on wood studs 5 too high. Single bands err by 6 dB (RMS), most near the
    coincidence dips.

    Args:
        leaf_1: Build-up of one leaf.
        leaf_2: Build-up of the other.
        cavity_depth: Distance between the leaves, channels included [m].
        fill: Whether the cavity holds absorption.
        framing: What joins the leaves.
        spacing: Distance between studs or channels, or the width of a pane; usual for the framing when left out.
            It does not count for separate frames and wall ties, nor beyond the usual for wood and heavy steel [m].
        bands: Bands wanted.
        area: Area of the wall between its edges [m²].
    """
    gap = gap_of(cavity_depth, fill, framing, spacing)
    panels = panel_of(leaf_1), panel_of(leaf_2)
    return bands.loss(lambda thirds: wall_loss(panels, [gap], thirds, area))


@formula(
    "THREELEAFTL",
    family="Isolation",
    summary="Transmission loss by band of a wall of three leaves, such as a leaf added to an existing wall",
    example=(
        'STILL_THREELEAFTL("Gypsum board 1/2 in","Gypsum board 1/2 in",'
        '"Gypsum board 5/8 in type X",3.5,1,"empty","filled","wood studs","separate frames",16,24,{63,125,500})',
        (12.0986685929308, 17.4850482848748, 62.8393599595169),
    ),
    source="Chain of leaves and cavities after Fahy and Gardonio; bridges after Sharp 1978 and Vigran 2008",
    vectorised=False,
)
def triple_wall_loss(
    leaf_1: PanelRows,
    leaf_2: PanelRows,
    leaf_3: PanelRows,
    cavity_1: CavityDepth,
    cavity_2: CavityDepth,
    fill_1: Fill = "empty",
    fill_2: Fill = "empty",
    framing_1: FramingChoice = "wood studs",
    framing_2: FramingChoice = "separate frames",
    spacing_1: Spacing | None = None,
    spacing_2: Spacing | None = None,
    bands: BandChoice = STC_BANDS,
    area: WallArea = LABORATORY_AREA,
) -> SpectrumResult:
    """Give the transmission loss of a three-leaf wall, closed against air and without flanking [dB].

    TL = -10 log10 Σ 10^(-R/10) over four paths, each gap crossed by the air or by the framing, each R as in
    STILL_WALLTL: leaf by leaf v becomes v + s p and p becomes p + z v along the chain, and the gains of bridges add.

    A narrow cavity beside the middle leaf costs isolation in the bass, where both resonances lie: compare with the same
    leaves in a wall of two, from 50 Hz up. Between the leaves sound takes every path through air and framing.

    Args:
        leaf_1: Build-up of one outer leaf.
        leaf_2: Build-up of the middle leaf.
        leaf_3: Build-up of the other outer leaf.
        cavity_1: Distance between the first and the middle leaf [m].
        cavity_2: Distance between the middle and the third leaf [m].
        fill_1: Whether the first cavity holds absorption.
        fill_2: Whether the second cavity holds absorption.
        framing_1: What joins the first and the middle leaf.
        framing_2: What joins the middle and the third leaf.
        spacing_1: Distance between studs or channels in the first cavity; usual for the framing when left out [m].
        spacing_2: The same in the second cavity [m].
        bands: Bands wanted.
        area: Area of the wall between its edges [m²].
    """
    panels = tuple(panel_of(leaf) for leaf in (leaf_1, leaf_2, leaf_3))
    gaps = gap_of(cavity_1, fill_1, framing_1, spacing_1), gap_of(cavity_2, fill_2, framing_2, spacing_2)
    return bands.loss(lambda thirds: wall_loss(panels, gaps, thirds, area))
