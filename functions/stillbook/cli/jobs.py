"""The commands about estimates: make one, see and set its inputs, calculate it, read its results."""

from __future__ import annotations

import datetime
import difflib
import sys
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click

from stillbook.cli.failures import ERROR_IN_RESULT, FINE, WRONG_INPUT, is_expected, reason, told
from stillbook.cli.screen import figure, heading, rounded, say, screen, show_table

if TYPE_CHECKING:
    from stillbook.workbook.calculation import ErrorCell
    from stillbook.workbook.inputs import Input
    from stillbook.workbook.job import Job, Report

UNITS: Final = click.Choice(["US", "SI"], case_sensitive=False)
SUFFIX: Final = ".xlsx"
FEW_CHOICES: Final = 4


@click.command("demo", short_help="Make an estimate for an invented client, and show it.")
@click.option("--units", type=UNITS, help="Unit system of the workbook; US when left out.")
def demo(units: str | None) -> int:
    """Make an estimate for an invented client in this folder, calculate it and show its results."""
    from stillbook.templates.demo import TEMPLATE, values

    first = Path("demo-estimate.xlsx")
    path = next(p for n in count(1) if not (p := first.with_stem(f"{first.stem}-{n}") if n > 1 else first).exists())
    if path != first:
        say(f"{first} is here already and stays as it is.")
    job = _from_template(TEMPLATE, units)
    job.set(values())
    code = _finish(job, path)
    click.echo(f"\nYour own:\n  stillbook new {TEMPLATE} my-room.xlsx --set people=3 --set room_length=9ft")
    return code


@click.command("new", short_help="Start an estimate from a template.")
@click.argument("template")
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--set",
    "settings",
    multiple=True,
    metavar="NAME=VALUE",
    help="An input, such as room_length=9 or 'room_length=2.7 m'; may be repeated.",
)
@click.option(
    "--inputs",
    "listed",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Inputs from a file: TOML lines such as people = 3, or CSV columns name and value. --set wins over it.",
)
@click.option("--units", type=UNITS, help="Unit system of a shipped template; US when left out.")
def new(template: str, file: Path, settings: tuple[str, ...], listed: Path | None, units: str | None) -> int:
    """Start an estimate from TEMPLATE and save it, calculated, as FILE.

    TEMPLATE is a name that "stillbook templates" lists, or a workbook of your own. FILE ends in .xlsx and
    must not exist.
    """
    from stillbook.cli.given import from_file, from_settings
    from stillbook.workbook.inputs import InputError

    values: dict[str, Any] = from_file(listed) if listed else {}
    values = {**_without(values, named := from_settings(settings)), **named}
    if file.exists():
        raise click.ClickException(f"{file}: it exists already: choose another name, or remove it first")
    job = _from_template(template, units)
    try:
        job.set(values)
    except InputError as error:
        raise click.ClickException(f'{error} ("stillbook inputs {template}" lists all inputs)') from None
    return _finish(job, file)


@click.command("inputs", short_help="List what can be set in a workbook, with units and limits.")
@click.argument("file")
@click.argument("name", required=False)
@click.option("--units", type=UNITS, help="Unit system of a shipped template; US when left out.")
def inputs(file: str, name: str | None, units: str | None) -> int:
    """List the inputs of FILE: what each holds, its unit, its limits and what to write. NAME shows one of them in full.

    FILE is a workbook, or the name of a template.
    """
    job = _from_template(file, units)
    entries = job.inputs
    if not entries:
        raise click.ClickException(f"{file}: it has no named inputs: use a workbook made from a template")
    if name:
        _show_input(job, _find_input(entries, name))
        return FINE
    rows = [(e.name, _held(job, e), _unit(e), _limits(e), e.spec.help) for e in entries.values()]
    show_table(("Name", "Value", "Unit", "Limits", "Help"), rows)
    if missing := [entry.name for entry in entries.values() if entry.missing]:
        say(f"\nTo be filled in: {', '.join(missing)}")
    return FINE


@click.command("calc", short_help="Calculate workbooks, and show results, checks and errors.")
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path), metavar="FILE...")
def calc(files: tuple[Path, ...]) -> int:
    """Calculate each FILE, save the numbers in it, and show its results, checks and errors."""
    done: list[tuple[Path, Report | str]] = []
    with _progress(files) as paths:
        for path in paths:
            try:
                done.append((path, _calculated(path)))
            except Exception as error:
                if not is_expected(error):
                    raise
                done.append((path, reason(error)))
    codes = []
    for path, outcome in done:
        if isinstance(outcome, str):
            codes.append(told(outcome, WRONG_INPUT))
        else:
            codes.append(_summarise(path, outcome))
            say()
    if len(codes) > 1:
        counts = ((codes.count(code), words) for code, words in _OUTCOMES.items())
        say(f"{len(codes)} workbooks: " + ", ".join(f"{number} {words}" for number, words in counts if number))
    return max(codes)


# --- pieces -----------------------------------------------------------------------------------------------------------


def _from_template(name: str, units: str | None) -> Job:
    """A job from a shipped template or a workbook file; nothing is written yet."""
    from stillbook.templates.shipped import template
    from stillbook.workbook.job import Job

    if name.lower().endswith(SUFFIX):
        if units:
            raise click.UsageError(f"--units is for shipped templates: {name} has its own units")
        return Job.open(name)
    try:
        entry = template(name)
    except LookupError as error:
        raise click.ClickException(f"{error}, or give a workbook that ends in {SUFFIX}") from None
    path = entry.path("SI" if units == "SI" else "US")
    if not path.is_file():
        raise click.ClickException(f"the template {entry.name} is missing in {path.parent}: install Stillbook again")
    return Job.open(path)


def _calculated(path: Path) -> Report:
    """Calculate a workbook and save it in place."""
    from stillbook.workbook.job import Job

    job = Job.open(path)
    report = job.calculate()
    job.save()
    return report


def _finish(job: Job, path: Path) -> int:
    """Calculate a new estimate, save it and say what it gives and where it is."""
    report = job.calculate()
    job.save(path)
    code = _summarise(path, report)
    click.echo(f"\nThe workbook is {path.absolute()}")
    return code


def _without(values: Mapping[str, Any], named: Mapping[str, Any]) -> dict[str, Any]:
    """Values whose name is not given again."""
    again = {name.casefold() for name in named}
    return {name: value for name, value in values.items() if name.casefold() not in again}


def _summarise(path: Path, report: Report) -> int:
    """Print what a calculated workbook says, and give the exit code for it."""
    heading(f"{path}: {report.formulas} formulas calculated")
    if report.results:
        rows = [(r.label, rounded(r.value), r.unit if isinstance(r.value, int | float) else "") for r in report.results]
        show_table(("Result", "Value", "Unit"), rows, right=("Value",))
    if report.checks:
        states = [check.state for check in report.checks]
        say("Checks: " + ", ".join(f"{states.count(s)} {word}" for s, word in _STATES.items() if s in states))
        for check in report.failed:
            say(f"  fails: {check.rule}: {check.advice}")
    if report.missing:
        say(f"To be filled in: {', '.join(report.missing)}")
    if report.errors:
        _show_errors(report.errors)
    return ERROR_IN_RESULT if report.errors else FINE


def _show_errors(errors: Sequence[ErrorCell]) -> None:
    """Print the cells that are wrong themselves with their reasons, then those that take an error from another cell."""
    following: dict[str, list[str]] = {}
    causes = []
    for error in errors:
        if error.reason.startswith("comes from "):
            following.setdefault(error.reason, []).append(error.place)
        else:
            causes.append((error.place, str(error.code), error.reason))
    say(f"{len(errors)} {'cell shows' if len(errors) == 1 else 'cells show'} an error:")
    show_table(("Cell", "Error", "Reason"), causes)
    for origin, places in following.items():
        say(f"What {origin}: {', '.join(places)}")


_STATES: Final = {"passes": "pass", "fails": "fail", "waits": "wait for an input"}
_OUTCOMES: Final = {FINE: "without errors", ERROR_IN_RESULT: "with error cells", WRONG_INPUT: "not calculated"}


@contextmanager
def _progress(files: tuple[Path, ...]) -> Iterator[Iterable[Path]]:
    """The files one by one, counted on the terminal where there are many and someone is watching."""
    if len(files) == 1 or not sys.stderr.isatty():
        yield files
        return
    from rich.progress import Progress

    with Progress(console=screen(stderr=True), transient=True) as progress:
        yield progress.track(files, description="Calculating")


def _find_input(entries: Mapping[str, Input], name: str) -> Input:
    found = {key.casefold(): entry for key, entry in entries.items()}.get(name.strip().casefold())
    if found is None:
        near = difflib.get_close_matches(name, entries, n=3)
        hint = f"did you mean {' or '.join(near)}?" if near else "leave the name out to list all"
        raise click.ClickException(f'there is no input "{name[:60]}": {hint}')
    return found


def _show_input(job: Job, entry: Input) -> None:
    """Print all that is known of one input."""
    spec = entry.spec
    heading(entry.name)
    if spec.help:
        say(spec.help)
    say(f"Now      {_held(job, entry) or 'blank'} {_unit(entry)}".rstrip())
    say(f"Write    {spec.wanted.removeprefix('give ')}{'; may stay blank' if spec.optional else ''}")
    if spec.default is not None:
        say(f"Default  {figure(spec.default)}")
    for offer in entry.offers:
        say(f"  {offer}")


def _held(job: Job, entry: Input) -> str:
    """What an input holds now, a date as a date."""
    if entry.spec.unit == "date" and isinstance(entry.value, int | float):
        start = datetime.date(1904, 1, 1) if job.package.starts_1904 else datetime.date(1899, 12, 30)
        return str(start + datetime.timedelta(days=int(entry.value)))
    return figure(entry.value)


def _unit(entry: Input) -> str:
    return "" if entry.spec.unit in ("text", "date") else entry.spec.unit


def _limits(entry: Input) -> str:
    """What may be written, short enough for a column."""
    spec = entry.spec
    if spec.choices:
        limits = "; ".join(spec.choices) if len(spec.choices) <= FEW_CHOICES else f"one of {len(spec.choices)} words"
    elif entry.offers:
        limits = f"{len(entry.offers)} listed"
    elif spec.least is not None and spec.most is not None:
        limits = f"{figure(spec.least)} to {figure(spec.most)}"
    elif spec.least is not None:
        limits = f"{figure(spec.least)} or more"
    elif spec.most is not None:
        limits = f"{figure(spec.most)} or less"
    else:
        limits = spec.unit if spec.unit in ("text", "date") else ""
    return f"{limits} or blank".strip() if spec.optional else limits
