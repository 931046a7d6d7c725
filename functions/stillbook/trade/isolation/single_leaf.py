"""One leaf: mass law, critical frequency, and transmission loss by band of a panel with bending waves."""

from __future__ import annotations

import math
from typing import Annotated, Final

import numpy as np

from stillbook.formula import formula
from stillbook.quantities import AREA, FREQUENCY, LEVEL, SHARE, SURFACE_MASS
from stillbook.readers import Choice, Floats, Quantity
from stillbook.results import Number
from stillbook.trade.isolation.pores import pore_loss
from stillbook.trade.isolation.solids import Panel, panel_of
from stillbook.trade.mass.leaves import PanelRows, SurfaceMass, boarded
from stillbook.trade.physics.sound import (
    AIR_IMPEDANCE,
    SPEED_OF_SOUND,
    STC_BANDS,
    BandChoice,
    Bands,
    Spectrum,
    SpectrumResult,
    decibels,
    joined_loss,
)

Frequency = Annotated[Floats, Quantity(FREQUENCY, least=1, most=100_000)]
WallArea = Annotated[float, Quantity(AREA, least=0.2, most=1000)]
Layering = Annotated[str, Choice("loose", "glued")]

LABORATORY_AREA: Final = 10.0
"""Area of a wall in a test opening, ISO 10140-5 [m²]."""

FIELD_CORRECTION: Final = 5.5
"""Sound from all sides against sound head-on, in a third-octave band: Sharp 1978 [dB]."""

_FIELD_OF_A_TEXTBOOK: Final = 5.0
"""The same over a whole mass law: Beranek and Vér; Norton and Karczub [dB]."""

_SMALLEST: Final = 1.5
"""Least wavenumber times size for which the finite panel's radiation holds."""

_MASS_FOR_EDGES: Final = 485.0
"""Mass per area over the loss at the edges of a test opening times √f, EN 12354-1:2000 Annex C [kg/m² per √Hz]."""

_MOST_AT_EDGES: Final = 0.3
"""Loss at the edges times √f: least that ISO 10140-5 lets a test opening have, from memory [√Hz]."""

PLATE_WAVE_FACTOR: Final = 1.8
"""Critical frequency times thickness times plate wave speed over the square of the speed of sound."""


# --- laws -------------------------------------------------------------------------------------------------------------


def normal_loss(mass: Floats, frequency: Floats) -> Spectrum:
    """Loss of a limp panel for sound that meets it head-on: 10 log[1 + (π f m / ρc)²] [dB]."""
    return decibels(1 + (np.pi * frequency * mass / AIR_IMPEDANCE) ** 2)


def field_correction(frequency: Floats, area: float) -> Spectrum:
    """What a panel of finite size loses against head-on sound when sound comes from all sides [dB].

    At low frequencies a panel no larger than the sound waves radiates less than mass law supposes: ISO 15186-3:2002
    Annex A, 10 log[0.2 + ln(k √S)], taken down to k √S = 1.5. From where that exceeds 5.5 dB, Sharp's 5.5 dB holds.
    """
    size = np.maximum(2 * np.pi * frequency / SPEED_OF_SOUND * math.sqrt(area), _SMALLEST)
    return np.minimum(FIELD_CORRECTION, decibels(0.2 + np.log(size)))


def thick_critical_frequency(panel: Panel, frequency: Spectrum) -> Spectrum:
    """The critical frequency that stands for a thick plate, where shear waves take over from bending waves [Hz].

    Source: EN 12354-1:2000 Annex B, after Heckl and Donner 1985.
    """
    critical = panel.critical_frequency
    if not math.isfinite(critical) or panel.thickness <= 0:
        return np.full_like(np.asarray(frequency, dtype=np.float64), critical)
    wave_speed = SPEED_OF_SOUND**2 / (PLATE_WAVE_FACTOR * critical * panel.thickness)
    ratio = 4.05 * panel.thickness * frequency / wave_speed
    shear = wave_speed / (5.5 * panel.thickness)
    return np.where(
        frequency < shear, critical * (ratio + np.sqrt(1 + ratio**2)), 2 * critical * (frequency / shear) ** 3
    )


def mass_law_loss(mass: float, frequency: Floats, area: float) -> Spectrum:
    """Loss of a limp panel of finite size for sound from all sides [dB]."""
    return normal_loss(mass, frequency) - field_correction(frequency, area)


def loss_factor(panel: Panel, frequency: Floats) -> Spectrum:
    """Loss factor of a panel in its place: its own, and what it gives off into the building around it.

    Source: EN 12354-1:2000 Annex C, laboratory: η + m / (485 √f), which counts for heavy walls only. The edges of a
    test opening take up what ISO 10140-5 asks of them, 0.3 / √f, and no more however heavy the wall: without that limit
    ratings rise too steeply with the mass of masonry. Of 0.2 to 0.6 the calibration half of the measured walls fits 0.3
    best (see ``tests/published``).
    """
    edges = min(panel.mass / _MASS_FOR_EDGES, _MOST_AT_EDGES)
    return np.asarray(panel.loss_factor + edges / np.sqrt(frequency))


def panel_loss(panel: Panel, frequency: Spectrum, area: float = LABORATORY_AREA) -> Spectrum:
    """Transmission loss of a single panel in third-octave bands, through its vibration and any open pores [dB]."""
    closed = closed_loss(panel, frequency, area)
    return closed if panel.pores is None else joined_loss(closed, pore_loss(panel.pores, frequency))


def closed_loss(panel: Panel, frequency: Spectrum, area: float = LABORATORY_AREA) -> Spectrum:
    """Transmission loss of a single panel that is closed against air, in third-octave bands [dB].

    Mass law of a finite panel to half the critical frequency; a straight line over the logarithm of frequency to
    Sharp's dip at the critical frequency, head-on mass law plus 10 log(2 η / π); as much below head-on mass law from
    there until Cremer's 10 log[(2 η / π) (f / f_c - 1)] takes over at twice the critical frequency. In thick plates the
    critical frequency of EN 12354-1 takes its place. The result never exceeds mass law.

    Validity: homogeneous panels, closed against air. Within an octave of the critical frequency the dip depends on the
    mounting: expect errors of 5 dB there.
    """
    limp = mass_law_loss(panel.mass, frequency, area)
    critical = panel.critical_frequency
    if not math.isfinite(critical):
        return limp
    half = critical / 2
    at_half = mass_law_loss(panel.mass, half, area)
    at_critical = normal_loss(panel.mass, critical) + decibels(2 * loss_factor(panel, critical) / np.pi)
    line = at_half + (at_critical - at_half) * np.log2(np.maximum(frequency, half) / half)
    ratio = np.maximum(frequency, critical) / thick_critical_frequency(panel, np.maximum(frequency, critical))
    coincident = np.where(ratio > 1, np.maximum(ratio - 1, 1.0), ratio)
    resonant = normal_loss(panel.mass, frequency) + decibels(2 * loss_factor(panel, frequency) / np.pi * coincident)
    return np.where(frequency <= half, limp, np.where(frequency < critical, line, np.minimum(resonant, limp)))


def dip(panel: Panel, frequency: Spectrum, area: float) -> Spectrum:
    """How far bending waves and open pores pull a panel below mass law: zero or less [dB]."""
    return panel_loss(panel, frequency, area) - mass_law_loss(panel.mass, frequency, area)


def closed_dip(panel: Panel, frequency: Spectrum, area: float) -> Spectrum:
    """How far bending waves alone pull a panel below mass law: zero or less [dB]."""
    return closed_loss(panel, frequency, area) - mass_law_loss(panel.mass, frequency, area)


# --- formulas ---------------------------------------------------------------------------------------------------------


@formula(
    "MASSLAW",
    family="Isolation",
    summary="Transmission loss of a limp leaf by mass law",
    example=("STILL_MASSLAW(2.2,500)", 27.2226961630438),
    source="Beranek and Vér, Noise and Vibration Control Engineering; Norton and Karczub, field incidence 5 dB below",
)
def mass_law(
    surface_mass: SurfaceMass,
    frequency: Frequency,
    incidence: Annotated[str, Choice("field", "normal", "diffuse")] = "field",
) -> Annotated[Floats, Number(LEVEL)]:
    """Give the loss of a limp leaf, 6 dB more for twice the mass or frequency [dB].

    Normal incidence is R = 10 log10[1 + (π f m / ρc)²], with the frequency f, the mass per area m and the impedance of
    air ρc, 413 Pa·s/m; field incidence, sound from all sides up to 78 degrees, is R - 5, not below 0; diffuse
    incidence, to 90 degrees, is R - 10 log10(0.23 R). Real leaves fall below it around their critical frequency: see
    STILL_LEAFTL.

    Args:
        surface_mass: Mass per area of the leaf [kg/m²].
        frequency: Frequency [Hz].
        incidence: How sound meets the leaf.
    """
    normal = normal_loss(surface_mass, frequency)
    if incidence == "normal":
        return normal
    if incidence == "field":
        return np.maximum(normal - _FIELD_OF_A_TEXTBOOK, 0.0)
    return normal - decibels(np.maximum(0.23 * normal, 1.0))


@formula(
    "COINCIDENCE",
    family="Isolation",
    summary="Critical frequency of a leaf, where its isolation dips",
    example=('STILL_COINCIDENCE("Gypsum board 1/2 in")', 2992.12598425197),
    source="Long, Architectural Acoustics, Table 9.1; Hopkins, Sound Insulation, Table A2; thin plate theory",
    no_answer="the leaf has no layer with stiffness data: it is limp and has no critical frequency",
    vectorised=False,
)
def coincidence(leaf: PanelRows, layers: Layering = "loose") -> Annotated[float, Number(FREQUENCY)]:
    """Give the lowest frequency at which bending waves in the leaf match sound waves along it [Hz].

    fc = (c² / 2π) √(m / B), with the speed of sound c, the mass per area m of the whole leaf and its bending stiffness
    B per width: of loose layers the sum, of glued ones that of one plate about their common neutral axis. A sheet alone
    has fc = K / t, with the product K of its material and its thickness t.

    Boards that are screwed together keep about the critical frequency of one board; boards glued all over bend as one
    thicker board, and the dip falls into lower, more audible bands. Plaster, stucco and screed always bend as one with
    the masonry they are next to. Products vary by up to a fifth between handbooks.

    Args:
        leaf: Build-up of the leaf, outer layer first.
        layers: Whether the layers are loose (screwed or laid together) or glued all over.
    """
    return panel_of(leaf, glued=layers == "glued").critical_frequency


@formula(
    "LEAFTL",
    family="Isolation",
    summary="Transmission loss of one leaf by band: mass law, its coincidence dip and damping",
    example=(
        'STILL_LEAFTL("Gypsum board 5/8 in type X",{125,500,2500})',
        (16.8374593967426, 26.7226961630438, 27.1277465697433),
    ),
    source="Sharp, Noise Control Engineering 11 (1978); Cremer 1942; ISO 15186-3 Annex A; EN 12354-1:2000 Annex B",
    vectorised=False,
)
def leaf_loss(
    leaf: PanelRows,
    bands: BandChoice = STC_BANDS,
    layers: Layering = "loose",
    area: WallArea = LABORATORY_AREA,
) -> SpectrumResult:
    """Give the transmission loss of a single leaf [dB].

    To fc / 2: TL = N - min(5.5, 10 log10[0.2 + ln(max(1.5, k √S))]), where N = 10 log10[1 + (π f m / ρc)²] is head-on
    mass law; from fc up: TL = N + 10 log10(2 η x / π), x = max(1, f / fc - 1), and not above the former; a line over
    log f between. With frequency f, mass per area m, k = 2π f / c, area S, critical frequency fc, which rises in thick
    plates, and loss factor η, the leaf's own plus the lesser of m / 485 and 0.3, over √f. Plaster, stucco and screed
    bend as one with the masonry next to them, whether layers are loose or glued.

    Sound also passes through the pores of "Solid lightweight block bare", τ = |cosh γd + (ζ + 1/ζ) sinh γd / 2|⁻²,
    averaged over all angles θ, with γ = jω √(ρp / K), ζ = √(ρp K) cos θ / ρc, ρp = ρ/φ + σ/jω and K = ρc² / 1.4φ in the
    thickness d. One measured wall gave its airflow resistivity σ, 120 kPa·s/m², and its porosity φ, 0.4.

    Validity: homogeneous, airtight leaves, and that block; a leaf told by its mass alone counts as gypsum board.
    Sandwich panels with soft cores isolate less. Other block that neither paint nor plaster seals may lose 5 to 10 in
    STC against the same block sealed (NRC Canada, concrete block walls), and board on dabs is no seal; four bare walls
    of hollow block were measured within 3 of this.

    Against published measurements, the worst: lead sheet 4 to 8 too high; one plain brick wall 8 and one 8 in concrete
    slab 5 too high; plastered 8 in block 8 too low; aerated block 5 too low. Each rating has an uncertainty, see
    STILL_RATINGUNCERTAINTY.

    Args:
        leaf: Build-up of the leaf, outer layer first.
        bands: Bands wanted.
        layers: Whether the layers are loose (screwed or laid together) or glued all over.
        area: Area of the leaf between its edges [m²].
    """
    panel = panel_of(boarded(leaf), glued=layers == "glued")
    return _in_bands(panel, bands, area)


@formula(
    "PANELTL",
    family="Isolation",
    summary="Transmission loss by band of a panel whose critical frequency and damping are known",
    example=(
        'STILL_PANELTL(2.2,2500,0.01,"curve",{125,500,4000})',
        (16.8374593967426, 26.7226961630438, 28.4702112873578),
    ),
    source="Sharp, Noise Control Engineering 11 (1978); Cremer 1942; Norton and Karczub, 2nd ed., problem 3.14",
    vectorised=False,
)
def known_panel_loss(
    surface_mass: Annotated[float, Quantity(SURFACE_MASS, above=0, most=3000)],
    critical_frequency: Annotated[float, Quantity(FREQUENCY, least=5, most=1e6)],
    damping: Annotated[float, Quantity(SHARE, least=1e-4, most=1)],
    theory: Annotated[str, Choice("curve", "Sharp", "Cremer")] = "curve",
    bands: BandChoice = STC_BANDS,
    area: WallArea = LABORATORY_AREA,
) -> SpectrumResult:
    """Give the transmission loss of a thin panel from its own data, such as a maker's [dB].

    "curve" is the curve of STILL_LEAFTL. "Sharp" is N - 5.5 to fc / 2, N + 10 log10[2 η f / (π fc)] from fc up and a
    line over log f between, where N = 10 log10[1 + (π f m / ρc)²]. "Cremer" is N - 5 below fc, and above it
    20 log10(π f m / ρc) + 10 log10(f / fc - 1) + 10 log10 η - 2: it holds clear of the critical frequency only. With
    the frequency f, the mass per area m, the impedance of air ρc, the critical frequency fc and the loss factor η. None
    is below 0.

    Args:
        surface_mass: Mass per area [kg/m²].
        critical_frequency: Critical frequency [Hz].
        damping: Loss factor with the mounting, such as 0.02.
        theory: Which curve to follow.
        bands: Bands wanted.
        area: Area of the panel between its edges [m²].
    """
    if theory != "curve":
        law = sharp_loss if theory == "Sharp" else cremer_loss
        return bands.loss(lambda thirds: np.maximum(law(surface_mass, critical_frequency, damping, thirds), 0.0))
    stiffness = surface_mass * (SPEED_OF_SOUND**2 / (2 * math.pi * critical_frequency)) ** 2
    return _in_bands(Panel(surface_mass, stiffness, damping), bands, area)


def sharp_loss(mass: float, critical: float, damping: float, frequency: Spectrum) -> Spectrum:
    """Sharp's curve of a thin panel [dB].

    Source: Sharp 1978; Bies, Hansen and Howard, Engineering Noise Control, 5th ed., eq. 7.40 to 7.44.
    """
    half = critical / 2
    at_half = normal_loss(mass, half) - FIELD_CORRECTION
    at_critical = normal_loss(mass, critical) + decibels(2 * damping / np.pi)
    line = at_half + (at_critical - at_half) * np.log2(np.maximum(frequency, half) / half)
    above = normal_loss(mass, frequency) + decibels(2 * damping * frequency / (np.pi * critical))
    below = normal_loss(mass, frequency) - FIELD_CORRECTION
    return np.where(frequency <= half, below, np.where(frequency < critical, line, above))


def cremer_loss(mass: float, critical: float, damping: float, frequency: Spectrum) -> Spectrum:
    """Field mass law below the critical frequency and Cremer's law above it [dB].

    Source: Norton and Karczub, 2nd ed. 2003, problem 3.14; Cremer 1942.
    """
    coupled = 20 * np.log10(np.pi * frequency * mass / AIR_IMPEDANCE)
    with np.errstate(divide="ignore", invalid="ignore"):
        resonant = coupled + decibels(frequency / critical - 1) + decibels(damping) - 2
    below = normal_loss(mass, frequency) - _FIELD_OF_A_TEXTBOOK
    return np.where(frequency < critical, below, resonant)


@formula(
    "PROFILEDTL",
    family="Isolation",
    summary="Transmission loss by band of a ribbed or corrugated sheet",
    example=("STILL_PROFILEDTL(2,200,9000,{125,500,2000})", (13.8979081164214, 20.4130042145305, 28.3606285450158)),
    source="Heckl 1960; Bies, Hansen and Howard, Engineering Noise Control, orthotropic panels",
    vectorised=False,
)
def profiled_loss(
    surface_mass: Annotated[float, Quantity(SURFACE_MASS, above=0, most=3000)],
    critical_along: Annotated[float, Quantity(FREQUENCY, above=0, most=1e6)],
    critical_across: Annotated[float, Quantity(FREQUENCY, above=0, most=1e6)],
    bands: BandChoice = STC_BANDS,
) -> SpectrumResult:
    """Give the transmission loss of a sheet that is stiffer along its ribs than across them [dB].

    Between the two critical frequencies sound meets coincidence at some angle at every frequency, so a profiled sheet
    isolates less than a flat one of the same mass over much of the range.

    Below half the lower critical frequency f1 field mass law, 10 log10[1 + (π f m / ρc)²] - 5; from f1 to half the
    higher one, f2, Heckl's TL = 10 log10{2π² f² m / (ρc f1 [ln(4 f / f1)]²)}; from 2 f2 up
    TL = 10 log10[2 f² m / (ρc √(f1 f2))]; lines over log f between, nowhere above field mass law. With frequency f,
    mass per area m and the impedance of air ρc. Not below 0.

    Damping and small local resonances of the ribs are left out.

    Args:
        surface_mass: Mass per area [kg/m²].
        critical_along: Critical frequency of bending along the ribs, the stiff way, from the maker or from
            STILL_COINCIDENCE of the flat sheet times the root of flat over ribbed stiffness [Hz].
        critical_across: Critical frequency of bending across the ribs, about that of the flat sheet [Hz].
        bands: Bands wanted.
    """
    lower, higher = sorted((critical_along, critical_across))
    return bands.loss(lambda thirds: np.maximum(_heckl_loss(surface_mass, lower, higher, thirds), 0.0))


def _heckl_loss(mass: float, lower: float, higher: float, frequency: Spectrum) -> Spectrum:
    """Heckl's laws for a panel with two critical frequencies [dB]."""

    def between(f: Floats) -> Spectrum:
        spread = np.log(4 * np.maximum(f, lower) / lower)
        return decibels(2 * np.pi**2 * f**2 * mass / (AIR_IMPEDANCE * lower * spread**2))

    def above(f: Floats) -> Spectrum:
        return decibels(2 * f**2 * mass / (AIR_IMPEDANCE * math.sqrt(lower * higher)))

    start, end = max(higher / 2, lower), 2 * higher
    at_start, at_end = between(start), above(end)
    joining = at_start + (at_end - at_start) * np.log(np.maximum(frequency, start) / start) / math.log(end / start)
    resonant = np.where(frequency < start, between(frequency), np.where(frequency < end, joining, above(frequency)))
    limp, at_half = (normal_loss(mass, f) - _FIELD_OF_A_TEXTBOOK for f in (frequency, lower / 2))
    falling = at_half + (between(lower) - at_half) * np.log2(np.maximum(frequency, lower / 2) / (lower / 2))
    return np.minimum(np.where(frequency < lower / 2, limp, np.where(frequency < lower, falling, resonant)), limp)


def _in_bands(panel: Panel, bands: Bands, area: float) -> Spectrum:
    return bands.loss(lambda thirds: np.maximum(panel_loss(panel, thirds, area), 0.0))
