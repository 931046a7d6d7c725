"""What people call a material: which row of the table is meant, and what is asked where more than one may be."""

import pytest

from stillbook import catalogue
from stillbook.cells import Code
from stillbook.tables import table
from stillbook.trade.mass.materials import material_key, materials
from stillbook.trade.mass.words import beginning, named, other_words

BOARD = "Gypsum board 5/8 in type X"

NAMED = [
    ("5/8 drywall", BOARD),
    ('5/8" drywall', BOARD),
    ("drywall 5/8 in", BOARD),
    ("5⁄8 inch dry-wall", BOARD),
    ("5/8 in gypsum board", BOARD),
    ("5/8 type X wallboard", BOARD),
    ("1/2 type x drywall", "Gypsum board 1/2 in type X"),
    ("15 mm plasterboard", "Gypsum board 15 mm"),
    ("12.5mm plasterboard", "Gypsum board 12.5 mm"),
    ("1.25 cm plasterboard", "Gypsum board 12.5 mm"),
    ("3/4 ply", "Plywood 3/4 in"),
    ("3/4-ply", "Plywood 3/4 in"),
    ("7/16 OSB", "OSB 7/16 in"),
    ("1/2 oriented strand board", "OSB 1/2 in"),
    ("18 mm MDF", "MDF 18 mm"),
    ("3/4 medium density fiberboard", "MDF 3/4 in"),
    ("1/2 in fiberboard", "Wood fibreboard 1/2 in"),
    ("3/4 chipboard", "Particleboard 3/4 in"),
    ('1/2" particle board', "Particleboard 1/2 in"),
    ("1/8 hardboard", "Hardboard 1/8 in"),
    ("1 lb loaded vinyl", "Heavy limp sheet 1 lb/ft²"),
    ("2 psf mass-loaded vinyl", "Heavy limp sheet 2 lb/ft²"),
    ("1/8 in sheet lead", "Lead sheet 1/8 in"),
    ("16 ga steel", "Steel sheet 16 gauge"),
    ("6 mm float glass", "Glass 6 mm"),
    ("8 in hollow block 125 pcf", "Hollow concrete masonry 8 in 125 pcf"),
    ("4 in 85 pcf cinder block face-shell bedded", "Hollow concrete masonry 4 in 85 pcf face-shell bedded"),
    ("4 in bricks", "Clay brick 4 in"),
    ("3 in stone wool", "Mineral wool batt 3 in"),
    ("3-1/2 in glass wool batts", "Glass fibre batt 3-1/2 in"),
    ("rock wool board 2 in 4 pcf", "Mineral wool board 2 in 4 pcf"),
    ("hollow core door 1-3/4 in", "Hollow-core door slab 1-3/4 in"),
]

ASKED = [
    ("1/2 drywall", ["Gypsum board 1/2 in", "Gypsum board 1/2 in type X"]),
    ("type X drywall", ["Gypsum board 1/2 in type X", BOARD]),
    ("ply", [*(f"Plywood {size} in" for size in ("1/4", "3/8", "1/2", "5/8", "3/4")), "Plywood"]),
    ("loaded vinyl", [f"Heavy limp sheet {mass} lb/ft²" for mass in ("0.5", "1", "2")]),
    ("glass wool batts", ["Glass fibre batt 3-1/2 in"]),
    ("2 in stone wool", ["Mineral wool board 2 in 4 pcf", "Mineral wool board 2 in 8 pcf"]),
    ("8 in hollow block", [f"Hollow concrete masonry 8 in {mass} pcf" for mass in (105, 125, 135)]),
    ("8 in 125 pcf cinder block", [f"{kind} concrete masonry 8 in 125 pcf" for kind in ("Hollow", "Solid")]),
    ("3/4 pine", ["Softwood spruce-pine-fir 3/4 in", "Softwood southern pine 3/4 in"]),
    ("1/4 hardboard", ["Hardboard 1/8 in", "Hardboard"]),
    ("green 5/8 drywall", [BOARD]),
]
"""Words without a measure, with one that several have, or with something said that no name holds."""

NEITHER = [
    "15 drywall",
    "-5/8 drywall",
    "12,5 mm plasterboard",
    "5/0 ply",
    "1/2 5/8 ply",
    "2 in glass",
    "2.5 lb/ft²",
    "88 lb",
    "Unobtainium",
    "5/8 drywall " * 4000,
]


@pytest.mark.parametrize(("said", "name"), NAMED)
def test_a_word_with_its_measure_is_one_material(said, name):
    assert named(said).name == name
    assert catalogue.call("SURFACEMASS", said) == catalogue.call("SURFACEMASS", name)
    assert catalogue.call("LEAFTL", [[said, None, 2]]) == catalogue.call("LEAFTL", [[name, None, 2]])


@pytest.mark.parametrize(("said", "names"), ASKED)
def test_what_may_be_several_is_asked(said, names):
    answer = catalogue.call("SURFACEMASS", said)
    assert named(said) is None
    assert answer.code == Code.VALUE
    asked = answer.reason.partition("is not in the table: did you mean ")[2]
    assert asked.split('"')[1::2] == names


def test_a_long_list_is_cut_and_says_so():
    reason = catalogue.call("SURFACEMASS", "concrete block").reason
    assert reason.endswith('"Hollow concrete masonry 8 in 125 pcf" or one of 24 more in STILL_MATERIALS?')


@pytest.mark.parametrize("said", NEITHER)
def test_nothing_is_guessed(said):
    assert named(said) is None


BESIDE = [
    ("ply", "3/4 in", "Plywood 3/4 in", None),
    ("drywall", "5/8 in", BOARD, None),
    ("ply", "18 mm", "Plywood", "18 mm"),
    ("sheet lead", "2 mm", "Lead", "2 mm"),
]
"""A word, a thickness in the cell beside it, and what that is: a sheet, or else the substance with that thickness."""


@pytest.mark.parametrize(("word", "thickness", "name", "beside"), BESIDE)
def test_a_word_with_a_thickness_beside_it(word, thickness, name, beside):
    assert catalogue.call("LEAFTL", [[word, thickness]]) == catalogue.call("LEAFTL", [[name, beside]])


@pytest.mark.parametrize(
    ("word", "thickness"), [("drywall", "1/2 in"), ("stone wool", "100 mm"), ("plasterboard", None)]
)
def test_a_thickness_beside_a_word_that_decides_nothing(word, thickness):
    assert "did you mean" in catalogue.call("SURFACEMASS", [[word, thickness]]).reason


@pytest.mark.parametrize(
    ("word", "name"),
    [("drywall", "Gypsum board"), ("stone wool", "Mineral wool"), ("Solid-core door", "Solid-core door slab")],
)
def test_a_word_carries_a_mass_as_the_name_does(word, name):
    assert catalogue.call("LEAFTL", [[word, 2, 1, 9]]) == catalogue.call("LEAFTL", [[name, 2, 1, 9]])


def test_every_word_leads_to_names_of_the_table_and_hides_none():
    begun = {beginning(material.name) for material in materials().values()}
    for word, names in other_words().items():
        assert set(names) <= begun
        assert material_key(word) == word
        assert word not in materials() or materials()[word].name in names
    assert len({(row["word"], row["name"]) for row in table("material_words")}) == len(table("material_words"))


@pytest.mark.parametrize("material", materials().values(), ids=lambda material: material.name)
def test_a_name_of_the_table_is_its_own(material):
    assert named(material.name) is material
