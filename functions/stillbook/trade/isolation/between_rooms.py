"""Through the wall: what the quiet room hears, what is heard outside, and the isolation that a target needs."""

from __future__ import annotations

from typing import Annotated, Final

import numpy as np

from stillbook.cells import OutOfRange
from stillbook.formula import formula
from stillbook.quantities import ABSORPTION_AREA, AREA, LEVEL, ROOM_LENGTH
from stillbook.readers import Choice, Floats, Quantity, Vector
from stillbook.results import Number
from stillbook.trade.physics.noise_criteria import NcNumber, OctaveLevels, interpolated_curve
from stillbook.trade.physics.sound import (
    BAND_VALUE,
    OCTAVES,
    BandValue,
    Spectrum,
    SpectrumResult,
    decibels,
    heard,
    power,
)

WallSize = Annotated[Floats, Quantity(AREA, least=1e-4, most=100_000)]
Absorption = Annotated[Floats, Quantity(ABSORPTION_AREA, least=0.01, most=1_000_000)]
Listening = Annotated[str, Choice("in the room", "near the wall")]

INSIDE_TO_OUTSIDE: Final = -6.0
"""Sound field inside against power that meets the wall: EN 12354-4, small rooms with a diffuse field [dB]."""


@formula(
    "NOISEREDUCTION",
    family="Isolation",
    summary="Level difference between two rooms through a wall",
    example=('STILL_NOISEREDUCTION(33,"100 m²","200 m²")', 36.01029995663981),
    source="NR = TL + 10 log(A / S); near the wall: Barron, Industrial Noise Control and Acoustics, ch. 7",
)
def noise_reduction(
    transmission_loss: BandValue, area: WallSize, absorption: Absorption, position: Listening = "in the room"
) -> Annotated[Floats, Number(LEVEL)]:
    """Give the level in the source room less the level in the receiving room [dB].

    NR = TL - 10 log10(S / A), near the wall NR = TL - 10 log10(S / A + 1/4), with the transmission loss TL, the area S
    of the wall and the absorption area A of the receiving room; not below 0, for no room is louder than the one its
    sound comes from.

    A hard, small receiving room hears more than the transmission loss suggests, a treated one less. Close to the wall,
    within √(S / 2π), its own sound adds: a microphone there hears more than the room does.

    Args:
        transmission_loss: Transmission loss of the wall [dB].
        area: Area of the wall that both rooms share [m²].
        absorption: Absorption area of the receiving room [m²].
        position: In the receiving room at large, or near the wall. Near the wall the absorption is taken as the room
            constant.
    """
    share = np.asarray(area) / absorption
    reduction = np.asarray(transmission_loss) - decibels(share + 0.25 if position == "near the wall" else share)
    return np.maximum(reduction, 0.0)[()]


@formula(
    "QUIETLEVEL",
    family="Isolation",
    summary="Level in the quiet room from a source on the other side of the wall",
    example=('STILL_QUIETLEVEL(80,33,"100 m²","200 m²")', 43.98970004336019),
    source="L2 = L1 - TL + 10 log(S / A)",
)
def quiet_level(
    source_level: BandValue,
    transmission_loss: BandValue,
    area: WallSize,
    absorption: Absorption,
    position: Listening = "in the room",
) -> Annotated[Floats, Number(LEVEL)]:
    """Give the level in the receiving room, to hold against an NC curve [dB].

    L2 = L1 - TL + 10 log10(S / A), near the wall L1 - TL + 10 log10(S / A + 1/4), with the source's level L1, the
    transmission loss TL, the area S of the wall and the absorption area A of the quiet room. It is
    not above L1, and under -50 dB it is given as -50.

    Args:
        source_level: Level in the room or space with the source [dB].
        transmission_loss: Transmission loss of the wall [dB].
        area: Area of the wall that both rooms share [m²].
        absorption: Absorption area of the quiet room [m²].
        position: In the quiet room at large, or near the wall.
    """
    return heard(np.asarray(source_level) - noise_reduction(transmission_loss, area, absorption, position))[()]


@formula(
    "OUTSIDELEVEL",
    family="Isolation",
    summary="Level outside at a distance from a wall with the source behind it",
    example=('STILL_OUTSIDELEVEL(100,50,"10 m²","5 m")', 32.0388012296985),
    source="EN 12354-4:2000, radiation of indoor sound to the outside",
)
def outside_level(
    source_level: BandValue,
    transmission_loss: BandValue,
    area: WallSize,
    distance: Annotated[Floats, Quantity(ROOM_LENGTH, least=0.1, most=1000)],
) -> Annotated[Floats, Number(LEVEL)]:
    """Give the level outdoors, in front of the wall and clear of reflections [dB].

    L = L1 - 6 - TL + 10 log10[S / (2π r²)], the last term not above 0, with the level L1 inside, the transmission loss
    TL and area S of the wall, and the distance r.

    The wall gives off Lw = L - 6 - TL + 10 log S, which spreads over half a sphere. Valid from about the size of the
    wall outward; the answer never exceeds the level just outside the wall. Levels under -50 dB are given as -50.

    Args:
        source_level: Level in the room with the source [dB].
        transmission_loss: Transmission loss of the wall [dB].
        area: Area of the wall [m²].
        distance: Distance from the wall [m].
    """
    outside = np.asarray(source_level) + INSIDE_TO_OUTSIDE - transmission_loss
    spread = np.minimum(decibels(np.asarray(area) / (2 * np.pi * np.asarray(distance) ** 2)), 0.0)
    return heard(outside + spread)[()]


@formula(
    "REQUIREDTL",
    family="Isolation",
    summary="Transmission loss by octave that a wall needs to keep a source below an NC curve",
    example=(
        'STILL_REQUIREDTL(STILL_SOURCELEVELS("speech loud"),20,"12 m²","8 m²")',
        (
            -5.20908740944319,
            22.4909125905568,
            32.7909125905568,
            46.0909125905568,
            50.4009125905568,
            48.6309125905568,
            44.6509125905568,
            34.6309125905568,
        ),
    ),
    source="TL = L1 - NC + 10 log(S / A); NC curves: Beranek 1957",
    vectorised=False,
)
def required_loss(
    source_levels: OctaveLevels,
    target: NcNumber,
    area: Annotated[float, Quantity(AREA, least=1e-4, most=100_000)],
    absorption: Annotated[Spectrum, Vector(Quantity(ABSORPTION_AREA, least=0.01, most=1_000_000), lengths=(1, 8))],
    other_noise: Annotated[Spectrum, Vector(BAND_VALUE, lengths=(8,))] | None = None,
) -> SpectrumResult:
    """Give the least transmission loss for which the quiet room stays within the NC target, 63 to 8000 Hz [dB].

    TL = L1 - 10 log10(10^(Lt/10) - 10^(Ln/10)) + 10 log10(S / A) in each octave, with the source's level L1, the level
    Lt of the NC curve, the level Ln of other noise, the area S of the wall and the absorption area A of the room.

    Other noise that is there already, such as the ventilation, leaves less room below the target. Each element of a
    wall needs this loss or more, or all together in STILL_COMPOSITETL. A negative loss means that none is needed.

    Args:
        source_levels: Octave-band levels of the source, 63 to 8000 Hz [dB].
        target: NC number aimed at.
        area: Area of the wall that both rooms share [m²].
        absorption: Absorption area of the quiet room, one value or one for each octave [m²].
        other_noise: Octave-band levels of other noise in the quiet room; none when left out [dB].

    Raises:
        OutOfRange: If the other noise alone exceeds the target.
    """
    allowed = power(interpolated_curve(target))
    if other_noise is not None:
        allowed = allowed - power(other_noise)
        if (allowed <= 0).any():
            band = OCTAVES[int(np.argmax(allowed <= 0))]
            raise OutOfRange(f"other noise alone reaches the target at {band:.0f} Hz: quieten it, or aim higher")
    return np.asarray(source_levels - decibels(allowed) + decibels(area / absorption))
