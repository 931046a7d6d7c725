"""Leaks and doors."""

import pytest

from stillbook import catalogue
from stillbook.cells import Code

DOOR = "Solid-core door slab 1-3/4 in"


def test_a_leak_has_its_share():
    assert catalogue.call("LEAKEDTL", 60, "1 m²", "1000 mm²") == pytest.approx(30.0, abs=0.01)
    assert catalogue.call("LEAKEDTL", 60, "1 m²", 0) == pytest.approx(60)
    assert catalogue.call("LEAKEDTL", 60, "1 m²", "1 m²") == pytest.approx(0, abs=1e-9)


def test_a_leak_by_band_and_its_own_loss():
    answer = catalogue.call("LEAKEDTL", [[40, 50, 60]], "10 m²", "0.01 m²", [[10, 10, 20]])
    assert answer[0] == pytest.approx([36.99, 39.59, 49.59], abs=0.02)


def test_an_edge_passes_four_times_as_much():
    middle, edge = (catalogue.call("SLITTL", "1 mm", "45 mm", place, [[250]])[0][0] for place in ("mid-wall", "edge"))
    assert middle - edge == pytest.approx(6.0, abs=0.2)


def test_a_slit_passes_more_than_its_area():
    assert max(catalogue.call("SLITTL", "3 mm", "45 mm", "edge")[0]) < 0


def test_a_small_hole_isolates_in_the_bass():
    losses = catalogue.call("HOLETL", "10 mm", "100 mm", [[125, 4000]])[0]
    assert losses[0] > 20 > losses[1]


def test_an_octave_of_a_slit_lies_among_its_thirds():
    thirds = catalogue.call("SLITTL", "1 mm", "45 mm", "mid-wall", [[396.85, 500, 629.96]])[0]
    octave = catalogue.call("SLITTL", "1 mm", "45 mm", "mid-wall", "octave")[0][3]
    assert min(thirds) < octave < max(thirds)


SEALING = [(0, 20.5), (0.5, 23), (0.9, 28), (1, 30)]


@pytest.mark.parametrize(("sealed", "most"), SEALING)
def test_seals_decide_a_door(sealed, most):
    rating = catalogue.call("STCRATING", catalogue.call("DOORTL", DOOR, 36, 80, "1/8 in", sealed))
    assert most - 4 <= rating <= most


def test_a_heavier_leaf_does_not_help_an_open_gap():
    loaded = [[DOOR, None, 1], ["Lead sheet 1/16 in", None, 1]]
    plain, heavy = (catalogue.call("STCRATING", catalogue.call("DOORTL", leaf, 36, 80)) for leaf in (DOOR, loaded))
    assert heavy - plain <= 1


def test_a_gap_left_out_is_an_eighth():
    assert catalogue.call("DOORTL", DOOR, 36, 80) == catalogue.call("DOORTL", DOOR, 36, 80, "1/8 in", 0)


REFUSED = [
    (("LEAKEDTL", 50, 0, 1), Code.NUMBER, "area is 0"),
    (("LEAKEDTL", 50, "1 m²", "2 m²"), Code.NUMBER, "leak"),
    (("SLITTL", "100 mm", "45 mm"), Code.NUMBER, "too wide"),
    (("SLITTL", 0, 2), Code.NUMBER, "width is 0"),
    (("HOLETL", "10 mm", None), Code.NOT_AVAILABLE, "depth is blank"),
    (("DOORTL", DOOR, 36, 80, "1/8 in", 1.5), Code.NUMBER, "share sealed"),
]


@pytest.mark.parametrize(("call", "code", "reason"), REFUSED)
def test_what_is_refused(call, code, reason):
    answer = catalogue.call(*call)
    assert answer.code is code
    assert reason in answer.reason
