"""``stillbook compare``: what differs between two workbooks."""

from __future__ import annotations

import json
from pathlib import Path

import click

from stillbook.cli.differences import show_differences
from stillbook.cli.failures import FINE
from stillbook.cli.screen import heading
from stillbook.cli.workbooks import FILE, refuse_unfit


@click.command("compare", short_help="Show what differs between two workbooks.")
@click.argument("first", type=FILE)
@click.argument("second", type=FILE)
@click.option("--json", "as_json", is_flag=True, help="Print all differences for a program to read.")
@click.option("--out", type=FILE, metavar="WORKBOOK", help="Write them as a workbook, too.")
def command(first: Path, second: Path, as_json: bool, out: Path | None) -> int:
    """Show what differs between FIRST and SECOND, two revisions of a job or two options for it.

    Inputs, results, quantities, costs, prices and checks. Both are calculated first, and neither is changed.
    """
    from stillbook.office.compare import compare, write_comparison

    if out is not None:
        refuse_unfit(out)
    comparison = compare(first, second)
    if out is not None:
        write_comparison(comparison, out)
    if as_json:
        click.echo(json.dumps(comparison.as_data(), allow_nan=False))
        return FINE
    heading(f"{first} and {second}: {len(comparison.differences)} differ, {sum(comparison.same.values())} alike")
    show_differences(comparison.differences)
    if out is not None:
        click.echo(f"\nThe comparison is {out.absolute()}")
    return FINE
