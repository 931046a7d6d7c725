"""``stillbook doctor``: how Stillbook stands on this computer."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import click

from stillbook.cli.failures import ERROR_IN_RESULT, FINE
from stillbook.cli.outcome import Outcome, Reporting
from stillbook.cli.screen import echo, say, show_table
from stillbook.cli.shapes import Health


@click.command(
    "doctor", cls=Reporting, gives=Health, short_help="Show what is installed here, and whether it calculates right."
)
def command() -> Outcome:
    """Show what is installed and connected here, and whether it calculates right."""
    from stillbook.doctor import findings, next_step
    from stillbook.hosts.host import Standing

    found = list(findings())
    step = next_step(found)

    def show() -> None:
        show_table(
            ("State", "What", "Version or place"), [(entry.standing, entry.subject, entry.line) for entry in found]
        )
        if step:
            echo()
            say(f"Next: {step}")

    def data() -> Mapping[str, Any]:
        looked = [
            {"subject": entry.subject, "state": entry.standing, "detail": entry.detail, "next": entry.next}
            for entry in found
        ]
        return {"findings": looked, "next": step}

    return Outcome(show, data, ERROR_IN_RESULT if any(entry.standing is Standing.FAULT for entry in found) else FINE)
