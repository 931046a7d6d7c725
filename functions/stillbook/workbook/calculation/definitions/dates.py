"""Days and times (OpenFormula 6.10), counted from 1900 or from 1904.

Spreadsheet programs number the days before March 1900 each in its own way, since one of them keeps a leap day that the
calendar has not, and read years before 1900 as other years: both are refused.
"""

from __future__ import annotations

import datetime
import math
from calendar import monthrange
from collections.abc import Callable, Mapping
from typing import Any, Final

from stillbook.workbook.calculation.definitions.cell_values import Refused, Wrong, each, number, whole

SINCE_1900: Final = datetime.date(1899, 12, 30)
"""Day 0 of a workbook that counts from 1900, from March 1900 on."""

SINCE_1904: Final = datetime.date(1904, 1, 1)

FIRST_DAY: Final = 61
"""1 March 1900, from which day all programs number the days alike."""

EARLY: Final = "days before March 1900 differ between spreadsheet programs: give a later day"
_EARLY_YEAR: Final = "years before 1900 are read as others by spreadsheet programs: give a year from 1900 on"
_LAST: Final = datetime.date(9999, 12, 31)
_MOST_PART: Final = 32_767
_DAY: Final = 86_400
_NOISE: Final = 1e-5
"""What the last binary digits of a day and its time come to at most, in seconds."""

_WEEKS: Final = {1: (6, 1), 2: (0, 1), 3: (0, 0)} | {11 + day: (day, 1) for day in range(7)}
"""The first day of the week, Monday as 0, and its number, by the second argument of WEEKDAY."""


def date_functions(*, starts_1904: bool) -> Mapping[str, Callable[..., Any]]:
    """The functions of days for a workbook that counts from 1900 or from 1904, by name."""
    zero = SINCE_1904 if starts_1904 else SINCE_1900

    def day_of(value: Any) -> datetime.date:
        count = whole(value)
        if count < 0 or count > (_LAST - zero).days:
            raise Wrong("Num")
        if not starts_1904 and count < FIRST_DAY:
            raise Refused(EARLY)
        return zero + datetime.timedelta(days=count)

    def count_of(months: int, days: int) -> float:
        """The number of a day, from months since the year 0 and a day of the month that may run over."""
        year, month = divmod(months, 12)
        if not 1 <= year <= 9999:
            raise Wrong("Num")
        first = (datetime.date(year, month + 1, 1) - zero).days
        count = first + days - 1
        if count > (_LAST - zero).days or (starts_1904 and count < 0):
            raise Wrong("Num")
        if not starts_1904 and min(first, count) < FIRST_DAY:
            raise Refused(EARLY)
        return float(count)

    def date(year: Any, month: Any, day: Any) -> float:
        years, months, days = whole(year), _part(month), _part(day)
        if not 0 <= years <= 9999:
            raise Wrong("Num")
        if years < 1900:
            raise Refused(_EARLY_YEAR)
        return count_of(years * 12 + months - 1, days)

    def moved(start: Any, months: Any, *, to_end: bool) -> float:
        day, by = day_of(start), whole(months)
        target = day.year * 12 + day.month - 1 + by
        year, month = divmod(target, 12)
        if not 1 <= year <= 9999:
            raise Wrong("Num")
        last = monthrange(year, month + 1)[1]
        return count_of(target, last if to_end else min(day.day, last))

    def weekday(value: Any, kind: Any = 1.0) -> float:
        """The day of the week, which all programs count alike from day 0 on."""
        count, way = whole(value), whole(kind)
        if count < 0 or count > (_LAST - zero).days or way not in _WEEKS:
            raise Wrong("Num")
        first, least = _WEEKS[way]
        return float(((zero + datetime.timedelta(days=count)).weekday() - first) % 7 + least)

    return {
        "WEEKDAY": each(weekday),
        "YEAR": each(lambda value: float(day_of(value).year)),
        "MONTH": each(lambda value: float(day_of(value).month)),
        "DAY": each(lambda value: float(day_of(value).day)),
        "DATE": each(date),
        "EDATE": each(lambda start, months: moved(start, months, to_end=False)),
        "EOMONTH": each(lambda start, months: moved(start, months, to_end=True)),
        "TIME": each(time),
        "HOUR": each(lambda value: _clock(value, 3600) // 3600 % 24),
        "MINUTE": each(lambda value: _clock(value, 60) // 60 % 60),
        "SECOND": each(lambda value: _clock(value, 1) % 60),
    }


def _part(value: Any) -> int:
    """A count of months, days, hours, minutes or seconds."""
    found = whole(value)
    if abs(found) > _MOST_PART:
        raise Wrong("Num")
    if number(value) < 0 and number(value) != found:
        raise Refused("programs cut a negative count of months, days or hours each in its own way: give a whole number")
    return found


def time(hour: Any, minute: Any, second: Any) -> float:
    """TIME: the share of a day; what runs over a day is left out, and less than nothing is an error."""
    if any(number(part) % 1 for part in (hour, minute, second)):
        raise Refused(
            "parts of an hour, minute or second are left out by one program and kept by another: give whole ones"
        )
    seconds = _part(hour) * 3600 + _part(minute) * 60 + _part(second)
    if seconds < 0:
        raise Wrong("Num")
    return seconds % _DAY / _DAY


def _clock(value: Any, step: int) -> float:
    """The whole seconds of a time of day, to the nearest one.

    Raises:
        Refused: If a program that cuts parts of a second off would be in another minute or hour, by the step.
    """
    found = number(value)
    if not 0 <= found < (_LAST - SINCE_1900).days + 1:
        raise Wrong("Num")
    exact = (found - math.floor(found)) * _DAY
    seconds = math.floor(exact + 0.5)
    if seconds - exact > _NOISE and step > 1 and seconds % step == 0:
        raise Refused("a time with part of a second differs between programs: round it to whole seconds")
    return float(seconds)


LIFTING: Final = ("YEAR", "MONTH", "DAY", "DATE", "WEEKDAY", "HOUR", "MINUTE", "SECOND")
"""Those that give each of many values its own answer."""
