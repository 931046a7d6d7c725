"""``stillbook bids``: contractors' returned copies beside each other and our estimate."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from stillbook.cli.failures import FINE, WRONG_INPUT, told
from stillbook.cli.outcome import Outcome, Reporting
from stillbook.cli.screen import heading, say, show_table
from stillbook.cli.shapes import Bids
from stillbook.cli.workbooks import FILE, refuse_unfit, tell_versions

if TYPE_CHECKING:
    from stillbook.office.bids import BidComparison


@click.command("bids", cls=Reporting, gives=Bids, short_help="Compare the bids that contractors returned.")
@click.argument("files", nargs=-1, required=True, type=FILE, metavar="FILE...")
@click.argument("out", type=FILE)
@click.option("--job", required=True, type=FILE, metavar="JOB", help="The job from which the copies were shared.")
def command(files: tuple[Path, ...], out: Path, job: Path) -> Outcome:
    """Read each FILE that a contractor returned, and fill the bid comparison template with them as the workbook OUT.

    Missing lines, changed quantities, sums that do not add and prices that seem meant for another unit are listed.
    Sums alike in scope fill in what a bid leaves out. No FILE is changed.
    """
    from stillbook.office.bids import bids

    refuse_unfit(out)
    tell_versions(job)
    found = bids(files, job, out)
    code = WRONG_INPUT if found.unread else FINE
    return Outcome(lambda: _show(job, found, out), lambda: _data(job, found, out), code)


def _data(job: Path, found: BidComparison, out: Path) -> Mapping[str, Any]:
    from dataclasses import asdict

    return {
        "job": job,
        "written": out.absolute(),
        "our_cost": found.our_cost,
        "bids": [{**_without(asdict(bid), "written"), "as_written": bid.written} for bid in found.bids],
        "lines": [
            {
                **{name: getattr(entry.line, name) for name in ("number", "text", "unit", "quantity")},
                **_without(asdict(entry), "line"),
            }
            for entry in found.lines
        ],
        "findings": [asdict(finding) for finding in found.findings],
        "concerns": [asdict(finding) for finding in found.concerns],
        "unread": [{"file": file, "error": "input", "reason": reason} for file, reason in found.unread],
    }


def _without(data: dict[str, Any], name: str) -> dict[str, Any]:
    return {key: value for key, value in data.items() if key != name}


def _show(job: Path, found: BidComparison, out: Path) -> None:
    heading(f"{job}: {len(found.lines)} lines, {_money(found.our_cost)} by our estimate")
    show_table(
        ("Contractor", "As written", "Sum", "Alike in scope", "Missing"),
        [
            (bid.contractor, _money(bid.written), _money(bid.sum), _money(bid.alike), str(len(bid.missing)))
            for bid in found.bids
        ],
        right=("As written", "Sum", "Alike in scope", "Missing"),
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
    say(f"\nThe comparison is {out.absolute()}")
    for file, reason in found.unread:
        told(f"{file}: {reason}", WRONG_INPUT)


def _money(amount: float | None) -> str:
    return "" if amount is None else f"{amount:,.2f}"
