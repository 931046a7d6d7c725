"""Units: what each measures and how large it is.

The library pint defines them, with the trade's own in ``data/units.txt``. To read all its definitions takes longer than
to calculate an estimate, so those that the trade writes stand in ``data/unit_sizes.csv`` as pint has them, each with
its exact size; a test compares every row. Any other unit is looked up in pint.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from stillbook.tables import table

if TYPE_CHECKING:
    import pint


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit.

    Args:
        text: As pint reads it.
        name: As pint names it, where it has no dimensions: those differ by their name alone.
        dimensions: What it measures, as powers of the base dimensions in words; empty for a plain number.
        size: Its size in base units; None where its scale is no straight line, or was not looked up.
        zero: Where its scale begins, in base units.
    """

    text: str
    name: str
    dimensions: str
    size: Fraction | None = None
    zero: Fraction = Fraction(0)

    @property
    def is_difference(self) -> bool:
        """Whether it measures a difference of temperatures alone."""
        return self.text.startswith("delta_")


NO_UNIT = Unit("", "dimensionless", "", Fraction(1))
"""What a plain number is in."""


@cache
def unit(text: str) -> Unit | None:
    """The unit of that name; None where there is none."""
    known = _known().get(text)
    if known is not None:
        return known
    import pint

    try:
        found = exact_registry().parse_units(text)
        measured = dimensions(found)
        return Unit(text, "" if measured else str(found), measured)
    except (pint.errors.PintError, ValueError, TypeError, AttributeError, AssertionError):
        return None


def scale(source: Unit, target: Unit) -> tuple[float, float]:
    """Factor and offset from one unit to another of the same dimensions, each the float nearest to its exact value.

    Raises:
        TypeError: If one is a temperature and the other a difference.
    """
    mixed = any(each.zero for each in (source, target)) and any(each.is_difference for each in (source, target))
    if source.size is not None and target.size is not None and not mixed:
        return float(source.size / target.size), float((source.zero - target.zero) / target.size)
    units = exact_registry()
    first, second = (units.parse_units(each.text) for each in (source, target))
    zero, one = (units.Quantity(Fraction(x), first).to(second).magnitude for x in (0, 1))
    return float(one - zero), float(zero)


@cache
def registry() -> pint.UnitRegistry[Any]:
    """The registry of the quantities that Python programs are given, with the trade's own definitions added."""
    return _registry(float)


@cache
def exact_registry() -> pint.UnitRegistry[Any]:
    """The same definitions in exact fractions, so that a conversion factor is the nearest float to the defined one.

    Programs are given the other: pint cannot print a unit whose powers are fractions, such as ``lb/ft²``.
    """
    return _registry(Fraction)


def _registry(number: type) -> pint.UnitRegistry[Any]:
    import pint

    units: pint.UnitRegistry[Any] = pint.UnitRegistry(non_int_type=number)
    units.load_definitions(files("stillbook").joinpath("data/units.txt").read_text("utf-8").splitlines())
    return units


def dimensions(found: pint.Unit) -> str:
    """What a unit of pint's measures, in words: ``length 1, time -1``."""
    return ", ".join(f"{base.strip('[]')} {power}" for base, power in sorted(found.dimensionality.items()))


@cache
def _known() -> Mapping[str, Unit]:
    """The units that the trade writes, by their text."""
    return {
        row["unit"]: Unit(
            row["unit"],
            row["name"],
            row["dimensions"],
            Fraction(row["size"]) if row["size"] else None,
            Fraction(row["zero"] or 0),
        )
        for row in table("unit_sizes")
    }
