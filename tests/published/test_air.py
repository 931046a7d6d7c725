"""Air against ventilation codes, the published generation of carbon dioxide, and handbook air."""

import psychrolib
import pytest

from published.printed import cases, rows
from stillbook.catalogue import call
from stillbook.tables import table
from stillbook.trade.air.altitude import air_thinness
from stillbook.trade.air.heat import AIR_HEAT_CAPACITY
from stillbook.trade.air.people import CO2_PER_MET, co2_generation, latent_heat, sensible_heat
from stillbook.trade.physics.constants import BTU_PER_HOUR, CFM, FAHRENHEIT_DEGREE, FOOT


@pytest.mark.parametrize(("formula", "arguments", "expected", "tolerance"), cases("air_cases"))
def test_case(formula, arguments, expected, tolerance):
    assert call(formula, *arguments) == pytest.approx(expected, abs=tolerance)


@pytest.mark.parametrize("row", rows("outdoor_air_rates"), ids=lambda row: row["space"])
def test_outdoor_air_rates(row):
    """The combined rate a person at the table's own density; where it was seen, printed in whole cfm."""
    people = float(row["people_per_1000_ft2"])
    a_person = call("OUTDOORAIRFLOW", row["space"], people, 1000) / people
    assert a_person == pytest.approx(float(row["combined_computed"]), abs=0.005)
    if row["combined_printed"]:
        assert a_person == pytest.approx(float(row["combined_printed"]), abs=0.5)
    metric = call("OUTDOORAIRFLOW", row["space"], 10, 100, None, None, "SI")
    assert metric == pytest.approx(10 * float(row["people_l_s"]) + 100 * float(row["area_l_s_m2"]), abs=1e-9)


@pytest.mark.parametrize("row", rows("co2_generation"), ids=lambda row: f"{row['sex']} {row['age']} {row['met']}")
def test_generation(row):
    """Printed for men of 21 to 30 years, to a unit of the last digit; no other adults breathe out more than that rate."""
    generated = CO2_PER_MET * 1000 * float(row["met"])
    if (row["sex"], row["age"]) == ("M", "21 to <30"):
        assert generated == pytest.approx(float(row["litres_per_second"]), abs=0.0001 + 1e-12)
    else:
        assert float(row["litres_per_second"]) <= generated


def test_generation_equation():
    """V = RQ × BMR × met × T/P × 0.000211, Persily & de Jonge 2017, with RQ 0.85, in the air of the room and aloft.

    With a basal rate of 8.24 MJ a day it gives what their table prints for men of 21 to 30 years.
    """
    person = 0.85 * 8.24 * 0.000211
    assert 2 * person * 273 / 101 == pytest.approx(0.0080, abs=0.00005)
    for celsius, metres, kilopascals in ((0, 0, 101.325), (21, 0, 101.325), (27, 1500, 84.55)):
        found = co2_generation(1, "seated quietly", float(celsius), float(metres)) / 1e3
        assert found == pytest.approx(person * (celsius + 273.15) / kilopascals, rel=0.01)


@pytest.mark.parametrize("row", rows("people_heat"), ids=lambda row: row["activity"])
def test_heat_of_people(row):
    """The handbook rounds to 5 W; the row of each activity is the one of its total heat, some 105 W for each met."""
    assert sensible_heat(row["activity"]) == pytest.approx(float(row["sensible_w"]), abs=2.5)
    assert latent_heat(row["activity"]) == pytest.approx(float(row["latent_w"]), abs=5)


def test_who_works_harder_gives_more_of_everything():
    harder = sorted(table("activities"), key=lambda row: float(row["met"]))
    for formula, arguments in (
        ("CO2LEVEL", (2, 40, 400, None)),
        ("HEATGAIN", (2, 0, 0)),
        ("ROOMHUMIDITY", (2, 200, 70, 0.4, 75, None)),
        ("SESSIONHEAT", ([[60, 2, 40, 100]], None)),
    ):
        given = [call(formula, *arguments, row["activity"]) for row in harder]
        assert given == sorted(given) and given[-1] > given[0]


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
