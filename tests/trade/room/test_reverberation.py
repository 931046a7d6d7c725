"""Reverberation, treatment for a target, and the floor that treatment walls leave."""

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from stillbook.catalogue import call
from stillbook.cells import Code, ErrorValue, as_rows
from stillbook.trade.room.reverberation import DECAY, treatment_area

coefficients = st.floats(0.01, 0.95)
areas = st.floats(0.5, 200)


@settings(deadline=None)
@given(st.lists(st.tuples(areas, coefficients), min_size=1, max_size=6), st.floats(1, 500))
def test_eyring_is_shorter_than_sabine(surfaces, volume):
    sizes, absorbs = [[area] for area, _ in surfaces], [[c] for _, c in surfaces]
    sabine, eyring = (call("REVERBERATION", volume, sizes, absorbs, m, None, "SI")[0][0] for m in ("Sabine", "Eyring"))
    assume(not isinstance(sabine, ErrorValue))  # longer than any room sounds
    assert eyring < sabine


@given(st.floats(5, 200), st.floats(0.1, 2), st.floats(0, 20), coefficients)
def test_the_treatment_brings_the_room_to_its_target(volume, target, present, coefficient):
    area = float(treatment_area(volume, target, present, coefficient))
    reached = DECAY * volume / (present + area * coefficient) if present + area * coefficient else float("inf")
    assert reached <= target * (1 + 1e-9)
    assert area == 0 or reached == pytest.approx(target)


TIMES = [
    # arguments, seconds
    ((100, [100], [0.1], None, None, "SI"), [1.6102]),
    ((100, [100], [0.1], "sabine", 5, "SI"), [1.0735]),
    ((100, [100], [0.5], "Eyring", None, "SI"), [0.2323]),
    ((100, [100], [0.5], "Eyring", 10, "SI"), [0.2030]),
    ((100, [100], [0], "Eyring", 10, "SI"), [1.6102]),
    (("100 m³", ["100 m²"], [0.1]), [1.6102]),
    ((100, [100], "Brick, painted", "Sabine", None, "SI"), [16.102, 16.102, 8.051, 8.051, 8.051, 5.3674]),
]


@pytest.mark.parametrize(("arguments", "seconds"), TIMES)
def test_reverberation(arguments, seconds):
    assert call("REVERBERATION", *arguments)[0] == pytest.approx(seconds, rel=1e-4)


AREAS = [
    ((100, 1.6102, 0, 1, None, "SI"), 10),
    ((100, 1.6102, 4, 0.8, 0.05, "SI"), 8),
    ((100, 1.6102, 12, 0.8, None, "SI"), 0),
    ((100, "0.8051 s", 4, 0.8, None, "SI"), 20),
    (("100 m³", 1.6102, "4 m²", 0.6), 107.639),
]


@pytest.mark.parametrize(("arguments", "area"), AREAS)
def test_treatment_area(arguments, area):
    assert call("TREATMENTAREA", *arguments) == pytest.approx(area, rel=1e-4)


def test_treatment_by_octave():
    found = call("TREATMENTAREA", 100, 1.6102, [[4, 4, 12]], [[0.2, 0.8, 0.8]], 0, "SI")
    assert found[0] == pytest.approx([30, 7.5, 0], rel=1e-4)


FLOORS = [
    ((8, 6, 4), (22 / 3 * 16 / 3, 48 - 22 / 3 * 16 / 3)),
    ((8, 6, 0), (48, 0)),
    ((8, 6, 6, 1, 0), (45, 3)),
    ((2.4, 1.8, 100, 0, 1, "SI"), (2.4 * 1.7, 0.24)),
]


@pytest.mark.parametrize(("arguments", "expected"), FLOORS)
def test_floor_left(arguments, expected):
    assert call("FLOORLEFT", *arguments)[0] == pytest.approx(expected)


REFUSED = [
    (("REVERBERATION", 0, [10], [0.1]), Code.NUMBER, "volume is 0"),
    (("REVERBERATION", 100, [10], [0]), Code.NUMBER, "nothing absorbs"),
    (("REVERBERATION", 100, [10], [1], "Eyring"), Code.NUMBER, "absorb everything"),
    (("REVERBERATION", 100, [10], [0.1], "Norris"), Code.VALUE, '"Sabine", "Eyring"'),
    (("REVERBERATION", 100, [10, 20], [[0.1], [None]]), Code.NOT_AVAILABLE, "row 2"),
    (("TREATMENTAREA", 100, 0.5, 10, 0.1, 0.1), Code.NUMBER, "no more than what it covers"),
    (("TREATMENTAREA", 100, 0, 10, 0.8), Code.NUMBER, "target time is 0"),
    (("FLOORLEFT", 8, 6, 36), Code.NUMBER, "leave no floor"),
    (("FLOORLEFT", 8, 6, 4, 3), Code.NUMBER, "at most 2"),
]


@pytest.mark.parametrize(("arguments", "code", "reason"), REFUSED)
def test_what_is_refused(arguments, code, reason):
    answer = as_rows(call(*arguments))[0][0]
    assert answer.code is code
    assert reason in answer.reason
