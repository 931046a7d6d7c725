"""``stillbook calc``: calculate workbooks."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from stillbook.cli.each_file import for_each
from stillbook.cli.failures import ERROR_IN_RESULT, FINE, WRONG_INPUT
from stillbook.cli.outcome import Outcome, Reporting, failed
from stillbook.cli.screen import say
from stillbook.cli.shapes import AllCalculated
from stillbook.cli.summary import summary
from stillbook.cli.workbooks import FILE, own_job

if TYPE_CHECKING:
    from stillbook.workbook.job.estimate import Report

_OUTCOMES: Final = {FINE: "stand", ERROR_IN_RESULT: "do not stand", WRONG_INPUT: "not calculated"}


@click.command(
    "calc",
    cls=Reporting,
    gives=AllCalculated,
    short_help="Calculate workbooks, and show results, checks and errors.",
)
@click.argument("files", nargs=-1, required=True, type=FILE, metavar="FILE...")
def command(files: tuple[Path, ...]) -> Outcome:
    """Calculate each FILE, save the numbers in it, and show its results, checks and errors.

    Text with a unit in an input cell is read as a number. The exit code is 1 where an input cell holds what its input
    does not take, a check fails, or a cell is an error.
    """
    done = [
        failed(path, outcome) if isinstance(outcome, str) else summary(path, outcome)
        for path, outcome in for_each(files, "Calculating", _calculated)
    ]
    codes = [each.code for each in done]

    def show() -> None:
        for each in done:
            each.show()
            if len(done) > 1 and each.code != WRONG_INPUT:
                say()
        if len(done) > 1:
            counts = ((codes.count(code), words) for code, words in _OUTCOMES.items())
            say(f"{len(done)} workbooks: " + ", ".join(f"{number} {words}" for number, words in counts if number))

    return Outcome(show, lambda: {"workbooks": [each.data() for each in done]}, max(codes))


def _calculated(path: Path) -> Report:
    """Calculate a workbook and save it in place."""
    job = own_job(path)
    report = job.calculate()
    job.save()
    return report
