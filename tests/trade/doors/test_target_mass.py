"""What a door must weigh, what it weighs, and what it lacks."""

import pytest

from stillbook import catalogue
from stillbook.cells import Code, ErrorValue
from stillbook.trade.doors.target_mass import door_target_mass
from trade.doors.rows import near

NA, VALUE, NUM = Code.NOT_AVAILABLE, Code.VALUE, Code.NUMBER


TARGETS = [
    ((4.4, 36, 80), 88),
    ((4.4, 36, 80, "pair"), 88),
    ((4.4, 36, 80, "Single"), 176),
    ((4.4, 36, 80, None, 0.1), 96.8),
    ((4.4, 36, 80, "single", "10%"), 193.6),
    ((4.4, "3'-0\"", "6'-8\""), 88),
    (("4.4 lb/ft²", "914.4 mm", "2032 mm"), 88),
    # A range of two is the two sides: alike gives one, unlike gives two, and a single door carries the sum.
    (([[4.4, 4.4]], 36, 80), 88),
    (([[4.4], [4.4]], 36, 80), 88),
    (([[4.4, 5.0]], 36, 80), [[88, 100]]),
    (([[4.4], [5.0]], 36, 80), [[88, 100]]),
    (([[4.4, 5.0]], 36, 80, "single"), 188),
    (([4.4, 5.0], 36, 80), [[88, 100]]),
    (([[2.2 + 2.2, 4.4000000000001]], 36, 80), 88),
    # A range of sizes or of choices gives an answer in each place.
    ((4.4, [[36], [18]], 80), [[88], [44]]),
    ((4.4, [[36, 18]], 80), [[88, 44]]),
    ((4.4, 36, 80, [["pair"], ["single"]]), [[88], [176]]),
    # A schedule: a row a door.
    (([[4.4], [5.0]], [[36], [18]], 80), [[88], [50]]),
    (([[4.4], [5.0]], [[36], [18]], 80, "single"), [[176], [100]]),
    (([[4.4], [5.0], [6.0]], 36, 80), [[88], [100], [120]]),
    (([[4.4, 5.0], [4.4, 4.4]], 36, 80), [[88, 100], [88, ""]]),
    (([[4.4, 5.0], [4.4, 6.0]], [[36], [18]], 80), [[88, 100], [44, 60]]),
    (([[4.4, 5.0], [4.4, 5.0]], 36, 80, [["single"], ["pair"]]), [[188, ""], [88, 100]]),
    (([[4.4, 5.0], [4.4, 5.0]], 36, 80, "single"), [[188], [188]]),
    (([[4.4, 5.0]], [[36], [18]], 80), [[88, 100], [44, 50]]),
]


@pytest.mark.parametrize(("arguments", "expected"), TARGETS)
def test_target_mass(arguments, expected):
    assert catalogue.call("DOORTARGETMASS", *arguments) == near(expected)


def test_target_mass_in_a_metric_workbook():
    assert catalogue.call("DOORTARGETMASS", 20, 900, 2000, "pair", 0, "SI") == near(36)
    assert catalogue.call("DOORTARGETMASS", [[20, 25]], 900, 2000, "pair", 0, "SI") == near([[36, 45]])


def test_target_mass_from_python():
    assert door_target_mass((20.0,), 0.9, 2.0) == (pytest.approx(36),)
    assert door_target_mass((20.0, 25.0), 0.9, 2.0, "single") == (pytest.approx(81),)


TARGET_ERRORS = [
    (("88 lb", 36, 80), VALUE, 'side masses: "88 lb" is a mass where a mass per area is needed (lb/ft² or kg/m²)'),
    (([["4.4", "88 lb"]], 36, 80), VALUE, "is a mass where a mass per area is needed"),
    ((None, 36, 80), NA, "side masses is blank"),
    (([[4.4, None]], 36, 80), NA, "side masses, value 2 is blank: give a mass per area in lb/ft²"),
    (([[4.4, 5, 6]], 36, 80), VALUE, "side masses has 3 values: give at most 2"),
    ((0, 36, 80), NUM, "side masses is 0 lb/ft²: give more than 0"),
    ((4.4, 3, 80), NUM, "width is 3 in: give at least 10 in and at most 240 in"),
    ((4.4, 36, 7), NUM, "height is 7 in: give at least 10 in"),
    ((4.4, 36, 0), NUM, "height is 0 in"),
    ((4.4, 36, None), NA, "height is blank"),
    ((4.4, 36, 80, "double"), VALUE, 'arrangement "double" is not known: give one of "pair", "single"'),
    ((4.4, 36, 80, "pair", 10), NUM, "margin is 10: give at least 0 and at most 1"),
    ((4.4, 36, 80, "pair", -0.1), NUM, "margin is -0.1"),
    (([[4.4], [5.0], [6.0]], [[36], [18]], 80), VALUE, "the ranges differ in size: side masses 3 × 1, width 2 × 1"),
    ((ErrorValue(Code.DIVISION), 36, 80), Code.DIVISION, "side masses comes from a cell that holds #DIV/0!"),
]


@pytest.mark.parametrize(("arguments", "code", "reason"), TARGET_ERRORS)
def test_a_target_that_cannot_be_given(arguments, code, reason):
    answer = catalogue.call("DOORTARGETMASS", *arguments)
    assert isinstance(answer, ErrorValue)
    assert answer.code == code and reason in answer.reason


def test_one_wrong_row_in_a_schedule_spoils_no_other():
    answer = catalogue.call("DOORTARGETMASS", [[4.4, 5.0], [4.4, "88 lb"], [4.4, None]], [[36], [36], [36]], 80)
    assert answer[0] == near([[88, 100]])[0]
    assert [cell.code for cell in answer[1] + answer[2]] == [VALUE, VALUE, NA, NA]


def test_a_schedule_of_many_doors():
    answer = catalogue.call("DOORTARGETMASS", [[4.4, 5.0]] * 2000, [[36]] * 2000, [[80]] * 2000)
    assert answer == [near([[88, 100]])[0]] * 2000


MASSES = [
    ((60, None, 36, 80), 60),
    ((60, "", 36, 80), 60),
    ((60, [[None, None], ["", None]], 36, 80), 60),
    ((60, "1.4 lb/ft²", 36, 80), 88),
    ((60, 1.4, 36, 80), 88),
    ((60, [["Gypsum board 5/8 in type X", None, 2]], 36, 80), 148),
    (([[60], [100]], 1.4, [[36], [18]], 80), [[88], [114]]),
    (("27.2155422 kg", 1.4, "914.4 mm", 80), 88),
]


@pytest.mark.parametrize(("arguments", "expected"), MASSES)
def test_door_mass(arguments, expected):
    assert catalogue.call("DOORMASS", *arguments) == near(expected)


@pytest.mark.parametrize(
    ("arguments", "code", "reason"),
    [
        ((60, "28 lb", 36, 80), VALUE, '"28 lb" is a mass where a mass per area is needed'),
        (("3 lb/ft²", 1.4, 36, 80), VALUE, 'slab mass: "3 lb/ft²" is a mass per area where a mass is needed'),
        ((None, 1.4, 36, 80), NA, "slab mass is blank"),
        ((0, 1.4, 36, 80), NUM, "slab mass is 0 lb: give more than 0 lb"),
        ((60, None, None, 80), NA, "width is blank"),
    ],
)
def test_a_door_mass_that_cannot_be_given(arguments, code, reason):
    answer = catalogue.call("DOORMASS", *arguments)
    assert answer.code == code and reason in answer.reason


ADDED = [
    ((88, 60), 28),
    ((176, 60), 116),
    ((88, 60, 36, 80), [[28, 1.4]]),
    ((60, 88), 0),
    ((60, 60), 0),
    (([[88], [176], [50]], 60), [[28], [116], [0]]),
    (([[88], [176]], 60, 36, 80), [[28, 1.4], [116, 5.8]]),
    (([[88], [176]], 60, [[36], [None]], [[80], [None]]), [[28, 1.4], [116, ""]]),
    (("40 kg", "30 kg", None, None, "SI"), 10),
]


@pytest.mark.parametrize(("arguments", "expected"), ADDED)
def test_added_mass(arguments, expected):
    assert catalogue.call("ADDEDMASS", *arguments) == near(expected)


@pytest.mark.parametrize(
    ("arguments", "code", "reason"),
    [
        (("4.4 psf", 60), VALUE, '"4.4 psf" is a mass per area where a mass is needed (lb or kg)'),
        ((88, None), NA, "slab mass is blank"),
        ((88, 60, 36), NA, "width and height go together"),
        ((88, 60, None, 80), NA, "width and height go together"),
    ],
)
def test_an_added_mass_that_cannot_be_given(arguments, code, reason):
    answer = catalogue.call("ADDEDMASS", *arguments)
    assert answer.code == code and reason in answer.reason
