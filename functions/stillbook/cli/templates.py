"""``stillbook templates``: the templates that come with Stillbook."""

from __future__ import annotations

import click

from stillbook.cli.failures import FINE
from stillbook.cli.screen import say, show_table


@click.command("templates", short_help="List the templates.")
def command() -> int:
    """List the templates that come with Stillbook."""
    from stillbook.templates.shipped import TEMPLATES

    rows = [(entry.name, " ".join(entry.systems) or "missing", entry.summary) for entry in TEMPLATES]
    show_table(("Template", "Units", "Purpose"), rows)
    say('\n"stillbook new TEMPLATE FILE" starts an estimate; "stillbook inputs TEMPLATE" lists what can be set.')
    return FINE
