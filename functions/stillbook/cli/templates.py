"""``stillbook templates``: the templates that come with Stillbook, and those of the office's own."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from stillbook.cli.failures import FINE
from stillbook.cli.screen import say, show_table
from stillbook.cli.workbooks import FILE

if TYPE_CHECKING:
    from stillbook.templates.custom import CustomTemplate


@click.group("templates", invoke_without_command=True, short_help="List the templates, or add one of your own.")
@click.pass_context
def command(context: click.Context) -> int:
    """List the templates: those that come with Stillbook, and your own."""
    if context.invoked_subcommand:
        return FINE
    from stillbook.templates import custom
    from stillbook.templates.shipped import TEMPLATES

    rows = [(entry.name, " ".join(entry.systems) or "missing", entry.summary) for entry in TEMPLATES]
    show_table(("Template", "Units", "Purpose"), rows)
    if mine := custom.listed():
        say()
        show_table(("Your own", "Holds", "Added"), [(entry.name, *_described(entry)) for entry in mine])
        say(f"They are in {custom.folder()}: to take one out, delete it there.")
    say('\n"stillbook new TEMPLATE FILE" starts an estimate; "stillbook inputs TEMPLATE" lists what can be set.')
    return FINE


@command.command("add", short_help="Make a workbook of yours a template.")
@click.argument("file", type=FILE)
@click.option("--name", default="", help="The template's name; that of the file when left out.")
@click.option("--replace", is_flag=True, help="Replace your own template of that name.")
def add(file: Path, name: str, replace: bool) -> int:
    """Copy FILE, a workbook with named inputs, into your folder of templates, and show what it takes.

    An input is a cell with a name, and on the name a comment that says what to write, such as

    \b
    Inside length. | unit: ft | from: 3 | to: 60
    Kind of door. | choices: pair; single
    Name on the proposal. | text | optional
    """
    from stillbook.cli.inputs import show_inputs
    from stillbook.templates import custom
    from stillbook.workbook.job.estimate import Job

    learned = custom.add(file, name, replace=replace)
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
    return FINE


def _described(entry: CustomTemplate) -> tuple[str, str]:
    """What one of the office's own templates holds, and since when."""
    import datetime

    from stillbook.workbook import WorkbookError
    from stillbook.workbook.job.estimate import Job

    try:
        count = len(Job.open(entry.path).inputs)
        day = datetime.date.fromtimestamp(entry.path.stat().st_mtime)
    except (WorkbookError, OSError) as error:
        return "nothing", str(error)
    return f"{count} {'input' if count == 1 else 'inputs'}", str(day)
