"""What definitions share: values of cells as numbers, text and truth, errors on their way, each value of several."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from functools import lru_cache, wraps
from typing import Any, Final

from stillbook.cells import fifteen
from stillbook.workbook.calculation.answers import at, error, kind_of, rows

REFUSED: Final = "NImpl"
"""The engine's kind of error for what is not calculated here; no function of ours gives it otherwise."""

_NUMBER: Final = re.compile(r"\s*([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)(%?)\s*", re.ASCII)
MOST_VALUES: Final = 200_000
"""Values that one call may ask for."""


class Wrong(Exception):
    """An answer that is an error of the engine's kind."""

    def __init__(self, kind: str) -> None:
        super().__init__(kind)
        self.kind = kind


class Refused(Exception):
    """A question that has no answer proved right; the message says why and what to do."""


def number(value: Any) -> float:
    """A value as a number: a blank is 0, TRUE is 1, text of digits what it says.

    Raises:
        Wrong: If it is other text or an error.
    """
    if isinstance(value, float | int):
        return float(value)
    if value is None:
        return 0.0
    if isinstance(value, str):
        if (found := number_in(value)) is None:
            raise Wrong("Value")
        return found
    raise Wrong(kind_of(value) or "Value")


def number_in(text: str) -> float | None:
    """The number that a text of digits says; None for any other."""
    found = _NUMBER.fullmatch(text)
    return float(found[1]) / (100 if found[2] else 1) if found else None


def whole(value: Any) -> int:
    """A value as a whole number, cut towards zero."""
    found = number(value)
    if not math.isfinite(found):
        raise Wrong("Num")
    return int(fifteen(found))


def text(value: Any) -> str:
    """A value as text: a number in up to fifteen digits.

    >>> text(1 / 3), text(1e15), text(-0.0), text(1e-12)
    ('0.333333333333333', '1000000000000000', '0', '1E-12')

    Raises:
        Wrong: If it is an error.
        Refused: If it is a number so large that programs write it each in their own way.
    """
    if isinstance(value, str):
        return value
    if value is None:
        return ""
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, float | int) and math.isfinite(value):
        return _digits(float(value))
    raise Wrong(kind_of(value) or "Value")


def _digits(value: float) -> str:
    if value == 0:
        return "0"
    if abs(value) >= 1e16:
        raise Refused(
            "a number of more than sixteen figures is written by each program in its own way: write it as text"
        )
    if abs(value) < 1e-9:
        mantissa, _, exponent = f"{value:.14E}".partition("E")
        return f"{mantissa.rstrip('0').rstrip('.')}E{exponent[0]}{exponent[1:].lstrip('0').zfill(2)}"
    if abs(value) >= 1e16:
        raise Refused(
            "a number of more than sixteen figures is written by each program in its own way: write it as text"
        )
    value = fifteen(value)
    if value.is_integer():
        return f"{value:.0f}"
    return f"{value:.{max(0, 14 - math.floor(math.log10(abs(value))))}f}".rstrip("0").rstrip(".")


def truth(value: Any) -> bool:
    """A value as a condition."""
    if isinstance(value, str) and value.upper() in ("TRUE", "FALSE"):
        return value.upper() == "TRUE"
    if isinstance(value, str):
        raise Wrong("Value")
    return number(value) != 0


def flat(value: Any) -> list[Any]:
    """The values of a range, row by row."""
    return [item for row in rows(value) for item in row]


def pass_errors(*values: Any) -> None:
    """Make the first error among values the answer.

    Raises:
        Wrong: If there is one.
    """
    for value in values:
        if kind := kind_of(value):
            raise Wrong(kind)


def guarded(function: Callable[..., Any]) -> Callable[..., Any]:
    """A function whose :class:`Wrong` is an error value."""

    @wraps(function)
    def call(*values: Any) -> Any:
        try:
            answer = function(*values)
        except Wrong as wrong:
            return error(wrong.kind)
        except (OverflowError, ZeroDivisionError):
            return error("Num")
        if isinstance(answer, float | int) and not isinstance(answer, bool):
            return float(answer) if math.isfinite(answer) else error("Num")
        return answer

    return call


def each(
    function: Callable[..., Any],
    whole: Sequence[int] = (),
    *,
    passes_errors: bool = True,
    quick: Callable[..., Any] | None = None,
) -> Callable[..., Any]:
    """A function of single values that gives each value of a range its own answer.

    A row, a column or a single value repeats along the others; where one of several sizes ends, the rest is #N/A.

    Args:
        function: Takes single values.
        whole: Places of arguments that are ranges as wholes.
        passes_errors: Whether an error among the single values is the answer.
        quick: Gives the same answer for the most usual values in less time, and None for any others.
    """
    one = guarded(function)

    def answer(values: Sequence[Any]) -> Any:
        if quick is not None and (found := quick(*values)) is not None:
            return found
        if passes_errors:
            for place, value in enumerate(values):
                if place not in whole and (kind := kind_of(value)):
                    return error(kind)
        return one(*values)

    @wraps(function)
    def call(*values: Any) -> Any:
        blocks = {place: value for place, value in enumerate(values) if place not in whole and isinstance(value, list)}
        if not blocks:
            return answer(values)
        height = max(len(block) for block in blocks.values())
        width = max(len(block[0]) for block in blocks.values())
        if height * width > MOST_VALUES:
            raise Refused(f"it asks for more than {MOST_VALUES} values at once: shorten its ranges")
        given = list(values)
        out = []
        if all(len(block) == height and len(block[0]) == width for block in blocks.values()):
            places = list(blocks)
            for beside in zip(*blocks.values(), strict=True):
                line = []
                for asked in zip(*beside, strict=True):
                    for place, value in zip(places, asked, strict=True):
                        given[place] = value
                    line.append(answer(given))
                out.append(line)
            return out
        for row in range(height):
            line = []
            for column in range(width):
                for place, block in blocks.items():
                    given[place] = at(block, row, column)
                line.append(answer(given))
            out.append(line)
        return out

    return call


@lru_cache(maxsize=4096)
def folded(value: str) -> str:
    """A text without the difference of upper and lower case."""
    return value.upper().lower()
