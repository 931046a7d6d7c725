"""Flat oval ducts and elbows before fans: reasons, limits between which they lie."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillbook.catalogue import call
from stillbook.cells import Code
from stillbook.trade.ducts.system_effect import VANES, inlet_elbow_factor


@pytest.mark.parametrize(
    ("formula", "arguments", "code", "reason"),
    [
        ("OVALEQUIVALENT", (6, 14), Code.NUMBER, "the width is less than the height"),
        ("OVALEQUIVALENT", (None, 6), Code.NOT_AVAILABLE, "width is blank"),
        ("FANINLETLOSS", (500, 10, 0.4), Code.NUMBER, "radius is 0.4"),
        ("FANINLETLOSS", (500, 2, 1), Code.NUMBER, "the air is faster than 50 m/s"),
        ("FANINLETLOSS", (500, 10, 1, 0, "some"), Code.VALUE, 'give one of "none"'),
    ],
)
def test_reasons(formula, arguments, code, reason):
    answer = call(formula, *arguments)
    assert answer.code == code
    assert reason in answer.reason


@given(height=st.floats(2, 40), longer=st.floats(0, 40))
def test_the_round_duct_like_an_oval_lies_between_its_axes(height, longer):
    found = call("OVALEQUIVALENT", height + longer, height)
    assert 0.99 * height <= found <= 1.01 * (height + longer)
    area = height * longer + math.pi / 4 * height**2
    assert found <= 1.01 * math.sqrt(4 * area / math.pi)


@given(radius=st.floats(0.5, 2), straight=st.floats(0, 5), vanes=st.sampled_from(VANES))
def test_a_wider_elbow_farther_away_takes_less(radius, straight, vanes):
    factor = inlet_elbow_factor(radius, straight, vanes)
    assert inlet_elbow_factor(radius * 1.1, straight, vanes) <= factor
    assert inlet_elbow_factor(radius, straight + 0.5, vanes) <= factor
    assert factor <= inlet_elbow_factor(radius, straight, "none")
    assert inlet_elbow_factor(10, 100, vanes) == inlet_elbow_factor(2, 5, vanes) > 0
