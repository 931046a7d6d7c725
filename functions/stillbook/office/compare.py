"""What changed between two workbooks: two revisions of a job, or two options for it.

>>> from stillbook.office.compare import compare
>>> compare("monday.xlsx", "friday.xlsx").of("input")        # doctest: +SKIP
"""

from __future__ import annotations

import datetime
import math
from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from os import PathLike
from pathlib import Path
from typing import Any, Final, Literal

from stillbook.cells import Cell, ErrorValue
from stillbook.workbook.job.estimate import Job, Report
from stillbook.workbook.job.interface import Input
from stillbook.workbook.job.lines import labour_rates, lines, name_of, number, price_rows, switched_off

Subject = Literal["file", "input", "result", "quantity", "line", "off", "price", "check"]

SUBJECTS: Final[dict[Subject, str]] = {
    "file": "What made the file",
    "input": "Inputs",
    "result": "Results",
    "quantity": "Quantities",
    "line": "Cost of lines",
    "off": "Lines that are off",
    "price": "Prices",
    "check": "Checks",
}
"""The subjects, in their order, with their headings."""

_EQUAL: Final = 1e-9


@dataclass(frozen=True, slots=True)
class Difference:
    """One thing that differs.

    Args:
        subject: What kind of thing it is.
        name: Its name, code or rule.
        label: What it is, in words.
        unit: Unit of its numbers.
        before: What the first workbook says; None where it has no such thing, or a blank.
        after: What the second says.
        only: The workbook that alone has it; empty where both do.
    """

    subject: Subject
    name: str
    label: str
    unit: str
    before: Cell
    after: Cell
    only: Literal["", "first", "second"] = ""

    @property
    def change(self) -> float | None:
        """After less before, where both are numbers."""
        one, two = number(self.before), number(self.after)
        return two - one if one is not None and two is not None else None


@dataclass(frozen=True, slots=True)
class Comparison:
    """What differs between two workbooks.

    Args:
        first: File of the first.
        second: File of the second.
        differences: What differs, subject by subject.
        same: How many things of each subject are alike.
    """

    first: str
    second: str
    differences: tuple[Difference, ...]
    same: Mapping[Subject, int]

    def of(self, subject: Subject) -> tuple[Difference, ...]:
        """The differences of one subject."""
        return tuple(difference for difference in self.differences if difference.subject == subject)


def compare(first: str | PathLike[str], second: str | PathLike[str]) -> Comparison:
    """Compare two workbooks, each calculated first; neither is changed.

    Raises:
        WorkbookError: If one cannot be opened or calculated.
    """
    one, two = Job.open(first), Job.open(second)
    return compare_jobs(one, one.calculate(), two, two.calculate())


def compare_jobs(one: Job, before: Report, two: Job, after: Report) -> Comparison:
    """Compare two calculated jobs."""
    collected = _Collected()
    collected.add("file", _origin(one), _origin(two))
    collected.add("input", _inputs(one), _inputs(two))
    collected.add("result", _results(before), _results(after))
    for subject, value in (("quantity", "quantity"), ("line", "cost")):
        collected.add(subject, _lines(one, value), _lines(two, value))  # type: ignore[arg-type]
    collected.add("off", _off(one), _off(two))
    collected.add("price", _prices(one), _prices(two))
    collected.add("check", _checks(before), _checks(after))
    return Comparison(str(one.path or ""), str(two.path or ""), tuple(collected.found), collected.same)


def _origin(job: Job) -> dict[Hashable, Entry]:
    """What the file says of what made and calculated it."""
    said = job.origin
    pairs = (
        ("formulas", "Calculated by", said.formulas),
        ("template", "Template", said.template),
        ("version", "Its version", said.version),
    )
    return {name: (name, label, "", value) for name, label, value in pairs if value}


def plain(value: Cell) -> str | float | bool | None:
    """A cell value for JSON: an error by its code."""
    return str(value.code) if isinstance(value, ErrorValue) else value


Entry = tuple[str, str, str, Cell]
"""Name, label, unit and value of a thing."""


class _Collected:
    def __init__(self) -> None:
        self.found: list[Difference] = []
        self.same: dict[Subject, int] = {}

    def add(self, subject: Subject, before: Mapping[Hashable, Entry], after: Mapping[Hashable, Entry]) -> None:
        """Note what differs between the things of one subject, in the order of the second workbook."""
        alike = 0
        for key, (name, label, unit, value) in after.items():
            old = before.get(key)
            if old is None:
                self.found.append(Difference(subject, name, label, unit, None, value, "second"))
            elif same(old[3], value) and old[2] == unit:
                alike += 1
            else:
                both = unit if old[2] == unit else f"{old[2]} → {unit}"
                self.found.append(Difference(subject, name, label, both, old[3], value))
        for key, (name, label, unit, value) in before.items():
            if key not in after:
                self.found.append(Difference(subject, name, label, unit, value, None, "first"))
        self.same[subject] = alike


def same(one: Cell, two: Cell) -> bool:
    """Whether two values are alike; numbers to nine figures."""
    if isinstance(one, ErrorValue) and isinstance(two, ErrorValue):
        return one.code == two.code
    first, second = number(one), number(two)
    if first is not None and second is not None:
        return math.isclose(first, second, rel_tol=_EQUAL, abs_tol=1e-12)
    return (one in (None, "") and two in (None, "")) or (type(one) is type(two) and one == two)


def _inputs(job: Job) -> dict[Hashable, Entry]:
    return {
        name.casefold(): (name, entry.spec.help, "" if entry.spec.unit == "text" else entry.spec.unit, held(job, entry))
        for name, entry in job.inputs.items()
    }


def held(job: Job, entry: Input) -> Cell:
    """What an input holds, a day as text such as 2026-03-02."""
    value = number(entry.value)
    if entry.spec.unit == "date" and value is not None:
        start = datetime.date(1904, 1, 1) if job.package.starts_1904 else datetime.date(1899, 12, 30)
        return str(start + datetime.timedelta(days=int(value)))
    return entry.value


def _results(report: Report) -> dict[Hashable, Entry]:
    return {r.name.casefold(): (r.name, r.label, r.unit, r.value) for r in report.results}


def _lines(job: Job, value: str) -> dict[Hashable, Entry]:
    """Lines by code and name; those alike in both are added up."""
    found: dict[Hashable, Entry] = {}
    for line in lines(job.package):
        key = (line.code.casefold(), name_of(line.text).casefold())
        unit = line.unit if value == "quantity" else ""
        more = getattr(line, value)
        before = number(found[key][3]) if key in found else None
        found[key] = (line.code, line.text, unit, more + (before or 0.0))
    return found


def _off(job: Job) -> dict[Hashable, Entry]:
    return {
        name.casefold(): (name, "why it is not in the price", "", reason)
        for name, reason in switched_off(job.package).items()
    }


def _prices(job: Job) -> dict[Hashable, Entry]:
    """Costs and rates of the price rows, and what an hour costs by trade."""
    found: dict[Hashable, Entry] = {}
    for row in price_rows(job.package):
        found[row.code.casefold(), "cost"] = (row.code, f"{row.text}: unit cost", row.unit, row.cost)
        found[row.code.casefold(), "rate"] = (row.code, f"{row.text}: done in an hour", row.unit, row.rate)
    for trade, rate in labour_rates(job.package).items():
        found[trade.casefold(), "labour"] = (trade, "labour: an hour", "h", rate)
    return found


def _checks(report: Report) -> dict[Hashable, Entry]:
    return {check.rule.casefold(): (check.rule, check.advice, "", check.state) for check in report.checks}


# --- as a workbook ----------------------------------------------------------------------------------------------------


def write_comparison(comparison: Comparison, path: str | PathLike[str], *, replace: bool = False) -> Path:
    """Write a comparison as a workbook; gives its path.

    Raises:
        WorkbookError: If the file exists and may not be replaced, or cannot be written.
    """
    from stillbook.office.reports import check_target, put_text, save_report, table_row
    from stillbook.templates import look
    from stillbook.templates.page import FIRST, Book

    target = Path(path)
    check_target(target, Path(comparison.first), Path(comparison.second), replace=replace)
    book = Book("US", "Comparison")
    purpose = "What differs between two workbooks, subject by subject."
    page = book.page("Changes", purpose, (30, 44, 18, 18, 14, 12), wide=True)
    for label, file in (("Before", comparison.first), ("After", comparison.second)):
        page.put(page.at, FIRST, label, font=look.QUIET)
        put_text(page, page.at, FIRST + 1, Path(file).name)
        page.at += 1
    page.skip()
    for subject, heading in SUBJECTS.items():
        found = comparison.of(subject)
        alike = comparison.same.get(subject, 0)
        if not found and not alike:
            continue
        page.heading(heading, f"{len(found)} differ, {alike} alike")
        if found:
            page.head_row(("Name", "What", "Before", "After", "Change", "Unit"), words=(0, 1, 5))
        for difference in found:
            table_row(
                page,
                (
                    difference.name,
                    difference.label,
                    _cell(difference.before, difference.only == "second"),
                    _cell(difference.after, difference.only == "first"),
                    _short(difference.change),
                    difference.unit,
                ),
                ("text", "text", "", "", "", "text"),
            )
        page.skip()
    page.finish()
    return save_report(book, target, replace=replace)


def _cell(value: Cell, missing: bool) -> Any:
    if missing:
        return "not there"
    return "blank" if value in (None, "") else _short(plain(value))


def _short(value: Any) -> Any:
    """A number without the last figures, which are chance."""
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    return float(f"{value:.7g}") if is_number else value
