"""Price from margin and from markup: ranges, percentages, and what is refused."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillbook.catalogue import call
from stillbook.cells import Code, ErrorValue


@pytest.mark.parametrize(
    ("formula", "arguments", "expected"),
    [
        ("PRICEFROMMARGIN", [1000, 0], 1000),
        ("PRICEFROMMARGIN", [1000, 0.2], 1250),
        ("PRICEFROMMARGIN", [1000, "20%"], 1250),
        ("PRICEFROMMARGIN", [1000, "20 percent"], 1250),
        ("PRICEFROMMARGIN", [0, "20%"], 0),
        ("PRICEFROMMARKUP", [1000, 0], 1000),
        ("PRICEFROMMARKUP", [1000, "20%"], 1200),
        ("PRICEFROMMARKUP", [1000, 2], 3000),
    ],
)
def test_a_price(formula, arguments, expected):
    assert call(formula, *arguments) == pytest.approx(expected, rel=1e-12)


def test_a_column_of_costs_with_one_margin():
    answer = call("PRICEFROMMARGIN", [[800], [None], [1600]], "20%")
    assert (answer[0][0], answer[2][0]) == (1000, 2000)
    assert answer[1][0].code is Code.NOT_AVAILABLE


@given(cost=st.floats(1, 1e7), margin=st.floats(0, 0.8))
def test_the_margin_is_a_share_of_the_price_and_its_markup_gives_the_same_price(cost, margin):
    price = call("PRICEFROMMARGIN", cost, margin)
    assert math.isclose(price - cost, margin * price, rel_tol=1e-9, abs_tol=1e-6)
    assert math.isclose(call("PRICEFROMMARKUP", cost, margin / (1 - margin)), price, rel_tol=1e-12)


@pytest.mark.parametrize(
    ("formula", "arguments", "code", "words"),
    [
        ("PRICEFROMMARGIN", [1000, 1], Code.NUMBER, "less than 1"),
        ("PRICEFROMMARGIN", [1000, 20], Code.NUMBER, "less than 1"),
        ("PRICEFROMMARGIN", [1000, "100%"], Code.NUMBER, "less than 1"),
        ("PRICEFROMMARGIN", [1000, -0.1], Code.NUMBER, "at least 0"),
        ("PRICEFROMMARGIN", [1000, None], Code.NOT_AVAILABLE, "margin is blank"),
        ("PRICEFROMMARGIN", [None, 0.2], Code.NOT_AVAILABLE, "cost is blank"),
        ("PRICEFROMMARGIN", [-5, 0.2], Code.NUMBER, "at least 0"),
        ("PRICEFROMMARKUP", [1000, 20], Code.NUMBER, "less than 5"),
        ("PRICEFROMMARKUP", ["ten", 0.2], Code.VALUE, "not understood"),
    ],
)
def test_what_is_refused(formula, arguments, code, words):
    answer = call(formula, *arguments)
    assert isinstance(answer, ErrorValue)
    assert answer.code is code
    assert words in answer.reason
