"""The tally of what is checked against: most of it is print, and what comes from memory only grows less."""

from collections import Counter
from pathlib import Path

from published.tally import how, tally

LEAST_SEEN = 1200
MOST_FROM_MEMORY = 57
"""Raise the one and lower the other where a row was found in print."""


def test_most_rows_were_seen_and_few_come_from_memory():
    counts = sum(tally(Path(__file__).parent).values(), Counter())
    assert counts["print"] + counts["copy"] >= LEAST_SEEN
    assert counts["memory"] <= MOST_FROM_MEMORY
    assert how("seen in print; 8000 Hz from memory") == "memory"
