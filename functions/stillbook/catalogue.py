"""All formulas in one place: to list, search, explain and call."""

from __future__ import annotations

import importlib
import pkgutil
import re
from collections.abc import Mapping
from functools import cache
from typing import Annotated, Any, get_args

import stillbook.trade
from stillbook.cells import CellResult, Code, ErrorValue, FormulaError, NotUnderstood
from stillbook.formula import DECLARED, PREFIX, Family, Formula, formula
from stillbook.quantities import NUMBER, QuantityError, convert
from stillbook.readers import Anything, Text
from stillbook.results import Number, Words


class CatalogueError(Exception):
    """A formula declared against the rules."""


@cache
def formulas() -> Mapping[str, Formula]:
    """Every formula by its name without the prefix, family by family, in the order in which a job meets them.

    Raises:
        CatalogueError: If a name is taken twice or unfit for a workbook, or a docstring, an argument's help, a source
            or an example is missing.
    """
    for module in pkgutil.walk_packages(stillbook.trade.__path__, "stillbook.trade."):
        importlib.import_module(module.name)
    order = {family: place for place, family in enumerate(get_args(Family))}

    def place_of(entry: Formula) -> tuple[int, str, int]:
        return order[entry.family], entry.function.__module__, entry.function.__code__.co_firstlineno

    return check(sorted(DECLARED, key=place_of))


def check(declared: list[Formula]) -> Mapping[str, Formula]:
    """The formulas by name, once each keeps the rules of the catalogue.

    Raises:
        CatalogueError: Naming the formula and the rule it breaks.
    """
    found: dict[str, Formula] = {}
    for entry in declared:
        faults = {
            "is declared twice": entry.name in found,
            "must be three or more capitals or digits and never read as a cell": not is_fit(entry.name),
            "has no docstring": not (entry.function.__doc__ or "").strip(),
            "has no summary": not entry.summary.strip(),
            "has no source": not entry.source.strip(),
            "has an example that calls something else": not entry.example.call.startswith(f"{entry.workbook_name}("),
            "has an argument without help": not all(parameter.help for parameter in entry.parameters),
        }
        for fault, present in faults.items():
            if present:
                raise CatalogueError(f"{entry.workbook_name} {fault}")
        found[entry.name] = entry
    return found


def is_fit(name: str) -> bool:
    """Whether a name is safe in every host: capitals and digits, and no cell address in either style."""
    return bool(re.fullmatch(r"[A-Z][A-Z\d]{2,27}", name)) and not re.fullmatch(r"[A-Z]{1,3}\d+|R\d*C\d*", name)


def find(name: str) -> Formula:
    """The formula of that name, with or without the prefix, in any letter case.

    Raises:
        FormulaError: If there is none, naming those that come near.
    """
    short = name.strip().upper().removeprefix(PREFIX).removeprefix("STILL.")
    entry = formulas().get(short)
    if entry is None:
        import difflib

        near = difflib.get_close_matches(short, formulas(), n=3)
        hint = f": did you mean {' or '.join(PREFIX + n for n in near)}?" if near else ""
        raise FormulaError(f"there is no formula {PREFIX}{short[:40]}{hint}", Code.NAME)
    return entry


def search(words: str) -> list[Formula]:
    """The formulas that hold all of some words, in any letter case, in their name, family, summary or arguments.

    >>> [entry.name for entry in search("co2 minutes")]
    ['CO2LEVEL', 'CO2MINUTES', 'SESSIONCO2']
    """
    wanted = words.casefold().split()
    return [entry for entry in formulas().values() if wanted and all(word in _said(entry) for word in wanted)]


@cache
def _said(entry: Formula) -> str:
    arguments = (f"{argument.words} {argument.help}" for argument in entry.arguments)
    return " ".join((entry.workbook_name, entry.family, entry.summary, *arguments)).casefold()


def call(name: str, *values: Any) -> CellResult:
    """Call a formula by name with cell values; never raises, an error is an :class:`ErrorValue`."""
    try:
        return find(name)(*values)
    except FormulaError as error:
        return error.value


def explain(answer: CellResult) -> str:
    """The reason for an answer in a sentence: of an error, or of the first error in a range."""
    if isinstance(answer, ErrorValue):
        return answer.reason or f"the cell holds {answer.code}"
    if isinstance(answer, list):
        for row, cells in enumerate(answer, start=1):
            for column, cell in enumerate(cells, start=1):
                if isinstance(cell, ErrorValue):
                    return f"row {row}, column {column}: {cell.reason or cell.code}"
    return ""


# --- formulas about the formulas --------------------------------------------------------------------------------------


@formula(
    "WHY",
    family="About the formulas",
    summary="The reason why a formula gives an error, in a sentence",
    example=(
        'STILL_WHY("DOORMASS",60,,,"80 in")',
        'width is blank: give a length in in, or text with a unit such as "1 mm"',
    ),
    source="common practice, no source",
    vectorised=False,
)
def why(name: Annotated[str, Text()], *arguments: Annotated[Any, Anything()]) -> Annotated[str, Words()]:
    """Give the reason for an error: the same arguments as the formula that failed, after its name.

    Args:
        name: Name of the formula, with or without its prefix.
        arguments: The arguments as the formula was given them.

    Raises:
        FormulaError: If no formula has that name.
        NotUnderstood: If it is asked about itself, which could go on without end.
    """
    entry = find(name)
    if entry.function is why:
        raise NotUnderstood(f"{entry.workbook_name} tells of other formulas: give the name of the one that failed")
    return explain(entry(*arguments)) or f"{entry.workbook_name} gives no error with these arguments"


@formula(
    "SOURCE",
    family="About the formulas",
    summary="The publication a formula follows",
    example=('STILL_SOURCE("SOURCE")', "common practice, no source"),
    source="common practice, no source",
    vectorised=False,
)
def source_of(name: Annotated[str, Text()]) -> Annotated[str, Words()]:
    """Give the publication a formula follows.

    Args:
        name: Name of the formula, with or without its prefix.

    Raises:
        FormulaError: If no formula has that name.
    """
    return find(name).source


@formula(
    "QUANTITY",
    family="About the formulas",
    summary="A quantity with its unit, as a number in any other unit of the same kind",
    example=('STILL_QUANTITY("2\'-6""","in")', 30.0),
    source="NIST Special Publication 811, Guide for the Use of the International System of Units, Appendix B",
    vectorised=False,
)
def quantity(text: Annotated[str, Text()], unit: Annotated[str, Text(longest=40)]) -> Annotated[float, Number(NUMBER)]:
    """Convert a quantity given as text to a number in another unit.

    Args:
        text: The quantity with its unit, such as 36 in or 12 L/s.
        unit: The unit wanted, such as ft or cfm.

    Raises:
        NotUnderstood: If either is not understood, or they measure different kinds of quantity.
    """
    try:
        return convert(text, unit)
    except QuantityError as error:
        raise NotUnderstood(str(error)) from None
