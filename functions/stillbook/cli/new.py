"""``stillbook new``: start an estimate from a template."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import click

from stillbook.cli.opening import FILE, from_template, refuse_existing, units_option
from stillbook.cli.summary import finish


@click.command("new", short_help="Start an estimate from a template.")
@click.argument("template")
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
@units_option
def command(template: str, file: Path, settings: tuple[str, ...], listed: Path | None, units: str | None) -> int:
    """Start an estimate from TEMPLATE and save it, calculated, as FILE.

    TEMPLATE is a name that "stillbook templates" lists, or a workbook of your own. FILE ends in .xlsx and
    must not exist.
    """
    from stillbook.cli.given import from_file, from_settings
    from stillbook.workbook.inputs import InputError

    values: dict[str, Any] = from_file(listed) if listed else {}
    values = {**_without(values, named := from_settings(settings)), **named}
    refuse_existing(file)
    job = from_template(template, units)
    try:
        job.set(values)
    except InputError as error:
        raise click.ClickException(f'{error} ("stillbook inputs {template}" lists all inputs)') from None
    return finish(job, file)


def _without(values: Mapping[str, Any], named: Mapping[str, Any]) -> dict[str, Any]:
    """Values whose name is not given again."""
    again = {name.casefold() for name in named}
    return {name: value for name, value in values.items() if name.casefold() not in again}
