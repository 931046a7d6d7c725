"""Values of published surfaces that are kept as splines, to the last digit as FITPACK (Dierckx) gives them.

The library fluids asks scipy for these sums, which takes longer to load than an estimate takes to calculate.
"""

from __future__ import annotations

from collections.abc import Sequence

Spline = tuple[Sequence[float], Sequence[float], Sequence[float], int, int]
"""Knots along both sides, coefficients row by row, and the degree along both sides."""


def surface(x: float, y: float, spline: Spline) -> float:
    """The value of a spline over two sides; beyond them that of the nearest edge.

    P. Dierckx, Curve and Surface Fitting with Splines (1993): the sum over both sides of coefficient times B-splines.
    """
    along, across, coefficients, degree_along, degree_across = spline
    first, weights = _weights(along, degree_along, x)
    beside, others = _weights(across, degree_across, y)
    width = len(across) - degree_across - 1
    value = 0.0
    for row, weight in enumerate(weights, start=first):
        for column, other in enumerate(others, start=row * width + beside):
            value += coefficients[column] * weight * other
    return float(value)


def _weights(knots: Sequence[float], degree: int, at: float) -> tuple[int, list[float]]:
    """The B-splines that are not 0 at a place, by the recurrence of de Boor and Cox, and the number of the first."""
    last = len(knots) - degree - 1
    at = min(max(at, knots[degree]), knots[last])
    left = degree
    while left < last - 1 and at >= knots[left + 1]:
        left += 1
    weights = [1.0] + [0.0] * degree
    for order in range(1, degree + 1):
        before = weights[:order]
        weights[0] = 0.0
        for place, weight in enumerate(before):
            upper, lower = knots[left + place + 1], knots[left + place + 1 - order]
            share = weight / (upper - lower) if upper != lower else 0.0
            weights[place] += share * (upper - at)
            weights[place + 1] = share * (at - lower)
    return left - degree, weights
