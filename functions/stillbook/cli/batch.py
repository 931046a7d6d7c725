"""``stillbook batch``: one task over all workbooks of a folder."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click

from stillbook.cli import shapes
from stillbook.cli.failures import ERROR_IN_RESULT, FINE, STOPPED, WRONG_INPUT, told
from stillbook.cli.outcome import Outcome, Reporting
from stillbook.cli.screen import progress_bar, say
from stillbook.cli.workbooks import FILE

if TYPE_CHECKING:
    from stillbook.office.batch import Action, Batch, BatchRow

TASKS: Final[tuple[Action, ...]] = ("calculate", "check", "reprice")


@click.command(
    "batch", cls=Reporting, gives=shapes.Batch, short_help="Calculate, check or reprice all workbooks of a folder."
)
@click.argument("folder", type=FILE)
@click.option(
    "--do",
    "task",
    type=click.Choice(TASKS, case_sensitive=False),
    default="calculate",
    help="What to do with each: calculate and save it (when left out), check it without saving, or reprice it.",
)
@click.option("--register", type=FILE, default="register.csv", metavar="FILE", help="register.csv when left out.")
@click.option("--prices", "book", type=FILE, metavar="BOOK", help="A price book, or another estimate, to reprice.")
@click.option("--level", default="", help="The price level of BOOK to take; its plain costs when left out.")
@click.option("--workers", type=click.IntRange(1), help="Processes at work at once; one a processor when left out.")
@click.option("--cluster", default="", metavar="ADDRESS", help="A Dask scheduler whose workers see the same folder.")
def command(
    folder: Path, task: Action, register: Path, book: Path | None, level: str, workers: int | None, cluster: str
) -> Outcome:
    """Do a task with each workbook in FOLDER and the folders in it, and write a register with one row a job.

    The register ends in .csv, .parquet or .xlsx. A bad workbook stops no other. A batch that was stopped goes on where
    it was when the same command is run again.
    """
    from stillbook.office.batch import Task, batch
    from stillbook.office.reprice import read_prices

    if (task == "reprice") != (book is not None) or (level and book is None):
        raise click.UsageError("--do reprice needs --prices, and nothing else takes --prices or --level")
    plan = Task(task, read_prices(book, level)) if book is not None else Task(task)
    try:
        with progress_bar(_file) as progress:
            done = batch(folder, register, plan, workers=workers, cluster=cluster, progress=progress)
    except KeyboardInterrupt:
        stopped = "stopped; no file was left half written: the same command again goes on from here"
        return Outcome(lambda: told(stopped, STOPPED), lambda: {"error": "stopped", "reason": stopped}, STOPPED)
    wrong = any(row.errors or row.fails for row in done.rows)
    failed = any(row.state == "failed" for row in done.rows)
    return Outcome(
        lambda: _show(done), lambda: _data(done), WRONG_INPUT if failed else ERROR_IN_RESULT if wrong else FINE
    )


def _file(row: BatchRow) -> str:
    return row.file


def _data(done: Batch) -> Mapping[str, Any]:
    names = shapes.BatchRow.__annotations__
    rows = [{name: getattr(row, name) for name in names} for row in done.rows]
    return {"written": done.register.absolute(), "resumed": done.resumed, "rows": rows}


def _show(done: Batch) -> None:
    """Print what became of a batch."""
    failed = [row for row in done.rows if row.state == "failed"]
    for row in failed:
        told(f"{row.file}: {row.message}", WRONG_INPUT)
    counts = {
        "without errors": sum(row.state == "done" and not row.errors for row in done.rows),
        "with error cells": sum(row.errors > 0 for row in done.rows),
        "failed": len(failed),
        "with failing checks": sum(row.fails > 0 for row in done.rows),
        "to be filled in": sum(bool(row.missing) for row in done.rows),
        "with changed prices": sum(row.moved > 0 for row in done.rows),
        "done before the stop": done.resumed,
    }
    say(f"{len(done.rows)} workbooks: " + ", ".join(f"{count} {words}" for words, count in counts.items() if count))
    say(f"The register is {done.register.absolute()}")
