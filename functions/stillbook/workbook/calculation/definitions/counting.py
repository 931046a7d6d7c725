"""Counting into bins (OpenFormula FREQUENCY)."""

from __future__ import annotations

from bisect import bisect_left
from typing import Any, Final

from stillbook.workbook.calculation.definitions.cell_values import flat, guarded, pass_errors


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


FUNCTIONS: Final = {"FREQUENCY": guarded(frequency)}
