"""``stillbook reprice``: new prices in jobs."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click

from stillbook.cli.differences import code_for, differences_data, show_differences
from stillbook.cli.each_file import for_each
from stillbook.cli.failures import ERROR_IN_RESULT, WRONG_INPUT
from stillbook.cli.outcome import Outcome, Reporting, failed
from stillbook.cli.screen import figure, heading, say, show_table
from stillbook.cli.shapes import AllRepriced
from stillbook.cli.workbooks import FILE, tell_versions

if TYPE_CHECKING:
    from stillbook.office.reprice import Repriced

_DENIED: Final = ("fails", "error")


@click.command(
    "reprice", cls=Reporting, gives=AllRepriced, short_help="Bring new prices into jobs, and show what moved."
)
@click.argument("jobs", nargs=-1, required=True, type=FILE, metavar="JOB...")
@click.option("--prices", "book", required=True, type=FILE, metavar="BOOK", help="A price book, or another estimate.")
@click.option("--level", default="", help="The price level of BOOK, by its name there; plain costs when left out.")
@click.option("--trial", is_flag=True, help="Only show what would move; no job is changed.")
def command(jobs: tuple[Path, ...], book: Path, level: str, trial: bool) -> Outcome:
    """Bring the prices of BOOK into each JOB by code, calculate it and save it.

    Each price that changed is shown, each line that moved, and the new total. A price in another unit than the job
    counts in is not taken, nor one that is blank, no number or nothing: the exit code is then 1, as it is where a check
    fails that did not before.
    """
    from stillbook.office.reprice import read_prices, reprice

    prices = read_prices(book, level)

    def repriced(job: Path) -> Repriced:
        tell_versions(job)
        return reprice(job, prices, write=not trial)

    done = for_each(jobs, "Repricing", repriced)
    each = [failed(job, what) if isinstance(what, str) else _outcome(what) for job, what in done]
    codes = [one.code for one in each]

    def show() -> None:
        for one in each:
            one.show()
            if len(done) > 1 and one.code != WRONG_INPUT:
                say()
        if len(done) > 1:
            changed = sum(not isinstance(what, str) and bool(what.moved) for _, what in done)
            wrong = codes.count(WRONG_INPUT)
            fate = "would change" if trial else "changed"
            say(f"{len(done)} jobs: {changed} {fate}, {len(done) - changed - wrong} as they were, {wrong} not repriced")

    return Outcome(show, lambda: {"trial": trial, "jobs": [one.data() for one in each]}, max(codes))


def _outcome(done: Repriced) -> Outcome:
    """What became of one job."""
    denied = any(check.after in _DENIED for check in done.checks)
    code = ERROR_IN_RESULT if done.refused or denied else code_for((*done.lines, *done.results))
    return Outcome(lambda: _show(done), lambda: _data(done), code)


def _data(done: Repriced) -> Mapping[str, Any]:
    return {
        "file": done.path,
        "saved": done.saved,
        "moved": [{name: getattr(price, name) for name in price.__slots__} for price in done.moved],
        "differences": differences_data((*done.lines, *done.results, *done.checks)),
        "refused": done.refused,
        "missing": done.missing,
    }


def _show(done: Repriced) -> None:
    """Print what new prices did to a job."""
    count = len(done.moved)
    fate = "saved" if done.saved else "not changed" if count else "nothing to change"
    heading(f"{done.path}: {count} {'price moves' if count == 1 else 'prices move'}, {fate}")
    if done.moved:
        rows = [(m.code, figure(m.before) or "blank", figure(m.after), m.what) for m in done.moved]
        show_table(("Code", "Before", "Now", "Price"), rows, right=("Before", "Now"))
    show_differences((*done.lines, *done.results, *done.checks))
    for refusal in done.refused:
        say(f"Not taken: {refusal}")
    if done.missing:
        say(f"No new price for {', '.join(done.missing)}: they keep the old one")
