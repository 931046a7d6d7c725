"""How far a predicted rating may be from a measured one, by the kind of construction."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Annotated, Final

import numpy as np

from stillbook.formula import formula
from stillbook.quantities import COUNT, LEVEL
from stillbook.readers import Choice
from stillbook.results import Number, UnderHeadings
from stillbook.tables import table
from stillbook.trade.isolation.framing import FRAMINGS
from stillbook.trade.physics.sound import OCTAVE_BANDS, BandChoice, SpectrumResult

CONSTRUCTIONS: Final = (
    *FRAMINGS,
    "single panel",
    "glass",
    "masonry",
    "lined masonry",
    "door",
    "pair of doors",
)

ALL_ROWS: Final = "all"

BETWEEN_LABORATORIES: Final = 2.4
"""What 95% of two laboratories' ratings of the same wall agree within: ISO 12999-1:2020, 1.96 times 1.2 dB."""

FEW_ROWS: Final = 10
"""A kind of construction with fewer measured walls takes no less than the uncertainty over all of them."""

JUDGED_OCTAVES: Final = (125, 250, 500, 1000, 2000, 4000)
"""Octave bands in which predictions were compared with measurements [Hz]."""

_LABORATORY_BANDS: Final = (
    *((50.0, 6.8), (63.0, 4.6), (80.0, 3.8), (100.0, 3.0), (125.0, 2.7), (160.0, 2.4), (200.0, 2.1), (250.0, 1.8)),
    *((2000.0, 1.8), (2500.0, 1.9), (3150.0, 2.0), (4000.0, 2.4), (5000.0, 2.8)),
)
"""Standard uncertainty between laboratories by third octave, a line between: ISO 12999-1:2020, situation A [Hz, dB]."""

_COVERAGE: Final = 2.0
"""Standard deviations that cover about 95% of the errors."""


@dataclass(frozen=True, slots=True)
class Record:
    """Predicted less measured ratings over the measured walls of one kind [dB]."""

    rows: int
    mean: float
    mean_absolute: float
    rms: float
    worst: float
    band_rms: float | None
    by_octave: tuple[float | None, ...]
    """RMS error in each octave band 125 to 4000 Hz; None where few walls were measured in it."""


@cache
def records() -> Mapping[str, Record]:
    """The record of the predictions by kind of construction, and over all."""
    return {
        row["construction"]: Record(
            int(row["rows"]),
            float(row["mean_error"]),
            float(row["mean_absolute_error"]),
            float(row["rms_error"]),
            float(row["worst_error"]),
            float(row["band_rms_error"]) if row["band_rms_error"] else None,
            tuple(float(row[f"rms_{octave}"]) if row[f"rms_{octave}"] else None for octave in JUDGED_OCTAVES),
        )
        for row in table("prediction_record")
    }


@formula(
    "RATINGUNCERTAINTY",
    family="Isolation",
    summary="How far a predicted rating may be from a measured one, either way",
    example=('STILL_RATINGUNCERTAINTY("steel studs")', 5.2),
    source="Twice the RMS error against published measurements; no less than ISO 12999-1:2020 between laboratories",
    vectorised=False,
)
def rating_uncertainty(construction: Annotated[str, Choice(*CONSTRUCTIONS)]) -> Annotated[float, Number(LEVEL)]:
    """Give the half-width of the range that holds about 95% of the measured ratings [dB].

    U = 2 √(Σ e² / n), not below 2.4 dB, over the errors e of n measured walls of that kind, predicted less measured;
    with fewer than 10 of them, not below that of all walls either.

    Show a predicted rating with it: STC 50 with 5 means 45 to 55. It is for laboratory walls, closed and unflanked; a
    built wall is often up to 5 lower. Load-bearing steel studs and isolation clips were not judged by any measured
    wall, nor were 20 gauge steel studs and unconnected leaves: they take the uncertainty over all.

    Args:
        construction: The framing as in STILL_WALLTL, or the kind of leaf or door.
    """
    known = records()
    own = known.get(construction)
    rms = known[ALL_ROWS].rms
    if own is not None:
        rms = own.rms if own.rows >= FEW_ROWS else max(own.rms, rms)
    return max(round(_COVERAGE * rms, 1), BETWEEN_LABORATORIES)


@formula(
    "BANDUNCERTAINTY",
    family="Isolation",
    summary="How far a predicted transmission loss may be from a measured one in each band, either way",
    example=('STILL_BANDUNCERTAINTY("separate frames",{125,500,2000})', (9.8, 7.4, 11.0)),
    source="Twice the RMS error against published measurements; no less than ISO 12999-1:2020 between laboratories",
    vectorised=False,
)
def band_uncertainty(
    construction: Annotated[str, Choice(*CONSTRUCTIONS)], bands: BandChoice = OCTAVE_BANDS
) -> SpectrumResult:
    """Give the half-width of the range that holds about 95% of the measured losses in a band [dB].

    U = 2 √(Σ e² / n), over the errors e of n measured walls of that kind in the octave band nearest to each band asked;
    with fewer than 10 of them, that of all walls. It is not below twice the standard uncertainty between laboratories,
    which grows from 1.8 dB at 250 Hz to 6.8 at 50 Hz. Below 125 Hz and above 4000 Hz few walls were measured: the
    octave next to it stands there.

    A level inside a room is as uncertain as the loss it comes through, and so is the NC that the band sets in which it
    touches the curve. An upper bound: STILL_NCRATING of the levels with U added to each. Below the frequency of
    STILL_SCHROEDERFREQUENCY a small room adds its own: there a level differs by 5 dB and more from place to place.

    Args:
        construction: The framing as in STILL_WALLTL, or the kind of leaf or door.
        bands: Bands wanted.
    """
    known = records()
    own, every = known.get(construction, known[ALL_ROWS]), known[ALL_ROWS]
    centres = np.array(bands.centres)
    places = np.argmin(np.abs(np.log2(np.array(JUDGED_OCTAVES)[:, None] / centres)), axis=0)
    rms = [own.by_octave[place] or every.by_octave[place] or every.rms for place in places]
    known_at, between = np.array(_LABORATORY_BANDS).T
    laboratories = np.interp(np.log2(centres), np.log2(known_at), between)
    return np.asarray(np.round(_COVERAGE * np.maximum(rms, laboratories), 1))


@formula(
    "PREDICTIONRECORD",
    family="Isolation",
    summary="How the predicted ratings compared with published measurements, by kind of construction",
    example=(
        "STILL_PREDICTIONRECORD()",
        (
            "Construction",
            "Measured",
            "Mean error (dB)",
            "Mean absolute error (dB)",
            "RMS error (dB)",
            "Worst error (dB)",
            "RMS error by band (dB)",
        ),
    ),
    source="Computed from published measurements; the rows and their sources stand in the tests",
    vectorised=False,
)
def prediction_record() -> Annotated[
    list[tuple[str, int, float, float, float, float, float | None]],
    UnderHeadings(
        ("Construction", None),
        ("Measured", COUNT),
        ("Mean error", LEVEL),
        ("Mean absolute error", LEVEL),
        ("RMS error", LEVEL),
        ("Worst error", LEVEL),
        ("RMS error by band", LEVEL),
    ),
]:
    """Give predicted less measured ratings for each kind of construction, and over all.

    With the error e = predicted - measured of n walls, mean Σ e / n, mean absolute Σ |e| / n, RMS √(Σ e² / n).

    Every wall was entered as a user types it: material, thickness, count, and mass where the product's own is known.
    No wall is judged with constants that were fitted to it: those of the cavity wall model were fitted to each half of
    the walls in turn, and the other half judged with them; the formulas use those of the first. What the model takes
    into account was chosen by its fit to the first half, but with the errors of both in view: take a wall that is not
    among them to err a little more.
    """
    return [
        (name, one.rows, one.mean, one.mean_absolute, one.rms, one.worst, one.band_rms)
        for name, one in records().items()
    ]
