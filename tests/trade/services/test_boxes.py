"""Outlet boxes: the volume that their wires need."""

import pytest

from stillbook.catalogue import call
from stillbook.cells import Code, ErrorValue
from stillbook.tables import table
from stillbook.trade.services.boxes import conductor_volumes


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


@pytest.mark.parametrize(
    ("formula", "arguments", "code", "words"),
    [
        ("BOXFILL", [13, 1, 0], Code.NUMBER, "wire size 13 is not in the table"),
        ("BOXFILL", [14, 0, 1], Code.NUMBER, "no conductors are counted"),
        ("BOXFILL", [[[14], [12]], 2, 0], Code.VALUE, "give one count for each size"),
        ("BOXFILL", [14, 2, None], Code.NOT_AVAILABLE, "devices is blank"),
        ("OUTLETBOXES", [43], Code.NUMBER, "no standard box holds 43 in³"),
    ],
)
def test_what_is_refused(formula, arguments, code, words):
    answer = call(formula, *arguments)
    assert isinstance(answer, ErrorValue)
    assert answer.code is code
    assert words in answer.reason
