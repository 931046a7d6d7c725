"""The ``stillbook`` command: a thin layer over the library. Heavy imports stay inside the commands.

A command is one module here, and its place in :data:`SECTIONS`.
"""

from __future__ import annotations

import contextlib
import gc
import os
import sys
import threading
from collections.abc import Mapping, Sequence
from typing import Final

import click

from stillbook import __version__
from stillbook.cli import (
    actuals,
    batch,
    bids,
    calc,
    carry,
    compare,
    completion,
    connect,
    convert,
    demo,
    doctor,
    draw,
    evaluate,
    explore,
    formulas,
    inputs,
    manual,
    new,
    options,
    printing,
    reprice,
    serve,
    share,
    templates,
)
from stillbook.cli import set as setting
from stillbook.cli.failures import STOPPED, guarded
from stillbook.workbook import CALCULATION

SECTIONS: Final[Mapping[str, Sequence[click.Command]]] = {
    "Estimates": (
        demo.command,
        new.command,
        inputs.command,
        setting.command,
        calc.command,
        printing.command,
        draw.command,
    ),
    "Jobs in an office": (
        share.command,
        bids.command,
        compare.command,
        carry.command,
        reprice.command,
        actuals.command,
        batch.command,
        explore.command,
        options.command,
    ),
    "Formulas": (evaluate.command, formulas.command, manual.command),
    "Templates": (templates.command,),
    "Spreadsheet programs": (connect.connect, connect.disconnect, convert.command, serve.command),
    "This computer": (doctor.command, completion.command),
}
"""All commands, in the order in which a newcomer needs them."""


_ALLOCATIONS: Final = 200_000
"""Objects made and kept after which the collector of garbage looks."""


class InSections(click.Group):
    """A group whose help lists its commands under headings, in the order of their use."""

    def list_commands(self, context: click.Context) -> list[str]:
        return list(self.commands)

    def format_commands(self, context: click.Context, formatter: click.HelpFormatter) -> None:
        width = max(map(len, self.commands))
        for title, commands in SECTIONS.items():
            with formatter.section(title):
                formatter.write_dl([(f"{each.name or '':{width}}", each.get_short_help_str()) for each in commands])


@click.group(
    cls=InSections,
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog="Exit codes: 0 all is well, 1 a result is an error or a check fails, 2 the command or its input was wrong.",
)
@click.version_option(__version__, message="stillbook %(version)s")
def stillbook() -> None:
    """Estimates for small, quiet rooms: workbooks whose formulas calculate here, without a spreadsheet program.

    Start with "stillbook demo". The results are estimates, not certified designs.
    """


for section in SECTIONS.values():
    for each in section:
        stillbook.add_command(each)


def main() -> None:
    """Run the command line on the arguments of this process, and end it with the exit code."""
    # Modules and workbooks are not garbage: to look through them for it takes a tenth of the time of most commands.
    gc.set_threshold(_ALLOCATIONS, 20, 20)
    # numpy would start threads for products of matrices, of which there are none here; they spin before they sleep.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    code = guarded(stillbook, sys.argv[1:])
    if code == STOPPED or any(thread.name == CALCULATION and thread.is_alive() for thread in threading.enumerate()):
        # A calculation that was given up may still be in the engine, which would make of Python's end a fault.
        with contextlib.suppress(OSError):
            sys.stdout.flush()
        os._exit(code)
    sys.exit(code)
