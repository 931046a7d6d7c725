"""Modes of a room: the list, the count by third octave, and the frequency where they stop mattering."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillbook.catalogue import call
from stillbook.cells import Code
from stillbook.trade.physics.sound import SPEED_OF_SOUND
from stillbook.trade.room.modes import KINDS, mode_count, room_modes

sides = st.floats(1.5, 8)


@given(sides, sides, sides, st.floats(60, 300))
def test_every_mode_up_to_the_limit_is_listed_once(length, width, height, limit):
    frequencies, orders = room_modes(length, width, height, limit)
    beyond = int(2 * limit * max(length, width, height) / SPEED_OF_SOUND) + 2
    expected = sorted(
        f
        for p in range(beyond)
        for q in range(beyond)
        for r in range(beyond)
        if 0 < (f := SPEED_OF_SOUND / 2 * ((p / length) ** 2 + (q / width) ** 2 + (r / height) ** 2) ** 0.5) <= limit
    )
    assert frequencies.tolist() == pytest.approx(expected)
    assert len({tuple(order) for order in orders.tolist()}) == len(expected)


def test_the_count_is_that_of_the_list():
    frequencies, _ = room_modes(7, 5, 3, 500)
    assert mode_count(7, 5, 3, 500) == pytest.approx(len(frequencies), rel=0.02)


def test_kinds_orders_and_spacing():
    rows = call("ROOMMODES", 3.432, 1.716, 1.2, 160, "SI")[1:]
    assert [(row[1], row[2]) for row in rows[:4]] == [
        ("axial", "1 0 0"),
        ("axial", "2 0 0"),
        ("axial", "0 1 0"),
        ("tangential", "1 1 0"),
    ]
    assert [row[0] for row in rows[:3]] == pytest.approx([50, 100, 100])
    assert [row[3] for row in rows[1:3]] == pytest.approx([50, 0])
    assert rows[0][3] == ""
    assert rows[-1][1] == "oblique" or {row[1] for row in rows} <= set(KINDS)


def test_modes_that_coincide_keep_one_order_however_the_room_is_turned():
    assert [row[2] for row in call("ROOMMODES", 10, 10, 10, 60)[1:4]] == ["1 0 0", "0 1 0", "0 0 1"]


BANDS = [
    # length, width, height in ft, verdicts by band
    ((8, 6, 7.5), ["even"] * 6),
    ((8, 8, 8), ["modes coincide", "fewer than the band below", "modes coincide", "modes coincide", "even", "even"]),
]


@pytest.mark.parametrize(("room", "verdicts"), BANDS)
def test_the_verdict_on_each_band(room, verdicts):
    assert [row[3] for row in call("MODEBANDS", *room)[1:]] == verdicts


def test_the_bands_hold_all_modes_up_to_their_upper_edge():
    rows = call("MODEBANDS", 20, 15, 9, 250)[1:]
    assert [row[0] for row in rows] == [25, 31.5, 40, 50, 63, 80, 100, 125, 160, 200, 250]
    frequencies, _ = room_modes(20 * 0.3048, 15 * 0.3048, 9 * 0.3048, 1000 * 10 ** (-5.5 / 10))
    assert sum(row[1] for row in rows) == len(frequencies)


def test_what_counts_as_coinciding_may_be_chosen():
    strict, loose = (call("MODEBANDS", 8, 6, 7.5, 200, within)[1:] for within in (0, 5))
    assert not any(row[2] for row in strict)
    assert any(row[3] == "modes coincide" for row in loose)


def test_schroeder_of_a_schedule():
    found = call("SCHROEDERFREQUENCY", [[0.2], [0.8]], [["10 m³"], ["10 m³"]])
    assert np.ravel(found).tolist() == pytest.approx([282.84, 565.69], abs=0.01)


REFUSED = [
    (("ROOMMODES", 0, 6, 8), Code.NUMBER, "length is 0"),
    (("ROOMMODES", 100, 60, 40, 500), Code.NUMBER, "more than 5000 modes"),
    (("ROOMMODES", 8, None, 8), Code.NOT_AVAILABLE, "width is blank"),
    (("MODEBANDS", 1, 1, 1, 100), Code.NUMBER, "no modes"),
    (("SCHROEDERFREQUENCY", 0, 100), Code.NUMBER, "reverberation time is 0"),
]


@pytest.mark.parametrize(("arguments", "code", "reason"), REFUSED)
def test_what_is_refused(arguments, code, reason):
    answer = call(*arguments)
    assert answer.code is code
    assert reason in answer.reason
