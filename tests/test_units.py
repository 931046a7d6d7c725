"""The sizes of units that stand in a table, against the library that defines them."""

from fractions import Fraction
from itertools import combinations

import pytest

from stillbook import units
from stillbook.quantities import KINDS, SYSTEMS, _parse_unit
from stillbook.tables import table
from stillbook.units import Unit, exact_registry, scale, unit

TABLE = {row["unit"]: units.unit(row["unit"]) for row in table("unit_sizes")}


def looked_up(text: str) -> Unit:
    """A unit as the library has it."""
    found = exact_registry().parse_units(text)
    measured = units.dimensions(found)
    size: Fraction | None
    try:
        zero, one = (exact_registry().Quantity(Fraction(x), found).to_root_units().magnitude for x in (0, 1))
        size = one - zero
    except TypeError:  # a level, whose scale is no straight line
        size, zero = None, Fraction(0)
    return Unit(text, "" if measured else str(found), measured, size, Fraction(zero))


@pytest.mark.parametrize("text", TABLE)
def test_a_unit_of_the_table_is_what_the_library_defines(text):
    assert TABLE[text] == looked_up(text)


def test_conversions_are_those_of_the_library():
    for one, other in combinations(TABLE.values(), 2):
        mixed = {one.is_difference, other.is_difference} == {True, False} and (one.zero or other.zero)
        if one.dimensions == other.dimensions and None not in (one.size, other.size) and not mixed:
            plain = [Unit(each.text, each.name, each.dimensions) for each in (one, other)]
            assert scale(one, other) == scale(*plain), (one.text, other.text)


@pytest.mark.parametrize(("source", "target"), [("degC", "delta_degC"), ("delta_degF", "degF")])
def test_a_temperature_is_no_difference(source, target):
    with pytest.raises(TypeError):
        scale(TABLE[source], TABLE[target])


@pytest.mark.parametrize("kind", KINDS.values(), ids=list(KINDS))
def test_the_units_of_every_kind_stand_in_the_table(kind):
    for text in {kind.base, *(kind.unit(system) for system in SYSTEMS)} - {""}:
        assert _parse_unit(text, kind).text in TABLE


def test_other_units_are_looked_up():
    assert unit("furlong") == Unit("furlong", "", "length 1")
    assert scale(unit("furlong"), unit("m")) == (pytest.approx(201.168, rel=1e-5), 0.0)
    assert unit("no such unit") is None
