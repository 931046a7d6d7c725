"""Highest levels in a room for hearing tests: what is limited, what is not, and what is refused."""

import pytest

from stillbook.catalogue import call
from stillbook.cells import Code, ErrorValue
from stillbook.tables import table
from stillbook.trade.room.hearing_tests import HEARING_TESTS


def test_the_kinds_offered_are_those_of_the_table():
    assert {row["kind"] for row in table("hearing_tests")} == set(HEARING_TESTS)


@pytest.mark.parametrize("row", table("hearing_tests"), ids=lambda row: f"{row['kind']} from {row['lowest']} Hz")
def test_an_octave_at_its_limit_proves_each_third(row):
    levels = call("HEARINGTESTLEVELS", row["kind"], float(row["lowest"]))[0]
    for octave, level in zip((63, 125, 250, 500, 1000, 2000, 4000, 8000), levels, strict=True):
        bands = [octave] if row["width"] == "octave" else [hz for hz in BANDS if 0.7 < hz / octave < 1.4]
        limits = [float(row[f"f{hz}"]) for hz in bands if row[f"f{hz}"]]
        if limits:
            assert level == min(limits)
        else:
            assert isinstance(level, ErrorValue)


BANDS = (
    50,
    63,
    80,
    100,
    125,
    160,
    200,
    250,
    315,
    400,
    500,
    630,
    800,
    1000,
    1250,
    1600,
    2000,
    2500,
    3150,
    4000,
    5000,
    6300,
    8000,
    10000,
)


def test_a_higher_lowest_tone_allows_no_less():
    for kind in ("ANSI earphones", "ANSI insert earphones", "ANSI ears uncovered", "ISO earphones"):
        from_125, from_250, from_500 = (call("HEARINGTESTLEVELS", kind, tone)[0][1:] for tone in (125, 250, 500))
        assert all(a <= b <= c for a, b, c in zip(from_125, from_250, from_500, strict=True))


@pytest.mark.parametrize(
    ("arguments", "code", "reason"),
    [
        (("US workplace", 125), Code.VALUE, "a lowest test tone of 500 Hz, not 125 Hz"),
        (("ISO sound field", 500), Code.VALUE, "125 Hz or 250 Hz"),
        (("ANSI earphones", 1000), Code.NUMBER, "500"),
        (("whisper",), Code.VALUE, "ANSI earphones"),
    ],
)
def test_what_is_refused(arguments, code, reason):
    answer = call("HEARINGTESTLEVELS", *arguments)
    assert answer.code == code
    assert reason in answer.reason


def test_what_no_standard_limits_has_a_reason():
    unlimited = call("HEARINGTESTLEVELS", "ANSI earphones")[0][0]
    assert unlimited.code == Code.NUMBER
    assert "no limit in this octave" in unlimited.reason
