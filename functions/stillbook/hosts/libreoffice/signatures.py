"""How a formula is called in LibreOffice: the method of a UNO interface that stands for it, and its parameters."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from stillbook.catalogue import CatalogueError
from stillbook.formula import Formula, Parameter
from stillbook.hosts.showing import NAMESPACE, names

SERVICE: Final = NAMESPACE.capitalize()
"""The UNO service that has the formulas. A file stores a call as service and method: ``STILL.DOORMASS``."""

INTERFACE: Final = "stillbook.calc.XFormulas"
"""The UNO interface with a method for each formula."""

IMPLEMENTATION: Final = "stillbook.calc.Formulas"

CALLS: Final = "stillbook.calc.Calls"
"""The UNO service that Basic asks: it answers a call by the formula's name, an error as a number that is one."""

JOB: Final = "stillbook.calc.Job"
"""The UNO service that LibreOffice runs at its events."""

_UNO_TYPES: Final = frozenset(
    {"any", "boolean", "byte", "char", "double", "float", "hyper", "long", "short", "string", "type", "void"}
)
"""Names of UNO's own types. A type library in which a method or a parameter is named so is not read."""


@dataclass(frozen=True, slots=True)
class Argument:
    """An argument as a parameter of the method.

    Args:
        name: Its name in the type library and in the wizard's configuration.
        parameter: The argument that the formula declares.
    """

    name: str
    parameter: Parameter

    @property
    def type(self) -> str:
        """Its UNO type. Calc lets an ``any`` be left out, and takes any number of values for a sequence at the end."""
        return "[]any" if self.parameter.variadic else "any"


@dataclass(frozen=True, slots=True)
class Method:
    """The method that stands for a formula."""

    name: str
    formula: Formula
    arguments: tuple[Argument, ...]

    @property
    def result(self) -> str:
        """Its UNO type: rows of text, or rows of cells of any type; one row of one cell for a single value.

        Text in rows of any type is shown, but Calc finds it equal to no other text (seen in 7.4 and 25.2): so formulas
        that give text alone give rows of text. A plain ``any`` cannot hold rows, as Python's bridge makes them a
        sequence that Calc does not take for a range.
        """
        return "[][]string" if self.formula.result.is_text else "[][]any"

    @property
    def repeats(self) -> bool:
        """Whether its last argument may be given any number of times."""
        return bool(self.arguments) and self.arguments[-1].parameter.variadic


def methods(catalogue: Mapping[str, Formula]) -> list[Method]:
    """The method of every formula, in the order of the catalogue.

    Raises:
        CatalogueError: If a formula is named like a type of UNO.
    """
    unfit = [entry.workbook_name for entry in catalogue.values() if entry.name.lower() in _UNO_TYPES]
    if unfit:
        raise CatalogueError(f"{' and '.join(unfit)} cannot be a formula in LibreOffice: choose another name")
    return [Method(entry.name.lower(), entry, _arguments(entry)) for entry in catalogue.values()]


def _arguments(entry: Formula) -> tuple[Argument, ...]:
    fit = names((_identifier(each.name) for each in entry.arguments), _UNO_TYPES, "Given")
    return tuple(Argument(name, each) for name, each in zip(fit, entry.arguments, strict=True))


def _identifier(name: str) -> str:
    """An argument's name as UNO spells names.

    >>> _identifier("surface_mass"), _identifier("leaf_1")
    ('surfaceMass', 'leaf1')
    """
    return re.sub(r"_+(\w)", lambda match: match[1].upper(), name)
