"""How far a predicted rating may be from a measured one, by the kind of construction."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Annotated, Final

from stillbook.formula import formula
from stillbook.quantities import COUNT, LEVEL
from stillbook.readers import Choice
from stillbook.results import Number, UnderHeadings
from stillbook.tables import table
from stillbook.trade.isolation.cavity_walls import FRAMINGS

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
        )
        for row in table("prediction_record")
    }


@formula(
    "RATINGUNCERTAINTY",
    family="Isolation",
    summary="How far a predicted rating may be from a measured one, either way",
    example=('STILL_RATINGUNCERTAINTY("steel studs")', 6.0),
    source="Twice the RMS error against published measurements; no less than ISO 12999-1:2020 between laboratories",
    vectorised=False,
)
def rating_uncertainty(construction: Annotated[str, Choice(*CONSTRUCTIONS)]) -> Annotated[float, Number(LEVEL)]:
    """Give the half-width of the range that holds about 95% of the measured ratings [dB].

    U = 2 √(Σ e² / n), not below 2.4 dB, over the errors e of n measured walls of that kind, predicted less measured;
    with fewer than 10 of them, not below that of all walls either.

    Show a predicted rating with it: STC 50 with 5 means 45 to 55. It is for laboratory walls, closed and unflanked; a
    built wall is often up to 5 lower. Load-bearing steel studs and isolation clips were not judged by any measured
    wall: they take the uncertainty over all.

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

    The constants of the cavity wall model were fitted on one half of the cavity walls, and judged on the other.
    """
    return [
        (name, one.rows, one.mean, one.mean_absolute, one.rms, one.worst, one.band_rms)
        for name, one in records().items()
    ]
