"""The Mass formulas: thickness of a leaf, total mass, load on the floor."""

import pytest

from stillbook import catalogue
from stillbook.cells import Code

NA, VALUE, NUM = Code.NOT_AVAILABLE, Code.VALUE, Code.NUMBER
BOARD = "Gypsum board 5/8 in type X"


THICKNESSES = [
    (BOARD, 0.625),
    ([[BOARD, None, 2]], 1.25),
    ([[BOARD], ["MDF", 0.75], ["2 psf", "1/8 in"]], 1.5),
    ([["Hollow concrete masonry 8 in 125 pcf"]], 7.625),
]


@pytest.mark.parametrize(("leaf", "inches"), THICKNESSES)
def test_thickness_of_a_leaf(leaf, inches):
    assert catalogue.call("BUILDUPTHICKNESS", leaf) == pytest.approx(inches, rel=1e-9)


@pytest.mark.parametrize(
    ("leaf", "reason"),
    [
        ("2.2 psf", 'layer 1 ("2.2 psf") of the leaf has no thickness'),
        ([[BOARD], [2.2]], "layer 2 of the leaf has no thickness: give it beside the material"),
    ],
)
def test_a_layer_without_thickness(leaf, reason):
    answer = catalogue.call("BUILDUPTHICKNESS", leaf)
    assert answer.code == NA and reason in answer.reason


def test_total_mass_takes_a_range_of_areas():
    answer = catalogue.call("TOTALMASS", [[BOARD, None, 2]], [[10], [20], [None]])
    assert answer[:2] == [[pytest.approx(44, rel=1e-12)], [pytest.approx(88, rel=1e-12)]]
    assert answer[2][0].code == NA and "area is blank" in answer[2][0].reason


@pytest.mark.parametrize(
    ("arguments", "code", "reason"),
    [
        (("41 psf", 7, 5), VALUE, '"41 psf" is a mass per area where a mass is needed (lb or kg)'),
        ((1443, 0, 5), NUM, "length is 0 ft: give more than 0 ft"),
        ((1443, 7, None), NA, "width is blank"),
        ((0, 7, 5), NUM, "mass is 0 lb: give more than 0 lb"),
    ],
)
def test_a_floor_load_that_cannot_be_given(arguments, code, reason):
    answer = catalogue.call("FLOORLOAD", *arguments)
    assert answer.code == code and reason in answer.reason
