"""Sizes of ducts: standard sizes, whole in the workbook's unit, and questions without an answer."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stillbook.catalogue import call
from stillbook.cells import Code, ErrorValue
from stillbook.quantities import SYSTEMS
from stillbook.tables import table
from stillbook.trade.ducts.sizes import duct_inner, duct_outer, duct_round, duct_sizes, standard_sizes


@pytest.mark.parametrize(
    ("formula", "arguments", "code", "reason"),
    [
        ("DUCTAREA", (30, 0), Code.NUMBER, "most velocity is 0 fpm: give more than 0 fpm"),
        ("DUCTAREA", ("30 fpm", 100), Code.VALUE, "is an air velocity where an airflow is needed"),
        ("DUCTROUND", (2e5, 100), Code.NUMBER, "no standard round duct is large enough"),
        ("DUCTSIZES", (2e5, 100), Code.NUMBER, "no standard rectangular duct fits"),
        ("DUCTSIZES", (30, 100, 3), Code.NUMBER, "no standard rectangular duct fits"),
        ("DUCTSIZES", (30, 100, None, 0.5), Code.NUMBER, "give at least 1"),
        ("DUCTVELOCITY", (60, 0, 8), Code.NUMBER, "width is 0 in"),
        ("DUCTVELOCITY", (60, None, 8), Code.NOT_AVAILABLE, "width is blank"),
        ("DUCTINNER", (2, 1), Code.NUMBER, "the lining leaves no opening"),
        ("DUCTINNER", (2, 1.5), Code.NUMBER, "the lining leaves no opening"),
        ("DUCTOUTER", (8, 0), Code.NUMBER, "lining is 0 in"),
    ],
)
def test_reasons(formula, arguments, code, reason):
    answer = call(formula, *arguments)
    assert isinstance(answer, ErrorValue)
    assert answer.code == code
    assert reason in answer.reason


def test_thirty_cfm_in_a_quiet_duct():
    """Common practice, no source: 30 cfm at 100 fpm takes an 8 in round or an 8 × 6 in rectangular duct."""
    assert call("DUCTROUND", 30, 100) == 8
    headings, first, *_ = call("DUCTSIZES", 30, 100)
    assert headings[:2] == ["Width (in)", "Height (in)"]
    assert first == pytest.approx([8, 6, 48, 90, 8 / 6, 7.554], abs=5e-4)


def test_sizes_of_an_si_workbook_are_metric():
    assert call("DUCTROUND", 14, 0.5, "SI") == 200
    headings, first, *_ = call("DUCTSIZES", 14, 0.5, None, None, "SI")
    assert headings[0] == "Width (mm)"
    assert first[:2] == [200, 150]


def listed(units, shape):
    return sorted(float(row["size"]) for row in table("duct_sizes") if (row["system"], row["shape"]) == (units, shape))


@pytest.mark.parametrize("units", SYSTEMS)
def test_round_sizes_come_back_whole(units):
    """Equal to the size itself, with no tolerance: alone, in a column, and where the size just suffices."""
    speed, scale = (100, 1 / 144) if units == "US" else (0.5, 1 / 1000)
    for size in listed(units, "round"):
        airflow = math.pi / 4 * size**2 * speed * scale
        assert call("DUCTROUND", airflow, speed, units) == size
        assert call("DUCTROUND", [[airflow * 0.999], [airflow * 0.998]], speed, units) == [[size], [size]]


@pytest.mark.parametrize("units", SYSTEMS)
def test_rectangular_sizes_come_back_whole(units):
    speed, most = (400, 8000) if units == "US" else (2, 2000)
    sizes = listed(units, "rectangular")
    for airflow in range(10, most, most // 40):
        for width, height, area, *_ in call("DUCTSIZES", airflow, speed, None, None, units)[1:]:
            assert width in sizes and height in sizes
            assert area == width * height


@settings(deadline=None)
@given(airflow=st.floats(1e-3, 2), velocity=st.floats(0.3, 10), units=st.sampled_from(SYSTEMS))
def test_round_is_the_smallest_that_keeps_the_velocity(airflow, velocity, units):
    diameter = duct_round(airflow, velocity, units=units)
    sizes = standard_sizes("round", units)
    fitting = sizes[np.pi / 4 * sizes**2 * velocity >= airflow * (1 - 1e-6)]
    assert math.isnan(diameter) if not len(fitting) else diameter == fitting[0]


@settings(deadline=None)
@given(
    airflow=st.floats(1e-3, 0.1),
    velocity=st.floats(0.5, 5),
    most_height=st.none() | st.floats(0.3, 1),
    units=st.sampled_from(SYSTEMS),
)
def test_listed_sizes_keep_every_limit(airflow, velocity, most_height, units):
    rows = duct_sizes(airflow, velocity, most_height, units=units)
    assert 1 <= len(rows) <= 12
    sides = standard_sizes("rectangular", units)
    for width, height, area, speed, aspect, _ in rows:
        assert width in sides and height in sides
        assert height <= width <= height * 4.000001
        assert height <= (most_height or 10) * 1.000001
        assert speed <= velocity * 1.000001
        assert (area, speed, aspect) == pytest.approx((width * height, airflow / (width * height), width / height))
    assert [row[2] for row in rows] == pytest.approx(sorted(row[2] for row in rows))


def test_a_low_ceiling_flattens_the_duct():
    assert all(row[1] <= 6 for row in call("DUCTSIZES", 200, 500, 6)[1:])
    assert call("DUCTSIZES", 200, 500, 6, 2)[1][:2] == [10, 6]


@settings(deadline=None)
@given(inside=st.floats(0.01, 2), lining=st.floats(0.005, 0.2))
def test_inner_undoes_outer(inside, lining):
    assert duct_inner(duct_outer(inside, lining), lining) == pytest.approx(inside)


def test_every_row_tells_how_sure_it_is():
    assert all(row["confidence"] for row in table("duct_sizes"))
