"""``stillbook carry``: a job on a newer template."""

from __future__ import annotations

from pathlib import Path

import click

from stillbook.cli.differences import code_for, show_differences
from stillbook.cli.screen import figure, heading, say, show_table
from stillbook.cli.workbooks import FILE, refuse_unfit, template_path, units_option


@click.command("carry", short_help="Move a job onto a newer template.")
@click.argument("old", type=FILE)
@click.argument("new", type=FILE, metavar="NEWFILE")
@click.option("--to", "template", required=True, metavar="TEMPLATE", help="The newer template: a name, or a workbook.")
@click.option(
    "--made-from",
    "origin",
    type=FILE,
    metavar="WORKBOOK",
    help="The template that OLD was made from: what stands in it is not listed as added.",
)
@units_option
def command(old: Path, new: Path, template: str, origin: Path | None, units: str | None) -> int:
    """Make NEWFILE from TEMPLATE with the inputs and prices that OLD holds. OLD is not changed.

    Each input and price that has a home is carried; all else that was added or changed in OLD is listed. A shipped
    template is taken in the units of OLD, unless --units says otherwise.
    """
    from stillbook.office.carry import carry

    refuse_unfit(new)
    moved = carry(old, template_path(template, units, old), new, origin=origin)
    counts = {kind: sum(entry.kind == kind for entry in moved.carried) for kind in ("input", "price")}
    heading(f"{old}: {counts['input']} inputs and {counts['price']} rows of prices carried")
    if noted := [(entry.name, figure(entry.value), entry.note) for entry in moved.carried if entry.note]:
        show_table(("Carried", "Now", "What became of it"), noted)
    if moved.left:
        say(f"\nNot carried, {len(moved.left)} in all: see whether the new workbook needs them.")
        show_table(("Kind", "Where", "What", "Why"), [(e.kind, e.place, e.content, e.reason) for e in moved.left])
    if moved.new_inputs:
        say("\nNew in the template, as it has them:")
        show_table(("Input", "Value"), [(name, figure(value) or "blank") for name, value in moved.new_inputs.items()])
    show_differences(moved.results)
    click.echo(f"\nThe workbook is {moved.path.absolute()}")
    return code_for(moved.results)
