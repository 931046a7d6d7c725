"""``stillbook print``: the proposal of a workbook as a PDF file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from stillbook.cli.drafts import refused
from stillbook.cli.failures import ERROR_IN_RESULT, FINE
from stillbook.cli.outcome import Outcome, Reporting
from stillbook.cli.screen import say
from stillbook.cli.shapes import Printed
from stillbook.cli.workbooks import FILE, tell_versions
from stillbook.workbook.job.audience import PRINT_SETS

if TYPE_CHECKING:
    from stillbook.workbook.job.audience import PrintSet


@click.command("print", cls=Reporting, gives=Printed, short_help="Print the proposal of a workbook to a PDF file.")
@click.argument("file", type=FILE)
@click.option("--sheet", "sheets", multiple=True, metavar="NAME", help="A sheet to print instead; may be repeated.")
@click.option(
    "--set", "print_set", type=click.Choice(PRINT_SETS), help="A set of sheets: for the client, the site or the office."
)
@click.option("--out", type=FILE, metavar="PDF", help="The PDF file; named like the workbook when left out.")
@click.option(
    "--draft", is_flag=True, help="Print it though a check fails or a cell is an error, each page marked as a draft."
)
def command(file: Path, sheets: tuple[str, ...], print_set: PrintSet | None, out: Path | None, draft: bool) -> Outcome:
    """Calculate FILE and print its proposal to a PDF file, through LibreOffice. The workbook is not changed.

    Where there is no sheet Proposal, the sheets for a client are printed. The set "client" is all that a client is
    shown, "site" what the people who build need, and "office" every sheet but empty ones and those that are only typed
    or looked up; the office's set may hold costs, so keep it. A FILE with a failing check or an error is
    refused, unless a marked draft is asked for.
    """
    from stillbook.hosts.libreoffice.printing import print_proposal
    from stillbook.workbook.file.saving import refuse_existing
    from stillbook.workbook.job.draft import DraftError

    if sheets and print_set:
        raise click.UsageError("give --set or --sheet, not both")
    target = out or file.with_suffix(".pdf")
    refuse_existing(target)
    tell_versions(file)
    try:
        lines = print_proposal(file, target, sheets, draft=draft, print_set=print_set)
    except DraftError as denied:
        return refused(file, denied)
    return Outcome(
        lambda: say("\n".join(lines)),
        lambda: {"file": file, "written": target.absolute(), "lines": lines},
        FINE if len(lines) == 1 else ERROR_IN_RESULT,
    )
