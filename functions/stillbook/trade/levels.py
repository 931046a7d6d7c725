"""Sound levels in octave bands: sums, the NC curves, and what common sources give off."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Annotated, Final

import numpy as np

from stillbook.formula import formula
from stillbook.quantities import LEVEL, NUMBER
from stillbook.readers import Choice, Quantity, Vector
from stillbook.tables import table
from stillbook.trade.sound import BAND_VALUE, OCTAVES, Spectrum, SpectrumResult, level_sum

OctaveLevels = Annotated[Spectrum, Vector(BAND_VALUE, lengths=(len(OCTAVES),))]

LOWEST_NC, HIGHEST_NC = 15, 70
"""The family of NC curves reaches from one to the other."""

NcNumber = Annotated[float, Quantity(NUMBER, least=LOWEST_NC, most=HIGHEST_NC)]


@cache
def nc_curves() -> tuple[Spectrum, Spectrum]:
    """The NC numbers that are tabulated, and their levels: a row for each number, a column for each octave band."""
    rows = table("nc_curves")
    levels = np.array([[float(row[f"f{band:.0f}"]) for band in OCTAVES] for row in rows])
    return np.array([float(row["nc"]) for row in rows]), levels


@cache
def source_spectra() -> Mapping[str, Spectrum]:
    """Octave-band levels of common sources, 63 to 8000 Hz, by kind."""
    return {row["kind"]: np.array([float(row[f"f{band:.0f}"]) for band in OCTAVES]) for row in table("source_levels")}


@formula(
    "DBSUM",
    family="Quiet air path",
    summary="Level of several sounds together",
    example=("STILL_DBSUM({60,60,63})", 66.015452988449),
    source="Sum of powers: ISO 1996-1",
    vectorised=False,
)
def db_sum(
    levels: Annotated[Spectrum, Vector(BAND_VALUE, blanks=True)],
) -> Annotated[float, Quantity(LEVEL)]:
    """Give the level of several sounds, or of all bands of one, together [dB]. Blank cells are passed over.

    Args:
        levels: Levels to add up [dB].
    """
    return level_sum(levels)


@formula(
    "NCCURVE",
    family="Quiet air path",
    summary="Levels of an NC curve by octave, 63 to 8000 Hz",
    example=("STILL_NCCURVE(30)", (57.0, 48.0, 41.0, 35.0, 31.0, 29.0, 28.0, 27.0)),
    source="Beranek 1957, as tabulated by ASHRAE; ANSI/ASA S12.2-2019 differs by 1 dB in ten of its cells",
    vectorised=False,
)
def nc_curve(number: NcNumber) -> SpectrumResult:
    """Give the NC curve of a number, between two tabulated curves in proportion [dB].

    Args:
        number: The NC number, 15 to 70.
    """
    numbers, levels = nc_curves()
    return np.array([np.interp(number, numbers, band) for band in levels.T])


@formula(
    "NCRATING",
    family="Quiet air path",
    summary="NC of a noise: the lowest curve that no octave band exceeds",
    example=("STILL_NCRATING({61,56,54,50,44,43,39,34})", 46.0),
    source="Tangent method, Beranek 1957; ANSI/ASA S12.2-2019",
    no_answer="a band lies above the NC-70 curve, where the curves end",
    vectorised=False,
)
def nc_rating(spectrum: OctaveLevels) -> Annotated[float, Quantity(NUMBER)]:
    """Give the NC number by the tangent method, with decimals between curves; round up to state it.

    NC-15 is the lowest curve: whatever lies below it in every band gives 15.

    Args:
        spectrum: Octave-band levels, 63 to 8000 Hz [dB].
    """
    numbers, levels = nc_curves()
    reached = [
        np.interp(level, band, numbers, left=LOWEST_NC, right=np.nan)
        for level, band in zip(spectrum, levels.T, strict=True)
    ]
    return float(np.max(reached))


SOURCES: Final = (
    "speech normal",
    "speech raised",
    "speech loud",
    "speech shout",
    "pink noise",
    "band rehearsal",
    "amplified rock",
    "road traffic",
)


@formula(
    "SOURCELEVELS",
    family="Isolation",
    summary="Octave-band levels of a common source, 63 to 8000 Hz",
    example=('STILL_SOURCELEVELS("speech loud")', (44.03, 60.73, 64.03, 70.33, 70.64, 65.87, 59.89, 48.87)),
    source="ANSI S3.5-1997; US Army DG 1110-3-120; ISO 717-1; each row of the table names its own",
    vectorised=False,
)
def source_levels(
    kind: Annotated[str, Choice(*SOURCES)],
    overall_level: Annotated[float, Quantity(LEVEL, least=0, most=150)] | None = None,
) -> SpectrumResult:
    """Give octave-band levels to design with, 63 to 8000 Hz [dB].

    Speech is 1 m from the lips. "pink noise" is 100 dB in sum, "band rehearsal" 95 dB and "amplified rock" 120 dB, all
    with the same level in each octave, since no published spectrum stands behind them; "road traffic" is 70 dB
    A-weighted.
    Music has more bass than most sources of noise: measure where it matters.

    Args:
        kind: The source.
        overall_level: Level of all bands together that the spectrum is moved to; its own when left out [dB].
    """
    spectrum = source_spectra()[kind]
    return spectrum if overall_level is None else spectrum + overall_level - level_sum(spectrum)
