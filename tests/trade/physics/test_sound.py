"""Bands and decibels."""

import math

import numpy as np
import pytest

from stillbook.cells import Code, FormulaError
from stillbook.trade.physics.sound import (
    ALL_BANDS,
    OCTAVE_BANDS,
    OITC_BANDS,
    RW_BANDS,
    STC_BANDS,
    BandsReader,
    decibels,
    joined_loss,
    mean_loss,
    power,
    round_half_up,
)


@pytest.mark.parametrize(
    ("bands", "count", "first", "last"),
    [
        (STC_BANDS, 16, 125, 4000),
        (RW_BANDS, 16, 100, 3150),
        (OITC_BANDS, 18, 80, 4000),
        (ALL_BANDS, 21, 50, 5000),
        (OCTAVE_BANDS, 8, 63, 8000),
    ],
    ids=str,
)
def test_the_bands_by_word(bands, count, first, last):
    read = BandsReader().read(str(bands).upper(), "bands", "US")
    assert read is bands
    assert (len(read.centres), read.centres[0], read.centres[-1]) == (count, first, last)


@pytest.mark.parametrize("given", [[[125, 250]], [[125], [250]], [125, "250 Hz"]])
def test_bands_by_frequency(given):
    assert BandsReader().read(given, "bands", "US").centres == (125.0, 250.0)


@pytest.mark.parametrize(
    ("given", "code"), [("thirds", Code.VALUE), ([[10]], Code.NUMBER), ([[None]], Code.NOT_AVAILABLE)]
)
def test_bands_that_are_refused(given, code):
    with pytest.raises(FormulaError) as caught:
        BandsReader().read(given, "bands", "US")
    assert caught.value.code is code


def test_an_octave_passes_the_mean_of_its_thirds():
    at_thirds = OCTAVE_BANDS.loss(lambda frequency: 20 * np.log10(frequency))
    centre = 20 * np.log10(OCTAVE_BANDS.centres)
    assert (at_thirds < centre).all() and (at_thirds > centre - 1.5).all()
    assert OCTAVE_BANDS.loss(lambda frequency: np.full_like(frequency, 30.0)).tolist() == pytest.approx([30.0] * 8)


@pytest.mark.parametrize(
    ("value", "digits", "rounded"), [(2.5, 0, 3), (-2.5, 0, -2), (30.449, 1, 30.4), (30.45, 1, 30.5), (1.005, 2, 1.01)]
)
def test_a_half_goes_up(value, digits, rounded):
    assert round_half_up(value, digits) == pytest.approx(rounded)


def test_decibels_and_powers():
    assert power(10).item() == pytest.approx(10)
    assert decibels(100).item() == pytest.approx(20)
    assert mean_loss(np.array([[10.0, 10.0], [0.0, math.inf]])).tolist() == pytest.approx([10.0, 3.0103], abs=1e-4)
    assert joined_loss([30.0, 40.0], [30.0, 60.0]).tolist() == pytest.approx([26.9897, 39.9568], abs=1e-4)
