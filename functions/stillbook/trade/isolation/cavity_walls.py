"""Walls of two or three leaves: resonance of the cavity, the sound through it, and the sound along the framing.

A wall's isolation is the sum of paths. Through each gap sound goes either by the air or by the framing; every such
choice is a path, and the powers of all paths add. In air, leaves and cavities are a chain of impedances. Along the
framing, the leaves are one panel of their total mass with the gain of the bridge added, after Sharp.

Four numbers that theory leaves open were fitted to one half of the measured walls in the tests, and judged on the
other half: three stand in :class:`stillbook.trade.isolation.framing.Fitted`, and beside it how a steel stud's
compliance falls with frequency.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Annotated, Any, Final, TypeVar

import numpy as np
import numpy.typing as npt

from stillbook.formula import formula
from stillbook.quantities import FREQUENCY, LENGTH
from stillbook.readers import Choice, Quantity
from stillbook.results import Number, SideBySide
from stillbook.trade.isolation.framing import (
    FITTED,
    Fitted,
    FramingChoice,
    Gap,
    Spacing,
    bridge_gain,
    frame_stiffness,
    gap_of,
)
from stillbook.trade.isolation.single_leaf import (
    FIELD_CORRECTION,
    LABORATORY_AREA,
    WallArea,
    closed_dip,
    dip,
    field_correction,
    normal_loss,
)
from stillbook.trade.isolation.solids import Panel, panel_of, together
from stillbook.trade.isolation.transfer import limp_chain_loss
from stillbook.trade.mass.leaves import LeafRows, PanelRows, boarded
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
    mean_loss,
    power,
)

DIFFUSE_STIFFENING: Final = 1.8
"""How much stiffer an empty cavity is for sound from all sides than head-on: London 1950; Long, eq. 9.42."""

FILLED_LOSS: Final = 1.0
"""Loss factor of the air spring in a cavity with absorption, which ratings bear out.

From 1.2 on, board inside a double wall would no longer cost isolation at 125 Hz, as NRC Canada measured that it does
below 200 Hz (Canadian Acoustics 52(3), 2024).
"""

_EMPTY_LOSS: Final = 3.0
"""The same without absorption: sound from all sides smears the resonance.

Ratings alone would have it still higher, and are hardly nearer for it; from 5 on, filling the cavity between double
boards on wood studs would no longer help.
"""

Impedance = npt.NDArray[np.complex128]
"""Of leaves or cavities over that of air, a row for each band and a column for each frequency within it."""

_WITHIN: Final = np.linspace(-1, 1, 13) / 6 * 0.99
"""Places within a third-octave band, as powers of two, over which the power passed is averaged."""


CavityDepth = Annotated[float, Quantity(LENGTH, above=0, most=3)]
Fill = Annotated[str, Choice("empty", "filled")]


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


def _airborne(groups: tuple[tuple[Panel, ...], ...], gaps: tuple[Gap, ...], sound: _Sound) -> tuple[Spectrum, Spectrum]:
    """Loss through a chain of leaves and cavities, and its loss head-on [dB]; a group holds leaves that move as one.

    The chain of impedances gives the loss for sound head-on (Fahy and Gardonio, double-leaf partitions). Sound from all
    sides passes more: that of one finite panel where the leaves move together, and 5.5 dB more for each cavity that
    decouples them, which joins mass law to Sharp's R1 + R2 + 20 log(2 k d). Bending waves add the dip of each leaf
    where the leaves are decoupled, and that of all together where they are not.

    A leaf adds to the chain without it no more than its mass adds head-on: below its resonance on the air beside it a
    film moves with the air, and parts no cavity in two. What two cavities decouple more than one counts as far as the
    leaf throws sound back. Between leaves that throw sound back, with fibre in both cavities and no framing that holds
    them apart, a leaf adds no more than transfer matrices of limp leaves and fibre say: around the resonances, which
    the springs here damp more, it costs isolation.
    """
    if (groups, gaps) in sound.known:
        return sound.known[groups, gaps]
    frequency, area, fitted = sound.frequency, sound.area, sound.fitted
    within = frequency[:, None] * 2.0**_WITHIN
    impedances = [_impedance(group, within) for group in groups]
    held = frame_stiffness([group[0] if len(group) == 1 else Panel(0.0) for group in groups], gaps, fitted)
    springs = [_spring(gap, stiffness, within, fitted) for gap, stiffness in zip(gaps, held, strict=True)]
    decoupled = [
        _decoupling(spring * near * far, near + far)
        for spring, near, far in zip(springs, impedances, impedances[1:], strict=False)
    ]
    head_on = _head_on(impedances, springs)
    all_round = field_correction(frequency, area) + FIELD_CORRECTION * sum(decoupled, np.zeros_like(frequency))
    loss = np.maximum(head_on - all_round, 0.0) + _dips(groups, decoupled, sound)
    thrown = [1 - power(-normal_loss(math.fsum(panel.mass for panel in group), frequency)) for group in groups]
    for place in range(len(groups) if gaps else 0):
        without, without_head_on = _airborne(*_without(groups, gaps, place), sound)
        massless = _head_on([*impedances[:place], 0 * impedances[place], *impedances[place + 1 :]], springs)
        added = np.maximum(head_on - massless, 0.0) + thrown[place] * np.maximum(massless - without_head_on, 0.0)
        loss = np.minimum(loss, without + added)
        if 0 < place < len(gaps) and all(gap.filled for gap in gaps) and not any(held):
            less = _limp(groups, gaps, sound) - _limp(*_without(groups, gaps, place), sound) - added
            loss = np.minimum(loss, without + added + thrown[0] * thrown[-1] * np.minimum(less, 0.0))
    sound.known[groups, gaps] = loss, head_on
    return loss, head_on


def _limp(groups: Sequence[tuple[Panel, ...]], gaps: Sequence[Gap], sound: _Sound) -> Spectrum:
    """Loss of a chain by transfer matrices of its masses and of fibre in its cavities, by bands [dB]."""
    masses = [math.fsum(panel.mass for panel in group) for group in groups]
    within = sound.frequency[:, None] * 2.0**_WITHIN
    return mean_loss(limp_chain_loss(masses, [gap.depth for gap in gaps], within))


def _head_on(impedances: Sequence[Impedance], springs: Sequence[Impedance]) -> Spectrum:
    """Loss of a chain for sound that meets it head-on, of the mean power within each band [dB]."""
    pressure, velocity = impedances[-1] + 1, np.ones_like(impedances[-1])
    for impedance, spring in zip(impedances[-2::-1], springs[::-1], strict=True):
        velocity = velocity + spring * pressure
        pressure = pressure + impedance * velocity
    return np.asarray(-decibels(np.mean(4 / np.abs(pressure + velocity) ** 2, axis=1)))


def _impedance(group: tuple[Panel, ...], frequency: Spectrum) -> Impedance:
    """Impedance of a leaf over that of air: its mass."""
    mass = math.fsum(panel.mass for panel in group)
    return np.asarray(2j * np.pi * frequency * mass / AIR_IMPEDANCE, dtype=np.complex128)


def _spring(gap: Gap, stiffness: complex, frequency: Spectrum, fitted: Fitted) -> Impedance:
    """How far a gap gives way, times the impedance of air: its air, and beside it the stiffness of its framing.

    Framing that stiffens a gap raises its resonance: the leaves move against each other while the studs stand still.
    """
    air = _air_spring(gap, frequency, fitted)
    if not stiffness:
        return air
    return np.asarray(1 / (1 / air + stiffness / (2j * np.pi * frequency * AIR_IMPEDANCE)), dtype=np.complex128)


def _air_spring(gap: Gap, frequency: Spectrum, fitted: Fitted) -> Impedance:
    """How far the air in a gap gives way, times the impedance of air: j k d at low frequencies, with a limit.

    Filled: isothermal, and at most 1, from where Sharp's R1 + R2 + 6 holds. Empty: stiffer for sound from all sides,
    and from some frequency on no better, since sound that runs along the cavity is not absorbed: what the faces and
    edges take up grows with the depth (Davy 1991 has a constant for it in a formula of another form).
    """
    if gap.filled:
        yielding = 2 * np.pi * frequency / SPEED_OF_SOUND * gap.depth * ADIABATIC_INDEX
        return np.asarray(1j * np.minimum(yielding, 1.0) * (1 - 1j * FILLED_LOSS), dtype=np.complex128)
    yielding = 2 * np.pi * np.minimum(frequency, fitted.empty_from) / SPEED_OF_SOUND * gap.depth / DIFFUSE_STIFFENING
    return np.asarray(1j * yielding * (1 - 1j * _EMPTY_LOSS), dtype=np.complex128)


def _decoupling(apart: Impedance, united: Impedance) -> Spectrum:
    """How far a cavity decouples its leaves, 0 to 1."""
    free, held = np.abs(apart) ** 2, np.abs(united) ** 2
    return np.asarray(np.mean(free / (free + held), axis=1))


def _dips(groups: Sequence[tuple[Panel, ...]], decoupled: Sequence[Spectrum], sound: _Sound) -> Spectrum:
    """What bending waves cost, weighed over all ways in which the cavities couple or decouple the leaves [dB]."""
    cost = np.zeros_like(sound.frequency)
    for split in itertools.product((False, True), repeat=len(decoupled)):
        weight = np.ones_like(sound.frequency)
        clumps: list[list[tuple[Panel, ...]]] = [[groups[0]]]
        for group, free, share in zip(groups[1:], split, decoupled, strict=True):
            weight = weight * (share if free else 1 - share)
            if free:
                clumps.append([group])
            else:
                clumps[-1].append(group)
        cost = cost + weight * sum((_clump_dip(clump, sound) for clump in clumps), np.zeros_like(sound.frequency))
    return cost


def _clump_dip(clump: Sequence[tuple[Panel, ...]], sound: _Sound) -> Spectrum:
    """Dip of leaves that move together: by air as one panel; by a bridge the worse of them, whatever their pores."""
    if len(clump) > 1:
        return dip(together(itertools.chain.from_iterable(clump)), sound.frequency, sound.area)
    if len(clump[0]) == 1:
        return dip(clump[0][0], sound.frequency, sound.area)
    return np.asarray(np.min([closed_dip(panel, sound.frequency, sound.area) for panel in clump[0]], axis=0))


# --- formulas ---------------------------------------------------------------------------------------------------------


@formula(
    "WALLTL",
    family="Isolation",
    summary="Transmission loss by band of a wall of two leaves with a cavity and framing between them",
    example=(
        'STILL_WALLTL("Gypsum board 5/8 in type X","Gypsum board 5/8 in type X",3.625,"filled",'
        '"steel studs",24,{125,500,2500})',
        (24.8022330371678, 48.8140018117298, 49.3683595468571),
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
    sides and bending waves cost, with v = 1 + s (1 + z2), p = 1 + z2 + z1 v, z = j 2π f m / ρc for each leaf and
    s = 1 / [1 / sa + k / (j 2π f ρc)] for the gap, sa being about j 2π f d / c: frequency f, mass per area m, depth d,
    air's density ρ and speed of sound c, stiffness per area k of the framing. Along the framing Rb is the loss of one
    panel of both masses plus 10 log10(b fL) - 23.9 for lines b apart or 20 log10(e fP) - 45 for points e apart, fL and
    fP being means of both critical frequencies; a line of steel studs gives way, and gains by Davy's compliance.

    The sound through the cavity and the sound along the framing add. Cavities are filled with soft absorption over at
    least half their depth, or empty. Rigid studs hold bays of board between them, whose bending raises the resonance:
    single boards on wood studs are weakest at 100 to 160 Hz. "unconnected" leaves stand on floors of their own, as
    in a laboratory; leaves on one floor are "separate frames". "steel studs" are of 24 or 25 gauge (0.5 to
    0.6 mm); of 20 gauge (0.9 mm) they are stiffer and isolate less. A leaf told by its mass alone counts as gypsum
    board. The estimate has an uncertainty of several decibels, see STILL_RATINGUNCERTAINTY and STILL_BANDUNCERTAINTY:
    use a laboratory figure where there is one.

    Against published measurements, the worst: gypsum board on 13 mm channels over painted block 7 too low; 6 in steel
    studs with channels up to 6 too low; two brick leaves on ties 5 too low or too high; filled staggered studs in an
    8 in cavity 5 too low; double boards on both sides of filled steel studs 6 too high. How channels give way was tried
    and did not fit the ratings, so that from 400 to 2000 Hz walls with channels may isolate 5 to 10 dB more than it
    says.

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
    panels = panel_of(boarded(leaf_1)), panel_of(boarded(leaf_2))
    return bands.loss(lambda thirds: wall_loss(panels, [gap], thirds, area))


@formula(
    "THREELEAFTL",
    family="Isolation",
    summary="Transmission loss by band of a wall of three leaves, such as a leaf added to an existing wall",
    example=(
        'STILL_THREELEAFTL("Gypsum board 1/2 in","Gypsum board 1/2 in",'
        '"Gypsum board 5/8 in type X",3.5,1,"empty","filled","wood studs","separate frames",16,24,{63,125,500})',
        (15.2380696499273, 19.9074241929204, 57.8452983442993),
    ),
    source="Chain of leaves and cavities after Fahy and Gardonio, matrices after Allard and Atalla; bridges as WALLTL",
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

    Between filled cavities on channels, ties or frames of their own, the middle leaf adds through the air no more than
    transfer matrices of limp leaves and fibre of 7 kPa·s/m² give, for sound to 78°: around the resonances board costs 5
    to 11.

    A narrow cavity beside the middle leaf costs isolation in the bass, where both resonances lie: compare with the same
    leaves in a wall of two, from 50 Hz up. Between the leaves sound takes every path through air and framing. Beside
    an empty cavity, or wood or steel studs, the springs alone count, which damp the resonances: expect less there.

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
    panels = tuple(panel_of(boarded(leaf)) for leaf in (leaf_1, leaf_2, leaf_3))
    gaps = gap_of(cavity_1, fill_1, framing_1, spacing_1), gap_of(cavity_2, fill_2, framing_2, spacing_2)
    return bands.loss(lambda thirds: wall_loss(panels, gaps, thirds, area))
