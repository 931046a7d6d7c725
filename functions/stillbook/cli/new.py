"""``stillbook new``: start an estimate from a template."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from stillbook.cli.completion import templates_or_files
from stillbook.cli.outcome import Outcome, Reporting
from stillbook.cli.prompts import ask_for_missing, someone_is_there
from stillbook.cli.screen import rounded, say, show_table, warn
from stillbook.cli.shapes import Started, Taken
from stillbook.cli.summary import finish
from stillbook.cli.workbooks import FILE, from_template, is_shipped, refuse_unfit, units_option

if TYPE_CHECKING:
    from stillbook.workbook.job.estimate import Job


@click.command("new", cls=Reporting, gives=Started, short_help="Start an estimate from a template.")
@click.argument("template", shell_complete=templates_or_files)
@click.argument("file", type=FILE)
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
    type=FILE,
    metavar="FILE",
    help="Inputs from a file: TOML lines such as people = 3, or CSV columns name and value. --set wins over it.",
)
@click.option(
    "--from",
    "other",
    type=FILE,
    metavar="JOB",
    help="Inputs and prices from another job, without what is its client's alone unless it is a first quote. "
    "--inputs and --set win over it.",
)
@click.option(
    "--variant",
    type=click.IntRange(0),
    metavar="NUMBER",
    help="With --from: this variant of an exploration, which JOB then is; TEMPLATE is the job that was explored.",
)
@units_option
def command(
    template: str,
    file: Path,
    settings: tuple[str, ...],
    listed: Path | None,
    other: Path | None,
    variant: int | None,
    units: str | None,
) -> Outcome:
    """Start an estimate from TEMPLATE and save it, calculated, as FILE.

    TEMPLATE is a name that "stillbook templates" lists, or a workbook of your own. FILE ends in .xlsx and
    must not exist. At a terminal, what is still to be filled in is asked for. The rows of a shipped
    schedule are examples: all of them go once one row is given.
    """
    from stillbook.cli.input_values import from_file, from_settings
    from stillbook.workbook.job.inputs import InputError

    if variant is not None and other is None:
        raise click.UsageError("--variant is that of an exploration: name its workbook with --from")
    values: dict[str, Any] = from_file(listed) if listed else {}
    values = {**_without(values, named := from_settings(settings)), **named}
    refuse_unfit(file)
    job = from_template(template, units, other if variant is None else None)
    taken = None
    if other is not None:
        taken = _take(job, other) if variant is None else _choose(job, other, variant)
    examples = other is None and is_shipped(template) and bool(job.columns)
    replaced = examples and _rows_given(job, values)
    blank: dict[str, Any] = {name: [] for name in job.columns} if replaced else {}
    try:
        job.set({**_without(blank, values), **values})
    except InputError as error:
        raise click.ClickException(f'{error} ("stillbook inputs {template}" lists all inputs)') from None
    asked = someone_is_there()
    if asked:
        _show_taken(taken)
        ask_for_missing(job)
    made = finish(job, file, taken)
    if other is not None and variant is not None:
        warn(_other_than_explored(job, other, variant))

    def show() -> None:
        if not asked:
            _show_taken(taken)
        if examples and not replaced:
            say("The rows of its tables are invented examples: type over them, or clear them.")
        made.show()

    return Outcome(show, made.data, made.code)


def _rows_given(job: Job, values: Mapping[str, Any]) -> bool:
    """Whether values for rows of a schedule are among those given."""
    named = {name.strip().casefold() for name in values}
    return any(
        name.casefold() in named or any(cell.casefold() in named for cell in cells)
        for name, cells in job.columns.items()
    )


def _take(job: Job, other: Path) -> Taken:
    """Start as another job stands: what is taken, what is left blank for this client, and what is not taken."""
    from dataclasses import asdict

    from stillbook.office.carry import take_over
    from stillbook.workbook.job.estimate import Job

    source = Job.open(other)
    source.calculate()
    return {"file": str(other), **asdict(take_over(source, job))}  # type: ignore[typeddict-item]


def _choose(job: Job, other: Path, variant: int) -> Taken:
    """Start as a variant of an exploration: the inputs of the job that was explored, and those of the variant."""
    from stillbook.office.explore.chosen import chosen

    found = chosen(other, variant)
    lacking = [name for name in found.varied if name not in job.inputs]
    if lacking:
        raise click.ClickException(f"{', '.join(lacking)}: TEMPLATE has no such input: give the job that was explored")
    taken = {name: value for name, value in found.inputs.items() if name in job.inputs}
    job.set({name: value for name, value in taken.items() if value != job.inputs[name].value})
    return {"file": str(other), "inputs": list(taken), "prices": [], "cleared": [], "left": []}


def _other_than_explored(job: Job, other: Path, variant: int) -> Iterator[str]:
    """Where a job made of a variant comes to something else than the exploration said, as with other prices."""
    from stillbook.office.compare import same
    from stillbook.office.explore.chosen import chosen

    now = {result.name: result for result in job.calculate().results}
    for name, value in chosen(other, variant).results.items():
        if name in now and not same(now[name].value, value):
            was, found = (rounded(each) for each in (value, now[name].value))
            yield f"{now[name].label} is {found}, and was {was} when it was explored: prices or other inputs differ."


def _show_taken(taken: Taken | None) -> None:
    """Say what was taken from another job."""
    if taken is None:
        return
    other, prices = taken["file"], len(taken["prices"])
    say(f"{len(taken['inputs'])} inputs taken from {other}")
    if prices:
        said = "price is that" if prices == 1 else "prices and rates are those"
        say(f"{prices} {said} of {other}, not the template's")
    if taken["cleared"]:
        say(f"Not taken, since it is that client's: {', '.join(taken['cleared'])}")
    if taken["left"]:
        rows = [(left["place"], left["content"], left["reason"]) for left in taken["left"]]
        show_table(("Not taken", "What it holds", "Why"), rows)
    say()


def _without(values: Mapping[str, Any], named: Mapping[str, Any]) -> dict[str, Any]:
    """Values whose name is not given again."""
    again = {name.casefold() for name in named}
    return {name: value for name, value in values.items() if name.casefold() not in again}
