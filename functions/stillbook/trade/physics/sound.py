"""Air, frequency bands and decibels: what every acoustic formula shares.

Third-octave and octave bands are named by their nominal centre frequencies (IEC 61260-1).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated, Any, Final

import numpy as np
import numpy.typing as npt

from stillbook.cells import NotUnderstood, as_rows
from stillbook.quantities import FREQUENCY, LEVEL, System
from stillbook.readers import Floats, Quantity, Reader, Vector
from stillbook.results import Numbers

Spectrum = npt.NDArray[np.float64]
"""Levels or losses by band [dB]."""

SPEED_OF_SOUND: Final = 343.2
"""In air at 20 °C [m/s]."""

AIR_DENSITY: Final = 1.204
"""At 20 °C and sea level [kg/m³]."""

AIR_IMPEDANCE: Final = AIR_DENSITY * SPEED_OF_SOUND
"""Characteristic impedance of air [Pa·s/m]."""

ADIABATIC_INDEX: Final = 1.4
"""How much stiffer air is when it has no time to give off heat."""

THIRD_OCTAVES: Final = (
    *(50.0, 63.0, 80.0, 100.0, 125.0, 160.0, 200.0, 250.0, 315.0, 400.0, 500.0, 630.0, 800.0, 1000.0, 1250.0, 1600.0),
    *(2000.0, 2500.0, 3150.0, 4000.0, 5000.0),
)
OCTAVES: Final = (63.0, 125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0)

BAND_VALUE: Final = Quantity(LEVEL, least=-50, most=200)
"""How a sound level or a transmission loss is read."""

BandValue = Annotated[Floats, BAND_VALUE]


def heard(levels: npt.ArrayLike) -> Spectrum:
    """Levels as other formulas take them: what lies below their least, far below hearing, is given as that [dB].

    >>> heard([20.0, -300.0]).tolist()
    [20.0, -50.0]
    """
    return np.maximum(levels, BAND_VALUE.least)


SpectrumResult = Annotated[Spectrum, Numbers(LEVEL)]


@dataclass(frozen=True, slots=True)
class Bands:
    """Centre frequencies of a spectrum [Hz], and whether they are octave bands or third-octave bands."""

    name: str
    centres: tuple[float, ...]
    octaves: bool = False

    def __str__(self) -> str:
        return self.name

    def thirds(self) -> Spectrum:
        """The third-octave bands that make up these bands, a row for each band."""
        centres = np.array(self.centres)[:, None]
        return centres * 2.0 ** (np.array([-1, 0, 1]) / 3) if self.octaves else centres

    def loss(self, of: Callable[[Spectrum], Spectrum]) -> Spectrum:
        """A transmission loss in these bands: in an octave band, of the mean power its three third-octaves pass."""
        thirds = self.thirds()
        return mean_loss(of(thirds.ravel()).reshape(thirds.shape))


def _between(lowest: float, highest: float) -> tuple[float, ...]:
    return tuple(frequency for frequency in THIRD_OCTAVES if lowest <= frequency <= highest)


STC_BANDS: Final = Bands("STC", _between(125, 4000))
RW_BANDS: Final = Bands("Rw", _between(100, 3150))
OITC_BANDS: Final = Bands("OITC", _between(80, 4000))
ALL_BANDS: Final = Bands("all", THIRD_OCTAVES)
OCTAVE_BANDS: Final = Bands("octave", OCTAVES, octaves=True)

BANDS: Final = {bands.name.lower(): bands for bands in (STC_BANDS, RW_BANDS, OITC_BANDS, ALL_BANDS, OCTAVE_BANDS)}


class BandsReader(Reader):
    """The bands of a spectrum: a word, or a row or column of third-octave centre frequencies.

    The words: "STC" is 125 to 4000 Hz, "Rw" 100 to 3150 Hz, "OITC" 80 to 4000 Hz and "all" 50 to 5000 Hz in
    third-octave bands; "octave" is 63 to 8000 Hz in octave bands.
    """

    broadcasts = False
    _frequencies = Vector(Quantity(FREQUENCY, least=20, most=20_000))

    @property
    def quantities(self) -> tuple[Quantity, ...]:
        return self._frequencies.quantities

    def label(self, system: System) -> str:
        return "one of " + ", ".join(f'"{bands}"' for bands in BANDS.values()) + ", or third-octave frequencies in Hz"

    def read(self, value: Any, name: str, system: System) -> Bands:
        cells = as_rows(value)
        word = cells[0][0] if len(cells) == 1 and len(cells[0]) == 1 else None
        if isinstance(word, str) and word.strip()[:1].isalpha():
            if (known := BANDS.get(word.strip().lower())) is None:
                raise NotUnderstood(f'{name} "{word[:40]}" is not known: give {self.label(system)}')
            return known
        return Bands("given", tuple(self._frequencies.read(value, name, system).tolist()))


BandChoice = Annotated[Bands, BandsReader()]


def power(level: npt.ArrayLike) -> Spectrum:
    """The power, energy or transmission ratio of a level or loss in decibels, relative to 0 dB."""
    return np.asarray(10.0 ** (np.asarray(level, dtype=np.float64) / 10))


def decibels(ratio: npt.ArrayLike) -> Spectrum:
    """Ten times the logarithm of a ratio of powers.

    >>> round(float(decibels(2)), 2)
    3.01
    """
    return np.asarray(10.0 * np.log10(ratio))


def level_sum(levels: npt.ArrayLike) -> float:
    """The level of several sounds together [dB].

    >>> round(level_sum([60, 60]), 2)
    63.01
    """
    return float(decibels(np.sum(power(levels))))


def mean_loss(losses: Spectrum) -> Spectrum:
    """The loss of the mean power that the last axis passes."""
    return np.asarray(-decibels(np.mean(power(-losses), axis=-1)))


def joined_loss(*losses: npt.ArrayLike) -> Spectrum:
    """The loss of several paths side by side, each related to the same area: their transmitted powers add."""
    return np.asarray(-decibels(np.sum([power(-np.asarray(loss)) for loss in losses], axis=0)))


def round_half_up(value: float, digits: int = 0) -> float:
    """Round as the rating standards do: a half goes up, and arithmetic noise does not decide it.

    >>> round_half_up(22.45, 1), round_half_up(-0.5), round_half_up(0.1 + 0.7 + 1.7)
    (22.5, 0.0, 3.0)
    """
    scale = 10.0**digits
    return math.floor(value * scale + 0.5 + 1e-9) / scale
