"""``stillbook convert``: a workbook's formulas as a spreadsheet program reads them."""

from __future__ import annotations

from pathlib import Path

import click

from stillbook.cli.connect import PROGRAM
from stillbook.cli.outcome import Outcome, Reporting
from stillbook.cli.screen import say
from stillbook.cli.shapes import Converted
from stillbook.cli.workbooks import FILE, SUFFIX
from stillbook.hosts.registry import HOSTS

_READS = "\n\n".join(f"{host.title}: {host.reads}" for host in HOSTS.values())


@click.command(
    "convert",
    cls=Reporting,
    gives=Converted,
    short_help="Write a workbook's formulas as a spreadsheet program reads them.",
    help=(
        "Write FILE as OUT, with the names of our formulas as a spreadsheet program reads them.\n\n"
        "Numbers and all else stay as they are, and Stillbook calculates every spelling. OUT may be FILE itself.\n\n"
        f"{_READS}"
    ),
)
@click.argument("file", type=FILE)
@click.argument("out", type=FILE)
@click.option("--for", "program", required=True, type=PROGRAM, help="The program that shall calculate it.")
def command(file: Path, out: Path, program: str) -> Outcome:
    """Heal a workbook for a host."""
    from stillbook.workbook.file.saving import refuse_existing

    if out.suffix.lower() != SUFFIX:
        raise click.ClickException(f"{out}: give a file name that ends in {SUFFIX}")
    if not (out.exists() and file.exists() and out.samefile(file)):
        refuse_existing(out)
    lines = HOSTS[program].heal(file, out)
    return Outcome(
        lambda: say("\n".join(lines)),
        lambda: {"program": program, "lines": lines, "file": file, "written": out.absolute()},
    )
