"""Holes for cables and the leaks that cables and boxes leave."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillbook.catalogue import call
from stillbook.cells import Code, ErrorValue
from stillbook.trade.services.penetrations import bundle

NAN = float("nan")


@pytest.mark.parametrize(
    ("diameters", "counts", "expected"),
    [
        ([1.0, 2.0], None, [1, 2]),
        ([1.0, 2.0], [2.0, 3.0], [1, 1, 2, 2, 2]),
        ([1.0, NAN, 2.0], [2.0, NAN, NAN], [1, 1, 2]),
        ([1.0, NAN], [1.0, 4.0], [1]),
        ([1.0, 2.0], [0.0, 1.0], [2]),
    ],
)
def test_the_cables_of_a_schedule(diameters, counts, expected):
    assert bundle(np.array(diameters), None if counts is None else np.array(counts)).tolist() == expected


@pytest.mark.parametrize(
    ("formula", "arguments", "expected"),
    [
        # One cable at 53 %, two at 31 %, more at 40 % of the hole.
        ("HOLESIZE", [0.5], 0.5 / math.sqrt(0.53)),
        ("HOLESIZE", [[[0.5, 0.5]]], math.sqrt(0.5 / 0.31)),
        ("HOLESIZE", [[[0.5], [0.5], [0.5]]], math.sqrt(0.75 / 0.40)),
        ("HOLESIZE", [0.5, None, 3], math.sqrt(0.75 / 0.40)),
        ("HOLESIZE", [[[0.5], [None], [0.2]], None, [[3], [None], [None]]], math.sqrt(0.79 / 0.40)),
        ("HOLESIZE", [0.3, "36%"], 0.5),
        ("HOLESIZE", [12.7, None, None, "SI"], 12.7 / math.sqrt(0.53)),
        ("HOLESIZE", ["12.7 mm"], 0.5 / math.sqrt(0.53)),
        ("PENETRATIONLEAK", [1, 0.5], math.pi / 4 * 0.75),
        ("PENETRATIONLEAK", [1, 0.5, 1], 0),
        ("PENETRATIONLEAK", [1, 0.25, "90%", 4], math.pi / 4 * 0.75 * 0.1),
        ("PENETRATIONLEAK", [20, 10, 0, None, "SI"], math.pi / 4 * 300),
        ("BOXLEAK", [1, 2, 3, 0], 0),
        ("BOXLEAK", [2, 4, 4, "1/8 in"], 2 * (4.25**2 - 4**2)),
        ("BOXLEAK", [2, 4, 4, "1/8 in", 0.75], 0.5 * (4.25**2 - 4**2)),
    ],
)
def test_a_service(formula, arguments, expected):
    assert call(formula, *arguments) == pytest.approx(expected, rel=1e-12, abs=1e-15)


@given(diameters=st.lists(st.floats(0.1, 1.0), min_size=1, max_size=8), sealed=st.floats(0, 1))
def test_a_hole_of_the_size_given_leaves_the_share_not_filled(diameters, sealed):
    """The leak of a hole sized at the default fill is what the fill leaves open of it."""
    hole = call("HOLESIZE", [diameters])
    fill = {1: 0.53, 2: 0.31}.get(len(diameters), 0.40)
    leak = call("PENETRATIONLEAK", hole, [diameters], sealed)
    assert math.isclose(leak, math.pi / 4 * hole**2 * (1 - fill) * (1 - sealed), rel_tol=1e-9, abs_tol=1e-15)


def test_a_range_of_fills():
    fills = call("HOLESIZE", [[0.5, 0.5]], [["60%"], [None], [0.31]])
    assert fills[0][0].code is Code.NUMBER
    assert fills[1][0] == pytest.approx(fills[2][0])


@pytest.mark.parametrize(
    ("formula", "arguments", "code", "words"),
    [
        ("HOLESIZE", [None], Code.NOT_AVAILABLE, "cable diameters is blank"),
        ("HOLESIZE", [[[None], [None]]], Code.NOT_AVAILABLE, "cable diameters is blank"),
        ("HOLESIZE", [[[0.5], [0]]], Code.NUMBER, "more than 0"),
        ("HOLESIZE", [[[0.5, 0.5], [0.5, None]]], Code.VALUE, "give one row or one column"),
        ("HOLESIZE", [[[0.5], [0.5]], None, [[1], [1], [1]]], Code.VALUE, "give one count for each diameter"),
        ("HOLESIZE", [0.5, None, 0], Code.NUMBER, "come to no cables"),
        ("HOLESIZE", [0.5, None, 1.5], Code.NUMBER, "whole number"),
        ("HOLESIZE", [0.5, 0.9], Code.NUMBER, "at most 0.6"),
        ("HOLESIZE", [[[0.5, 0.5]], 0.6], Code.NUMBER, "do not pass side by side"),
        ("PENETRATIONLEAK", [0.4, 0.5], Code.NUMBER, "do not fit"),
        ("PENETRATIONLEAK", [0.8, [[0.5, 0.5]]], Code.NUMBER, "do not fit"),
        ("PENETRATIONLEAK", [1, 0.5, 1.1], Code.NUMBER, "at most 1"),
        ("PENETRATIONLEAK", [None, 0.5], Code.NOT_AVAILABLE, "hole is blank"),
        ("BOXLEAK", [1.5, 4, 4, 0.125], Code.NUMBER, "whole number"),
    ],
)
def test_what_is_refused(formula, arguments, code, words):
    answer = call(formula, *arguments)
    assert isinstance(answer, ErrorValue)
    assert answer.code is code
    assert words in answer.reason
