"""What a command says that writes nothing for others while a workbook does not stand."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from stillbook.cli.failures import ERROR_IN_RESULT
from stillbook.cli.outcome import Outcome
from stillbook.cli.screen import complain

if TYPE_CHECKING:
    from stillbook.workbook.job.draft import DraftError


def refused(path: Path, denied: DraftError) -> Outcome:
    """What stands in the way: on standard error, a line each."""

    def show() -> None:
        complain(f"stillbook: {path}: {denied.message}")
        for reason in denied.reasons:
            complain(f"  {reason}")

    failure = {"file": path, "error": "denied", "reason": denied.message, "reasons": denied.reasons}
    return Outcome(show, lambda: failure, ERROR_IN_RESULT)
