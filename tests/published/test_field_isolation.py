"""Field figures of isolation, mounts, floating floors and dry ducts against published examples."""

import pytest

from published.printed import cases
from stillbook import catalogue

CABIN = (11, 22.5, 24, 26, 29.3, 32.1, 28.3, 30.6, 31.9, 34.9, 34.5, 33.2, 32.1, 33.7, 32.6, 33.2)
"""Level difference of a cabin, third octaves 100 to 3150 Hz: a laboratory report of 2026, printed with Dp,w 32."""

CURVE_EXAMPLE = (20.4, 16.3, 17.7, 22.6, 22.4, 22.7, 24.8, 26.6, 28, 30.5, 31.8, 32.5, 33.4, 33, 31, 25.5)
"""ISO 717-1, Annex C, third octaves 100 to 3150 Hz, printed with 30."""


@pytest.mark.parametrize(("formula", "arguments", "expected", "tolerance"), cases("field_isolation"))
def test_a_published_figure(formula, arguments, expected, tolerance):
    assert catalogue.call(formula, *arguments) == pytest.approx(expected, rel=0, abs=tolerance)


@pytest.mark.parametrize(("differences", "printed"), [(CABIN, 32), (CURVE_EXAMPLE, 30)])
def test_a_weighted_level_difference(differences, printed):
    inside = [90 - difference for difference in differences]
    assert catalogue.call("DNTWRATING", [90] * 16, inside, 0.5) == printed


@pytest.mark.parametrize(("time", "more"), [(0.5, 0), (1.0, 3), (0.25, -3)])
def test_the_reverberation_of_the_receiving_room_counts(time, more):
    """DnT = D + 10 lg (T / 0.5 s), ISO 16283-1: twice the time is 3.01 dB, which a rating takes as 3."""
    inside = [90 - difference for difference in CURVE_EXAMPLE]
    assert catalogue.call("DNTWRATING", [90] * 16, inside, time) == 30 + more


def test_the_noise_isolation_class_of_the_cabin():
    """ASTM E413 on the same differences, 125 to 4000 Hz, computed apart: 33."""
    inside = [90 - difference for difference in (*CABIN[1:], 36.2)]
    assert catalogue.call("NICRATING", [90] * 16, inside) == 33


def test_level_83_with_a_background_of_77_is_817():
    """Barron, Industrial Noise Control and Acoustics (2003), example 3-6, printed 81.7 dB, seen copied out."""
    flat = [[value] * 16 for value in (120, 83, 77)]
    corrected = catalogue.call("NICRATING", *flat)
    assert corrected == catalogue.call("NICRATING", [120] * 16, [81.7] * 16)


def test_speech_privacy_of_a_flat_wall():
    """SPC = mean difference + mean noise (ASTM E2638): 48 + 28, computed apart."""
    assert catalogue.call("SPEECHPRIVACY", [48] * 16, [28] * 16) == [[76.0, "standard speech privacy"]]
