"""What a person should be told of bids beside each other: far from our cost, with exclusions, filled in.

The workbook of a comparison shows all of it in its columns; here it becomes sentences.
"""

from __future__ import annotations

import re
import statistics
from collections.abc import Iterator, Mapping
from typing import Final

FAR_APART: Final = 1.0
"""Highest over lowest less one from which the middle of prices says little (common practice, no source)."""

_LEAVES_OUT: Final = re.compile(
    r"\b(exclu|not incl|without|except|excl\b|omit|by others|not in(?:\s|$))", re.IGNORECASE
)

Sentence = tuple[int, str, str]
"""Number of the line, or 0 for the bid as a whole; what it is in a word; the sentence."""


def on_sum(alike: float, our_cost: float, far: float) -> Iterator[Sentence]:
    """Whether a bid, made alike in scope, is far from our cost.

    >>> list(on_sum(4500.0, 10000.0, 0.3))
    [(0, 'far', 'alike in scope it is 55 % under our cost: ask what it leaves out before anything else')]
    """
    if our_cost > 0 and abs(alike / our_cost - 1) > far:
        side = "under" if alike < our_cost else "over"
        share = abs(alike / our_cost - 1)
        ask = "ask what it leaves out before anything else" if side == "under" else "ask what else it holds"
        yield 0, "far", f"alike in scope it is {100 * share:.0f} % {side} our cost: {ask}"


def on_remarks(remarks: str) -> Iterator[Sentence]:
    """What a bid remarks, which no sum holds.

    >>> list(on_remarks("Wiring excluded."))
    [(0, 'remarks', 'it leaves something out in its remarks: "Wiring excluded."')]
    """
    text = " ".join(remarks.split())
    if text:
        said = "it leaves something out in its remarks" if _LEAVES_OUT.search(text) else "it remarks"
        yield 0, "remarks", f'{said}: "{text[:300]}"'


def on_filled(missing: Mapping[int, tuple[str, float, tuple[float, ...]]]) -> Iterator[Sentence]:
    """What lines without a price were filled in with, by number: what the line is, the price, and the others' prices.

    >>> list(on_filled({4: ("Seals", 500.0, (100.0, 900.0))}))[0][2]
    'Seals is filled in at 500.00, from 2 prices between 100.00 and 900.00: they lie too far apart to stand for it'
    >>> list(on_filled({4: ("Seals", 90.0, (90.0,))}))[0][2]
    'Seals is filled in at 90.00, the only price there is: one price is no middle'
    """
    for line, (text, price, others) in missing.items():
        filled = f"{text} is filled in at {price:,.2f}"
        prices = [other for other in others if other > 0]
        if not prices:
            yield line, "filled in", f"{filled}, our own cost: nobody else prices it"
        elif len(prices) == 1:
            yield line, "filled in", f"{filled}, the only price there is: one price is no middle"
        elif max(prices) / min(prices) - 1 > FAR_APART:
            between = f"{len(prices)} prices between {min(prices):,.2f} and {max(prices):,.2f}"
            yield line, "filled in", f"{filled}, from {between}: they lie too far apart to stand for it"
        else:
            yield line, "filled in", f"{filled}, from {len(prices)} prices round {statistics.median(prices):,.2f}"
