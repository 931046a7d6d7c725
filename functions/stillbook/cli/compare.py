"""``stillbook compare``: what differs between two workbooks."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import click

from stillbook.cli.differences import differences_data, show_differences
from stillbook.cli.outcome import Outcome, Reporting
from stillbook.cli.screen import heading, say
from stillbook.cli.shapes import Compared
from stillbook.cli.workbooks import FILE, refuse_unfit


@click.command("compare", cls=Reporting, gives=Compared, short_help="Show what differs between two workbooks.")
@click.argument("first", type=FILE)
@click.argument("second", type=FILE)
@click.option("--out", type=FILE, metavar="WORKBOOK", help="Write them as a workbook, too.")
def command(first: Path, second: Path, out: Path | None) -> Outcome:
    """Show what differs between FIRST and SECOND, two revisions of a job or two options for it.

    Inputs, results, quantities, costs, prices and checks. Both are calculated first, and neither is changed.
    """
    from stillbook.office.compare import compare, write_comparison

    if out is not None:
        refuse_unfit(out)
    comparison = compare(first, second)
    if out is not None:
        write_comparison(comparison, out)

    def show() -> None:
        alike = sum(comparison.same.values())
        heading(f"{first} and {second}: {len(comparison.differences)} differ, {alike} alike")
        show_differences(comparison.differences)
        if out is not None:
            say(f"\nThe comparison is {out.absolute()}")

    def data() -> Mapping[str, Any]:
        return {
            "first": first,
            "second": second,
            "same": comparison.same,
            "differences": differences_data(comparison.differences),
            "written": out and out.absolute(),
        }

    return Outcome(show, data)
