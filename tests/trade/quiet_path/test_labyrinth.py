"""One box that the air passes to and fro."""

from itertools import pairwise

import numpy as np
import pytest

from stillbook.catalogue import call
from stillbook.cells import Code


@pytest.mark.parametrize(
    ("formula", "arguments", "code", "reason"),
    [
        ("LABYRINTHLOSS", (10, 10, 18, 2, 1), Code.NUMBER, "the box is too short for its turns"),
        ("LABYRINTHLOSS", (10, 10, 60, 9, 1), Code.NUMBER, "give a whole number at least 1 and at most 8"),
        ("LABYRINTHPRESSURE", (60, 10, 0, 60, 2), Code.NUMBER, "height is 0 in"),
    ],
)
def test_reasons(formula, arguments, code, reason):
    answer = call(formula, *arguments)
    first = answer[0][0] if isinstance(answer, list) else answer
    assert first.code == code
    assert reason in first.reason


def test_one_pass_is_a_straight_lined_duct():
    assert call("LABYRINTHLOSS", 6, 10, 60, 1, 1) == call("LINEDDUCTLOSS", 6, 10, 5, 1)


def test_a_column_of_boxes_is_a_row_of_octaves_for_each():
    spilled = call("LABYRINTHLOSS", [[6], [8]], [[10], [8]], [[42], [60]], [[3], [2]], [[1], [2]])
    assert spilled[0] == pytest.approx(call("LABYRINTHLOSS", 6, 10, 42, 3, 1)[0])
    assert spilled[1] == pytest.approx(call("LABYRINTHLOSS", 8, 8, 60, 2, 2)[0])


def test_two_passes_are_two_ducts_and_a_turn():
    """Of 60 in less a turn of 8 in at one end of each pass: 52 in twice."""
    straight = np.array(call("LINEDDUCTLOSS", 8, 8, "52 in", 1)[0])
    turn = np.array(call("ELBOWLOSS", 8, 1)[0])
    assert call("LABYRINTHLOSS", 8, 8, 60, 2, 1)[0] == pytest.approx(np.minimum(2 * straight + turn, 40))


def test_more_passes_keep_more_back_and_take_more_pressure():
    losses = [call("LABYRINTHLOSS", 6, 10, 60, passes, 2)[0] for passes in (1, 2, 3, 4)]
    assert all((np.array(more) >= less).all() for less, more in pairwise(losses))
    pressures = [call("LABYRINTHPRESSURE", 60, 6, 10, 60, passes) for passes in (1, 2, 3, 4)]
    assert pressures == sorted(pressures)
    turn = call("FITTINGLOSS", 60, 6, 10, "turn around a baffle", 1, "lined")
    assert pressures[2] - pressures[1] == pytest.approx(turn + call("DUCTLOSS", 60, 6, 10, 5, "lined"))
