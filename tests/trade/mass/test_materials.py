"""The material table, its groups and its spellings."""

import csv
from decimal import Decimal
from importlib.resources import files

import pytest

from stillbook import catalogue
from stillbook.cells import Code
from stillbook.trade.mass.leaves import sheets_of
from stillbook.trade.mass.materials import material_groups, material_key, materials

VALUE = Code.VALUE
PSF = 0.45359237 / 0.3048**2


BOARD = "Gypsum board 5/8 in type X"


def material_rows():
    text = files("stillbook").joinpath("data/materials.csv").read_text("utf-8")
    return list(csv.DictReader(text.splitlines(), strict=True))


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
