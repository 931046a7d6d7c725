"""The whole path: blanks, floors, sums, and which element to change first."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillbook.catalogue import call
from stillbook.cells import Code
from stillbook.trade.quiet_path.whole_path import path_level, path_parts, path_steps, room_effect

SOURCE = [[66, 66, 56, 49, 49, 44, 39, 34]]
LOSSES = [[3, 4, 7, 15, 30, 30, 20, 14], [0, 0, 1, 6, 11, 10, 10, 10]]
MADE = [[20, 18, 15, 12, 8, 4, 0, -5], [30, 28, 25, 22, 18, 14, 10, 5]]
BLANK = [None] * 8

SPECTRA = st.lists(st.floats(-20, 90), min_size=8, max_size=8).map(np.array)
SOME = st.integers(1, 5).flatmap(
    lambda count: st.tuples(
        st.lists(st.lists(st.floats(0, 30), min_size=8, max_size=8), min_size=count, max_size=count).map(np.array),
        st.lists(st.lists(st.floats(-50, 60), min_size=8, max_size=8), min_size=count, max_size=count).map(np.array),
    )
)


@pytest.mark.parametrize(
    ("formula", "arguments", "code", "reason"),
    [
        ("PATHLEVEL", (None, LOSSES), Code.NOT_AVAILABLE, "source is blank"),
        ("PATHLEVEL", (SOURCE, None), Code.NOT_AVAILABLE, "losses is blank"),
        ("PATHLEVEL", (SOURCE, [[1, 2]]), Code.VALUE, "losses has 2 columns"),
        ("PATHLEVEL", (SOURCE, [[1] * 7 + [None]]), Code.NOT_AVAILABLE, "losses, 8000 Hz is blank"),
        ("PATHLEVEL", (SOURCE, [[1] * 8, [1] * 7 + ["x"]]), Code.VALUE, "losses, row 2, 8000 Hz"),
        ("PATHLEVEL", (SOURCE, LOSSES, MADE[:1]), Code.VALUE, "the losses have 2 rows and the generated sound 1"),
        ("PATHSTEPS", (SOURCE, LOSSES, MADE[:1]), Code.VALUE, "the losses have 2 rows and the generated sound 1"),
        ("PATHLEVEL", (SOURCE, LOSSES, None, 0), Code.NUMBER, "most loss is 0 dB"),
        ("PATHSUM", ([BLANK],), Code.NUMBER, "all rows are blank"),
        ("ROOMLEVEL", (SOURCE, "0.05 m", 168, 50), Code.NUMBER, "distance is 0.164 ft: give at least 0.3281 ft"),
        ("ROOMLEVEL", (SOURCE, 3, 168, [[50, 50]]), Code.VALUE, "absorption has 2 values: give 1 or 8"),
        ("ROOMLOSS", (3, 168, 0), Code.NUMBER, "absorption is 0 ft²"),
        ("CHANGEFIRST", (["a"], LOSSES, SOURCE), Code.VALUE, "there are 1 names for 2 rows of levels"),
        ("CHANGEFIRST", ([[None], [""]], LOSSES, SOURCE), Code.NOT_AVAILABLE, "names is blank"),
        ("CHANGEFIRST", ([["a", "b"], ["c", "d"]], LOSSES, SOURCE), Code.VALUE, "give one column of names"),
    ],
)
def test_reasons(formula, arguments, code, reason):
    answer = call(formula, *arguments)
    assert answer.code == code
    assert reason in answer.reason


# --- the path ---------------------------------------------------------------------------------------------------------


@given(source=SPECTRA, elements=SOME, most_loss=st.floats(20, 80))
def test_the_parts_add_up_to_the_level_and_the_last_step_is_it(source, elements, most_loss):
    losses, made = elements
    level = path_level(source, losses, made, most_loss)
    together = 10 * np.log10(np.sum(10 ** (path_parts(source, losses, made, most_loss) / 10), axis=0))
    assert level == pytest.approx(np.maximum(together, -50), abs=1e-9)
    assert path_steps(source, losses, made, most_loss)[-1] == pytest.approx(level, abs=1e-9)
    assert (level >= source - most_loss - 1e-9).all()
    assert (level >= made[-1] - 1e-9).all()


def test_step_by_step_is_loss_then_noise():
    """Row by row, as a template does it: the level before less the loss, plus the noise of the element."""
    first, second = call("PATHSTEPS", SOURCE, LOSSES, MADE, 300)
    by_hand = [
        call("DBSUM", [[level - loss, made]]) for level, loss, made in zip(SOURCE[0], LOSSES[0], MADE[0], strict=True)
    ]
    assert first == pytest.approx(by_hand)
    by_hand = [
        call("DBSUM", [[level - loss, made]]) for level, loss, made in zip(first, LOSSES[1], MADE[1], strict=True)
    ]
    assert second == pytest.approx(by_hand)


def test_noise_of_an_element_is_lessened_by_those_after_it_alone():
    parts = call("PATHPARTS", SOURCE, LOSSES, MADE)
    assert len(parts) == 4
    assert parts[1] == pytest.approx([made - loss for made, loss in zip(MADE[0], LOSSES[1], strict=True)])
    assert parts[2] == pytest.approx(MADE[1])
    assert parts[3] == pytest.approx([level - 50 for level in SOURCE[0]])


def test_a_blank_row_neither_loses_nor_makes_anything():
    with_spare = call("PATHLEVEL", SOURCE, [LOSSES[0], BLANK, LOSSES[1]], [MADE[0], BLANK, MADE[1]])
    assert with_spare[0] == pytest.approx(call("PATHLEVEL", SOURCE, LOSSES, MADE)[0])
    assert call("PATHLEVEL", SOURCE, LOSSES, [BLANK, BLANK])[0] == pytest.approx(call("PATHLEVEL", SOURCE, LOSSES)[0])


def test_more_of_the_same_reaches_a_floor():
    ever_longer = [call("PATHLEVEL", SOURCE, LOSSES * count)[0][4] for count in (1, 5, 10)]
    assert ever_longer[1] == pytest.approx(ever_longer[2])
    assert ever_longer[2] == pytest.approx(SOURCE[0][4] - 50)


def test_sounds_add_up_by_octave():
    assert call("PATHSUM", [[30] * 8, BLANK, [30] * 8])[0] == pytest.approx([33.01] * 8, abs=0.005)


# --- the room ---------------------------------------------------------------------------------------------------------


@given(
    distance=st.floats(0.2, 10),
    volume=st.floats(2, 500),
    share=st.floats(0.02, 0.9),
    directivity=st.sampled_from([1.0, 2.0, 4.0, 8.0]),
)
def test_farther_and_softer_is_quieter(distance, volume, share, directivity):
    absorption = np.array([share * 6 * volume ** (2 / 3)])
    loss = room_effect(distance, volume, absorption, directivity)
    assert loss.shape == (8,)
    assert (room_effect(2 * distance, volume, absorption, directivity) > loss).all()
    assert (room_effect(distance, volume, 1.05 * absorption, directivity) > loss).all()


def test_level_is_power_less_the_loss_of_the_room():
    absorption = [[20, 30, 40, 60, 80, 80, 80, 80]]
    level = call("ROOMLEVEL", SOURCE, 3, 168, absorption)[0]
    loss = call("ROOMLOSS", 3, 168, absorption)[0]
    assert level == pytest.approx([power - lost for power, lost in zip(SOURCE[0], loss, strict=True)])


def test_no_room_absorbs_more_than_it_can():
    assert call("ROOMLOSS", 3, 168, 1e5) == call("ROOMLOSS", 3, 168, 1e4)


# --- which element to change first ------------------------------------------------------------------------------------

NAMES = [["Fan"], ["Grille"], ["Shell"]]
HEARD = [
    [50, 45, 30, 20, 10, 5, 0, 0],
    [30, 30, 30, 30, 28, 20, 15, 10],
    [20, 20, 20, 20, 20, 20, 20, 20],
]
NC20 = [[51, 40, 33, 26, 22, 19, 17, 16]]


def test_the_worst_octave_stands_first_with_its_element():
    headings, *rows = call("CHANGEFIRST", NAMES, HEARD, NC20)
    assert headings == [
        "Band (Hz)", "Level (dB)", "Target (dB)", "Over target (dB)", "Heard most", "Its level (dB)", "Lower it by (dB)",
    ]  # fmt: skip
    assert [row[3] for row in rows] == sorted((row[3] for row in rows), reverse=True)
    assert rows[0][:1] + rows[0][4:6] == [1000, "Grille", 28]
    assert {row[0]: row[4] for row in rows} == {
        63: "Fan", 125: "Fan", 250: "Fan", 500: "Grille", 1000: "Grille", 2000: "Grille", 4000: "Shell", 8000: "Shell",
    }  # fmt: skip


def test_lowering_the_element_by_what_is_told_meets_the_target():
    rows = call("CHANGEFIRST", NAMES, HEARD, NC20)[1:]
    told = {row[0]: row for row in rows}
    lower = told[1000][6]
    changed = [HEARD[0], [level - lower for level in HEARD[1]], HEARD[2]]
    assert call("PATHSUM", changed)[0][4] == pytest.approx(22)


def test_no_answer_where_one_change_is_not_enough():
    """At 4000 Hz the fan and grille stay within 17 dB, the shell alone is 20; at 2000 Hz the shell alone exceeds 19."""
    told = {row[0]: row[6] for row in call("CHANGEFIRST", NAMES, HEARD, NC20)[1:]}
    assert told[2000] == ""
    assert told[4000] > 3
    assert told[63] == 0


def test_spare_rows_are_passed_over():
    spare = call("CHANGEFIRST", [*NAMES, [None]], [*HEARD, BLANK], NC20)
    assert spare == call("CHANGEFIRST", NAMES, HEARD, NC20)
