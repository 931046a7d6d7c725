"""Cells compared number by number."""

import pytest


def near(expected):
    """A number, or rows of cells in which words are alike and numbers near."""
    if isinstance(expected, list):
        return [[cell if isinstance(cell, str) else pytest.approx(cell, rel=1e-9) for cell in row] for row in expected]
    return pytest.approx(expected, rel=1e-9)
