"""A day in a room against the mass balance, worked out elsewhere and by another way."""

import pytest

from published.printed import cases
from stillbook.catalogue import call


@pytest.mark.parametrize(("formula", "arguments", "expected", "tolerance"), cases("session_cases"))
def test_case(formula, arguments, expected, tolerance):
    assert call(formula, *arguments) == pytest.approx(expected, abs=tolerance)
