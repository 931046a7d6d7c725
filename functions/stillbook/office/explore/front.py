"""The front of best choices: what nothing else beats in all that counts; and three of it for a client."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

Goals = tuple[float, ...]
"""What a variant comes to in each goal, less is better."""


def front(goals: Sequence[Goals]) -> list[int]:
    """Places of those that no other beats: none is as good in each goal and better in one.

    >>> front([(3, 1), (2, 2), (3, 2), (1, 3)])
    [0, 1, 3]
    """
    if not goals:
        return []
    all_goals = np.asarray(goals, dtype=float)
    found = []
    for place, own in enumerate(all_goals):
        no_worse = (all_goals <= own).all(axis=1)
        if not (no_worse & (all_goals < own).any(axis=1)).any():
            found.append(place)
    return found


def least_of_each(goals: Sequence[Goals], goal: int) -> int:
    """The place of the best in one goal; of several the one that is best in the goals in their order.

    >>> least_of_each([(3, 1), (2, 1), (1, 3)], 1)
    1
    """
    return min(range(len(goals)), key=lambda place: (goals[place][goal], goals[place], place))


def best_value(goals: Sequence[Goals]) -> list[int]:
    """The places by value, best first: each goal is scaled from 0 at its best to 1 at its worst, and the sum counts.

    >>> best_value([(0, 10), (4, 1), (10, 0)])
    [1, 0, 2]
    """
    held = np.asarray(goals, dtype=float)
    span = held.max(axis=0) - held.min(axis=0)
    scaled = np.where(span > 0, (held - held.min(axis=0)) / np.where(span > 0, span, 1.0), 0.0).sum(axis=1)
    return sorted(range(len(goals)), key=lambda place: (round(float(scaled[place]), 12), goals[place], place))


def three(goals: Sequence[Goals]) -> list[int]:
    """Three of a front, or as many as it has: best in the first goal, best value, best in the last goal.

    Where one is two of them, the next best value takes the empty place.

    >>> three([(0, 10), (4, 1), (5, 2), (10, 0)])
    [0, 1, 3]
    """
    if not goals:
        return []
    ends = [least_of_each(goals, 0), least_of_each(goals, len(goals[0]) - 1)]
    middle = [place for place in best_value(goals) if place not in ends]
    shown = [ends[0], *middle[:1], ends[1]]
    shown = list(dict.fromkeys(shown))
    more = [place for place in middle if place not in shown]
    while len(shown) < 3 and more:
        shown.insert(1, more.pop(0))
    return shown
