"""Cell values on their way between Calc and the calculation service."""

from __future__ import annotations

import math
import struct
from typing import Any

import pytest

from stillbook.cells import Code
from stillbook.hosts.libreoffice.stillbook_calc.values import ERROR_NUMBERS, error, to_calc, to_service

NUMBER = 503
NOT_AVAILABLE = 32767


def calc_number(value: object) -> int:
    """Calc's number of an error: the low half of a NaN."""
    assert isinstance(value, float)
    assert math.isnan(value)
    low, high = struct.unpack("<II", struct.pack("<d", value))
    assert high == 0x7FF80000
    return int(low)


@pytest.mark.parametrize(
    ("code", "number"),
    # LibreOffice, include/formula/errorcodes.hxx
    [
        ("#NULL!", 521),
        ("#DIV/0!", 532),
        ("#VALUE!", 519),
        ("#REF!", 524),
        ("#NAME?", 525),
        ("#NUM!", 503),
        ("#N/A", 32767),
    ],
)
def test_an_error_is_a_number_that_calc_knows_as_that_error(code: str, number: int) -> None:
    assert calc_number(error(code)) == number
    assert to_calc({"error": code, "reason": "why"})[0][0] is not None
    assert calc_number(to_calc({"error": code, "reason": "why"})[0][0]) == number
    assert to_service(error(code)) == {"error": code}


def test_every_code_of_the_formulas_has_its_number() -> None:
    assert set(ERROR_NUMBERS) == {str(code) for code in Code}


@pytest.mark.parametrize(
    ("given", "asked"),
    [
        (36.0, 36.0),
        ("36 in", "36 in"),
        ("", None),
        (None, None),
        (math.inf, {"error": "#NUM!"}),
        (-math.inf, {"error": "#NUM!"}),
        (math.nan, {"error": "#NUM!"}),
        (((1.0,),), [[1.0]]),
        (((1.0, "x"), ("", error("#N/A"))), [[1.0, "x"], [None, {"error": "#N/A"}]]),
    ],
)
def test_an_argument_for_the_service(given: Any, asked: Any) -> None:
    assert to_service(given) == asked


@pytest.mark.parametrize(
    ("answer", "shown"),
    [
        (2.5, ((2.5,),)),
        (2, ((2.0,),)),
        (True, ((1.0,),)),
        (False, ((0.0,),)),
        ("pair", (("pair",),)),
        (None, (("",),)),
        ([[1, "a"], [True, None]], ((1.0, "a"), (1.0, ""))),
    ],
)
def test_an_answer_for_calc_is_rows_of_numbers_and_text(answer: Any, shown: Any) -> None:
    given = to_calc(answer)
    assert given == shown
    assert all(type(cell) in (float, str) for row in given for cell in row)


@pytest.mark.parametrize("nothing", [[], [[]], [[], []]])
def test_rows_without_a_cell_are_an_error_as_calc_would_show_zero(nothing: Any) -> None:
    ((cell,),) = to_calc(nothing)
    assert calc_number(cell) == NOT_AVAILABLE


def test_an_error_among_rows_keeps_its_place() -> None:
    ((first, second), _) = to_calc([[1.0, {"error": "#NUM!", "reason": ""}], [2.0, 3.0]])
    assert first == 1.0
    assert calc_number(second) == NUMBER
