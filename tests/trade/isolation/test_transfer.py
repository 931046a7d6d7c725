"""Transfer matrices of limp leaves and fibre: their limits, and what a leaf within a double wall adds by them."""

import numpy as np
import pytest

from stillbook.trade.isolation.cavity_walls import wall_loss
from stillbook.trade.isolation.framing import gap_of
from stillbook.trade.isolation.solids import Panel
from stillbook.trade.isolation.transfer import limp_chain_loss
from stillbook.trade.physics.sound import AIR_IMPEDANCE, ALL_BANDS, mean_loss

FREQUENCIES = np.array(ALL_BANDS.centres)
WITHIN = 2.0 ** (np.linspace(-1, 1, 13) / 6)


def bands(masses, depths, frequencies=FREQUENCIES):
    return mean_loss(limp_chain_loss(masses, depths, frequencies[:, None] * WITHIN))


@pytest.mark.parametrize("mass", [0.5, 5.0, 50.0])
def test_one_leaf_obeys_mass_law_to_78_degrees(mass):
    """τ = ∫ du / [1 + (a u)²] over u = cos² θ from cos² 78°, a² u for a limp leaf: ln[(1 + a²) / (1 + a² u0)] / a² (1 - u0).

    Field incidence, Beranek and Vér: about 5 dB below head-on mass law.
    """
    head_on = (np.pi * FREQUENCIES * mass / AIR_IMPEDANCE) ** 2
    grazing = np.cos(np.radians(78)) ** 2
    expected = -10 * np.log10(np.log((1 + head_on) / (1 + head_on * grazing)) / head_on / (1 - grazing))
    found = limp_chain_loss([mass], [], FREQUENCIES)
    assert found == pytest.approx(expected, abs=1e-4)
    if mass == 50:
        assert found == pytest.approx(10 * np.log10(1 + head_on) - 5, abs=0.3)


def test_far_below_resonance_the_leaves_are_one():
    """Sharp 1978: mass law of both leaves together. Still lower, fibre that stays at rest resists by itself."""
    low = np.array([20.0])
    assert limp_chain_loss([10.7, 10.7], [0.09], low) == pytest.approx(limp_chain_loss([21.4], [], low), abs=0.5)


@pytest.mark.parametrize(("mass", "depth"), [(10.7, 0.09), (7.8, 0.2), (21.4, 0.1)])
def test_two_leaves_are_weakest_at_their_resonance_on_filled_air(mass, depth):
    """50.7 √[(m1 + m2) / (m1 m2 d)]: Fahy and Gardonio; Sharp 1978."""
    fine = np.arange(20.0, 250.0, 0.5)
    weakest = fine[np.argmin(limp_chain_loss([mass, mass], [depth], fine) - limp_chain_loss([2 * mass], [], fine))]
    assert weakest == pytest.approx(50.7 * np.sqrt(2 / mass / depth), rel=0.03)


@pytest.mark.parametrize(("one", "other"), [(0.1, 0.1), (0.03, 0.17)])
def test_a_film_between_two_leaves_adds_nothing(one, other):
    """A sheet without mass; and one of 50 g/m² to 1000 Hz, where no quarter wave fits in beside it."""
    plain = bands([10.7, 10.7], [one + other])
    assert bands([10.7, 1e-6, 10.7], [one, other]) == pytest.approx(plain, abs=1e-3)
    added = bands([10.7, 0.05, 10.7], [one, other]) - plain
    assert added[FREQUENCIES <= 1000].max() < 0.5


@pytest.mark.parametrize("septum", [5.0, 10.7, 21.4])
@pytest.mark.parametrize("first", [0.05, 0.1])
def test_what_board_within_a_double_wall_adds_is_what_the_matrices_say(septum, first):
    """In the bass as much as it costs by them, within 3 dB; from 160 to 500 Hz, where it helps, within 6."""
    depths = (first, 0.2 - first)
    by_matrices = bands([10.7, septum, 10.7], depths) - bands([10.7, 10.7], [0.2])
    gaps = [gap_of(depth, "filled", "unconnected") for depth in depths]
    two = wall_loss([Panel(10.7), Panel(10.7)], [gap_of(0.2, "filled", "unconnected")], FREQUENCIES)
    found = wall_loss([Panel(10.7), Panel(septum), Panel(10.7)], gaps, FREQUENCIES) - two
    bass = FREQUENCIES <= 125
    assert by_matrices[bass].min() < -5
    assert found[bass].min() == pytest.approx(by_matrices[bass].min(), abs=3)
    helping = (FREQUENCIES >= 160) & (FREQUENCIES <= 500)
    assert found[helping] == pytest.approx(by_matrices[helping], abs=6)
    assert (found <= np.maximum(by_matrices, 0) + 1).all()
