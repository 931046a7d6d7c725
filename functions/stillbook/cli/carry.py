"""``stillbook carry``: a job on a newer template."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from stillbook.cli.completion import templates_or_files
from stillbook.cli.differences import code_for, differences_data, show_differences
from stillbook.cli.outcome import Outcome, Reporting
from stillbook.cli.screen import figure, heading, say, show_table
from stillbook.cli.shapes import Carried
from stillbook.cli.workbooks import FILE, refuse_unfit, template_path, units_option

if TYPE_CHECKING:
    from stillbook.office.carry import CarriedJob


@click.command("carry", cls=Reporting, gives=Carried, short_help="Move a job onto a newer template.")
@click.argument("old", type=FILE)
@click.argument("new", type=FILE, metavar="NEWFILE")
@click.option(
    "--to",
    "template",
    required=True,
    metavar="TEMPLATE",
    help="The newer template: a name, or a workbook.",
    shell_complete=templates_or_files,
)
@click.option(
    "--made-from",
    "origin",
    type=FILE,
    metavar="WORKBOOK",
    help="The template that OLD was made from: what stands in it is not listed as added.",
)
@units_option
def command(old: Path, new: Path, template: str, origin: Path | None, units: str | None) -> Outcome:
    """Make NEWFILE from TEMPLATE with the inputs and prices that OLD holds. OLD is not changed.

    Each input and price that has a home is carried; all else that was added or changed in OLD is listed. A shipped
    template is taken in the units of OLD, unless --units says otherwise.
    """
    from stillbook.office.carry import carry

    refuse_unfit(new)
    moved = carry(old, template_path(template, units, old), new, origin=origin)
    return Outcome(lambda: _show(old, moved), lambda: _data(old, moved), code_for(moved.results))


def _data(old: Path, moved: CarriedJob) -> Mapping[str, Any]:
    return {
        "file": old,
        "written": moved.path.absolute(),
        "carried": [{name: getattr(entry, name) for name in entry.__slots__} for entry in moved.carried],
        "left": [{name: getattr(entry, name) for name in entry.__slots__} for entry in moved.left],
        "new_inputs": [{"name": name, "value": value} for name, value in moved.new_inputs.items()],
        "differences": differences_data(moved.results),
    }


def _show(old: Path, moved: CarriedJob) -> None:
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
    say(f"\nThe workbook is {moved.path.absolute()}")
