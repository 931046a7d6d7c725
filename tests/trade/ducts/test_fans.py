"""Fans: curves that cross and curves that do not, speed, thin air, and two fans in one room."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stillbook.catalogue import call
from stillbook.cells import Code, ErrorValue
from stillbook.trade.ducts.fans import fan_balance, fan_flow, fan_pressure, room_pressure

CURVE = [[0, 0.5], [100, 0.375], [200, 0]]
DIPPED = [[0, 0.5], [50, 0.05], [100, 0.4], [200, 0]]


@pytest.mark.parametrize(
    ("formula", "arguments", "code", "reason"),
    [
        (
            "FANFLOW",
            ([[1, 2, 3]], 1, 1),
            Code.VALUE,
            "curve has 3 columns: give rows of airflow (cfm), pressure (in.wg)",
        ),
        ("FANFLOW", ([[None, ""]], 1, 1), Code.NOT_AVAILABLE, "curve is blank"),
        ("FANFLOW", ([[0, 0.5], [100, None]], 1, 1), Code.NOT_AVAILABLE, "curve, row 2, pressure is blank"),
        ("FANFLOW", (ErrorValue(Code.DIVISION), 1, 1), Code.DIVISION, "#DIV/0!"),
        ("FANFLOW", ([[100, 0.5]], 1, 1), Code.NUMBER, "two or more points"),
        ("FANFLOW", ([[100, 0.5], [100, 0.4]], 1, 1), Code.NUMBER, "each at an airflow of its own"),
        ("FANFLOW", ([[100, 0.1], [200, 0]], 100, 0.3), Code.NUMBER, "more pressure than the fan has"),
        ("FANFLOW", ([[0, 0.5], [100, 0.4]], 100, 0.3), Code.NUMBER, "ends before the system curve"),
        ("FANFLOW", (DIPPED, 100, 0.3), Code.NUMBER, "more than once"),
        ("FANPRESSURE", (CURVE, 250), Code.NUMBER, "the fan curve does not reach this airflow"),
        ("FANPRESSURE", ([[50, 0.4], [100, 0.3]], 40), Code.NUMBER, "the fan curve does not reach this airflow"),
        ("FANPRESSURE", (CURVE, 150, 0.5), Code.NUMBER, "the fan curve does not reach this airflow"),
        ("FANPRESSURE", ([[100, 0.5]], 100), Code.NUMBER, "two or more points"),
        ("FANSCALED", (1, "noise", 2), Code.VALUE, 'give one of "airflow", "pressure", "power", "sound"'),
        ("FANSCALED", (1, "power", 0), Code.NUMBER, "speed ratio is 0"),
        ("DENSITYFACTOR", (0, 1000), Code.NUMBER, "temperature is 1000 °F"),
        ("ROOMPRESSURE", (30, 20, 0), Code.NUMBER, "leak area is 0 in²: give more than 0 in²"),
        ("ROOMPRESSURE", (30, None, 2), Code.NOT_AVAILABLE, "extract is blank"),
        ("FANBALANCE", (DIPPED, 120, 0.3, CURVE, 120, 0.3, 2), Code.NUMBER, "must fall from point to point"),
        (
            "FANBALANCE",
            (CURVE, 120, 0.3, [[0, 0.5], [60, 0.4]], 120, 0.3, 2),
            Code.NUMBER,
            "the extract fan's curve ends before the fans come into balance: give points at more airflow",
        ),
        (
            "FANBALANCE",
            ([[150, 0.5], [300, 0]], 120, 0.6, CURVE, 120, 0.3, 2),
            Code.NUMBER,
            "the supply fan's curve ends before the fans come into balance: give points at less airflow",
        ),
    ],
)
def test_reasons(formula, arguments, code, reason):
    answer = call(formula, *arguments)
    assert isinstance(answer, ErrorValue)
    assert answer.code == code
    assert reason in answer.reason


@pytest.mark.parametrize(
    ("curve", "flow", "loss", "expected"),
    [
        # On the piece from 100 to 200 cfm: 0.75 - 0.00375 q = 0.375 (q/120)².
        (CURVE, 120, 0.375, 112.3475),
        (CURVE[::-1], 120, 0.375, 112.3475),
        ([*CURVE, [None, None]], 120, 0.375, 112.3475),
        # Exactly at a point of the curve, and at its end.
        (CURVE, 100, 0.375, 100),
        (CURVE, 50, 0.375 / 4, 100),
        ([[50, 0.4], [100, 0.3]], 100, 0.3, 100),
        ([[50, 0.4], [100, 0.1]], 50, 0.4, 50),
    ],
)
def test_fan_flow(curve, flow, loss, expected):
    assert call("FANFLOW", curve, flow, loss) == pytest.approx(expected, abs=5e-5)


def test_fan_flow_in_si():
    curve = [[0, 125], [100, 0]]
    flow = call("FANFLOW", curve, 50, 62.5, "SI")
    assert 125 * (1 - flow / 100) == pytest.approx(62.5 * (flow / 50) ** 2)


def test_pressure_along_a_curve_at_two_speeds():
    """A column of airflows gives the line of a chart; half the speed has a quarter of the pressure at half the air."""
    line = call("FANPRESSURE", CURVE, [[0], [50], [100], [150], [200]])
    assert [row[0] for row in line] == pytest.approx([0.5, 0.4375, 0.375, 0.1875, 0])
    assert call("FANPRESSURE", CURVE, 75, 0.5) == pytest.approx(0.1875 / 4)


def test_the_speed_that_gives_the_design_airflow():
    """Design airflow over the airflow at full speed; at that speed the fan has just the loss of the path."""
    full = call("FANFLOW", CURVE, 80, 0.1)
    assert call("FANPRESSURE", CURVE, 80, 80 / full) == pytest.approx(0.1)


def test_thin_and_warm_air():
    assert call("DENSITYFACTOR") == pytest.approx(1)
    assert call("DENSITYFACTOR", 0, 21.1111, "SI") == pytest.approx(1, abs=1e-5)
    assert call("DENSITYFACTOR", None, 120) < 1 < call("DENSITYFACTOR", None, 30)
    assert call("DENSITYFACTOR", [[0], [5000]], 100)[1][0] == pytest.approx(
        call("DENSITYFACTOR", 5000) * call("DENSITYFACTOR", 0, 100)
    )


# --- the room between two fans ----------------------------------------------------------------------------------------


@settings(deadline=None)
@given(extra=st.floats(-0.05, 0.05), leak=st.floats(1e-4, 0.1))
def test_the_leak_carries_what_the_fans_leave(extra, leak):
    pressure = room_pressure(0.05 + extra, 0.05, leak)
    assert 0.83 * leak * abs(pressure) ** 0.5 == pytest.approx(abs(extra), abs=1e-12)
    assert pressure * extra >= 0


def test_one_fan_needs_a_way_for_its_air():
    """30 cfm through the 2 in² a good seal leaves, against 60 in² of a transfer duct."""
    assert call("ROOMPRESSURE", 0, 30, 2) < -0.5
    assert -0.001 < call("ROOMPRESSURE", 0, 30, 60) < 0


CURVES = st.tuples(st.floats(0.02, 0.2), st.floats(20, 300)).map(lambda end: ((0.0, end[0] / 2, end[0]), end[1]))


def curve_of(flows, highest):
    import numpy as np

    return np.array(flows), np.array([highest, highest * 0.75, 0.0])


@settings(deadline=None)
@given(
    supply=CURVES,
    extract=CURVES,
    losses=st.tuples(st.floats(20, 400), st.floats(20, 400)),
    leak=st.floats(1e-5, 0.05),
)
def test_balance_holds_at_both_fans_and_in_the_room(supply, extract, losses, leak):
    """Each fan's pressure is its path's loss and the room's pressure, and the leak carries the difference."""
    one, two = curve_of(*supply), curve_of(*extract)
    try:
        into, out, pressure = fan_balance(one, 0.05, losses[0], two, 0.05, losses[1], leak)
    except Exception as error:
        assert "ends before" in str(error)
        return
    if 0 < into < supply[0][2]:
        assert fan_pressure(one, into) == pytest.approx(losses[0] * (into / 0.05) ** 2 + pressure, abs=1e-6)
    if 0 < out < extract[0][2]:
        assert fan_pressure(two, out) == pytest.approx(losses[1] * (out / 0.05) ** 2 - pressure, abs=1e-6)
    leaked = 0.83 * leak * abs(pressure) ** 0.5
    assert into - out == pytest.approx(leaked if pressure >= 0 else -leaked, abs=1e-6)


def test_a_leaky_room_leaves_each_fan_to_itself():
    [[supply, extract, pressure]] = call("FANBALANCE", CURVE, 120, 0.3, CURVE, 120, 0.2, 10_000)
    assert supply == pytest.approx(call("FANFLOW", CURVE, 120, 0.3), rel=1e-3)
    assert extract == pytest.approx(call("FANFLOW", CURVE, 120, 0.2), rel=1e-3)
    assert abs(pressure) < 1e-5


def test_python_and_the_workbook_agree():
    import numpy as np

    curve = np.array([0.0, 0.05, 0.1]), np.array([120.0, 90.0, 0.0])
    assert call("FANFLOW", [[0, 120], [50, 90], [100, 0]], 50, 60, "SI") == pytest.approx(
        fan_flow(curve, 0.05, 60.0) * 1000
    )
