"""Which variants are tried: all where they are few; else points spread over the space, then neighbours of the front.

The job as it stands comes first, or what is next to it. The spread points are Sobol's (a scrambled sequence with a
fixed seed); then, in rounds, each variant of the front found so far lends one of its choices, or two, to be changed.
While none passes every check, those with the fewest faults stand in for the front. The same space and budget give the
same variants in the same order.
"""

from __future__ import annotations

import itertools
from collections.abc import Generator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from stillbook.office.explore.front import Goals, front
from stillbook.office.explore.space import Point, Space

if TYPE_CHECKING:
    from numpy.random import Generator as Chance

SEED: Final = 1
ROUND: Final = 24
"""Neighbours tried before the front is found anew."""

_MOST_SPREAD: Final = 512
_TRIES: Final = 50
"""Draws for one new neighbour, before a spread point takes its place."""


@dataclass(frozen=True, slots=True)
class Judged:
    """What a search knows of a variant.

    Args:
        goals: What it comes to, less is better; None where a goal has no number.
        faults: How many checks and targets it fails.
    """

    goals: Goals | None
    faults: int


Search = Generator[list[Point], Sequence[Judged], None]
"""Yields the variants of a round, and is sent what became of each."""


def search(space: Space, most: int, start: Point | None = None) -> Search:
    """The variants to try, round by round.

    Args:
        space: What varies.
        most: How many may be tried.
        start: The variant that is tried first where not all are, so that its neighbours are known of.
    """
    if space.size <= most:
        everything = itertools.product(*(range(len(choice.options)) for choice in space.choices))
        for points in _in_rounds(everything):
            yield points
        return
    known: dict[Point, Judged] = {}
    spread = _spread(space)
    first = 1 << max(0, int(np.log2(max(1, min(most // 2, _MOST_SPREAD)))))
    chance = np.random.default_rng(SEED)
    points = _new(itertools.islice(spread, first), known)
    if start is not None:
        points = [start, *(point for point in points if point != start)][:first]
    while points:
        for place in range(0, len(points), ROUND):
            part = points[place : place + ROUND]
            known |= zip(part, (yield part), strict=True)
        wanted = min(ROUND, most - len(known))
        points = _neighbours(space, known, wanted, chance, spread) if wanted > 0 else []


def _in_rounds(points: itertools.product[Point]) -> Generator[list[Point], None, None]:
    while part := list(itertools.islice(points, ROUND)):
        yield part


def _spread(space: Space) -> Generator[Point, None, None]:
    """Points of Sobol's sequence, as the options that they fall on."""
    from scipy.stats import qmc

    sequence = qmc.Sobol(len(space.choices), seed=SEED)
    counts = [len(choice.options) for choice in space.choices]
    while True:
        for row in sequence.random(_MOST_SPREAD):
            yield tuple(min(int(share * count), count - 1) for share, count in zip(row, counts, strict=True))


def _new(points: itertools.islice[Point], known: dict[Point, Judged]) -> list[Point]:
    return [point for point in dict.fromkeys(points) if point not in known]


def _parents(known: dict[Point, Judged]) -> list[Point]:
    """The front so far; without one, the variants with the fewest faults."""
    standing = [(point, judged.goals) for point, judged in known.items() if not judged.faults and judged.goals]
    if standing:
        return [standing[place][0] for place in front([goals for _, goals in standing])]
    fewest = min(judged.faults for judged in known.values())
    return [point for point, judged in known.items() if judged.faults == fewest]


def _neighbours(
    space: Space, known: dict[Point, Judged], wanted: int, chance: Chance, spread: Generator[Point, None, None]
) -> list[Point]:
    parents = _parents(known)
    found: dict[Point, None] = {}
    while len(found) < wanted:
        point = next(
            (near for _ in range(_TRIES) if (near := _near(space, parents, chance)) not in known and near not in found),
            None,
        )
        while point is None or point in known or point in found:
            # All that is near was tried: the space is larger than the budget, so there is a point further off.
            point = next(spread)
        found[point] = None
    return list(found)


def _near(space: Space, parents: Sequence[Point], chance: Chance) -> Point:
    """A variant that differs from one of these in one choice, or in two."""
    point = list(parents[int(chance.integers(len(parents)))])
    for _ in range(1 + int(chance.integers(2))):
        place = int(chance.integers(len(space.choices)))
        choice = space.choices[place]
        count = len(choice.options)
        if choice.ordered and count > 2:
            point[place] = min(max(point[place] + (1 if chance.integers(2) else -1), 0), count - 1)
        elif count > 1:
            point[place] = (point[place] + 1 + int(chance.integers(count - 1))) % count
    return tuple(point)
