"""Sizes of ducts against printed tables and the equation of equal friction."""

import math

import pytest

from published.printed import cases, rows
from stillbook.catalogue import call
from stillbook.trade.ducts.sizes import duct_round, standard_sizes
from stillbook.trade.physics.constants import INCH


@pytest.mark.parametrize(("formula", "arguments", "expected", "tolerance"), cases("duct_cases"))
def test_case(formula, arguments, expected, tolerance):
    assert call(formula, *arguments) == pytest.approx(expected, abs=tolerance)


@pytest.mark.parametrize("row", rows("duct_equivalents"), ids=lambda row: f"{row['width_in']}x{row['height_in']}")
def test_equivalents(row):
    """The printed column was read off a graph to 0.1 in."""
    found = call("DUCTEQUIVALENT", float(row["width_in"]), float(row["height_in"]))
    assert found == pytest.approx(float(row["computed_in"]), abs=0.0006)
    if row["printed_in"]:
        assert found == pytest.approx(float(row["printed_in"]), abs=0.1)


@pytest.mark.parametrize("row", rows("duct_sizes"), ids=lambda row: f"{row['shape']} {row['size']} {row['system']}")
def test_standard_sizes(row):
    """Every listed size is offered; a round one is chosen when it just suffices, and the next when it does not."""
    unit = INCH if row["system"] == "US" else 0.001
    size = float(row["size"]) * unit
    sizes = standard_sizes(row["shape"], row["system"])
    assert min(abs(sizes - size)) < 1e-9
    if row["shape"] == "round":
        airflow = math.pi / 4 * size**2 * 0.5
        assert duct_round(airflow, 0.5, units=row["system"]) == pytest.approx(size)
        larger = duct_round(airflow * 1.001, 0.5, units=row["system"])
        assert math.isnan(larger) if size == sizes[-1] else larger == pytest.approx(min(sizes[sizes > size * 1.001]))
