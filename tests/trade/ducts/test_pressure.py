"""Pressure along a duct: blanks that mean a round duct, what does not fit together, and how losses grow."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stillbook.catalogue import call, find
from stillbook.cells import Code, ErrorValue
from stillbook.tables import table
from stillbook.trade.ducts.fittings import fittings, opening_angle
from stillbook.trade.ducts.pressure import AIR_VISCOSITY, duct_loss, fitting_loss, transition_loss
from stillbook.trade.ducts.sizes import hydraulic_diameter, section_area


@pytest.mark.parametrize(
    ("formula", "arguments", "code", "reason"),
    [
        ("DUCTLOSS", (60, 6, None, None), Code.NOT_AVAILABLE, "length is blank"),
        ("DUCTLOSS", (60, 6, None, 0), Code.NUMBER, "length is 0 ft: give more than 0 ft"),
        ("DUCTLOSS", (60, 6, None, 10, "wood"), Code.VALUE, 'give one of "smooth"'),
        ("DUCTLOSS", (60, 6, None, 10, "lined", 0.1), Code.NUMBER, "only flexible duct has slack"),
        ("DUCTLOSS", (60, 6, None, 10, "flexible", 0.5), Code.NUMBER, "slack is 0.5: give at least 0 and at most 0.3"),
        ("FITTINGLOSS", (60, 8, 8, "round elbow"), Code.VALUE, "is a fitting of round duct"),
        ("FITTINGLOSS", (60, 8, None, "square elbow"), Code.VALUE, "is a fitting of rectangular duct"),
        ("FITTINGLOSS", (60, 8, 8, "exit", 1.5), Code.NUMBER, "give a whole number at least 1"),
        ("FITTINGLOSS", (60, 8, 8, "pleated elbow"), Code.VALUE, 'give one of "round elbow"'),
        ("TRANSITIONLOSS", (60, 6, None, None, 12), Code.NOT_AVAILABLE, "to width is blank"),
        ("TRANSITIONLOSS", (60, 6, None, 12, 12, -1), Code.NUMBER, "length is -1 in: give at least 0 in"),
        ("RATEDLOSS", (60, 0, 0.1), Code.NUMBER, "rated airflow is 0 cfm"),
        ("RATEDLOSS", (60, 100, 0.1, "duct"), Code.VALUE, 'give one of "grille", "filter"'),
    ],
)
def test_reasons(formula, arguments, code, reason):
    answer = call(formula, *arguments)
    assert isinstance(answer, ErrorValue)
    assert answer.code == code
    assert reason in answer.reason


@pytest.mark.parametrize("height", [None, "", 0, 0.0, [[None]]])
def test_no_height_is_a_round_duct(height):
    """A host may hand a blank cell over as 0."""
    assert call("DUCTVELOCITY", 100, 6, height) == pytest.approx(509.2958)
    assert call("DUCTLOSS", 100, 6, height, 100) == pytest.approx(0.0830, abs=5e-5)
    assert call("FITTINGLOSS", 100, 6, height, "exit") == pytest.approx(0.01614, abs=5e-6)
    assert call("TRANSITIONLOSS", 100, 6, height, 12, height) == pytest.approx(0.5625 * 0.01614, abs=5e-6)


def test_round_and_rectangular_in_one_schedule():
    airflows, widths, heights = [[100], [60], [60]], [[6], [8], [8]], [[None], [8], ["x"]]
    losses = call("DUCTLOSS", airflows, widths, heights, 100, [["lined"], ["sheet metal"], ["lined"]])
    assert losses[0][0] == pytest.approx(call("DUCTLOSS", 100, 6, None, 100, "lined"))
    assert losses[1][0] == pytest.approx(call("DUCTLOSS", 60, 8, 8, 100))
    assert losses[2][0].code == Code.VALUE
    fits = call("FITTINGLOSS", airflows, widths, heights, [["round elbow"], ["round elbow"], ["exit"]])
    assert fits[0][0] == pytest.approx(call("FITTINGLOSS", 100, 6, None, "round elbow"))
    assert "round duct" in fits[1][0].reason


def test_a_schedule_with_and_without_slack():
    surfaces, slack = [["lined"], ["flexible"], ["flexible"], ["lined"]], [[None], [None], [0], [0.1]]
    lined, usual, taut, wrong = call("DUCTLOSS", 60, 6, None, 5, surfaces, slack)
    assert lined[0] == pytest.approx(call("DUCTLOSS", 60, 6, None, 5, "lined"))
    assert usual[0] == pytest.approx(call("DUCTLOSS", 60, 6, None, 5, "flexible", "15 %"))
    assert taut[0] < usual[0] / 4
    assert wrong[0].code == Code.NUMBER


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


# --- fittings ---------------------------------------------------------------------------------------------------------


def test_fittings_add_up():
    elbow = call("FITTINGLOSS", 60, 8, 8, "square elbow")
    assert call("FITTINGLOSS", 60, 8, 8, "square elbow", 3) == pytest.approx(3 * elbow)
    assert call("FITTINGLOSS", 60, 8, 8, "turn around a baffle") == pytest.approx(2 * elbow)
    ends = call("FITTINGLOSS", 60, 8, 8, "exit") + call("FITTINGLOSS", 60, 8, 8, "entrance")
    assert call("FITTINGLOSS", 60, 8, 8, "box") == pytest.approx(ends)


@settings(deadline=None)
@given(
    fitting=st.sampled_from(sorted(fittings())),
    size=st.floats(0.08, 0.6),
    velocity=st.floats(0.01, 10),
    surface=st.sampled_from(["sheet metal", "lined"]),
)
def test_every_fitting_loses_something_and_more_with_more_air(fitting, size, velocity, surface):
    height = None if fittings()[fitting].shape == "round" else size
    airflow = velocity * float(section_area(size, height))
    loss, double = (fitting_loss(q, size, height, fitting, 1.0, surface) for q in (airflow, 2 * airflow))
    assert 0 < 1.5 * loss < double


def test_lining_is_rougher_round_a_bend_and_no_matter_at_an_end():
    """By Miller; in slow air Blevins leads, who knows no roughness."""
    assert call("FITTINGLOSS", 300, 8, 8, "square elbow", 1, "lined") > 1.15 * call(
        "FITTINGLOSS", 300, 8, 8, "square elbow"
    )
    assert call("FITTINGLOSS", 300, 8, 8, "exit", 1, "lined") == call("FITTINGLOSS", 300, 8, 8, "exit")


def test_every_fitting_is_in_the_drop_down_and_has_a_form():
    assert find("FITTINGLOSS").parameters[3].reader.choices == tuple(fittings())
    for kind in fittings().values():
        assert kind.shape in ("round", "rectangular", "any")
        assert kind.coefficient(0.2, 20_000, 1e-4) > 0
        assert math.isnan(kind.angle) or 0 < kind.angle <= 90


# --- changes of size --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("change", "length", "angle"), [(0.1, 0.2, 28.07), (0.1, 0.0, 180), (0.0, 1.0, 0), (0.5, 0.25, 90)]
)
def test_angle_between_the_sides(change, length, angle):
    assert opening_angle(change, length) == pytest.approx(angle, abs=0.005)


def test_a_change_of_size_and_back():
    """A small fan collar to a wide quiet duct: gradual is better than sudden, and the way back is not the way there."""
    sudden, short, long = (call("TRANSITIONLOSS", 60, 6, None, 12, 12, length) for length in (None, 12, 24))
    assert long < short < sudden
    assert call("TRANSITIONLOSS", 60, 6, None, 12, 12, 0) == sudden
    back = call("TRANSITIONLOSS", 60, 12, 12, 6, None)
    assert 0 < back < sudden
    assert call("TRANSITIONLOSS", 60, 6, 6, 6, 6, 24) == 0


@pytest.mark.parametrize("length", [1, 6, 24])
def test_a_square_duct_goes_over_into_a_round_one_of_its_width(length):
    """No side opens, and the area changes all the same: a loss like that of round ducts of both areas."""
    there, back = call("TRANSITIONLOSS", 100, 8, 8, 8, None, length), call("TRANSITIONLOSS", 100, 8, None, 8, 8, length)
    round_9 = "9.027 in"
    assert 0 < there < 2 * call("TRANSITIONLOSS", 100, round_9, None, 8, None, length)
    assert 0 < back < 2 * call("TRANSITIONLOSS", 100, 8, None, round_9, None, length)


def test_a_flat_duct_opens_by_its_width():
    """6 × 6 to 12 × 6 opens between two sides only, and by as much as to 12 × 12 it opens between four."""
    flat, square = (
        transition_loss(0.03, 0.15, 0.15, 0.30, height, 0.3) / transition_loss(0.03, 0.15, 0.15, 0.30, height)
        for height in (0.15, 0.30)
    )
    assert flat == pytest.approx(square, rel=0.1)


@settings(deadline=None)
@given(small=st.floats(0.05, 0.3), growth=st.floats(1.05, 4), length=st.floats(0.05, 3))
def test_a_gradual_change_is_never_far_worse_than_a_sudden_one(small, growth, length):
    for ends in ((small, small * growth), (small * growth, small)):
        gradual = transition_loss(0.02, ends[0], None, ends[1], None, length)
        sudden = transition_loss(0.02, ends[0], None, ends[1], None)
        friction = duct_loss(0.02, small, None, length)
        assert 0 < gradual < 1.25 * sudden + friction


# --- parts rated by their makers --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("airflow", "part", "expected"),
    [(100, "grille", 0.3), (50, "grille", 0.075), (50, "filter", 0.15), (200, "grille", 1.2), (200, "filter", 1.2)],
)
def test_rated_loss(airflow, part, expected):
    assert call("RATEDLOSS", airflow, 100, 0.3, part) == pytest.approx(expected)


def test_units_last_even_where_the_height_is_left_blank():
    assert find("DUCTLOSS").signature == "STILL_DUCTLOSS(airflow, width, [height], length, [surface], [slack], [units])"
    assert call("DUCTLOSS", 30, 150, None, 10, None, None, "SI") == pytest.approx(
        duct_loss(0.03, 0.15, None, 10.0), rel=1e-12
    )


def test_choices_fit_a_drop_down_list():
    """A list typed into a cell's validation parts its entries by commas."""
    for name, place in (
        ("DUCTLOSS", 4),
        ("FITTINGLOSS", 3),
        ("RATEDLOSS", 3),
        ("FANSCALED", 1),
        ("OUTDOORAIRFLOW", 0),
        ("CO2LEVEL", 4),
    ):
        choices = find(name).parameters[place].reader.choices
        assert choices and not any("," in choice for choice in choices)


def test_every_surface_tells_how_sure_it_is():
    assert all(row["confidence"] for row in table("duct_surfaces"))
