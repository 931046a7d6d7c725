"""Masses of sheets, boards, masonry and doors against handbook tables, codes and the gauge rule."""

import pytest

from published.printed import cases
from stillbook import catalogue


@pytest.mark.parametrize(("formula", "arguments", "expected", "tolerance"), cases("mass"))
def test_a_published_mass(formula, arguments, expected, tolerance):
    assert catalogue.call(formula, *arguments) == pytest.approx(expected, rel=0, abs=tolerance)


@pytest.mark.parametrize(("sheet", "name"), [("1/64", 1), ("1/32", 2), ("1/16", 4), ("1/8", 8), ("1/4", 16)])
def test_lead_weighs_less_than_its_trade_name(sheet, name):
    """Common practice, no source: 1 lb sheet is nominally 1/64 in; at 11340 kg/m³ that is 8 percent less."""
    assert name / catalogue.call("SURFACEMASS", f"Lead sheet {sheet} in") == pytest.approx(1.085, abs=0.0005)
