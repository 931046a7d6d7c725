"""The open lined box: its lining, its limits, and questions without an answer."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillbook.catalogue import call
from stillbook.cells import Code
from stillbook.trade.quiet_path.duct_sound import MOST_LOSS
from stillbook.trade.quiet_path.plenum import baffle_box_loss, chamber_loss, lining_absorption

BOX = (36, 24, 24, 64, 64, 2)


@pytest.mark.parametrize(
    ("arguments", "code", "reason"),
    [
        ((36, 24, 24, 600, 64, 2), Code.NUMBER, "an opening is larger than the end of the box"),
        ((36, 24, 24, 64, 64, 2, 40), Code.NUMBER, "the offset is larger than the end of the box"),
        ((36, 24, 24, 64, 64, None), Code.NOT_AVAILABLE, "lining is blank"),
        ((*BOX, 12, [[0.5, 0.5]]), Code.VALUE, "absorption has 2 values: give 8"),
        ((*BOX, 12, None, "Cremer"), Code.VALUE, 'give one of "safer", "Wells", "Mouratidis"'),
    ],
)
def test_reasons(arguments, code, reason):
    answer = call("BAFFLEBOXLOSS", *arguments)
    assert answer.code == code
    assert reason in answer.reason


@given(thickness=st.floats(0.012, 0.3))
def test_a_lining_absorbs_a_share_and_treble_better_than_bass(thickness):
    share = lining_absorption(thickness)
    assert (share > 0).all()
    assert (share < 1).all()
    assert share[0] < share[3]


@pytest.mark.parametrize(("thin", "thick"), [(0.025, 0.05), (0.05, 0.1)])
def test_a_thicker_lining_absorbs_more_bass(thin, thick):
    assert (lining_absorption(thick)[:4] > lining_absorption(thin)[:4]).all()


@given(
    length=st.floats(0.3, 3),
    width=st.floats(0.3, 2),
    height=st.floats(0.3, 2),
    share=st.floats(0.05, 0.9),
    lining=st.floats(0.0125, 0.1),
    basis=st.sampled_from(["safer", "Wells", "Mouratidis"]),
)
def test_a_box_keeps_its_limits_and_the_safer_basis_is_the_lowest(length, width, height, share, lining, basis):
    opening = share * width * height
    box = (length, width, height, opening, opening, lining, 0.1)
    loss = baffle_box_loss(*box, None, basis)
    assert loss.shape == (8,)
    assert (loss >= 0).all()
    assert (loss <= MOST_LOSS).all()
    assert (baffle_box_loss(*box) <= loss + 1e-9).all()


def test_openings_out_of_line_are_better():
    in_line, apart = (np.array(call("BAFFLEBOXLOSS", *BOX, offset)[0]) for offset in (0, 16))
    assert (apart >= in_line).all()
    assert apart[-1] > in_line[-1]


def test_given_absorption_replaces_that_of_the_thickness():
    own = lining_absorption(0.0508).tolist()
    assert call("BAFFLEBOXLOSS", *BOX, 12, [own])[0] == pytest.approx(call("BAFFLEBOXLOSS", *BOX, 12)[0])
    assert call("BAFFLEBOXLOSS", *BOX, 12, [[0.9] * 8])[0][0] > call("BAFFLEBOXLOSS", *BOX, 12)[0][0]


def test_a_chamber_passes_all_where_half_waves_fit():
    length = 343.2 / 2 / 500
    assert chamber_loss(np.array(10.0), np.array(length), np.array([500.0])) == pytest.approx([0], abs=1e-9)


def test_low_frequencies_are_held_to_what_the_chamber_does():
    """A short box is far smaller than the waves of 63 Hz: however it is lined, it does little there."""
    box = (8, 16, 16, 64, 64, 2, 8, [[0.99] * 8])
    assert call("BAFFLEBOXLOSS", *box)[0][0] < 1
    assert call("BAFFLEBOXLOSS", *box, "Wells")[0][0] > 5
