"""What was measured in a finished room, beside what was predicted."""

from __future__ import annotations

import difflib
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from stillbook.cells import is_blank
from stillbook.office.actuals.columns import CsvRow, read_rows
from stillbook.office.actuals.limits import (
    DIFFERENCE,
    REVERBERATION,
    SOUND_LEVEL,
    Limits,
    limits_beside,
    limits_of,
    signs_of,
)
from stillbook.office.actuals.spectra import DNTW, NIC, SPECTRA, THIRDS, TIME, rated
from stillbook.workbook import WorkbookError
from stillbook.workbook.job.estimate import Job, Result
from stillbook.workbook.job.lines import column, number
from stillbook.workbook.job.results import ResultSpec

BANDS: Final = ("63", "125", "250", "500", "1000", "2000", "4000", "8000")

LEVEL_DIFFERENCE: Final = "level difference"
LEVEL_AT_SEAT: Final = "level at the seat"
_RESULTS: Final = {
    "noise at the seat": "nc_all",
    "airflow": "airflow",
    "CO2": "co2_day",
    "STC": "room_stc",
    NIC: "room_nic",
    DNTW: "room_dntw",
}
"""Results by the words that a person writes; the names of results are taken too."""


@dataclass(frozen=True, slots=True)
class Measured:
    """One thing that was measured.

    Args:
        what: What it is.
        band: Its octave band [Hz]; empty for one figure.
        value: What was measured, in the unit.
        predicted: What the job predicts.
        unit: The unit of both.
    """

    what: str
    band: str
    value: float
    predicted: float
    unit: str

    @property
    def error(self) -> float:
        """Measured less predicted."""
        return self.value - self.predicted


@dataclass(frozen=True, slots=True)
class Reading:
    """One thing that was measured, as it was written down.

    Args:
        place: Where it stands, in words.
        said: What it is, in the words that it was written in.
        what: What it is, as the job names it.
        band: Its octave band [Hz]; empty for one figure.
        value: What was measured, in the unit.
        unit: The unit that the job has it in.
    """

    place: str
    said: str
    what: str
    band: str
    value: float
    unit: str


def read_measured(path: Path, job: Job) -> list[Reading]:
    """What a CSV file of ``what``, ``band`` and ``value`` says, of things that a job may predict.

    ``what`` is ``level difference`` or ``level at the seat``, by octave band, or ``noise at the seat`` (NC),
    ``airflow``, ``CO2``, ``STC``, ``NIC``, ``DnT,w``, or the name of any result of the job. A value may carry a unit.
    ``level outside`` and ``level inside`` by third octave, with ``background inside`` and ``reverberation time`` [s]
    where they are known, are rated: they give NIC, DnT,w or both, as :mod:`stillbook.office.actuals.spectra` says.

    Raises:
        WorkbookError: Naming the line that is not understood, is of no result of the job, or cannot have been measured.
    """
    named = {name.casefold(): spec for name, spec in job.results.items()}
    found: dict[tuple[str, str], Reading] = {}
    spectra: dict[str, dict[str, float]] = {}
    rated_from = ""
    for row in read_rows(path, ("what", "value"), ("band",)):
        what, band = row.text("what"), row.text("band").lower().removesuffix("hz").strip()
        twice = WorkbookError(f"{row.place}: {' '.join((what, band)).strip()} is there twice: leave one")
        if what.casefold() in SPECTRA:
            spectrum = spectra.setdefault(what.casefold(), {})
            if band in spectrum:
                raise twice
            spectrum[band] = _of_spectrum(row, what.casefold(), band)
            rated_from = rated_from or f"{row.place}, {what}"
            continue
        one = _by_band(row, what, band, named) if band else _figure(row, what, named)
        if (one.what, band) in found:
            raise twice
        found[one.what, band] = one
    for name, value in (rated(spectra, rated_from) if spectra else {}).items():
        result = _result(rated_from, name, named)
        if (result.name, "") in found:
            raise WorkbookError(f"{found[result.name, ''].place}: {name} is there, and levels that give it: leave one")
        found[result.name, ""] = Reading(rated_from, name, result.name, "", value, result.unit)
    if not found:
        raise WorkbookError(f"{path}: it holds nothing that was measured")
    return list(found.values())


def beside_predictions(readings: Sequence[Reading], job: Job, results: tuple[Result, ...]) -> list[Measured]:
    """What was measured, each beside the prediction of the calculated job.

    Raises:
        WorkbookError: Naming the line of what the job predicts nothing for, or so much less that it is a slip.
    """
    figures = {result.name: number(result.value) for result in results}
    specs = job.results
    found = []
    for one in readings:
        predicted = _octave(job, one.what, BANDS.index(one.band)) if one.band else figures.get(one.what)
        if predicted is None and one.band:
            raise WorkbookError(f"{one.place}: the job predicts no {one.what} at {one.band} Hz")
        if predicted is None:
            raise _unpredicted(one.place, one.said, specs)
        if not one.band:
            limits_beside(specs[one.what], predicted).hold(one.place, one.said, one.value)
        found.append(Measured(one.what, one.band, one.value, predicted, one.unit))
    return found


def in_words(what: str) -> str:
    """What was measured, in the words that a person writes.

    >>> in_words("co2_day"), in_words("level difference")
    ('CO2', 'level difference')
    """
    return next((word for word, name in _RESULTS.items() if name == what), what)


def _by_band(row: CsvRow, said: str, band: str, named: Mapping[str, ResultSpec]) -> Reading:
    what = said.casefold()
    if what not in (LEVEL_DIFFERENCE, LEVEL_AT_SEAT):
        _result(row.place, said, named)
        raise WorkbookError(
            f"{row.place}: give a band for {LEVEL_DIFFERENCE} or {LEVEL_AT_SEAT} alone, none for {said[:40]}"
        )
    if band not in BANDS:
        raise WorkbookError(f"{row.place}: {band[:20]} is no octave band: give one of {', '.join(BANDS)}")
    value = _value(row, what, DIFFERENCE if what == LEVEL_DIFFERENCE else SOUND_LEVEL)
    return Reading(row.place, what, what, band, value, "dB")


def _value(row: CsvRow, what: str, limits: Limits, signs: Sequence[str] = ()) -> float:
    """What was measured, in the unit of its limits, and within them."""
    value = row.number("value", limits.unit, signs)
    if value is None:
        raise WorkbookError(f"{row.place}: the value of {what[:40]} is blank: write it, or leave the row out")
    return limits.hold(row.place, what, value)


def _octave(job: Job, what: str, place: int) -> float | None:
    """What the job predicts in one octave; None where it does not."""
    if what == LEVEL_DIFFERENCE:
        source, inside = (_cells(job, name, place) for name in ("source_outside", "shell_inside"))
        return source[0] - inside[0] if source and inside else None
    heard = _cells(job, "heard_levels", place)
    return 10 * math.log10(sum(10 ** (level / 10) for level in heard)) if heard else None


def _cells(job: Job, name: str, place: int) -> list[float]:
    """The numbers of one octave in a named block, blanks left out; none where one of them is an error or a word."""
    at = column(job.package, name)
    if at is None:
        return []
    sheet, area = at
    cells = [
        job.package.value(sheet, row, area.first_column + place) for row in range(area.first_row, area.last_row + 1)
    ]
    held = [number(cell) for cell in cells if not is_blank(cell)]
    return [] if None in held else [level for level in held if level is not None]


def _of_spectrum(row: CsvRow, what: str, band: str) -> float:
    """One band of a spectrum, or one reverberation time for all bands."""
    if band not in THIRDS and not (what == TIME and not band):
        raise WorkbookError(f"{row.place}: give {what} in bands of {', '.join(THIRDS)} Hz")
    return _value(row, what, REVERBERATION if what == TIME else SOUND_LEVEL)


def _result(place: str, what: str, named: Mapping[str, ResultSpec]) -> ResultSpec:
    """The result of the job by the words that a person writes, or by its name."""
    name = next((name for word, name in _RESULTS.items() if word.casefold() == what.casefold()), what.casefold())
    if name not in named:
        raise _unpredicted(place, what, named)
    return named[name]


def _unpredicted(place: str, what: str, named: Mapping[str, ResultSpec]) -> WorkbookError:
    """What the job predicts nothing for, with words near it."""
    words = (LEVEL_DIFFERENCE, LEVEL_AT_SEAT, *SPECTRA, *(word for word, name in _RESULTS.items() if name in named))
    known = {word.casefold(): word for word in (*words, *named)}
    near = " or ".join(f'"{known[one]}"' for one in difflib.get_close_matches(what.casefold(), known, n=3, cutoff=0.7))
    hint = f"did you mean {near}? Else " if near else ""
    return WorkbookError(
        f'{place}: the job predicts no "{what[:40]}": {hint}give {", ".join(words)}, or the name of a result'
    )


def _figure(row: CsvRow, what: str, named: Mapping[str, ResultSpec]) -> Reading:
    result = _result(row.place, what, named)
    value = _value(row, what, limits_of(result), signs_of(result))
    return Reading(row.place, what, result.name, "", value, result.unit)
