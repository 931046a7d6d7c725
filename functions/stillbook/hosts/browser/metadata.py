"""The custom functions as Excel is told of them: the content of ``functions.json``."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from stillbook.formula import Formula, Parameter
from stillbook.hosts.showing import summary


def metadata(catalogue: Mapping[str, Formula], page: str) -> dict[str, Any]:
    """Every formula as a custom function, in the form that the Office add-in platform reads.

    Every argument takes a cell or a range of anything, and every result may be a range: what a cell means is known to
    the formula alone. Errors are handed over like values, so that they come out as the same errors.

    Args:
        catalogue: Formulas by name.
        page: Address of the panel's page, where a formula is explained.
    """
    return {
        "allowErrorForDataTypeAny": True,
        "allowCustomDataForDataTypeAny": False,
        "functions": [_function(entry, page) for entry in catalogue.values()],
    }


def _function(entry: Formula, page: str) -> dict[str, Any]:
    # Excel refuses the whole add-in where a needed argument follows one that may be left out. From the first that may
    # be left out all may: the formula itself tells which is missing.
    needed = next((place for place, each in enumerate(entry.arguments) if not each.required), len(entry.arguments))
    return {
        "id": entry.name,
        "name": entry.name,
        "description": summary(entry),
        "helpUrl": f"{page}#/formula/{entry.name}",
        "parameters": [
            _parameter(argument, optional=place >= needed) for place, argument in enumerate(entry.arguments)
        ],
        "result": {"type": "any", "dimensionality": "matrix"},
        # The cell that asks, for the list of errors; the cells given, to tell a blank from 0.
        "options": {"requiresAddress": True, "requiresParameterAddresses": True},
    }


def _parameter(argument: Parameter, *, optional: bool) -> dict[str, Any]:
    described: dict[str, Any] = {
        "name": argument.name,
        "description": argument.help_for_both,
        "type": "any",
        "dimensionality": "matrix",
    }
    if argument.variadic:
        return described | {"repeating": True}
    return described | {"optional": True} if optional else described
