"""Hinge counts, hinge forces, gaps and door masses against codes, textbook examples and facts of the trade."""

import pytest

from published.printed import cases
from stillbook import catalogue


@pytest.mark.parametrize(("formula", "arguments", "expected", "tolerance"), cases("doors"))
def test_a_published_example(formula, arguments, expected, tolerance):
    answer = catalogue.call(formula, *arguments)
    main = answer[0][0] if isinstance(answer, list) else answer
    assert main == pytest.approx(expected, rel=0, abs=tolerance)


def test_a_leaf_for_the_usual_clear_width():
    """HUD Fair Housing Accessibility Guidelines, requirement 3: a 34 in leaf gives a nominal 32 in clear."""
    assert "narrow for a way out" not in catalogue.call("DOORARRANGEMENT", 12, 10, 34, 6)[0][1]
    assert "narrow for a way out" in catalogue.call("DOORARRANGEMENT", 12, 10, 33, 6)[0][1]


def test_a_leaf_no_wider_than_the_code_allows():
    """IBC 1010.1.1: an egress leaf is at most 48 in nominal."""
    assert "wide for a way out" not in catalogue.call("DOORARRANGEMENT", 12, 10, 48, 6)[0][1]
    assert "wide for a way out" in catalogue.call("DOORARRANGEMENT", 12, 10, 49, 6)[0][1]
