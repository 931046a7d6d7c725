"""Comparing and joining, which look at fifteen digits (Microsoft, Excel specifications: number precision)."""

from __future__ import annotations

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
    if ranks[0] == 0 and first != second:
        first, second = fifteen(first), fifteen(second)
    elif ranks[0] == 1:
        first, second = folded(first), folded(second)
    return int(first > second) - int(first < second)


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


def join(*values: Any) -> str:
    """The texts of the values, one after the other."""
    return "".join(map(text, values))


def add(sign: str, first: Any, second: Any) -> float:
    """A sum or difference, which is 0 where the two are alike in fifteen digits.

    >>> add("-", 0.1 + 0.2, 0.3)
    0.0
    """
    one, other = number(first), number(second) * (1 if sign == "+" else -1)
    return 0.0 if fifteen(one) == fifteen(-other) else one + other


FUNCTIONS: Final = {COMPARE: each(compare), JOIN: each(join), ADD: each(add)}
