"""Modes of a rectangular room: their frequencies and spacing, how evenly they lie, and where they stop mattering."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Annotated, Final

import numpy as np
import numpy.typing as npt

from stillbook.cells import OutOfRange
from stillbook.formula import formula
from stillbook.quantities import COUNT, FREQUENCY, REVERBERATION_TIME, ROOM_LENGTH, VOLUME
from stillbook.readers import Floats, Quantity
from stillbook.results import Number, UnderHeadings
from stillbook.trade.physics.sound import SPEED_OF_SOUND

Side = Annotated[float, Quantity(ROOM_LENGTH, least=0.1, most=300)]
Orders = npt.NDArray[np.int64]

KINDS: Final = ("", "axial", "tangential", "oblique")
"""By the number of walls' pairs a mode runs between."""

MOST_MODES: Final = 5000
"""Longest list given."""

_SAME: Final = 6
"""Decimals to which equal frequencies agree, however the sums were rounded."""

_ENOUGH: Final = 5
"""Modes in a band among which two that coincide are not heard (Bonello)."""


def mode_count(length: float, width: float, height: float, frequency: float) -> float:
    """Modes up to a frequency, by the asymptotic formula of Bolt and Maa (1939).

    >>> round(mode_count(7, 5, 3, 1000))
    11849
    """
    ratio = frequency / SPEED_OF_SOUND
    volume = length * width * height
    walls = 2 * (length * width + length * height + width * height)
    edges = 4 * (length + width + height)
    return 4 * math.pi / 3 * volume * ratio**3 + math.pi / 4 * walls * ratio**2 + edges / 8 * ratio


@lru_cache(maxsize=64)
def room_modes(
    length: float, width: float, height: float, most_frequency: float
) -> tuple[npt.NDArray[np.float64], Orders]:
    """The frequencies of all modes up to a limit [Hz], lowest first, and the orders of each along the three sides.

    Raises:
        OutOfRange: If the list would be too long.
    """
    if mode_count(length, width, height, most_frequency) > MOST_MODES:
        raise OutOfRange(f"there are more than {MOST_MODES} modes up to this frequency: give a lower one")
    sides = np.array([length, width, height])
    most = np.floor(2 * most_frequency * sides / SPEED_OF_SOUND + 1e-9).astype(int)
    orders = np.indices(tuple((most + 1).tolist())).reshape(3, -1).T[1:]
    frequencies = SPEED_OF_SOUND / 2 * np.sqrt(((orders / sides) ** 2).sum(axis=1))
    within = frequencies <= most_frequency * (1 + 1e-12)
    frequencies, orders = frequencies[within], orders[within]
    place = np.lexsort((*orders.T, np.round(frequencies, _SAME)))
    frequencies, orders = frequencies[place], orders[place]
    frequencies.setflags(write=False)
    orders.setflags(write=False)
    return frequencies, orders


@formula(
    "ROOMMODES",
    family="Inside the room",
    summary="Modes of a rectangular room up to a frequency: kind, order, and spacing to the one before",
    example=("STILL_ROOMMODES(16,12,8,100)", ("Frequency (Hz)", "Kind", "Order", "Spacing (Hz)")),
    source="f = c/2 √[(p/L)² + (q/W)² + (r/H)²]: Rayleigh, The Theory of Sound, 1878; c 343.2 m/s",
    vectorised=False,
)
def list_modes(
    length: Side,
    width: Side,
    height: Side,
    most_frequency: Annotated[float, Quantity(FREQUENCY, above=0, most=20_000)] = 200.0,
) -> Annotated[
    list[tuple[float, str, str, float | None]],
    UnderHeadings(("Frequency", FREQUENCY), ("Kind", None), ("Order", None), ("Spacing", FREQUENCY)),
]:
    """List the modes of a room with hard, parallel walls, lowest first.

    f = (c / 2) √[(p / L)² + (q / W)² + (r / H)²] with the whole orders p, q, r along length L, width W and height H,
    and the speed of sound c.

    An axial mode runs between one pair of walls and is the strongest, a tangential one between two pairs, an oblique
    one between all three. The order counts half waves along length, width and height. Modes that coincide sound louder
    and longer than their neighbours; wide gaps leave notes out. Light walls and treatment shift and widen them all.

    Args:
        length: Length of the room [m].
        width: Width of the room [m].
        height: Height of the room [m].
        most_frequency: Highest frequency to list [Hz].

    Raises:
        OutOfRange: If the list would hold more than 5000 modes.
    """
    frequencies, orders = room_modes(length, width, height, most_frequency)
    spacing = [None, *np.maximum(np.diff(frequencies), 0.0).tolist()]
    return [
        (frequency, KINDS[np.count_nonzero(order)], " ".join(map(str, order)), gap)
        for frequency, order, gap in zip(frequencies.tolist(), orders.tolist(), spacing, strict=False)
    ]


@formula(
    "MODEBANDS",
    family="Inside the room",
    summary="Number of room modes in each third octave, and whether they lie evenly",
    example=("STILL_MODEBANDS(16,12,8)", ("Third octave (Hz)", "Modes", "Coinciding", "Verdict")),
    source="Bonello, A new criterion for the distribution of normal room modes, J. Audio Eng. Soc. 29 (1981)",
    vectorised=False,
)
def mode_bands(
    length: Side,
    width: Side,
    height: Side,
    most_frequency: Annotated[float, Quantity(FREQUENCY, least=50, most=500)] = 200.0,
    coincident_within: Annotated[float, Quantity(FREQUENCY, least=0, most=10)] = 0.5,
) -> Annotated[
    list[tuple[float, int, int, str]],
    UnderHeadings(("Third octave", FREQUENCY), ("Modes", COUNT), ("Coinciding", COUNT), ("Verdict", None)),
]:
    """Count the modes by third octave, from the band of the lowest one up, and judge each band.

    A mode of frequency f, as in STILL_ROOMMODES, lies in the third octave whose number is 10 log10(f / 1000) rounded.

    Two rules: a band holds at least as many modes as the one below it; and no two modes coincide, unless the band holds
    five or more. A room that keeps them is not sure to sound well, nor one that breaks them badly: it tells which of
    several sizes to look at first, and a cube or a double length never keeps them.

    Args:
        length: Length of the room [m].
        width: Width of the room [m].
        height: Height of the room [m].
        most_frequency: Nominal frequency of the highest band [Hz].
        coincident_within: Spacing within which two modes count as coinciding; the paper sets none, so this is an
            assumption [Hz].
    """
    last = round(10 * math.log10(most_frequency / 1000))
    frequencies, _ = room_modes(length, width, height, 1000 * 10 ** ((last + 0.5) / 10))
    if not len(frequencies):
        raise OutOfRange("there are no modes up to this frequency: give a higher one")
    band_of = np.floor(10 * np.log10(frequencies / 1000) + 0.5).astype(int)
    close = np.diff(frequencies) <= coincident_within + 10.0**-_SAME
    coinciding = np.append(close, False) | np.insert(close, 0, False)
    rows: list[tuple[float, int, int, str]] = []
    for band in range(int(band_of[0]), last + 1):
        count = int(np.sum(band_of == band))
        double = int(np.sum(coinciding & (band_of == band)))
        if rows and count < rows[-1][1]:
            verdict = "fewer than the band below"
        elif double and count < _ENOUGH:
            verdict = "modes coincide"
        else:
            verdict = "even"
        rows.append((_nominal(band), count, double, verdict))
    return rows


def _nominal(band: int) -> float:
    """The nominal centre frequency of a third-octave band [Hz] by its number, 0 at 1000 Hz (IEC 61260-1).

    >>> [_nominal(band) for band in (-16, -15, -12, -9, -3, 0)]
    [25.0, 31.5, 63.0, 125.0, 500.0, 1000.0]
    """
    decade, step = divmod(band, 10)
    series = (1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0, 6.3, 8.0)
    return round(series[step] * 1000 * 10.0**decade, 3)


@formula(
    "SCHROEDERFREQUENCY",
    family="Inside the room",
    summary="Frequency below which a room follows single modes and not its reverberation time",
    example=('STILL_SCHROEDERFREQUENCY(0.2,"16.56 m³")', 219.793491131929),
    source="f = 2000 √(T/V): Schroeder and Kuttruff, J. Acoust. Soc. Am. 34 (1962); Schroeder, 99 (1996)",
)
def schroeder_frequency(
    reverberation_time: Annotated[Floats, Quantity(REVERBERATION_TIME, above=0, most=100)],
    volume: Annotated[Floats, Quantity(VOLUME, least=0.1, most=1_000_000)],
) -> Annotated[Floats, Number(FREQUENCY)]:
    """Give the frequency above which at least three modes overlap, so that a room acts as one field [Hz].

    f = 2000 √(T / V), with the reverberation time T and the volume V [m³].

    In a small room it lies at 200 to 400 Hz: below it, look at the modes; above it, at the reverberation time.

    Args:
        reverberation_time: Reverberation time in the middle octaves [s].
        volume: Volume of the room [m³].
    """
    return 2000 * np.sqrt(np.asarray(reverberation_time) / volume)
