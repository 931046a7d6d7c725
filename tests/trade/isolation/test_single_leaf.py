"""One leaf: the shape of its curve, units and refusals."""

import numpy as np
import pytest

from stillbook import catalogue
from stillbook.cells import Code
from stillbook.trade.isolation.single_leaf import loss_factor, mass_law_loss, panel_loss, thick_critical_frequency
from stillbook.trade.isolation.solids import Panel
from stillbook.trade.physics.sound import ALL_BANDS, SPEED_OF_SOUND

FREQUENCIES = np.array(ALL_BANDS.centres)


def panel(mass, critical, damping=0.02, thickness=0.0):
    return Panel(mass, mass * (SPEED_OF_SOUND**2 / (2 * np.pi * critical)) ** 2, damping, thickness)


def test_twice_the_mass_or_frequency_is_six_decibels():
    light, heavy, higher = (catalogue.call("MASSLAW", *at) for at in ((2, 500), (4, 500), (2, 1000)))
    assert heavy - light == pytest.approx(6.0, abs=0.05)
    assert higher == pytest.approx(heavy, abs=1e-9)


def test_mass_law_takes_ranges():
    answer = catalogue.call("MASSLAW", [[1], [2]], [[125, 250, 500]])
    assert len(answer) == 2 and len(answer[0]) == 3
    assert answer[1][0] == catalogue.call("MASSLAW", 2, 125)


@pytest.mark.parametrize("incidence", ["field", "normal", "diffuse"])
def test_mass_law_is_never_negative(incidence):
    assert catalogue.call("MASSLAW", 0.01, 20, incidence) >= 0


def test_a_panel_never_exceeds_mass_law():
    for critical in (150.0, 1000.0, 2500.0):
        losses = panel_loss(panel(10, critical), FREQUENCIES)
        assert (losses <= mass_law_loss(10, FREQUENCIES, 10.0) + 1e-9).all()


def test_the_dip_lies_at_the_critical_frequency():
    at = np.geomspace(1250, 10_000, 400)
    losses = panel_loss(panel(10, 2500), at)
    assert at[np.argmin(losses)] == pytest.approx(2500, rel=0.01)


def test_the_curve_has_no_steps():
    """EN 12354-1 joins its two laws of the thick plate with constants rounded to 1%, which leaves 0.25 dB."""
    at = np.geomspace(50, 10_000, 40_000)
    for one in (panel(10, 2500), panel(200, 150, 0.01, 0.2), panel(30, 1000, 0.1, 0.012)):
        assert np.abs(np.diff(panel_loss(one, at))).max() < 0.25


@pytest.mark.parametrize("more", [0.02, 0.05, 0.1])
def test_damping_fills_the_dip(more):
    at = np.array([2500.0, 4000.0])
    assert (panel_loss(panel(10, 2500, more), at) > panel_loss(panel(10, 2500, more / 2), at)).all()


def test_a_small_leaf_isolates_more_in_the_bass():
    small, large = (catalogue.call("LEAFTL", 2, [[63, 125, 2000]], "loose", area)[0] for area in (15, 150))
    assert small[0] > large[0] + 1
    assert small[2] == pytest.approx(large[2])


def test_shear_weakens_a_thick_plate():
    wall = panel(460, 90, 0.01, 0.2)
    stands_for = thick_critical_frequency(wall, np.array([100.0, 1000.0, 4000.0]))
    assert 90 < stands_for[0] < stands_for[1] < stands_for[2]


@pytest.mark.parametrize(("mass", "edges"), [(48.5, 0.1), (145.5, 0.3), (240.0, 0.3), (480.0, 0.3)])
def test_edges_take_up_no_more_than_a_test_opening_must(mass, edges):
    """EN 12354-1:2000 Annex C: m / (485 √f), up to the 0.3 / √f that ISO 10140-5 asks of a laboratory (from memory)."""
    assert loss_factor(Panel(mass, 1e6, 0.01), 100.0) == pytest.approx(0.01 + edges / 10)


def test_glue_lowers_the_dip():
    twice = [["Gypsum board 1/2 in", None, 2]]
    bands = [[1600]]
    loose, glued = (catalogue.call("LEAFTL", twice, bands, layers)[0][0] for layers in ("loose", "glued"))
    assert glued < loose - 5
    assert catalogue.call("COINCIDENCE", twice, "glued") == pytest.approx(catalogue.call("COINCIDENCE", twice) / 2)


@pytest.mark.parametrize("word", ["STC", "Rw", "OITC", "all", "octave"])
def test_the_bands_asked_for(word):
    sizes = {"STC": 16, "Rw": 16, "OITC": 18, "all": 21, "octave": 8}
    assert len(catalogue.call("LEAFTL", "Gypsum board 1/2 in", word)[0]) == sizes[word]


def test_both_systems_agree():
    us = catalogue.call("LEAFTL", [["Glass", 0.25]], "STC", "loose", 20)
    si = catalogue.call("LEAFTL", [["Glass", 6.35]], "STC", "loose", 1.8580608, "SI")
    assert us[0] == pytest.approx(si[0])


@pytest.mark.parametrize("theory", ["curve", "Sharp", "Cremer"])
def test_all_theories_agree_clear_of_the_dip(theory):
    losses = catalogue.call("PANELTL", "10 kg/m²", 2000, 0.02, theory, [[500, 16000]])[0]
    assert losses == pytest.approx([26.5, 51.5], abs=1.5)


def test_a_profiled_sheet_isolates_less_than_a_flat_one():
    flat = catalogue.call("MASSLAW", "10 kg/m²", 1000)
    assert catalogue.call("PROFILEDTL", "10 kg/m²", 200, 12_000, [[1000]])[0][0] < flat - 5


def test_a_profiled_sheet_has_no_step_at_its_critical_frequencies():
    """2 % more of a critical frequency moves no band by a decibel: at the lower one a step of 15 dB once stood."""
    for fixed in (200, 9000):
        walls = [catalogue.call("PROFILEDTL", "10 kg/m²", 20 * 1.02**step, fixed, "all")[0] for step in range(300)]
        assert np.abs(np.diff(walls, axis=0)).max() < 1


REFUSED = [
    (("COINCIDENCE", "1 lb/ft²"), Code.NUMBER, "limp"),
    (("COINCIDENCE", "Heavy limp sheet 1 lb/ft²"), Code.NUMBER, "limp"),
    (("LEAFTL", None), Code.NOT_AVAILABLE, "leaf is blank"),
    (("LEAFTL", "Gypsum bord"), Code.VALUE, "did you mean"),
    (("LEAFTL", "Gypsum board 1/2 in", "thirds"), Code.VALUE, '"STC"'),
    (("LEAFTL", "Gypsum board 1/2 in", "STC", "loose", 0), Code.NUMBER, "at least"),
    (("MASSLAW", "5 lb", 500), Code.VALUE, "is a mass where a mass per area is needed"),
    (("PANELTL", 2, 2500, 0), Code.NUMBER, "at least 0.0001"),
    (("PANELTL", 2, 1e-300, 0.01, "Sharp"), Code.NUMBER, "critical frequency is 1e-300 Hz: give at least 5 Hz"),
]


@pytest.mark.parametrize(("call", "code", "reason"), REFUSED)
def test_what_is_refused(call, code, reason):
    answer = catalogue.call(*call)
    assert answer.code is code
    assert reason in answer.reason
