"""Inside the room: how long sound lasts, the treatment a target asks for, and the floor that treatment walls leave."""

from __future__ import annotations

import math
from typing import Annotated, Final

import numpy as np

from stillbook.cells import OutOfRange
from stillbook.formula import formula
from stillbook.quantities import ABSORPTION_AREA, AREA, COUNT, LENGTH, REVERBERATION_TIME, ROOM_LENGTH, VOLUME
from stillbook.readers import Choice, Floats, Quantity
from stillbook.results import Number, Numbers, SideBySide
from stillbook.trade.physics.sound import SPEED_OF_SOUND, Spectrum
from stillbook.trade.room.absorption import COEFFICIENT, OtherAbsorption, SurfaceAbsorption, SurfaceAreas, absorbing

RoomVolume = Annotated[Floats, Quantity(VOLUME, least=0.1, most=1_000_000)]
Seconds = Annotated[Floats, Quantity(REVERBERATION_TIME, above=0, most=100)]
Side = Annotated[float, Quantity(ROOM_LENGTH, above=0, most=300)]
WallCount = Annotated[float, Quantity(COUNT, least=0, most=2, whole=True)]

DECAY: Final = 24 * math.log(10) / SPEED_OF_SOUND
"""Reverberation time times absorption area over volume: 0.161 [s/m]."""


_NOTHING: Final = 1e-6
"""Less than this is no length at all, however the sums were rounded [m]."""


@formula(
    "REVERBERATION",
    family="Inside the room",
    summary="Reverberation time by octave, from the volume, the surfaces and what they absorb",
    example=('STILL_REVERBERATION(3728,{373;1159},{"Concrete or terrazzo floor";"Gypsum board, one layer"})',
             (0.538388807, 1.529432853, 2.879314694, 3.399592200, 2.065312701, 1.636987136)),
    source="T = 24 ln 10 V / (c A): EN 12354-6:2003; Eyring: J. Acoust. Soc. Am. 1 (1930), IEC 60050-801, 801-31-09",
    no_answer="the surfaces absorb everything on the mean: check their coefficients, or use Sabine",
    vectorised=False,
)  # fmt: skip
def reverberation(
    volume: Annotated[float, Quantity(VOLUME, least=0.1, most=1_000_000)],
    areas: SurfaceAreas,
    absorption: SurfaceAbsorption,
    method: Annotated[str, Choice("Sabine", "Eyring")] = "Sabine",
    objects: OtherAbsorption = None,
) -> Annotated[Spectrum, Numbers(REVERBERATION_TIME)]:
    """Give the time in which sound dies away by 60 dB, in six octaves, or one value if no surface tells them apart [s].

    T = 24 ln(10) V / (c A), 0.161 V / A in metres, with the volume V and the speed of sound c. Sabine:
    A = Σ Si αi + Ao; Eyring: A = -S ln(1 - Σ Si αi / S) + Ao, with the area Si and the coefficient αi of each surface,
    S = Σ Si, and the absorption area Ao of all else.

    Sabine suits live rooms and the coefficients laboratories publish, which are themselves found by it. Eyring is
    shorter, and nearer where the mean coefficient passes 0.2. Both take sound to come from all sides alike: a room with
    its absorption on one pair of walls, or below the frequency of STILL_SCHROEDERFREQUENCY, does not follow either.

    Args:
        volume: Volume of the room [m³].
        areas: Area of each surface [m²].
        absorption: What each surface absorbs, in the same order.
        method: The equation.
        objects: Absorption area of people, furniture and air, one value or one for each octave; none when left out
            [m²].

    Returns:
        The times; NaN where Eyring has no answer, with a mean coefficient of 1 or more.

    Raises:
        NotUnderstood: If there are not as many areas as surfaces, or a surface is not in the table.
        OutOfRange: If nothing absorbs.
    """
    surface, absorbed, other = absorbing(areas, absorption, objects)
    if method == "Eyring":
        mean = np.where(absorbed < surface, absorbed / surface, np.nan) if surface else np.zeros_like(absorbed)
        absorbed = -surface * np.log(1 - mean)
    if (absorbed + other <= 0).any():
        raise OutOfRange("nothing absorbs: give a surface with a coefficient above 0")
    return np.asarray(DECAY * volume / (absorbed + other))


@formula(
    "TREATMENTAREA",
    family="Inside the room",
    summary="Area of treatment that brings a room to a reverberation time",
    example=("STILL_TREATMENTAREA(480,0.4,10,0.8)", 61.1183150011803),
    source="Sabine's equation solved for the area; T = 24 ln 10 V / (c A): EN 12354-6:2003",
    no_answer="the treatment absorbs no more than what it covers: choose another",
)
def treatment_area(
    volume: RoomVolume,
    target_time: Seconds,
    present_absorption: Annotated[Floats, Quantity(ABSORPTION_AREA, least=0, most=1_000_000)],
    coefficient: Annotated[Floats, COEFFICIENT],
    covered: Annotated[Floats, COEFFICIENT] = 0.0,
) -> Annotated[Floats, Number(AREA)]:
    """Give the area of treatment that a target needs, by Sabine; 0 where the room is there already [m²].

    S = (0.161 V / T - A) / (α - αc) in metres, not below 0, with the volume V, the time T wanted, present absorption
    area A, and the coefficients α of the treatment and αc of what it covers.

    Ask it for each octave, and treat for the one that needs most: thin treatment over a large area deadens speech and
    leaves the bass. An area beyond that of the walls and ceiling says that the treatment is too thin for the target.

    Args:
        volume: Volume of the room [m³].
        target_time: Reverberation time wanted [s].
        present_absorption: Absorption area of the room as it is, see STILL_ROOMABSORPTION [m²].
        coefficient: Absorption coefficient of the treatment.
        covered: Absorption coefficient of the surface it covers.

    Returns:
        The area; NaN where the treatment absorbs no more than what it covers.
    """
    gain = np.asarray(coefficient) - covered
    lacking = np.maximum(DECAY * np.asarray(volume) / target_time - present_absorption, 0.0)
    return np.asarray(lacking / np.where(gain > 0, gain, np.nan))


@formula(
    "FLOORLEFT",
    family="Inside the room",
    summary="Floor area left inside treatment walls of a depth, and the area they take",
    example=("STILL_FLOORLEFT(8,6,4)", (39.1111111111111, 8.88888888888889)),
    source="Geometry of the plan",
    vectorised=False,
)
def floor_left(
    length: Side,
    width: Side,
    depth: Annotated[float, Quantity(LENGTH, least=0, most=3)],
    walls_across_length: WallCount = 2.0,
    walls_across_width: WallCount = 2.0,
) -> Annotated[tuple[float, float], SideBySide(("Floor left", AREA), ("Floor taken", AREA))]:
    """Give the floor area left inside separate treatment walls, and the area that they take [m²].

    Left (L - n d) (W - m d), taken L W less that, with the length L, the width W, the depth d, and n and m walls.

    The depth is everything in front of the isolating leaf: air space, frame, wool and fabric, or the depth of the boxes
    it must hide. In a small room a few inches on every side are a large part of the floor.

    Args:
        length: Length of the room between its leaves [m].
        width: Width of the room between its leaves [m].
        depth: Depth of a treatment wall from the leaf to its face [m].
        walls_across_length: Treatment walls that shorten the length, 0, 1 or 2.
        walls_across_width: Treatment walls that narrow the width, 0, 1 or 2.

    Raises:
        OutOfRange: If the treatment walls leave no floor.
    """
    long, wide = length - walls_across_length * depth, width - walls_across_width * depth
    if min(long, wide) < _NOTHING:
        raise OutOfRange("treatment walls of this depth leave no floor: make them thinner, or give fewer")
    return long * wide, length * width - long * wide
