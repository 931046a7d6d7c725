"""``stillbook convert``: a workbook's formulas as a spreadsheet program reads them."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import click

from stillbook.cli.workbooks import FILE, SUFFIX

_SPELLED: Final = {"libreoffice": "libreoffice", "excel": "excel", "browser": "web"}
"""The programs as commands name them, and as the conversion does."""


@click.command("convert", short_help="Write a workbook's formulas as a spreadsheet program reads them.")
@click.argument("file", type=FILE)
@click.argument("out", type=FILE)
@click.option(
    "--for",
    "program",
    required=True,
    type=click.Choice(list(_SPELLED), case_sensitive=False),
    help="The program that shall calculate it.",
)
def command(file: Path, out: Path, program: str) -> None:
    """Write FILE as OUT, with the names of our formulas as a spreadsheet program reads them.

    LibreOffice 7 needs this: it reads STILL.DOORMASS where a file usually holds STILL_DOORMASS. Numbers and all else
    stay as they are, and Stillbook calculates every spelling. OUT may be FILE itself.
    """
    from stillbook.hosts.libreoffice.conversion import convert
    from stillbook.workbook.file.saving import refuse_existing

    if out.suffix.lower() != SUFFIX:
        raise click.ClickException(f"{out}: give a file name that ends in {SUFFIX}")
    if not (out.exists() and file.exists() and out.samefile(file)):
        refuse_existing(out)
    count = convert(file, out, _SPELLED[program])
    click.echo(f"{out.absolute()}: {count} {'formula' if count == 1 else 'formulas'} respelled for {program}")
