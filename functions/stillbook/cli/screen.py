"""How results look in a terminal or a pipe: plain columns that hold at 80 characters and without colour."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click

if TYPE_CHECKING:
    from rich.console import Console


ONE_LINE: Final = 1000
"""Width of output into a pipe or a file, where each row is one line for the next program to read."""


def screen(*, stderr: bool = False) -> Console:
    """A console that prints text as it is: brackets and words are never taken for marks of style."""
    from rich.console import Console

    stream = sys.stderr if stderr else sys.stdout
    width = None if stream.isatty() or os.environ.get("COLUMNS") else ONE_LINE
    return Console(markup=False, highlight=False, emoji=False, stderr=stderr, width=width)


def show_table(headings: Sequence[str], rows: Iterable[Sequence[str]], *, right: Sequence[str] = ()) -> None:
    """Print rows under headings, without lines around them.

    Args:
        headings: One for each column. The first column never wraps: it holds names to be copied.
        rows: The cells as text; long text wraps in its column.
        right: Headings of the columns of numbers.
    """
    from rich.table import Table

    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="bold", show_header=bool(headings))
    rows = list(rows)
    for place in range(len(headings) or max(map(len, rows), default=0)):
        name = headings[place] if headings else ""
        table.add_column(name, justify="right" if name in right else "left", overflow="fold", no_wrap=place == 0)
    for row in rows:
        table.add_row(*row)
    console = screen()
    with console.capture() as printed:
        console.print(table)
    for line in printed.get().splitlines():
        click.echo(line.rstrip())


def say(text: str = "") -> None:
    """Print a paragraph, wrapped at the width of the terminal."""
    screen().print(text)


def warn(lines: Iterable[str]) -> None:
    """Print lines that are no part of what a command gives, on standard error."""
    for line in lines:
        screen(stderr=True).print(line)


def heading(text: str) -> None:
    """Print a heading."""
    screen().print(text, style="bold")


def print_data(data: Mapping[str, Any]) -> None:
    """Print data as one line of JSON: an error among values as its code and reason, a path as text."""
    click.echo(json.dumps(data, default=_plain, allow_nan=False))


def _plain(value: object) -> Any:
    from stillbook.cells import ErrorValue

    if isinstance(value, ErrorValue):
        return {"error": str(value.code), "reason": value.reason}
    if isinstance(value, Path):
        return str(value)
    raise TypeError(f"a {type(value).__name__} has no place in JSON")


def figure(value: Any) -> str:
    """A cell value as text: a number with ten figures, TRUE and FALSE as in a cell, a blank as nothing."""
    from stillbook.cells import ErrorValue

    if value is None:
        return ""
    if isinstance(value, bool):
        return str(value).upper()
    if isinstance(value, ErrorValue):
        return str(value.code)
    return f"{value:.10g}" if isinstance(value, int | float) else str(value)


def rounded(value: Any) -> str:
    """The same for reading only: a number with no more figures than an estimate is good for."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return figure(value)
    if abs(value) >= 1000:
        return f"{value:,.0f}"
    return f"{round(value, 2):.6g}" if abs(value) >= 1 else f"{value:.3g}"
