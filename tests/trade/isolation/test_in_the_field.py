"""Field figures: what is refused, and what the background does."""

import pytest

from stillbook import catalogue
from stillbook.cells import ErrorValue

LOUD, QUIET = [90.0] * 16, [50.0] * 16


@pytest.mark.parametrize(
    ("formula", "arguments", "reason"),
    [
        ("NICRATING", (LOUD[:15], QUIET), "outside has 15 values: give 16"),
        ("DNTWRATING", (LOUD, QUIET[:5], 0.5), "have not the same number of bands"),
        ("DNTWRATING", (LOUD, QUIET, 0.5, QUIET[:5]), "have not the same number of bands"),
        ("DNTWRATING", (LOUD, QUIET, [0.5] * 5), "there are 16 bands and 5 reverberation times"),
        (
            "NICRATING",
            (LOUD, QUIET, [*QUIET[:4], 75.0, *QUIET[5:]]),
            "the background of band 5 is 25 dB over the level",
        ),
        ("DNTWRATING", (LOUD, QUIET, 0.5, [54.0] * 16), "the background of band 1 is 4 dB over the level inside"),
        ("RCRATING", ([40] * 8, [50]), "low has 1 values: give 2"),
        ("MOUNTLOSS", (10, 10), "mounts without damping have no answer at their natural frequency"),
        ("MOUNTFREQUENCY", (0,), "deflection is 0 in"),
        ("DRYTHICKNESS", (54, 86, 1, 0.3, 0.7), "the air round the duct is saturated"),
    ],
)
def test_refused(formula, arguments, reason):
    found = catalogue.call(formula, *arguments)
    assert isinstance(found, ErrorValue) and reason in found.reason


@pytest.mark.parametrize(
    ("over", "more"),
    [(15, 0), (10, 0), (7, 1), (3, 2), (0, 2), (-3, 2)],
)
def test_a_background_raises_the_class_by_two_at_most(over, more):
    """7 dB over the background the level alone is 0.97 dB lower."""
    background = [level - over for level in QUIET]
    plain = catalogue.call("NICRATING", LOUD, QUIET)
    assert catalogue.call("NICRATING", LOUD, QUIET, background) == plain + more


def test_a_duct_warmer_than_the_dew_point_needs_nothing():
    assert catalogue.call("DRYTHICKNESS", 70, 75, "40 %", 0.3, 0.7) == 0
