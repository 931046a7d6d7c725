"""Sound of fans: the octave of the blades, the working point, and questions without an answer."""

import math

import pytest

from stillbook.catalogue import call, find
from stillbook.cells import Code
from stillbook.trade.quiet_path.fan_sound import FAN_TYPES


@pytest.mark.parametrize(
    ("arguments", "code", "reason"),
    [
        ((120, 0.3, "fan"), Code.VALUE, 'give one of "backward inclined"'),
        ((120, None, "propeller"), Code.NOT_AVAILABLE, "pressure is blank"),
        ((120, 0, "propeller"), Code.NUMBER, "pressure is 0 in.wg"),
        ((120, 0.3, "propeller", 1.1), Code.NUMBER, "give more than 0 and at most 1"),
        ((120, 0.3, "propeller", 0.4), Code.NUMBER, "below half of its best efficiency no figure is published"),
    ],
)
def test_reasons(arguments, code, reason):
    answer = call("FANSOUND", *arguments)
    first = answer[0][0] if isinstance(answer, list) else answer
    assert first.code == code
    assert reason in first.reason


@pytest.mark.parametrize("fan_type", FAN_TYPES)
@pytest.mark.parametrize(
    ("share", "added"), [(1, 0), (0.9, 0), (0.89, 3), (0.85, 3), (0.8, 6), (0.7, 9), (0.6, 12), (0.5, 15)]
)
def test_a_fan_away_from_its_best_point_is_louder(fan_type, share, added):
    best = call("FANSOUND", 120, 0.3, fan_type)[0]
    assert call("FANSOUND", 120, 0.3, fan_type, share)[0] == pytest.approx([level + added for level in best])


@pytest.mark.parametrize(
    ("blade_frequency", "octave"), [(88, 0), (89, 1), (176, 1), (177, 2), (1000, 4), (11313, 7), (20000, None)]
)
def test_the_blades_are_heard_in_their_octave(blade_frequency, octave):
    plain = call("FANSOUND", 120, 0.3, "tube axial")[0]
    added = [a - b for a, b in zip(call("FANSOUND", 120, 0.3, "tube axial", 1, blade_frequency)[0], plain, strict=True)]
    assert added == pytest.approx([7 if place == octave else 0 for place in range(8)])


def test_twice_the_air_against_four_times_the_pressure():
    """A fan on its own system at twice the speed: 10 log 2 + 20 log 4 = 15.05 dB, the 50 log 2 of the fan laws."""
    slow = call("FANSOUND", 60, 0.1, "forward curved")[0]
    fast = call("FANSOUND", 120, 0.4, "forward curved")[0]
    assert [a - b for a, b in zip(fast, slow, strict=True)] == pytest.approx([50 * math.log10(2)] * 8, abs=1e-6)
    assert call("FANSCALED", [slow], "sound", 2)[0] == pytest.approx(fast)


def test_the_notes_warn_of_small_fans():
    assert "order of" in find("FANSOUND").function.__doc__
    assert "magnitude" in find("FANSOUND").function.__doc__
