"""Sound through open pores: its limits, what closes them, and what they do to a wall."""

import numpy as np
import pytest

from stillbook import catalogue
from stillbook.trade.isolation.pores import Pores, pore_loss
from stillbook.trade.isolation.solids import panel_of
from stillbook.trade.mass.leaves import Layer, Leaf
from stillbook.trade.physics.sound import AIR_IMPEDANCE

BARE = Layer("Solid lightweight block bare", 150.0, 0.14)
SEALED = Layer("Solid lightweight block", 150.0, 0.14)
PLASTER = Layer("Gypsum plaster with sand", 24.4, 0.0127)
BOARD = Layer("Gypsum board 1/2 in", 7.8, 0.0127)


def pores(*layers, glued=False):
    return panel_of(Leaf(layers), glued=glued).pores


@pytest.mark.parametrize("times", [1, 10, 100])
def test_at_low_frequencies_pores_are_a_resistive_sheet(times):
    """τ = ∫ (1 + r u / 2)⁻² 2u du over u = cos θ = (8 / r²) [ln(1 + r/2) - (r/2) / (1 + r/2)], r = R / ρc."""
    half = times / 2
    expected = -10 * np.log10(2 / half**2 * (np.log(1 + half) - half / (1 + half)))
    [found] = pore_loss(Pores(times * AIR_IMPEDANCE, 0.4, 1e-4), np.array([1.0]))
    assert found == pytest.approx(expected, abs=0.02)


def test_far_up_each_depth_more_attenuates_alike():
    """γ = √(jω φ σ / P) where σ/ω is far above the density of air: √(ω φ σ / 2P) nepers of 8.686 dB in each metre."""
    frequency, resistivity, porosity = 500.0, 5e6, 0.4
    thin, thick = (
        pore_loss(Pores(resistivity * depth, porosity, depth), np.array([frequency]))[0] for depth in (0.05, 0.1)
    )
    nepers = np.sqrt(np.pi * frequency * porosity * resistivity / 101_325) * 0.05
    assert thick - thin == pytest.approx(8.686 * nepers, rel=0.005)


def test_thick_block_passes_nothing_and_overflows_nothing():
    with np.errstate(all="raise"):
        assert np.isfinite(pore_loss(Pores(120_000 * 3, 0.4, 3.0), np.array([50.0, 8000.0]))).all()


def test_what_closes_pores_and_what_does_not():
    """Board on dabs is no seal, NRC Canada; plaster, brick and glue are."""
    assert pores(BARE) == Pores(120_000 * 0.14, 0.4, 0.14)
    assert pores(BARE, BARE).depth == pytest.approx(0.28)
    assert pores(BARE, BOARD) == pores(BARE)
    assert pores(SEALED) is pores(BARE, PLASTER) is pores(Layer("Clay brick", 190.0, 0.1), BARE) is None
    assert pores(BARE, BOARD, glued=True) is None
    assert pores(BOARD) is None


def test_bare_block_isolates_less_than_the_same_sealed_in_every_band():
    bare, sealed = (
        np.ravel(catalogue.call("LEAFTL", [[name, "140 mm", 1, "150 kg/m²"]], "all"))
        for name in ("Solid lightweight block bare", "Solid lightweight block")
    )
    assert (bare < sealed).all()
    assert (bare > 0).all()


def test_a_lining_helps_bare_block_and_sealing_helps_the_lined_wall():
    board = "Gypsum board 1/2 in"
    bare, sealed = (
        [[name, "140 mm", 1, "150 kg/m²"]] for name in ("Solid lightweight block bare", "Solid lightweight block")
    )
    alone = catalogue.call("STCRATING", catalogue.call("LEAFTL", bare))
    lined, sealed_and_lined = (
        catalogue.call("STCRATING", catalogue.call("WALLTL", block, board, "50 mm", "filled", "separate frames"))
        for block in (bare, sealed)
    )
    assert alone + 10 < lined < sealed_and_lined
