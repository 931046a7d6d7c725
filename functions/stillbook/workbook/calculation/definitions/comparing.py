"""Comparing and joining, which look at fifteen digits (Microsoft, Excel specifications: number precision)."""

from __future__ import annotations

import math
import operator
import re
from collections.abc import Callable, Mapping
from typing import Any, Final

from stillbook.cells import fifteen
from stillbook.workbook.calculation.definitions.cell_values import Refused, each, folded, number, text

_ORDERED: Final = re.compile(r"[A-Za-z0-9 ]*").fullmatch

COMPARE: Final = "STILLCOMPARE"
"""A function of the engine's alone: an operator and the two values it compares."""

JOIN: Final = "STILLJOIN"
"""A function of the engine's alone: the values that ``&`` joins."""


ADD: Final = "STILLADD"
"""A function of the engine's alone: ``+`` or ``-`` and the two numbers between which it stands."""


def order(first: Any, second: Any) -> int:
    """-1, 0 or 1: numbers stand before texts and these before truth values; a blank is as the other's nothing.

    >>> order(0.1 + 0.2, 0.3), order("B", "a"), order(9.0, "a"), order(None, "")
    (0, 1, -1, 0)
    """
    first, second = _filled(first, second), _filled(second, first)
    ranks = _rank(first), _rank(second)
    if ranks[0] != ranks[1]:
        return -1 if ranks[0] < ranks[1] else 1
    if ranks[0] == 0 and first != second and _is_near(first, second):
        first, second = fifteen(first), fifteen(second)
    elif ranks[0] == 1:
        first, second = folded(first), folded(second)
    return int(first > second) - int(first < second)


def _is_near(first: float, second: float) -> bool:
    """Whether two numbers may be alike in fifteen digits; further apart they keep their order there."""
    return abs(first - second) <= abs(first) * 1e-13


def check_order(first: Any, second: Any) -> None:
    """Refuse two texts of which programs put now the one and now the other first."""
    if isinstance(first, str) and isinstance(second, str) and not (_ORDERED(first) and _ORDERED(second)):
        raise Refused(
            "which of two texts comes first differs between programs where they hold other signs than letters a to z "
            "and digits: compare numbers, or texts without such signs"
        )


def _rank(value: Any) -> int:
    return 2 if isinstance(value, bool) else 1 if isinstance(value, str) else 0


def _filled(value: Any, beside: Any) -> Any:
    if value is not None:
        return value
    return False if isinstance(beside, bool) else "" if isinstance(beside, str) else 0.0


_TESTS: Final[Mapping[str, Callable[[int, int], bool]]] = {
    "=": operator.eq,
    "<>": operator.ne,
    "<": operator.lt,
    "<=": operator.le,
    ">": operator.gt,
    ">=": operator.ge,
}


def compare(sign: str, first: Any, second: Any) -> bool:
    """What an operator says of two values.

    Raises:
        Refused: If two texts hold signs that programs put in different orders.
    """
    if sign not in ("=", "<>"):
        check_order(first, second)
    return _TESTS[sign](order(first, second), 0)


_compared: Final = each(compare)


def _compare_all(sign: str, first: Any, second: Any) -> Any:
    """The same of each value of a range; a short way for finite numbers that are equal or far apart, and for texts."""
    if type(first) is not list:
        if type(second) is list:
            return _compared(sign, first, second)
        return _compare_all(sign, [[first]], second)[0][0]
    if type(second) is float and math.isfinite(second):
        below, same, above = (_TESTS[sign](found, 0) for found in (-1, 0, 1))
        near = abs(second) * 1e-12

        def answer(value: Any) -> Any:
            if type(value) is float or value is None:
                apart = (value or 0.0) - second
                if apart == 0:
                    return same
                if near < abs(apart) < math.inf:
                    return above if apart > 0 else below
            return _compared(sign, value, second)

    elif type(second) is str and sign in ("=", "<>"):
        wanted, is_equal = folded(second), sign == "="

        def answer(value: Any) -> Any:
            if type(value) is str or value is None:
                return (folded(value or "") == wanted) is is_equal
            return _compared(sign, value, second)

    elif type(second) is list or len(first) * len(first[0]) > 1:
        return _compared(sign, first, second)
    else:
        return [[_compared(sign, first[0][0], second)]]
    return [[answer(value) for value in row] for row in first]


def join(*values: Any) -> str:
    """The texts of the values, one after the other."""
    return "".join(map(text, values))


def add(sign: str, first: Any, second: Any) -> float:
    """A sum or difference, which is 0 where the two are alike in fifteen digits.

    >>> add("-", 0.1 + 0.2, 0.3)
    0.0
    """
    one, other = number(first), number(second) * (1 if sign == "+" else -1)
    return 0.0 if _is_near(one, -other) and fifteen(one) == fifteen(-other) else one + other


def _quick_add(sign: str, first: Any, second: Any) -> float | None:
    """The same of two finite numbers that do not cancel."""
    if isinstance(first, float) and isinstance(second, float | bool):
        other = float(second) if sign == "+" else -float(second)
        if math.isfinite(found := first + other) and not _is_near(first, -other):
            return found
    return None


FUNCTIONS: Final = {COMPARE: _compare_all, JOIN: each(join), ADD: each(add, quick=_quick_add)}
