"""``stillbook share``: a copy for a reader outside the office."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click

from stillbook.cli.drafts import refused
from stillbook.cli.outcome import Outcome, Reporting
from stillbook.cli.screen import say
from stillbook.cli.shapes import Shared
from stillbook.cli.workbooks import FILE, refuse_unfit, tell_versions

if TYPE_CHECKING:
    from stillbook.share.copies import SharedCopy
    from stillbook.workbook.job.audience import Audience

MOST_NAMED: Final = 12
"""How many cells a line names before it counts the rest."""

READERS: Final[tuple[Audience, ...]] = ("client", "contractor")


@click.command(
    "share", cls=Reporting, gives=Shared, short_help="Write a copy with only what a client or a contractor may see."
)
@click.argument("file", type=FILE)
@click.argument("out", type=FILE)
@click.option("--for", "reader", required=True, type=click.Choice(READERS, case_sensitive=False), help="Who reads it.")
@click.option(
    "--draft", is_flag=True, help="Share it though a check fails or a cell is an error, each page marked as a draft."
)
def command(file: Path, out: Path, reader: Audience, draft: bool) -> Outcome:
    """Write OUT, a copy of FILE that holds what its reader may see and nothing else.

    A FILE with a failing check or an error is refused, unless a marked draft is asked for.
    OUT is searched for everything withheld before it is written. FILE is not changed.
    """
    from stillbook.share.copies import share
    from stillbook.workbook.job.draft import DraftError

    refuse_unfit(out)
    tell_versions(file)
    try:
        copy = share(file, out, reader, draft=draft)
    except DraftError as denied:
        return refused(file, denied)
    return Outcome(lambda: _show(copy), lambda: _data(file, copy))


def _data(file: Path, copy: SharedCopy) -> Mapping[str, Any]:
    told = {name: getattr(copy, name) for name in copy.__slots__ if name != "path"}
    return {"file": file, "written": copy.path.absolute(), **told}


def _show(copy: SharedCopy) -> None:
    kept = f", {copy.formulas} of its formulas kept" if copy.formulas else ""
    say(f"For the {copy.audience}: {', '.join(copy.sheets)}{kept}")
    say(f"Searched for {copy.searched} texts and numbers that are withheld: none is in it.")
    if copy.taken:
        say(f"Taken over besides cells: {', '.join(copy.taken)}")
    if copy.unseen:
        say(f"Not seen on the page, so not in the copy: {_listed(copy.unseen)}")
    if copy.fixed:
        say(f"Values now, though what the reader fills in should change them: {_listed(copy.fixed)}")
    if copy.left_out:
        say(f"Left out of what is shown: {'; '.join(copy.left_out)}")
    if copy.mark:
        say(f"On each page: {copy.mark}")
    for rule in copy.failed:
        say(f"The workbook fails a check: {rule}")
    say(f"\nThe copy is {copy.path.absolute()}")


def _listed(places: tuple[str, ...]) -> str:
    """Cells by name, the first few of many."""
    rest = len(places) - MOST_NAMED
    return ", ".join(places[:MOST_NAMED]) + (f" and {rest} more" if rest > 0 else "")
