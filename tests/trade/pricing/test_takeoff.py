"""Taking off: whole pieces, layouts, and what is refused."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillbook import catalogue
from stillbook.catalogue import call
from stillbook.cells import Code, ErrorValue
from stillbook.trade.pricing.takeoff import whole_down, whole_up


@pytest.mark.parametrize(
    ("count", "up", "down"),
    [
        (0.0, 0, 0),
        (1e-12, 1, 0),
        (1600 / 32 * 1.1, 55, 55),  # 55.00000000000001 in binary arithmetic
        (0.1 + 0.2, 1, 0),
        (0.3 / 0.1, 3, 3),  # 2.9999999999999996
        (10.45, 11, 10),
        (54.999, 55, 54),
        (1e9 + 0.5, 1e9, 1e9 + 1),  # closer to a whole number than one part in 10⁹
    ],
)
def test_whole_pieces(count, up, down):
    assert whole_up(count) == up
    assert whole_down(count) == down


@given(sheets=st.integers(1, 2000), layers=st.integers(1, 6), percent=st.integers(0, 99))
def test_an_area_of_whole_sheets_takes_those_sheets(sheets, layers, percent):
    """An area that is so many sheets exactly never takes one more for the sake of binary fractions."""
    exact = -(-sheets * layers * (100 + percent) // 100)
    assert call("SHEETS", sheets * 32, 4, 8, layers, f"{percent}%") == exact


@given(
    length=st.floats(1, 60),
    height=st.floats(1, 30),
    width=st.floats(1, 8),
    tall=st.floats(2, 16),
    layers=st.integers(1, 4),
)
def test_a_layout_takes_at_least_the_area(length, height, width, tall, layers):
    assert call("SHEETLAYOUT", length, height, width, tall, layers) >= call(
        "SHEETS", length * height, width, tall, layers
    )


@pytest.mark.parametrize(
    ("length", "height", "expected"),
    [
        (4, 8, 1),  # one sheet
        (6, 7, 2),  # the second strip is half a sheet wide
        (20, 8, 5),
        (20, 16, 10),  # two sheets high
        (20, 10, 7),  # 5 whole, and 5 pieces of 2 ft, four to a sheet
        (20, 12, 8),  # 5 whole, and 5 pieces of 4 ft, two to a sheet
        (20, 4, 3),  # 5 pieces of 4 ft, two to a sheet
        (20, 2, 2),  # 5 pieces of 2 ft, four to a sheet
        (20.01, 8, 6),
        ("20 ft", "96 in", 5),
    ],
)
def test_sheet_layout(length, height, expected):
    assert call("SHEETLAYOUT", length, height, 4, 8) == expected
    assert call("SHEETLAYOUT", length, height, 4, 8, 2) == 2 * expected


def test_a_small_booth_wastes_more_than_the_usual_share():
    """Walls of a 4 x 6 x 7 ft booth: 140 ft² is 4.4 sheets by area, and 6 as laid out, 37 % more."""
    by_area = call("SHEETS", call("WALLAREA", 6, 4, 7), 4, 8, 1, "10%")
    laid_out = sum(row[0] for row in call("SHEETLAYOUT", [[4], [6], [4], [6]], 7, 4, 8))
    assert (by_area, laid_out) == (5, 6)


@pytest.mark.parametrize(
    ("formula", "arguments", "expected"),
    [
        ("SHEETS", [1600, 4, 8, 0], 0),
        ("SHEETS", [2.88, 1.2, 2.4, 1, 0, "SI"], 1),
        ("SHEETS", ["2.89 m²", "1.2 m", "2.4 m"], 2),
        ("SHEETS", [[[32], [64], [65]], 4, 8], [[1], [2], [3]]),
        ("SCREWS", [320, 2, 12, 16, 4, 8], 720),
        ("SCREWS", [320, 2, 12, 16, 4, 8, "vertical", "5%"], 756),
        ("SCREWS", [40, 1, 16, 16, 4, 10], 36),  # 4 lines; 120 / 16 is 7.5, so 9 on each
        ("SCREWS", [1, 1, 16, 16, 4, 8], 1),
        # Pieces of 4 ft and 2 ft on a wall of 6 × 7 ft: 4 and 3 lines of 8, counted on a drawing.
        ("SCREWS", [42, 1, 12, 16, 4, 8, "vertical", 0, 7], 56),
        ("SCREWS", ["3.902 m²", 1, "12 in", "16 in", "4 ft", "8 ft", "vertical", 0, "7 ft"], 56),
        ("SCREWS", [32, 1, 16, 16, 4, 8, "vertical", 0, 8], 28),
        # 10 ft high: a piece of 8 ft and one of 2 ft in each of two strips, 4 lines of 9 and of 3.
        ("SCREWS", [80, 1, 12, 16, 4, 8, "vertical", 0, 10], 96),
        ("SCREWS", [42, 2, 12, 16, 4, 8, "horizontal", "5%", 7], 114),  # two layers of 6 lines of 5 and of 4, and 5 %
        ("SHEETPIECES", [6, 36, 80, 4, 8], 6),  # one face a sheet
        ("SHEETPIECES", [6, 24, 80, 4, 8], 3),  # two faces side by side
        ("SHEETPIECES", [4, 96, 20, 4, 8], 2),  # turned: two along the sheet
        ("SHEETPIECES", [0, 36, 80, 4, 8], 0),
        ("SHEETPIECES", [[[5], [7]], 12, 12, 4, 8], [[1], [1]]),
        ("SCREWS", [[[32], [64]], 1, 12, 16, 4, 8, [["vertical"], ["Horizontal"]]], [[36], [70]]),
        ("STUDS", [10, 16], 9),
        ("STUDS", [10, 24, 2, 1], 13),
        ("STUDS", [10, 24, 2, 1, 2], 12),
        ("STUDS", [10, 24, 2, 1, 2, "10%"], 14),
        ("STUDS", [2.4, 600, 0, 0, 0, 0, "SI"], 5),
        ("PACKS", [0, 500], 0),
        ("PACKS", [1500, 500], 3),
        ("PACKS", [1500, 500, 0.01], 4),
        ("CREWHOURS", [0, 30], 0),
        ("CREWHOURS", [240, [[30], [40]]], [[8], [6]]),
        ("WALLAREA", [6, 4, 7, 20], 120),
        ("WALLAREA", [6, 4, 7, "2 m²"], 140 - 2 / 0.3048**2),
        ("WALLAREA", [6, 4, 7, 140], 0),
        ("INSIDESIZE", [8, 9], 6.5),
        ("INSIDESIZE", [8, 9, 3], 7),
        ("INSIDESIZE", ["8'-0\"", "9 in", [[None], ["3 in"]]], [[6.5], [7]]),
        ("INSIDESIZE", [2.4, 200, 100, "SI"], 2.1),
        ("OUTSIDESIZE", [6.5, 9], 8),
        ("OUTSIDESIZE", [7, 9, 3], 8),
    ],
)
def test_a_take_off(formula, arguments, expected):
    answer = call(formula, *arguments)
    assert answer == (
        pytest.approx(expected) if not isinstance(expected, list) else [[pytest.approx(v[0])] for v in expected]
    )


@given(outside=st.floats(4, 60), thickness=st.floats(0, 20), other=st.none() | st.floats(0, 20))
def test_inside_and_outside_size_are_inverse(outside, thickness, other):
    inside = call("INSIDESIZE", outside, thickness, other)
    assert math.isclose(call("OUTSIDESIZE", inside, thickness, other), outside, rel_tol=1e-12)


@pytest.mark.parametrize(
    ("formula", "arguments", "code", "words"),
    [
        ("SHEETS", [None, 4, 8], Code.NOT_AVAILABLE, "area is blank"),
        ("SHEETS", [0, 4, 8], Code.NUMBER, "more than 0"),
        ("SHEETS", ["32 ft", 4, 8], Code.VALUE, "is a length where an area is needed"),
        ("SHEETS", [32, 48, 96], Code.NUMBER, "sheet width is 48 ft"),
        ("SHEETS", [32, 4, 8, 1.5], Code.NUMBER, "whole number"),
        ("SHEETS", [32, 4, 8, 1, 10], Code.NUMBER, "less than 1"),
        ("SCREWS", [32, 1, 16, 16, 4, 8, "flat"], Code.VALUE, "vertical"),
        ("SCREWS", [32, 1, 0, 16, 4, 8], Code.NUMBER, "spacing is 0 in"),
        ("SHEETPIECES", [1, 50, 97, 4, 8], Code.NUMBER, "a piece is larger than a sheet either way round"),
        ("STUDS", [10, "16 ft"], Code.NUMBER, "at most 48 in"),
        ("STUDS", [10, 1.33], Code.NUMBER, "at least 4 in"),
        ("PACKS", [10, 0], Code.NUMBER, "more than 0"),
        ("PACKS", [-1, 5], Code.NUMBER, "at least 0"),
        ("CREWHOURS", [240, 0], Code.NUMBER, "more than 0"),
        ("WALLAREA", [6, 4, 7, 150], Code.NUMBER, "the openings are larger than the walls"),
        ("INSIDESIZE", [1, 6], Code.NUMBER, "takes the whole size"),
        ("INSIDESIZE", [1, 9], Code.NUMBER, "takes the whole size"),
    ],
)
def test_what_is_refused(formula, arguments, code, words):
    answer = call(formula, *arguments)
    assert isinstance(answer, ErrorValue)
    assert answer.code is code
    assert words in answer.reason


def test_the_family_is_complete():
    family = {f.name for f in catalogue.formulas().values() if f.family == "Taking off and pricing"}
    assert family >= {"SHEETS", "SCREWS", "PACKS", "CREWHOURS", "PRICEFROMMARGIN", "PRICEFROMMARKUP"}
