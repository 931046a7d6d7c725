"""Through the walls of ducts, and from room to room through them."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillbook.catalogue import call
from stillbook.cells import Code
from stillbook.trade.mass.leaves import Layer, Leaf
from stillbook.trade.quiet_path.duct_walls import MOST_WALL_LOSS, wall_loss

LEVELS = [[70, 70, 70, 70, 70, 70, 70, 70]]


@pytest.mark.parametrize(
    ("formula", "arguments", "code", "reason"),
    [
        ("DUCTWALLTL", (12, 12, None), Code.NOT_AVAILABLE, "shell is blank"),
        ("DUCTWALLTL", (12, 12, "88 lb"), Code.VALUE, "is a mass where a mass per area is needed"),
        ("BREAKOUTLOSS", (12, 12, 0, "1 lb/ft²"), Code.NUMBER, "length is 0 ft"),
        ("BREAKINPOWER", ([[70, 70]], 12, 12, 10, "1 lb/ft²"), Code.VALUE, "levels has 2 values: give 8"),
        ("CROSSTALKPOWER", (LEVELS, 0), Code.NUMBER, "width is 0 in"),
        ("CROSSTALKTL", (8, 8, "100 ft²", [[1, 2, 3]]), Code.VALUE, "losses has 3 columns: give dB, a row of eight"),
        ("CROSSTALKTL", (8, 8, 0, [[1] * 8]), Code.NUMBER, "wall area is 0 ft²"),
    ],
)
def test_reasons(formula, arguments, code, reason):
    answer = call(formula, *arguments)
    assert answer.code == code
    assert reason in answer.reason


def limp(mass):
    return Leaf((Layer("", mass, None),))


@given(width=st.floats(0.1, 1), height=st.none() | st.floats(0.1, 1), mass=st.floats(1, 100))
def test_heavier_walls_keep_more_in_up_to_the_limit(width, height, mass):
    loss = wall_loss(width, height, limp(mass))
    assert (loss >= 0).all()
    assert (loss <= MOST_WALL_LOSS).all()
    assert (wall_loss(width, height, limp(2 * mass)) >= loss).all()


def test_a_build_up_is_its_mass():
    assert call("DUCTWALLTL", 12, 12, "Steel sheet 24 gauge") == call("DUCTWALLTL", 12, 12, "4.88242763638305 kg/m²")


def test_a_round_duct_is_best_at_low_frequencies():
    """14 in: the ring frequency lies near 4600 Hz, and the wall is weak up to it."""
    found, square = (call("DUCTWALLTL", 14, height, "Steel sheet 24 gauge")[0] for height in (None, 14))
    assert all(one >= other for one, other in zip(found[:4], square[:4], strict=True))
    assert found[6] < square[6]


@pytest.mark.parametrize("formula", ["DUCTWALLTL", "BREAKINPOWER"])
@pytest.mark.parametrize("diameter", [3, 8, 20, 30, 48])
def test_a_heavier_round_duct_keeps_more_and_a_larger_one_no_jump(formula, diameter):
    levels = [LEVELS] if formula == "BREAKINPOWER" else []
    more = () if formula == "DUCTWALLTL" else (10,)
    sign = 1 if formula == "DUCTWALLTL" else -1
    light, heavy = (
        sign * np.array(call(formula, *levels, diameter, None, *more, f"Steel sheet {gauge} gauge")[0])
        for gauge in (26, 18)
    )
    assert (heavy >= light).all()
    near = sign * np.array(call(formula, *levels, diameter * 1.001, None, *more, "Steel sheet 26 gauge")[0])
    assert near == pytest.approx(light, abs=0.2)


def test_a_box_of_boards_keeps_no_more_than_its_boards_as_a_leaf():
    """Power into the box each way: L - 6 + 10 log S - 3 less the loss of the boards, if nothing else counts."""
    boards = [["Gypsum board 5/8 in type X", None, 2]]
    found = np.array(call("BREAKINPOWER", LEVELS, 34, 14, 6, boards)[0])
    leaf = np.array(call("LEAFTL", boards, "octave")[0])
    met = 70 - 6 + 10 * np.log10(2 * (34 + 14) / 12 * 6 * 0.3048**2) - 3
    assert (found >= met - leaf - 1e-9).all()
    assert found[3:7] == pytest.approx(met - leaf[3:7], abs=1e-6)


def test_the_walls_give_off_no_more_than_there_is():
    assert call("BREAKOUTLOSS", 12, 12, 300, "0.2 lb/ft²")[0][0] == 0


def test_ten_times_the_length_gives_off_ten_times_the_power():
    steel = [["Steel", 0.12, 1, 5]]
    short, long = (call("BREAKOUTLOSS", 12, 12, length, steel)[0] for length in (1, 10))
    assert [a - b for a, b in zip(short, long, strict=True)] == pytest.approx([10] * 8)


def test_stiff_walls_dip_at_their_coincidence():
    """MDF of 18 mm dips near 1600 Hz; a limp wall of its mass does not."""
    board, mass = call("DUCTWALLTL", 12, 12, "MDF 18 mm")[0], call("SURFACEMASS", "MDF 18 mm")
    gauge = call("DUCTWALLTL", 12, 12, [["Steel sheet 16 gauge", None, 1, mass]])[0]
    less = [a - b for a, b in zip(gauge, board, strict=True)]
    assert less[:3] == pytest.approx([0, 0, 0], abs=0.1)
    assert 3 < less[5] < 15


@pytest.mark.parametrize(("formula", "before"), [("DUCTWALLTL", ()), ("BREAKOUTLOSS", (10,)), ("BREAKINPOWER", (10,))])
def test_a_heavy_mass_without_a_name_is_refused(formula, before):
    levels = [LEVELS] if formula == "BREAKINPOWER" else []
    answer = call(formula, *levels, 12, 12, *before, "4 lb/ft²")
    assert answer.code == Code.NUMBER
    assert "without a name" in answer.reason
    assert call(formula, *levels, 12, 12, *before, [["Plywood 3/4 in", None, 1, 4]])


def test_louder_surroundings_get_in_louder():
    quiet = np.array(call("BREAKINPOWER", LEVELS, 12, 12, 10, "1 lb/ft²")[0])
    loud = np.array(call("BREAKINPOWER", [[80] * 8], 12, 12, 10, "1 lb/ft²")[0])
    assert loud - quiet == pytest.approx([10] * 8)


def test_above_the_first_mode_sound_gets_in_3_db_more_easily_than_out():
    """12 × 12 in, above 563 Hz: L - 6 + 10 log S - (TL - 3) - 3 with S of 40 ft²."""
    found = call("BREAKINPOWER", LEVELS, 12, 12, 10, "1 lb/ft²")[0]
    out = call("DUCTWALLTL", 12, 12, "1 lb/ft²")[0]
    area = 40 * 0.3048**2
    assert found[4:] == pytest.approx([70 - 6 + 10 * np.log10(area) - loss for loss in out[4:]])


# --- from room to room ------------------------------------------------------------------------------------------------


def test_power_into_an_opening():
    """L - 6 + 10 log S: a square metre takes 6 dB less than the level."""
    assert call("CROSSTALKPOWER", LEVELS, "1 m", "1 m")[0] == pytest.approx([64] * 8)
    assert call("CROSSTALKPOWER", LEVELS, 8) != call("CROSSTALKPOWER", LEVELS, 8, 8)


@pytest.mark.parametrize("losses", [[[10] * 8], [[4] * 8, [None] * 8, [6] * 8], [[10]] * 8])
def test_losses_along_the_duct_add_up(losses):
    """An opening of a hundredth of the wall is worth 20 dB."""
    assert call("CROSSTALKTL", "0.3 m", "0.4 m", "12 m²", losses)[0] == pytest.approx([30] * 8)


def test_a_bare_opening_is_a_leak_of_its_area():
    path = call("CROSSTALKTL", "0.3 m", "0.4 m", "12 m²", [[0] * 8])[0]
    leak = call("LEAKEDTL", 200, "12 m²", "0.12 m²")
    assert path == pytest.approx([leak] * 8, abs=1e-6)


def test_a_duct_keeps_back_no_more_than_any_path():
    long = [[40] * 8] * 3
    assert call("CROSSTALKTL", "0.3 m", "0.4 m", "12 m²", long)[0] == pytest.approx([70] * 8)


def test_an_opening_is_no_larger_than_its_wall():
    assert "larger than the wall" in call("CROSSTALKTL", "3 m", "4 m", "1 m²", [[0] * 8]).reason


def test_a_path_as_good_as_the_wall_takes_3_db_off_it():
    wall = [30.0] * 8
    path = call("CROSSTALKTL", "0.3 m", "0.4 m", "12 m²", [[10] * 8])[0]
    assert call("TOTALTL", [wall, path])[0] == pytest.approx([30 - 3.01] * 8, abs=0.005)
