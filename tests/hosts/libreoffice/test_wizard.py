"""What the function wizard of LibreOffice is told of the formulas."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Mapping

import pytest

from hosts import small
from stillbook.catalogue import formulas
from stillbook.formula import Formula
from stillbook.hosts.libreoffice.signatures import methods
from stillbook.hosts.libreoffice.wizard import configuration

OOR = "{http://openoffice.org/2001/registry}"
LANGUAGE = "{http://www.w3.org/XML/1998/namespace}lang"


def node(parent: ET.Element, name: str) -> ET.Element:
    found = [each for each in parent.findall("node") if each.get(f"{OOR}name") == name]
    assert len(found) == 1, name
    return found[0]


def functions(catalogue: Mapping[str, Formula], *, reads_neutral: bool = False) -> ET.Element:
    root = ET.fromstring(configuration(methods(catalogue), reads_neutral=reads_neutral))
    assert (root.get(f"{OOR}package"), root.get(f"{OOR}name")) == ("org.openoffice.Office", "CalcAddIns")
    return node(node(node(root, "AddInInfo"), "Still"), "AddInFunctions")


def shown(parent: ET.Element) -> dict[str, str]:
    """The texts of a node; those for readers are in American English, which LibreOffice falls back to."""
    texts = {each.get(f"{OOR}name", ""): each.find("value") for each in parent.findall("prop")}
    assert all(v is not None and v.get(LANGUAGE) == (None if k == "Category" else "en-US") for k, v in texts.items())
    return {name: value.text or "" for name, value in texts.items() if value is not None}


@pytest.mark.parametrize(
    ("reads_neutral", "names"),
    [
        (True, {"DisplayName": "STILL_WIDER", "CompatibilityName": "STILL_WIDER"}),
        (False, {"DisplayName": "STILL.WIDER"}),  # STILL_WIDER is the function of Basic
    ],
)
def test_a_formula_has_its_name_description_and_category(reads_neutral: bool, names: dict[str, str]) -> None:
    assert shown(node(functions(small.CATALOGUE, reads_neutral=reads_neutral), "wider")) == {
        "Description": "A width and what is added to it (in or mm). Source: invented.",
        "Category": "Add-In",
        **names,
    }


@pytest.mark.parametrize(
    ("function", "parameter", "name", "text"),
    [
        ("wider", "width", "width", 'Width before; in (with units "SI": mm).'),
        (
            "wider",
            "added",
            "added",
            'What is added; in; 1 in when left out (with units "SI": mm; 25.4 mm when left out).',
        ),
        ("wider", "typeGiven", "type", 'How often it is added; one of "once", "twice"; once when left out.'),
        ("loudest", "levels", "levels", "Levels; dB, a row or column."),
        ("told", "arguments", "arguments", "Anything; any."),
    ],
)
def test_an_argument_has_its_plain_name_and_help(function: str, parameter: str, name: str, text: str) -> None:
    found = node(node(node(functions(small.CATALOGUE), function), "Parameters"), parameter)
    assert shown(found) == {"DisplayName": name, "Description": text}


def test_every_formula_and_argument_of_the_catalogue_is_told() -> None:
    told = functions(formulas())
    assert len(told) == len(formulas())
    for method in methods(formulas()):
        found = node(told, method.name)
        assert shown(found)["DisplayName"] == f"STILL.{method.formula.name}"
        parameters = node(found, "Parameters")
        assert len(parameters) == len(method.arguments)
        assert all(shown(node(parameters, argument.name))["Description"] for argument in method.arguments)
