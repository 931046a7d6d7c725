"""Ducts: standard sizes, blanks that mean a round duct, and questions without an answer."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillbook.catalogue import call, find
from stillbook.formula import Code, ErrorValue
from stillbook.quantities import SYSTEMS
from stillbook.tables import table
from stillbook.trade.duct_pressure import AIR_VISCOSITY, duct_loss, fittings
from stillbook.trade.ducts import (
    duct_inner,
    duct_outer,
    duct_round,
    duct_sizes,
    hydraulic_diameter,
    section_area,
    standard_sizes,
)

CURVE = [[0, 0.5], [100, 0.375], [200, 0]]


@pytest.mark.parametrize(
    ("formula", "arguments", "code", "reason"),
    [
        ("DUCTAREA", (30, 0), Code.NUMBER, "most velocity is 0 fpm: give more than 0 fpm"),
        ("DUCTAREA", ("30 fpm", 100), Code.VALUE, "is an air velocity where an airflow is needed"),
        ("DUCTROUND", (1e6, 100), Code.NUMBER, "no standard round duct is large enough"),
        ("DUCTSIZES", (1e6, 100), Code.NUMBER, "no standard rectangular duct fits"),
        ("DUCTSIZES", (30, 100, 3), Code.NUMBER, "no standard rectangular duct fits"),
        ("DUCTSIZES", (30, 100, None, 0.5), Code.NUMBER, "give at least 1"),
        ("DUCTVELOCITY", (60, 0, 8), Code.NUMBER, "width is 0 in"),
        ("DUCTVELOCITY", (60, None, 8), Code.NOT_AVAILABLE, "width is blank"),
        ("DUCTINNER", (2, 1), Code.NUMBER, "the lining leaves no opening"),
        ("DUCTINNER", (2, 1.5), Code.NUMBER, "the lining leaves no opening"),
        ("DUCTOUTER", (8, 0), Code.NUMBER, "lining is 0 in"),
        ("DUCTLOSS", (60, 6, None, None), Code.NOT_AVAILABLE, "length is blank"),
        ("DUCTLOSS", (60, 6, None, 0), Code.NUMBER, "length is 0 ft: give more than 0 ft"),
        ("DUCTLOSS", (60, 6, None, 10, "wood"), Code.VALUE, 'give one of "smooth"'),
        ("FITTINGLOSS", (60, 8, 8, "round elbow"), Code.VALUE, "is a fitting of round duct"),
        ("FITTINGLOSS", (60, 8, None, "square elbow"), Code.VALUE, "is a fitting of rectangular duct"),
        ("FITTINGLOSS", (60, 8, 8, "exit", 1.5), Code.NUMBER, "give a whole number at least 1"),
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
        ("FANFLOW", ([[0, 0.5], [50, 0.05], [100, 0.4], [200, 0]], 100, 0.3), Code.NUMBER, "more than once"),
        ("FANSCALED", (1, "noise", 2), Code.VALUE, 'give one of "airflow", "pressure", "power", "sound"'),
        ("FANSCALED", (1, "power", 0), Code.NUMBER, "speed ratio is 0"),
    ],
)
def test_reasons(formula, arguments, code, reason):
    answer = call(formula, *arguments)
    assert isinstance(answer, ErrorValue)
    assert answer.code == code
    assert reason in answer.reason


def test_thirty_cfm_in_a_quiet_duct():
    """Common practice, no source: 30 cfm at 100 fpm takes an 8 in round or an 8 × 6 in rectangular duct."""
    assert call("DUCTROUND", 30, 100) == pytest.approx(8)
    headings, first, *_ = call("DUCTSIZES", 30, 100)
    assert headings[:2] == ["Width (in)", "Height (in)"]
    assert first == pytest.approx([8, 6, 48, 90, 8 / 6, 7.554], abs=5e-4)


def test_sizes_of_an_si_workbook_are_metric():
    assert call("DUCTROUND", 14, 0.5, "SI") == pytest.approx(200)
    headings, first, *_ = call("DUCTSIZES", 14, 0.5, None, None, "SI")
    assert headings[0] == "Width (mm)"
    assert first[:2] == pytest.approx([200, 150])


@pytest.mark.parametrize("height", [None, "", 0, 0.0, [[None]]])
def test_no_height_is_a_round_duct(height):
    """A host may hand a blank cell over as 0."""
    assert call("DUCTVELOCITY", 100, 6, height) == pytest.approx(509.2958)
    assert call("DUCTLOSS", 100, 6, height, 100) == pytest.approx(0.0830, abs=5e-5)
    assert call("FITTINGLOSS", 100, 6, height, "exit") == pytest.approx(0.01614, abs=5e-6)


def test_round_and_rectangular_in_one_schedule():
    airflows, widths, heights = [[100], [60], [60]], [[6], [8], [8]], [[None], [8], ["x"]]
    losses = call("DUCTLOSS", airflows, widths, heights, 100, [["lined"], ["sheet metal"], ["lined"]])
    assert losses[0][0] == pytest.approx(call("DUCTLOSS", 100, 6, None, 100, "lined"))
    assert losses[1][0] == pytest.approx(call("DUCTLOSS", 60, 8, 8, 100))
    assert losses[2][0].code == Code.VALUE
    fits = call("FITTINGLOSS", airflows, widths, heights, [["round elbow"], ["round elbow"], ["exit"]])
    assert fits[0][0] == pytest.approx(call("FITTINGLOSS", 100, 6, None, "round elbow"))
    assert "round duct" in fits[1][0].reason


@given(airflow=st.floats(1e-3, 2), velocity=st.floats(0.3, 10), units=st.sampled_from(SYSTEMS))
def test_round_is_the_smallest_that_keeps_the_velocity(airflow, velocity, units):
    diameter = duct_round(airflow, velocity, units=units)
    sizes = standard_sizes("round", units)
    fitting = sizes[np.pi / 4 * sizes**2 * velocity >= airflow * (1 - 1e-6)]
    assert math.isnan(diameter) if not len(fitting) else diameter == fitting[0]


@given(
    airflow=st.floats(1e-3, 0.1),
    velocity=st.floats(0.5, 5),
    most_height=st.none() | st.floats(0.3, 1),
    units=st.sampled_from(SYSTEMS),
)
def test_listed_sizes_keep_every_limit(airflow, velocity, most_height, units):
    rows = duct_sizes(airflow, velocity, most_height, units=units)
    assert 1 <= len(rows) <= 12
    sides = standard_sizes("rectangular", units)
    for width, height, area, speed, aspect, _ in rows:
        assert width in sides and height in sides
        assert height <= width <= height * 4.000001
        assert height <= (most_height or 10) * 1.000001
        assert speed <= velocity * 1.000001
        assert (area, speed, aspect) == pytest.approx((width * height, airflow / (width * height), width / height))
    assert [row[2] for row in rows] == pytest.approx(sorted(row[2] for row in rows))


def test_a_low_ceiling_flattens_the_duct():
    assert all(row[1] <= 6.000001 for row in call("DUCTSIZES", 200, 500, 6)[1:])
    assert call("DUCTSIZES", 200, 500, 6, 2)[1][:2] == pytest.approx([10, 6])


@given(inside=st.floats(0.01, 2), lining=st.floats(0.005, 0.2))
def test_inner_undoes_outer(inside, lining):
    assert duct_inner(duct_outer(inside, lining), lining) == pytest.approx(inside)


@pytest.mark.parametrize(("width", "height"), [(8, 8), (8, 6), (12, 6), (12, 4), (16, 4), (24, 6), (24, 12)])
@pytest.mark.parametrize("velocity", [100, 500, 1000])
def test_the_two_ways_to_take_a_rectangular_duct_agree(width, height, velocity):
    """Equal-friction diameter at equal airflow, against true velocity with the hydraulic diameter, to 3 %."""
    airflow = velocity * width * height / 144
    loss = call("DUCTLOSS", airflow, width, height, 100)
    across = float(hydraulic_diameter(width, height))
    round_duct = call("DUCTLOSS", velocity * math.pi / 4 * across**2 / 144, across, None, 100)
    assert loss == pytest.approx(round_duct, rel=0.03)
    equal = call("DUCTLOSS", airflow, call("DUCTEQUIVALENT", width, height), None, 100)
    assert loss == pytest.approx(equal, rel=1e-12)


@pytest.mark.parametrize(
    ("diameter", "velocity", "roughness"), [(0.15, 1.5, 0.0003), (0.1, 3, 0.0003), (0.3, 5, 0.0003)]
)
def test_friction_solves_colebrook(diameter, velocity, roughness):
    """1/√f = -2 log10(e/3.7D + 2.51/(Re √f)), Colebrook 1939."""
    loss = duct_loss(velocity * section_area(diameter, None), diameter, None, diameter, "sheet metal")
    root = math.sqrt(loss / (1.2013846 / 2 * velocity**2))
    reynolds = velocity * diameter / AIR_VISCOSITY
    relative = roughness * 0.3048 / diameter
    assert 1 / root == pytest.approx(-2 * math.log10(relative / 3.7 + 2.51 / (reynolds * root)), rel=1e-4)


def test_slow_air_is_laminar():
    """Darcy's f = 64/Re below a Reynolds number of 2000: loss is in proportion to airflow."""
    slow, slower = (duct_loss(q, 0.6, None, 10.0) for q in (0.010, 0.005))
    assert slow == pytest.approx(2 * slower)


def test_elbows_between_the_printed_sizes():
    """Half way between the 100 and 125 mm rows; beyond 250 mm the last row holds."""
    pressure = call("FITTINGLOSS", 40, 112.5, None, "exit", None, "SI")
    assert call("FITTINGLOSS", 40, 112.5, None, "round elbow", None, "SI") / pressure == pytest.approx(0.185)
    pressure = call("FITTINGLOSS", 400, 400, None, "exit", None, "SI")
    assert call("FITTINGLOSS", 400, 400, None, "round elbow", None, "SI") / pressure == pytest.approx(0.11)


def test_fittings_add_up():
    assert call("FITTINGLOSS", 60, 6, None, "round elbow", 3) == pytest.approx(
        3 * call("FITTINGLOSS", 60, 6, None, "round elbow")
    )


def test_every_fitting_has_a_rising_table_and_a_drop_down():
    assert find("FITTINGLOSS").parameters[3].reader.choices == tuple(fittings())
    for kind in fittings().values():
        assert list(kind.at) == sorted(set(kind.at))
        assert len(kind.coefficients) == max(len(kind.at), 1)


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


def test_units_last_even_where_the_height_is_left_blank():
    assert find("DUCTLOSS").signature == "STILL_DUCTLOSS(airflow, width, [height], length, [surface], [units])"
    assert call("DUCTLOSS", 30, 150, None, 10, None, "SI") == pytest.approx(
        duct_loss(0.03, 0.15, None, 10.0), rel=1e-12
    )


def test_choices_fit_a_drop_down_list():
    """A list typed into a cell's validation parts its entries by commas."""
    for name, place in (("DUCTLOSS", 4), ("FITTINGLOSS", 3), ("FANSCALED", 1), ("OUTDOORAIRFLOW", 0), ("CO2LEVEL", 4)):
        choices = find(name).parameters[place].reader.choices
        assert choices and not any("," in choice for choice in choices)


def test_every_row_tells_how_sure_it_is():
    for name in ("duct_sizes", "duct_surfaces", "fittings", "elbow_reynolds"):
        assert all(row["confidence"] for row in table(name))
