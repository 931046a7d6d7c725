"""``stillbook calc``: calculate workbooks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

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
@click.option("--mend", is_flag=True, help="Look for the nearest change with which each failing check passes.")
def command(files: tuple[Path, ...], mend: bool) -> Outcome:
    """Calculate each FILE, save the numbers in it, and show its results, checks and errors.

    Text with a unit in an input cell is read as a number. The exit code is 1 where an input cell holds what its input
    does not take, a check fails, or a cell is an error. With --mend those inputs are tried that the
    workbook marks as choices, one at a time and then two; nothing of that is written.
    """
    done = [
        failed(path, outcome) if isinstance(outcome, str) else _with_mendings(summary(path, outcome), path, mend)
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


def _with_mendings(outcome: Outcome, path: Path, wanted: bool) -> Outcome:
    """What a workbook says, and what would make its failing checks pass."""
    if not wanted:
        return outcome
    from stillbook.office.explore.mending import mendings

    found = mendings(path)

    def show() -> None:
        outcome.show()
        for mending in found:
            say(f"  {mending.rule}: {mending.words}")

    def data() -> Mapping[str, Any]:
        fields = [{name: getattr(each, name) for name in ("rule", "kind", "price", "left", "tried")} for each in found]
        changes = [[asdict(change) for change in each.changes] for each in found]
        return {
            **outcome.data(),
            "mendings": [{**held, "changes": made} for held, made in zip(fields, changes, strict=True)],
        }

    return Outcome(show, data, outcome.code)


def _calculated(path: Path) -> Report:
    """Calculate a workbook and save it in place."""
    job = own_job(path)
    report = job.calculate()
    job.save()
    return report
