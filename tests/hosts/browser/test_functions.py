"""The add-in's functions: Excel stood in for, the service real."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterator
from typing import Any

import pytest

from hosts.browser.browsing import Sheet
from service.asking import Running, started, wait_until
from stillbook.catalogue import call, formulas
from stillbook.cells import ErrorValue
from stillbook.service.listing import example_arguments

pytestmark = pytest.mark.host


@pytest.fixture(scope="module")
def called(browser: Any, service: Running) -> Iterator[Sheet]:
    with Sheet.at(browser, service) as sheet:
        yield sheet


@pytest.fixture
def calling(called: Sheet) -> Iterator[Sheet]:
    """One sheet for the tests that only call formulas in it, as if it had asked for nothing yet."""
    called.requests.clear()
    yield called
    called.page.context.unroute("**/calls")


def shown(answer: Any) -> Any:
    """A formula's answer as Excel shows it: rows, or an error."""
    if isinstance(answer, ErrorValue):
        return error(str(answer.code), answer.reason)
    return [[shown(cell) for cell in row] for row in answer] if isinstance(answer, list) else answer


def error(code: str, reason: str = "") -> dict[str, str]:
    """An error in a cell. Excel takes a sentence with #VALUE! and #N/A alone."""
    return {"code": code, "message": reason if code in ("#VALUE!", "#N/A") else ""}


def test_the_functions_are_those_of_the_metadata(calling: Sheet) -> None:
    listed = calling.page.request.get(f"{calling.service.service.address}/panel/functions.json").json()
    assert (
        calling.page.evaluate("excel.registered()") == [each["id"] for each in listed["functions"]] == list(formulas())
    )


EXAMPLES = {name: example_arguments(entry.example.call) for name, entry in formulas().items()}


def test_every_example_gives_what_it_gives_elsewhere(calling: Sheet) -> None:
    asked = {name: values for name, values in EXAMPLES.items() if values is not None}
    assert len(asked) > 0.9 * len(EXAMPLES)
    answers = calling.calls(list(asked.items()))
    for (name, values), answer in zip(asked.items(), answers, strict=True):
        expected = call(name, *values)
        rows = expected if isinstance(expected, list) else [[expected]]
        assert alike(answer, rows), f"{name}{tuple(values)}: {answer} and not {rows}"


def alike(got: Any, expected: Any) -> bool:
    """Whether cells are the same: numbers to 1e-9, all else exactly."""
    if isinstance(expected, list):
        return isinstance(got, list) and len(got) == len(expected) and all(map(alike, got, expected))
    if isinstance(expected, float | int) and not isinstance(expected, bool):
        return isinstance(got, float | int) and math.isclose(got, expected, rel_tol=1e-9)
    return bool(got == shown(expected))


def test_many_calls_take_few_requests_and_keep_their_order(calling: Sheet) -> None:
    answers = calling.calls([("OCCUPANTAIRFLOW", [people, 10]) for people in range(1, 301)])
    assert answers == [[[10.0 * people]] for people in range(1, 301)]
    assert calling.posts() == 1


def test_a_whole_workbook_takes_a_request_for_each_thousand_calls(calling: Sheet) -> None:
    answers = calling.calls([("PACKS", [quantity, 1]) for quantity in range(1, 5001)])
    assert answers == [[[float(quantity)]] for quantity in range(1, 5001)]
    assert calling.posts() == 5


def test_large_ranges_are_parted_by_their_size(calling: Sheet) -> None:
    column = [[quantity + 0.123456789] for quantity in range(5000)]
    answers = calling.calls([("PACKS", [column, 1])] * 15)
    assert [len(answer) for answer in answers] == [5000] * 15
    assert answers[14][4999] == [5000.0]
    assert 2 <= calling.posts() <= 3


WIDTH = 'width is blank: give a length in in, or text with a unit such as "1 mm"'
ERRORS = [
    ("DOORMASS", [60, None, None, 80], "#N/A", WIDTH),
    ("DOORMASS", [60, "", "", 80], "#N/A", WIDTH),
    ("DOORMASS", [60], "#N/A", WIDTH),
    ("SURFACEMASS", ["88 lb"], "#VALUE!", 'leaf: "88 lb" is a mass where a mass per area is needed (lb/ft² or kg/m²)'),
    ("OCCUPANTAIRFLOW", [-3], "#NUM!", ""),
    ("OCCUPANTAIRFLOW", [{"error": "#DIV/0!"}], "#DIV/0!", ""),
    ("OCCUPANTAIRFLOW", [{"error": "#NULL!"}], "#NULL!", ""),
    ("OCCUPANTAIRFLOW", [{"error": "#NUM!"}], "#NUM!", ""),
    ("OCCUPANTAIRFLOW", [{"error": "#REF!"}], "#VALUE!", "#REF! people comes from a cell that holds #REF!"),
    ("OCCUPANTAIRFLOW", [{"error": "#NAME?"}], "#VALUE!", "#NAME? people comes from a cell that holds #NAME?"),
    ("OCCUPANTAIRFLOW", [{"error": "#SPILL!"}], "#VALUE!", "people comes from a cell that holds #VALUE!"),
    ("OCCUPANTAIRFLOW", [True], "#VALUE!", "people is TRUE: give a count"),
]


@pytest.mark.parametrize(("name", "arguments", "code", "reason"), ERRORS)
def test_an_error_is_a_true_error_with_its_reason(
    calling: Sheet, name: str, arguments: Any, code: str, reason: str
) -> None:
    assert calling.call(name, *arguments) == {"code": code, "message": reason}


ANSWERS = [
    ("OCCUPANTAIRFLOW", [[[2], [""], [4]], 15], [[30.0], error("#N/A", "people is blank: give a count"), [60.0]]),
    ("OCCUPANTAIRFLOW", [[[2, {"error": "#DIV/0!"}]], 15], [[30.0, error("#DIV/0!")]]),
    ("QUANTITY", ["2'-6\"", "in"], [[30.0]]),
    ("WHY", ["DOORMASS", 60, "", "", "80 in"], [[WIDTH]]),
    ("WHY", ["SURFACEMASS", [["Gypsum bord"], [""]]], None),
    ("WHY", ["DOORMASS"], [['slab mass is blank: give a mass in lb, or text with a unit such as "1 kg"']]),
    ("SURFACEMASS", [[["Gypsum board 5/8 in type X", "", 2], ["", "", ""]]], [[4.4]]),
]


@pytest.mark.parametrize(("name", "arguments", "expected"), ANSWERS)
def test_arguments_in_the_forms_of_excel(calling: Sheet, name: str, arguments: Any, expected: Any) -> None:
    answer = calling.call(name, *arguments)
    if expected is None:
        assert "did you mean" in answer[0][0]
        return
    flat = [cell for row in expected for cell in (row if isinstance(row, list) else [row])]
    assert [cell for row in answer for cell in row] == flat


def test_a_blank_that_excel_hands_over_as_zero_is_looked_up(sheet: Sheet) -> None:
    """Some versions of Excel do so in ranges, office-js issues 1951, 4702 and 5262 in its public tracker."""
    sheet.page.evaluate(
        "excel.fill({'Shell!B2': 'Gypsum board 5/8 in type X', 'Shell!D2': 2, 'Shell!B3': '', 'Shell!F1': 0})"
    )
    leaf = [["Gypsum board 5/8 in type X", 0, 2], [0, 0, 0]]
    assert sheet.call("SURFACEMASS", leaf, given=["Shell!B2:D3", None]) == [[4.4]]
    assert sheet.call("SURFACEMASS", leaf)["code"] == "#NUM!"
    # A 0 that stands in the cell stays 0.
    assert sheet.call("OCCUPANTAIRFLOW", 2, 0, given=[None, "Shell!F1"])["code"] == "#NUM!"
    assert sheet.call("OCCUPANTAIRFLOW", 2, 0, given=[None, "Shell!G1"]) == [[30.0]]
    assert sheet.call("OCCUPANTAIRFLOW", 0, given=["'No such'!A1", None])["code"] == "#NUM!"


def test_blanks_of_many_cells_are_looked_up_together(calling: Sheet) -> None:
    before = calling.page.evaluate("excel.book.reads")
    answers = calling.calls([("OCCUPANTAIRFLOW", [people, 0]) for people in range(1, 101)], given=[None, "Sheet1!G1"])
    assert answers == [[[15.0 * people]] for people in range(1, 101)]
    assert (calling.page.evaluate("excel.book.reads") - before, calling.posts()) == (1, 1)


def test_an_error_is_listed_with_its_cell(calling: Sheet) -> None:
    calling.call("OCCUPANTAIRFLOW", -7, cell="Air!C9")
    with calling.service.client() as client:
        newest = client.get("/recent-errors").json()["errors"][0]
    assert {key: newest[key] for key in ("formula", "code", "reason", "cell")} == {
        "formula": "STILL_OCCUPANTAIRFLOW",
        "code": "#NUM!",
        "reason": "people is -7: give more than 0 and at most 1e+04",
        "cell": "Air!C9",
    }


def test_without_the_token_a_cell_says_where_to_put_it(sheet: Sheet) -> None:
    sheet.page.evaluate("localStorage.clear()")
    sheet.page.reload()
    sheet.page.get_by_role("heading", name="Connect this page").wait_for()
    told = error("#N/A", "the token of the service is missing: open the Stillbook panel and paste the link there")
    assert sheet.call("OCCUPANTAIRFLOW", 2) == told
    sheet.connect()
    assert sheet.page.evaluate("excel.book.calculated") == 1
    assert sheet.call("OCCUPANTAIRFLOW", 2) == [[30.0]]


def test_a_wrong_token_is_told(sheet: Sheet) -> None:
    sheet.page.evaluate("localStorage.setItem('stillbook.token', 'x'.repeat(43))")
    sheet.page.reload()
    sheet.page.get_by_role("heading", name="Connect this page").wait_for()
    sheet.page.evaluate("localStorage.setItem('stillbook.token', 'x'.repeat(43))")
    answer = sheet.call("OCCUPANTAIRFLOW", 2)
    assert answer["code"] == "#N/A"
    assert answer["message"].startswith("the token of the service is wrong")


NO_ANSWER = error(
    "#N/A", "the calculation service does not answer: start it with “stillbook serve”, then calculate again"
)


def test_a_service_that_dies_gives_errors_that_recover(browser: Any, tmp_path: Any) -> None:
    """Killed while 2,000 cells calculate: each shows its number or an error, never another; the next time all are well."""
    calls = [("OCCUPANTAIRFLOW", [people]) for people in range(1, 2001)]
    right = [[[15.0 * people]] for people in range(1, 2001)]
    with started(tmp_path / "home") as first, Sheet.at(browser, first) as sheet:
        port = int(first.service.address.rpartition(":")[2])
        sheet.page.context.route(
            "**/calls", lambda route: (first.process.kill(), first.process.wait(), route.continue_())
        )
        answers = sheet.calls(calls)
        assert NO_ANSWER in answers
        assert all(answer in (NO_ANSWER, expected) for answer, expected in zip(answers, right, strict=True))
        sheet.page.context.unroute("**/calls")
        with started(tmp_path / "home", port=port) as second:
            wait_until(lambda: second.process.poll() is None)
            assert sheet.calls(calls) == right


REFUSALS = [
    (400, {"detail": "the body cannot be read"}, "the body cannot be read"),
    (
        500,
        {"detail": "the service failed on this request: its log tells where"},
        "the service failed on this request: its log tells where",
    ),
    (502, None, "the service refused the request (502)"),
]


@pytest.mark.parametrize(("status", "body", "reason"), REFUSALS)
def test_a_refusal_is_told_in_the_cell(calling: Sheet, status: int, body: Any, reason: str) -> None:
    text = json.dumps(body) if body else "<html>"
    calling.page.context.route("**/calls", lambda route: route.fulfill(status=status, body=text))
    assert calling.call("OCCUPANTAIRFLOW", 2) == error("#N/A", reason)


@pytest.mark.parametrize("body", ['{"answers":[1,2]}', '{"answers":[]}', "{}", "null", '{"answers":'])
def test_answers_that_fit_no_call_are_never_numbers(calling: Sheet, body: str) -> None:
    calling.page.context.route("**/calls", lambda route: route.fulfill(status=200, body=body))
    assert calling.call("OCCUPANTAIRFLOW", 2)["code"] == "#N/A"


def test_a_busy_service_is_asked_again(calling: Sheet) -> None:
    waits = iter([503, 503])

    def busy(route: Any) -> None:
        status = next(waits, None)
        if status is None:
            route.continue_()
        else:
            route.fulfill(status=status, body='{"detail":"busy"}', headers={"Retry-After": "0"})

    calling.page.context.route("**/calls", busy)
    assert calling.call("OCCUPANTAIRFLOW", 2) == [[30.0]]
    assert calling.posts() == 3


def test_a_request_that_is_too_large_is_parted(calling: Sheet) -> None:
    def small(route: Any) -> None:
        calls = len(json.loads(route.request.post_data)["calls"])
        if calls > 10:
            route.fulfill(status=413, body='{"detail":"too many"}')
        else:
            route.continue_()

    calling.page.context.route("**/calls", small)
    answers = calling.calls([("OCCUPANTAIRFLOW", [people]) for people in range(1, 26)])
    assert answers == [[[15.0 * people]] for people in range(1, 26)]


def test_one_call_that_is_too_large_is_told(calling: Sheet) -> None:
    calling.page.context.route("**/calls", lambda route: route.fulfill(status=413, body='{"detail":"smaller ranges"}'))
    assert calling.call("OCCUPANTAIRFLOW", 2) == error("#N/A", "smaller ranges")


def test_nothing_is_asked_of_other_sites_but_the_vendors_script(sheet: Sheet) -> None:
    sheet.page.reload()
    sheet.page.get_by_text("What do you want to work out?").wait_for()
    assert sheet.sites() == {sheet.service.service.address, "https://appsforoffice.microsoft.com"}
    assert not [each for each in sheet.complaints if not re.search("favicon", each)]
