"""Rounding of numbers at fifteen digits: three packs of 0.1 are 0.3, and no fourth is bought for the last binary digit.

By the definitions of OpenDocument 1.3 part 4 (OpenFormula).
"""

from __future__ import annotations

import math
from decimal import ROUND_DOWN, ROUND_HALF_UP, ROUND_UP, Decimal
from typing import Any, Final

from stillbook.cells import exact_fifteen, fifteen
from stillbook.workbook.calculation.definitions.cell_values import Refused, Wrong, each, number, whole


def _places(value: Any, places: Any, rounding: str) -> float:
    exact = number(value)
    if not math.isfinite(exact):
        raise Wrong("Num")
    digits = max(-400, min(400, whole(places)))
    given = exact_fifteen(exact)
    if digits >= -int(given.as_tuple().exponent):
        return float(given)
    # A step that is no power of ten the decimal module can hold leaves nothing, or everything.
    if digits < -(given.adjusted() + 1):
        return 0.0 if rounding != ROUND_UP or not given else math.copysign(10.0**-digits, exact)
    return float(given.quantize(Decimal(1).scaleb(-digits), rounding=rounding))


def rounded(value: Any, places: Any = 0) -> float:
    """ROUND: half away from zero."""
    return _places(value, places, ROUND_HALF_UP)


def rounded_up(value: Any, places: Any = 0) -> float:
    """ROUNDUP: away from zero."""
    return _places(value, places, ROUND_UP)


def rounded_down(value: Any, places: Any = 0) -> float:
    """ROUNDDOWN and TRUNC: towards zero."""
    return _places(value, places, ROUND_DOWN)


def integer(value: Any) -> float:
    """INT: the next whole number below."""
    return float(math.floor(fifteen(number(value))))


def _ratio(value: float, step: float) -> float:
    return fifteen(fifteen(value) / fifteen(step))


def _signs(value: Any, step: Any) -> tuple[float, float]:
    found, width = number(value), number(step)
    if found > 0 > width:
        raise Wrong("Num")
    return found, width


def ceiling(value: Any, step: Any) -> float:
    """CEILING: up to a multiple of the step; of two negative numbers away from zero."""
    found, width = _signs(value, step)
    return fifteen(math.ceil(_ratio(found, width)) * width) if width else 0.0


def floor(value: Any, step: Any) -> float:
    """FLOOR: down to a multiple of the step; of two negative numbers towards zero."""
    found, width = _signs(value, step)
    if not width and found:
        raise Wrong("Div")
    return fifteen(math.floor(_ratio(found, width)) * width) if width else 0.0


def multiple(value: Any, step: Any) -> float:
    """MROUND: the nearest multiple, half away from zero."""
    found, width = number(value), number(step)
    if found * width < 0:
        raise Wrong("Num")
    if width and not width.is_integer() and fifteen(_ratio(found, width) * 2) % 2 == 1:
        raise Refused("MROUND halfway between broken multiples differs between programs: use ROUND of the division")
    return fifteen(math.floor(fifteen(_ratio(found, width) + 0.5)) * width) if width else 0.0


def _to_even(value: Any, more: float) -> float:
    found = fifteen(number(value))
    size = math.ceil(fifteen((abs(found) - more) / 2)) * 2 + more
    return math.copysign(size, found) if found else more


def even(value: Any) -> float:
    """EVEN: away from zero to an even number."""
    return _to_even(value, 0.0)


def odd(value: Any) -> float:
    """ODD: away from zero to an odd number."""
    found = _to_even(value, 1.0)
    return math.copysign(max(1.0, abs(found)), found)


def remainder(value: Any, divisor: Any) -> float:
    """MOD: what is left of a division, with the sign of the divisor."""
    found, by = number(value), number(divisor)
    if by == 0:
        raise Wrong("Div")
    times = fifteen(found / by)
    return 0.0 if times.is_integer() else found - by * math.floor(times)


def quotient(value: Any, divisor: Any) -> float:
    """QUOTIENT: a division cut to a whole number."""
    if number(divisor) == 0:
        raise Wrong("Div")
    return float(math.trunc(_ratio(number(value), number(divisor))))


FUNCTIONS: Final = {
    "ROUNDUP": each(rounded_up),
    "ROUNDDOWN": each(rounded_down),
    "TRUNC": each(rounded_down),
    "INT": each(integer),
    "CEILING": each(ceiling),
    "FLOOR": each(floor),
    "MROUND": each(multiple),
    "EVEN": each(even),
    "ODD": each(odd),
    "MOD": each(remainder),
    "QUOTIENT": each(quotient),
}
