"""A whole air path: from the source through its elements to the listener, and which element to change first."""

from __future__ import annotations

from typing import Annotated, Final

import numpy as np

from stillbook.cells import NotUnderstood, OutOfRange
from stillbook.formula import formula
from stillbook.quantities import ABSORPTION_AREA, FREQUENCY, LEVEL, NUMBER, ROOM_LENGTH, VOLUME
from stillbook.readers import Quantity, Vector
from stillbook.results import UnderHeadings
from stillbook.trade.physics.octave_rows import ANY_LEVEL, ELEMENT_LOSS, ElementNames, OctaveRows
from stillbook.trade.physics.sound import OCTAVES, Spectrum, SpectrumResult, decibels, heard, power
from stillbook.trade.quiet_path.duct_sound import ALONG_THE_PATH, MostLoss

OctaveLevels = Annotated[Spectrum, Vector(ANY_LEVEL, lengths=(len(OCTAVES),))]
Losses = Annotated[Spectrum, OctaveRows(ELEMENT_LOSS)]
Levels = Annotated[Spectrum, OctaveRows()]
Distance = Annotated[float, Quantity(ROOM_LENGTH, least=0.1, most=100)]
RoomVolume = Annotated[float, Quantity(VOLUME, least=0.1, most=100_000)]
RoomAbsorption = Annotated[
    Spectrum, Vector(Quantity(ABSORPTION_AREA, least=0.01, most=1_000_000), lengths=(1, len(OCTAVES)))
]
Directivity = Annotated[float, Quantity(NUMBER, least=1, most=8)]

_MOST_ABSORBED: Final = 0.95
"""Largest mean absorption coefficient that a room constant is trusted with."""


# --- the room ---------------------------------------------------------------------------------------------------------


def room_effect(distance: float, volume: float, absorption: Spectrum, directivity: float) -> Spectrum:
    """Sound power level of a source less the level it makes at a distance in a room [dB]."""
    surface = 6 * volume ** (2 / 3)
    coefficient = np.minimum(absorption / surface, _MOST_ABSORBED)
    constant = surface * coefficient / (1 - coefficient)
    loss = -decibels(directivity / (4 * np.pi * distance**2) + 4 / constant)
    return np.asarray(np.broadcast_to(loss, (len(OCTAVES),)))


@formula(
    "ROOMLOSS",
    family="Quiet air path",
    summary="Sound power of an air opening less its level at the listener, by octave, 63 to 8000 Hz",
    example=(
        'STILL_ROOMLOSS("1 m",168,"5.24 m²")',
        (
            1.63154074521098,
            1.63154074521098,
            1.63154074521098,
            1.63154074521098,
            1.63154074521098,
            1.63154074521098,
            1.63154074521098,
            1.63154074521098,
        ),
    ),
    source="Lp = Lw + 10 log[Q/(4πr²) + 4/R]: Beranek, Acoustics, 1954",
    vectorised=False,
)
def room_loss(
    distance: Distance, volume: RoomVolume, absorption: RoomAbsorption, directivity: Directivity = 2.0
) -> SpectrumResult:
    """Give the loss between an opening and the listener [dB]: -10 log[Q/(4πr²) + 4/R].

    R = A / (1 - A/S), where S is the surface of a cube of the room's volume and A/S counts as at most 0.95. In a small,
    hard room the loss is negative: the level lies above the power. Below some 2000 √(T/V) Hz (m³, s) a room has few
    modes, and the level at one seat may be 5 dB either side. Formulas for large furnished rooms do not hold in booths.

    Args:
        distance: From the opening to the listener's ear [m].
        volume: Volume of the room [m³].
        absorption: Absorption area of the room, one value or one for each octave [m²].
        directivity: 1 in mid-room, 2 in a wall or ceiling, 4 in an edge, 8 in a corner.
    """
    return room_effect(distance, volume, absorption, directivity)


@formula(
    "ROOMLEVEL",
    family="Quiet air path",
    summary="Level at the listener from the sound power of an air opening, by octave, 63 to 8000 Hz",
    example=(
        'STILL_ROOMLEVEL({45.6,44.2,30.8,25,20,15,10,5},"1 m",168,"5.24 m²")',
        (
            43.968459254789,
            42.568459254789,
            29.168459254789,
            23.368459254789,
            18.368459254789,
            13.368459254789,
            8.36845925478902,
            3.36845925478902,
        ),
    ),
    source="Lp = Lw + 10 log[Q/(4πr²) + 4/R]: Beranek, Acoustics, 1954",
    vectorised=False,
)
def room_level(
    sound_power: OctaveLevels,
    distance: Distance,
    volume: RoomVolume,
    absorption: RoomAbsorption,
    directivity: Directivity = 2.0,
) -> SpectrumResult:
    """Give the level at the listening position [dB], to hold against an NC curve. See STILL_ROOMLOSS for the formula.

    Supply, extract and what comes through the shell add up: give STILL_PATHSUM their levels, a row each.

    Lp = Lw + 10 log[Q / (4π r²) + 4 / R].

    Args:
        sound_power: Sound power that leaves the opening, 63 to 8000 Hz [dB re 1 pW].
        distance: From the opening to the listener's ear [m].
        volume: Volume of the room [m³].
        absorption: Absorption area of the room, one value or one for each octave [m²].
        directivity: 1 in mid-room, 2 in a wall or ceiling, 4 in an edge, 8 in a corner.
    """
    return heard(sound_power - room_effect(distance, volume, absorption, directivity))


# --- the path ---------------------------------------------------------------------------------------------------------


def _sum(levels: Spectrum) -> Spectrum:
    """The energy sum over the rows, by band."""
    return decibels(np.sum(power(levels), axis=0))


def _elements(losses: Spectrum, generated: Spectrum | None) -> tuple[Spectrum, Spectrum]:
    """Losses, and powers generated, of each element: none where a row is blank."""
    if generated is None:
        made = np.full_like(losses, -np.inf)
    elif generated.shape != losses.shape:
        raise NotUnderstood(
            f"the losses have {len(losses)} rows and the generated sound {len(generated)}: give a row of each for each "
            "element"
        )
    else:
        made = np.nan_to_num(generated, nan=-np.inf, neginf=-np.inf)
    return np.nan_to_num(losses, nan=0.0), made


def path_parts(source: Spectrum, losses: Spectrum, generated: Spectrum | None, most_loss: float) -> Spectrum:
    """What arrives at the end of a path [dB]: from the source, from each element's own noise, and along its walls."""
    loss, made = _elements(losses, generated)
    after = loss.sum(axis=0) - np.cumsum(loss, axis=0)
    return np.vstack([source - loss.sum(axis=0), made - after, source - most_loss])


@formula(
    "PATHLEVEL",
    family="Quiet air path",
    summary="Sound power at the end of an air path from its source, losses and own noise, by octave",
    example=(
        "STILL_PATHLEVEL({66,66,56,49,49,44,39,34},{3,4,7,15,30,30,20,14;0,0,1,6,11,10,10,10})",
        (
            63.0000866522769,
            62.0001090884716,
            48.0002740126486,
            28.0054640049286,
            8.5149694202523,
            4.41392685158225,
            9.04321373782643,
            10.0108953059996,
        ),
    ),
    source="Sum of powers element by element: VDI 2081; Beranek and Vér, Noise and Vibration Control Engineering",
    vectorised=False,
)
def path_level(
    source: OctaveLevels,
    losses: Losses,
    generated: Levels | None = None,
    most_loss: MostLoss = ALONG_THE_PATH,
) -> SpectrumResult:
    """Give the sound power that leaves the path [dB re 1 pW].

    Each element takes its loss off what reaches it and adds the sound that the air makes in it, which only the elements
    after it lessen. The path as a whole keeps back no more than the most loss: beyond it sound runs along the walls of
    the ducts, through them and through what holds them. So the answer has a floor of its own, and a longer box alone
    does not lower it.

    L = 10 log[10^((L₀ - ΣD) / 10) + Σᵢ 10^((Gᵢ - Rᵢ) / 10) + 10^((L₀ - M) / 10)], with L₀ the source, D each loss, Gᵢ
    the sound made in element i, Rᵢ the losses after it and M the most loss.

    Args:
        source: Sound power at the start of the path, 63 to 8000 Hz [dB re 1 pW].
        losses: Loss of each element in the order of the path, a row of eight octaves each; a blank row loses none [dB].
        generated: Sound power that the air makes in each element, a row each; a blank row makes none [dB re 1 pW].
        most_loss: Most that the whole path keeps back [dB].

    Raises:
        NotUnderstood: If losses and generated sound differ in their number of rows.
    """
    return heard(_sum(path_parts(source, losses, generated, most_loss)))


@formula(
    "PATHSTEPS",
    family="Quiet air path",
    summary="Sound power after each element of an air path, a row for each, by octave",
    example=(
        "STILL_PATHSTEPS({66,66,56,49,49,44,39,34},{3,4,7,15,30,30,20,14;0,0,1,6,11,10,10,10})",
        (
            63.0000866522769,
            62.0001090884716,
            49.0002176573957,
            34.0013731426366,
            19.0432137378264,
            14.0432137378264,
            19.0043407747932,
            20.0010907614287,
        ),
    ),
    source="Sum of powers element by element: VDI 2081; Beranek and Vér, Noise and Vibration Control Engineering",
    vectorised=False,
)
def path_steps(
    source: OctaveLevels,
    losses: Losses,
    generated: Levels | None = None,
    most_loss: MostLoss = ALONG_THE_PATH,
) -> SpectrumResult:
    """Give the sound power after each element [dB re 1 pW]; the last row is that of STILL_PATHLEVEL.

    Row k is STILL_PATHLEVEL of the first k elements.

    Args:
        source: Sound power at the start of the path, 63 to 8000 Hz [dB re 1 pW].
        losses: Loss of each element in the order of the path, a row of eight octaves each; a blank row loses none [dB].
        generated: Sound power that the air makes in each element, a row each; a blank row makes none [dB re 1 pW].
        most_loss: Most that the whole path keeps back [dB].

    Raises:
        NotUnderstood: If losses and generated sound differ in their number of rows.
    """
    lost, made = _elements(losses, generated)
    steps = range(1, len(losses) + 1)
    return np.vstack([heard(_sum(path_parts(source, lost[:step], made[:step], most_loss))) for step in steps])


@formula(
    "PATHPARTS",
    family="Quiet air path",
    summary="What each element of an air path leaves at its end: source, own noise of each, and along the walls",
    example=(
        "STILL_PATHPARTS({66,66,56,49,49,44,39,34},{3,4,7,15,30,30,20,14;0,0,1,6,11,10,10,10})",
        (63.0, 62.0, 48.0, 28.0, 8.0, 4.0, 9.0, 10.0),
    ),
    source="Sum of powers element by element: VDI 2081; Beranek and Vér, Noise and Vibration Control Engineering",
    vectorised=False,
)
def path_contributions(
    source: OctaveLevels,
    losses: Losses,
    generated: Levels | None = None,
    most_loss: MostLoss = ALONG_THE_PATH,
) -> SpectrumResult:
    """Give the parts of the sound power at the end of a path [dB re 1 pW], which add up to STILL_PATHLEVEL.

    The first row is what comes from the source through all elements, then a row for the sound made in each element, and
    last what runs along the walls of the path. For STILL_CHANGEFIRST, after the loss of the room.

    L₀ - ΣD; Gᵢ - Rᵢ for each element i; L₀ - M. L₀ is the source, D each loss, Gᵢ the sound made in element i, Rᵢ the
    losses after it and M the most loss.

    Args:
        source: Sound power at the start of the path, 63 to 8000 Hz [dB re 1 pW].
        losses: Loss of each element in the order of the path, a row of eight octaves each; a blank row loses none [dB].
        generated: Sound power that the air makes in each element, a row each; a blank row makes none [dB re 1 pW].
        most_loss: Most that the whole path keeps back [dB].

    Raises:
        NotUnderstood: If losses and generated sound differ in their number of rows.
    """
    return heard(path_parts(source, losses, generated, most_loss))


@formula(
    "PATHSUM",
    family="Quiet air path",
    summary="Energy sum of several sounds by octave: supply, extract, and what comes through the shell",
    example=(
        "STILL_PATHSUM({30,30,30,30,30,30,30,30;30,30,30,30,30,30,30,30})",
        (
            33.0102999566398,
            33.0102999566398,
            33.0102999566398,
            33.0102999566398,
            33.0102999566398,
            33.0102999566398,
            33.0102999566398,
            33.0102999566398,
        ),
    ),
    source="Sum of powers: ISO 1996-1",
    vectorised=False,
)
def path_sum(levels: Levels) -> SpectrumResult:
    """Give the level of all rows together in each octave [dB]. Blank rows are passed over.

    L = 10 log Σ 10^(Lᵢ / 10) in each octave, with Lᵢ each row.

    Args:
        levels: Octave-band levels at the listener, a row for each sound [dB].

    Raises:
        OutOfRange: If every row is blank.
    """
    return heard(_sum(_given(levels)))


def _given(levels: Spectrum) -> Spectrum:
    rows = levels[~np.isnan(levels).all(axis=1)]
    if not len(rows):
        raise OutOfRange("all rows are blank: give the levels of one sound or more")
    return rows


@formula(
    "CHANGEFIRST",
    family="Quiet air path",
    summary="Which element to change first: for each octave the one that is heard most, the worst octave first",
    example=(
        'STILL_CHANGEFIRST({"Fan";"Grille"},{50,45,30,20,10,5,0,0;30,30,30,30,28,20,15,10},STILL_NCCURVE(20))',
        (
            "Band (Hz)",
            "Level (dB)",
            "Target (dB)",
            "Over target (dB)",
            "Heard most",
            "Its level (dB)",
            "Lower it by (dB)",
        ),
    ),
    source="Sum of powers: ISO 1996-1",
    vectorised=False,
)
def change_first(
    names: Annotated[tuple[str, ...], ElementNames()], levels: Levels, target: OctaveLevels
) -> Annotated[
    list[tuple[float, float, float, float, str, float, float | None]],
    UnderHeadings(
        ("Band", FREQUENCY),
        ("Level", LEVEL),
        ("Target", LEVEL),
        ("Over target", LEVEL),
        ("Heard most", None),
        ("Its level", LEVEL),
        ("Lower it by", LEVEL),
    ),
]:
    """Give for each octave the level of all sounds together, the target, and the sound that is heard most.

    The octave that is most over the target stands first: its element is the one to change first. The last column is how
    far that element must come down for the octave to meet the target; it is 0 where the target is met, and empty where
    the other sounds alone exceed it, so that one change is not enough.

    Lₘ - 10 log[10^(T / 10) - Σ 10^(Lᵢ / 10)], summed over the others, with Lₘ the loudest level and T the target.

    Args:
        names: Name of each sound, in the order of the levels.
        levels: Octave-band levels at the listener, a row of eight for each sound; a blank row is passed over [dB].
        target: Level to stay within in each octave, such as an NC curve [dB].

    Raises:
        NotUnderstood: If there are not as many names as rows.
        OutOfRange: If every row is blank.
    """
    if len(names) != len(levels):
        raise NotUnderstood(f"there are {len(names)} names for {len(levels)} rows of levels: give a name for each row")
    known = [name for name, row in zip(names, levels, strict=True) if not np.isnan(row).all()]
    rows = _given(levels)
    total = _sum(rows)
    order = np.argsort(-(total - target), kind="stable")
    return [
        (
            OCTAVES[band],
            total[band],
            target[band],
            total[band] - target[band],
            known[loudest],
            rows[loudest, band],
            _to_lower(rows[:, band], loudest, float(target[band])),
        )
        for band in order.tolist()
        for loudest in [int(np.argmax(rows[:, band]))]
    ]


def _to_lower(levels: Spectrum, loudest: int, target: float) -> float | None:
    """How far the loudest sound must come down for all to meet the target together; None where it cannot."""
    room = float(power(target) - np.sum(power(np.delete(levels, loudest))))
    if room <= 0:
        return None
    return max(float(levels[loudest] - decibels(room)), 0.0)
