"""The material table, reading of build-ups, and the Mass formulas."""

import csv
from decimal import Decimal
from importlib.resources import files

import pytest

from stillbook import catalogue
from stillbook.cells import Code, ErrorValue
from stillbook.trade.mass.build_ups import material_groups, material_key, materials, sheets_of

PSF = 0.45359237 / 0.3048**2
NA, VALUE, NUM = Code.NOT_AVAILABLE, Code.VALUE, Code.NUMBER
BOARD = "Gypsum board 5/8 in type X"


def material_rows():
    text = files("stillbook").joinpath("data/materials.csv").read_text("utf-8")
    return list(csv.DictReader(text.splitlines(), strict=True))


# --- the table --------------------------------------------------------------------------------------------------------


def test_the_table_is_long_enough_and_every_name_is_its_own():
    assert len(material_rows()) == len(materials()) >= 90
    assert all("," not in row["material"] and len(row["material"]) <= 60 for row in material_rows())


@pytest.mark.parametrize("row", material_rows(), ids=lambda row: row["material"])
def test_a_row_of_the_table_holds_together(row):
    """Mass per area is density times thickness within the printed digits of the density; plain substances have none."""
    assert row["source"] and row["confidence"] and row["scales"] in ("yes", "no")
    assert row["confidence"] != "memory" and "seen (" not in row["confidence"]
    density = float(row["density_kg_m3"])
    assert 5 < density < 11_500
    assert bool(row["thickness_mm"]) == bool(row["surface_mass_kg_m2"])
    if row["thickness_mm"]:
        half_digit = 0.5 * 10.0 ** int(Decimal(row["density_kg_m3"]).as_tuple().exponent)
        thickness = float(row["thickness_mm"]) / 1000
        expected = pytest.approx(density * thickness, rel=1e-12, abs=half_digit * thickness)
        assert float(row["surface_mass_kg_m2"]) == expected


def test_groups():
    assert material_groups() == (
        "Gypsum board",
        "Wood panel",
        "Limp sheet",
        "Lead",
        "Metal sheet",
        "Glass",
        "Concrete and masonry",
        "Timber",
        "Floor",
        "Door",
        "Wool",
        "Duct board",
        "Code dead load",
        "Other",
    )
    assert [sheet.name for sheet in sheets_of("LEAD")] == [f"Lead sheet 1/{n} in" for n in (64, 32, 16, 8, 4)]
    assert sheets_of("Cheese") == ()


@pytest.mark.parametrize(
    ("spelling", "name"),
    [
        ("gypsum board, 5/8 in, type x", BOARD),
        ('Gypsum Board 5/8" type X', BOARD),
        ("Aluminum sheet 3.2 mm", "Aluminium sheet 3.2 mm"),
        ("heavy limp sheet 1 lb/ft2", "Heavy limp sheet 1 lb/ft²"),
        ("  MDF   3/4 in ", "MDF 3/4 in"),
        ("Glass fiber 3 pcf", "Glass fibre 3 pcf"),
        ("plywood 3⁄4 in", "Plywood 3/4 in"),
    ],
)
def test_spellings_of_a_name(spelling, name):
    assert materials()[material_key(spelling)].name == name


# --- build-ups --------------------------------------------------------------------------------------------------------

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
    ([[None, None], ["", ""]], NA, "leaf is blank: give a material, or a mass per area in lb/ft²"),
    ([[None, 0.5]], NA, "leaf has no material"),
    ([[BOARD, None], [None, 0.5]], NA, "leaf, row 2 has no material"),
    ("Steel", NA, "Steel has no usual thickness: give one beside the name (in)"),
    ("45 pcf", NA, '"45 pcf" is a density: give the thickness beside it (in)'),
    ("88 lb", VALUE, '"88 lb" is a mass where a mass per area is needed (lb/ft² or kg/m²)'),
    ("40 kg", VALUE, "is a mass where a mass per area is needed"),
    ([[BOARD], ["88 lb"]], VALUE, 'leaf, row 2: "88 lb" is a mass where a mass per area is needed'),
    ("5/8 in", VALUE, "is a length where a mass per area is needed"),
    ("5/8 in gypsum board", VALUE, f'did you mean "{BOARD}"'),
    ("Gypsum bord 5/8", VALUE, f'"Gypsum bord 5/8" is not in the table: did you mean "{BOARD}"'),
    ("Unobtainium", VALUE, "give a name from STILL_MATERIALS, or a mass per area"),
    ("  ", VALUE, "is not in the table"),
    (True, VALUE, "leaf is TRUE"),
    ([[BOARD, None, 1, 7]], VALUE, "leaf has 4 columns: give material, thickness and count"),
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
    ([["Hollow concrete masonry 8 in 125 pcf", 6]], NUM, "or give the product that has this thickness"),
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


# --- the other formulas -----------------------------------------------------------------------------------------------

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


def test_the_list_of_materials():
    everything = catalogue.call("MATERIALS")
    assert len(everything) == len(materials()) + 1
    lead = catalogue.call("MATERIALS", "lead")
    assert [row[0] for row in lead[1:]] == [f"Lead sheet 1/{n} in" for n in (64, 32, 16, 8, 4)] + ["Lead"]
    assert lead[1][2] == pytest.approx(1 / 64, rel=1e-9)
    assert lead[6][2:4] == ["", ""]
    assert lead[1][3] == pytest.approx(11340 * 0.0254 / 64 / PSF, rel=1e-9)
    metric = catalogue.call("MATERIALS", "Lead", "SI")
    assert metric[0][2:5] == ["Usual thickness (mm)", "Mass per area (kg/m²)", "Density (kg/m³)"]
    assert metric[2][2:5] == [pytest.approx(x, rel=1e-9) for x in (0.79375, 9.001125, 11340)]


def test_every_listed_material_can_be_used_as_a_leaf():
    for name, _, thickness, mass, density, _, _ in catalogue.call("MATERIALS")[1:]:
        expected = mass if thickness else density / 12
        assert catalogue.call("SURFACEMASS", [[name, None if thickness else 1]]) == pytest.approx(expected, rel=1e-9)


def test_an_unknown_group():
    answer = catalogue.call("MATERIALS", "Cheese")
    assert answer.code == VALUE and 'give one of "Gypsum board", "Wood panel"' in answer.reason
