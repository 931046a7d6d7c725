"""``stillbook doctor``: how Stillbook stands on this computer."""

from __future__ import annotations

import click

from stillbook.cli.failures import ERROR_IN_RESULT, FINE
from stillbook.cli.screen import say, show_table


@click.command("doctor", short_help="Show what is installed here, and whether it calculates right.")
def command() -> int:
    """Show what is installed and connected here, and whether it calculates right."""
    from stillbook.doctor import findings, next_step
    from stillbook.hosts.host import Standing

    found = list(findings())
    show_table(("State", "What", "Version or place"), [(entry.standing, entry.subject, entry.line) for entry in found])
    if step := next_step(found):
        click.echo()
        say(f"Next: {step}")
    return ERROR_IN_RESULT if any(entry.standing is Standing.FAULT for entry in found) else FINE
