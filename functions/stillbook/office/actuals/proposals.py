"""What finished jobs say of the prices: costs, rates of work, and how far both strayed from the estimate."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Final

from stillbook.office.actuals.measured import Measured
from stillbook.office.actuals.store import PastLine

COST: Final = "unit cost"
RATE: Final = "done in an hour"
USED: Final = "used of the estimated"
HOURS: Final = "hours of the estimated"
"""What is proposed: two are figures of a price book, two are ratios that tell of waste and of ranges."""

_DIGITS: Final = 4


@dataclass(frozen=True, slots=True)
class Proposal:
    """A figure that finished jobs propose.

    Args:
        code: The code it is for.
        what: ``unit cost``, ``done in an hour``, ``used of the estimated`` or ``hours of the estimated``.
        unit: The unit of the code.
        likely: Over all jobs together: sum over sum.
        low: The lowest of one job.
        high: The highest of one job.
        jobs: How many jobs are behind it.
    """

    code: str
    what: str
    unit: str
    likely: float
    low: float
    high: float
    jobs: int


@dataclass(frozen=True, slots=True)
class Strayed:
    """How far measurements lay from their predictions.

    Args:
        what: What was measured.
        band: Its octave band; empty for one figure.
        unit: The unit.
        mean: Mean of measured less predicted: the office's bias.
        spread: Standard deviation of that over the jobs; None of a single one.
        jobs: How many were measured.
    """

    what: str
    band: str
    unit: str
    mean: float
    spread: float | None
    jobs: int


def proposals(lines: Iterable[PastLine], codes: Iterable[str] | None = None) -> list[Proposal]:
    """What lines of finished jobs propose, code by code; of some codes alone where they are given.

    A job counts where both of the figures that are divided were booked or estimated, and are more than nothing.
    """
    wanted = None if codes is None else {code.casefold() for code in codes}
    ordered = sorted(
        (line for line in lines if line.unit and (wanted is None or line.code.casefold() in wanted)), key=_sort
    )
    found: list[Proposal] = []
    for _, group in groupby(ordered, key=_sort):
        of = list(group)
        for what, over, under in _RATIOS:
            pairs = [(over(line), under(line)) for line in of]
            known = [(a, b) for a, b in pairs if a is not None and b is not None and a > 0 and b > 0]
            if known:
                each = [_short(a / b) for a, b in known]
                likely = _short(sum(a for a, _ in known) / sum(b for _, b in known))
                found.append(Proposal(of[0].code, what, of[0].unit, likely, min(each), max(each), len(known)))
    return found


def _sort(line: PastLine) -> tuple[str, str]:
    return line.code.casefold(), line.unit.casefold()


_Part = Callable[[PastLine], float | None]
_RATIOS: Final[Sequence[tuple[str, _Part, _Part]]] = (
    (COST, lambda line: line.booked_money, lambda line: line.booked_quantity),
    (RATE, lambda line: line.booked_quantity, lambda line: line.booked_hours),
    (USED, lambda line: line.booked_quantity, lambda line: line.quantity),
    (HOURS, lambda line: line.booked_hours, lambda line: line.hours),
)


def _short(value: float) -> float:
    """A figure with no more digits than finished jobs can tell."""
    return float(f"{value:.{_DIGITS}g}")


def strayed(measured: Iterable[Measured]) -> list[Strayed]:
    """How far the measurements lay from their predictions, each thing and band for itself."""
    by_thing: dict[tuple[str, str, str], list[float]] = {}
    for one in measured:
        by_thing.setdefault((one.what, one.band, one.unit), []).append(one.error)
    found = []
    for (what, band, unit), errors in by_thing.items():
        mean, count = sum(errors) / len(errors), len(errors)
        spread = math.sqrt(sum((error - mean) ** 2 for error in errors) / (count - 1)) if count > 1 else None
        found.append(Strayed(what, band, unit, mean, spread, count))
    return found
