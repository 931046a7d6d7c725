"""Between which figures a measurement can be true: what lies outside is a slip of the pen, the unit or the column."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from stillbook.quantities import FREQUENCY, KINDS, LEVEL, NUMBER, SYSTEMS, TEMPERATURE, from_base
from stillbook.workbook import WorkbookError
from stillbook.workbook.job.results import ResultSpec

TIMES_PREDICTED: Final = 10.0
"""So many times what a job predicts is a slipped decimal or another unit (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Limits:
    """The least and the most that can be measured of something.

    Args:
        least: The least, in the unit.
        most: The most, in the unit.
        unit: The unit; empty for a plain number.
        why: What the most stands for, where it is not the same for every job.
    """

    least: float
    most: float
    unit: str = ""
    why: str = ""

    def hold(self, place: str, said: str, value: float) -> float:
        """The value, where it can be true.

        Args:
            place: Where it stands, in words.
            said: What it is of.
            value: What was measured, in the unit.

        Raises:
            WorkbookError: With the place, the value, the limits and what to do.

        >>> Limits(0, 120).hold("room.csv, line 2", "STC", 520)
        Traceback (most recent call last):
        ...
        stillbook.workbook.WorkbookError: room.csv, line 2: STC 520 cannot be: it lies from 0 to 120: check the figure
        """
        if self.least <= value <= self.most:
            return value
        in_unit = f" {self.unit}" if self.unit else ""
        meant = f", {self.why}" if self.why else ""
        check = "the figure and its unit" if self.unit else "the figure"
        raise WorkbookError(
            f"{place}: {said} {value:.6g}{in_unit} cannot be: it lies from {self.least:.6g} to {self.most:.6g}{in_unit}"
            f"{meant}: check {check}"
        )


SOUND_LEVEL: Final = Limits(-20, 194, "dB")
"""A microphone's own noise leaves some -10 dB in a band (common practice, no source); sound whose pressure swings by
all of the air's has 194 dB."""

DIFFERENCE: Final = Limits(-20, 150, "dB")
"""Under the resonance of a shell it is louder inside by some dB; what a source of 150 dB leaves none of is no more."""

REVERBERATION: Final = Limits(0.02, 20, "s")
"""Filters ring for less, and the barest reverberation room of a laboratory for more (common practice, no source)."""

_ISOLATION: Final = Limits(0, 120)
"""As STILL_STCCONTOUR and STILL_RWCONTOUR take it."""

_SCALES: Final = {
    "NC": Limits(0, 130),
    **dict.fromkeys(("STC", "NIC", "DnT,w"), _ISOLATION),
}
"""By the scale that a result is told in; NC as STILL_NRCURVE takes its like."""

_BY_UNIT: Final = {
    "dB": Limits(-LEVEL.largest, LEVEL.largest, "dB"),
    "ppm": Limits(250, 40_000, "ppm"),
    "of full": Limits(0, 1, "of full"),
    "s": REVERBERATION,
    "Hz": Limits(1, FREQUENCY.largest, "Hz"),
    "°C": Limits(-60, 60, "°C"),
    "°F": Limits(-76, 140, "°F"),
}
"""By unit. CO2 is at least what STILL_CO2LEVEL takes for the air outdoors, and no more than is immediately dangerous
to life (NIOSH, from memory); temperatures are those of places where people work (common practice, no source)."""


def scale_of(spec: ResultSpec) -> str:
    """The scale that a result is told in, such as NC; empty where it has a unit or counts.

    >>> scale_of(ResultSpec("room_dntw", "Outside less inside, in a test, DnT,w"))
    'DnT,w'
    """
    told = spec.unit or spec.label
    return next((scale for scale in _SCALES if told == scale or told.endswith(f", {scale}")), "")


def signs_of(spec: ResultSpec) -> tuple[str, ...]:
    """What may be written behind a result that has no unit: its scale, and dB behind a difference of levels."""
    scale = scale_of(spec)
    return () if not scale else (scale,) if scale == "NC" else (scale, "dB")


def limits_of(spec: ResultSpec) -> Limits:
    """What can be measured of a result, whatever the job."""
    if scale := scale_of(spec):
        return _SCALES[scale]
    return _BY_UNIT.get(spec.unit) or Limits(0, _largest(spec.unit), spec.unit)


def limits_beside(spec: ResultSpec, predicted: float) -> Limits:
    """What can be measured of a result where so much is predicted: of what has a unit and a zero, a few times that."""
    usual = limits_of(spec)
    if usual.least != 0 or not spec.unit or scale_of(spec) or predicted <= 0:
        return usual
    most = TIMES_PREDICTED * predicted
    if most >= usual.most:
        return usual
    return Limits(0, most, spec.unit, f"{TIMES_PREDICTED:g} times what the job predicts")


def _largest(unit: str) -> float:
    """The largest figure in a unit that the trade can mean."""
    for kind in KINDS.values():
        for system in SYSTEMS:
            if unit and kind.unit(system) == unit and kind is not TEMPERATURE:
                return from_base(kind.largest, kind, system)
    return NUMBER.largest
