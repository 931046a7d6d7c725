"""Cooling loads and surfaces of insulation: reasons, and what adds up."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillbook.catalogue import call
from stillbook.cells import Code

DAMP = (15, 95, 0.4, 75, 0.5)


@pytest.mark.parametrize(
    ("formula", "arguments", "code", "reason"),
    [
        ("COOLINGLOAD", (1, 150, 50, 15, 95, None, 75, 0.5), Code.NOT_AVAILABLE, "outdoor humidity is blank"),
        ("COOLINGLOAD", (1, 150, 50, 15, 95, 1.5, 75, 0.5), Code.NUMBER, "outdoor humidity is 1.5"),
        ("INSULATEDSURFACE", (55, 80, -1, "0.04 W/m/K", "0.125 m²·K/W"), Code.NUMBER, "thickness is -1 in"),
        ("INSULATEDSURFACE", (55, 80, 1, None, "0.125 m²·K/W"), Code.NOT_AVAILABLE, "conductivity is blank"),
    ],
)
def test_reasons(formula, arguments, code, reason):
    answer = call(formula, *arguments)
    assert answer.code == code
    assert reason in answer.reason


def test_a_room_that_cools_itself_has_no_load():
    (cells,) = call("COOLINGLOAD", 0, 100, 0, 100, 30, 0.5, 75, 0.4)
    assert {cell.code for cell in cells} == {Code.NUMBER}


def test_the_parts_add_up_and_dry_air_takes_no_moisture_away_below_nothing():
    total, sensible, latent, share = call("COOLINGLOAD", 1, 150, 50, *DAMP)[0]
    assert (total, share) == pytest.approx((sensible + latent, sensible / total))
    more = call("COOLINGLOAD", 2, 150, 50, *DAMP)[0]
    assert [more[1] - sensible, more[2] - latent] == pytest.approx([245, 155])
    assert call("COOLINGLOAD", 0, 150, 50, 15, 95, 0.05, 75, 0.5)[0][2] == 0


def test_the_air_outdoors_lies_round_the_shell_unless_told():
    shell = (0, "100 ft²", "10 ft²·h·°F/Btu")
    assert call("COOLINGLOAD", 1, 150, 50, *DAMP, *shell) == call("COOLINGLOAD", 1, 150, 50, *DAMP, *shell, 95)
    indoors = call("COOLINGLOAD", 1, 150, 50, *DAMP, *shell, 75)[0]
    assert indoors == pytest.approx(call("COOLINGLOAD", 1, 150, 50, *DAMP)[0])


def test_thin_air_brings_less_heat():
    low, high = (call("COOLINGLOAD", 0, 0, 0, *DAMP, 0, 0, None, None, None, feet)[0] for feet in (0, 5000))
    assert high[1] / low[1] == pytest.approx(0.832, abs=0.001)


@given(inside=st.floats(0, 60), thickness=st.floats(0, 0.1), diameter=st.none() | st.floats(0.01, 1))
def test_a_surface_lies_between_inside_and_room(inside, thickness, diameter):
    layer = ("0.04 W/m/K", "0.12 m²·K/W", f"{diameter:.4f} m" if diameter else None, "SI")
    found = call("INSULATEDSURFACE", f"{inside:.4f} °C", "25 °C", f"{thickness:.4f} m", *layer)
    assert min(inside, 25) - 1e-4 <= found <= max(inside, 25) + 1e-4
    if thickness < 0.00005:
        assert found == pytest.approx(inside, abs=1e-4)


@given(thickness=st.floats(0.005, 0.1), diameter=st.floats(0.02, 1))
def test_a_round_layer_keeps_more_heat_than_a_flat_one(thickness, diameter):
    layer = ("0.04 W/m/K", "0.12 m²·K/W")
    flat = call("INSULATEDSURFACE", "10 °C", "25 °C", f"{thickness:.4f} m", *layer, None, "SI")
    assert call("INSULATEDSURFACE", "10 °C", "25 °C", f"{thickness:.4f} m", *layer, f"{diameter:.4f} m", "SI") >= flat
