"""Air: how the formulas treat ranges, blanks and questions without an answer."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from stillbook.catalogue import call, find
from stillbook.cells import Code, ErrorValue
from stillbook.tables import table
from stillbook.trade.air.airflow import CO2_PER_MET, air_thinness, co2_level, co2_minutes

PEOPLE = st.floats(0.5, 20)
AIRFLOWS = st.floats(1e-4, 0.5)
VOLUMES = st.floats(2, 500)


@pytest.mark.parametrize(
    ("formula", "arguments", "code", "reason"),
    [
        ("OCCUPANTAIRFLOW", (0,), Code.NUMBER, "people is 0: give more than 0"),
        ("OCCUPANTAIRFLOW", (None,), Code.NOT_AVAILABLE, "people is blank"),
        (
            "OUTDOORAIRFLOW",
            ("attic", 1, 24),
            Code.VALUE,
            'space type "attic" is not known: give one of "studio or stage"',
        ),
        ("OUTDOORAIRFLOW", ("office", 1, 24, 0), Code.NUMBER, "effectiveness is 0"),
        ("OUTDOORAIRFLOW", ("office", 1, "24 ft"), Code.VALUE, "is a length where an area is needed"),
        ("AIRCHANGES", (0, 168), Code.NUMBER, "airflow is 0 cfm: give more than 0 cfm"),
        ("CO2LEVEL", (1, 0, 168), Code.NUMBER, "without any air the level never settles"),
        ("CO2LEVEL", (1, 15, 168, 0), Code.NUMBER, "minutes is 0 min: give more than 0 min"),
        ("CO2LEVEL", (1, 15, 168, 30, "asleep"), Code.VALUE, 'give one of "seated quietly"'),
        ("CO2LEVEL", (1, 15, 168, 30, None, 0), Code.NUMBER, "outdoor is 0 ppm: give at least 250 ppm"),
        ("CO2MINUTES", (1, 15, 168, 2000), Code.NUMBER, "the level is never reached"),
        ("CO2MINUTES", (1, 15, 168, 400), Code.NUMBER, "the air already stands above it"),
        ("HEATGAIN", (0, 0, 0), Code.NUMBER, "nothing gives heat"),
        ("HEATGAIN", (1, None, 0), Code.NOT_AVAILABLE, "equipment is blank"),
        ("TEMPERATURERISE", (700, 0), Code.NUMBER, "airflow is 0 cfm"),
        ("TEMPERATURERISE", ("70 F", 15), Code.VALUE, "is a temperature where a heat is needed"),
        ("COOLINGAIRFLOW", (700, 0), Code.NUMBER, "rise is 0 °F: give more than 0 °F"),
    ],
)
def test_reasons(formula, arguments, code, reason):
    answer = call(formula, *arguments)
    assert isinstance(answer, ErrorValue)
    assert answer.code == code
    assert reason in answer.reason


@pytest.mark.parametrize(
    ("formula", "arguments", "expected"),
    [
        ("OCCUPANTAIRFLOW", (2, "20 cfm"), 40),
        ("OCCUPANTAIRFLOW", (1, None, "SI"), 7.0792116),
        ("OUTDOORAIRFLOW", ("Studio or Stage", 1, "24 sq ft"), 11.44),
        ("AIRCHANGES", ("10 L/s", 3.6, "SI"), 10),
        ("HEATGAIN", (0, "1 kW", 0, "SI"), 1000),
        ("TEMPERATURERISE", (1207.2, 1000, None, "SI"), 1.0),
        ("COOLINGAIRFLOW", ("1080 Btu/h", "10 °F"), 100),
        ("COOLINGAIRFLOW", (1207.2, 1, 0, "SI"), 1000),
    ],
)
def test_units(formula, arguments, expected):
    """1207.2 J/m³K is 1.08 Btu/h per cfm and °F."""
    assert call(formula, *arguments) == pytest.approx(expected, rel=1e-4)


def test_a_schedule_of_rooms_is_one_call():
    levels = call("CO2LEVEL", [[1], [2], [1]], 15, 168, [[5], [None], [0]], [["singing"], [None], ["talking"]])
    assert levels[0][0] == pytest.approx(call("CO2LEVEL", 1, 15, 168, 5, "singing"))
    assert levels[1][0] == pytest.approx(call("CO2LEVEL", 2, 15, 168))
    assert levels[2][0].code == Code.NUMBER


def test_rises_by_altitude_in_one_call():
    rises = call("TEMPERATURERISE", 700, 15, [[0, 5000]])
    assert rises[0][1] == pytest.approx(rises[0][0] / air_thinness(1524.0))


@settings(deadline=None)
@given(people=PEOPLE, airflow=AIRFLOWS, volume=VOLUMES, minutes=st.floats(0.1, 600))
def test_minutes_undo_level(people, airflow, volume, minutes):
    reached = co2_level(people, airflow, volume, minutes)
    settled = co2_level(people, airflow, volume)
    assert 420 < reached <= settled * (1 + 1e-12)
    if reached < 420 + 0.999 * (settled - 420):
        assert co2_minutes(people, airflow, volume, reached) == pytest.approx(minutes, rel=1e-6)


@settings(deadline=None)
@given(people=PEOPLE, airflow=AIRFLOWS, volume=VOLUMES, minutes=st.floats(0.1, 600), start=st.floats(420, 5000))
def test_minutes_undo_level_from_any_start(people, airflow, volume, minutes, start):
    reached = co2_level(people, airflow, volume, minutes, start=start)
    settled = co2_level(people, airflow, volume)
    assert min(start, settled) * (1 - 1e-12) <= reached <= max(start, settled) * (1 + 1e-12)
    if start + 1 < reached < settled - 0.001 * (settled - 420):
        assert co2_minutes(people, airflow, volume, reached, start=start) == pytest.approx(minutes, rel=1e-6)
    if start > settled:
        assert np.isnan(co2_minutes(people, airflow, volume, start + 1, start=start))


def test_a_fan_that_stops():
    """The room starts from where it had settled: less time to 5000 ppm than from fresh air."""
    settled = call("CO2LEVEL", 1, 15, 168)
    left = call("CO2MINUTES", 1, 0, 168, 5000, None, None, settled)
    assert left == pytest.approx((5000 - settled) / 60.54, rel=1e-3)
    assert left < call("CO2MINUTES", 1, 0, 168, 5000)
    levels = call("CO2LEVEL", 1, 0, 168, left, None, None, [[settled], [None]])
    assert levels[0][0] == pytest.approx(5000)
    assert levels[1][0] == pytest.approx(call("CO2LEVEL", 1, 0, 168, left))


@pytest.mark.parametrize("airflow", [0.0, 1e-9, 0.001, 0.007, 0.05])
def test_level_against_numerical_integration(airflow):
    """The mass balance dC/dt = (1e6 G - Q (C - Cout)) / V, integrated by scipy."""
    volume, generated = 4.757, 1e6 * CO2_PER_MET * 1.2
    steps = solve_ivp(
        lambda _, level: (generated - airflow * (level - 420)) / volume, (0, 3600), [420.0], rtol=1e-9, atol=1e-9
    )
    assert co2_level(1, airflow, volume, 60.0) == pytest.approx(steps.y[0, -1], rel=1e-6)


def test_the_air_people_need_does_not_cool_the_room():
    """One person and 150 W: 15 cfm leaves the room some 47 °F warmer; holding it to 10 °F takes nearly five times."""
    heat = call("HEATGAIN", 1, 150, 0)
    assert call("TEMPERATURERISE", heat, call("OCCUPANTAIRFLOW", 1)) > 45
    assert call("COOLINGAIRFLOW", heat, 10) > 4.5 * call("OCCUPANTAIRFLOW", 1)


def test_drop_downs_come_from_the_tables():
    space = find("OUTDOORAIRFLOW").parameters[0].reader
    activity = find("CO2LEVEL").parameters[4].reader
    assert space.choices == tuple(row["space"] for row in table("outdoor_air"))
    assert activity.choices == tuple(row["activity"] for row in table("activities"))


def test_every_row_tells_how_sure_it_is():
    for name in ("outdoor_air", "activities"):
        assert all(row["confidence"] for row in table(name))


def test_numbers_from_python_are_plain():
    assert np.ndim(co2_level(1, 0.007, 4.757)) == 0
