"""The catalogue as JSON: every formula, whole enough to be shown and called."""

from __future__ import annotations

import pytest

from service.asking import Application, call
from stillbook import catalogue
from stillbook.cells import ErrorValue
from stillbook.service.listing import example_arguments

FOUND = catalogue.formulas()


@pytest.fixture(scope="module")
def listed() -> dict[str, dict[str, object]]:
    body = Application().ask("GET", "/catalogue").json()
    return {entry["name"]: entry for entry in body["formulas"]}


def test_every_formula_is_listed_in_the_order_of_the_catalogue(listed):
    assert list(listed) == list(FOUND)


@pytest.mark.parametrize("name", FOUND)
def test_what_a_host_shows(listed, name):
    entry, formula = listed[name], FOUND[name]
    assert entry["workbook_name"] == formula.workbook_name
    assert (entry["family"], entry["summary"], entry["source"]) == (formula.family, formula.summary, formula.source)
    assert entry["signature"] == formula.signature
    assert entry["docstring"].startswith(formula.function.__doc__.strip().splitlines()[0])
    assert [argument["name"] for argument in entry["arguments"]] == [argument.name for argument in formula.arguments]
    for shown, argument in zip(entry["arguments"], formula.arguments, strict=True):
        assert shown["help"] == argument.help
        assert shown["required"] == argument.required
        assert shown["choices"] == list(argument.reader.choices)
        for system in ("US", "SI"):
            assert shown["help_shown"][system] == argument.help_shown(system)
            assert shown["label"][system] == argument.reader.label(system)
    assert entry["result"]["unit"] == {"US": formula.result.unit("US"), "SI": formula.result.unit("SI")}


@pytest.mark.parametrize("name", FOUND)
def test_the_example_as_the_service_takes_it(application, listed, name):
    """The panel shows it computed: the arguments in the listing give what the example says."""
    example = listed[name]["example"]
    if example["arguments"] is None:
        assert example["call"].count("STILL_") > 1
        return
    (answer,) = application.calls(call(name, *example["arguments"]))
    first = answer[0] if isinstance(answer, list) else answer
    gives = example["gives"]
    if isinstance(gives, list):
        assert first[: len(gives)] == [pytest.approx(g, rel=1e-4) if isinstance(g, float) else g for g in gives]
    else:
        first = first[0] if isinstance(first, list) else first
        assert first == (pytest.approx(gives, rel=1e-4) if isinstance(gives, float | int) else gives)


@pytest.mark.parametrize("name", [name for name, formula in FOUND.items() if formula.dimensional])
def test_a_default_given_in_its_unit_changes_nothing(listed, name):
    arguments = example_arguments(FOUND[name].example.call)
    if arguments is None:
        return
    entry = listed[name]
    for system in ("US", "SI"):
        taken = arguments[: len(entry["arguments"]) - 1]
        taken += [None] * (len(entry["arguments"]) - 1 - len(taken))
        filled = [
            shown["default"][system] if value is None else value
            for value, shown in zip(taken, entry["arguments"][:-1], strict=True)
        ]
        plain, given = (catalogue.call(name, *values, system) for values in (taken, filled))
        if isinstance(plain, float):
            assert given == pytest.approx(plain, rel=1e-9)
        elif isinstance(plain, ErrorValue):
            assert isinstance(given, ErrorValue)


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ("STILL_X()", []),
        ("STILL_X(1)", [1.0]),
        ("STILL_X(-1.5, +2)", [-1.5, 2.0]),
        ("STILL_X(,,3)", [None, None, 3.0]),
        ("STILL_X(3,)", [3.0, None]),
        ("STILL_X(1E3,20%)", [1000.0, 0.2]),
        ('STILL_X("80 in","2\'-6""")', ["80 in", "2'-6\""]),
        ("STILL_X(TRUE,FALSE)", [True, False]),
        ("STILL_X({1,2,3})", [[[1.0, 2.0, 3.0]]]),
        ('STILL_X({1;"a"},{-1,TRUE})', [[[1.0], ["a"]], [[-1.0, True]]]),
        ('STILL_X(STILL_QUANTITY("1 ft","in"),2)', [12.0, 2.0]),
        ("STILL_X(STILL_NOSUCH(1))", None),
        ("STILL_X(SUM(1))", None),
        ("STILL_X(1+2)", None),
        ("STILL_X(A1)", None),
        ("STILL_X(#N/A)", None),
        ("1+2", None),
    ],
)
def test_arguments_as_typed(typed, expected):
    assert example_arguments(typed) == expected


@pytest.mark.parametrize(
    ("name", "argument", "facts"),
    [
        (
            "FLOORLOAD",
            "mass",
            {
                "form": "number",
                "kind": "mass",
                "unit": {"US": "lb", "SI": "kg"},
                "whole_range": False,
                "repeats": False,
            },
        ),
        ("FLOORLOAD", "units", {"form": "choice", "choices": ["US", "SI"], "default": {"US": "US", "SI": "US"}}),
        ("SURFACEMASS", "leaf", {"form": "cells", "kind": "", "whole_range": True, "required": True}),
        ("WHY", "arguments", {"form": "any", "repeats": True, "required": False, "whole_range": True}),
        ("SOURCE", "name", {"form": "text", "required": True}),
    ],
)
def test_an_argument(listed, name, argument, facts):
    (shown,) = [shown for shown in listed[name]["arguments"] if shown["name"] == argument]
    assert {key: shown[key] for key in facts} == facts
