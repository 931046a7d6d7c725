"""Counting, counting into bins, and the sum of products (OpenFormula COUNT, FREQUENCY, SUMPRODUCT)."""

from __future__ import annotations

import math
from bisect import bisect_left
from typing import Any, Final

from stillbook.workbook.calculation.answers import kind_of, rows
from stillbook.workbook.calculation.definitions.cell_values import REFUSED, Refused, Wrong, flat, guarded, pass_errors


def frequency(data: Any, bins: Any) -> list[list[float]]:
    """How many numbers lie in each bin, up to and with its number, in the order in which the bins are given.

    The last row counts what is above all; of equal bins the first counts.
    """
    pass_errors(*flat(data), *flat(bins))
    limits = [value for value in flat(bins) if isinstance(value, float)]
    order = sorted(range(len(limits)), key=lambda place: limits[place])
    rising = [limits[place] for place in order]
    counts = [0.0] * (len(limits) + 1)
    for value in flat(data):
        if isinstance(value, float):
            at = bisect_left(rising, value)
            counts[order[at] if at < len(order) else at] += 1
    return [[count] for count in counts]


def sum_of_products(*factors: Any) -> float:
    """SUMPRODUCT: what stands in the same place of each range multiplied, and added up; text and blanks count as 0."""
    blocks = [rows(factor) for factor in factors]
    if len({(len(block), len(block[0])) for block in blocks}) > 1:
        raise Wrong("Value")
    columns = [flat(factor) for factor in factors]
    for column in columns:
        pass_errors(*column)
    if any(isinstance(value, bool) for column in columns for value in column):
        raise Refused("SUMPRODUCT counts TRUE as 1 in some programs and as 0 in others: multiply it by 1")
    total = 0.0
    for beside in zip(*columns, strict=True):
        if all(isinstance(value, float | int) for value in beside):
            total += math.prod(beside)
    return total


COUNTED: Final = "STILLCOUNTED"
"""A function of the engine's alone: a value that was worked out, as COUNT is given it."""


def counted(value: Any) -> Any:
    """A value, or several, without the errors, which COUNT passes over; what is refused stays an error."""
    if not isinstance(value, list):
        return value if kind_of(value) in ("", REFUSED) else [[""]]
    return [["" if cell is None or kind_of(cell) not in ("", REFUSED) else cell for cell in row] for row in value]


FUNCTIONS: Final = {"FREQUENCY": guarded(frequency), "SUMPRODUCT": guarded(sum_of_products), COUNTED: counted}
