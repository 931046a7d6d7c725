"""``stillbook options``: the options of an exploration, put into the job that was explored."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from stillbook.cli.outcome import Outcome, Reporting
from stillbook.cli.screen import heading, rounded, say, show_table, warn
from stillbook.cli.shapes import OptionsTaken
from stillbook.cli.summary import summary
from stillbook.cli.workbooks import FILE, own_job
from stillbook.workbook import WorkbookError

if TYPE_CHECKING:
    from stillbook.office.explore.options import Option

_SOME = 8
"""Inputs that are named of those that differ."""


@click.command("options", cls=Reporting, gives=OptionsTaken, short_help="Put the options of an exploration into a job.")
@click.argument("job", type=FILE)
@click.argument("out", type=FILE)
def command(job: Path, out: Path) -> Outcome:
    """Put the options that OUT shows, which "stillbook explore JOB OUT" wrote, into JOB; calculate it and save it.

    The first sheet of JOB then tells up to three ways to build it, each with its price, isolation, level inside and
    what it changes; options that it held before are replaced, and no other input is. Where JOB is no longer as it was
    explored, that is said.
    """
    from stillbook.office.explore.options import other_inputs, put_options, read_options

    own = own_job(job)
    options, explored = read_options(out)
    others = other_inputs(own, explored)
    try:
        put_options(own, options)
    except WorkbookError as error:
        raise click.ClickException(f"{job}: {error}") from None
    if others:
        more = f" and {len(others) - _SOME} more" if len(others) > _SOME else ""
        warn([f"{job} is not as it was when it was explored: {', '.join(others[:_SOME])}{more} differ."])
    report = own.calculate()
    own.save()
    calculated = summary(job, report)

    def show() -> None:
        heading(f"{job}: {len(options)} {'option' if len(options) == 1 else 'options'} of {out}")
        _show(options)
        say()
        calculated.show()

    return Outcome(
        show,
        lambda: {**calculated.data(), "options": [_data(one) for one in options], "others": others},
        calculated.code,
    )


def _show(options: Sequence[Option]) -> None:
    figures = [[rounded(value) for value in (one.price, one.isolation, one.level)] for one in options]
    rows = [(one.called, str(one.number), *held, one.words) for one, held in zip(options, figures, strict=True)]
    show_table(
        ("Option", "Variant", "Price", "STC", "NC inside", "What changes"),
        rows,
        right=("Variant", "Price", "STC", "NC inside"),
    )


def _data(one: Option) -> dict[str, Any]:
    return {
        "called": one.called,
        "number": one.number,
        "price": one.price,
        "isolation": one.isolation,
        "level": one.level,
        "changes": list(one.changes),
    }
