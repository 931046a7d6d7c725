"""``stillbook eval``: one formula evaluated."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import click

from stillbook.cli.failures import ERROR_IN_RESULT, FINE, told
from stillbook.cli.outcome import Outcome, Reporting
from stillbook.cli.screen import echo, figure, show_table
from stillbook.cli.shapes import Evaluated

if TYPE_CHECKING:
    from stillbook.cli.answer import Answer


@click.command("eval", cls=Reporting, gives=Evaluated, short_help="Print what one formula gives, with its unit.")
@click.argument("formula")
def command(formula: str) -> Outcome:
    """Print what FORMULA gives, with its unit. Put it in single quotes, as in

    \b
    stillbook eval '=STILL_DOORTARGETMASS(4.4,"36 in","80 in")'
    """
    from stillbook.cli.answer import answer

    if not formula.strip().removeprefix("=").strip():
        raise click.BadArgumentUsage("the formula is empty")
    found = answer(formula)
    return Outcome(lambda: _show(found), lambda: _data(found), ERROR_IN_RESULT if found.error else FINE)


def _data(found: Answer) -> Mapping[str, Any]:
    error = found.error
    alone = error is not None and not isinstance(found.value, list)
    return {
        "value": None if alone else found.value,
        "unit": None if alone else found.unit or None,
        "headings": found.headings,
        "error": str(error.code) if error else None,
        "reason": error.reason if error else None,
    }


def _show(found: Answer) -> None:
    if isinstance(found.value, list):
        rows = [[figure(cell) for cell in row] for row in found.rows]
        headings = found.headings or (
            [found.unit] * len(rows[0]) if found.unit else rows.pop(0) if len(rows) > 1 else ()
        )
        show_table(headings, rows)
    elif found.error is None:
        echo(f"{figure(found.value)} {found.unit}".rstrip())
    if found.error is not None:
        told(f"{found.error.code}: {found.error.reason}", ERROR_IN_RESULT)
