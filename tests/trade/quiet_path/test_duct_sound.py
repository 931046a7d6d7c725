"""Sound along a duct: rows of eight, what blanks mean, limits, and questions without an answer."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillbook.catalogue import call
from stillbook.cells import Code, ErrorValue
from stillbook.quantities import SYSTEMS
from stillbook.trade.physics.constants import FOOT, INCH
from stillbook.trade.quiet_path.duct_sound import (
    ELBOWS,
    MOST_LOSS,
    elbow_loss,
    end_reflection,
    lined_duct_loss,
    unlined_duct_loss,
)

SIDES = st.floats(0.05, 2)


@pytest.mark.parametrize(
    ("formula", "arguments", "code", "reason"),
    [
        ("LINEDDUCTLOSS", (8, 8, 6, None), Code.NOT_AVAILABLE, "lining is blank"),
        ("LINEDDUCTLOSS", (8, 8, 6, 0), Code.NUMBER, "lining is 0 in: give at least 0.4725 in"),
        ("LINEDDUCTLOSS", (8, 8, 0, 1), Code.NUMBER, "length is 0 ft: give more than 0 ft"),
        ("LINEDDUCTLOSS", (8, 8, 6, 1, "best"), Code.VALUE, 'give one of "safer", "regression"'),
        ("LINEDDUCTLOSS", (0, 8, 6, 1), Code.NUMBER, "width is 0 in"),
        ("UNLINEDDUCTLOSS", (61, None, 10), Code.NUMBER, "no figures for round ducts of more than 60 in"),
        ("ELBOWLOSS", (8, 1, 1.5), Code.NUMBER, "give a whole number at least 1"),
        ("ELBOWLOSS", (8, 1, 1, "bend"), Code.VALUE, 'give one of "square elbow"'),
        ("ENDREFLECTION", (8, 8, "wall"), Code.VALUE, 'give one of "flush", "free", "diffuser"'),
        ("BRANCHLOSS", (20, 10), Code.NUMBER, "the branch is larger than all ducts together"),
        ("BRANCHLOSS", (20, None), Code.NOT_AVAILABLE, "total area is blank"),
        ("AREACHANGELOSS", (20, 0), Code.NUMBER, "area after is 0 in²"),
    ],
)
def test_reasons(formula, arguments, code, reason):
    answer = call(formula, *arguments)
    first = answer[0][0] if isinstance(answer, list) else answer
    assert isinstance(first, ErrorValue)
    assert first.code == code
    assert reason in first.reason


@pytest.mark.parametrize(
    ("formula", "columns"),
    [
        ("LINEDDUCTLOSS", ([8, 6], [8, None], [6, 10], [1, 2], ["safer", "regression"])),
        ("UNLINEDDUCTLOSS", ([8, 6], [8, None], [6, 10])),
        ("ELBOWLOSS", ([8, 6], [1, None], [1, 2], ["square elbow", "round elbow"])),
        ("ENDREFLECTION", ([8, 6], [8, None], ["flush", "free"])),
        ("BRANCHLOSS", ([10, 20], [20, 30])),
        ("AREACHANGELOSS", ([10, 20], [20, 30])),
        ("FANSOUND", ([120, 60], [0.3, 0.2], ["forward curved", "propeller"], [0.9, 0.8], [None, 200])),
        ("AIRFLOWNOISE", ([200, 60], [8, 6], [8, None], ["grille", "duct"], [3, None])),
        ("BAFFLEBOXLOSS", ([36, 48], [24, 24], [24, 20], [64, 64], [64, 50], [1, 2], [12, None])),
    ],
)
def test_a_column_of_elements_is_a_row_of_octaves_for_each(formula, columns):
    spilled = call(formula, *([[cell] for cell in column] for column in columns))
    assert [len(row) for row in spilled] == [8, 8]
    for row, arguments in zip(spilled, zip(*columns, strict=True), strict=True):
        assert row == pytest.approx(call(formula, *arguments)[0])


def test_one_wrong_element_leaves_the_others():
    wrong, right = call("LINEDDUCTLOSS", [[8], [8]], [[8], [8]], [["x"], [6]], 1)
    assert all(cell.code == Code.VALUE for cell in wrong)
    assert right == pytest.approx(call("LINEDDUCTLOSS", 8, 8, 6, 1)[0])


@pytest.mark.parametrize("height", [None, "", 0])
@pytest.mark.parametrize("formula", ["LINEDDUCTLOSS", "UNLINEDDUCTLOSS"])
def test_no_height_is_a_round_duct(formula, height):
    lining = (1,) if formula == "LINEDDUCTLOSS" else ()
    assert call(formula, 12, height, 5, *lining) == call(formula, 12, None, 5, *lining)
    assert call(formula, 12, height, 5, *lining) != call(formula, 12, 12, 5, *lining)


@pytest.mark.parametrize("units", SYSTEMS)
def test_units_of_both_systems(units):
    sizes = (8, 8, 6, 1) if units == "US" else (203.2, 203.2, 1.8288, 25.4)
    assert call("LINEDDUCTLOSS", *sizes, None, units)[0] == pytest.approx(call("LINEDDUCTLOSS", 8, 8, 6, 1)[0])


# --- lined duct -------------------------------------------------------------------------------------------------------


@given(
    width=st.floats(0.05, 1.0),
    height=st.none() | st.floats(0.05, 1.0),
    length=st.floats(0.1, 20),
    lining=st.floats(0.012, 0.05),
    basis=st.sampled_from(["safer", "regression"]),
)
def test_a_lined_duct_keeps_its_limits(width, height, length, lining, basis):
    loss = lined_duct_loss(width, height, length, lining, basis)
    assert loss.shape == (8,)
    assert (loss >= 0).all()
    assert (loss <= MOST_LOSS).all()
    assert (lined_duct_loss(width, height, length, lining) <= loss + 1e-9).all()
    assert (lined_duct_loss(width, height, length / 2, lining, basis) <= loss + 1e-9).all()


def test_the_safer_basis_counts_ten_feet_of_a_run():
    assert call("LINEDDUCTLOSS", 12, 12, 30, 1) == call("LINEDDUCTLOSS", 12, 12, 10, 1)
    longer = call("LINEDDUCTLOSS", 12, 12, 30, 1, "regression")[0]
    assert longer[1] == pytest.approx(3 * call("LINEDDUCTLOSS", 12, 12, 10, 1, "regression")[0][1])


def test_what_the_notes_say_of_both_bases():
    regression = [0.44, 0.72, 1.19, 2.49, 6.15, 5.86, 3.41, 2.34]
    safer = [0.15, 0.30, 0.89, 1.86, 4.61, 4.39, 2.55, 1.76]
    assert call("LINEDDUCTLOSS", 8, 8, 1, 1, "regression")[0] == pytest.approx(regression, abs=0.005)
    assert call("LINEDDUCTLOSS", 8, 8, 1, 1)[0] == pytest.approx(safer, abs=0.005)


def test_a_thin_lining_is_not_promised_the_treble_of_a_thick_one():
    thin, thick = (lined_duct_loss(0.2, 0.2, 1.0, lining) for lining in (INCH / 2, INCH))
    assert thin[4:] == pytest.approx(thick[4:] / 2)


def test_small_ducts_and_thick_linings_count_as_the_edge_of_the_tests():
    assert lined_duct_loss(0.1, 0.1, 1.0, INCH) == pytest.approx(lined_duct_loss(8 * INCH, 8 * INCH, 1.0, INCH))
    assert lined_duct_loss(0.1, None, 1.0, INCH) == pytest.approx(lined_duct_loss(6 * INCH, None, 1.0, INCH))
    assert lined_duct_loss(0.3, 0.3, 1.0, 0.1) == pytest.approx(lined_duct_loss(0.3, 0.3, 1.0, 2 * INCH))


@given(width=SIDES, height=SIDES, length=st.floats(0.1, 20))
def test_bare_duct_loses_in_proportion_to_its_length(width, height, length):
    loss = unlined_duct_loss(width, height, length)
    assert (loss > 0).all()
    assert unlined_duct_loss(width, height, 2 * length) == pytest.approx(np.minimum(2 * loss, MOST_LOSS))


@pytest.mark.parametrize(
    "element", [("UNLINEDDUCTLOSS", 12, 12, 984), ("UNLINEDDUCTLOSS", 6, None, 984), ("ENDREFLECTION", 0.4)]
)
def test_no_element_keeps_back_more_than_sound_beside_it_lets_it(element):
    """A bare duct of 300 m by its table alone would lose 350 dB at 63 Hz."""
    assert max(call(*element)[0]) <= MOST_LOSS


# --- elbows and ends --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("lining", "lined"), [(None, False), (0, False), (0.79 * INCH, False), (0.8 * INCH, True), (2 * INCH, True)]
)
def test_an_elbow_counts_as_lined_from_a_tenth_of_its_width(lining, lined):
    """Of 8 in; from memory, as the handbooks have it."""
    found = elbow_loss(8 * INCH, lining)
    assert found[-1] == (10 if lined else 3)


@given(width=SIDES, elbow=st.sampled_from(ELBOWS), lining=st.none() | st.floats(0, 0.1))
def test_elbows_add_up_to_the_limit(width, elbow, lining):
    one = elbow_loss(width, lining, 1.0, elbow)
    assert elbow_loss(width, lining, 3.0, elbow) == pytest.approx(np.minimum(3 * one, MOST_LOSS))
    assert (elbow_loss(width, lining, 50.0, elbow) <= MOST_LOSS).all()


@pytest.mark.parametrize(("width", "octave_loss"), [(7.4, 5), (7.6, 8)])
def test_elbow_steps_lie_at_frequency_times_width(width, octave_loss):
    """At 1000 Hz the step of a bare square elbow lies at 7.5 kHz in."""
    assert call("ELBOWLOSS", width)[0][4] == octave_loss


@given(width=SIDES, height=st.none() | SIDES)
def test_ends_throw_back_low_frequencies_and_a_free_end_more(width, height):
    flush = end_reflection(width, height)
    assert (np.diff(flush) < 0).all()
    assert (end_reflection(width, height, "free") > flush).all()
    assert end_reflection(width, height, "diffuser") == pytest.approx(np.zeros(8))


def test_a_square_opening_is_the_round_one_of_its_area():
    assert end_reflection(0.2, 0.2) == pytest.approx(end_reflection(0.2 * np.sqrt(4 / np.pi)))


# --- branches ---------------------------------------------------------------------------------------------------------


def test_all_of_the_sound_goes_where_there_is_no_branch():
    assert call("BRANCHLOSS", 64, 64)[0] == pytest.approx([0] * 8)


def test_a_change_of_area_is_the_same_either_way():
    assert call("AREACHANGELOSS", 20, 80) == call("AREACHANGELOSS", 80, 20)


def test_a_change_of_area_holds_for_plane_waves():
    """Below c/2a, 844 Hz for 8 × 8 in."""
    assert [loss > 0 for loss in call("AREACHANGELOSS", 32, 64)[0]] == [True] * 4 + [False] * 4


def test_a_foot_is_a_foot():
    assert call("UNLINEDDUCTLOSS", 12, 12, 1) == call("UNLINEDDUCTLOSS", 12, 12, f"{FOOT} m")
