"""``stillbook inputs``: what can be set in a workbook."""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Mapping
from dataclasses import asdict
from typing import TYPE_CHECKING, Any, Final

import click

from stillbook.cli.completion import templates_or_files
from stillbook.cli.outcome import Outcome, Reporting
from stillbook.cli.screen import figure, heading, say, show_table
from stillbook.cli.shapes import Inputs
from stillbook.cli.workbooks import from_template, units_option

if TYPE_CHECKING:
    from stillbook.workbook.job.estimate import Job
    from stillbook.workbook.job.interface import Input

FEW_CHOICES: Final = 4


@click.command(
    "inputs", cls=Reporting, gives=Inputs, short_help="List what can be set in a workbook, with units and limits."
)
@click.argument("file", shell_complete=templates_or_files)
@click.argument("name", required=False)
@units_option
def command(file: str, name: str | None, units: str | None) -> Outcome:
    """List the inputs of FILE: what each holds, its unit, its limits and what to write. NAME shows one of them in full.

    FILE is a workbook, or the name of a template.
    """
    from stillbook.office.origins import words

    job = from_template(file, units)
    entries = job.inputs
    if not entries:
        raise click.ClickException(f"{file}: it has no named inputs: use a workbook made from a template")
    found = [_find_input(entries, name)] if name else list(entries.values())

    def show() -> None:
        if name:
            _show_input(job, found[0])
            return
        if said := words(job.origin):
            say(f"{file}: {said}")
        show_inputs(job)
        say(f'\n"stillbook inputs {file} NAME" shows one of them with all it may hold.')

    def data() -> Mapping[str, Any]:
        return {
            "file": file,
            "origin": asdict(job.origin),
            "inputs": [input_data(job, entry) for entry in found],
            "missing": [entry.name for entry in found if entry.missing],
        }

    return Outcome(show, data)


def input_data(job: Job, entry: Input) -> Mapping[str, Any]:
    """All that is known of one input, for a program."""
    from stillbook.office.compare import held

    spec = entry.spec
    told = ("least", "most", "choices", "default", "whole", "optional")
    return {
        "name": entry.name,
        "value": held(job, entry),
        "unit": _unit(entry),
        "help": spec.help,
        **{name: getattr(spec, name) for name in told},
        "offers": entry.offers,
        "missing": entry.missing,
        "sheet": entry.sheet,
        "cell": entry.cell,
    }


def show_inputs(job: Job) -> None:
    """Print all inputs as a table, and which of them are to be filled in."""
    from stillbook.office.compare import held

    entries = job.inputs.values()
    rows = [
        (name, figure(held(job, entry)) if value is None else value, _unit(entry), _limits(entry), entry.spec.help)
        for name, value, entry in _by_column(job)
    ]
    show_table(("Name", "Value", "Unit", "Limits", "Help"), rows)
    if missing := [entry.name for entry in entries if entry.missing]:
        say(f"\nTo be filled in: {', '.join(missing)}")


def _by_column(job: Job) -> Iterator[tuple[str, str | None, Input]]:
    """Name, value in words and input; of a column only the first, which stands for all of its rows."""
    columns = {cells[0]: cells for cells in job.columns.values()}
    inside = {name for cells in columns.values() for name in cells[1:]}
    for name, entry in job.inputs.items():
        if cells := columns.get(name):
            filled = sum(job.inputs[cell].value not in (None, "") for cell in cells)
            yield f"{name} to {cells[-1].rpartition('_')[2]}", f"{filled} filled", entry
        elif name not in inside:
            yield name, None, entry


def _find_input(entries: Mapping[str, Input], name: str) -> Input:
    found = {key.casefold(): entry for key, entry in entries.items()}.get(name.strip().casefold())
    if found is None:
        wanted = name.strip().casefold()
        near = [key for key in entries if wanted in key.casefold()][:3] if len(wanted) > 2 else []
        near = near or difflib.get_close_matches(wanted, entries, n=3)
        hint = f"did you mean {' or '.join(near)}?" if near else "leave the name out to list all"
        raise click.ClickException(f'there is no input "{name[:60]}": {hint}')
    return found


def _show_input(job: Job, entry: Input) -> None:
    """Print all that is known of one input."""
    from stillbook.office.compare import held

    spec = entry.spec
    heading(entry.name)
    if spec.help:
        say(spec.help)
    say(f"Now      {figure(held(job, entry)) or 'blank'} {_unit(entry)}".rstrip())
    say(f"Write    {wanted(entry)}{'; may stay blank' if spec.optional else ''}")
    if spec.default is not None:
        say(f"Default  {figure(spec.default)}")
    for offer in entry.offers:
        say(f"  {offer}")


def wanted(entry: Input) -> str:
    """What to write, in words."""
    spec = entry.spec
    if entry.offers:
        return "one of those below, or something else as said above"
    free = not (spec.takes_number or spec.choices or spec.unit in ("text", "date"))
    return "text or a number" if free else spec.wanted.removeprefix("give ")


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
