"""Sheets, screws, studs, packs and hours against textbooks and public take-off guides."""

import pytest

from published.printed import cases
from stillbook import catalogue


@pytest.mark.parametrize(("formula", "arguments", "expected", "tolerance"), cases("takeoff"))
def test_a_published_example(formula, arguments, expected, tolerance):
    assert catalogue.call(formula, *arguments) == pytest.approx(expected, rel=0, abs=tolerance)


def test_studs_added_at_corners_junctions_and_openings():
    """Modern Carpentry (2022), section 11.15.1: 12 corners, 10 junctions and 20 openings add 84 studs (seen).

    The book's total of 264 leaves out the stud that closes the last space, which the other textbook counts.
    """
    plain = catalogue.call("STUDS", 240, 16)
    assert plain == 180 + 1
    assert catalogue.call("STUDS", 240, 16, 12 + 10, 20, 2) - plain == 84


def test_studs_added_at_openings_of_a_partition():
    """Peterson and Dagostino, section 16-2: 13 openings at 3, 11 junctions and 4 corners at 2 add 69 studs (seen)."""
    assert catalogue.call("STUDS", 240, 16, 11 + 4, 13) - catalogue.call("STUDS", 240, 16) == 39 + 22 + 8
