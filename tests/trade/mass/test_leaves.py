"""Reading of leaves: rows of material, thickness and count."""

import pytest

from stillbook import catalogue
from stillbook.cells import Code, ErrorValue

NA, VALUE, NUM = Code.NOT_AVAILABLE, Code.VALUE, Code.NUMBER
BOARD = "Gypsum board 5/8 in type X"


LEAVES = [
    (BOARD, 2.2),
    ([[BOARD]], 2.2),
    ([[BOARD, None, 2]], 4.4),
    ([[BOARD, "", ""], [None, None, None], [BOARD, 0.625, 1]], 4.4),
    ([[BOARD, "15.875 mm", 2], ["Heavy limp sheet 1 lb/ft²", None, None]], 5.4),
    (2.2, 2.2),
    ("2.2", 2.2),
    ("2.2 psf", 2.2),
    ("10.7413408 kg/m²", 2.2),
    ([[2.2], [2.2]], 4.4),
    ([["45 lb/ft³", 0.8]], 3.0),
    ([["45 pcf", "0.8 in", 2]], 6.0),
    ([["Sand", 2]], 16.0),
    ([["Concrete", 4]], 48.0),
    # A board near its usual thickness is scaled; a product with its mass in its name is not.
    ([["Plywood 3/4 in", 0.7]], 2.2 * 0.7 / 0.75),
    ([["Steel sheet 16 gauge", "1.5 mm"]], 2.5),
    ([["Hollow concrete masonry 8 in 125 pcf", 8]], 36.0),
    ([["Heavy limp sheet 1 lb/ft²", "1/8 in"]], 1.0),
]


@pytest.mark.parametrize(("leaf", "expected"), LEAVES)
def test_mass_per_area_of_a_leaf(leaf, expected):
    assert catalogue.call("SURFACEMASS", leaf) == pytest.approx(expected, rel=1e-9)


def test_a_metric_workbook():
    assert catalogue.call("SURFACEMASS", [["MDF", 18, 2]], "SI") == pytest.approx(27.0, rel=1e-12)
    assert catalogue.call("SURFACEMASS", 10, "SI") == pytest.approx(10.0, rel=1e-12)
    assert catalogue.call("BUILDUPTHICKNESS", [["MDF", 18, 2]], "SI") == pytest.approx(36.0, rel=1e-12)
    assert catalogue.call("TOTALMASS", 10, 3, "SI") == pytest.approx(30.0, rel=1e-12)
    assert catalogue.call("FLOORLOAD", 900, 3, 2, "SI") == pytest.approx(150.0, rel=1e-12)


ERRORS = [
    (None, NA, "leaf is blank"),
    ("", NA, "leaf is blank"),
    ([[None, None], ["", ""]], NA, "leaf is blank: give a material, and beside it its mass where unusual"),
    ([[None, 0.5]], NA, "leaf has no material"),
    ([[BOARD, None], [None, 0.5]], NA, "leaf, row 2 has no material"),
    ("Steel", NA, "Steel has no usual thickness: give one beside the name (in)"),
    ("45 pcf", NA, '"45 pcf" is a density: give the thickness beside it (in)'),
    ("88 lb", VALUE, '"88 lb" is a mass where a mass per area is needed (lb/ft² or kg/m²)'),
    ("40 kg", VALUE, "is a mass where a mass per area is needed"),
    ([[BOARD], ["88 lb"]], VALUE, 'leaf, row 2: "88 lb" is a mass where a mass per area is needed'),
    ("5/8 in", VALUE, "is a length where a mass per area is needed"),
    ("green 5/8 in gypsum board", VALUE, f'did you mean "{BOARD}"?'),
    ("Gypsum bord 5/8", VALUE, f'"Gypsum bord 5/8" is not in the table: did you mean "{BOARD}"'),
    ("Unobtainium", VALUE, "give a name from STILL_MATERIALS"),
    ("  ", VALUE, "is not in the table"),
    (True, VALUE, "leaf is TRUE"),
    ([[BOARD, None, 1, 7, 1]], VALUE, "leaf has 5 columns: give material, thickness, count and mass per area"),
    ([[7, None, 1, 7]], VALUE, "has a mass beside a material not in the table"),
    ([["Unobtainium", 1, 1, 7]], VALUE, "has a mass beside a material not in the table"),
    ([[BOARD, None, 1, 200]], NUM, "denser than lead"),
    ([[BOARD, "2 lb"]], VALUE, 'leaf, thickness: "2 lb" is a mass where a length is needed'),
    ([[BOARD, None, "two"]], VALUE, "leaf, count"),
    (0, NUM, "leaf is 0 lb/ft²: give more than 0"),
    (-2.2, NUM, "leaf is -2.2 lb/ft²"),
    ("-2.2 psf", NUM, "leaf is -2.2 lb/ft²"),
    ("9999 psf", NUM, "at most 614.4 lb/ft²"),
    ([[BOARD, 0]], NUM, "leaf, thickness is 0 in: give more than 0 in"),
    ([[BOARD, None, 0]], NUM, "leaf, count is 0: give a whole number at least 1"),
    ([[BOARD, None, 1.5]], NUM, "leaf, count is 1.5: give a whole number"),
    # The thickness of another product beside a name: the name or the thickness is wrong.
    ([["Plywood 3/4 in", 0.5]], NUM, 'is 0.75 in thick, not 0.5 in: leave the thickness blank, or give "Plywood" with'),
    (
        [["Steel sheet 16 gauge", "2 mm"]],
        NUM,
        'is 0.0598 in thick, not 0.07874 in: leave the thickness blank, or give "S',
    ),
    ([["Mineral wool batt 3 in", 6]], NUM, 'or give its density "2.497 lb/ft³" with the thickness'),
    ([["Hollow concrete masonry 8 in 125 pcf", 6]], NUM, 'or give "Hollow concrete masonry" with the thickness'),
    ([["Ceramic tile on mortar 3/4 in", 2]], NUM, "or give the product that has this thickness"),
    # A density typed without its unit would pass as a mass per area.
    ([[45, 0.75]], NUM, "leaf is 45 lb/ft² in 0.75 in, denser than lead: check both; a density needs its unit"),
    (ErrorValue(Code.REFERENCE), Code.REFERENCE, "leaf comes from a cell that holds #REF!"),
]


@pytest.mark.parametrize(("leaf", "code", "reason"), ERRORS)
def test_a_leaf_that_cannot_be_read(leaf, code, reason):
    answer = catalogue.call("SURFACEMASS", leaf)
    assert isinstance(answer, ErrorValue)
    assert answer.code == code
    assert reason in answer.reason


@pytest.mark.parametrize("formula", ["SURFACEMASS", "BUILDUPTHICKNESS", "TOTALMASS"])
def test_a_total_mass_never_passes_for_a_leaf(formula):
    answer = catalogue.call(formula, "88 lb", *([20] if formula == "TOTALMASS" else []))
    assert answer.code == VALUE
    assert "is a mass where a mass per area is needed" in answer.reason
