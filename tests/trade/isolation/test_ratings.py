"""The rating formulas: limits, rounding, what is refused."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillbook import catalogue
from stillbook.cells import Code, ErrorValue
from stillbook.trade.isolation.ratings import contour, stc_rating

CONTOUR_50 = (contour("STC") + 50).tolist()


def without(spectrum, place, loss):
    return [value - loss if index == place else value for index, value in enumerate(spectrum)]


# The curve of a contour rates 2 dB above it, for each of its 16 bands may lie 2 dB below; one band may lie 8 dB below.
STC_CASES = [
    ([value - 2 for value in CONTOUR_50], 50.0),
    ([value - 2.4 for value in CONTOUR_50], 50.0),
    ([value - 2.5 for value in CONTOUR_50], 50.0),
    ([value - 2.6 for value in CONTOUR_50], 49.0),
    (without(CONTOUR_50, 0, 8), 50.0),
    (without(CONTOUR_50, 0, 9), 49.0),
    (without(CONTOUR_50, 0, 10), 48.0),
]


@pytest.mark.parametrize(("spectrum", "rating"), STC_CASES)
def test_stc_limits(spectrum, rating):
    assert catalogue.call("STCRATING", spectrum) == rating
    assert catalogue.call("STCRATING", [[value] for value in spectrum]) == rating


def test_the_eight_decibel_rule_may_be_left_out():
    dented = without(CONTOUR_50, 0, 20)
    assert catalogue.call("STCRATING", dented) == 38.0
    assert catalogue.call("STCRATING", dented, "no") == 50.0


@given(st.lists(st.integers(0, 80), min_size=16, max_size=16), st.integers(0, 15), st.integers(0, 20))
def test_a_better_band_never_lowers_a_rating(losses, place, more):
    better = [value + more if index == place else value for index, value in enumerate(losses)]
    assert stc_rating(np.array(better, dtype=float)) >= stc_rating(np.array(losses, dtype=float))


@given(st.lists(st.integers(0, 80), min_size=16, max_size=16), st.integers(-10, 10))
def test_a_rating_moves_with_its_spectrum(losses, shift):
    moved = np.array(losses, dtype=float) + shift
    assert stc_rating(moved) == stc_rating(np.array(losses, dtype=float)) + shift


@pytest.mark.parametrize("rating", [0, 33, 50, 64.5])
def test_the_contours_to_draw(rating):
    assert catalogue.call("STCCONTOUR", rating)[0][6] == rating
    assert catalogue.call("RWCONTOUR", rating)[0][7] == rating
    assert len(catalogue.call("STCCONTOUR", rating)[0]) == len(catalogue.call("RWCONTOUR", rating)[0]) == 16


REFUSED = [
    (("STCRATING", [30] * 15), Code.VALUE, "has 15 values: give 16"),
    (("STCRATING", [30] * 15 + [None]), Code.NOT_AVAILABLE, "blank"),
    (("STCRATING", [30] * 15 + ["loud"]), Code.VALUE, "not understood"),
    (("STCRATING", [30] * 15 + [ErrorValue(Code.REFERENCE)]), Code.REFERENCE, "#REF!"),
    (("STCRATING", [[30] * 8, [30] * 8]), Code.VALUE, "give one row or one column"),
    (("STCRATING", [300] * 16), Code.NUMBER, "at most 200 dB"),
    (("RWRATING", [30] * 17), Code.VALUE, "has 17 values"),
    (("OITCRATING", [30] * 16), Code.VALUE, "has 16 values: give 18"),
    (("ADAPTATION", [30] * 16, "Cs"), Code.VALUE, '"C", "Ctr"'),
]


@pytest.mark.parametrize(("call", "code", "reason"), REFUSED)
def test_what_a_rating_refuses(call, code, reason):
    answer = catalogue.call(*call)
    assert answer.code is code
    assert reason in answer.reason
