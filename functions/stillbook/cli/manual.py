"""``stillbook manual``: the manual as a folder of pages."""

from __future__ import annotations

from pathlib import Path

import click

from stillbook.cli import shapes
from stillbook.cli.outcome import Outcome, Reporting
from stillbook.cli.screen import say


@click.command(
    "manual", cls=Reporting, gives=shapes.Manual, short_help="Write the manual as a folder of pages with a search."
)
@click.argument("folder", type=click.Path(path_type=Path, readable=False), metavar="DIR")
def command(folder: Path) -> Outcome:
    """Write the manual into DIR, a new folder: a page for each family of formulas and each template, and a search.

    It is opened with any browser, from a disk or a shared folder, and needs neither network nor service.
    """
    from stillbook.manual import write

    made = write(folder)
    start = made.start.absolute()

    def show() -> None:
        say(f"{made.pages} pages, with a search over all of them.")
        say(f"Open {start}")

    return Outcome(show, lambda: {"written": made.folder.absolute(), "start": start, "pages": made.pages})
