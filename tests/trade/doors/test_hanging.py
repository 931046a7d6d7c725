"""Hinges, their load, and the floor that a door sweeps."""

import math

import pytest

from stillbook import catalogue
from stillbook.cells import Code
from trade.doors.rows import near

VALUE, NUM = Code.VALUE, Code.NUMBER


@pytest.mark.parametrize(
    ("mass", "height", "number"),
    [
        (60, 80, 3),
        (176, 80, 3),
        (200, 80, 3),
        (200.1, 80, 4),
        (400, 80, 4),
        (401, 80, 5),
        (250, 96, 5),
        ("90 kg", "2 m", 3),
        ("91 kg", "2 m", 4),
    ],
)
def test_a_heavy_door_takes_more_hinges(mass, height, number):
    assert catalogue.call("HINGES", mass, height) == number


def test_hinges_of_a_schedule():
    assert catalogue.call("HINGES", [[60], [250]], [[60], [61]]) == [[2], [4]]


def test_hinge_load():
    pull, share = catalogue.call("HINGELOAD", 100, 36, 82.5, 4)[0]
    assert pull == near(100 * 18 / 60)
    assert share == near(25)
    pull, share = catalogue.call("HINGELOAD", "100 kg", "1 m", "2.5715 m", 2, "SI")[0]
    assert (pull, share) == (near(100 * 9.80665 / 4), near(490.3325))
    assert catalogue.call("HINGELOAD", [[100], [200]], 36, 82.5, 4) == near([[30, 25], [60, 50]])


@pytest.mark.parametrize(
    ("arguments", "code", "reason"),
    [
        (
            (88, 36, 20, 2),
            NUM,
            "height is 20 in: hinges 7 in below the head and 11 in above the floor need at least 27 in",
        ),
        ((88, 36, 80, 1), NUM, "hinges is 1: give a whole number at least 2"),
        ((88, 36, 80, 2.5), NUM, "hinges is 2.5: give a whole number"),
        (("4.4 psf", 36, 80, 3), VALUE, "is a mass per area where a mass is needed"),
    ],
)
def test_a_hinge_load_that_cannot_be_given(arguments, code, reason):
    answer = catalogue.call("HINGELOAD", *arguments)
    assert answer.code == code and reason in answer.reason


@pytest.mark.parametrize(
    ("arguments", "expected"),
    [((36,), math.pi * 9 / 4), ((36, 180), math.pi * 9 / 2), ((36, "60 deg"), math.pi * 9 / 6), ((24, 90), math.pi)],
)
def test_swing_area(arguments, expected):
    assert catalogue.call("SWINGAREA", *arguments) == near(expected)
