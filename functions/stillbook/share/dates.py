"""What a date or time format shows of a moment: the parts it names, and of the others nothing."""

from __future__ import annotations

import datetime
import math
import re
from typing import Final

from stillbook.cells import fifteen

_EPOCHS: Final = {False: datetime.date(1899, 12, 30), True: datetime.date(1904, 1, 1)}
_FIRST_SURE_DAY: Final = 61
"""Before it, spreadsheets that count from 1900 number a day that never was."""

_LAST_DAY: Final = 2_958_465
_DAY: Final = 86_400
_YEARS: Final = range(2000, 2028)
"""Every weekday falls on every day of the year once in these, the 29th of February included."""


def shown_moment(value: float, signs: str, *, elapsed: str = "", starts_1904: bool = False) -> float:
    """The number of a moment that shows the same in a format, and holds nothing that the format leaves out.

    >>> shown_moment(46083.73519, "yyyy-mm-dd"), shown_moment(46083.5, "hh:mm")
    (46083.0, 0.5)
    >>> shown_moment(46083.0, "mmm yyyy")    # the first of March 2026
    46082.0

    Args:
        value: The moment as a spreadsheet counts it, in days.
        signs: The format's signs, without words and brackets.
        elapsed: The unit of a time that runs past a day, as in ``[h]``; empty without one.
        starts_1904: Whether days are counted from 1904.
    """
    if not 0 <= value < _LAST_DAY:
        return fifteen(value)
    date, time = _named(signs, elapsed)
    seconds = _seconds(value, time, signs)
    day, second = divmod(seconds, _DAY)
    if elapsed:
        return float(seconds / _DAY)
    shown_time = second / _DAY if time else 0.0
    if not date:
        return shown_time
    return _shown_day(int(day), date, starts_1904=starts_1904) + shown_time


def _named(signs: str, elapsed: str) -> tuple[set[str], set[str]]:
    """The parts of a date, and those of a time, that a format names; ``m`` is a minute beside hours or seconds."""
    date: set[str] = set()
    time: set[str] = {elapsed[0].lower()} if elapsed else set()
    runs = re.findall(r"AM/PM|A/P|([a-z])\1*", signs, re.IGNORECASE)
    spelled = [match[0].lower() for match in re.finditer(r"AM/PM|A/P|([a-z])\1*", signs, re.IGNORECASE)]
    for place, run in enumerate(spelled[: len(runs)]):
        kind = run[0]
        if kind == "a" or kind in "hs":
            time.add("h" if kind == "a" else kind)
        elif kind == "m" and len(run) <= 2 and _is_minute(spelled, place, elapsed):
            time.add("n")
        elif kind == "d" and len(run) > 2:
            date.add("w")
        elif kind in "ybeg":
            date.add("y")
        elif kind in "md":
            date.add(kind)
    if "m" in time:
        time = (time - {"m"}) | {"n"}
    return date, time


def _is_minute(runs: list[str], place: int, elapsed: str) -> bool:
    before = runs[place - 1][0] if place else elapsed[:1].lower()
    after = runs[place + 1][0] if place + 1 < len(runs) else ""
    return before == "h" or after == "s"


def _seconds(value: float, time: set[str], signs: str) -> float:
    """The moment in seconds, down to the smallest part that is named."""
    if not time:
        return math.floor(value) * float(_DAY)
    parts = len(found[1]) if (found := re.search(r"s\.(0+)", signs, re.IGNORECASE)) else 0
    exact = round(value * _DAY, 4)
    if "s" in time:
        return float(math.floor(exact * 10**parts + 0.5) / 10**parts)
    unit = 60 if "n" in time else 3600
    return float(exact // unit * unit)


def _shown_day(day: int, named: set[str], *, starts_1904: bool) -> float:
    if {"y", "m", "d"} <= named or (day < _FIRST_SURE_DAY and not starts_1904):
        return float(day)
    epoch = _EPOCHS[starts_1904]
    was = epoch + datetime.timedelta(days=day)
    years = [was.year] if "y" in named else [*_YEARS]
    months = [was.month] if "m" in named else [*range(1, 13)]
    days = [was.day] if "d" in named else [*range(1, 32)]
    for year in years:
        for month in months:
            for number in days:
                try:
                    found = datetime.date(year, month, number)
                except ValueError:
                    continue
                if "w" not in named or found.weekday() == was.weekday():
                    return float((found - epoch).days)
    return float(day)
