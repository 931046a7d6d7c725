"""Single-number ratings of transmission loss, by the letter of the rating standards."""

from __future__ import annotations

from functools import cache
from typing import Annotated, Final

import numpy as np

from stillbook.cells import NotUnderstood, OutOfRange
from stillbook.formula import formula
from stillbook.quantities import NUMBER
from stillbook.readers import Choice, Quantity, Vector
from stillbook.results import Number
from stillbook.tables import table
from stillbook.trade.physics.sound import BAND_VALUE, Spectrum, SpectrumResult, decibels, power, round_half_up

Rating = Annotated[float, Number(NUMBER)]

STC_SUM: Final = 32.0
"""Most deficiencies below the contour that ASTM E413 allows in sum [dB]; the limit is inclusive."""

STC_SINGLE: Final = 8.0
"""Most deficiency in any one band that ASTM E413 allows [dB]."""

RW_SUM: Final = {16: 32.0, 5: 10.0}
"""Most unfavourable deviations that ISO 717-1 allows in sum, by the number of bands [dB]; inclusive."""

OITC_SOURCE_LEVEL: Final = 100.13
"""A-weighted level of the reference source of ASTM E1332 [dB]."""

_RANGES: Final = {
    5: "octaves 125-2000",
    16: "thirds 100-3150",
    18: "thirds 100-5000",
    19: "thirds 50-3150",
    21: "thirds 50-5000",
}
"""The frequency range of a spectrum by the number of its bands, for the adaptation terms of ISO 717-1."""

_NOISE: Final = 1e-9
"""Arithmetic noise that must not tip a sum over an inclusive limit [dB]."""

_LOWEST, _HIGHEST = -60, 220


@cache
def contour(name: str) -> Spectrum:
    """The values of a contour of the rating standards [dB], in the order of its bands."""
    rows = {row["contour"]: row for row in table("rating_contours")}
    values = np.array([float(value) for value in rows[name]["values"].split()])
    values.setflags(write=False)
    return values


@formula(
    "STCRATING",
    family="Isolation",
    summary="STC of a wall, door or window from its transmission loss, 125 to 4000 Hz",
    example=("STILL_STCRATING({21,24,20,24,28,29,31,34,35,38,38,37,32,32,35,42})", 33.0),
    source="ASTM E413-22",
    no_answer="no contour fits these losses: check the spectrum",
    vectorised=False,
)
def stc_rating(
    spectrum: Annotated[Spectrum, Vector(BAND_VALUE, lengths=(16,))],
    eight_decibel_rule: Annotated[str, Choice("yes", "no")] = "yes",
) -> Rating:
    """Give the sound transmission class: the highest contour with deficiencies of at most 32 dB in sum, 8 dB in a band.

    STC is the greatest whole N for which Σ d is at most 32 and no d above 8, d = max(0, N + c - TL) in each band, with
    the contour c, 0 at 500 Hz, and the transmission loss TL.

    Losses are first rounded to whole decibels. Both limits are inclusive. The 8 dB rule may be left out to compare with
    sources that do so; by the standard it always holds.

    >>> window = [21, 24, 20, 24, 28, 29, 31, 34, 35, 38, 38, 37, 32, 32, 35, 42]
    >>> stc_rating(np.array(window, dtype=float))
    33.0

    Args:
        spectrum: Transmission loss in 16 third-octave bands, 125 to 4000 Hz [dB].
        eight_decibel_rule: Whether no band may lie more than 8 dB below the contour.

    Raises:
        NotUnderstood: If there are not 16 values.
    """
    whole = np.array([round_half_up(value) for value in spectrum])
    worst = STC_SINGLE if eight_decibel_rule == "yes" else np.inf
    return _highest(contour("STC"), whole, STC_SUM, worst)


@formula(
    "STCCONTOUR",
    family="Isolation",
    summary="The contour of an STC in its 16 bands, to draw beside a transmission loss",
    example=(
        "STILL_STCCONTOUR(50)",
        (34.0, 37.0, 40.0, 43.0, 46.0, 49.0, 50.0, 51.0, 52.0, 53.0, 54.0, 54.0, 54.0, 54.0, 54.0, 54.0),
    ),
    source="ASTM E413-22",
    vectorised=False,
)
def stc_contour(rating: Annotated[float, Quantity(NUMBER, least=0, most=120)]) -> SpectrumResult:
    """Give the contour whose value at 500 Hz is the rating, 125 to 4000 Hz [dB].

    TL(f) = STC + c(f), with the contour c of the standard, 0 at 500 Hz.

    Args:
        rating: The STC.
    """
    return contour("STC") + rating


@formula(
    "RWRATING",
    family="Isolation",
    summary="Rw of a wall, door or window from its transmission loss, 100 to 3150 Hz",
    example=(
        "STILL_RWRATING({20.4,16.3,17.7,22.6,22.4,22.7,24.8,26.6,28,30.5,31.8,32.5,33.4,33,31,25.5})",
        30.0,
    ),
    source="ISO 717-1:2020",
    no_answer="no reference curve fits these losses: check the spectrum",
    vectorised=False,
)
def rw_rating(spectrum: Annotated[Spectrum, Vector(BAND_VALUE, lengths=(5, 16, 18, 19, 21))]) -> Rating:
    """Give the weighted sound reduction index: the highest reference curve with unfavourable deviations within limits.

    Rw is the greatest whole N for which Σ max(0, N + r - 52 - R) is within the limit, with the reference curve r, 52 dB
    at 500 Hz, and the transmission loss R of each band.

    Losses are first rounded to one decimal, a half up. The deviations may sum to 32.0 dB in third octaves and 10.0 dB
    in octaves, inclusive. There is no limit on a single band.

    Args:
        spectrum: Transmission loss in 16 third-octave bands, 100 to 3150 Hz, or in 5 octave bands, 125 to 2000 Hz
            [dB]. The wider ranges of STILL_ADAPTATION may be given too; the bands outside 100 to 3150 Hz then do not
            count.

    Raises:
        NotUnderstood: If the number of values fits none of these.
    """
    losses = np.array([round_half_up(value, 1) for value in _core(spectrum)])
    curve = contour("Rw octaves" if len(losses) == 5 else "Rw thirds")
    reference = 52.0
    return _highest(curve - reference, losses, RW_SUM[len(losses)], np.inf)


@formula(
    "RWCONTOUR",
    family="Isolation",
    summary="The reference curve of an Rw in its 16 bands, to draw beside a transmission loss",
    example=(
        "STILL_RWCONTOUR(52)",
        (33.0, 36.0, 39.0, 42.0, 45.0, 48.0, 51.0, 52.0, 53.0, 54.0, 55.0, 56.0, 56.0, 56.0, 56.0, 56.0),
    ),
    source="ISO 717-1:2020",
    vectorised=False,
)
def rw_contour(rating: Annotated[float, Quantity(NUMBER, least=0, most=120)]) -> SpectrumResult:
    """Give the reference curve shifted so that its value at 500 Hz is the rating, 100 to 3150 Hz [dB].

    R(f) = Rw + r(f) - 52, with the reference curve r of the standard, 52 dB at 500 Hz.

    Args:
        rating: The Rw.
    """
    return contour("Rw thirds") - 52.0 + rating


@formula(
    "ADAPTATION",
    family="Isolation",
    summary="Adaptation term of Rw: C for pink noise such as speech and music, Ctr for traffic and bass",
    example=(
        'STILL_ADAPTATION({20.4,16.3,17.7,22.6,22.4,22.7,24.8,26.6,28,30.5,31.8,32.5,33.4,33,31,25.5},"Ctr")',
        -3.0,
    ),
    source="ISO 717-1:2020, Annex B for the enlarged ranges",
    vectorised=False,
)
def adaptation(
    spectrum: Annotated[Spectrum, Vector(BAND_VALUE, lengths=(5, 16, 18, 19, 21))],
    term: Annotated[str, Choice("C", "Ctr")] = "C",
) -> Rating:
    """Give the spectrum adaptation term, to be added to Rw [dB].

    C = X - Rw with X = -10 log10 Σ 10^((L - R) / 10), rounded to a whole number, with the level L of the standard
    spectrum and the transmission loss R of each band, rounded to one decimal.

    The number of values says the range: 16 is 100 to 3150 Hz, 18 is 100 to 5000 Hz, 19 is 50 to 3150 Hz, 21 is 50 to
    5000 Hz, all in third octaves; 5 is 125 to 2000 Hz in octaves.

    Args:
        spectrum: Transmission loss by band [dB].
        term: C, or Ctr.

    Raises:
        NotUnderstood: If the number of values fits none of these ranges.
    """
    losses = np.array([round_half_up(value, 1) for value in spectrum])
    weighted = -decibels(np.sum(power(contour(f"{term} {_RANGES[len(losses)]}") - losses)))
    return round_half_up(float(weighted)) - rw_rating(spectrum)


@formula(
    "OITCRATING",
    family="Isolation",
    summary="OITC of an outside wall, door or window from its transmission loss, 80 to 4000 Hz",
    example=("STILL_OITCRATING({22,19,21,24,20,24,28,29,31,34,35,38,38,37,32,32,35,42})", 28.0),
    source="ASTM E1332-22",
    vectorised=False,
)
def oitc_rating(spectrum: Annotated[Spectrum, Vector(BAND_VALUE, lengths=(18,))]) -> Rating:
    """Give the outdoor-indoor transmission class: the A-weighted reduction of a standard mix of traffic noises.

    OITC = 100.13 - 10 log10 Σ 10^((L - TL) / 10), rounded, with the A-weighted level L of the standard's source, 100.13
    dB in all, and the transmission loss TL of each band.

    Args:
        spectrum: Transmission loss in 18 third-octave bands, 80 to 4000 Hz [dB].

    Raises:
        NotUnderstood: If there are not 18 values.
    """
    inside = decibels(np.sum(power(contour("OITC source") - spectrum)))
    return round_half_up(OITC_SOURCE_LEVEL - float(inside))


def _core(spectrum: Spectrum) -> Spectrum:
    """The bands of a wider range that Rw counts: 100 to 3150 Hz."""
    first = {18: 0, 19: 3, 21: 3}.get(len(spectrum))
    if first is None:
        if len(spectrum) not in RW_SUM:
            raise NotUnderstood(f"the spectrum has {len(spectrum)} values: give 16 third octaves or 5 octaves")
        return spectrum
    return spectrum[first : first + 16]


def _highest(shape: Spectrum, losses: Spectrum, most: float, worst: float) -> float:
    """The highest whole shift of a contour whose deficiencies stay within both limits."""
    shifts = np.arange(_HIGHEST, _LOWEST, -1.0)
    deficiencies = np.maximum(shifts[:, None] + shape - losses, 0.0)
    fits = (deficiencies.sum(axis=1) <= most + _NOISE) & (deficiencies.max(axis=1) <= worst + _NOISE)
    if not fits.any():
        raise OutOfRange("no contour fits these losses: check the spectrum")
    return float(shifts[np.argmax(fits)])
