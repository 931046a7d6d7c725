"""``stillbook bids``: contractors' returned copies beside each other and our estimate."""

from __future__ import annotations

from pathlib import Path

import click

from stillbook.cli.failures import FINE, WRONG_INPUT, told
from stillbook.cli.screen import heading, show_table
from stillbook.cli.workbooks import FILE, refuse_unfit


@click.command("bids", short_help="Compare the bids that contractors returned.")
@click.argument("files", nargs=-1, required=True, type=FILE, metavar="FILE...")
@click.argument("out", type=FILE)
@click.option("--job", required=True, type=FILE, metavar="JOB", help="The job from which the copies were shared.")
def command(files: tuple[Path, ...], out: Path, job: Path) -> int:
    """Read each FILE that a contractor returned, and fill the bid comparison template with them as the workbook OUT.

    Missing lines, changed quantities, sums that do not add and prices that seem meant for another unit are listed.
    Levelled sums fill in what a bid leaves out. No FILE is changed.
    """
    from stillbook.office.bids import bids

    refuse_unfit(out)
    found = bids(files, job, out)
    heading(f"{job}: {len(found.lines)} lines, {_money(found.our_cost)} by our estimate")
    show_table(
        ("Contractor", "As written", "Sum", "Levelled", "Missing"),
        [
            (bid.contractor, _money(bid.written), _money(bid.sum), _money(bid.levelled), str(len(bid.missing)))
            for bid in found.bids
        ],
        right=("As written", "Sum", "Levelled", "Missing"),
    )
    heading("\nUnit prices")
    show_table(
        ("Line", "Ours", "Lowest", "Spread", "By", "What"),
        [
            (
                str(entry.line.number),
                _money(entry.our_price),
                _money(entry.prices.get(entry.lowest)),
                "" if entry.spread is None else f"{entry.spread:.0%}",
                entry.lowest or "nobody",
                f"{entry.line.text}, {entry.line.unit}",
            )
            for entry in found.lines
        ],
        right=("Line", "Ours", "Lowest", "Spread"),
    )
    listed = (*found.findings, *found.concerns)
    if listed:
        heading("\nTo look at")
        rows = [(str(entry.line or ""), entry.contractor, entry.text) for entry in listed]
        show_table(("Line", "Contractor", "What was found"), rows, right=("Line",))
    click.echo(f"\nThe comparison is {out.absolute()}")
    return max([FINE, *(told(f"{file}: {reason}", WRONG_INPUT) for file, reason in found.unread)])


def _money(amount: float | None) -> str:
    return "" if amount is None else f"{amount:,.2f}"
