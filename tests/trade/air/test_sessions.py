"""A day in a room: rows that follow one another, times between them, and the highest of the day."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stillbook.catalogue import call
from stillbook.cells import Code, ErrorValue
from stillbook.trade.air.people import ROOM_TEMPERATURE, co2_generation

DAY = [[50, 2, 30, 300], [10, 0, 30, 100], [50, 2, 30, 300], [20, 2, 0, 300]]


@pytest.mark.parametrize(
    ("formula", "arguments", "code", "reason"),
    [
        ("SESSIONCO2", (DAY, 168, 131), Code.NUMBER, "the schedule ends before that time"),
        ("SESSIONCO2", (DAY, 168, -1), Code.NUMBER, "time is -1 min: give at least 0 min"),
        ("SESSIONCO2", ([[0, 1, 15, 0]], 168), Code.NUMBER, "schedule, row 1, minutes is 0 min"),
        ("SESSIONCO2", ([[10, 1, None, 0]], 168), Code.NOT_AVAILABLE, "schedule, row 1, airflow is blank"),
        (
            "SESSIONCO2",
            ([[10, 1, 15]], 168),
            Code.VALUE,
            "schedule has 3 columns: give rows of minutes (min), people, airflow (cfm), equipment and lights (W)",
        ),
        ("SESSIONHEAT", (DAY, 131), Code.NUMBER, "the schedule ends before that time"),
        ("SESSIONHEAT", ([[None, "", None, None]],), Code.NOT_AVAILABLE, "schedule is blank"),
    ],
)
def test_reasons(formula, arguments, code, reason):
    answer = call(formula, *arguments)
    assert isinstance(answer, ErrorValue)
    assert answer.code == code
    assert reason in answer.reason


def test_each_row_starts_where_the_last_one_ended():
    at = [0]
    for minutes, *_ in DAY:
        at.append(at[-1] + minutes)
    levels = [row[0] for row in call("SESSIONCO2", DAY, 168, [[time] for time in at])]
    assert levels[0] == 420
    assert levels[1] == pytest.approx(call("CO2LEVEL", 2, 30, 168, 50))
    assert levels[2] < levels[1]
    assert levels[3] == pytest.approx(call("CO2LEVEL", 2, 30, 168, 50, None, None, levels[2]))
    assert levels[4] == pytest.approx(call("CO2LEVEL", 2, 0, 168, 20, None, None, levels[3]))
    assert call("SESSIONCO2", DAY, 168) == pytest.approx(max(levels))


def test_a_column_of_times_with_blanks_and_ends():
    """A blank time is the highest; the end of the schedule is in it, though minutes do not add up to the last digit."""
    thirds = [[0.1, 1, 15, 50]] * 3
    answers = call("SESSIONCO2", thirds, 168, [[0.3], [None], [0.31]])
    assert answers[0][0] == pytest.approx(answers[1][0])
    assert answers[2][0].code == Code.NUMBER
    assert call("SESSIONHEAT", thirds, 0.3) == pytest.approx(call("HEATGAIN", 1, 50, 0))


def test_the_start_counts_as_a_level_of_the_day():
    assert call("SESSIONCO2", [[60, 0, 15, 0]], 168, None, None, None, 2000) == 2000
    assert call("SESSIONCO2", [[60, 0, 15, 0]], 168, 0, None, None, 2000) == 2000


def test_heat_by_row_and_the_greatest():
    times = [[0], [50], [51], [60], [110], [130], [None]]
    heat = [row[0] for row in call("SESSIONHEAT", DAY, times)]
    people, rest = call("HEATGAIN", 2, 300, 0), call("HEATGAIN", 0, 100, 0)
    assert heat == pytest.approx([people, people, rest, rest, people, people, people])


@settings(deadline=None)
@given(
    people=st.lists(st.integers(0, 4), min_size=1, max_size=4),
    airflow=st.sampled_from([0.0, 0.003, 0.02]),
    start=st.floats(420, 3000),
)
def test_against_numerical_integration(people, airflow, start):
    """The mass balance, integrated by scipy row by row."""
    from scipy.integrate import solve_ivp

    level, volume = start, 8.0
    for count in people:
        generated = co2_generation(count, "office work", ROOM_TEMPERATURE, 0.0)
        steps = solve_ivp(
            lambda _, c, g=generated: (g - airflow * (c - 420)) / volume, (0, 1200), [level], rtol=1e-9, atol=1e-9
        )
        level = steps.y[0, -1]
    schedule = [[20, count, airflow * 1000, 0] for count in people]
    found = call("SESSIONCO2", schedule, volume, 20 * len(people), None, None, start, None, None, "SI")
    assert found == pytest.approx(level, rel=1e-6)
