"""The splines of published fitting losses give the same to the last digit as the library that fluids asks for them."""

import random

import pytest
from fluids import fittings
from fluids.numerics import py_splev

from stillbook.trade.ducts.splines import surface

KEPT = {name: held for name, held in vars(fittings).items() if "tck" in name and isinstance(held, list | tuple)}
SURFACES = sorted(name for name, spline in KEPT.items() if len(spline) == 5 and isinstance(spline[3], int))
CURVES = sorted(name for name, spline in KEPT.items() if len(spline) == 3 and isinstance(spline[2], int))


def places(knots, seed):
    """Places along a side, and a little beyond it."""
    drawn = random.Random(seed)
    low, high = knots[0], knots[-1]
    return [low, high, *(low + (high - low) * drawn.uniform(-0.1, 1.1) for _ in range(200))]


@pytest.mark.parametrize("name", SURFACES)
def test_a_surface(name):
    from scipy.interpolate import bisplev

    spline = KEPT[name]
    for x, y in zip(places(spline[0], 1), places(spline[1], 2), strict=True):
        assert surface(x, y, spline) == float(bisplev(x, y, spline))


@pytest.mark.parametrize("name", CURVES)
def test_a_curve(name):
    from scipy.interpolate import splev

    spline = KEPT[name]
    for x in places(spline[0], 3):
        assert float(py_splev(x, spline)) == float(splev(x, spline))
