"""``stillbook draw``: the drawings of a workbook, for programs that draw."""

from __future__ import annotations

from pathlib import Path

import click

from stillbook.cli.failures import FINE
from stillbook.cli.workbooks import FILE


@click.command("draw", short_help="Write plan and section of a workbook to a drawing file.")
@click.argument("file", type=FILE)
@click.option("--to", "target", type=FILE, required=True, metavar="DRAWING", help="The file; it ends in .dxf or .svg.")
def command(file: Path, target: Path) -> int:
    """Calculate FILE and write its drawings full size, a layer for each trade, dimensions as dimensions.

    They are in inches or millimetres, as the workbook's small sizes are. The workbook is not changed.
    """
    from stillbook.office.draw import draw

    drawn = draw(file, target)
    click.echo(f"{target.absolute()}: {' and '.join(view.name for view in drawn)}")
    return FINE
