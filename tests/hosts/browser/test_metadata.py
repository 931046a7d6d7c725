"""The custom functions as Excel is told of them, against the published rules of the add-in platform.

Rules: learn.microsoft.com, Office Add-ins, "Manually create JSON metadata for custom functions" and "Naming guidelines";
names of 3 to 128 characters that start with a letter, and that no cell or Excel 4 macro function has; ids of letters,
digits and periods. Excel refuses an add-in in which a needed argument follows an optional one: office-js issue 1749.
"""

from __future__ import annotations

import json
import re
from typing import Any

import pytest

from hosts.small import CATALOGUE, told, wider
from stillbook.catalogue import formulas
from stillbook.hosts.browser.metadata import metadata

PAGE = "https://localhost:8347/panel/"
LISTED = metadata(formulas(), PAGE)
FUNCTIONS = {entry["id"]: entry for entry in LISTED["functions"]}

# A few of Microsoft's "Excel 4.0 Macro Functions Reference", those a trade word could meet.
MACRO_FUNCTIONS = {
    "ALERT",
    "BEEP",
    "CALL",
    "ECHO",
    "ERROR",
    "EXEC",
    "FOR",
    "HALT",
    "HELP",
    "INPUT",
    "NAMES",
    "NEXT",
    "NOTE",
    "RESULT",
    "RETURN",
    "RUN",
    "SELECT",
    "SIZE",
    "SPLIT",
    "STEP",
    "TEXT",
    "UNDO",
    "VOLATILE",
    "WAIT",
    "WHILE",
}


def test_every_formula_is_there_once_and_in_order() -> None:
    assert [entry["id"] for entry in LISTED["functions"]] == list(formulas())


def test_errors_are_handed_over_and_data_types_are_not() -> None:
    assert LISTED["allowErrorForDataTypeAny"] is True
    assert LISTED["allowCustomDataForDataTypeAny"] is False


@pytest.mark.parametrize("name", FUNCTIONS)
def test_a_function_keeps_the_rules(name: str) -> None:
    entry = FUNCTIONS[name]
    assert set(entry) == {"id", "name", "description", "helpUrl", "parameters", "result", "options"}
    assert re.fullmatch(r"[A-Z][A-Z0-9]{2,127}", entry["id"])
    assert entry["name"] == entry["id"]
    assert not re.fullmatch(r"[A-Z]{1,3}\d+|R\d*C\d*", entry["name"])
    assert entry["name"] not in MACRO_FUNCTIONS
    assert 10 < len(entry["description"]) <= 255
    assert entry["helpUrl"] == f"{PAGE}#/formula/{name}"
    assert entry["result"] == {"type": "any", "dimensionality": "matrix"}
    assert entry["options"] == {"requiresAddress": True, "requiresParameterAddresses": True}


@pytest.mark.parametrize("name", FUNCTIONS)
def test_its_arguments_keep_the_rules(name: str) -> None:
    parameters = FUNCTIONS[name]["parameters"]
    assert [each["name"] for each in parameters] == [each.name for each in formulas()[name].arguments]
    assert len({each["name"] for each in parameters}) == len(parameters)
    for place, each in enumerate(parameters):
        assert re.fullmatch(r"[a-z][a-z0-9_]{0,63}", each["name"])
        assert 3 < len(each["description"]) <= 512
        assert (each["type"], each["dimensionality"]) == ("any", "matrix")
        assert not each.get("repeating") or place == len(parameters) - 1
    left_out = [each.get("optional", each.get("repeating", False)) for each in parameters]
    assert left_out == sorted(left_out)


@pytest.mark.parametrize("name", FUNCTIONS)
def test_what_may_be_left_out_is_so_for_excel(name: str) -> None:
    for each, argument in zip(FUNCTIONS[name]["parameters"], formulas()[name].arguments, strict=True):
        assert argument.required or each.get("optional") or each.get("repeating")


def test_a_formula_in_full() -> None:
    (function,) = metadata({"WIDER": wider}, PAGE)["functions"]
    assert function == {
        "id": "WIDER",
        "name": "WIDER",
        "description": "A width and what is added to it (in or mm).",
        "helpUrl": "https://localhost:8347/panel/#/formula/WIDER",
        "parameters": [
            _matrix("width", 'Width before; in (with units "SI": mm).'),
            _matrix(
                "added",
                'What is added; in; 1 in when left out (with units "SI": mm; 25.4 mm when left out).',
                optional=True,
            ),
            _matrix("type", 'How often it is added; one of "once", "twice"; once when left out.', optional=True),
            _matrix(
                "units", 'Unit system of bare numbers in this call; one of "US", "SI"; US when left out.', optional=True
            ),
        ],
        "result": {"type": "any", "dimensionality": "matrix"},
        "options": {"requiresAddress": True, "requiresParameterAddresses": True},
    }


def test_an_argument_that_repeats() -> None:
    (function,) = metadata({"TOLD": told}, PAGE)["functions"]
    assert function["parameters"] == [
        _matrix("name", "A name."),
        _matrix("arguments", "Anything; any.", repeating=True),
    ]


def test_it_is_plain_json() -> None:
    listed = metadata(CATALOGUE, PAGE)
    assert json.loads(json.dumps(listed)) == listed


def _matrix(name: str, description: str, **more: Any) -> dict[str, Any]:
    return {"name": name, "description": description, "type": "any", "dimensionality": "matrix", **more}
