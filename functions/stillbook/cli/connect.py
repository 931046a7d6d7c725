"""``stillbook connect`` and ``stillbook disconnect``: spreadsheet programs that use the formulas."""

from __future__ import annotations

import sys
from collections.abc import Callable
from importlib import import_module
from typing import Final

import click

_PROGRAMS: Final = {
    "excel": "stillbook.hosts.excel_addin",
    "libreoffice": "stillbook.hosts.libreoffice.connection",
    "browser": "stillbook.cli.browser",
}
"""Where each program's ``connect()`` and ``disconnect()`` are, which give lines that say what was done."""

_program = click.argument("program", type=click.Choice(list(_PROGRAMS), case_sensitive=False))


@click.command("connect", short_help="Make the formulas known to a spreadsheet program.")
@_program
def connect(program: str) -> None:
    """Make the formulas known to PROGRAM, and say what there is to do in it.

    \b
    excel        Excel on Windows
    libreoffice  LibreOffice Calc
    browser      Excel in the browser or on Mac, from a service with https
    """
    if sys.stderr.isatty():
        click.echo("This can take a minute.", err=True)
    _do(program, "connect")


@click.command("disconnect", short_help="Undo that.")
@_program
def disconnect(program: str) -> None:
    """Take the formulas out of PROGRAM again. Workbooks stay as they are."""
    _do(program, "disconnect")


def _do(program: str, action: str) -> None:
    steps: Callable[[], list[str]] = getattr(import_module(_PROGRAMS[program]), action)
    for line in steps():
        click.echo(line)
