"""Noise of the air itself: what is needed, what is louder than what, and the floor of the answer."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillbook.catalogue import call
from stillbook.cells import Code
from stillbook.trade.physics.sound import BAND_VALUE, level_sum
from stillbook.trade.quiet_path.airflow_noise import airflow_noise

ELEMENTS = ("duct", "round elbow", "square elbow", "damper", "grille")


@pytest.mark.parametrize(
    ("arguments", "code", "reason"),
    [
        ((60, 8, 8, "damper"), Code.NOT_AVAILABLE, "a damper needs its maker's pressure loss over velocity pressure"),
        ((60, 8, 8, "grille", ""), Code.NOT_AVAILABLE, "a grille needs its maker's pressure loss"),
        ((60, 8, 8, "louvre"), Code.VALUE, 'give one of "duct"'),
        ((60, 8, 8, None), Code.NOT_AVAILABLE, "element is blank"),
        ((0, 8, 8, "duct"), Code.NUMBER, "airflow is 0 cfm"),
        ((60, 8, 8, "grille", 0), Code.NUMBER, "loss coefficient is 0"),
    ],
)
def test_reasons(arguments, code, reason):
    answer = call("AIRFLOWNOISE", *arguments)
    assert answer.code == code
    assert reason in answer.reason


@given(
    speed=st.floats(0.2, 8),
    width=st.floats(0.08, 1),
    height=st.none() | st.floats(0.08, 1),
    element=st.sampled_from(ELEMENTS),
    coefficient=st.floats(0.2, 50),
)
def test_faster_air_is_louder_and_nothing_is_below_the_floor(speed, width, height, element, coefficient):
    area = width * height if height else np.pi / 4 * width**2
    slow, fast = (airflow_noise(v * area, width, height, element, coefficient) for v in (speed, 1.5 * speed))
    assert slow.shape == (8,)
    assert (slow >= BAND_VALUE.least).all()
    assert (fast >= slow).all()


@given(speed=st.floats(1, 8), side=st.floats(0.1, 0.6))
def test_a_sharp_corner_is_louder_than_a_rounded_one(speed, side):
    sharp, rounded = (airflow_noise(speed * side**2, side, side, kind) for kind in ("square elbow", "round elbow"))
    assert (sharp >= rounded).all()
    assert sharp[0] > rounded[0]


def test_a_shut_damper_is_louder_than_an_open_one():
    open_, shut = (level_sum(airflow_noise(0.1, 0.2, 0.2, "damper", coefficient)) for coefficient in (0.5, 50))
    assert shut > open_ + 15


@pytest.mark.parametrize("element", ELEMENTS)
def test_a_quiet_duct_is_quiet(element):
    """Common practice, no source: at 100 fpm in 8 × 8 in nothing reaches NC-15, whose lowest level is 11 dB."""
    levels = call("AIRFLOWNOISE", 100 * 64 / 144, 8, 8, element, 3)[0]
    assert max(levels) < 11


def test_noise_of_equal_air_grows_with_the_area():
    one, four = (airflow_noise(2 * area, side, side, "duct") for area, side in ((0.04, 0.2), (0.16, 0.4)))
    assert four - one == pytest.approx(10 * np.log10(4))
