"""Through the wall: level differences, the quiet room, outside, and the isolation a target needs."""

import pytest

from stillbook import catalogue
from stillbook.cells import Code

LOUD = catalogue.call("SOURCELEVELS", "speech loud")[0]


def test_the_loss_required_keeps_the_target():
    required = catalogue.call("REQUIREDTL", LOUD, 20, "12 m²", "8 m²")
    inside = catalogue.call("QUIETLEVEL", [LOUD], required, "12 m²", "8 m²")
    # At 63 Hz the source is below the curve already, and no room is louder than the one its sound comes from.
    assert inside[0] == pytest.approx(list(map(min, catalogue.call("NCCURVE", 20)[0], LOUD)))
    assert catalogue.call("NCRATING", inside) == pytest.approx(20, abs=1e-6)


@pytest.mark.parametrize("position", ["in the room", "near the wall"])
def test_no_room_is_louder_than_the_one_its_sound_comes_from(position):
    """A weak door in a large wall of a hard room: 8 - 10 log(100 / 2) would make it 9 dB louder."""
    assert catalogue.call("NOISEREDUCTION", 8, "100 m²", "2 m²", position) == 0
    assert catalogue.call("QUIETLEVEL", 80, 8, "100 m²", "2 m²", position) == 80


def test_a_level_far_below_hearing_is_given_as_the_least():
    assert catalogue.call("QUIETLEVEL", 20, 100, "1 m²", "10 m²") == -50
    assert catalogue.call("OUTSIDELEVEL", 20, 100, "1 m²", "10 m") == -50


def test_other_noise_leaves_less_room():
    alone = catalogue.call("REQUIREDTL", LOUD, 20, "12 m²", "8 m²")[0]
    air = catalogue.call("NCCURVE", 17)[0]
    shared = catalogue.call("REQUIREDTL", LOUD, 20, "12 m²", "8 m²", air)[0]
    assert all(more > less for more, less in zip(shared, alone, strict=True))


def test_absorption_by_octave():
    even = catalogue.call("REQUIREDTL", LOUD, 20, "12 m²", ["8 m²"] * 8)
    assert even == catalogue.call("REQUIREDTL", LOUD, 20, "12 m²", "8 m²")


def test_twice_the_absorption_is_three_decibels():
    one, two = (catalogue.call("NOISEREDUCTION", 40, "10 m²", absorption) for absorption in ("10 m²", "20 m²"))
    assert (one, two) == pytest.approx((40, 43.01), abs=0.01)


def test_near_the_wall_is_louder():
    away, near = (
        catalogue.call("QUIETLEVEL", 90, 40, "10 m²", "20 m²", position)
        for position in ("in the room", "near the wall")
    )
    assert near > away


OUTSIDE = [(0.5, 44.0), (1.2616, 44.0), (2.5231, 37.98), (5, 32.04), (10, 26.02)]


@pytest.mark.parametrize(("distance", "level"), OUTSIDE)
def test_outside(distance, level):
    assert catalogue.call("OUTSIDELEVEL", 100, 50, "10 m²", f"{distance} m") == pytest.approx(level, abs=0.01)


REFUSED = [
    (("REQUIREDTL", LOUD, 10, "12 m²", "8 m²"), Code.NUMBER, "at least 15"),
    (("REQUIREDTL", LOUD, 20, "12 m²", "8 m²", catalogue.call("NCCURVE", 20)[0]), Code.NUMBER, "at 63 Hz"),
    (("REQUIREDTL", LOUD[:6], 20, "12 m²", "8 m²"), Code.VALUE, "has 6 values"),
    (("NOISEREDUCTION", 40, "10 m²", 0), Code.NUMBER, "absorption is 0"),
    (("OUTSIDELEVEL", 100, 50, "10 m²", 0), Code.NUMBER, "distance is 0"),
]


@pytest.mark.parametrize(("call", "code", "reason"), REFUSED)
def test_what_is_refused(call, code, reason):
    answer = catalogue.call(*call)
    assert answer.code is code
    assert reason in answer.reason
