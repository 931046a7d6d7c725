"""Cavity walls: what must hold whatever the numbers, units and refusals."""

import numpy as np
import pytest

from stillbook import catalogue
from stillbook.cells import Code
from stillbook.trade.isolation.cavity_walls import wall_loss
from stillbook.trade.isolation.framing import FRAMINGS, framings, gap_of
from stillbook.trade.isolation.solids import Panel
from stillbook.trade.isolation.transfer import limp_chain_loss
from stillbook.trade.physics.sound import ALL_BANDS, STC_BANDS, mean_loss

BOARD = "Gypsum board 5/8 in type X"
TWICE = [[BOARD, None, 2]]
FREQUENCIES = np.array(ALL_BANDS.centres)


def stc(*arguments):
    return catalogue.call("STCRATING", catalogue.call("WALLTL", *arguments))


def test_the_framings_offered_are_those_of_the_table():
    assert tuple(framings()) == FRAMINGS


# Each row: a better wall, and the same wall without what makes it better.
BETTER = [
    ((BOARD, BOARD, 3.5, "filled", "steel studs"), (BOARD, BOARD, 3.5, "empty", "steel studs")),
    ((BOARD, BOARD, 3.5, "filled", "resilient channels"), (BOARD, BOARD, 3.5, "filled", "wood studs")),
    ((BOARD, BOARD, 8, "filled", "separate frames"), (BOARD, BOARD, 8, "filled", "staggered studs")),
    ((BOARD, BOARD, 8, "filled", "staggered studs"), (BOARD, BOARD, 8, "filled", "wood studs")),
    ((TWICE, BOARD, 3.5, "filled", "steel studs"), (BOARD, BOARD, 3.5, "filled", "steel studs")),
    ((TWICE, TWICE, 3.5, "filled", "steel studs"), (TWICE, BOARD, 3.5, "filled", "steel studs")),
    ((BOARD, BOARD, 8, "filled", "separate frames"), (BOARD, BOARD, 2, "filled", "separate frames")),
    ((BOARD, BOARD, 3.5, "filled", "isolation clips"), (BOARD, BOARD, 3.5, "filled", "resilient channels")),
    ((BOARD, BOARD, 3.5, "filled", "steel studs"), (BOARD, BOARD, 3.5, "filled", "20 gauge steel studs")),
    ((BOARD, BOARD, 3.5, "filled", "20 gauge steel studs"), (BOARD, BOARD, 3.5, "filled", "load-bearing steel studs")),
    ((TWICE, TWICE, 8, "filled", "unconnected"), (TWICE, TWICE, 8, "filled", "separate frames")),
    ((TWICE, TWICE, 3.5, "filled", "wood studs"), (TWICE, TWICE, 3.5, "empty", "wood studs")),
]


@pytest.mark.parametrize(("better", "worse"), BETTER)
def test_what_makes_a_wall_better(better, worse):
    assert stc(*better) > stc(*worse)


@pytest.mark.parametrize("framing", FRAMINGS)
@pytest.mark.parametrize("fill", ["empty", "filled"])
def test_a_wall_reads_the_same_from_both_sides(framing, fill):
    one = catalogue.call("WALLTL", TWICE, "Glass 6 mm", 4, fill, framing)
    other = catalogue.call("WALLTL", "Glass 6 mm", TWICE, 4, fill, framing)
    assert one[0] == pytest.approx(other[0])


@pytest.mark.parametrize("framing", ["separate frames", "wood studs", "window frame"])
def test_three_leaves_read_the_same_from_both_sides(framing):
    panels = [Panel(8.0), Panel(20.0, 1500.0), Panel(11.0, 2600.0)]
    gaps = [gap_of(0.09, "filled", framing), gap_of(0.05, "empty", "separate frames")]
    one = wall_loss(panels, gaps, FREQUENCIES)
    assert wall_loss(panels[::-1], gaps[::-1], FREQUENCIES) == pytest.approx(one)


def test_a_feather_of_a_third_leaf_changes_little_in_the_bass():
    gaps = [gap_of(0.09, "filled", "separate frames"), gap_of(0.02, "filled", "separate frames")]
    bass = FREQUENCIES[FREQUENCIES <= 200]
    two = wall_loss([Panel(10.0), Panel(10.0)], gaps[:1], bass)
    three = wall_loss([Panel(10.0), Panel(10.0), Panel(0.01)], gaps, bass)
    assert np.abs(three - two).max() < 1.0


@pytest.mark.parametrize("word", ["STC", "OITC", "octave"])
def test_losses_are_never_negative(word):
    losses = catalogue.call("WALLTL", "0.1 lb/ft²", "0.1 lb/ft²", 1, "empty", "separate frames", None, word)[0]
    assert min(losses) >= 0


def test_absorption_lowers_the_resonance():
    empty = catalogue.call("RESONANCE", 2.2, 2.2, 3.5)
    assert catalogue.call("RESONANCE", 2.2, 2.2, 3.5, "filled") == pytest.approx(empty / 1.4**0.5)


def test_the_resonance_takes_build_ups_and_masses():
    by_name = catalogue.call("RESONANCE", TWICE, BOARD, 3.5)
    assert by_name == pytest.approx(catalogue.call("RESONANCE", 4.4, 2.2, 3.5))
    assert catalogue.call("RESONANCE", 4.4, 2.2, "88.9 mm") == pytest.approx(by_name)


def test_spacing_does_not_count_where_nothing_repeats():
    usual = catalogue.call("WALLTL", BOARD, BOARD, 8, "filled", "separate frames")
    assert catalogue.call("WALLTL", BOARD, BOARD, 8, "filled", "separate frames", 24) == usual


def test_both_systems_agree():
    us = catalogue.call("WALLTL", BOARD, BOARD, 3.5, "filled", "steel studs", 24)
    si = catalogue.call("WALLTL", BOARD, BOARD, 88.9, "filled", "steel studs", 609.6, "STC", 10, "SI")
    assert us[0] == pytest.approx(si[0])


REFUSED = [
    (("WALLTL", BOARD, BOARD, 0), Code.NUMBER, "cavity depth is 0 in"),
    (("WALLTL", BOARD, BOARD, None), Code.NOT_AVAILABLE, "cavity depth is blank"),
    (("WALLTL", BOARD, None, 3.5), Code.NOT_AVAILABLE, "leaf 2 is blank"),
    (("WALLTL", BOARD, BOARD, 3.5, "half"), Code.VALUE, '"empty", "filled"'),
    (("WALLTL", BOARD, BOARD, 3.5, "filled", "glue"), Code.VALUE, "give one of"),
    (("WALLTL", BOARD, BOARD, 3.5, "filled", "wood studs", 0), Code.NUMBER, "spacing is 0 in"),
    (("WALLTL", BOARD, BOARD, "3.5 lb"), Code.VALUE, "is a mass where a length is needed"),
    (("RESONANCE", "88 lb", 2.2, 3.5), Code.VALUE, "is a mass where a mass per area is needed"),
    (("THREELEAFRESONANCE", 2.2, 2.2, 2.2, 2, 0), Code.NUMBER, "cavity 2 is 0 in"),
]


@pytest.mark.parametrize(("call", "code", "reason"), REFUSED)
def test_what_is_refused(call, code, reason):
    answer = catalogue.call(*call)
    assert answer.code is code
    assert reason in answer.reason


FILMS = ["0.01 kg/m²", "0.02 kg/m²", "0.05 kg/m²", "0.1 kg/m²", "0.02 lb/ft²", "0.3 kg/m²"]


@pytest.mark.parametrize("framing", ["separate frames", "wood studs", "steel studs", "resilient channels"])
@pytest.mark.parametrize("fill", ["empty", "filled"])
@pytest.mark.parametrize(("one", "other"), [(4, 4), (1, 7), (8, 8), (1, 3)])
def test_a_film_in_the_cavity_adds_no_more_than_its_own_loss(framing, fill, one, other):
    """Plastic sheet of 10 to 300 g/m² between two leaves: it moves with the air below its resonance on both cavities."""
    leaf = [[BOARD, None, 2]]
    plain = catalogue.call("WALLTL", leaf, leaf, one + other, fill, framing)
    for film in FILMS:
        wall = catalogue.call("THREELEAFTL", leaf, film, leaf, one, other, fill, fill, framing, framing)
        alone = [catalogue.call("MASSLAW", film, hz, "normal") for hz in STC_BANDS.centres]
        assert max(b - a - own for a, b, own in zip(plain[0], wall[0], alone, strict=True)) < 0.6
        assert max(b - a for a, b in zip(plain[0], wall[0], strict=True)) < 2
        assert catalogue.call("STCRATING", wall) <= catalogue.call("STCRATING", plain) + 2


def test_bays_between_wood_studs_raise_the_resonance():
    """A bay of 1/2 in board on studs 16 in apart, held so that it bends at 120 Hz, on the air of a filled cavity of 86 Hz:
    the wall is weakest between 125 and 160 Hz, where NRC Canada measured it (TL-93-176)."""
    losses = catalogue.call(
        "WALLTL", "Gypsum board 1/2 in", "Gypsum board 1/2 in", 3.5, "filled", "wood studs", 16, "all"
    )
    weakest = ALL_BANDS.centres[int(np.argmin(losses[0]))]
    assert 100 <= weakest <= 160


def test_furring_on_a_wall_stiffens_no_bays():
    block = "Hollow concrete masonry 8 in 125 pcf"
    furred = [catalogue.call("WALLTL", block, board, 1.5, "filled", "wood studs")[0] for board in (BOARD, TWICE)]
    assert np.subtract(furred[1], furred[0]).min() > 0


@pytest.mark.parametrize("fill", ["empty", "filled"])
def test_a_film_in_front_of_a_leaf_adds_no_more_than_its_own_loss(fill):
    leaf = [[BOARD, None, 2]]
    [plain] = catalogue.call("LEAFTL", leaf)
    for film in ("0.01 kg/m²", "0.02 kg/m²"):
        [wall] = catalogue.call("WALLTL", leaf, film, 4, fill, "separate frames")
        alone = [catalogue.call("MASSLAW", film, hz, "normal") for hz in STC_BANDS.centres]
        assert max(b - a - own for a, b, own in zip(plain, wall, alone, strict=True)) < 1.5


def test_what_a_septum_adds_grows_steadily_with_its_mass():
    """From a film of 1 g/m² to board: no step of a tenth more mass moves a band by more than 2 dB.

    Above the higher resonance, that is: on its flank a step moves a band as far as transfer matrices say, and no more.
    """
    gaps = [gap_of(0.1, "filled", "separate frames"), gap_of(0.1, "filled", "separate frames")]
    leaf = Panel(10.7, 870.0, 0.01)
    masses = 0.001 * 1.1 ** np.arange(100)
    losses = [wall_loss([leaf, Panel(mass), leaf], gaps, FREQUENCIES) for mass in masses]
    within = FREQUENCIES[:, None] * 2.0 ** (np.linspace(-1, 1, 13) / 6)
    matrices = [mean_loss(limp_chain_loss([10.7, mass, 10.7], [0.1, 0.1], within)) for mass in masses]
    steps, steepest = np.abs(np.diff(losses, axis=0)), np.abs(np.diff(matrices, axis=0))
    assert (steps < np.maximum(2.0, steepest + 0.1)).all()
    assert steps[:, FREQUENCIES >= 160].max() < 2
    assert steps[masses[1:] < 5].max() < 2
    assert wall_loss([leaf, leaf], [gap_of(0.2, "filled", "separate frames")], FREQUENCIES) == pytest.approx(
        losses[0], abs=0.05
    )


@pytest.mark.parametrize("fill", ["empty", "filled"])
@pytest.mark.parametrize("layers", [1, 2])
@pytest.mark.parametrize("framing", ["wood studs", "load-bearing steel studs"])
def test_the_spacing_of_wood_studs_counts_no_more_than_print_says(framing, layers, fill):
    """Sharp 1978: a line bridge goes by 10 log of the spacing; National Building Code of Canada: one rating at 400 and
    600 mm."""
    leaf = [[BOARD, None, layers]]
    walls = [
        catalogue.call("WALLTL", leaf, leaf, 3.5, fill, framing, inches)[0]
        for inches in (8, 10, 11, 12, 13, 14, 15, 16, 18, 20, 24, None)
    ]
    ratings = [catalogue.call("STCRATING", [wall]) for wall in walls]
    assert len(set(ratings[7:])) == 1
    assert 0 <= ratings[7] - ratings[3] <= 1
    losses = np.array(walls)
    assert (losses[7] - losses[3] >= -1e-9).all()
    # Through an empty cavity about as much goes by the air as by the studs.
    least = 1 if fill == "filled" else 0.5
    assert least < (losses[7] - losses[3]).max() <= 10 * np.log10(16 / 12) + 1e-9
    assert np.abs(np.diff(losses, axis=0)).max() < 1
