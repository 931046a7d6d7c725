"""Sheets that make up what a door lacks."""

import math

import pytest

from stillbook import catalogue
from stillbook.cells import Code, ErrorValue
from stillbook.trade.doors.make_up import door_makeup
from stillbook.trade.mass.leaves import Layer

NA, VALUE, NUM = Code.NOT_AVAILABLE, Code.VALUE, Code.NUMBER


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
