"""Formula calls over HTTP: values, order, an error for each call that fails, and the bounds."""

from __future__ import annotations

import asyncio
import json
import threading
import time

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from service.asking import Application, call
from stillbook import catalogue
from stillbook.cells import Code, ErrorValue
from stillbook.formula import Formula
from stillbook.service import calls
from stillbook.service.limits import Limits

COLUMN = [[12], [24], [36]]


@pytest.mark.parametrize(
    ("asked", "expected"),
    [
        (call("QUANTITY", "36 in", "ft"), 3.0),
        (call("STILL_QUANTITY", "36 in", "ft"), 3.0),
        (call("still.quantity", "36 in", "ft"), 3.0),
        (call("SURFACEMASS", "2.2 lb/ft²"), 2.2),
        (call("SURFACEMASS", [["2 lb/ft²", None, 2], ["1 lb/ft²", None, ""]]), 5.0),
        (call("SURFACEMASS", 10.0, "SI"), 10.0),
        (call("SOURCE", "QUANTITY"), catalogue.find("QUANTITY").source),
        (
            call("WHY", "SURFACEMASS", None),
            "leaf is blank: give rows of material, thickness (in), count, mass (lb/ft²)",
        ),
        (call("FLOORLOAD", COLUMN, 10, 10), catalogue.call("FLOORLOAD", COLUMN, 10, 10)),
    ],
)
def test_an_answer(application, asked, expected):
    assert application.calls(asked) == [pytest.approx(expected) if isinstance(expected, float) else expected]


@pytest.mark.parametrize(
    ("asked", "code", "reason"),
    [
        (call("NOSUCH", 1), "#NAME?", "there is no formula STILL_NOSUCH"),
        (call("QUANTTY", 1), "#NAME?", "did you mean STILL_QUANTITY?"),
        (call("", 1), "#NAME?", "there is no formula"),
        (call("X" * 5000, 1), "#NAME?", "5000 characters"),
        (call("SURFACEMASS"), "#N/A", "leaf is blank"),
        (call("SURFACEMASS", "88 lb"), "#VALUE!", "is a mass where a mass per area is needed"),
        (call("SURFACEMASS", -1), "#NUM!", "more than 0"),
        (call("SURFACEMASS", True), "#VALUE!", "TRUE"),
        (call("SURFACEMASS", {"error": "#DIV/0!"}), "#DIV/0!", ""),
        (call("SURFACEMASS", {"error": "#REF!", "reason": "the row is gone"}), "#REF!", "the row is gone"),
        (call("SURFACEMASS", [[{"error": "#N/A"}]]), "#N/A", ""),
        (call("SURFACEMASS", [["2 lb/ft²"], [{"error": "#NUM!", "reason": "too thin"}]]), "#NUM!", "too thin"),
        (call("SURFACEMASS", 1, "US", 3), "#VALUE!", "takes at most 2 arguments"),
        (call("SURFACEMASS", {"error": "#WRONG"}), "#VALUE!", "argument 1 holds what no cell can"),
        (call("SURFACEMASS", {"value": 3}), "#VALUE!", "argument 1 holds what no cell can"),
        (call("SURFACEMASS", {}), "#VALUE!", "argument 1 holds what no cell can"),
        (call("SURFACEMASS", {"error": ["#N/A"]}), "#VALUE!", "argument 1 holds what no cell can"),
        (call("SURFACEMASS", [1, 2]), "#VALUE!", "give a list of rows"),
        (call("SURFACEMASS", []), "#VALUE!", "give a list of rows"),
        (call("SURFACEMASS", [[]]), "#VALUE!", "give a list of rows"),
        (call("SURFACEMASS", [[1], [1, 2]]), "#VALUE!", "rows of different lengths"),
        (call("SURFACEMASS", [[[1]]]), "#VALUE!", "argument 1 holds what no cell can"),
        (call("SURFACEMASS", "x" * 32_768), "#NUM!", "a cell has at most 32767"),
        (call("SURFACEMASS", [["x" * 32_768]]), "#NUM!", "a cell has at most 32767"),
        (call("SURFACEMASS", [[1]] * 100_001), "#NUM!", "give ranges of at most 100000 cells"),
        (call("FLOORLOAD", [[1]] * 40_000, [[1] * 40_000], 10), "#NUM!", "40000 rows and 40000 columns"),
        (call("WHY", "FLOORLOAD", [[1]] * 40_000, [[1] * 40_000], 10), "#NUM!", "40000 rows and 40000 columns"),
        (call("WHY", *["WHY"] * 200), "#VALUE!", "give the name of the one that failed"),
        (call("WHY", "WHY", *[[["WHY"]]] * 200), "#VALUE!", "give the name of the one that failed"),
        (call("SURFACEMASS", 10**400), "#VALUE!", ""),
        (call("FLOORLOAD", [[10**400], [1]], 10, 10), "#VALUE!", ""),
    ],
)
def test_an_error(application, asked, code, reason):
    (answer,) = application.calls(asked)
    assert answer["error"] == code
    assert reason in answer["reason"]
    assert set(answer) == {"error", "reason"}


@pytest.mark.parametrize("number", ["NaN", "Infinity", "-Infinity", "1e999"])
def test_a_number_that_is_none_is_an_error(application, number):
    body = f'{{"calls": [{{"name": "SURFACEMASS", "arguments": [{number}]}}]}}'
    response = application.ask("POST", "/calls", content=body)
    assert response.json()["answers"][0]["error"] == "#NUM!"


def test_answers_come_in_the_order_of_the_calls_and_an_error_stays_alone(application):
    asked = [call("NOSUCH") if n % 7 == 3 else call("QUANTITY", f"{n} in", "in") for n in range(500)]
    answers = application.calls(*asked)
    assert [a["error"] if isinstance(a, dict) else round(a) for a in answers] == [
        "#NAME?" if n % 7 == 3 else n for n in range(500)
    ]


def test_an_error_in_a_range_stands_in_its_cell(application):
    (answer,) = application.calls(call("FLOORLOAD", [[1000], [None], [{"error": "#REF!"}], ["8 ft"]], 10, 10))
    assert answer[0] == [pytest.approx(10)]
    assert [row[0]["error"] for row in answer[1:]] == ["#N/A", "#REF!", "#VALUE!"]


def test_a_few_numbers_and_many_give_the_same(application):
    """The first is calculated at once, the second in a thread."""
    few = application.calls(call("FLOORLOAD", 1000, 10, 10))
    many = application.calls(*[call("FLOORLOAD", 1000, 10, 10)] * 200)
    assert many == few * 200


@pytest.mark.parametrize(
    ("body", "status", "sentence"),
    [
        ("", 422, "the body: Invalid JSON"),
        ("{", 422, "the body: Invalid JSON"),
        ("[]", 422, "the body: Input should be an object"),
        ("{}", 422, "calls: Field required"),
        ('{"calls": {}}', 422, "calls: Input should be a valid array"),
        ('{"calls": [{"arguments": []}]}', 422, "calls, 0, name: Field required"),
        ('{"calls": [{"name": "X"}]}', 422, "calls, 0, arguments: Field required"),
        ('{"calls": [{"name": 3, "arguments": []}]}', 422, "calls, 0, name: Input should be a valid string"),
        ('{"calls": [{"name": "X", "arguments": 3}]}', 422, "calls, 0, arguments: Input should be a valid array"),
        ('{"calls": [], "more": 1}', 422, "more: Extra inputs"),
        ('{"calls": ' + "[" * 100_000, 422, "the body: Invalid JSON: recursion limit"),
        ('{"calls": [{"name": "X", "arguments": [' + "[" * 100_000, 422, "the body: Invalid JSON: recursion limit"),
        ('{"calls": [{"name": "X", "arguments": [' + "9" * 5000 + "]}]}", 422, "the body: Invalid JSON: number out"),
        (b'{"calls": "\xff"}', 422, "the body: Invalid JSON"),
        (json.dumps({"calls": [call("X")] * 10_001}), 413, "send at most 10000 at a time"),
        (b" " * (8 * 2**20 + 1), 413, "larger than 8388608 bytes"),
    ],
)
def test_a_request_that_is_wrong_as_a_whole(application, body, status, sentence):
    response = application.ask("POST", "/calls", content=body)
    assert (response.status_code, list(response.json())) == (status, ["detail"])
    assert sentence in response.json()["detail"]


def test_no_calls(application):
    assert application.calls() == []


def test_what_is_not_answered_in_time_is_an_error(monkeypatch):
    release = threading.Event()

    def slow(name, arguments, limits):
        if name == "SLOW":
            release.wait(20)
        return 1.0

    monkeypatch.setattr(calls, "answer", slow)
    application = Application(Limits(seconds=0.3))
    try:
        answers = application.calls(call("QUICK"), call("SLOW"), call("QUICK"))
    finally:
        release.set()
    assert answers[0] == 1.0
    assert [(a["error"], a["reason"].partition(":")[0]) for a in answers[1:]] == [("#N/A", "not calculated")] * 2
    assert [note["formula"] for note in application.recent.newest_first()] == ["STILL_QUICK", "STILL_SLOW"]


def test_a_thread_that_is_late_keeps_its_place_and_the_next_request_is_told_so(monkeypatch):
    release = threading.Event()

    def slow(name, arguments, limits):
        release.wait(20)
        return 1.0

    monkeypatch.setattr(calls, "answer", slow)
    application = Application(Limits(seconds=0.3, threads=1))

    async def twice():
        first = await application.together([("POST", "/calls", {"json": {"calls": [call("SLOW")]}})])
        second = await application.together([("POST", "/calls", {"json": {"calls": [call("SLOW")]}})])
        release.set()
        while (third := await application.together([("POST", "/calls", {"json": {"calls": [call("SLOW")]}})]))[
            0
        ].status_code == 503:
            await asyncio.sleep(0.05)
        return first[0], second[0], third[0]

    first, second, third = asyncio.run(twice())
    assert first.json()["answers"][0]["error"] == "#N/A"
    assert (second.status_code, second.headers["retry-after"]) == (503, "1")
    assert third.json() == {"answers": [1.0]}


def test_answers_that_grow_too_large_are_cut_short():
    application = Application(Limits(answer_bytes=1000))
    answers = application.calls(*[call("FLOORLOAD", [[1000]] * 100, 10, 10)] * 50)
    assert isinstance(answers[0], list)
    assert answers[-1]["error"] == "#N/A"
    assert "too large" in answers[-1]["reason"]


def test_other_requests_are_answered_while_one_is_calculated(monkeypatch):
    asked = threading.Event()

    def slow(name, arguments, limits):
        return 1.0 if asked.wait(20) else ErrorValue(Code.VALUE)

    monkeypatch.setattr(calls, "answer", slow)
    application = Application()

    async def both():
        batch = asyncio.create_task(
            application.together([("POST", "/calls", {"json": {"calls": [call("SLOW")] * 100}})])
        )
        health = await application.together([("GET", "/health", {})])
        asked.set()
        return health[0], (await batch)[0]

    health, batch = asyncio.run(both())
    assert health.status_code == 200
    assert batch.json()["answers"] == [1.0] * 100


def test_a_fault_in_a_formula_is_the_error_of_its_call_alone(application, monkeypatch):
    evaluate = Formula._evaluate

    def broken(formula, values):
        if formula.name == "FLOORLOAD":
            raise MemoryError("secret 4711")
        return evaluate(formula, values)

    monkeypatch.setattr(Formula, "_evaluate", broken)
    first, second = application.calls(call("FLOORLOAD", 1, 1, 1), call("NOSUCH"))
    assert (first["error"], second["error"]) == ("#VALUE!", "#NAME?")
    assert "a fault in Stillbook" in first["reason"]
    assert "4711" not in first["reason"]


cells = st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20)
junk = st.recursive(cells, lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=6), inner))


@settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    name=st.sampled_from(sorted(catalogue.formulas())) | st.text(max_size=12),
    arguments=st.lists(junk | st.lists(st.lists(cells, min_size=1, max_size=3), max_size=4), max_size=5),
)
def test_whatever_is_asked_the_answer_is_a_cell_value_or_rows(name, arguments):
    text = calls.wire.encode(calls.answer(name, json.loads(json.dumps(arguments)), Limits()))
    answer = json.loads(text, parse_constant=pytest.fail)
    rows = answer if isinstance(answer, list) else [[answer]]
    assert len({len(row) for row in rows}) <= 1
    for cell in (cell for row in rows for cell in row):
        if isinstance(cell, dict):
            assert Code(cell["error"])
            assert set(cell) == {"error", "reason"}
        else:
            assert isinstance(cell, float | int | str | bool | None)


def test_deadline_is_checked_between_calls(monkeypatch):
    clock = iter(range(100))
    monkeypatch.setattr(time, "monotonic", lambda: float(next(clock)))
    batch = calls.Batch(
        [calls.Call(name="QUANTITY", arguments=["1 in", "in"], cell="")] * 5, Limits(), Application().recent, 2.5
    )
    batch.work()
    assert [isinstance(answer, float) for answer in json.loads(batch.json())["answers"]] == [True] * 3 + [False] * 2
