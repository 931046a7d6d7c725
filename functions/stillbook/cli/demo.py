"""``stillbook demo``: an estimate for an invented client."""

from __future__ import annotations

from itertools import count
from pathlib import Path

import click

from stillbook.cli.outcome import Outcome, Reporting
from stillbook.cli.screen import say
from stillbook.cli.shapes import Started
from stillbook.cli.summary import finish
from stillbook.cli.workbooks import from_template, units_option


@click.command("demo", cls=Reporting, gives=Started, short_help="Make an estimate for an invented client, and show it.")
@units_option
def command(units: str | None) -> Outcome:
    """Make an estimate for an invented client in this folder, calculate it and show its results."""
    from stillbook.templates.demo import TEMPLATE, values

    first = Path("demo-estimate.xlsx")
    path = next(p for n in count(1) if not (p := first.with_stem(f"{first.stem}-{n}") if n > 1 else first).exists())
    job = from_template(TEMPLATE, units)
    job.set(values())
    made = finish(job, path)

    def show() -> None:
        if path != first:
            say(f"{first} is here already and stays as it is.")
        made.show()
        say(f"\nYour own:\n  stillbook new {TEMPLATE} my-room.xlsx --set people=3 --set room_length=9ft")

    return Outcome(show, made.data, made.code)
