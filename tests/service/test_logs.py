"""Log lines: structured, and without anything a cell holds."""

from __future__ import annotations

import json
import logging
import sys

import pytest

from service.asking import BEARER, Application, call
from stillbook.formula import Formula
from stillbook.service.logs import JsonLines

SECRET = "client 4711"


@pytest.fixture
def lines(caplog):
    caplog.set_level(logging.INFO, "stillbook.service")
    caplog.handler.setFormatter(JsonLines())
    return lambda: [json.loads(JsonLines().format(record)) for record in caplog.records if "service" in record.name]


def test_a_request_is_a_line_of_facts(application, lines):
    application.calls(call("QUANTITY", "1 in", "in"), call("NOSUCH"))
    (line,) = lines()
    assert {key: line[key] for key in ("level", "event", "method", "route", "status", "calls", "errors")} == {
        "level": "info",
        "event": "request",
        "method": "POST",
        "route": "/calls",
        "status": 200,
        "calls": 2,
        "errors": 1,
    }
    assert set(line) == {
        *("time", "level", "event", "process", "method", "route", "status"),
        *("milliseconds", "calls", "errors"),
    }


@pytest.mark.parametrize(
    ("method", "path", "options"),
    [
        ("POST", "/calls", {"json": {"calls": [call(SECRET, SECRET, cell=SECRET)]}}),
        ("POST", "/calls", {"json": {"calls": [call("SURFACEMASS", [[SECRET]])]}}),
        ("POST", "/calls", {"json": {"calls": SECRET}}),
        ("POST", "/calls", {"content": SECRET}),
        ("POST", "/calls", {"json": {"calls": []}, "headers": {"Authorization": SECRET}}),
        ("POST", "/calls", {"json": {"calls": []}, "headers": {**BEARER, "Origin": SECRET}}),
        ("GET", f"/{SECRET}", {}),
        ("GET", f"/health?{SECRET}", {}),
        ("GET", f"/docs/{SECRET}", {}),
    ],
)
def test_no_line_holds_what_was_sent(application, lines, method, path, options):
    application.ask(method, path, **options)
    text = json.dumps(lines())
    assert lines()
    assert "4711" not in text
    assert BEARER["Authorization"].split()[1] not in text


def test_a_fault_is_logged_by_its_place_and_not_its_message(lines, monkeypatch):
    evaluate = Formula._evaluate

    def broken(formula, values):
        if formula.name == "FLOORLOAD":
            raise MemoryError(SECRET)
        return evaluate(formula, values)

    monkeypatch.setattr(Formula, "_evaluate", broken)
    Application().calls(call("FLOORLOAD", SECRET, 1, 1))
    fault = lines()[0]
    assert (fault["level"], fault["event"], fault["exception"]) == ("error", "call failed", "MemoryError")
    assert fault["at"][-1].startswith("test_logs.py:")
    assert "4711" not in json.dumps(lines())


def test_a_failure_on_the_way_is_logged_without_its_message():
    try:
        raise ValueError(SECRET)
    except ValueError:
        record = logging.LogRecord("uvicorn.error", logging.ERROR, "", 0, "Exception\n", (), sys.exc_info())
    line = json.loads(JsonLines().format(record))
    assert (line["event"], line["exception"]) == ("Exception", "ValueError")
    assert "4711" not in json.dumps(line)
