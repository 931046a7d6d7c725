"""Fans against their laws, the air density tables of the trade, and the standards on leakage."""

import pytest

from published.printed import cases, rows
from stillbook.catalogue import call


@pytest.mark.parametrize(("formula", "arguments", "expected", "tolerance"), cases("fan_cases"))
def test_case(formula, arguments, expected, tolerance):
    assert call(formula, *arguments) == pytest.approx(expected, abs=tolerance)


@pytest.mark.parametrize("row", rows("fan_laws"), ids=lambda row: f"{row['kind']} {row['speed_ratio']}")
def test_fan_laws(row):
    found = call("FANSCALED", float(row["value"]), row["kind"], float(row["speed_ratio"]))
    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("row", rows("density_factors"), ids=lambda row: f"{row['feet']} ft {row['fahrenheit']} F")
def test_density(row):
    """Printed to 0.001, as a product of two such factors."""
    found = call("DENSITYFACTOR", float(row["feet"]), float(row["fahrenheit"]))
    assert found == pytest.approx(float(row["factor"]), abs=0.0011)


@pytest.mark.parametrize("row", rows("door_leakage"), ids=lambda row: f"{row['area_m2']} m2 {row['pascals']} Pa")
def test_leakage(row):
    """Printed in whole litres a second: the pressure they hold is within that rounding."""
    leak = float(row["litres_per_second"])
    least, most = (call("ROOMPRESSURE", leak + half, 0, f"{row['area_m2']} m²", "SI") for half in (-0.51, 0.51))
    assert least <= float(row["pascals"]) <= most


def test_two_fans_against_each_other():
    """Alike fans and paths hold the room level with its surroundings, each at its own crossing: 122.474 cfm by algebra."""
    curve = [[flow, 0.5 * (1 - (flow / 200) ** 2)] for flow in range(201)]
    [[supply, extract, pressure]] = call("FANBALANCE", curve, 120, 0.3, curve, 120, 0.3, 2)
    assert (supply, extract) == pytest.approx((122.474, 122.474), rel=1e-4)
    assert pressure == pytest.approx(0, abs=1e-9)


def test_two_fans_in_a_tight_room():
    """Next to no leak puts the fans in series: 2 × 0.5 (1 - (Q/200)²) = (0.3 + 0.2) (Q/120)², 128.624 cfm by algebra."""
    curve = [[flow, 0.5 * (1 - (flow / 200) ** 2)] for flow in range(201)]
    [[supply, extract, pressure]] = call("FANBALANCE", curve, 120, 0.3, curve, 120, 0.2, 1e-6)
    expected = (1 / (1 / 200**2 + 0.5 / 120**2)) ** 0.5
    assert (supply, extract) == pytest.approx((expected, expected), rel=1e-4)
    assert pressure == pytest.approx(0.5 * (1 - (expected / 200) ** 2) - 0.3 * (expected / 120) ** 2, abs=2e-5)
