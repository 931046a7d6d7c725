"""Air against ventilation codes, the published generation of carbon dioxide, and handbook air."""

import psychrolib
import pytest

from published.printed import cases, rows
from stillbook.catalogue import call
from stillbook.trade.air.airflow import AIR_HEAT_CAPACITY, CO2_PER_MET, air_thinness
from stillbook.trade.physics.constants import BTU_PER_HOUR, CFM, FAHRENHEIT_DEGREE, FOOT


@pytest.mark.parametrize(("formula", "arguments", "expected", "tolerance"), cases("air_cases"))
def test_case(formula, arguments, expected, tolerance):
    assert call(formula, *arguments) == pytest.approx(expected, abs=tolerance)


@pytest.mark.parametrize("row", rows("outdoor_air_rates"), ids=lambda row: row["space"])
def test_outdoor_air_rates(row):
    """The combined rate a person at the table's own density; printed in whole cfm."""
    people = float(row["people_per_1000_ft2"])
    a_person = call("OUTDOORAIRFLOW", row["space"], people, 1000) / people
    assert a_person == pytest.approx(float(row["combined_computed"]), abs=0.005)
    assert a_person == pytest.approx(float(row["combined_printed"]), abs=0.5)
    metric = call("OUTDOORAIRFLOW", row["space"], 10, 100, None, "SI")
    assert metric == pytest.approx(10 * float(row["people_l_s"]) + 100 * float(row["area_l_s_m2"]), abs=1e-9)


@pytest.mark.parametrize("row", rows("co2_generation"), ids=lambda row: f"{row['sex']} {row['age']} {row['met']}")
def test_generation(row):
    """Printed for men of 21 to 30 years; no other group of adults breathes out more than that rate."""
    generated = CO2_PER_MET * 1000 * float(row["met"])
    if (row["sex"], row["age"]) == ("M", "21 to <30"):
        assert generated == pytest.approx(float(row["litres_per_second"]), abs=0.0001)
    else:
        assert float(row["litres_per_second"]) <= generated


@pytest.mark.parametrize("row", rows("co2_generation")[:6], ids=lambda row: row["met"])
def test_generation_equation(row):
    """V = RQ × BMR × met × T/P × 0.000211, Persily & de Jonge 2017, with RQ 0.85 at 273 K and 101 kPa."""
    litres = 0.85 * float(row["bmr_mj_per_day"]) * float(row["met"]) * 273 / 101 * 0.000211
    assert CO2_PER_MET * 1000 * float(row["met"]) == pytest.approx(litres, abs=0.0001)


@pytest.mark.parametrize("row", rows("altitude"), ids=lambda row: row["feet"])
def test_air_thinness(row):
    assert air_thinness(float(row["feet"]) * FOOT) == pytest.approx(float(row["share"]), abs=0.0002)


def test_air_thinness_against_psychrolib():
    psychrolib.SetUnitSystem(psychrolib.SI)
    for metres in (0, 300, 1500, 3000):
        expected = psychrolib.GetStandardAtmPressure(metres) / psychrolib.GetStandardAtmPressure(0)
        assert air_thinness(float(metres)) == pytest.approx(expected, abs=0.0002)


def test_heat_capacity_against_psychrolib():
    """Dry air at 70 °F and sea level; handbooks round its 1.079 to 1.08."""
    psychrolib.SetUnitSystem(psychrolib.IP)
    density = psychrolib.GetDryAirDensity(70, 14.696)
    heat = psychrolib.GetDryAirEnthalpy(71) - psychrolib.GetDryAirEnthalpy(70)
    factor = AIR_HEAT_CAPACITY * CFM * FAHRENHEIT_DEGREE / BTU_PER_HOUR
    assert factor == pytest.approx(60 * density * heat, abs=0.005)
