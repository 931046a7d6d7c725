"""Pricing: a cost as a range, from the low, likely and high of its lines and how the lines of a trade move together."""

from __future__ import annotations

from bisect import bisect_left
from functools import cache, lru_cache
from statistics import NormalDist
from typing import Annotated, Final

import numpy as np
import numpy.typing as npt

from stillbook.cells import NotUnderstood, OutOfRange
from stillbook.formula import formula
from stillbook.quantities import MONEY, SHARE
from stillbook.readers import Choice, Floats, Labels, Quantity, Vector
from stillbook.results import Number, Numbers, SideBySide

SHAPES: Final = ("triangular", "PERT")

_SAMPLES: Final = 8192
_SEED: Final = 20260302
_ORDERS: Final = 24
"""Hermite polynomials that describe how the cost of a line goes with a normal variable."""

_PLACES: Final = 2048
"""Parts of the range of a line within which its PERT chances are taken straight."""

_PARTS: Final = 2**40
"""Parts of a correlation between 0 and 1 that are told apart."""

Array = npt.NDArray[np.float64]
AMOUNT: Final = Quantity(MONEY, least=0, most=1e12)
Cost = Annotated[Floats, AMOUNT]
Costs = Annotated[Array, Vector(AMOUNT)]
Trades = Annotated[tuple[str, ...] | None, Labels()]
Correlation = Annotated[float, Quantity(SHARE, least=0, most=1)]
Shape = Annotated[str, Choice(*SHAPES)]

_RANGES_SOURCE: Final = (
    "Moments of the triangular distribution and of the beta distribution that PERT takes, and of a sum of correlated "
    "terms: textbooks of probability"
)


# --- one line ---------------------------------------------------------------------------------------------------------


def _mean(low: Floats, likely: Floats, high: Floats, shape: str) -> Floats:
    return (low + likely + high) / 3 if shape == "triangular" else (low + 4 * likely + high) / 6


def _deviation(low: Floats, likely: Floats, high: Floats, shape: str) -> Floats:
    """The standard deviation, worked out from the width so that a narrow range of large figures keeps its digits."""
    below, above = np.subtract(likely, low), np.subtract(high, likely)
    if shape == "triangular":
        variance = (below**2 + below * above + above**2) / 18
    else:
        variance = (5 * below + above) * (below + 5 * above) / 252
    return np.asarray(np.sqrt(variance))


@formula(
    "EXPECTEDCOST",
    family="Taking off and pricing",
    summary="Mean of a cost of which the low, the likely and the high are known",
    example=("STILL_EXPECTEDCOST(900,1000,1400)", 1100.0),
    source="Mean of the triangular distribution, and of the PERT estimate",
    no_answer="the likely cost does not lie between the low and the high",
)
def expected_cost(low: Cost, likely: Cost, high: Cost, shape: Shape = "triangular") -> Annotated[Floats, Number(MONEY)]:
    """Give the mean of a cost: (a + m + b) / 3 for the triangular shape, (a + 4 m + b) / 6 for PERT.

    Most ranges reach further up than down, so that the mean lies over the likely cost: a sum of likely costs is too
    low before anything went wrong.

    Args:
        low: Low cost a, which is hardly ever undercut.
        likely: Likeliest cost m.
        high: High cost b, which is hardly ever exceeded.
        shape: How the chances lie between them.

    >>> round(float(expected_cost(900, 1000, 1400, "PERT")), 9)
    1050.0
    """
    return np.where(_in_order(low, likely, high), _mean(low, likely, high, shape), np.nan)


@formula(
    "COSTDEVIATION",
    family="Taking off and pricing",
    summary="Standard deviation of a cost of which the low, the likely and the high are known",
    example=("STILL_COSTDEVIATION(900,1000,1400)", 108.012344973464),
    source="Standard deviation of the triangular distribution, and of the beta distribution that PERT takes",
    no_answer="the likely cost does not lie between the low and the high",
)
def cost_deviation(
    low: Cost, likely: Cost, high: Cost, shape: Shape = "triangular"
) -> Annotated[Floats, Number(MONEY)]:
    """Give the standard deviation of a cost.

    σ = √[(a² + m² + b² - a m - a b - m b) / 18] for the triangular shape, σ = √[(μ - a) (b - μ) / 7] for PERT with its
    mean μ. The rule (b - a) / 6, often printed for PERT, is that of a symmetrical range, and a little less for others.

    Args:
        low: Low cost a, which is hardly ever undercut.
        likely: Likeliest cost m.
        high: High cost b, which is hardly ever exceeded.
        shape: How the chances lie between them.

    >>> round(float(cost_deviation(900, 1000, 1400, "PERT")), 2)
    86.6
    """
    good = _in_order(low, likely, high)
    return np.where(good, _deviation(np.where(good, low, likely), likely, np.where(good, high, likely), shape), np.nan)


def _in_order(low: Floats, likely: Floats, high: Floats) -> npt.NDArray[np.bool_]:
    return (np.asarray(low) <= likely) & (np.asarray(likely) <= high)


# --- a sum of lines ---------------------------------------------------------------------------------------------------


@formula(
    "COSTSUM",
    family="Taking off and pricing",
    summary="Mean of the sum of some lines of cost, and beside it its standard deviation",
    example=(
        "STILL_COSTSUM({900;4000;1800},{1000;5000;2000},{1400;8000;2600},0.3)",
        (8900.0, 956.836083669443),
    ),
    source=_RANGES_SOURCE,
    vectorised=False,
)
def cost_sum(
    low: Costs,
    likely: Costs,
    high: Costs,
    correlation: Correlation,
    trades: Trades = None,
    shape: Shape = "triangular",
) -> Annotated[tuple[float, float], SideBySide(("Mean", MONEY), ("Standard deviation", MONEY))]:
    """Give the mean and the standard deviation of the sum of some lines, by moments.

    μ = Σ μᵢ and σ² = Σ σᵢ² + 2 ρ Σ σᵢ σⱼ over the pairs of lines of one trade. Lines of different trades are taken as
    independent: what moves all trades at once, such as a year's rise of prices, is not in it.

    Args:
        low: Low cost of each line.
        likely: Likeliest cost of each line.
        high: High cost of each line.
        correlation: Correlation ρ between two lines of one trade, 0 where they have nothing to do with each other.
        trades: Trade of each line; all lines are of one trade when left out.
        shape: How the chances lie between low and high.

    Raises:
        OutOfRange: If a likely cost does not lie between its low and its high.
        NotUnderstood: If the ranges have not the same number of lines.
    """
    of = _groups(low, likely, high, trades)
    deviations = np.asarray(_deviation(low, likely, high, shape))
    variance = float(np.sum(deviations * _beside(deviations, of, correlation)))
    return float(np.sum(_mean(low, likely, high, shape))), float(np.sqrt(variance))


@formula(
    "COSTDRIVERS",
    family="Taking off and pricing",
    summary="Share of the spread of a sum that each of its lines brings",
    example=(
        "STILL_COSTDRIVERS({900,4000,1800},{1000,5000,2000},{1400,8000,2600},0.3)",
        (0.0488371015179176, 0.866261973818, 0.0849009246640826),
    ),
    source=_RANGES_SOURCE,
    vectorised=False,
)
def cost_drivers(
    low: Costs,
    likely: Costs,
    high: Costs,
    correlation: Correlation,
    trades: Trades = None,
    shape: Shape = "triangular",
) -> Annotated[Array, Numbers(SHARE)]:
    """Give the share of the variance of a sum that comes from each line; the shares add up to 1.

    cov(xᵢ, Σ x) / σ² = σᵢ [σᵢ + ρ Σ σⱼ] / σ² over the other lines j of the same trade.

    The lines with the largest shares are those where a firm bid or a measurement narrows the price most.

    Args:
        low: Low cost of each line.
        likely: Likeliest cost of each line.
        high: High cost of each line.
        correlation: Correlation ρ between two lines of one trade.
        trades: Trade of each line; all lines are of one trade when left out.
        shape: How the chances lie between low and high.

    Raises:
        OutOfRange: If no line has a range, or a likely cost does not lie between its low and its high.
        NotUnderstood: If the ranges have not the same number of lines.
    """
    of = _groups(low, likely, high, trades)
    deviations = np.asarray(_deviation(low, likely, high, shape))
    brought = deviations * _beside(deviations, of, correlation)
    if not brought.any():
        raise OutOfRange("no line has a range: give a low below its high")
    shares: Array = brought / brought.sum()
    return shares


@formula(
    "COSTATCONFIDENCE",
    family="Taking off and pricing",
    summary="Cost that the sum of some lines stays under with a given confidence: P50, P80",
    example=(
        "STILL_COSTATCONFIDENCE(0.8,{900;4000;1800},{1000;5000;2000},{1400;8000;2600},0.3)",
        9771.78483539417,
    ),
    source="Sampling of correlated triangular or PERT distributions by a normal copula: textbooks of probability",
)
def cost_at_confidence(
    confidence: Annotated[Floats, Quantity(SHARE, least=0.01, most=0.99)],
    low: Costs,
    likely: Costs,
    high: Costs,
    correlation: Correlation,
    trades: Trades = None,
    shape: Shape = "triangular",
) -> Annotated[Floats, Number(MONEY)]:
    """Give the cost that the sum of some lines does not exceed with a given confidence.

    The lines are drawn 8192 times from a fixed seed, so that the same lines give the same cost again. Those of one
    trade move together: their costs follow the order of correlated normal variables (a normal copula), with which the
    standard deviation of the sum is that of STILL_COSTSUM. Between 5 and 95 % the answer is known to about 2 % of that
    standard deviation.

    It is no more than the ranges say. What nobody thought of is not in it, nor what moves all trades at once. The
    association of cost engineers no longer recommends estimating by ranges as a practice of its own: read it beside
    the prices of finished jobs.

    Args:
        confidence: Share of jobs that cost no more, as 0.8 or 80%.
        low: Low cost of each line.
        likely: Likeliest cost of each line.
        high: High cost of each line.
        correlation: Correlation between two lines of one trade, 0 where they have nothing to do with each other.
        trades: Trade of each line; all lines are of one trade when left out.
        shape: How the chances lie between low and high.

    Raises:
        OutOfRange: If a likely cost does not lie between its low and its high.
        NotUnderstood: If the ranges have not the same number of lines.
    """
    return np.quantile(sums_drawn(low, likely, high, correlation, trades, shape), confidence)


def _groups(low: Array, likely: Array, high: Array, trades: tuple[str, ...] | None) -> tuple[str, ...]:
    """The trade of each line, once the lines are found fit."""
    words = trades if trades is not None else ("",) * len(low)
    if not len(low) == len(likely) == len(high) == len(words):
        raise NotUnderstood(
            f"low has {len(low)} lines, likely {len(likely)}, high {len(high)}, trades {len(words)}: "
            "give ranges of one size"
        )
    good = _in_order(low, likely, high)
    if not good.all():
        first = int(np.argmin(good))
        raise OutOfRange(f"line {first + 1}: its likely cost does not lie between its low and its high")
    return tuple(" ".join(word.lower().split()) for word in words)


def _beside(deviations: Array, trades: tuple[str, ...], correlation: float) -> Array:
    """For each line, its deviation and by the correlation those of the other lines of its trade."""
    names, place = np.unique(trades, return_inverse=True)
    sums = np.bincount(place, weights=deviations, minlength=len(names))
    return np.asarray((1 - correlation) * deviations + correlation * sums[place])


# --- sampling ---------------------------------------------------------------------------------------------------------


def sums_drawn(
    low: Array, likely: Array, high: Array, correlation: float, trades: tuple[str, ...] | None, shape: str
) -> Array:
    """Sums of some lines, one for each time that they are drawn."""
    of = _groups(low, likely, high, trades)
    return _drawn(low.tobytes(), likely.tobytes(), high.tobytes(), correlation, of, shape)


@lru_cache(maxsize=16)
def _drawn(low: bytes, likely: bytes, high: bytes, correlation: float, trades: tuple[str, ...], shape: str) -> Array:
    """Sums of the lines in the order drawn."""
    lines = np.vstack([np.frombuffer(values) for values in (low, likely, high)])
    total = np.zeros(_SAMPLES)
    for trade in dict.fromkeys(trades):
        members = lines[:, [name == trade for name in trades]]
        moving = members[:, members[2] > members[0]]
        total += members.sum(axis=1)[1] - moving.sum(axis=1)[1]
        if moving.shape[1]:
            total += _trade_drawn(moving, correlation, shape, trade)
    return total


def _trade_drawn(lines: Array, correlation: float, shape: str, trade: str) -> Array:
    """Sums of the lines of one trade, whose costs follow the order of a common and an own normal variable of each."""
    costs = np.stack([_quantiles(line, shape) for line in lines.T])
    together = _coupling(costs, lines, correlation, shape)
    common, *own = _normals(trade, 1 + len(costs))
    total = np.zeros(_SAMPLES)
    for rising, alone in zip(costs, own, strict=True):
        total[np.argsort(np.sqrt(together) * common + np.sqrt(1 - together) * alone)] += rising
    return total


@lru_cache(maxsize=32)
def _normals(trade: str, count: int) -> tuple[Array, ...]:
    """Normal variables of a trade's own, so that a line more in one trade leaves the draws of the others.

    Each holds one value from each of as many strata of equal chance, in an order of chance.
    """
    chance = np.random.default_rng([_SEED, *trade.encode()])
    return tuple(_strata()[np.argsort(chance.random(_SAMPLES))] for _ in range(count))


@cache
def _strata() -> Array:
    """A normal variable in the middle of each stratum."""
    normal = NormalDist()
    return np.array([normal.inv_cdf(chance) for chance in _chances()])


def _chances() -> Array:
    return (np.arange(_SAMPLES) + 0.5) / _SAMPLES


def _coupling(costs: Array, lines: Array, correlation: float, shape: str) -> float:
    """The correlation of the normal variables that gives the sum of the lines the variance of its moments.

    Each line is a series of Hermite polynomials of its normal variable, h₁, h₂, …; with a correlation r of these the
    covariance of two lines is Σ hₖ hₖ' rᵏ, which rises with r.
    """
    if correlation in (0, 1) or len(costs) == 1:
        return correlation
    series = np.stack([(costs * polynomial).sum(axis=1) for polynomial in _hermite()], axis=1) / _SAMPLES
    pairs = series.sum(axis=0) ** 2 - (series**2).sum(axis=0)
    deviations = np.asarray(_deviation(lines[0], lines[1], lines[2], shape))
    wanted = correlation * (deviations.sum() ** 2 - (deviations**2).sum())
    powers = np.arange(1, _ORDERS + 1)
    # Loading the root finding of SciPy takes longer than calculating a whole estimate.
    return (
        bisect_left(range(_PARTS), wanted, key=lambda part: float(np.sum(pairs * (part / _PARTS) ** powers))) / _PARTS
    )


@cache
def _hermite() -> Array:
    """Normalised Hermite polynomials from the first on at each stratum, a row for each."""
    z = _strata()
    polynomials = [np.ones_like(z), z]
    for order in range(2, _ORDERS + 1):
        polynomials.append((z * polynomials[-1] - np.sqrt(order - 1) * polynomials[-2]) / np.sqrt(order))
    return np.stack(polynomials[1:])


def _quantiles(line: Array, shape: str) -> Array:
    """The costs of a line, as its low, likely and high, in the middle of each stratum of chance."""
    low, likely, high = line
    width, chances = high - low, _chances()
    if shape == "PERT":
        return np.asarray(low + width * _pert_quantiles(4 * (likely - low) / width, 4 * (high - likely) / width))
    rising, falling = likely - low, high - likely
    below = low + np.sqrt(chances * width * rising)
    above = high - np.sqrt((1 - chances) * width * falling)
    return np.asarray(np.where(chances * width < rising, below, above))


def _pert_quantiles(below: float, above: float) -> Array:
    """Places from 0 to 1 of a beta variable in the middle of each stratum, from the exponents of its density.

    The density x^below (1 - x)^above is summed by Simpson's rule over places that lie closer towards both ends.
    """
    steps = np.linspace(0, 1, 2 * _PLACES + 1)
    places = steps**2 * (3 - 2 * steps)
    density = places**below * (1 - places) ** above * steps * (1 - steps)
    under = np.concatenate(([0.0], np.cumsum(density[:-1:2] + 4 * density[1::2] + density[2::2])))
    return np.interp(_chances(), under / under[-1], places[::2])
