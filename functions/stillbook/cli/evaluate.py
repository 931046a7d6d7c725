"""``stillbook eval``: one formula evaluated."""

from __future__ import annotations

import json
from typing import Any

import click

from stillbook.cli.failures import ERROR_IN_RESULT, FINE, told
from stillbook.cli.screen import figure, show_table


@click.command("eval", short_help="Print what one formula gives, with its unit.")
@click.argument("formula")
@click.option("--json", "as_json", is_flag=True, help="Print value, unit, error and reason for a program to read.")
def command(formula: str, as_json: bool) -> int:
    """Print what FORMULA gives, with its unit. Put it in single quotes, as in

    \b
    stillbook eval '=STILL_DOORTARGETMASS(4.4,"36 in","80 in")'
    """
    from stillbook.cli.answer import answer

    if not formula.strip().removeprefix("=").strip():
        raise click.BadArgumentUsage("the formula is empty")
    found = answer(formula)
    error = found.error
    if as_json:
        alone = error is not None and not isinstance(found.value, list)
        report = {
            "value": None if alone else _plain(found.value),
            "unit": None if alone else found.unit or None,
            "error": str(error.code) if error else None,
            "reason": error.reason if error else None,
        }
        click.echo(json.dumps(report, allow_nan=False))
        return ERROR_IN_RESULT if error else FINE
    if isinstance(found.value, list):
        rows = [[figure(cell) for cell in row] for row in found.rows]
        headings = found.headings or (
            [found.unit] * len(rows[0]) if found.unit else rows.pop(0) if len(rows) > 1 else ()
        )
        show_table(headings, rows)
    elif error is None:
        click.echo(f"{figure(found.value)} {found.unit}".rstrip())
    return told(f"{error.code}: {error.reason}", ERROR_IN_RESULT) if error else FINE


def _plain(value: Any) -> Any:
    """A value as JSON has it; an error among rows is its name."""
    from stillbook.cells import ErrorValue

    if isinstance(value, list):
        return [_plain(item) for item in value]
    return str(value.code) if isinstance(value, ErrorValue) else value
