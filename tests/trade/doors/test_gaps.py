"""The gap around a door."""

import pytest

from stillbook import catalogue
from stillbook.cells import Code
from trade.doors.rows import near

NUM = Code.NUMBER


@pytest.mark.parametrize(
    ("arguments", "expected"),
    [
        ((36, 80, 0.125), 29),
        ((36, 80, "1/8 in", 0.9), 2.9),
        ((36, 80, 0.125, 1), 0),
        ((36, 80, [[0.125], [0.25]], "50%"), [[14.5], [29]]),
        ((900, 2000, 3, None, "SI"), 17400),
    ],
)
def test_door_leak(arguments, expected):
    assert catalogue.call("DOORLEAK", *arguments) == near(expected)


@pytest.mark.parametrize(
    ("arguments", "code", "reason"),
    [
        ((36, 80, 0), NUM, "gap is 0 in: give more than 0 in and at most 3 in"),
        ((36, 80, 0.125, 90), NUM, "share sealed is 90: give at least 0 and at most 1"),
    ],
)
def test_a_leak_that_cannot_be_given(arguments, code, reason):
    answer = catalogue.call("DOORLEAK", *arguments)
    assert answer.code == code and reason in answer.reason
