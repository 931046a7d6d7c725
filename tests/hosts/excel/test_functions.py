"""Values between Excel and the formulas, and xlwings' own call path with COM stubbed."""

import datetime
import re
from decimal import Decimal

import pytest

from hosts.excel.windows_stubs import Range, windows
from hosts.small import CATALOGUE
from stillbook.catalogue import formulas
from stillbook.cells import Code, ErrorValue
from stillbook.hosts.excel import wizard
from stillbook.workbook.calculation.engine import evaluate

MISSING = -2147352572
"""DISP_E_PARAMNOTFOUND: what COM hands over for an argument left out."""

NOT_AVAILABLE, VALUE, NUMBER = -2146826246, -2146826273, -2146826252


@pytest.fixture(scope="module")
def functions():
    """The functions that Excel calls. They load xlwings, which each process that collects the tests would wait for."""
    from stillbook.hosts.excel import functions

    return functions


@pytest.fixture(scope="module")
def office(functions):
    import numpy  # noqa: F401  # imported before Windows is pretended, as pandas and xlwings are
    import pandas  # noqa: F401

    with windows() as ready:
        yield ready


@pytest.fixture
def call(office):
    """Call a formula as the add-in's VBA does."""
    return lambda name, *given: office.server.CallUDF("stillbook.hosts.excel.functions", name, given)


@pytest.mark.parametrize(
    ("given", "cells"),
    [
        (1.5, 1.5),
        ("36 in", "36 in"),
        (True, True),
        (None, None),
        ("", ""),
        ("#N/A", "#N/A"),  # text that looks like an error stays text
        (-2146826246, ErrorValue(Code.NOT_AVAILABLE)),
        (-2146826281, ErrorValue(Code.DIVISION)),
        (-2146826273, ErrorValue(Code.VALUE)),
        (-2146826265, ErrorValue(Code.REFERENCE)),
        (-2146826259, ErrorValue(Code.NAME)),
        (-2146826252, ErrorValue(Code.NUMBER)),
        (-2146826288, ErrorValue(Code.NULL)),
        (-2146826243, ErrorValue(Code.VALUE)),  # #SPILL!, which formulas do not know
        (MISSING, None),
        (7, 7.0),
        (Decimal("12.50"), 12.5),
        (datetime.datetime(1900, 3, 1), 61.0),
        (datetime.datetime(2024, 1, 1, 12, tzinfo=datetime.UTC), 45292.5),
        (((1.0,), (2.0,)), [[1.0], [2.0]]),
        (((1.0, 2.0),), [[1.0, 2.0]]),
        ((1.0, 2.0), [[1.0, 2.0]]),  # a row of constants, {1,2}
        (((4.4,),), 4.4),
        (((None,),), None),
        (((1.0, None), ("x", -2146826246)), [[1.0, None], ["x", ErrorValue(Code.NOT_AVAILABLE)]]),
    ],
)
def test_cells_are_read(functions, given, cells):
    assert functions.read(given) == cells
    assert type(functions.read(given)) is type(cells)


@pytest.mark.parametrize(
    ("answer", "rows"),
    [
        (2.2, [[2.2]]),
        ("pair", [["pair"]]),
        (True, [[True]]),
        (3, [[3.0]]),
        (ErrorValue(Code.NOT_AVAILABLE, "width is blank"), [[-2146826246]]),
        (ErrorValue(Code.DIVISION), [[-2146826281]]),
        ([[1.0, ErrorValue(Code.NUMBER)], ["", None]], [[1.0, -2146826252], ["", ""]]),
    ],
)
def test_answers_are_written(functions, answer, rows):
    written = functions.write(answer)
    assert written == rows
    assert [list(map(type, row)) for row in written] == [list(map(type, row)) for row in rows]


def test_every_error_value_has_a_code(functions):
    assert set(functions.ERROR_CODES) == set(Code)


def test_module_imports_without_windows_and_answers(functions):
    assert functions.STILL_SURFACEMASS("2.2 lb/ft²") == [[2.2]]
    assert not hasattr(functions.STILL_SURFACEMASS, "__xlfunc__")


@pytest.mark.parametrize("entry", formulas().values(), ids=lambda entry: entry.name)
def test_every_formula_is_registered(office, entry):
    function = getattr(office.functions, entry.workbook_name)
    registered = function.__xlfunc__
    shown = wizard.arguments(entry, wizard.widest(formulas()))
    assert function.__name__ == registered["name"] == entry.workbook_name
    assert registered["category"] == f"Stillbook: {entry.family}"
    assert registered["ret"]["doc"].startswith(entry.summary)
    assert [each["name"] for each in registered["args"]] == [each.name for each in shown]
    assert all(each["doc"] == help.help for each, help in zip(registered["args"], shown, strict=True))
    assert all(each["optional"] is None and not each["vararg"] for each in registered["args"])
    assert len(registered["ret"]["doc"]) <= 255
    assert all(0 < len(each["doc"]) <= 255 for each in registered["args"])


def agree(found, expected):
    """Compare answers, numbers to 1e-9; an error, which is a whole number, is never the same as a number."""
    assert type(found) is type(expected)
    if isinstance(expected, list):
        assert len(found) == len(expected)
        for each, other in zip(found, expected, strict=True):
            agree(each, other)
    else:
        assert found == (pytest.approx(expected, rel=1e-9) if isinstance(expected, float) else expected)


def typed(text):
    """An argument as typed in a cell, in the form in which VBA hands it over."""
    if not text:
        return MISSING
    if text.startswith('"'):
        return text[1:-1].replace('""', '"')
    if text.startswith("{"):
        rows = tuple(tuple(typed(cell) for cell in split(row, ",")) for row in split(text[1:-1], ";"))
        return rows[0] if len(rows) == 1 else rows
    if text.startswith("STILL_"):
        rows = tuple(map(tuple, evaluate(f"={text}")))
        return rows[0] if len(rows) == 1 else rows
    return float(text.rstrip("%")) / (100 if text.endswith("%") else 1)


def split(text, separator):
    """Text split where the separator is neither quoted nor in braces or brackets."""
    parts = re.findall(rf'((?:"(?:[^"]|"")*"|\{{[^}}]*\}}|\([^)]*\)|[^{separator}])*)(?:{separator}|$)', text)
    return parts[:-1] if len(parts) > 1 and not text.endswith(separator) else parts


@pytest.mark.parametrize("entry", formulas().values(), ids=lambda entry: entry.name)
def test_every_example_has_the_same_answer_through_xlwings(functions, call, entry):
    name, _, inside = entry.example.call.partition("(")
    given = [typed(text) for text in split(inside[:-1], ",")] if inside != ")" else []
    rows = functions.write(entry(*map(functions.read, given)))
    agree(call(name, *given), (rows[0][0] if len(rows[0]) == 1 else rows[0]) if len(rows) == 1 else rows)


@pytest.mark.parametrize(
    ("name", "given", "answer"),
    [
        # units and text with a unit
        ("STILL_AIRCHANGES", (15.0, 168.0, "US"), 15 * 60 / 168),
        ("STILL_AIRCHANGES", (10.0, 5.0, "SI"), 10 * 3.6 / 5),
        ("STILL_AIRCHANGES", ("10 L/s", "5 m³"), 10 * 3.6 / 5),
        # one cell, blank cell, left out, error in a cell
        ("STILL_AIRCHANGES", (Range(28.0), Range(168.0)), 10.0),
        ("STILL_AIRCHANGES", (Range(None), 168.0), NOT_AVAILABLE),
        ("STILL_AIRCHANGES", (MISSING, 168.0), NOT_AVAILABLE),
        ("STILL_AIRCHANGES", (28.0,), NOT_AVAILABLE),
        ("STILL_AIRCHANGES", (-2146826281, 168.0), -2146826281),
        ("STILL_AIRCHANGES", (Range(-2146826265), 168.0), -2146826265),
        ("STILL_AIRCHANGES", ("28 lb", 168.0), VALUE),
        ("STILL_AIRCHANGES", (True, 168.0), VALUE),
        ("STILL_AIRCHANGES", (28.0, -1.0), NUMBER),
        # currency and date cells are numbers
        ("STILL_AIRCHANGES", (Range(Decimal(28)), Range(datetime.datetime(1900, 6, 16))), 10.0),
        # a column stays a column, a row a row, and an error stands only where it belongs
        ("STILL_AIRCHANGES", (Range(((28.0,), (56.0,))), 168.0), [[10.0], [20.0]]),
        ("STILL_AIRCHANGES", (Range(((28.0, 56.0),)), 168.0), [10.0, 20.0]),
        ("STILL_AIRCHANGES", (((28.0,), (None,), (-2146826246,)), 168.0), [[10.0], [NOT_AVAILABLE], [NOT_AVAILABLE]]),
        ("STILL_AIRCHANGES", ((28.0, 56.0), ((168.0,), (336.0,))), [[10.0, 20.0], [5.0, 10.0]]),
        # a build-up with blanks
        ("STILL_SURFACEMASS", (Range((("2.2 psf", None, 2.0), (None, None, None))),), 4.4),
        # the reason for an error, with the same arguments
        (
            "STILL_WHY",
            ("AIRCHANGES", Range(None), 168.0),
            'airflow is blank: give an airflow in cfm, or text with a unit such as "1 L/s"',
        ),
        (
            "STILL_WHY",
            ("AIRCHANGES", 28.0, 168.0, MISSING, MISSING),
            "STILL_AIRCHANGES gives no error with these arguments",
        ),
    ],
)
def test_calls_through_xlwings(call, name, given, answer):
    agree(call(name, *given), answer)


@pytest.mark.parametrize(
    ("name", "given", "rows"),
    [
        ("STILL_WIDER", (10.0,), [[11.0]]),
        ("STILL_WIDER", (10.0, None, "twice"), [[12.0]]),
        ("STILL_WIDER", (10.0, "50.8 mm", "twice"), [[14.0]]),
        ("STILL_CORNERS", (4.0, "SI"), [["Corner", "Place (m)"], ["near", 0.0], ["far", 4.0]]),
        ("STILL_CORNERS", (400.0, "SI"), [[NUMBER]]),
        ("STILL_LOUDEST", ((30.0, 41.0, 28.0),), [[41.0]]),
        ("STILL_LOUDEST", (((30.0,), (41.0,)),), [[41.0]]),
        ("STILL_LOUDEST", (((30.0, 31.0), (41.0, 32.0)),), [[VALUE]]),
        ("STILL_TOLD", ("x", None, 2.0, None, None), [["x 2 [None, 2.0]"]]),
    ],
)
def test_each_shape_of_formula(functions, name, given, rows):
    agree(functions.udfs(CATALOGUE)[name](*given), rows)
