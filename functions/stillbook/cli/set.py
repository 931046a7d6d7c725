"""``stillbook set``: change inputs of a job."""

from __future__ import annotations

from pathlib import Path

import click

from stillbook.cli.input_values import from_file, from_settings
from stillbook.cli.outcome import Outcome, Reporting
from stillbook.cli.shapes import Calculated
from stillbook.cli.summary import summary
from stillbook.cli.workbooks import FILE, own_job


@click.command("set", cls=Reporting, gives=Calculated, short_help="Change inputs of a job, and calculate it.")
@click.argument("file", type=FILE)
@click.argument("settings", nargs=-1, metavar="NAME=VALUE...")
@click.option("--inputs", "listed", type=FILE, metavar="LIST", help="A TOML or CSV file with names and values.")
def command(file: Path, settings: tuple[str, ...], listed: Path | None) -> Outcome:
    """Set inputs of FILE, such as people=3 "room_length=2.4 m", calculate it and save it.

    All of them are set or, where one is refused, none, and FILE stays as it was. An empty value clears an input that
    may be blank. "stillbook inputs FILE" lists all inputs.
    """
    from stillbook.workbook.job.inputs import InputError

    named = from_settings(settings, "")
    given = {name.casefold() for name in named}
    values = {
        name: value for name, value in (from_file(listed) if listed else {}).items() if name.casefold() not in given
    }
    if not (values or named):
        raise click.UsageError('name an input and its value, such as people=3, or give a list with "--inputs"')
    job = own_job(file)
    try:
        job.set({**values, **named})
    except InputError as error:
        raise click.ClickException(f'{error} ("stillbook inputs {file}" lists all inputs)') from None
    report = job.calculate()
    job.save()
    return summary(file, report)
