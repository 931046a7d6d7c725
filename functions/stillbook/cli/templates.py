"""``stillbook templates``: the templates that come with Stillbook, and those of the office's own."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from stillbook.cli.outcome import Outcome, Reporting, ReportingGroup
from stillbook.cli.prompts import someone_is_there
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
@click.option(
    "--client", "shown", multiple=True, metavar="SHEET", help="A sheet that a client may see; may be repeated."
)
def add(file: Path, name: str, replace: bool, shown: tuple[str, ...]) -> Outcome:
    """Copy FILE, a workbook with named inputs, into your folder of templates, and show what it takes.

    A cell with a name that holds a typed value is an input, and one that holds a formula is a result. The words left
    of it or above it are its label, a unit right of it is its unit. A comment on the name says more, such as

    \b
    Inside length. | unit: ft | from: 3 | to: 60
    Kind of door. | choices: pair; single
    Name on the proposal. | text | optional
    """
    from stillbook.templates import custom

    learned = custom.add(file, name, replace=replace, shown=shown)
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
        "shown_to_client": learned.shown,
        "errors": len(learned.report.errors),
    }


def _show(file: Path, learned: custom.Learned) -> None:
    from stillbook.cli.inputs import show_inputs
    from stillbook.workbook.job.estimate import Job

    report = learned.report
    show_inputs(Job.open(learned.template.path))
    if report.results:
        say()
        rows = [(result.name, _short(result.value), result.unit, result.label) for result in report.results]
        show_table(("Result", "Value", "Unit", "What"), rows, right=("Value",))
    if report.checks:
        say(f"Checks: {len(report.checks)}")
    if learned.unnoted:
        say(
            "Neither inputs nor results, for want of a value or of a comment on the name that says what to write: "
            f"{', '.join(learned.unnoted)}"
        )
    if report.errors:
        count = len(report.errors)
        say(f'{count} {"cell shows" if count == 1 else "cells show"} an error as it is: see "stillbook calc {file}"')
    seen = learned.shown or _offered(learned.template)
    say(f"\nA client may see: {', '.join(seen) or 'nothing; --client SHEET marks a sheet'}")
    say(f"The template is {learned.template.path}")
    say(f'Each new estimate starts with the values above: "stillbook new {learned.template.name} FILE"')


def _offered(entry: custom.CustomTemplate) -> tuple[str, ...]:
    """Ask a person at the terminal which sheets a client may see, and mark them; gives those marked."""
    from stillbook.templates import custom
    from stillbook.workbook import WorkbookError

    if not someone_is_there():
        return ()
    say(f"\nIts sheets: {', '.join(custom.sheets(entry))}. A client sees none of them until you say so.")
    question = "Sheets that a client may see, apart by commas; Enter for none"
    while answer := click.prompt(question, default="", show_default=False).strip():
        try:
            return custom.show_to_client(entry, answer.split(","))
        except WorkbookError as error:
            say(str(error))
    return ()


def _short(value: Any) -> str:
    return f"{value:.6g}" if isinstance(value, float) else str(value if value is not None else "")


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
