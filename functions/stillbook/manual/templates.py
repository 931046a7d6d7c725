"""The pages of the templates: sheets, inputs, results and checks as the shipped workbooks have them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from stillbook.formula import both
from stillbook.manual.page import Entry, Page, h, link, table
from stillbook.quantities import SYSTEMS, System
from stillbook.templates.shipped import TEMPLATES, Template
from stillbook.workbook.file.address import read_cell
from stillbook.workbook.job.estimate import Job
from stillbook.workbook.job.interface import Input, Interface, interface

PART = "templates.html"
_FEW = 12
"""How many offered words are listed; of more the number is told."""


@dataclass(frozen=True, slots=True)
class _Workbooks:
    """A template in each unit system, and what each workbook takes and gives."""

    jobs: Mapping[System, Job]
    interfaces: Mapping[System, Interface]

    def inputs(self, name: str) -> dict[System, Input]:
        """An input in each unit system."""
        return {system: self.jobs[system].inputs[name] for system in SYSTEMS if name in self.jobs[system].inputs}

    def listed(self) -> Iterator[tuple[str, str, int]]:
        """Each input with the name it is listed under, and of a column how many rows it has; 0 for one alone."""
        first = self.jobs["US"]
        columns = {cells[0]: (name, len(cells)) for name, cells in first.columns.items()}
        inside = {cell for cells in first.columns.values() for cell in cells[1:]}
        for name in first.inputs:
            if name in columns:
                yield name, *columns[name]
            elif name not in inside:
                yield name, name, 0


def pages() -> list[Page]:
    """The list of the templates, and a page for each."""
    rows = [(link(entry.name, file_of(entry)), entry.summary) for entry in TEMPLATES]
    start = Page(
        PART,
        "Templates",
        PART,
        [
            h("h1", "Templates"),
            h("p", "Each is there in US and in SI units. ", h("code", "stillbook new booth-estimate my-room.xlsx"),
              " starts an estimate from one."),
            table(("Template", "For"), rows),
        ],
    )  # fmt: skip
    return [start, *map(_template, TEMPLATES)]


def file_of(entry: Template) -> str:
    """The page of a template."""
    return f"template-{entry.name}.html"


def _template(entry: Template) -> Page:
    jobs = {system: Job.open(entry.path(system)) for system in SYSTEMS}
    books = _Workbooks(jobs, {system: interface(job.package) for system, job in jobs.items()})
    file, title = file_of(entry), entry.name.replace("-", " ").capitalize()
    sheets, inputs, checks = list(_sheets(books)), list(_inputs(books)), list(_checks(books))
    there = ("Sheets", "Inputs", *(["Key results"] if books.interfaces["US"].results else []), "Checks")
    parts = [h("li", link(part, f"#{part.lower().replace(' ', '-')}")) for part in there]
    content = [
        h("h1", title),
        h("p", f"{entry.summary}."),
        h("p", h("code", f"stillbook new {entry.name} my-room.xlsx", class_="call")),
        h("nav", h("ul", parts, class_="series"), aria_label="Parts of this page"),
        h("h2", "Sheets", id="sheets"),
        table(("Sheet", "What it is for"), sheets),
        h("h2", "Inputs", id="inputs"),
        h("p", "What each takes, and what a new workbook holds. Text with a unit may be written in any unit."),
        *_by_sheet(inputs),
        *_results(books),
        h("h2", "Checks", id="checks"),
        _check_table(checks),
    ]
    entries = [
        Entry(entry.name, entry.summary, "Template", file, " ".join(map(" ".join, sheets))),
        *(
            Entry(each.name, each.help or each.label, f"Input, {title.lower()}", f"{file}#{each.name}", each.label)
            for each in inputs
        ),
        *(
            Entry("", rule, f"Check, {title.lower()}", f"{file}#check-{number}", advice)
            for number, (rule, advice) in enumerate(checks, start=1)
        ),
    ]
    return Page(file, title, PART, content, entries)


def _sheets(books: _Workbooks) -> Iterator[tuple[str, str]]:
    """The sheets, each with the sentence below its title."""
    package = books.jobs["US"].package
    for sheet in package.sheets:
        yield sheet, str(package.value(sheet, 2, 2) or "")


@dataclass(frozen=True, slots=True)
class _Listed:
    """An input as a row of the page shows it."""

    name: str
    sheet: str
    label: str
    takes: str
    holds: str
    help: str


def _inputs(books: _Workbooks) -> Iterator[_Listed]:
    for first, name, rows in books.listed():
        found = books.inputs(first)
        entry = found["US"]
        takes = both(*(_takes(found.get(system, entry)) for system in SYSTEMS))
        if entry.spec.optional:
            takes += "; may stay blank"
        if rows:
            takes += f"; {rows} rows, {name}_1 to {name}_{rows}"
        holds = both(*(_held(found.get(system, entry)) for system in SYSTEMS)) if not rows else "examples"
        helps = _beside(*(found.get(system, entry).spec.help for system in SYSTEMS))
        yield _Listed(name, entry.sheet, _label(books, entry) if not rows else "", takes, holds, helps)


def _beside(us: str, si: str) -> str:
    """A sentence with what the SI workbook says in its place, where that differs."""
    return us if us == si else f"{us} (SI: {si})"


def _takes(entry: Input) -> str:
    """What may be written, in words."""
    spec = entry.spec
    if entry.offers:
        listed = (
            ", ".join(entry.offers) if len(entry.offers) <= _FEW else f"{len(entry.offers)} words that its list has"
        )
        return f"one of {listed}, or as said beside"
    if not (spec.takes_number or spec.choices or spec.unit in ("text", "date")):
        return "text or a number"
    if len(spec.choices) > _FEW:
        return f"one of the {len(spec.choices)} words that its list has"
    return spec.wanted.removeprefix("give ")


def _held(entry: Input) -> str:
    """What a new workbook holds."""
    value = entry.value
    return f"{value:.10g}" if isinstance(value, float) else "" if value is None else str(value)


def _label(books: _Workbooks, entry: Input) -> str:
    """What the sheet says before the cell."""
    at = read_cell(entry.cell)
    if at is None:
        return ""
    row, column = at
    job = books.jobs["US"]
    typed = {(each.sheet, read_cell(each.cell)) for each in job.inputs.values()}
    places = [place for place in range(column - 1, 0, -1) if (entry.sheet, (row, place)) not in typed]
    before = (job.package.value(entry.sheet, row, place) for place in places)
    return next((text for text in before if isinstance(text, str) and text.strip()), "")


def _by_sheet(inputs: list[_Listed]) -> Iterator[Any]:
    for sheet in dict.fromkeys(each.sheet for each in inputs):
        mine = [each for each in inputs if each.sheet == sheet]
        yield h("h3", f"On the {sheet} sheet")
        yield table(
            ("Name", "Beside it", "Takes", "New workbook", "What to write"),
            [(h("code", each.name), each.label, each.takes, each.holds, each.help) for each in mine],
            ids=[each.name for each in mine],
        )


def _results(books: _Workbooks) -> Iterator[Any]:
    results = {system: [spec for spec, *_ in books.interfaces[system].results] for system in SYSTEMS}
    if not results["US"]:
        return
    units = {spec.name: spec.unit for spec in results["SI"]}
    yield h("h2", "Key results", id="key-results")
    yield table(
        ("Name", "What it is", "Unit"),
        [
            (h("code", spec.name), spec.label, both(spec.unit, units.get(spec.name, spec.unit)))
            for spec in results["US"]
        ],
    )


def _checks(books: _Workbooks) -> Iterator[tuple[str, str]]:
    """Each rule with what to do if it fails, in the words of both unit systems where these differ."""
    found = {system: list(_check_rows(books, system)) for system in SYSTEMS}
    for us, si in zip(found["US"], found["SI"], strict=True):
        yield _beside(us[0], si[0]), _beside(us[1], si[1])


def _check_rows(books: _Workbooks, system: System) -> Iterator[tuple[str, str]]:
    block = books.interfaces[system].checks
    for row in books.jobs[system].package.rows(*block) if block else []:
        if row[0] not in (None, ""):
            yield str(row[0]), str(row[-1] or "")


def _check_table(checks: list[tuple[str, str]]) -> Any:
    ids = [f"check-{number}" for number in range(1, len(checks) + 1)]
    return table(("Rule", "What to do if it fails"), checks, ids=ids)
