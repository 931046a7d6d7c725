"""Circuits: the rating that a load asks for."""

import pytest

from stillbook.catalogue import call
from stillbook.cells import Code, ErrorValue


@pytest.mark.parametrize(
    ("formula", "arguments", "expected"),
    [
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
    ("formula", "arguments", "code", "words"),
    [
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
