"""The shipped workbooks through the browser add-in: the same numbers as without a spreadsheet program, to 1e-9."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest

from hosts.browser.browsing import Sheet
from stillbook.cells import CellResult, Code, ErrorValue
from stillbook.formula import Formula
from stillbook.templates.shipped import folder
from stillbook.workbook.calculation import engine
from stillbook.workbook.calculation.answers import Answers, from_engine, to_engine
from stillbook.workbook.job.estimate import Job, Report

pytestmark = pytest.mark.host

PLAIN = ("price_book", "bid_comparison")
"""Templates with none of our formulas."""
TEMPLATES = [path for path in sorted(folder().glob("*.xlsx")) if not path.stem.startswith(PLAIN)]


class Noting(Answers):
    """Answers as ever, with a note of every call and its answer, by its name and how its values are written."""

    def __init__(self) -> None:
        super().__init__()
        self.calls: dict[tuple[str, str], tuple[tuple[Any, ...], CellResult]] = {}

    def __call__(self, entry: Formula, values: tuple[Any, ...]) -> tuple[CellResult, Any]:
        answer = super().__call__(entry, values)
        given = tuple(map(from_engine, values))
        self.calls[entry.name, repr(given)] = given, answer[0]
        return answer


class Answered(Answers):
    """Answers that came from elsewhere."""

    def __init__(self, known: dict[tuple[str, str], Any]) -> None:
        super().__init__()
        self.known = known

    def __call__(self, entry: Formula, values: tuple[Any, ...]) -> tuple[CellResult, Any]:
        answer = self.known[entry.name, repr(tuple(map(from_engine, values)))]
        return answer, to_engine(answer)


def in_excel(value: Any) -> Any:
    """A cell or range as Excel hands it over."""
    if isinstance(value, list | tuple):
        return [[in_excel(cell) for cell in row] for row in value]
    if isinstance(value, ErrorValue):
        return {"error": str(value.code)}
    return "" if value is None else value


def from_excel(answer: Any) -> Any:
    """What Excel shows, as an answer of ours."""
    if isinstance(answer, dict):
        return ErrorValue(Code(answer["code"]), answer["message"])
    rows = [[ErrorValue(Code(cell["code"])) if isinstance(cell, dict) else cell for cell in row] for row in answer]
    return rows[0][0] if len(rows) == len(rows[0]) == 1 else rows


def alike(one: Any, other: Any) -> bool:
    """Whether two answers are the same, numbers to 1e-9; of errors the code counts."""
    if isinstance(one, list | tuple) or isinstance(other, list | tuple):
        return len(one) == len(other) and all(map(alike, one, other))
    if isinstance(one, ErrorValue) or isinstance(other, ErrorValue):
        return isinstance(one, ErrorValue) and isinstance(other, ErrorValue) and one.code == other.code
    if isinstance(one, float | int) and isinstance(other, float | int):
        return math.isclose(one, other, rel_tol=1e-9, abs_tol=1e-12)
    return bool(one == other)


def calculated(template: Path, answers: Answers, monkeypatch: pytest.MonkeyPatch) -> Report:
    with monkeypatch.context() as patched:
        patched.setattr(engine, "answer", answers)
        return Job.open(template).calculate()


@pytest.mark.parametrize("template", TEMPLATES, ids=lambda path: path.stem)
def test_a_workbook_gives_the_same_results(sheet: Sheet, template: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    noting = Noting()
    headless = calculated(template, noting, monkeypatch)
    calls = noting.calls
    assert len(calls) > 20

    asked = [(name, [in_excel(value) for value in values]) for (name, _), (values, _) in calls.items()]
    through = {key: from_excel(answer) for key, answer in zip(calls, sheet.calls(asked), strict=True)}
    wrong = [
        f"{name}{written}: {through[name, written]} and not {expected}"
        for (name, written), (_, expected) in calls.items()
        if not alike(through[name, written], shape_of(expected))
    ]
    assert wrong == []

    in_browser = calculated(template, Answered(through), monkeypatch)
    assert [result.name for result in in_browser.results] == [result.name for result in headless.results]
    for one, other in zip(in_browser.results, headless.results, strict=True):
        assert alike(one.value, other.value), one.name
    numbers = {result.name for result in headless.results if isinstance(result.value, float)}
    assert numbers, "nothing was compared"
    if "booth" in template.stem:
        assert "price" in numbers


def shape_of(answer: Any) -> Any:
    """An answer as Excel shows it: a range of one cell as that cell, a blank as empty text; two errors it takes from no
    function, which show as #VALUE!.
    """
    if isinstance(answer, ErrorValue) and answer.code in (Code.REFERENCE, Code.NAME):
        return ErrorValue(Code.VALUE)
    if not isinstance(answer, list):
        return "" if answer is None else answer
    rows = [[shape_of(cell) for cell in row] for row in answer]
    return rows[0][0] if len(rows) == len(rows[0]) == 1 else rows
