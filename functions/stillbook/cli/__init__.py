"""The ``stillbook`` command: a thin layer over the library. Heavy imports stay inside the commands."""

from __future__ import annotations

import sys

import click

from stillbook import __version__
from stillbook.cli.failures import guarded
from stillbook.cli.jobs import calc, demo, inputs, new
from stillbook.cli.reference import doctor, evaluate, formulas, templates


class InReadingOrder(click.Group):
    """A group that lists its commands in the order in which a newcomer needs them."""

    def list_commands(self, context: click.Context) -> list[str]:
        return list(self.commands)


@click.group(
    cls=InReadingOrder,
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog="Exit codes: 0 all is well, 1 a result is an error, 2 the command or its input was wrong.",
)
@click.version_option(__version__, message="stillbook %(version)s")
def stillbook() -> None:
    """Estimates for small, quiet rooms: workbooks whose formulas calculate here, without a spreadsheet program.

    Start with "stillbook demo". The results are estimates, not certified designs.
    """


for command in (demo, new, inputs, calc, evaluate, formulas, templates, doctor):
    stillbook.add_command(command)


def main() -> None:
    """Run the command line on the arguments of this process, and end it with the exit code."""
    sys.exit(guarded(stillbook, sys.argv[1:]))
