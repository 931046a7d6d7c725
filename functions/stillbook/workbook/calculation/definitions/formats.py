"""Numbers and days in the formats of cells (ECMA-376 part 1, 18.8.31), as TEXT shows them; others are refused."""

from __future__ import annotations

import datetime
import math
import re
from collections.abc import Callable
from decimal import ROUND_HALF_UP, Decimal
from typing import Any, Final

from stillbook.cells import exact_fifteen
from stillbook.workbook.calculation.definitions import dates
from stillbook.workbook.calculation.definitions.cell_values import Refused, Wrong, each, number, text

_TOKEN: Final = re.compile(r'"([^"]*)"|\\(.)|(AM/PM|A/P|y+|m+|d+|h+|s+)|(.)', re.IGNORECASE | re.DOTALL)
_DIGITS: Final = re.compile(r"(?P<whole>[#0,]*)(?:\.(?P<part>[0#]*))?")
_PLAIN: Final = " -+()/:$€£×·°²³%"
_MONTHS: Final = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
]
_DAYS: Final = ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"]
_LAST_DAY: Final = 2958465

Piece = tuple[str, str]
"""What a piece of a format is, ``text``, ``time`` or ``digit``, and its signs."""


def text_function(*, starts_1904: bool) -> Callable[..., Any]:
    """TEXT for a workbook that counts its days from 1900 or from 1904."""

    def shown(value: Any, pattern: Any) -> str:
        written = text(pattern)
        if isinstance(value, bool):
            return text(value)
        if isinstance(value, str):
            try:
                value = number(value)
            except Wrong:
                _pieces(written.split(";")[0] or "0")
                return str(value)
        return formatted(number(value), written, starts_1904=starts_1904)

    return each(shown)


def formatted(value: float, pattern: str, *, starts_1904: bool = False) -> str:
    """A number in a format.

    >>> formatted(1234.5, "#,##0.00"), formatted(-0.256, "0%;(0%)"), formatted(45322, "d mmm yyyy")
    ('1,234.50', '(26%)', '31 Jan 2024')

    Raises:
        Refused: If the format holds more than digits, days, times and fixed texts.
    """
    if not math.isfinite(value):
        raise Wrong("Num")
    if pattern.upper() == "GENERAL":
        return text(value)
    if not pattern:
        return ""
    sections = re.findall(r'((?:"[^"]*"|\\.|[^;])*)(?:;|$)', pattern)[: pattern.count(";") + 1]
    if len(sections) > 3:
        raise _unknown(pattern)
    pieces = [_pieces(section) for section in sections]
    if any(kind == "time" for kind, _ in pieces[0]):
        if len(sections) > 1 or any(sign not in ".0" and kind == "digit" for kind, sign in pieces[0]):
            raise _unknown(pattern)
        return _moment(value, pieces[0], starts_1904=starts_1904)
    return _number(value, pieces, pattern)


def _unknown(pattern: str) -> Refused:
    return Refused(f'TEXT with the format "{pattern[:40]}" is not calculated here: use digits, days and fixed texts')


def _pieces(section: str) -> list[Piece]:
    found: list[Piece] = []
    for quoted, escaped, time, sign in _TOKEN.findall(section):
        if time:
            found.append(("time", time.lower()))
        elif sign and sign in "#0,.":
            found.append(("digit", sign))
        elif sign and sign not in _PLAIN:
            raise _unknown(section)
        else:
            found.append(("text", quoted or escaped or sign))
    return found


def _number(value: float, sections: list[list[Piece]], pattern: str) -> str:
    chosen = 1 if value < 0 and len(sections) > 1 else 2 if value == 0 and len(sections) > 2 else 0
    pieces = sections[chosen]
    places = [at for at, (kind, _) in enumerate(pieces) if kind == "digit"]
    before = "".join(sign for _, sign in (pieces[: places[0]] if places else pieces))
    if not places:
        return ("-" if value < 0 and chosen == 0 else "") + before
    after = "".join(sign for _, sign in pieces[places[-1] + 1 :])
    inside = pieces[places[0] : places[-1] + 1]
    digits = _DIGITS.fullmatch("".join(sign for _, sign in inside))
    if digits is None or any(kind == "time" for kind, _ in pieces) or any(kind == "text" for kind, _ in inside):
        raise _unknown(pattern)
    percent = sum(sign.count("%") for kind, sign in pieces if kind == "text" and sign == "%")
    leading, part = digits["whole"], digits["part"] or ""
    thousands = len(leading) - len(leading.rstrip(","))
    leading = leading.rstrip(",")
    if re.search("0#", leading.replace(",", "")) or re.search("#0", part) or (thousands and digits["part"] is not None):
        raise _unknown(pattern)
    exact = exact_fifteen(abs(value)).scaleb(2 * percent - 3 * thousands)
    rounded = exact.quantize(Decimal(1).scaleb(-len(part)), rounding=ROUND_HALF_UP)
    whole, _, rest = f"{rounded:f}".partition(".")
    if part and not part.count("0") and not rest.strip("0"):
        raise Refused(f'TEXT of a whole number with "{pattern[:40]}" differs between programs: put a 0 after the point')
    rest = rest[: part.count("0")] + rest[part.count("0") :].rstrip("0")
    whole = ("" if whole == "0" else whole).zfill(leading.count("0")) if leading.count("0") or whole == "0" else whole
    if "," in leading:
        whole = re.sub(r"(?<=\d)(?=(\d{3})+$)", ",", whole)
    shown = whole + ("." if digits["part"] is not None else "") + rest
    sign = "-" if value < 0 and chosen == 0 and rounded else ""
    if chosen == 1 and not rounded:
        raise Refused(
            "TEXT of a negative number that its format rounds to zero differs between programs: round it first"
        )
    return sign + before + shown + after


def _moment(value: float, pieces: list[Piece], *, starts_1904: bool) -> str:
    if value < 0 or value > _LAST_DAY + 1:
        raise Wrong("Value")
    is_day = any((kind == "time" and sign[0] in "yd") or sign in ("mmm", "mmmm") for kind, sign in pieces)
    if not starts_1904 and value < dates.FIRST_DAY and is_day:
        raise Refused(dates.EARLY)
    signs = "".join(sign for kind, sign in pieces if kind == "digit")
    if signs:
        raise Refused("TEXT with parts of seconds is not calculated here: leave them out")
    exact = value * 86400
    seconds = round(exact)
    if abs(exact - seconds) > 0.001:
        if any(kind == "time" and sign[0] == "s" for kind, sign in pieces):
            raise Refused("TEXT of a time with part of a second differs between programs: round it to whole seconds")
        seconds = math.floor(exact)
    day, seconds = divmod(seconds, 86400)
    zero = datetime.datetime.combine(dates.SINCE_1904 if starts_1904 else dates.SINCE_1900, datetime.time())
    when = zero + datetime.timedelta(days=day, seconds=seconds)
    times = [(at, sign) for at, (kind, sign) in enumerate(pieces) if kind == "time"]
    noon = any(sign in ("am/pm", "a/p") for _, sign in times)
    shown = {at: sign for at, (kind, sign) in enumerate(pieces) if kind == "text"}
    for place, (at, sign) in enumerate(times):
        beside = (times[place - 1][1][0] if place else "", times[place + 1][1][0] if place + 1 < len(times) else "")
        is_minute = sign in ("m", "mm") and (beside[0] == "h" or beside[1] == "s")
        shown[at] = _part(when, sign, is_minute=is_minute, noon=noon)
    return "".join(shown[at] for at in sorted(shown))


def _part(when: datetime.datetime, sign: str, *, is_minute: bool, noon: bool) -> str:
    hour = (when.hour - 1) % 12 + 1 if noon else when.hour
    if is_minute:
        return f"{when.minute:0{len(sign)}d}"
    known = {
        "yy": f"{when.year % 100:02d}",
        "yyyy": f"{when.year}",
        "m": f"{when.month}",
        "mm": f"{when.month:02d}",
        "mmm": _MONTHS[when.month - 1][:3],
        "mmmm": _MONTHS[when.month - 1],
        "d": f"{when.day}",
        "dd": f"{when.day:02d}",
        "ddd": _DAYS[when.weekday()][:3],
        "dddd": _DAYS[when.weekday()],
        "h": f"{hour}",
        "hh": f"{hour:02d}",
        "s": f"{when.second}",
        "ss": f"{when.second:02d}",
        "am/pm": "AM" if when.hour < 12 else "PM",
    }
    if sign not in known:
        raise Refused(f'TEXT with "{sign}" in its format is not calculated here: use yyyy, mm, dd, hh and ss')
    return known[sign]
