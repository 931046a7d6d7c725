"""Opening what a command names: a shipped template, or a workbook of the user's own."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

if TYPE_CHECKING:
    from stillbook.workbook.job import Job

SUFFIX: Final = ".xlsx"

FILE: Final = click.Path(path_type=Path, readable=False)
"""A file named on the command line; whoever opens it tells what is wrong with it."""

units_option: Final = click.option(
    "--units",
    type=click.Choice(["US", "SI"], case_sensitive=False),
    help="Unit system of a shipped template; US when left out.",
)


def from_template(name: str, units: str | None) -> Job:
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


def refuse_existing(path: Path) -> None:
    """See that a new file takes nobody's place.

    Raises:
        ClickException: If a file of that name is there.
    """
    if path.exists():
        raise click.ClickException(f"{path}: it exists already: choose another name, or remove it first")
