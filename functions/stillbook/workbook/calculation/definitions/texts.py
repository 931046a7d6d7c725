"""Texts (OpenFormula, section 6.20; Microsoft, TEXTJOIN and CONCAT). A number among them is text of fifteen digits."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from decimal import ROUND_HALF_UP, Decimal
from typing import Any, Final

from stillbook.cells import exact_fifteen
from stillbook.workbook.calculation.definitions.cell_values import (
    Refused,
    Wrong,
    each,
    flat,
    guarded,
    number,
    number_in,
    pass_errors,
    text,
    truth,
    whole,
)
from stillbook.workbook.calculation.definitions.criteria import has_wildcards, wildcards
from stillbook.workbook.file.sheet import LONGEST_TEXT

_WORD: Final = re.compile(r"[^\W\d_]+")
_WORDS: Final = frozenset(["e", "am", "pm", "a", "p", "t", "usd", "eur", "gbp", "true", "false"])
_MONTHS: Final = frozenset(["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"])
_THOUSANDS: Final = re.compile(r"\s*[-+]?\d{1,3}(,\d{3})+(\.\d*)?%?\s*", re.ASCII)


def _signs(given: Any) -> str:
    """A value as text whose signs are counted.

    Raises:
        Refused: If a sign is one that some programs count as two.
    """
    found = text(given)
    if not found.isascii() and max(found) > "\uffff":
        raise Refused("signs such as pictographs count as one in some programs and as two in others: leave them out")
    return found


def _cased(given: Any, change: Callable[[str], str]) -> str:
    """A value as text in capitals or small letters.

    Raises:
        Refused: If a letter becomes several, which programs write each in their own way.
    """
    found = text(given)
    if not found.isascii() and any(len(change(sign)) > 1 for sign in found):
        raise Refused("letters such as ß become capitals or small ones in each program in its own way: leave them out")
    return change(found)


def _count(value: Any, least: int = 0) -> int:
    found = whole(value)
    if found < least:
        raise Wrong("Value")
    return found


def left(given: Any, count: Any = 1.0) -> str:
    return _signs(given)[: _count(count)]


def right(given: Any, count: Any = 1.0) -> str:
    found, size = _signs(given), _count(count)
    return found[max(0, len(found) - size) :] if size else ""


def middle(given: Any, start: Any, count: Any) -> str:
    first = _count(start, 1) - 1
    return _signs(given)[first : first + _count(count)]


def proper(given: Any) -> str:
    return re.sub(
        r"[^\W\d_]+", lambda word: _cased(word[0][:1], str.upper) + _cased(word[0][1:], str.lower), text(given)
    )


def substitute(given: Any, old: Any, new: Any, which: Any = None) -> str:
    found, sought, put = text(given), text(old), text(new)
    if not sought:
        return found
    if which is None:
        return found.replace(sought, put)
    pieces = found.split(sought)
    number_of = _count(which, 1)
    if number_of >= len(pieces):
        return found
    return sought.join(pieces[:number_of]) + put + sought.join(pieces[number_of:])


def replace(given: Any, start: Any, count: Any, new: Any) -> str:
    found, first = _signs(given), _count(start, 1) - 1
    return found[:first] + text(new) + found[first + _count(count) :]


def _start(found: str, start: Any) -> int:
    first = _count(start, 1) - 1
    if first > len(found):
        raise Wrong("Value")
    return first


def find(sought: Any, within: Any, start: Any = 1.0) -> float:
    found = _signs(within)
    at = found.find(text(sought), _start(found, start))
    if at < 0:
        raise Wrong("Value")
    return at + 1.0


def search(sought: Any, within: Any, start: Any = 1.0) -> float:
    found, wanted = _signs(within), text(sought)
    if has_wildcards(wanted):
        match = wildcards(wanted).search(found, _start(found, start))
    else:
        match = re.compile(re.escape(wanted), re.IGNORECASE).search(found, _start(found, start))
    if match is None:
        raise Wrong("Value")
    return match.start() + 1.0


def repeat(given: Any, count: Any) -> str:
    found = text(given)
    if len(found) * (times := _count(count)) > LONGEST_TEXT:
        raise Wrong("Value")
    return found * times


def character(given: Any) -> str:
    found = whole(given)
    if 1 <= found < 128:
        return chr(found)
    if 128 <= found < 256:
        raise Refused("CHAR above 127 differs between computers: use UNICHAR")
    raise Wrong("Value")


def code(given: Any) -> float:
    found = text(given)
    if not found:
        raise Wrong("Value")
    if ord(found[0]) > 127:
        raise Refused("CODE of a sign outside ASCII differs between computers: use UNICODE")
    return float(ord(found[0]))


def _words_of_amounts(given: str) -> bool:
    """Whether each word in a text can stand in a date, a time or an amount; with any other it is no number anywhere."""
    return all(word in _WORDS or word[:3] in _MONTHS for word in _WORD.findall(given.lower()))


def value_of(given: Any) -> float:
    if isinstance(given, str):
        if (found := number_in(given)) is not None:
            return found
        if _THOUSANDS.fullmatch(given):
            return number(given.replace(",", ""))
        if any(sign.isdigit() for sign in given) and _words_of_amounts(given):
            raise Refused(f'"{given[:40]}" may be read as a number, a date or an amount: write it in digits alone')
        raise Wrong("Value")
    if isinstance(given, bool):
        raise Wrong("Value")
    return number(given)


def fixed(given: Any, places: Any = 2.0, plain: Any = False) -> str:
    exact, digits = number(given), whole(places)
    if not math.isfinite(exact) or abs(digits) > 100:
        raise Wrong("Num")
    found = exact_fifteen(exact).quantize(Decimal(1).scaleb(-digits), rounding=ROUND_HALF_UP)
    shown = f"{found:.{max(digits, 0)}f}" if truth(plain) else f"{found:,.{max(digits, 0)}f}"
    return shown.removeprefix("-") if not found else shown


def concat(*values: Any) -> str:
    return _short("".join(_texts(values)))


def linked(address: Any, shown: Any = None) -> Any:
    """What the cell of a link shows: its words, or the address itself; nothing is opened."""
    return text(address) if shown is None else shown


def text_join(between: Any, skips: Any, *values: Any) -> str:
    if isinstance(between, list):
        raise Refused("TEXTJOIN with a list of separators is not calculated here: give one separator")
    found = _texts(values)
    return _short(text(between).join(one for one in found if one) if truth(skips) else text(between).join(found))


def _texts(values: tuple[Any, ...]) -> list[str]:
    return [text(one) for value in values for one in flat(value)]


def _short(found: str) -> str:
    if len(found) > LONGEST_TEXT:
        raise Wrong("Value")
    return found


def _errors_first(function: Any) -> Any:
    def call(*values: Any) -> Any:
        pass_errors(*(one for value in values for one in flat(value)))
        return function(*values)

    return guarded(call)


FUNCTIONS: Final = {
    "LEFT": each(left),
    "RIGHT": each(right),
    "MID": each(middle),
    "LEN": each(lambda given: float(len(_signs(given)))),
    "UPPER": each(lambda given: _cased(given, str.upper)),
    "LOWER": each(lambda given: _cased(given, str.lower)),
    "PROPER": each(proper),
    "TRIM": each(lambda given: re.sub(" +", " ", text(given).strip(" "))),
    "CLEAN": each(lambda given: "".join(sign for sign in text(given) if ord(sign) > 31)),
    "SUBSTITUTE": each(substitute),
    "REPLACE": each(replace),
    "FIND": each(find),
    "SEARCH": each(search),
    "REPT": each(repeat),
    "EXACT": each(lambda one, other: text(one) == text(other)),
    "CHAR": each(character),
    "CODE": each(code),
    "CONCATENATE": each(lambda *values: _short("".join(map(text, values)))),
    "VALUE": each(value_of),
    "FIXED": each(fixed),
    "HYPERLINK": each(linked),
    "CONCAT": _errors_first(concat),
    "TEXTJOIN": _errors_first(text_join),
}
