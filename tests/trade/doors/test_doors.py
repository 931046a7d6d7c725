"""The Doors formulas: targets, slabs, make-ups, gaps, hinges, swing and the choice of pair or single."""

import math

import pytest

from stillbook import catalogue
from stillbook.cells import Code, ErrorValue
from stillbook.trade.doors.doors import door_makeup, door_ratings, door_target_mass
from stillbook.trade.mass.build_ups import Layer
from stillbook.trade.physics.constants import INCH, PSF

NA, VALUE, NUM = Code.NOT_AVAILABLE, Code.VALUE, Code.NUMBER


def near(expected):
    """Rows of cells compared number by number."""
    if isinstance(expected, list):
        return [[cell if isinstance(cell, str) else pytest.approx(cell, rel=1e-9) for cell in row] for row in expected]
    return pytest.approx(expected, rel=1e-9)


# --- what a door must weigh -------------------------------------------------------------------------------------------

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


# --- slabs and what to add --------------------------------------------------------------------------------------------

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


# --- make-ups ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("shortfall", [5, 28, 60, 116, 200])
@pytest.mark.parametrize("most_thickness", [None, 0.5, 2])
def test_every_make_up_meets_the_shortfall_in_the_thickness(shortfall, most_thickness):
    heading, *rows = catalogue.call("DOORMAKEUP", shortfall, 36, 80, most_thickness)
    assert heading[:4] == ["Sheet", "Layers", "Added thickness (in)", "Added mass (lb)"]
    assert rows
    assert [row[2] for row in rows] == sorted((row[2] for row in rows), key=lambda thickness: round(thickness, 9))
    for sheet, layers, thickness, mass, above, caution in rows:
        assert 1 <= layers <= 4 and layers == int(layers)
        assert mass >= shortfall * (1 - 1e-9)
        assert above == pytest.approx(mass - shortfall, abs=1e-9)
        assert thickness <= (most_thickness or math.inf) * (1 + 1e-9)
        # One layer less would not do.
        assert mass * (layers - 1) / layers < shortfall
        # Built and weighed: the same as the sheets as a leaf over the door.
        assert catalogue.call("TOTALMASS", [[sheet, None, layers]], 20) == pytest.approx(mass, rel=1e-9)
        assert catalogue.call("BUILDUPTHICKNESS", [[sheet, None, layers]]) == pytest.approx(thickness, rel=1e-9)
        assert ("lead" in caution.lower()) == sheet.startswith("Lead")


def test_make_ups_of_the_trade_door():
    """A 60 lb slab of 36 × 80 in falls 28 lb short of a pair's 88 lb: 1.4 lb/ft² over 20 ft²."""
    found = {row[0]: row[1:5] for row in catalogue.call("DOORMAKEUP", 28, 36, 80)[1:]}
    assert found["Steel sheet 20 gauge"] == [1, *(pytest.approx(x, rel=1e-9) for x in (0.0359, 30)), pytest.approx(2)]
    assert found["Gypsum board 3/8 in"] == [1, pytest.approx(0.375), pytest.approx(28), pytest.approx(0, abs=1e-9)]
    assert found["Lead sheet 1/32 in"][0] == 1
    assert not any("code dead load" in name for name in found)


def test_a_product_in_several_thicknesses_is_listed_where_it_is_thinner_or_has_fewer_layers():
    gauges = [row for row in catalogue.call("DOORMAKEUP", 28, 36, 80)[1:] if row[0].startswith("Steel")]
    assert [(row[0], row[1]) for row in gauges] == [("Steel sheet 26 gauge", 2), ("Steel sheet 20 gauge", 1)]


def test_make_ups_of_named_materials():
    named = [["MDF", "3/4 in"], ["Plywood 3/4 in", None], [None, None], ["2 psf", 0.1], [1.5, 0.2]]
    rows = catalogue.call("DOORMAKEUP", 28, 36, 80, None, named)[1:]
    assert [row[:2] for row in rows] == [
        ["2 psf, 0.1 in", 1],
        ["Sheet of 1.5 lb/ft², 0.2 in", 1],
        ["Plywood 3/4 in", 1],
        ["MDF, 0.75 in", 1],
    ]
    lead = catalogue.call("DOORMAKEUP", 28, 36, 80, None, "lead")[1:]
    assert [row[0] for row in lead][:2] == ["Lead sheet 1/32 in", "Lead sheet 1/64 in"]
    own_lead = catalogue.call("DOORMAKEUP", 28, 36, 80, None, [["Lead", "1 mm"]])[1:]
    assert own_lead[0][0] == "Lead, 0.03937 in" and "gloves" in own_lead[0][5]


def test_nothing_to_make_up():
    assert catalogue.call("DOORMAKEUP", 0, 36, 80)[1:] == [["No sheet needed", 0, 0, 0, 0, ""]]


def test_a_metric_make_up():
    heading, *rows = catalogue.call("DOORMAKEUP", 12, 900, 2000, None, [["MDF 12 mm"]], "SI")
    assert heading[2:5] == ["Added thickness (mm)", "Added mass (kg)", "Above the shortfall (kg)"]
    assert rows == [["MDF 12 mm", 1, *(pytest.approx(x, rel=1e-9) for x in (12, 16.2, 4.2)), ""]]


def test_a_shortfall_just_met_takes_no_further_layer():
    """Three boards of 2 kg make up 6 kg, also where the float of the shortfall is a hair above it."""
    shortfall = 0.1 * 3 * 20
    assert shortfall > 6
    assert door_makeup(shortfall, 1.0, 2.0, None, (Layer("board", 1.0, 0.01),))[0][1] == 3


MAKEUP_ERRORS = [
    ((116, 36, 80, 0.1), NUM, "the thinnest make-up of 116 lb adds 0.125 in: allow that thickness, name denser sheets"),
    ((4000, 36, 80), NUM, "no sheet adds 4000 lb in 4 layers: name heavier sheets, or start from a heavier slab"),
    ((28, 36, 80, 0), NUM, "most thickness is 0 in"),
    (("1.4 psf", 36, 80), VALUE, "is a mass per area where a mass is needed"),
    ((-1, 36, 80), NUM, "shortfall is -1 lb: give at least 0 lb"),
    ((None, 36, 80), NA, "shortfall is blank"),
    ((28, 36, 80, None, "Steel"), NA, "materials: Steel has no usual thickness"),
    ((28, 36, 80, None, "2 psf"), NA, "materials has no thickness: give that of one sheet beside it (in)"),
    ((28, 36, 80, None, [["", None]]), NA, "materials is blank"),
    ((28, 36, 80, None, [["MDF 3/4 in", None, 2]]), VALUE, "materials has 3 columns: give material and thickness"),
    ((28, 36, 80, None, "Cheese"), VALUE, 'the material "Cheese" is not in the table'),
    (([[28], [116]], 36, 80), VALUE, "gives several cells for each input"),
]


@pytest.mark.parametrize(("arguments", "code", "reason"), MAKEUP_ERRORS)
def test_a_make_up_that_cannot_be_given(arguments, code, reason):
    answer = catalogue.call("DOORMAKEUP", *arguments)
    assert isinstance(answer, ErrorValue)
    assert answer.code == code and reason in answer.reason


# --- gaps, hinges, swing ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("arguments", "expected"),
    [
        ((36, 80, 0.125), 29),
        ((36, 80, "1/8 in", 0.9), 2.9),
        ((36, 80, 0.125, 1), 0),
        ((36, 80, [[0.125], [0.25]], "50%"), [[14.5], [29]]),
        ((900, 2000, 3, None, "SI"), 17400),
    ],
)
def test_door_leak(arguments, expected):
    assert catalogue.call("DOORLEAK", *arguments) == near(expected)


@pytest.mark.parametrize(
    ("arguments", "code", "reason"),
    [
        ((36, 80, 0), NUM, "gap is 0 in: give more than 0 in and at most 3 in"),
        ((36, 80, 0.125, 90), NUM, "share sealed is 90: give at least 0 and at most 1"),
    ],
)
def test_a_leak_that_cannot_be_given(arguments, code, reason):
    answer = catalogue.call("DOORLEAK", *arguments)
    assert answer.code == code and reason in answer.reason


@pytest.mark.parametrize(
    ("mass", "height", "number"),
    [
        (60, 80, 3),
        (176, 80, 3),
        (200, 80, 3),
        (200.1, 80, 4),
        (400, 80, 4),
        (401, 80, 5),
        (250, 96, 5),
        ("90 kg", "2 m", 3),
        ("91 kg", "2 m", 4),
    ],
)
def test_a_heavy_door_takes_more_hinges(mass, height, number):
    assert catalogue.call("HINGES", mass, height) == number


def test_hinges_of_a_schedule():
    assert catalogue.call("HINGES", [[60], [250]], [[60], [61]]) == [[2], [4]]


def test_hinge_load():
    pull, share = catalogue.call("HINGELOAD", 100, 36, 82.5, 4)[0]
    assert pull == near(100 * 18 / 60)
    assert share == near(25)
    pull, share = catalogue.call("HINGELOAD", "100 kg", "1 m", "2.5715 m", 2, "SI")[0]
    assert (pull, share) == (near(100 * 9.80665 / 4), near(490.3325))
    assert catalogue.call("HINGELOAD", [[100], [200]], 36, 82.5, 4) == near([[30, 25], [60, 50]])


@pytest.mark.parametrize(
    ("arguments", "code", "reason"),
    [
        (
            (88, 36, 20, 2),
            NUM,
            "height is 20 in: hinges 7 in below the head and 11 in above the floor need at least 27 in",
        ),
        ((88, 36, 80, 1), NUM, "hinges is 1: give a whole number at least 2"),
        ((88, 36, 80, 2.5), NUM, "hinges is 2.5: give a whole number"),
        (("4.4 psf", 36, 80, 3), VALUE, "is a mass per area where a mass is needed"),
    ],
)
def test_a_hinge_load_that_cannot_be_given(arguments, code, reason):
    answer = catalogue.call("HINGELOAD", *arguments)
    assert answer.code == code and reason in answer.reason


@pytest.mark.parametrize(
    ("arguments", "expected"),
    [((36,), math.pi * 9 / 4), ((36, 180), math.pi * 9 / 2), ((36, "60 deg"), math.pi * 9 / 6), ((24, 90), math.pi)],
)
def test_swing_area(arguments, expected):
    assert catalogue.call("SWINGAREA", *arguments) == near(expected)


# --- pair or single ---------------------------------------------------------------------------------------------------

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
    assert "predicted for the doors, a pair STC 50, a single one STC 36" in reason
    ((answer, reason),) = catalogue.call("DOORARRANGEMENT", 4, 3, 36, 8, 4.4)
    assert answer == "single"
    assert reason.endswith("seal the single door well, it is the weak point")


def test_the_ratings_of_both_arrangements_follow_the_door_and_sound_lock_formulas():
    leaf = catalogue.call("DOORTL", 4.4, 36, 80, None, 0.98)[0]
    heavy = catalogue.call("DOORTL", 8.8, 36, 80, None, 0.98)[0]
    between = 2 * (36 + 80) * 8 / 144 * 0.5
    lock = [min(catalogue.call("SOUNDLOCKTL", loss, loss, 20, between), loss + 15) for loss in leaf]
    pair, single = door_ratings((4.4 * PSF,), 36 * INCH, 8 * INCH, 0.98)
    assert pair == catalogue.call("STCRATING", lock)
    assert single == catalogue.call("STCRATING", heavy)
