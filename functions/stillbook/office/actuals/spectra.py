"""Spectra that were measured on both sides of a shell, and what they rate the finished room: NIC and DnT,w."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from stillbook.catalogue import call
from stillbook.cells import ErrorValue
from stillbook.workbook import WorkbookError

OUTSIDE, INSIDE, BACKGROUND, TIME = "level outside", "level inside", "background inside", "reverberation time"
SPECTRA: Final = (OUTSIDE, INSIDE, BACKGROUND, TIME)
"""What a spectrum is of, in the words that a person writes: levels, and the time in the room that receives."""

_ALL: Final = (100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500, 3150, 4000)
THIRDS: Final = tuple(map(str, _ALL))
"""Third octaves that may be measured [Hz]; an NIC takes those from 125 Hz on, a DnT,w those to 3150."""

_OCTAVES: Final = ("125", "250", "500", "1000", "2000")
"""Octaves that a DnT,w takes in place of third octaves [Hz]."""

NIC, DNTW = "NIC", "DnT,w"

Spectra = Mapping[str, Mapping[str, float]]
"""What was measured by what it is of and its band; a reverberation time of no band is that of all."""


def rated(measured: Spectra, place: str) -> dict[str, float]:
    """The ratings that the spectra allow by their names: NIC of ASTM E336, DnT,w of ISO 16283-1, or both.

    Args:
        measured: The spectra.
        place: What they were read from, in words.

    Raises:
        WorkbookError: If they allow neither, saying what either takes, or a rating refuses them.
    """
    found = {}
    in_octaves = {band for what in (OUTSIDE, INSIDE) for band in measured.get(what, {})} <= set(_OCTAVES)
    for name, bands, timed in ((NIC, THIRDS[1:], False), (DNTW, _OCTAVES if in_octaves else THIRDS[:-1], True)):
        if _lacking(measured, (OUTSIDE, INSIDE), bands) or (timed and TIME not in measured):
            continue
        times = [_row(measured, TIME, bands, place)] if timed else []
        background = [_row(measured, BACKGROUND, bands, place)] if BACKGROUND in measured else []
        levels = [_row(measured, what, bands, place) for what in (OUTSIDE, INSIDE)]
        answer = call(f"{name.replace(',', '').upper()}RATING", *levels, *times, *background)
        if isinstance(answer, ErrorValue):
            raise WorkbookError(f"{place}: {name}: {answer.reason}")
        found[name] = float(str(answer))
    if not found:
        raise WorkbookError(
            f"{place}: what is there of {', '.join(measured)} gives no rating: for {NIC} give {OUTSIDE} and {INSIDE} "
            f"in third octaves, 125 to 4000 Hz; for {DNTW} in third octaves, 100 to 3150 Hz, or in octaves, 125 to "
            f"2000 Hz, and {TIME}; or leave it out"
        )
    return found


def _lacking(measured: Spectra, of: Sequence[str], bands: Sequence[str]) -> list[str]:
    """The bands in which one of these was not measured."""
    return [band for band in bands if any(band not in measured.get(what, {}) for what in of)]


def _row(measured: Spectra, what: str, bands: Sequence[str], place: str) -> list[float]:
    """One spectrum in these bands, or its one figure for all of them.

    Raises:
        WorkbookError: If it is there in part.
    """
    known = measured[what]
    if "" in known:
        return [known[""]]
    if lacking := _lacking(measured, (what,), bands):
        raise WorkbookError(f"{place}: {what} is missing at {lacking[0]} Hz: give it in all bands of the levels")
    return [known[band] for band in bands]
