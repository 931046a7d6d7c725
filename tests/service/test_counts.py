"""What is counted, how it is told, and that the service runs."""

from __future__ import annotations

import multiprocessing
import re

import pytest

from service.asking import Application, call
from stillbook.service.counts import Counts

LINE = re.compile(
    r"# (HELP [a-z_]+ \S.*|TYPE [a-z_]+ (gauge|counter|histogram))|[a-z_]+(\{[a-z]+=\"[^\"]*\"\})? [0-9.]+"
)
"""A line of the Prometheus text exposition format 0.0.4 as its description gives it, of what is used of it here."""


def numbers(text):
    return dict(line.rsplit(" ", 1) for line in text.splitlines() if not line.startswith("#"))


def test_requests_calls_and_times_are_counted():
    counts = Counts()
    for status, seconds, calls, errors in (
        (200, 0.001, 3, 1),
        (200, 0.002, 2, 0),
        (401, 0.0001, 0, 0),
        (418, 99, 0, 0),
    ):
        counts.note(status, seconds, calls, errors)
    told = numbers(counts.text())
    assert [told[f'stillbook_requests_total{{status="{status}"}}'] for status in (200, 401, "other", 500)] == [
        "2",
        "1",
        "1",
        "0",
    ]
    assert (told["stillbook_formula_calls_total"], told["stillbook_formula_errors_total"]) == ("5", "1")
    assert [
        told[f'stillbook_request_seconds_bucket{{le="{most}"}}'] for most in ("0.001", "0.003", "30.0", "+Inf")
    ] == ["2", "3", "3", "4"]
    assert told["stillbook_request_seconds_count"] == "4"
    assert float(told["stillbook_request_seconds_sum"]) == pytest.approx(99.0031)


def test_the_text_is_of_the_format(application):
    text = Counts().text()
    assert [line for line in text.splitlines() if not LINE.fullmatch(line)] == []
    assert text.endswith("\n")


def test_the_service_counts_what_it_answers():
    application = Application()
    application.calls(call("QUANTITY", "1 ft", "in"), call("NOSUCH"))
    application.ask("GET", "/health", headers={})
    response = application.ask("GET", "/metrics")
    assert response.headers["content-type"] == "text/plain; version=0.0.4; charset=utf-8"
    told = numbers(response.text)
    assert (told["stillbook_formula_calls_total"], told["stillbook_formula_errors_total"]) == ("2", "1")
    assert told['stillbook_requests_total{status="401"}'] == "1"
    assert application.ask("GET", "/metrics", headers={}).status_code == 401


def test_liveness_is_told_to_anybody_and_holds_nothing(application):
    response = application.ask("GET", "/alive", headers={})
    assert (response.status_code, response.text) == (200, "alive\n")
    assert application.ask("POST", "/alive", headers={}).status_code == 401
    assert application.ask("GET", "/alive", headers={"Host": "evil.example"}).status_code == 403


def _note(counts):
    for _ in range(100):
        counts.note(200, 0.001, 2)


def test_workers_count_together():
    counts = Counts(shared=True)
    processes = [multiprocessing.get_context("spawn").Process(target=_note, args=(counts,)) for _ in range(2)]
    for process in processes:
        process.start()
    for process in processes:
        process.join(60)
    assert numbers(counts.text())["stillbook_formula_calls_total"] == "400"
