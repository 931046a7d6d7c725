"""The uncertainty of a prediction."""

import pytest

from stillbook import catalogue
from stillbook.trade.isolation.framing import FRAMINGS
from stillbook.trade.isolation.uncertainty import ALL_ROWS, BETWEEN_LABORATORIES, CONSTRUCTIONS, records


@pytest.mark.parametrize("construction", CONSTRUCTIONS)
def test_no_prediction_is_surer_than_two_laboratories(construction):
    assert catalogue.call("RATINGUNCERTAINTY", construction) >= BETWEEN_LABORATORIES


@pytest.mark.parametrize("construction", ["isolation clips", "load-bearing steel studs"])
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
