"""Services: cable holes and leaks, sealant and putty, boxes and circuits, and what is refused."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillbook.catalogue import call
from stillbook.cells import Code, ErrorValue
from stillbook.tables import table
from stillbook.trade.services.services import bundle, conductor_volumes

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
        ("BEADLENGTH", ["1/4 in", "Half Round"], 2 * 28 * 1.8046875 / (math.pi / 4 * 0.25**2) / 12),
        ("BEADLENGTH", [6, "square", None, 300, "SI"], 300e-6 / 0.006**2),
        ("BEADLENGTH", ["6 mm", "square", None, "300 mL", "SI"], 300e-6 / 0.006**2),
        ("SEALANTTUBES", [67.375, "1/4 in", 0, "square"], 1),
        ("SEALANTTUBES", [67.376, "1/4 in", 0, "square"], 2),
        ("SEALANTTUBES", [67.375 * 2 / 1.1, "1/4 in", "10%", "square"], 2),
        ("SEALANTTUBES", [100, "1/2 in", 0, "rectangular", "1/4 in", "10.1 fl oz"], 9),
        ("PUTTYPADS", [3, 4, 4, 1.5, 7, 7], 3),  # 40 in² against 49
        ("PUTTYPADS", [3, 4, 4, 2.125, 7, 7], 6),  # 50 in²: a second pad for each box
        ("PUTTYPADS", [3, 4, 4, 2.125, 7.25, 7.25], 3),
        ("PUTTYPADS", [0, 4, 4, 1.5, 7, 7], 0),
        ("CIRCUITAMPS", [1200, 120], 12.5),
        ("CIRCUITAMPS", [1200, 120, 0], 10),
        ("CIRCUITAMPS", [1200, 120, "50%"], 11.25),
        ("CIRCUITAMPS", ["1.2 kW", "120 V"], 12.5),
        ("CIRCUITAMPS", ["1200 VA", 120], 12.5),
        ("CIRCUITAMPS", [0, 120], 0),
    ],
)
def test_a_service(formula, arguments, expected):
    assert call(formula, *arguments) == pytest.approx(expected, rel=1e-12, abs=1e-15)


@pytest.mark.parametrize(
    ("arguments", "expected"),
    [
        # Allowances in cubic inches: a conductor once, a device twice, clamps once, grounds once, all at the largest.
        ([14, 1, 0, 0, 0], 2.0),
        ([14, 1, 0, 5, 0], 4.0),
        ([14, 1, 0, 0, 4], 4.0),
        ([14, 1, 0, 0, 5], 4.5),
        ([14, 1, 0, 0, 8], 6.0),
        ([14, 1, 0, 0, 0, 2], 6.0),
        ([14, 1, 2], 2 + 8 + 2 + 2),
        ([[[14], [12]], [[2], [0]], 1, 0, 0], 8.0),
        ([[[12], [12]], [[2], [3]], 0, 0, 0], 11.25),
        ([[[18], [6]], [[4], [1]], 1], 6 + 5 + 10 + 5 + 5),
    ],
)
def test_box_fill(arguments, expected):
    assert call("BOXFILL", *arguments) == pytest.approx(expected, rel=1e-12)


def test_what_is_left_out_of_a_box_never_makes_it_smaller():
    assert call("BOXFILL", 14, 4, 1) == call("BOXFILL", 14, 4, 1, 1, 1)
    assert call("BOXFILL", 14, 4, 1) > call("BOXFILL", 14, 4, 1, 0, 0)


def test_outlet_boxes_are_listed_from_the_smallest_that_fits():
    headings, *rows = call("OUTLETBOXES", 18)
    assert headings == ["Box (in)", "Volume (in³)"]
    assert rows[0] == ["3 x 2 x 3-1/2 device", pytest.approx(18.0)]
    volumes = [volume for _, volume in rows]
    assert volumes == sorted(volumes)
    assert len(call("OUTLETBOXES")) == 1 + len(table("outlet_boxes"))
    assert call("OUTLETBOXES", None, "SI")[0] == ["Box (in)", "Volume (cm³)"]


def test_a_thicker_conductor_needs_more_room():
    volumes = [volume for _, volume in sorted(conductor_volumes().items())]
    assert volumes == sorted(volumes, reverse=True)


@given(diameters=st.lists(st.floats(0.1, 1.0), min_size=1, max_size=8), sealed=st.floats(0, 1))
def test_a_hole_of_the_size_given_leaves_the_share_not_filled(diameters, sealed):
    """The leak of a hole sized at the default fill is what the fill leaves open of it."""
    hole = call("HOLESIZE", [diameters])
    fill = {1: 0.53, 2: 0.31}.get(len(diameters), 0.40)
    leak = call("PENETRATIONLEAK", hole, [diameters], sealed)
    assert math.isclose(leak, math.pi / 4 * hole**2 * (1 - fill) * (1 - sealed), rel_tol=1e-9, abs_tol=1e-15)


def test_a_range_of_fills_and_of_sections():
    fills = call("HOLESIZE", [[0.5, 0.5]], [["60%"], [None], [0.31]])
    assert fills[0][0].code is Code.NUMBER
    assert fills[1][0] == pytest.approx(fills[2][0])
    tubes = call(
        "SEALANTTUBES",
        [[100], [100], [100], [100]],
        "1/2 in",
        0,
        [["round"], ["rectangular"], ["rectangular"], ["square"]],
        [[None], ["1/4 in"], [None], ["1/4 in"]],
    )
    assert [tubes[0][0], tubes[1][0]] == [5, 3]
    assert "needs its depth" in tubes[2][0].reason
    assert "no other section takes one" in tubes[3][0].reason


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
        ("BEADLENGTH", ["1/4 in", "rectangular"], Code.NUMBER, "needs its depth"),
        ("BEADLENGTH", ["1/4 in", "round", "1/4 in"], Code.NUMBER, "no other section takes one"),
        ("BEADLENGTH", ["1/4 in", "oval"], Code.VALUE, "half round"),
        ("BEADLENGTH", ["1/4 in", "round", None, "28 oz"], Code.VALUE, "is a mass where a container size is needed"),
        ("SEALANTTUBES", [0, "1/4 in"], Code.NUMBER, "more than 0"),
        ("SEALANTTUBES", [36, 0.25, 10], Code.NUMBER, "less than 1"),
        ("BOXFILL", [13, 1, 0], Code.NUMBER, "wire size 13 is not in the table"),
        ("BOXFILL", [14, 0, 1], Code.NUMBER, "no conductors are counted"),
        ("BOXFILL", [[[14], [12]], 2, 0], Code.VALUE, "give one count for each size"),
        ("BOXFILL", [14, 2, None], Code.NOT_AVAILABLE, "devices is blank"),
        ("OUTLETBOXES", [43], Code.NUMBER, "no standard box holds 43 in³"),
        ("CIRCUITAMPS", [1200, 0], Code.NUMBER, "at least 1 V"),
        ("CIRCUITAMPS", [1200, 120, True], Code.VALUE, "give a share"),
        ("CIRCUITAMPS", ["1200 Btu", 120], Code.VALUE, "where an electric power is needed"),
    ],
)
def test_what_is_refused(formula, arguments, code, words):
    answer = call(formula, *arguments)
    assert isinstance(answer, ErrorValue)
    assert answer.code is code
    assert words in answer.reason
