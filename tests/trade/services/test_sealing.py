"""Sealant and putty."""

import math

import pytest

from stillbook.catalogue import call
from stillbook.cells import Code, ErrorValue


@pytest.mark.parametrize(
    ("formula", "arguments", "expected"),
    [
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
    ],
)
def test_a_service(formula, arguments, expected):
    assert call(formula, *arguments) == pytest.approx(expected, rel=1e-12, abs=1e-15)


def test_a_range_of_sections():
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
        ("BEADLENGTH", ["1/4 in", "rectangular"], Code.NUMBER, "needs its depth"),
        ("BEADLENGTH", ["1/4 in", "round", "1/4 in"], Code.NUMBER, "no other section takes one"),
        ("BEADLENGTH", ["1/4 in", "oval"], Code.VALUE, "half round"),
        ("BEADLENGTH", ["1/4 in", "round", None, "28 oz"], Code.VALUE, "is a mass where a container size is needed"),
        ("SEALANTTUBES", [0, "1/4 in"], Code.NUMBER, "more than 0"),
        ("SEALANTTUBES", [36, 0.25, 10], Code.NUMBER, "less than 1"),
    ],
)
def test_what_is_refused(formula, arguments, code, words):
    answer = call(formula, *arguments)
    assert isinstance(answer, ErrorValue)
    assert answer.code is code
    assert words in answer.reason
