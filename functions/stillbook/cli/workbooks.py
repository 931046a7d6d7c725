"""Opening what a command names: a template, shipped or of the office's own, or a workbook."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from stillbook.cli.screen import warn

if TYPE_CHECKING:
    from stillbook.workbook.job.estimate import Job

SUFFIX: Final = ".xlsx"

FILE: Final = click.Path(path_type=Path, readable=False)
"""A file named on the command line; whoever opens it tells what is wrong with it."""

units_option: Final = click.option(
    "--units",
    type=click.Choice(["US", "SI"], case_sensitive=False),
    help="Units of a shipped template; when left out those of the job that inputs come from, else US.",
)


def from_template(name: str, units: str | None, like: Path | None = None) -> Job:
    """A job from a template or a workbook file; nothing is written yet."""
    from stillbook.workbook.job.estimate import Job

    return Job.open(template_path(name, units, like))


def own_job(path: Path) -> Job:
    """A job that is about to be calculated and saved, told of if other formulas or an older template made it."""
    from stillbook.office.origins import news
    from stillbook.workbook.job.estimate import Job

    job = Job.open(path)
    warn(news(path, job.origin, job.package.title()))
    return job


def tell_versions(*paths: Path) -> None:
    """Tell of workbooks that a command reads if other formulas or an older template made them."""
    from stillbook.office.origins import news
    from stillbook.workbook.file.origin import origin
    from stillbook.workbook.file.package import Package

    for path in paths:
        if path.is_file():
            package = Package.open(path, sheets=False)
            warn(news(path, origin(package.properties()), package.title()))


def template_path(name: str, units: str | None, like: Path | None = None) -> Path:
    """The workbook that a name stands for: that of a shipped template, of one of the office's own, or the file itself.

    Args:
        name: What the command was given.
        units: The unit system of a shipped template.
        like: A job whose unit system is taken where none is given.

    Raises:
        ClickException: If there is no such template, its workbook is missing, or units are given where it has its own.
        WorkbookError: If that job cannot be opened.
    """
    from stillbook.templates import custom
    from stillbook.templates.shipped import template

    is_file = name.lower().endswith(SUFFIX)
    mine = None if is_file else custom.find(name)
    if is_file or mine:
        if units:
            raise click.UsageError(f"--units is for shipped templates: {name} has its own units")
        return mine.path if mine else Path(name)
    try:
        entry = template(name)
    except LookupError as error:
        others = "".join(f", {other.name}" for other in custom.listed())
        raise click.ClickException(f"{error}{others}, or give a workbook that ends in {SUFFIX}") from None
    path = entry.path("SI" if units == "SI" or (units is None and like and _is_metric(like)) else "US")
    if not path.is_file():
        raise click.ClickException(f"the template {entry.name} is missing in {path.parent}: install Stillbook again")
    return path


def is_shipped(name: str) -> bool:
    """Whether a name stands for a shipped template."""
    from stillbook.templates import custom
    from stillbook.templates.shipped import template

    if name.lower().endswith(SUFFIX) or custom.find(name):
        return False
    try:
        template(name)
    except LookupError:
        return False
    return True


def _is_metric(path: Path) -> bool:
    """Whether more inputs of a workbook are in metric units than in the units of the US."""
    from stillbook.quantities import KINDS
    from stillbook.workbook.job.estimate import Job

    found = [entry.spec.unit for entry in Job.open(path).inputs.values()]
    metric = {kind.si for kind in KINDS.values() if kind.us != kind.si}
    other = {kind.us for kind in KINDS.values() if kind.us != kind.si}
    return sum(unit in metric for unit in found) > sum(unit in other for unit in found)


def refuse_unfit(path: Path) -> None:
    """See that a new workbook can be written, before any work is done or asked for it.

    Raises:
        ClickException: If the name is no workbook's, or the folder is not there.
        WorkbookError: If a file of that name is there.
    """
    if path.suffix.lower() != SUFFIX:
        raise click.ClickException(f"{path}: give a file name that ends in {SUFFIX}")
    from stillbook.workbook.file.saving import refuse_existing

    refuse_existing(path)
    if not path.parent.is_dir():
        raise click.ClickException(f"{path}: there is no folder {path.parent}: make it first, or choose another")
