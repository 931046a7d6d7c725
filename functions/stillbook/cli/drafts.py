"""What a command says that writes nothing for others while a workbook does not stand."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from stillbook.cli.failures import ERROR_IN_RESULT

if TYPE_CHECKING:
    from stillbook.workbook.job.draft import DraftError


def refused(path: Path, denied: DraftError) -> int:
    """Say on standard error what stands in the way, a line each, and give the exit code."""
    click.echo(f"stillbook: {path}: {denied.message}", err=True)
    for reason in denied.reasons:
        click.echo(f"  {reason}", err=True)
    return ERROR_IN_RESULT
