"""Composite walls, paths, sound locks and linings."""

import pytest

from stillbook import catalogue
from stillbook.cells import Code

COMPOSITES = [
    (([[10]], [[40]]), [[40.0]]),
    (([[10], [10]], [[40], [40]]), [[40.0]]),
    (([[10, 10]], [[40, 40]]), [[40.0]]),
    (([[9], [1]], [[40, 50], [20, 20]]), [[29.63, 29.96]]),
    (([[1], [0]], [[40], [0]]), [[40.0]]),
]


@pytest.mark.parametrize(("arguments", "expected"), COMPOSITES)
def test_composites(arguments, expected):
    assert catalogue.call("COMPOSITETL", *arguments)[0] == pytest.approx(expected[0], abs=0.01)


def test_the_shares_of_all_elements_are_the_whole():
    areas, losses = [[148], [12], [0.5]], [[45], [25], [10]]
    whole = catalogue.call("COMPOSITETL", areas, losses)[0][0]
    shares = [row[0] for row in catalogue.call("PASSEDSHARE", areas, losses, 160.5, whole)]
    assert sum(shares) == pytest.approx(1)
    assert shares[2] == max(shares)


PATHS = [
    ([[60], [60]], [56.99]),
    ([[60, 60]], [56.99]),
    ([[60, 40], [60, 60], [60, 60]], [55.23, 39.91]),
    ([[60]], [60.0]),
]


@pytest.mark.parametrize(("paths", "expected"), PATHS)
def test_paths_add(paths, expected):
    assert catalogue.call("TOTALTL", paths)[0] == pytest.approx(expected, abs=0.01)


def test_flanking_caps_a_wall():
    for wall in (50, 60, 80):
        assert catalogue.call("TOTALTL", [[wall], [55]])[0][0] < 55


def test_a_sound_lock_is_worth_its_absorption():
    hard, soft = (catalogue.call("SOUNDLOCKTL", 20, 20, "2 m²", absorption) for absorption in ("0.2 m²", "2 m²"))
    assert (hard, soft) == pytest.approx((30, 40))
    bare = catalogue.call("SOUNDLOCKTL", [[20, 5, 0]], [[18, 5, 0]], "2 m²", "0.02 m²")
    assert bare == [[20, 5, 0]], "the space between them takes nothing from the better one"
    assert catalogue.call("SOUNDLOCKTL", [[20, 30]], 20, "2 m²", "2 m²")[0] == pytest.approx([40, 50])


# Resonance of the lining by the cavity: 50 mm 74 Hz, 10 mm 166 Hz, 6 mm 215 Hz, 2 mm 372 Hz, 0.2 mm 1178 Hz, 0.02 mm.
LININGS = [("50 mm", 12.5), ("10 mm", 5.5), ("6 mm", -1.0), ("2 mm", -7.0), ("0.2 mm", -10.0), ("0.02 mm", -5.0)]


@pytest.mark.parametrize(("depth", "gain"), LININGS)
def test_a_lining_close_to_the_wall_makes_it_worse(depth, gain):
    found = catalogue.call("LININGGAIN", "240 kg/m²", "10.7 kg/m²", depth, 49)
    assert found == pytest.approx(gain, abs=0.06)


REFUSED = [
    (("COMPOSITETL", [[1], [2]], [[40], [30], [20]]), Code.VALUE, "3 rows for 2 areas"),
    (("COMPOSITETL", [[0], [0]], [[40], [30]]), Code.NUMBER, "add up to 0"),
    (("COMPOSITETL", [[1], [2]], [[40], [None]]), Code.NOT_AVAILABLE, "row 2, column 1"),
    (("COMPOSITETL", [[1], [2]], [[40, 40], [40, "x"]]), Code.VALUE, "row 2, column 2"),
    (("TOTALTL", [[None]]), Code.NOT_AVAILABLE, "blank"),
    (("SOUNDLOCKTL", 20, 20, "2 m²", 0), Code.NUMBER, "absorption is 0"),
    (("LININGGAIN", 49, 2.2, 2, 70), Code.NUMBER, "at most 60"),
    (("LININGGAIN", "240 kg/m²", "0.1 kg/m²", "0.001 mm", 49), Code.NUMBER, "5000 Hz"),
]


@pytest.mark.parametrize(("call", "code", "reason"), REFUSED)
def test_what_is_refused(call, code, reason):
    answer = catalogue.call(*call)
    assert answer.code is code
    assert reason in answer.reason
