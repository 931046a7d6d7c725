"""``stillbook print``: the proposal of a workbook as a PDF file."""

from __future__ import annotations

from pathlib import Path

import click

from stillbook.cli.failures import ERROR_IN_RESULT, FINE
from stillbook.cli.workbooks import FILE


@click.command("print", short_help="Print the proposal of a workbook to a PDF file.")
@click.argument("file", type=FILE)
@click.option("--sheet", "sheets", multiple=True, metavar="NAME", help="A sheet to print instead; may be repeated.")
@click.option("--out", type=FILE, metavar="PDF", help="The PDF file; named like the workbook when left out.")
def command(file: Path, sheets: tuple[str, ...], out: Path | None) -> int:
    """Calculate FILE and print its proposal to a PDF file, through LibreOffice. The workbook is not changed.

    Where there is no sheet Proposal, the sheets for a client are printed.
    """
    from stillbook.hosts.libreoffice.printing import print_proposal
    from stillbook.workbook.file.saving import refuse_existing

    target = out or file.with_suffix(".pdf")
    refuse_existing(target)
    lines = print_proposal(file, target, sheets)
    for line in lines:
        click.echo(line)
    return FINE if len(lines) == 1 else ERROR_IN_RESULT
