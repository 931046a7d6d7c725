"""Heat: what is refused, units and altitude."""

import pytest

from stillbook.catalogue import call
from stillbook.cells import Code, ErrorValue
from stillbook.trade.air.altitude import air_thinness


@pytest.mark.parametrize(
    ("formula", "arguments", "code", "reason"),
    [
        ("HEATGAIN", (0, 0, 0), Code.NUMBER, "nothing gives heat"),
        ("HEATGAIN", (1, None, 0), Code.NOT_AVAILABLE, "equipment is blank"),
        ("TEMPERATURERISE", (700, 0), Code.NUMBER, "airflow is 0 cfm"),
        ("TEMPERATURERISE", (20000, 15), Code.NUMBER, "more than 60 K (108 °F) warmer"),
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
        ("HEATGAIN", (0, "1 kW", 0, None, "SI"), 1000),
        ("TEMPERATURERISE", (1207.2, 1000, None, None, None, "SI"), 1.0),
        ("COOLINGAIRFLOW", ("1080 Btu/h", "10 °F"), 100),
        ("COOLINGAIRFLOW", (1207.2, 1, 0, "SI"), 1000),
    ],
)
def test_units(formula, arguments, expected):
    """1207.2 J/m³K is 1.08 Btu/h per cfm and °F."""
    assert call(formula, *arguments) == pytest.approx(expected, rel=1e-4)


def test_rises_by_altitude_in_one_call():
    rises = call("TEMPERATURERISE", 700, 15, [[0, 5000]])
    assert rises[0][1] == pytest.approx(rises[0][0] / air_thinness(1524.0))


def test_the_air_people_need_does_not_cool_the_room():
    """One person and 150 W: 15 cfm leaves the room some 47 °F warmer; holding it to 10 °F takes nearly five times."""
    heat = call("HEATGAIN", 1, 150, 0)
    assert call("TEMPERATURERISE", heat, call("OCCUPANTAIRFLOW", 1)) > 45
    assert call("COOLINGAIRFLOW", heat, 10) > 4.5 * call("OCCUPANTAIRFLOW", 1)
