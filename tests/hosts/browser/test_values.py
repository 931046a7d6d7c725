"""What a person types and reads, and how a formula stands in a cell."""

from __future__ import annotations

from typing import Any

import pytest

from hosts.browser.browsing import Desk

pytestmark = pytest.mark.host


def ask(desk: Desk, function: str, *arguments: Any) -> Any:
    """Call a function of the panel's module of values."""
    module = f"{desk.service.service.address}/panel/parts/values.js"
    return desk.page.evaluate("async ([m, f, a]) => (await import(m))[f](...a)", [module, function, list(arguments)])


CELLS = [
    ("36", 36),
    (" 36.5 ", 36.5),
    ("-.5", -0.5),
    ("1e3", 1000),
    ("36 in", "36 in"),
    ("2'-6\"", "2'-6\""),
    ("10%", "10%"),
    ("1,000", "1,000"),
    ("36,5", "36,5"),
    ("Lead sheet 1/32 in", "Lead sheet 1/32 in"),
    ("NaN", "NaN"),
    ("Infinity", "Infinity"),
    ("0x10", "0x10"),
    ("", None),
    ("   ", None),
]

RANGES = [
    ("30, 32, 34", [[30, 32, 34]]),
    ("30\n32\n34", [[30], [32], [34]]),
    ("Plywood 3/4 in, , 2\nLead sheet 1/32 in", [["Plywood 3/4 in", None, 2], ["Lead sheet 1/32 in", None, None]]),
    ("Plywood 3/4 in\t18 mm\t2", [["Plywood 3/4 in", "18 mm", 2]]),
    ("Board, special; 2 lb/ft²; 1", [["Board, special", "2 lb/ft²", 1]]),
    ("\n\n4.4\n", 4.4),
    ("STC", "STC"),
    ("", None),
    ("\n \n", None),
]

TYPED = [
    (None, ""),
    (60, "60"),
    ("80 in", "80 in"),
    ([[4.4, 6]], "4.4, 6"),
    ([["Plywood 3/4 in", None, 2], ["Lead", None, None]], "Plywood 3/4 in, , 2\nLead, , "),
    ([["Board, special", 1]], "Board, special; 1"),
]

SHOWN = [
    (0, "0"),
    (88, "88"),
    (96.87151421528541, "96.872"),
    (-0.03125, "-0.03125"),
    (12345.678, "12,345.68"),
    (1234567.5, "1,234,567.5"),
    (0.00001234567, "0.000012346"),
    (1e15, "1000000000000000"),
    (True, "TRUE"),
    ("words", "words"),
    ("", ""),
]

FORMULAS = [
    (["STILL_", "HINGES", [90, 80]], "=STILL_HINGES(90,80)"),
    (["STILL.", "HINGES", [90, "80 in", None, None]], '=STILL.HINGES(90,"80 in")'),
    (["STILL_", "X", [None, None, 3]], '=STILL_X("","",3)'),
    (["STILL_", "X", ["2'-6\""]], '=STILL_X("2\'-6""")'),
    (["STILL_", "X", [[[1, None], ["a", True]]]], '=STILL_X({1,"";"a",TRUE})'),
    (["STILL_", "X", [{"cells": "Doors!B3:B9"}, -0.5]], "=STILL_X(Doors!B3:B9,-0.5)"),
    (["STILL_", "X", []], "=STILL_X()"),
]

REFERENCES = [
    ("=Doors!B3:B9", "Doors!B3:B9"),
    (" = 'Door list'!B3 ", "'Door list'!B3"),
    ("36", None),
    ("=", None),
    ("", None),
]


VALUES: dict[str, list[Any]] = {
    "parseCell": CELLS,
    "parseRows": RANGES,
    "typed": TYPED,
    "shown": SHOWN,
    "reference": REFERENCES,
}


def test_a_value(desk: Desk) -> None:
    for function, rows in VALUES.items():
        assert [(given, ask(desk, function, given)) for given, _ in rows] == rows, function


def test_a_formula_as_it_stands_in_a_cell(desk: Desk) -> None:
    assert [(given, ask(desk, "formulaText", *given)) for given, _ in FORMULAS] == FORMULAS


def test_a_range_that_is_shown_is_read_back(desk: Desk) -> None:
    for value, _ in TYPED:
        assert ask(desk, "parseRows", ask(desk, "typed", value)) == value


TOKENS = [
    ("http://127.0.0.1:8347/panel/#token=abcdefghijklmnopqrstuvwxyz-_0123456789ABCDE", True),
    ("  abcdefghijklmnopqrstuvwxyz-_0123456789ABCDE ", True),
    ("http://127.0.0.1:8347/panel/", False),
    ("token", False),
    ("", False),
]


def test_a_token_is_taken_from_a_link(desk: Desk) -> None:
    module = f"{desk.service.service.address}/panel/parts/service.js"
    for text, taken in TOKENS:
        kept = desk.page.evaluate(
            "async ([m, t]) => { const s = await import(m); s.forgetToken(); return [s.keepToken(t), s.token()] }",
            [module, text],
        )
        assert kept == [taken, "abcdefghijklmnopqrstuvwxyz-_0123456789ABCDE" if taken else ""], text
