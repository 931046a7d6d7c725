"""Levels by octave: NC, sums and sources."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillbook import catalogue
from stillbook.cells import Code
from stillbook.tables import table
from stillbook.trade.isolation.sources import SOURCES, source_spectra
from stillbook.trade.quiet_path.levels import nc_curve, nc_rating


@given(st.floats(15, 70))
def test_a_curve_has_its_own_number(number):
    assert nc_rating(nc_curve(number)) == pytest.approx(number, abs=1e-6)


def test_one_loud_band_decides():
    curve = catalogue.call("NCCURVE", 25)[0]
    for place in range(8):
        louder = [level + 3 if index == place else level for index, level in enumerate(curve)]
        assert catalogue.call("NCRATING", louder) > 25


def test_below_the_lowest_curve_is_fifteen():
    assert catalogue.call("NCRATING", [0] * 8) == 15


@pytest.mark.parametrize("kind", SOURCES)
def test_a_source_moves_to_the_level_asked_for(kind):
    assert catalogue.call("DBSUM", catalogue.call("SOURCELEVELS", kind, 90)) == pytest.approx(90)


def test_the_sources_offered_are_those_of_the_table():
    assert set(source_spectra()) == set(SOURCES)


@pytest.mark.parametrize(
    ("kind", "sum_of_bands"),
    [
        ("pink noise", 100),
        ("band rehearsal", 95),
        ("amplified rock", 120),
        ("singing", 95),
        ("drums", 110),
        ("amplified music", 100),
    ],
)
def test_the_level_of_a_source(kind, sum_of_bands):
    assert catalogue.call("DBSUM", catalogue.call("SOURCELEVELS", kind)) == pytest.approx(sum_of_bands, abs=0.05)


@pytest.mark.parametrize("kind", ["singing", "drums", "amplified music"])
def test_a_source_from_memory_says_so(kind):
    assert "from memory" in next(row["confidence"] for row in table("source_levels") if row["kind"] == kind)


def test_blanks_do_not_count_in_a_sum():
    assert catalogue.call("DBSUM", [60, None, 60, ""]) == pytest.approx(63.01, abs=0.01)


REFUSED = [
    (("NCRATING", [90] * 8), Code.NUMBER, "NC-70"),
    (("NCRATING", [30] * 7), Code.VALUE, "has 7 values: give 8"),
    (("NCCURVE", 10), Code.NUMBER, "at least 15"),
    (("DBSUM", [None, None]), Code.NOT_AVAILABLE, "blank"),
    (("SOURCELEVELS", "whale"), Code.VALUE, "speech normal"),
]


@pytest.mark.parametrize(("call", "code", "reason"), REFUSED)
def test_what_is_refused(call, code, reason):
    answer = catalogue.call(*call)
    assert answer.code is code
    assert reason in answer.reason
