"""Moisture: where there is none to speak of, where there is too much, and the core that frosts."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stillbook.catalogue import call
from stillbook.cells import Code, ErrorValue
from stillbook.trade.air.humidity import dew_point, recovery_air, room_humidity


@pytest.mark.parametrize(
    ("formula", "arguments", "code", "reason"),
    [
        ("DEWPOINT", (70, 0), Code.NUMBER, "humidity is 0: give at least 0.001 and at most 1"),
        ("DEWPOINT", (70, 50), Code.NUMBER, "humidity is 50"),
        ("DEWPOINT", ("70 cfm", 0.5), Code.VALUE, "is an airflow where a temperature is needed"),
        ("ROOMHUMIDITY", (1, 0, 70, 0.5, 75), Code.NUMBER, "airflow is 0 cfm"),
        ("ROOMHUMIDITY", (20, 15, 70, 0.9, 70), Code.NUMBER, "wetter than air can be: give more airflow"),
        ("RECOVERYAIR", (20, 0.8, 70, 0.4, 1), Code.NUMBER, "sensible is 1: give more than 0 and less than 1"),
        ("RECOVERYAIR", (20, 0.8, 70, 0.4, None), Code.NOT_AVAILABLE, "sensible is blank"),
        ("RECOVERYAIR", (20, 0.8, 70, 0.4, 0.9, 1), Code.NUMBER, "latent is 1: give at least 0 and less than 1"),
    ],
)
def test_reasons(formula, arguments, code, reason):
    answer = call(formula, *arguments)
    assert isinstance(answer, ErrorValue)
    assert answer.code == code
    assert reason in answer.reason


@settings(deadline=None)
@given(temperature=st.floats(-20, 45), humidity=st.floats(0.05, 1))
def test_the_dew_point_is_no_warmer_than_the_air(temperature, humidity):
    assert dew_point(temperature, humidity) <= temperature + 1e-3


def test_people_make_it_damper_and_air_drier():
    few, many = (room_humidity(n, 0.007, 21, 0.5, 24) for n in (1, 2))
    assert room_humidity(0, 0.007, 21, 0.5, 24) < few < many
    assert room_humidity(2, 0.05, 21, 0.5, 24) < few


def test_thin_air_holds_as_much_moisture():
    """A person adds as much to each cubic metre, and it takes as much to fill one."""
    assert room_humidity(1, 0.007, 21, 0.5, 24, 2000.0) == pytest.approx(
        room_humidity(1, 0.007, 21, 0.5, 24), rel=0.005
    )


def test_recovery_by_outdoor_temperature_in_one_call():
    """A plate core of 75 % from a room of 70 °F and 40 %: condenses below some 35 °F, frosts below some 26 °F."""
    rows = call("RECOVERYAIR", [[50], [32], [20], [-10]], 0.8, 70, 0.4, 0.75)
    assert [row[3] for row in rows] == ["dry", "condenses", "frost", "frost"]
    assert [row[0] for row in rows] == pytest.approx([65, 60.5, 57.5, 50])
    assert [row[2] for row in rows] == pytest.approx([55, 41.5, 32.5, 10])


def test_a_core_that_hands_on_moisture_frosts_later_and_keeps_the_room_damper():
    plate, core = (call("RECOVERYAIR", 24, 0.8, 70, 0.3, 0.75, latent)[0] for latent in (None, 0.6))
    assert plate[3] == "frost" and core[3] == "dry"
    assert core[1] > plate[1]
    assert (core[0], core[2]) == (plate[0], plate[2])
    assert plate[4] < 0.75 * 0.9 < core[4] < 0.75


def test_the_total_lies_between_the_sensible_and_the_latent():
    for latent in (0.0, 0.3, 0.6):
        total = call("RECOVERYAIR", 20, 0.8, 70, 0.4, 0.75, latent)[0][4]
        assert latent < total < 0.75
    # Warm vapour carries a little more heat, so that the total of two alike is alike but for that.
    assert call("RECOVERYAIR", 20, 0.8, 70, 0.4, 0.6, 0.6)[0][4] == pytest.approx(0.6, abs=0.002)


def test_no_difference_has_no_effectiveness():
    assert call("RECOVERYAIR", 70, 0.5, 70, 0.5, 0.75)[0][4].code == Code.NUMBER


def test_hot_damp_weather_condenses_on_the_supply_side():
    assert call("RECOVERYAIR", 95, 0.9, 70, 0.5, 0.75)[0][3] == "condenses"
    assert call("RECOVERYAIR", 95, 0.3, 75, 0.5, 0.75)[0][3] == "dry"


@settings(deadline=None)
@given(
    outdoor=st.floats(-30, 40),
    humidity=st.floats(0.1, 1),
    sensible=st.floats(0.3, 0.95),
)
def test_supply_and_exhaust_share_the_difference(outdoor, humidity, sensible):
    supply, damp, exhaust, word, _ = recovery_air(outdoor, humidity, 21, 0.4, sensible)
    assert supply + exhaust == pytest.approx(outdoor + 21)
    assert 0 < damp <= 1
    assert word in ("dry", "condenses", "frost")
