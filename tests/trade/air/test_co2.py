"""Carbon dioxide: ranges, blanks, questions without an answer, and the mass balance."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stillbook.catalogue import call
from stillbook.cells import Code, ErrorValue
from stillbook.trade.air.altitude import air_thinness
from stillbook.trade.air.co2 import MOST_CO2, co2_level, co2_minutes
from stillbook.trade.air.people import ROOM_TEMPERATURE, co2_generation

PEOPLE = st.floats(0.5, 20)


AIRFLOWS = st.floats(1e-4, 0.5)


VOLUMES = st.floats(2, 500)


@pytest.mark.parametrize(
    ("formula", "arguments", "code", "reason"),
    [
        ("CO2LEVEL", (1, 0, 168), Code.NUMBER, "without any air the level never settles"),
        ("CO2LEVEL", (1, 15, 168, 0), Code.NUMBER, "minutes is 0 min: give more than 0 min"),
        ("CO2LEVEL", (1, 15, 168, 30, "asleep"), Code.VALUE, 'give one of "seated quietly"'),
        ("CO2LEVEL", (1, 15, 168, 30, None, 0), Code.NUMBER, "outdoor is 0 ppm: give at least 250 ppm"),
        ("CO2MINUTES", (1, 15, 168, 2000), Code.NUMBER, "the level is never reached"),
        ("CO2LEVEL", (60, 0, 168, 600), Code.NUMBER, "above 100,000 ppm people lose consciousness"),
        ("CO2LEVEL", (1, 0.001, 168), Code.NUMBER, "above 100,000 ppm people lose consciousness"),
    ],
)
def test_reasons(formula, arguments, code, reason):
    answer = call(formula, *arguments)
    assert isinstance(answer, ErrorValue)
    assert answer.code == code
    assert reason in answer.reason


def test_a_schedule_of_rooms_is_one_call():
    levels = call("CO2LEVEL", [[1], [2], [1]], 15, 168, [[5], [None], [0]], [["singing"], [None], ["talking"]])
    assert levels[0][0] == pytest.approx(call("CO2LEVEL", 1, 15, 168, 5, "singing"))
    assert levels[1][0] == pytest.approx(call("CO2LEVEL", 2, 15, 168))
    assert levels[2][0].code == Code.NUMBER


@settings(deadline=None)
@given(people=PEOPLE, airflow=AIRFLOWS, volume=VOLUMES, minutes=st.floats(0.1, 600))
def test_minutes_undo_level(people, airflow, volume, minutes):
    reached = co2_level(people, airflow, volume, minutes)
    settled = co2_level(people, airflow, volume)
    if np.isnan(reached) or np.isnan(settled):
        assert co2_level(people, max(airflow, 1.0), volume, minutes) <= MOST_CO2
        return
    assert 420 < reached <= settled * (1 + 1e-12)
    if reached < 420 + 0.999 * (settled - 420):
        assert co2_minutes(people, airflow, volume, reached) == pytest.approx(minutes, rel=1e-6)


@settings(deadline=None)
@given(people=PEOPLE, airflow=AIRFLOWS, volume=VOLUMES, minutes=st.floats(0.1, 600), start=st.floats(420, 5000))
def test_minutes_undo_level_from_any_start(people, airflow, volume, minutes, start):
    reached = co2_level(people, airflow, volume, minutes, start=start)
    settled = co2_level(people, airflow, volume)
    if np.isnan(settled) or np.isnan(reached):
        return
    assert min(start, settled) * (1 - 1e-12) <= reached <= max(start, settled) * (1 + 1e-12)
    if start + 1 < reached < settled - 0.001 * (settled - 420):
        assert co2_minutes(people, airflow, volume, reached, start=start) == pytest.approx(minutes, rel=1e-6)
    if start > settled:
        assert np.isnan(co2_minutes(people, airflow, volume, start + 1, start=start))


def test_a_fan_that_stops():
    """The room starts from where it had settled: less time to 5000 ppm than from fresh air."""
    settled = call("CO2LEVEL", 1, 15, 168)
    left = call("CO2MINUTES", 1, 0, 168, 5000, None, None, settled)
    assert left == pytest.approx((5000 - settled) / 65.04, rel=1e-3)
    assert left < call("CO2MINUTES", 1, 0, 168, 5000)
    levels = call("CO2LEVEL", 1, 0, 168, left, None, None, [[settled], [None]])
    assert levels[0][0] == pytest.approx(5000)
    assert levels[1][0] == pytest.approx(call("CO2LEVEL", 1, 0, 168, left))


@pytest.mark.parametrize("airflow", [0.0, 1e-9, 0.001, 0.007, 0.05])
def test_level_against_numerical_integration(airflow):
    """The mass balance dC/dt = (1e6 G - Q (C - Cout)) / V, integrated by scipy."""
    from scipy.integrate import solve_ivp

    volume, generated = 4.757, co2_generation(1, "office work", ROOM_TEMPERATURE, 0.0)
    steps = solve_ivp(
        lambda _, level: (generated - airflow * (level - 420)) / volume, (0, 3600), [420.0], rtol=1e-9, atol=1e-9
    )
    assert co2_level(1, airflow, volume, 60.0) == pytest.approx(steps.y[0, -1], rel=1e-6)


def test_numbers_from_python_are_plain():
    assert np.ndim(co2_level(1, 0.007, 4.757)) == 0


@pytest.mark.parametrize("activity", ["talking", "drumming"])
@pytest.mark.parametrize("limit", [2000, 5000])
def test_minutes_are_0_where_the_level_is_reached_already(activity, limit):
    assert call("CO2MINUTES", 4, 0, 168, limit, activity, None, limit) == 0
    assert call("CO2MINUTES", 4, 5, 168, limit, activity, None, limit + 1) == 0
    assert call("CO2MINUTES", 1, 15, 168, 400) == 0


def test_warm_and_thin_air_hold_more_of_it():
    rises = [call("CO2LEVEL", 1, 15, 168, None, None, None, None, *state) - 420 for state in ((32,), (95,), (32, 5000))]
    assert rises[1] / rises[0] == pytest.approx((95 + 459.67) / (32 + 459.67))
    assert rises[2] / rises[0] == pytest.approx(1 / air_thinness(1524.0))
