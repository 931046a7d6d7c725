"""``stillbook connect`` and ``stillbook disconnect``: spreadsheet programs that use the formulas."""

from __future__ import annotations

import sys

import click

from stillbook.cli.outcome import Outcome, Reporting
from stillbook.cli.shapes import Connected
from stillbook.hosts.registry import HOSTS

PROGRAM = click.Choice(list(HOSTS), case_sensitive=False)
"""A program by the name that commands give it."""

_program = click.argument("program", type=PROGRAM)

_LIST = "\n".join(f"{host.name:{max(map(len, HOSTS))}}  {host.help}" for host in HOSTS.values())


@click.command(
    "connect",
    cls=Reporting,
    gives=Connected,
    short_help="Make the formulas known to a spreadsheet program.",
    help=f"Make the formulas known to PROGRAM, and say what there is to do in it.\n\n\b\n{_LIST}",
)
@_program
@click.option("--for-everyone", is_flag=True, help="For all users of this computer; an administrator may ask for it.")
def connect(program: str, for_everyone: bool) -> Outcome:
    """Connect a host."""
    if sys.stderr.isatty():
        click.echo("This can take a minute.", err=True)
    return _done(program, HOSTS[program].connect(everyone=for_everyone))


@click.command("disconnect", cls=Reporting, gives=Connected, short_help="Undo that.")
@_program
def disconnect(program: str) -> Outcome:
    """Take the formulas out of PROGRAM again. Workbooks stay as they are."""
    return _done(program, HOSTS[program].disconnect())


def _done(program: str, lines: list[str]) -> Outcome:
    return Outcome(lambda: click.echo("\n".join(lines)), lambda: {"program": program, "lines": lines})
