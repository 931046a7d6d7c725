"""A mass beside a name keeps the stiffness of the material; a heavy mass without a name is refused."""

import pytest

from stillbook.catalogue import call
from stillbook.cells import Code, ErrorValue

BOARD = "Gypsum board 5/8 in type X"


def stc(leaf):
    return call("STCRATING", call("LEAFTL", leaf))


@pytest.mark.parametrize(
    "name", [BOARD, "Clay brick 4 in", "MDF 3/4 in", "Solid-core door slab 1-3/4 in", "Glass 6 mm"]
)
def test_a_mass_beside_a_name_rates_as_the_name_does(name):
    mass = call("SURFACEMASS", name)
    assert stc([[name, None, None, mass]]) == stc(name)
    assert stc([[name, None, None, f"{mass} lb/ft²"]]) == stc(name)
    assert call("SURFACEMASS", [[name, None, 2, 1.5 * mass]]) == pytest.approx(3 * mass)
    assert call("BUILDUPTHICKNESS", [[name, None, None, mass]]) == call("BUILDUPTHICKNESS", name)


@pytest.mark.parametrize(
    ("formula", "arguments"),
    [
        ("LEAFTL", ["39 lb/ft²"]),
        ("LEAFTL", [[["120 lb/ft³", 3.6]]]),
        ("WALLTL", [BOARD, "8 lb/ft²", 3.5]),
        ("THREELEAFTL", [BOARD, "8 lb/ft²", BOARD, 3.5, 3.5]),
        ("DOORTL", [4.4, 36, 80]),
        ("COINCIDENCE", ["4.4 lb/ft²"]),
        ("LININGGAIN", ["50 lb/ft²", "4.4 lb/ft²", 2, 49]),
    ],
)
def test_a_heavy_mass_without_a_name_is_refused(formula, arguments):
    answer = call(formula, *arguments)
    first = answer[0][0] if isinstance(answer, list) else answer
    assert isinstance(first, ErrorValue) and first.code == Code.NUMBER
    assert "give the material's name, its thickness, the count" in first.reason
    assert 'in rows of three cells the name alone, such as "Solid-core door slab 1-3/4 in"' in first.reason


def test_the_reason_says_in_which_row_and_what_it_says_to_type_is_taken():
    """The door slab of an older estimate: mass per area, thickness and count in a row of three cells."""
    old = [["3 lb/ft²", 1.75, 1], ["MDF 3/4 in", None, 1]]
    assert call("DOORTL", old, 36, 80).reason.startswith("leaf, row 1 holds 3 lb/ft² without a name")
    assert isinstance(call("DOORTL", [["Solid-core door slab 1-3/4 in", 1.75, 1], *old[1:]], 36, 80), list)


@pytest.mark.parametrize(
    ("formula", "arguments"), [("LEAFTL", []), ("WALLTL", [BOARD, 3.5, "filled", "wood studs"]), ("DOORTL", [36, 80])]
)
def test_a_leaf_of_a_mass_alone_is_taken_for_board(formula, arguments):
    """Not for a limp sheet, which on rigid studs would seem 15 dB better than boards measure (NRC Canada, IR-761)."""
    mass = call("SURFACEMASS", BOARD)
    assert call(formula, mass, *arguments)[0] == pytest.approx(call(formula, BOARD, *arguments)[0], abs=0.01)
    assert call(formula, f"{mass / 2} lb/ft²", *arguments) != call(formula, [[BOARD, None, 1, mass / 2]], *arguments)


@pytest.mark.parametrize("porous", ["Mineral wool batt 3 in", "Carpet with pad 1/2 in", "Glass fibre board 2 in 3 pcf"])
def test_a_leaf_that_nothing_closes_is_refused(porous):
    assert "which sound goes through" in call("LEAFTL", porous).reason
    assert "which sound goes through" in call("WALLTL", BOARD, [[porous, None, 2]], 3.5).reason
    assert stc([[BOARD], [porous]]) >= stc(BOARD)


@pytest.mark.parametrize("mass", ["0.002 lb/ft²", "1 lb/ft²", "2 lb/ft²"])
def test_a_light_limp_sheet_goes_by_its_mass(mass):
    assert isinstance(stc(mass), float)


def test_formulas_that_take_the_mass_alone_take_any():
    assert call("RESONANCE", 4.4, 4.4, 3.5) > 0
    assert call("SURFACEMASS", 40) == 40


@pytest.mark.parametrize("name", ["Gypsum", "Hollow concrete", "Solid-core", "Concrete block", "Unobtainium"])
def test_half_a_name_does_not_carry_a_mass(name):
    assert "not in the table" in call("LEAFTL", [[name, 4, 1, 40]]).reason
