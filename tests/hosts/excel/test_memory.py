"""What each template asks of Python in Excel, where the add-in keeps answers by name and arguments.

The calls are those of a calculation here, each name with its arguments once, as the add-in's memory has it.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from stillbook.formula import Formula
from stillbook.hosts.excel import wrapper
from stillbook.templates.shipped import folder as template_folder
from stillbook.workbook.calculation import engine
from stillbook.workbook.calculation.answers import Answers
from stillbook.workbook.calculation.spelling import calls
from stillbook.workbook.job.estimate import Job


def limit(module: str, name: str) -> int:
    """A number that the add-in's Basic has as a constant."""
    found = re.search(rf"(?m)^Private Const {name} As Long = (\d+)$", wrapper.shipped(module))
    assert found is not None
    return int(found[1])


class Listening(Answers):
    """Notes every call with how many cells its arguments have."""

    def __init__(self) -> None:
        super().__init__()
        self.asked: dict[tuple[str, str], int] = {}

    def callback(self, entry: Formula) -> Callable[..., Any]:
        answer = super().callback(entry)

        def call(*values: Any) -> Any:
            cells = (sum(map(len, value)) if isinstance(value, list) else 1 for value in values)
            self.asked[(entry.name, repr(values))] = sum(cells)
            return answer(*values)

        return call


@cache
def asked_by_all(path: Path) -> dict[tuple[str, str], int]:
    """Every call of a template calculated as it is, once for all that is changed in it."""
    return asked(Job.open(path))


def asked(job: Job) -> dict[tuple[str, str], int]:
    """The calls of a calculation, with how many cells the arguments of each have."""
    listening = Listening()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(engine, "answer", listening)
        job.calculate()
    return listening.asked


COUNTED = (
    # A template, an input, how many calls all of it may ask at most, and how many more after a change of that input.
    ("air_schedule", {"per_person": 9.0}, 240, 110),
    ("booth_estimate", {"room_length": 9.0}, 710, 320),
    # The price of the job, and the five of its range.
    ("booth_estimate", {"overhead": 0.2}, 710, 6),
    ("door_schedule", {"overhead": 0.2}, 80, 0),
    ("quick_quote", {"room_length": 9.0}, 40, 40),
    ("room_conversion", {"existing_length": 15.0}, 1200, 600),
)


def test_every_other_template_asks_nothing() -> None:
    without = {
        path for path in template_folder().glob("*_us.xlsx") if path.stem[:-3] not in {row[0] for row in COUNTED}
    }
    assert {path.stem for path in without} == {"bid_comparison_us", "price_book_us"}
    for path in without:
        package = Job.open(path).package
        texts = [formula.text for sheet in package.sheets for formula in package.sheet(sheet).formulas.values()]
        assert not [text for text in texts if calls(text)]


@pytest.mark.parametrize(
    ("template", "change", "most", "most_after"),
    COUNTED,
)
def test_a_change_asks_for_what_it_feeds_alone(
    template: str, change: dict[str, float], most: int, most_after: int
) -> None:
    path = Path(template_folder(), f"{template}_us.xlsx")
    all_of_it = asked_by_all(path)
    assert len(all_of_it) <= most
    assert len(all_of_it) > most / 2, "the limit is to be a limit"
    job = Job.open(path)
    job.set(change)
    after = asked(job)
    new = after.keys() - all_of_it.keys()
    assert len(new) <= most_after
    # So nothing of two jobs that are open at once is forgotten, and nothing has to be asked for each cell.
    both = all_of_it | after
    assert 2 * len(both) <= limit("calls.bas", "MOST_REMEMBERED")
    assert 2 * sum(len(name) + len(given) for name, given in both) <= limit("calls.bas", "MOST_CHARACTERS")
    assert max(both.values()) <= limit("values.bas", "MOST_CELLS_OF_A_KEY")
