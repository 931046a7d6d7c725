"""``stillbook templates``: the templates that come with Stillbook, and those of the office's own."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from stillbook.cli.outcome import Outcome, Reporting, ReportingGroup
from stillbook.cli.screen import say, show_table
from stillbook.cli.shapes import Learned, OwnTemplate, Templates
from stillbook.cli.workbooks import FILE

if TYPE_CHECKING:
    from stillbook.templates import custom


@click.group(
    "templates",
    cls=ReportingGroup,
    gives=Templates,
    invoke_without_command=True,
    short_help="List the templates, or add one of your own.",
)
@click.pass_context
def command(context: click.Context) -> Outcome | None:
    """List the templates: those that come with Stillbook, and your own."""
    if context.invoked_subcommand:
        return None
    from stillbook.templates import custom
    from stillbook.templates.shipped import TEMPLATES

    mine = [_described(entry) for entry in custom.listed()]

    def show() -> None:
        rows = [(entry.name, " ".join(entry.systems) or "missing", entry.summary) for entry in TEMPLATES]
        show_table(("Template", "Units", "Purpose"), rows)
        if mine:
            say()
            show_table(("Your own", "Holds", "Added"), [(entry["name"], *_in_words(entry)) for entry in mine])
            say(f"They are in {custom.folder()}: to take one out, delete it there.")
        say('\n"stillbook new TEMPLATE FILE" starts an estimate; "stillbook inputs TEMPLATE" lists what can be set.')

    def data() -> Mapping[str, Any]:
        shipped = [{"name": e.name, "systems": e.systems, "summary": e.summary} for e in TEMPLATES]
        return {"templates": shipped, "own": mine, "folder": custom.folder()}

    return Outcome(show, data)


@command.command("add", cls=Reporting, gives=Learned, short_help="Make a workbook of yours a template.")
@click.argument("file", type=FILE)
@click.option("--name", default="", help="The template's name; that of the file when left out.")
@click.option("--replace", is_flag=True, help="Replace your own template of that name.")
def add(file: Path, name: str, replace: bool) -> Outcome:
    """Copy FILE, a workbook with named inputs, into your folder of templates, and show what it takes.

    An input is a cell with a name, and on the name a comment that says what to write, such as

    \b
    Inside length. | unit: ft | from: 3 | to: 60
    Kind of door. | choices: pair; single
    Name on the proposal. | text | optional
    """
    from stillbook.templates import custom

    learned = custom.add(file, name, replace=replace)
    return Outcome(lambda: _show(file, learned), lambda: _data(learned))


def _data(learned: custom.Learned) -> Mapping[str, Any]:
    from stillbook.cli.inputs import input_data
    from stillbook.workbook.job.estimate import Job

    job = Job.open(learned.template.path)
    return {
        "name": learned.template.name,
        "written": learned.template.path.absolute(),
        "inputs": [input_data(job, entry) for entry in job.inputs.values()],
        "results": [result.name for result in learned.report.results],
        "checks": len(learned.report.checks),
        "unnoted": learned.unnoted,
        "errors": len(learned.report.errors),
    }


def _show(file: Path, learned: custom.Learned) -> None:
    from stillbook.cli.inputs import show_inputs
    from stillbook.workbook.job.estimate import Job

    report = learned.report
    show_inputs(Job.open(learned.template.path))
    if report.results:
        say(f"\nKey results: {', '.join(result.name for result in report.results)}")
    if report.checks:
        say(f"Checks: {len(report.checks)}")
    if learned.unnoted:
        say(f"No inputs, for want of a comment on the name that says what to write: {', '.join(learned.unnoted)}")
    if report.errors:
        count = len(report.errors)
        say(f'{count} {"cell shows" if count == 1 else "cells show"} an error as it is: see "stillbook calc {file}"')
    click.echo(f"\nThe template is {learned.template.path}")
    say(f'Each new estimate starts with the values above: "stillbook new {learned.template.name} FILE"')


def _described(entry: custom.CustomTemplate) -> OwnTemplate:
    """What one of the office's own templates holds, and since when."""
    import datetime

    from stillbook.workbook import WorkbookError
    from stillbook.workbook.job.estimate import Job

    try:
        count = len(Job.open(entry.path).inputs)
        day = datetime.date.fromtimestamp(entry.path.stat().st_mtime)
    except (WorkbookError, OSError) as error:
        return {"name": entry.name, "file": str(entry.path), "inputs": 0, "added": "", "fault": str(error)}
    return {"name": entry.name, "file": str(entry.path), "inputs": count, "added": str(day), "fault": ""}


def _in_words(entry: OwnTemplate) -> tuple[str, str]:
    count = entry["inputs"]
    if entry["fault"]:
        return "nothing", entry["fault"]
    return f"{count} {'input' if count == 1 else 'inputs'}", entry["added"]
