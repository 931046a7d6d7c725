"""The choice of a pair or a single door."""

import pytest

from stillbook import catalogue
from stillbook.cells import Code
from stillbook.trade.doors.arrangement import door_ratings
from stillbook.trade.physics.constants import INCH, PSF
from trade.doors.rows import near

NA = Code.NOT_AVAILABLE


ARRANGEMENTS = [
    ((8, 6, 34, 4), "pair", "leaves 62 in to stand clear"),
    ((6, 8, 34, 4), "pair", "leaves 62 in to stand clear"),
    ((8, 6, 34, 3), "pair", "the cavity holds the handles"),
    ((8, 6, 34, 2.9), "single", "handles and stops need 3 in between two doors, the cavity is 2.9 in"),
    (("58 in", "38 in", 34, 4), "pair", "leaves 24 in"),
    (("57 in", "38 in", 34, 4), "single", "needs a room of 58 in by 38 in, this one is 57 in by 38 in"),
    (("58 in", "37 in", 34, 4), "single", "needs a room of 58 in by 38 in, this one is 58 in by 37 in"),
    ((4, 3, 34, 2), "single", "; handles and stops need"),
    ((8, 6, 30, 4), "pair", "a leaf under 34 in is narrow for a way out: check the local code"),
    ((8, 6, 50, 4), "pair", "a leaf over 48 in is wide for a way out: check the local code"),
]


@pytest.mark.parametrize(("arguments", "arrangement", "why"), ARRANGEMENTS)
def test_door_arrangement(arguments, arrangement, why):
    ((answer, reason),) = catalogue.call("DOORARRANGEMENT", *arguments)
    assert answer == arrangement
    assert why in reason


def test_arrangement_of_a_schedule_and_of_a_metric_room():
    answer = catalogue.call("DOORARRANGEMENT", [[8], [4]], [[6], [3]], 34, 4)
    assert [row[0] for row in answer] == ["pair", "single"]
    ((answer, reason),) = catalogue.call("DOORARRANGEMENT", 1.2, 1, 900, 100, None, None, "SI")
    assert answer == "single" and "this one is 1200 mm by 1000 mm" in reason


def test_the_arrangement_is_what_the_target_takes():
    arrangement = catalogue.call("DOORARRANGEMENT", 4, 3, 36, 2)[0][0]
    assert catalogue.call("DOORTARGETMASS", 4.4, 36, 80, arrangement) == near(176)


def test_a_blank_cavity():
    answer = catalogue.call("DOORARRANGEMENT", 8, 6, 34, None)
    assert answer.code == NA and "cavity is blank" in answer.reason


def test_the_isolation_of_both_arrangements_is_told():
    ((answer, reason),) = catalogue.call("DOORARRANGEMENT", 8, 6, 36, 8, 4.4)
    assert answer == "pair"
    assert "predicted for the doors, a pair STC 43, a single one STC 32" in reason
    ((answer, reason),) = catalogue.call("DOORARRANGEMENT", 4, 3, 36, 8, 4.4)
    assert answer == "single"
    assert reason.endswith("seal the single door well, it is the weak point")


def test_the_ratings_of_both_arrangements_follow_the_door_and_sound_lock_formulas():
    slab = "Solid-core door slab 1-3/4 in"
    leaf = catalogue.call("DOORTL", [[slab, None, None, 4.4]], 36, 80, None, 0.98)[0]
    heavy = catalogue.call("DOORTL", [[slab, None, None, 8.8]], 36, 80, None, 0.98)[0]
    between = 2 * (36 + 80) * 8 / 144 * 0.5
    lock = [min(catalogue.call("SOUNDLOCKTL", loss, loss, 20, between), loss + 15) for loss in leaf]
    pair, single = door_ratings((4.4 * PSF,), 36 * INCH, 8 * INCH, 0.98)
    assert pair == catalogue.call("STCRATING", lock)
    assert single == catalogue.call("STCRATING", heavy)
