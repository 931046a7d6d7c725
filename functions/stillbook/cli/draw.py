"""``stillbook draw``: the drawings of a workbook, for programs that draw."""

from __future__ import annotations

from pathlib import Path

import click

from stillbook.cli.outcome import Outcome, Reporting
from stillbook.cli.screen import say
from stillbook.cli.shapes import Drawn
from stillbook.cli.workbooks import FILE


@click.command("draw", cls=Reporting, gives=Drawn, short_help="Write plan and section of a workbook to a drawing file.")
@click.argument("file", type=FILE)
@click.option("--to", "target", type=FILE, required=True, metavar="DRAWING", help="The file; it ends in .dxf or .svg.")
def command(file: Path, target: Path) -> Outcome:
    """Calculate FILE and write its drawings full size, a layer for each trade, dimensions as dimensions.

    They are in inches or millimetres, as the workbook's small sizes are. The workbook is not changed.
    """
    from stillbook.office.draw import draw

    views = [view.name for view in draw(file, target)]
    return Outcome(
        lambda: say(f"{target.absolute()}: {' and '.join(views)}"),
        lambda: {"file": file, "written": target.absolute(), "views": views},
    )
