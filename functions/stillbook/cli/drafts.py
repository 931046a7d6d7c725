"""What a command says that writes nothing for others while a workbook does not stand."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from stillbook.cli.failures import ERROR_IN_RESULT
from stillbook.cli.outcome import Outcome

if TYPE_CHECKING:
    from stillbook.workbook.job.draft import DraftError


def refused(path: Path, denied: DraftError) -> Outcome:
    """What stands in the way: on standard error, a line each."""

    def show() -> None:
        click.echo(f"stillbook: {path}: {denied.message}", err=True)
        for reason in denied.reasons:
            click.echo(f"  {reason}", err=True)

    failure = {"file": path, "error": "denied", "reason": denied.message, "reasons": denied.reasons}
    return Outcome(show, lambda: failure, ERROR_IN_RESULT)
