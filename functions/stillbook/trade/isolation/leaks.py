"""Leaks: what slits, holes and door gaps pass, and what is left of a wall's isolation with them."""

from __future__ import annotations

from typing import Annotated, Final

import numpy as np

from stillbook.cells import OutOfRange
from stillbook.formula import formula
from stillbook.quantities import AREA, LENGTH, LEVEL, SHARE, SMALL_AREA
from stillbook.readers import Choice, Floats, Quantity
from stillbook.results import Number
from stillbook.trade.isolation.single_leaf import panel_loss
from stillbook.trade.isolation.solids import panel_of
from stillbook.trade.mass.leaves import PanelRows, boarded
from stillbook.trade.physics.constants import FOOT, INCH
from stillbook.trade.physics.sound import (
    SPEED_OF_SOUND,
    STC_BANDS,
    BandChoice,
    BandValue,
    Spectrum,
    SpectrumResult,
    decibels,
    power,
)

GapSize = Annotated[float, Quantity(LENGTH, least=1e-4, most=0.5)]
"""Narrower than a tenth of a millimetre friction closes a slit or hole, which the theories leave out."""

PassageDepth = Annotated[float, Quantity(LENGTH, least=1e-4, most=2)]

DOOR_GAP: Final = INCH / 8
"""Usual clearance between a door and its frame; common practice, no source [m]."""

_FROM_ALL_SIDES: Final = 8.0
"""Gomperts's factor for sound from all sides."""

_PLACES: Final = {"mid-wall": 1.0, "edge": 0.5}
"""Gomperts's factor for where a slit lies: in the middle of a wall, or along a floor, ceiling or side wall."""

_EULER: Final = 0.57722


@formula(
    "SLITTL",
    family="Isolation",
    summary="Transmission loss by band of an open slit, related to its own area",
    example=(
        'STILL_SLITTL("3 mm","45 mm","edge",{125,500,2000})',
        (-8.01746584605571, -2.72953887910056, -2.68641562486068),
    ),
    source="Gomperts, Acustica 14 (1964); Gomperts and Kihlman, Acustica 18 (1967); Hopkins, eq. 4.99 to 4.101",
    vectorised=False,
)
def slit_loss(
    width: GapSize,
    depth: PassageDepth,
    place: Annotated[str, Choice("mid-wall", "edge")] = "mid-wall",
    bands: BandChoice = STC_BANDS,
) -> SpectrumResult:
    """Give what a straight slit isolates [dB]; it is often negative, for a slit passes more than its area.

    TL = -10 log10 τ with τ = 4 K cos⁴E / {n² [sin²(X + 2E) + (K² / 2n²) cos²E (1 + cos X cos(X + 2E))]}, where
    K = 2π f w / c, X = 2π f d / c and the end correction E = (K / π) [ln(8 / K) - 0.577], with the frequency f, the
    width w, the depth d, the speed of sound c, and n = 1 in the middle of a wall, 1/2 along an edge.

    A slit along an edge, such as under a door, passes four times what one in the middle of a wall does away from its
    resonances, which lie where its depth with the end corrections is half a wavelength or a multiple. Friction in the
    slit is left out, so the resonances are deeper than in practice; the values are at the band centres.

    Args:
        width: Width of the slit, the small side of its opening [m].
        depth: Depth of the slit through the wall or door [m].
        place: In the middle of a wall, or along an edge.
        bands: Bands wanted.

    Raises:
        OutOfRange: If the slit is too wide for the theory: wider than a sixth of a wavelength in the highest band.
    """
    return bands.loss(lambda thirds: _slit(width, depth, _PLACES[place], thirds))


def _slit(width: float, depth: float, place: float, frequency: Spectrum) -> Spectrum:
    wave = 2 * np.pi * frequency * width / SPEED_OF_SOUND
    if wave.max() >= 1:
        raise OutOfRange("the slit is too wide for this theory: take its area as open, with a loss of 0 dB")
    end = wave * (np.log(8 / wave) - _EULER) / np.pi
    through = wave * depth / width
    squared = np.cos(end) ** 2
    spread = wave**2 / (2 * place**2) * (1 + np.cos(through) * np.cos(through + 2 * end))
    # Numerator and denominator are multiplied by cos²: the printed form divides by zero where it vanishes.
    passed = _FROM_ALL_SIDES * wave * squared**2 / (2 * place**2 * (np.sin(through + 2 * end) ** 2 + spread * squared))
    return np.asarray(-decibels(passed))


@formula(
    "HOLETL",
    family="Isolation",
    summary="Transmission loss by band of an open round hole, related to its own area",
    example=('STILL_HOLETL("10 mm","100 mm",{125,500,2000})', (23.6294115472314, 22.2543101495575, 9.29682845308266)),
    source="Wilson and Soroka, JASA 37 (1965) 286; Hopkins, Sound Insulation, eq. 4.102",
    vectorised=False,
)
def hole_loss(diameter: GapSize, depth: PassageDepth, bands: BandChoice = STC_BANDS) -> SpectrumResult:
    """Give what a straight round hole isolates, such as one left around a cable or pipe [dB].

    TL = -10 log10 τ with τ = 4 R / {4 R² (cos kd - X sin kd)² + [(1 + R² - X²) sin kd + 2 X cos kd]²}, where each
    opening has the resistance R = 1 - J1(2ka) / ka and the reactance X = H1(2ka) / ka, of Bessel's and Struve's
    functions, and k = 2π f / c, with the frequency f, the radius a, the depth d and the speed of sound c.

    Both openings radiate as pistons in a wall; sound meets the hole head-on, and sound from all sides passes up to
    3 dB more. Small holes isolate well at low frequencies and pass several times their area at their resonances.
    Friction is left out; the values are at the band centres.

    Args:
        diameter: Diameter of the hole [m].
        depth: Depth of the hole through the wall [m].
        bands: Bands wanted.
    """
    return bands.loss(lambda thirds: _hole(diameter / 2, depth, thirds))


def _hole(radius: float, depth: float, frequency: Spectrum) -> Spectrum:
    # Loading SciPy takes longer than all formulas together, and only this one needs it.
    from scipy.special import j1, struve

    wave = 2 * np.pi * frequency / SPEED_OF_SOUND
    across = 2 * wave * radius
    # The difference from 1 loses its digits where the hole is small against the wave: there its series takes over.
    series = across**2 / 8 * (1 - across**2 / 24 * (1 - across**2 / 48))
    resistance = np.where(across < 0.05, series, 1 - 2 * j1(across) / across)
    reactance = 2 * struve(1, across) / across
    cosine, sine = np.cos(wave * depth), np.sin(wave * depth)
    impedance = 4 * resistance**2 * (cosine - reactance * sine) ** 2
    impedance = impedance + ((1 + resistance**2 - reactance**2) * sine + 2 * reactance * cosine) ** 2
    return np.asarray(-decibels(4 * resistance / impedance))


@formula(
    "LEAKEDTL",
    family="Isolation",
    summary="What is left of a transmission loss with a leak",
    example=('STILL_LEAKEDTL(50,"20 m²","4500 mm²")', 36.2893629588683),
    source="Sum of transmitted powers: Long, Architectural Acoustics, ch. 9",
    no_answer="the leak is larger than the area it is in: check their units",
)
def leaked_loss(
    transmission_loss: BandValue,
    area: Annotated[Floats, Quantity(AREA, above=0, most=100_000)],
    leak_area: Annotated[Floats, Quantity(SMALL_AREA, least=0, most=100)],
    leak_loss: BandValue = 0.0,
) -> Annotated[Floats, Number(LEVEL)]:
    """Give the loss of a wall, door or window with an opening in it [dB].

    TL = -10 log10[(1 - x) 10^(-TLw/10) + x 10^(-TLg/10)], with the leak's share x of the area, the loss TLw without the
    leak and the loss TLg of the leak.

    An opening of a thousandth of the area limits any wall to 30 dB. An open leak loses 0 dB by its area alone; give the
    loss of a slit or hole by band for a closer estimate, or that of a seal.

    Args:
        transmission_loss: Transmission loss without the leak [dB].
        area: Area of the wall, door or window, leak included [m²].
        leak_area: Area of the leak [m²].
        leak_loss: Transmission loss of the leak over its own area [dB].
    """
    share = np.asarray(leak_area) / area
    left = np.where(share <= 1, 1 - share, np.nan)
    return -decibels(left * power(-np.asarray(transmission_loss)) + share * power(-np.asarray(leak_loss)))


@formula(
    "DOORTL",
    family="Isolation",
    summary="Transmission loss by band of a door with the gaps around it",
    example=(
        'STILL_DOORTL("Solid-core door slab 1-3/4 in",36,80,"1/8 in",0,{125,500,2000})',
        (18.6567481965402, 18.1600968763525, 19.8353993510363),
    ),
    source="Leaf as STILL_LEAFTL; open gaps lose 0 dB over their area, which fits Harris, Table 31.6",
    vectorised=False,
)
def door_loss(
    leaf: PanelRows,
    width: Annotated[float, Quantity(LENGTH, least=10 * INCH, most=20 * FOOT)],
    height: Annotated[float, Quantity(LENGTH, least=10 * INCH, most=20 * FOOT)],
    gap: Annotated[float, Quantity(LENGTH, least=0, most=0.1)] = DOOR_GAP,
    share_sealed: Annotated[float, Quantity(SHARE, least=0, most=1)] = 0.0,
    bands: BandChoice = STC_BANDS,
) -> SpectrumResult:
    """Give the transmission loss of a hung door: its leaf and the gaps all round it together [dB].

    TL = -10 log10{[S 10^(-TLd/10) + G] / (S + G)} with the gap G = 2 (w + h) g (1 - s) and the leaf S = w h, where TLd
    is the loss of the leaf, w the width, h the height, g the gap and s the share sealed.

    A gap of 1/8 in all round limits any door to about 20 dB. A straight gap with parallel faces passes more still: see
    STILL_SLITTL. Hollow slabs are taken as stiff as solid ones. Doors built for sound, with damped or filled skins,
    rate up to 15 higher than this: use their laboratory figure.

    Args:
        leaf: Build-up of the door leaf, with what is added to its slab.
        width: Width of the door [m].
        height: Height of the door [m].
        gap: Gap between door and frame, all round [m].
        share_sealed: Share of the gap that seals close, such as 95%.
        bands: Bands wanted.
    """
    area = width * height
    panel = panel_of(boarded(leaf))
    opening = 2 * (width + height) * gap * (1 - share_sealed)

    def loss(thirds: Spectrum) -> Spectrum:
        return np.asarray(leaked_loss(np.maximum(panel_loss(panel, thirds, area), 0.0), area + opening, opening))

    return bands.loss(loss)
