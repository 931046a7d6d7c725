"""Self-noise of silencers, junctions, oval walls and outlets turned down: reasons, and what must rise and fall."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillbook.catalogue import call
from stillbook.cells import Code

MAKER = [[50, 48, 45, 42, 40, 36, 30, 25]]


@pytest.mark.parametrize(
    ("formula", "arguments", "code", "reason"),
    [
        ("SILENCERNOISE", (MAKER, 1000, 4100, 12, 12), Code.NUMBER, "more than four times off the velocity measured"),
        ("SILENCERNOISE", (MAKER, 1000, 200, 12, 12), Code.NUMBER, "more than four times off the velocity measured"),
        ("SILENCERNOISE", ([[50, 40]], 1000, 400, 12, 12), Code.VALUE, "levels has 2 values: give 8"),
        ("SILENCERNOISE", (MAKER, 0, 400, 12, 12), Code.NUMBER, "rated velocity is 0 fpm"),
        ("SPLITTERNOISE", (4000, 1, 12, 1), Code.NUMBER, "the air is faster than 50 m/s"),
        ("SPLITTERNOISE", (400, None, 12), Code.NOT_AVAILABLE, "gap is blank"),
        ("JUNCTIONNOISE", (100, 6, 0, 50, 8), Code.NUMBER, "takes more air than the main duct has"),
        ("JUNCTIONNOISE", (100, 2, 0, 200, 8), Code.NUMBER, "too fast for so small a branch"),
        ("JUNCTIONNOISE", (100, 6, 0, 200, 8, 0, 0.5), Code.NUMBER, "rounding is 0.5"),
        ("OVALDUCTTL", (6, 12, "1 lb/ft²"), Code.NUMBER, "the width is less than the height"),
        ("OVALDUCTTL", (12, 10, "1 lb/ft²"), Code.NUMBER, "not twice to four times as wide"),
        ("OVALDUCTTL", (60, 10, "1 lb/ft²"), Code.NUMBER, "not twice to four times as wide"),
        ("OVALDUCTTL", (30, 10, "Plywood 3/4 in"), Code.NUMBER, "the walls are boards"),
        ("THROTTLEDOUTLET", (7, "neck"), Code.NUMBER, "pressure ratio is 7"),
        ("THROTTLEDOUTLET", (2, "grille"), Code.VALUE, 'give one of "neck"'),
    ],
)
def test_reasons(formula, arguments, code, reason):
    answer = call(formula, *arguments)
    assert answer.code == code
    assert reason in answer.reason


@given(speed=st.floats(0.3, 3.5))
def test_a_silencer_at_its_makers_velocity_and_face_is_its_makers(speed):
    assert call("SILENCERNOISE", MAKER, "5 m/s", "1.8 m³/s", "0.6 m", "0.6 m")[0] == pytest.approx(MAKER[0])
    found = call("SILENCERNOISE", MAKER, "5 m/s", f"{1.8 * speed} m³/s", "0.6 m", "0.6 m")[0]
    assert all((one > other) == (speed > 1) for one, other in zip(found, MAKER[0], strict=True) if speed != 1)


def test_more_gaps_for_the_same_air_are_quieter():
    one, two = (call("SPLITTERNOISE", 600, 4, 12, gaps)[0] for gaps in (1, 2))
    assert [a - b for a, b in zip(one, two, strict=True)] == pytest.approx([13.546] * 8, abs=0.001)


@given(main=st.floats(150, 700), rounding=st.floats(0, 0.2))
def test_faster_air_in_the_main_duct_is_louder_and_a_rounded_edge_quieter(main, rounding):
    slow, fast = (call("JUNCTIONNOISE", 100, 6, 0, flow, 10, 0, rounding)[0] for flow in (main, 1.2 * main))
    sharp = call("JUNCTIONNOISE", 100, 6, 0, main, 10, 0, 0)[0]
    assert all(one <= other for one, other in zip(slow, fast, strict=True))
    assert all(one <= other + 1e-9 for one, other in zip(slow, sharp, strict=True))


@given(height=st.floats(4, 40), ratio=st.floats(2, 3.9), mass=st.floats(0.5, 1))
def test_a_flatter_oval_keeps_less_at_low_octaves_and_a_heavier_one_more(height, ratio, mass):
    found, flatter = (call("OVALDUCTTL", height * r, height, f"{mass:.4f} lb/ft²")[0] for r in (ratio, ratio + 0.1))
    heavier = call("OVALDUCTTL", height * ratio, height, f"{2 * mass:.4f} lb/ft²")[0]
    assert found[0] >= flatter[0]
    assert all(one <= other for one, other in zip(found, heavier, strict=True))
    assert max(heavier) <= 45


def test_an_oval_duct_keeps_more_than_a_rectangular_one_of_its_sides():
    oval, rectangular = (call(f, 24, 12, "1 lb/ft²")[0] for f in ("OVALDUCTTL", "DUCTWALLTL"))
    assert all(one > other for one, other in zip(oval[:4], rectangular[:4], strict=True))


@given(ratio=st.floats(1, 6))
def test_a_damper_farther_back_is_quieter(ratio):
    neck, plenum, duct = (call("THROTTLEDOUTLET", ratio, damper) for damper in ("neck", "plenum inlet", "supply duct"))
    assert neck >= plenum >= duct >= 0
