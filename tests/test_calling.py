"""Formulas called from Python: what may be given, what comes back, and what is raised."""

from __future__ import annotations

import doctest
import inspect
import pydoc
import subprocess
import sys
from decimal import Decimal
from pathlib import Path

import numpy as np
import pint
import pytest

import stillbook
from stillbook import CallError, call, calling, functions
from stillbook.catalogue import formulas
from stillbook.cells import ErrorValue
from stillbook.quantities import KINDS, SYSTEMS, bare, measured
from stillbook.service.listing import example_arguments

U = stillbook.registry()
Q = U.Quantity
PAGE = Path(__file__).parents[1] / "docs" / "python.md"


def cells(answer: object) -> list[object]:
    """What an answer holds, as the cells of a workbook: without units, row after row."""
    if hasattr(answer, "magnitude"):
        return cells(answer.magnitude)
    if isinstance(answer, np.ndarray):
        return list(answer.ravel())
    if isinstance(answer, dict):
        return [cell for value in answer.values() for cell in cells(value)]
    if isinstance(answer, list):
        return [cell for row in answer for cell in cells(row)]
    return ["" if answer is None else answer]


@pytest.mark.parametrize("entry", formulas().values(), ids=lambda entry: entry.name)
def test_each_formula_gives_what_it_gives_in_a_workbook(entry):
    arguments = example_arguments(entry.example.call)
    assert arguments is not None
    units = {"units": arguments.pop()} if entry.dimensional and len(arguments) > len(entry.parameters) else {}
    kept = entry(*arguments, *([None] * (len(entry.parameters) - len(arguments))), *units.values())
    rows = kept if isinstance(kept, list) else [[kept]]
    shown = [cell for row in rows[entry.result.shows_headings :] for cell in row]
    assert cells(getattr(functions, entry.name.lower())(*arguments, **units)) == shown


@pytest.mark.parametrize("entry", formulas().values(), ids=lambda entry: entry.name)
def test_each_function_tells_of_itself(entry):
    function = getattr(functions, entry.name.lower())
    assert list(inspect.signature(function).parameters) == [argument.name for argument in entry.arguments]
    told = pydoc.plain(pydoc.render_doc(function))
    for said in (entry.summary, entry.source, entry.example.call, *(argument.name for argument in entry.arguments)):
        assert said in told
    assert "[kg" not in told


def test_the_functions_are_those_of_the_catalogue():
    assert {name.upper() for name in dir(functions)} == set(formulas())


# 4.4 lb/ft² over 36 in by 80 in, 20 ft² (common practice, no source)
EIGHTY_EIGHT = pytest.approx(88.0, rel=1e-12)


@pytest.mark.parametrize(
    ("side", "width", "height"),
    [
        (4.4, 36, 80),
        (4.4, "36 in", "80 in"),
        (Decimal("4.4"), np.float64(36), np.int64(80)),
        (Q(4.4, "lb/ft²"), Q(36, "in"), Q(80, "in")),
        (Q(4.4, "psf"), Q(3, "ft"), "6'-8\""),
        (Q(4.4, "lb/ft**2"), U("36 in"), np.array(80)),
        (4.4, pint.UnitRegistry().Quantity(91.44, "cm"), pint.UnitRegistry().Quantity(2.032, "m")),
    ],
)
def test_a_quantity_may_come_in_many_forms(side, width, height):
    found = call("doortargetmass", side_masses=side, width=width, height=height)
    assert (found.magnitude, str(found.units)) == (EIGHTY_EIGHT, "pound")
    assert found.to("kg").magnitude == pytest.approx(39.916, rel=1e-4)


def test_a_limit_is_the_same_in_any_unit():
    # A door may be 240 in high, which is 6.096 m.
    for height in (Q(6.096, "m"), Q(np.array([6.096]), "m"), [Q(609.6, "cm")], "6.096 m", 240):
        assert np.max(functions.doortargetmass(4.4, 36, height).magnitude) == pytest.approx(264.0)
    with pytest.raises(CallError, match=r"height is 240\.4 in"):
        functions.doortargetmass(4.4, 36, Q(6.106, "m"))


class OfPandas:
    """A value of pandas, made where it is called with: it takes a while to load in each process that collects the tests."""

    def __init__(self, kind: str, *arguments: object, **options: object) -> None:
        self.kind = kind
        self.arguments = arguments
        self.options = options

    def made(self) -> object:
        import pandas

        return getattr(pandas, self.kind)(*self.arguments, **self.options)


def made(value: object) -> object:
    """A value to call with."""
    return value.made() if isinstance(value, OfPandas) else value


WIDTHS = [30, 36, 40]


@pytest.mark.parametrize(
    "widths",
    [
        WIDTHS,
        tuple(WIDTHS),
        range(30, 45, 5),
        ["30 in", Q(3, "ft"), 40.0],
        np.array(WIDTHS),
        np.array(WIDTHS, dtype=object),
        Q(np.array(WIDTHS), "in"),
        Q(np.array(WIDTHS) / 12, "ft"),
        OfPandas("Series", WIDTHS, index=["a", "b", "c"]),
        OfPandas("Series", WIDTHS, dtype="Int64"),
        OfPandas("Series", WIDTHS, dtype="category"),
        OfPandas("Series", ["30 in", "3 ft", "40 in"]),
        OfPandas("Index", WIDTHS),
    ],
    ids=lambda widths: widths.kind if isinstance(widths, OfPandas) else type(widths).__name__,
)
def test_a_column_gives_an_answer_for_each(widths):
    found = functions.doortargetmass(4.4, made(widths), 80)
    expected = [4.4 * width * 80 / 144 for width in ([30, 35, 40] if isinstance(widths, range) else WIDTHS)]
    assert (found.units, found.magnitude.dtype) == (U.pound, np.float64)
    assert found.magnitude == pytest.approx(expected)


@pytest.mark.parametrize(
    ("airflow", "shape"),
    [(30, ()), ([30], (1,)), ([30, 60], (2,)), ([[30, 60]], (1, 2)), (np.full((3, 2), 30.0), (3, 2)), ([[30]], (1, 1))],
)
def test_an_answer_has_the_shape_of_what_is_given(airflow, shape):
    assert np.shape(functions.ductround(airflow, 100).magnitude) == shape


def test_bands_are_an_array_and_one_row_for_each_of_a_column():
    one = functions.leaftl([("Gypsum board 5/8 in type X", None, 2)])
    assert (one.magnitude.shape, str(one.units)) == ((16,), "decibel")
    each = functions.holetl([1.0, 2.0], "4 in")
    assert each.magnitude.shape[0] == 2


def test_cells_side_by_side_have_their_headings():
    assert cells(functions.doortargetmass([[4.4, 6.6]], 36, 80)) == [88.0, 132.0]
    schedule = functions.doortargetmass([[4.4, 6.6], [4.4, 4.4]], 36, [80, 80])
    assert list(schedule) == ["Door", "Door on the second side"]
    first, second = (column.magnitude for column in schedule.values())
    assert (list(first), second[0], np.isnan(second[1])) == ([88.0, 88.0], 132.0, True)


def test_a_table_is_a_row_for_each_with_a_blank_as_none():
    rows = functions.materials("Lead")
    assert {"Material", "Density", "Source"} <= set(rows[0])
    assert rows[0]["Density"].to("kg/m³").magnitude == pytest.approx(11340, rel=0.01)
    assert len(OfPandas("DataFrame", rows).made()) == len(rows)


@pytest.mark.parametrize(
    "leaf",
    [
        [("Gypsum board 5/8 in type X", "5/8 in", 2)],
        ("Gypsum board 5/8 in type X", Q(5 / 8, "in"), 2),
        [["Gypsum board 5/8 in type X", None, 1], ["Gypsum board 5/8 in type X"]],
        OfPandas("DataFrame", {"material": ["Gypsum board 5/8 in type X"], "thickness": [0.625], "count": [2]}),
    ],
)
def test_a_build_up_is_rows(leaf):
    # Two sheets of 2.2 lb/ft², the mass in the table of materials.
    assert functions.surfacemass(made(leaf)).magnitude == pytest.approx(4.4, rel=0.02)


def test_a_quantity_may_stand_in_a_row():
    assert functions.surfacemass([(Q(2.5, "lb/ft²"),), ("2 lb/ft²",)]).magnitude == pytest.approx(4.5)
    assert functions.surfacemass([(Q(45, "lb/ft³"), Q(19, "mm"))], units="SI").magnitude == pytest.approx(
        13.696, rel=1e-4
    )


@pytest.mark.parametrize("kind", KINDS.values(), ids=lambda kind: kind.name)
@pytest.mark.parametrize("system", SYSTEMS)
def test_each_kind_goes_out_and_comes_in_as_the_same_number(kind, system):
    if kind.unit(system):
        given = measured(1.5, kind, system)
        assert str(given)
        assert bare(given, kind, system) == 1.5
        other = SYSTEMS[1 - SYSTEMS.index(system)]
        assert bare(given.to(measured(1, kind, other).units), kind, system) == pytest.approx(1.5, rel=1e-12)


@pytest.mark.parametrize(
    ("arguments", "code", "reason"),
    [
        (("88 lb", 36, 80), "#VALUE!", '"88 lb" is a mass where a mass per area is needed'),
        ((Q(88, "lb"), 36, 80), "#VALUE!", '"88 lb" is a mass where a mass per area is needed'),
        ((4.4, Q([36, 40], "lb"), 80), "#VALUE!", '"36 lb" is a mass where a length is needed'),
        ((4.4, Q(36, "dimensionless"), 80), "#VALUE!", '"36 dimensionless" is a share where a length is needed'),
        ((4.4, None, 80), "#N/A", "width is blank"),
        ((4.4,), "#N/A", "width is blank"),
        ((4.4, [], 80), "#N/A", "width is an empty list"),
        ((4.4, -36, 80), "#NUM!", "width is -36 in"),
        ((4.4, float("nan"), 80), "#NUM!", "width is nan in"),
        ((4.4, np.array([36, np.nan]), 80), "#NUM!", "value 2 of 2: width is nan in"),
        ((4.4, OfPandas("Series", [36, None], dtype=object), 80), "#N/A", "value 2 of 2: width is blank"),
        ((4.4, np.ma.masked_equal([36, 40], 40), 80), "#N/A", "value 2 of 2: width is blank"),
        ((4.4, OfPandas("Series", [36, None], dtype="Int64"), 80), "#VALUE!", "value 2 of 2: <NA> is not understood"),
        ((4.4, True, 80), "#VALUE!", "width is TRUE"),
        ((4.4, {"width": 36}, 80), "#VALUE!", "{'width': 36} is not understood: give a number"),
        ((4.4, [[36, 40], [36]], 80), "#VALUE!", "width has rows of different lengths"),
        ((4.4, np.ones((2, 2, 2)), 80), "#VALUE!", "width has more than rows and columns"),
        ((4.4, [36, 40], [80, 84, 96]), "#VALUE!", "the ranges differ in size: width 2 × 1, height 3 × 1"),
        ((4.4, 36, 80, "triple"), "#VALUE!", 'arrangement "triple" is not known'),
    ],
)
def test_an_error_carries_its_code_and_reason(arguments, code, reason):
    with pytest.raises(CallError) as raised:
        functions.doortargetmass(*map(made, arguments))
    assert raised.value.code == code
    assert reason in raised.value.reason
    assert str(raised.value) == f"{code}: {raised.value.reason}"


def test_an_error_has_the_sentence_of_why():
    for arguments in (["88 lb", 36, 80], [4.4, None, 80], [4.4, -36, 80], [4.4, 36, 80, "triple"]):
        with pytest.raises(CallError) as raised:
            call("DOORTARGETMASS", *arguments)
        assert raised.value.reason == call("WHY", "DOORTARGETMASS", *arguments)


def test_of_many_answers_each_error_is_told_by_its_place():
    with pytest.raises(CallError) as raised:
        functions.ductround([30, -1, 60, "88 lb"], 100)
    assert raised.value.reason.startswith("value 2 of 4 and 1 more: airflow is -1 cfm")
    assert list(raised.value.problems) == [1, 3]
    assert all(isinstance(problem, ErrorValue) and problem.reason for problem in raised.value.problems.values())
    with pytest.raises(CallError, match="row 1, column 2: airflow is -1 cfm") as raised:
        functions.ductround([[30, -1]], 100)
    assert list(raised.value.problems) == [(0, 1)]


def test_what_does_not_exist_is_told():
    with pytest.raises(CallError, match="did you mean STILL_DOORMASS") as raised:
        call("DORMASS", 1)
    assert raised.value.code == "#NAME?"
    with pytest.raises(AttributeError, match="did you mean STILL_DOORMASS"):
        _ = functions.dormass
    with pytest.raises(AttributeError):
        _ = stillbook.doormass
    with pytest.raises(TypeError, match="unexpected keyword argument 'widht'"):
        call("DOORMASS", widht=36)
    with pytest.raises(TypeError, match="unexpected keyword argument 'units'"):
        call("WHY", "DOORMASS", units="SI")
    with pytest.raises(CallError, match='units "metric" is not known'):
        call("DUCTROUND", 30, 100, units="metric")


def test_the_package_alone_loads_nothing_heavy():
    asked = "import sys, stillbook; print(*sys.modules)"
    loaded = subprocess.run([sys.executable, "-c", asked], check=True, capture_output=True, text=True).stdout.split()
    assert not {"numpy", "pint", "scipy", "openpyxl", "stillbook.catalogue", "stillbook.calling"} & set(loaded)


@pytest.mark.parametrize("module", [stillbook, calling, functions], ids=lambda module: module.__name__)
def test_the_docstrings_hold_what_they_say(module):
    found = doctest.testmod(module)
    assert (found.failed, found.attempted > 1) == (0, True)


def test_the_page_on_python_holds_what_it_says():
    found = doctest.testfile(str(PAGE), module_relative=False, encoding="utf-8")
    assert found.failed == 0
    assert found.attempted > 20
