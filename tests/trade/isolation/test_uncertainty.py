"""The uncertainty of a prediction."""

import pytest

from stillbook import catalogue
from stillbook.trade.isolation.framing import FRAMINGS
from stillbook.trade.isolation.uncertainty import ALL_ROWS, BETWEEN_LABORATORIES, CONSTRUCTIONS, records


@pytest.mark.parametrize("construction", CONSTRUCTIONS)
def test_no_prediction_is_surer_than_two_laboratories(construction):
    assert catalogue.call("RATINGUNCERTAINTY", construction) >= BETWEEN_LABORATORIES


@pytest.mark.parametrize("construction", CONSTRUCTIONS)
def test_no_band_is_surer_than_two_laboratories(construction):
    """ISO 12999-1:2020, situation A: 1.8 dB at 250 Hz, 6.8 at 50 Hz."""
    low, middle = catalogue.call("BANDUNCERTAINTY", construction, [[50, 250]])[0]
    assert low >= 13.6
    assert middle >= 3.6


def test_the_uncertainty_by_band_is_twice_the_record_of_its_octave():
    masonry = records()["masonry"]
    found = catalogue.call("BANDUNCERTAINTY", "masonry", [[500, 630, 1000]])[0]
    assert found == pytest.approx([2 * masonry.by_octave[2], 2 * masonry.by_octave[2], 2 * masonry.by_octave[3]])


@pytest.mark.parametrize(
    "construction", ["isolation clips", "load-bearing steel studs", "20 gauge steel studs", "unconnected"]
)
def test_what_no_wall_judged_takes_the_uncertainty_over_all(construction):
    assert construction not in records()
    assert catalogue.call("RATINGUNCERTAINTY", construction) == pytest.approx(2 * records()[ALL_ROWS].rms, abs=0.06)


def test_the_record_names_known_constructions_only():
    assert set(records()) <= {*CONSTRUCTIONS, ALL_ROWS}
    assert set(FRAMINGS) <= set(CONSTRUCTIONS)


def test_the_record_as_a_table():
    table = catalogue.call("PREDICTIONRECORD")
    assert table[0][0] == "Construction"
    assert [row[0] for row in table[1:]] == list(records())
