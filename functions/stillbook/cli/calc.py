"""``stillbook calc``: calculate workbooks."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from stillbook.cli.each_file import for_each
from stillbook.cli.failures import ERROR_IN_RESULT, FINE, WRONG_INPUT, told
from stillbook.cli.screen import say
from stillbook.cli.summary import summarise
from stillbook.cli.workbooks import FILE, own_job

if TYPE_CHECKING:
    from stillbook.workbook.job.estimate import Report

_OUTCOMES: Final = {FINE: "stand", ERROR_IN_RESULT: "do not stand", WRONG_INPUT: "not calculated"}


@click.command("calc", short_help="Calculate workbooks, and show results, checks and errors.")
@click.argument("files", nargs=-1, required=True, type=FILE, metavar="FILE...")
def command(files: tuple[Path, ...]) -> int:
    """Calculate each FILE, save the numbers in it, and show its results, checks and errors.

    Text with a unit in an input cell is read as a number. The exit code is 1 where an input cell holds what its input
    does not take, a check fails, or a cell is an error.
    """
    codes = []
    done = for_each(files, "Calculating", _calculated)
    for path, outcome in done:
        if isinstance(outcome, str):
            codes.append(told(outcome, WRONG_INPUT))
        else:
            codes.append(summarise(path, outcome))
            if len(done) > 1:
                say()
    if len(codes) > 1:
        counts = ((codes.count(code), words) for code, words in _OUTCOMES.items())
        say(f"{len(codes)} workbooks: " + ", ".join(f"{number} {words}" for number, words in counts if number))
    return max(codes)


def _calculated(path: Path) -> Report:
    """Calculate a workbook and save it in place."""
    job = own_job(path)
    report = job.calculate()
    job.save()
    return report
