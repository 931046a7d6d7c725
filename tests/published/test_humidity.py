"""Moist air against dew point tables, a worked room and worked recovery ventilators."""

import json

import psychrolib
import pytest

from published.printed import cases, rows
from stillbook.catalogue import call
from stillbook.trade.air.humidity import VAPOUR_HEAT
from stillbook.trade.air.people import latent_heat
from stillbook.trade.physics.constants import BTU_PER_HOUR, CFM, STANDARD_AIR_DENSITY


@pytest.mark.parametrize(("formula", "arguments", "expected", "tolerance"), cases("humidity_cases"))
def test_case(formula, arguments, expected, tolerance):
    assert call(formula, *arguments) == pytest.approx(expected, abs=tolerance)


@pytest.mark.parametrize("row", rows("dew_points"), ids=lambda row: f"{row['celsius']} C {row['percent']}")
def test_dew_points(row):
    """Printed to 0.1 °C by Magnus' formula, which departs from the one taken here by less than that."""
    found = call("DEWPOINT", float(row["celsius"]), float(row["percent"]) / 100, "SI")
    assert found == pytest.approx(float(row["dew_point"]), abs=0.1)


@pytest.mark.parametrize("row", rows("recovery_cases"), ids=lambda row: row["case"])
def test_recovery(row):
    [cells] = call("RECOVERYAIR", *json.loads(row["arguments"]))
    assert cells[int(row["column"]) - 1] == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


def test_latent_factor():
    """0.075 lb/ft³ × 60 × 1076 Btu/lb is 4842, 4840 in handbooks; a person in 15 cfm adds 14.94 grains a pound by it."""
    factor = STANDARD_AIR_DENSITY * VAPOUR_HEAT * CFM / BTU_PER_HOUR
    assert factor == pytest.approx(4842, abs=0.5)
    grains = 7000 * latent_heat("office work") / (STANDARD_AIR_DENSITY * VAPOUR_HEAT * 15 * CFM)
    assert grains == pytest.approx(14.94, abs=0.01)


@pytest.mark.parametrize("latent", [0, 0.4, 0.7])
@pytest.mark.parametrize("outdoor", [[20, 0.8], [0, 0.9], [95, 0.48]])
def test_total_effectiveness_is_of_enthalpy(outdoor, latent):
    """e = (h2 - h1)/(h3 - h1), ASHRAE 84, by psychrolib in its other unit system."""
    room = (75, 0.5) if outdoor[0] > 75 else (70, 0.4)
    temperature, humidity, _, _, total = call("RECOVERYAIR", *outdoor, *room, 0.75, latent)[0]
    psychrolib.SetUnitSystem(psychrolib.IP)
    before, after, most = (
        psychrolib.GetMoistAirEnthalpy(t, psychrolib.GetHumRatioFromRelHum(t, h, 14.6959))
        for t, h in (outdoor, (temperature, humidity), room)
    )
    assert (after - before) / (most - before) == pytest.approx(total, abs=0.001)
