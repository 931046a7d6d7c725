"""The open lined box: what its lining absorbs, and the sound it keeps back between two openings."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Annotated, Final

import numpy as np
import numpy.typing as npt

from stillbook.cells import OutOfRange
from stillbook.formula import formula
from stillbook.quantities import LENGTH, SHARE
from stillbook.readers import Choice, Quantity, Vector
from stillbook.trade.physics.fibrous import wool
from stillbook.trade.physics.sound import OCTAVES, SPEED_OF_SOUND, Spectrum, SpectrumResult, decibels, mean_loss
from stillbook.trade.quiet_path.duct_sound import FREQUENCIES, MOST_LOSS, LiningThickness, OpeningArea

BoxSize = Annotated[float, Quantity(LENGTH, above=0, most=20)]
PlenumBasis = Annotated[str, Choice("safer", "Wells", "Mouratidis")]
Array = npt.NDArray[np.float64]

FLOW_RESISTIVITY: Final = 20_000.0
"""Of usual duct liner and light board, 24 to 48 kg/m³ [Pa·s/m²]; makers give 10,000 to 30,000."""

_CORNER: Final = 4.0
"""Directivity of an opening near an edge of the box, in the form of Mouratidis and Becker."""

_IN_AN_OCTAVE: Final = 2.0 ** (np.arange(-2.5, 3) / 6)
"""Frequencies within an octave over its centre, for the mean of a loss that swings within it."""


# --- what a lining absorbs --------------------------------------------------------------------------------------------


@lru_cache(maxsize=256)
def lining_absorption(thickness: float) -> Spectrum:
    """Absorption coefficient by octave of fibrous lining on a hard back, for sound from all sides.

    Impedance by Miki's regression for fibrous materials, and the mean over all angles for a lining that reacts locally.
    Lower than a reverberation room finds with the edges of a small sample; the product wants to be safe here.

    Source: Miki, J. Acoust. Soc. Jpn. (E) 11, 1990; Kuttruff, Room Acoustics, on random incidence.

    >>> lining_absorption(0.05).round(2).tolist()
    [0.04, 0.13, 0.34, 0.64, 0.88, 0.94, 0.92, 0.93]
    """
    impedance, number = wool(FREQUENCIES, FLOW_RESISTIVITY)
    surface = -1j * impedance / np.tan(number * thickness)
    angle = (np.arange(180) + 0.5) * np.pi / 360
    across = np.cos(angle)[:, None] * surface
    absorbed = 1 - np.abs((across - 1) / (across + 1)) ** 2
    weight = np.sin(2 * angle)
    coefficient = (weight[:, None] * absorbed).sum(axis=0) / weight.sum()
    coefficient.setflags(write=False)
    return np.asarray(coefficient)


# --- losses; sizes may be arrays, with the octaves as last axis of the answer -----------------------------------------


def wells_loss(outlet: Array, distance: Array, along: Array, lined: Array, absorption: Spectrum) -> Spectrum:
    """Wells's loss: -10 log{ S_out [ cos θ / (2π d²) + (1 - α) / (α S_w) ] } [dB]."""
    direct = along / distance / (2 * np.pi * distance**2)
    return -decibels(outlet[..., None] * (direct[..., None] + _reverberant(lined, absorption)))


def mouratidis_loss(outlet: Array, distance: Array, lined: Array, absorption: Spectrum) -> Spectrum:
    """The form above cut-off of Mouratidis and Becker, without its terms for an offset [dB]."""
    direct = _CORNER / (4 * np.pi * distance**2)
    return np.asarray(3.505 * (outlet[..., None] * (direct[..., None] + _reverberant(lined, absorption))) ** -0.359)


def _reverberant(lined: Array, absorption: Spectrum) -> Spectrum:
    return np.asarray((1 - absorption) / (absorption * lined[..., None]))


def chamber_loss(area_ratio: Array, length: Array, frequency: Spectrum) -> Spectrum:
    """Plane-wave loss of a chamber without losses: 10 log[1 + (m - 1/m)² sin²(kL) / 4] [dB]."""
    swing = np.sin(2 * np.pi * frequency * length[..., None] / SPEED_OF_SOUND)
    step = (area_ratio - 1 / area_ratio)[..., None]
    return decibels(1 + 0.25 * step**2 * swing**2)


def safer_loss(
    sizes: tuple[Array, Array, Array], inlet: Array, outlet: Array, offset: Array, absorption: Spectrum
) -> Spectrum:
    """The least that the published forms promise, and never less than nothing or more than 40 dB [dB]."""
    length, width, height = sizes
    distance = np.hypot(length, offset)
    lined = lined_surface(sizes, inlet + outlet)
    loss = np.minimum(
        wells_loss(outlet, distance, length, lined, absorption), mouratidis_loss(outlet, distance, lined, absorption)
    )
    ratio = width * height / np.maximum(inlet, outlet)
    plane = FREQUENCIES * math.sqrt(2) <= (SPEED_OF_SOUND / (2 * np.maximum(width, height)))[..., None]
    low = int(plane.any(axis=tuple(range(plane.ndim - 1))).sum())
    swings = chamber_loss(ratio, length, (FREQUENCIES[:low, None] * _IN_AN_OCTAVE).ravel())
    mean = mean_loss(swings.reshape(*np.shape(length), low, len(_IN_AN_OCTAVE)))
    loss[..., :low] = np.where(plane[..., :low], np.minimum(loss[..., :low], mean), loss[..., :low])
    return np.clip(loss, 0.0, MOST_LOSS)


def lined_surface(sizes: tuple[Array, Array, Array], openings: Array) -> Array:
    """Inside surface of a box without its openings [m²]."""
    length, width, height = sizes
    return 2 * (length * width + length * height + width * height) - openings


@formula(
    "BAFFLEBOXLOSS",
    family="Quiet air path",
    summary="Sound lost in an open lined box between two openings by octave, 63 to 8000 Hz",
    example=(
        "STILL_BAFFLEBOXLOSS(36,24,24,64,64,2,12)",
        (
            5.09459414329649,
            7.88537697966335,
            11.0098910539484,
            13.8674019672084,
            15.4701423729778,
            15.8093260239393,
            15.6670103359149,
            15.7281850059208,
        ),
    ),
    source="Wells, Noise Control 4(4), 1958; Mouratidis and Becker, ASHRAE RP-1026, 2004; NACA Report 1192, 1954",
    vectorised=False,
)
def baffle_box_loss(
    length: BoxSize,
    width: BoxSize,
    height: BoxSize,
    inlet_area: OpeningArea,
    outlet_area: OpeningArea,
    lining: LiningThickness,
    offset: Annotated[float, Quantity(LENGTH, least=0, most=20)] = 0.0,
    absorption: Annotated[Spectrum, Vector(Quantity(SHARE, above=0, most=1), lengths=(len(OCTAVES),))] | None = None,
    basis: PlenumBasis = "safer",
) -> SpectrumResult:
    """Give what a box lined on all sides keeps back, with its openings on opposite ends [dB], at most 40 dB.

    Wells: -10 log{ S_out [ cos θ / (2π d²) + (1 - α) / (α S_w) ] }, with d the slant distance between the openings, θ
    its angle to the axis and S_w the lined surface. Mouratidis and Becker:
    3.505 [ S_out (Q / 4πd² + (1 - α) / (α S_w)) ]^-0.359 with Q = 4; their terms for an offset and for low frequencies
    are not counted. Wells is within 3 dB at high frequencies and 5 to 10 dB too low at low ones; Mouratidis promises
    less where the lining absorbs well. The safer basis, taken when none is named, is the lower of the two, and in
    octaves wholly below the first cross mode of the box no more than an unlined expansion chamber of its length.

    3 × 2 × 2 ft, two round openings of 6 in offset by 1 ft, α of 0.02 0.08 0.22 0.65 0.84 0.95 0.97: Wells 5.1 11.3
    16.0 22.0 23.8 24.8 25.0, Mouratidis 5.3 8.8 12.6 18.6 20.4 21.3 21.4 dB.

    Args:
        length: Clear length inside the lining, from opening to opening [m].
        width: Clear width inside the lining [m].
        height: Clear height inside the lining [m].
        inlet_area: Clear area of the opening where the sound comes in [m²].
        outlet_area: Clear area of the opening where it leaves [m²].
        lining: Thickness of the lining, half an inch or more [m].
        offset: Distance between the axes of the openings, 0 in line; as far as fits is best [m].
        absorption: Absorption coefficient of the lining in eight octaves; by its thickness when left out.
        basis: What is promised: the safer of the published forms, or one of them.

    Raises:
        OutOfRange: If an opening is larger than the end of the box, or the offset than its diagonal.
    """
    if max(inlet_area, outlet_area) > width * height * (1 + 1e-9):
        raise OutOfRange("an opening is larger than the end of the box: give areas that fit width times height")
    if offset > math.hypot(width, height):
        raise OutOfRange("the offset is larger than the end of the box: give at most its diagonal")
    sizes = (np.array(length), np.array(width), np.array(height))
    inlet, outlet, across = np.array(inlet_area), np.array(outlet_area), np.array(offset)
    absorbed = lining_absorption(lining) if absorption is None else np.minimum(absorption, 0.99)
    if basis == "safer":
        return safer_loss(sizes, inlet, outlet, across, absorbed)
    distance = np.hypot(sizes[0], across)
    lined = lined_surface(sizes, inlet + outlet)
    if basis == "Wells":
        loss = wells_loss(outlet, distance, sizes[0], lined, absorbed)
    else:
        loss = mouratidis_loss(outlet, distance, lined, absorbed)
    return np.clip(loss, 0.0, MOST_LOSS)
