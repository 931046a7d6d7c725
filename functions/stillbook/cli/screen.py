"""How results look in a terminal or a pipe: plain columns that hold at 80 characters and without colour."""

from __future__ import annotations

import json
import shutil
import sys
import textwrap
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, TypeVar

import click

if TYPE_CHECKING:
    from rich.console import Console

Done = TypeVar("Done")

USUAL_WIDTH: Final = 80
"""Columns of output into a pipe or a file; programs take ``--json``."""


_GAP: Final = 2
"""Blanks between two columns."""

_LEAST: Final = 16
"""Letters that a column of words has room for; with less, the first column stands over the others."""


def width() -> int:
    """How wide output is: as the terminal, or as the variable COLUMNS says."""
    return shutil.get_terminal_size((USUAL_WIDTH, 24)).columns


def _is_whole(word: str) -> bool:
    """Whether a word is to be copied as a whole: a path or a link, and no formula."""
    return ("/" in word or "\\" in word) and "(" not in word


def wrapped(text: str) -> str:
    """A text in lines that hold in the terminal; a long path or number stays whole, on a line of its own.

    >>> max(map(len, wrapped("word " * 40).splitlines())) <= width()
    True
    """
    lines = []
    for line in text.split("\n"):
        blank = line[: len(line) - len(line.lstrip())]
        lines.append(
            textwrap.fill(
                line.strip(),
                width(),
                initial_indent=blank,
                subsequent_indent=blank,
                break_long_words=not any(_is_whole(word) for word in line.split()),
                break_on_hyphens=False,
            )
        )
    return "\n".join(lines)


def echo(text: str = "") -> None:
    """Print a text as it is, in the encoding of the terminal: a sign that it lacks is a question mark there."""
    click.echo(text, file=sys.stdout)


def screen(*, stderr: bool = False) -> Console:
    """A console that prints text as it is: brackets and words are never taken for marks of style."""
    from rich.console import Console

    return Console(markup=False, highlight=False, emoji=False, stderr=stderr, width=width())


@contextmanager
def progress_bar(words: Callable[[Done], str]) -> Iterator[Callable[[int, int | None, Done], None] | None]:
    """What moves a bar, told how many are done, of how many, and the last, said in words; None where nobody looks."""
    if not sys.stderr.isatty():
        yield None
        return
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (BarColumn(), MofNCompleteColumn(), TimeRemainingColumn(), TextColumn("{task.description}", markup=False))
    with Progress(*columns, console=screen(stderr=True), transient=True) as bar:
        shown = bar.add_task("starting", total=None)

        def moved(count: int, total: int | None, last: Done) -> None:
            bar.update(shown, completed=count, total=total, description=words(last))

        yield moved


def show_table(headings: Sequence[str], rows: Iterable[Sequence[str]], *, right: Sequence[str] = ()) -> None:
    """Print rows under headings, without lines around them, no wider than the terminal.

    Args:
        headings: One for each column. The first column never wraps: it holds names to be copied.
        rows: The cells as text; long text wraps in its column.
        right: Headings of the columns of numbers, which never wrap either.
    """
    cells = [list(row) for row in rows]
    count = len(headings) or max(map(len, cells), default=0)
    whole = {0, *(place for place, name in enumerate(headings) if name in right)}
    listed = [[*row, *[""] * (count - len(row))] for row in ([list(headings)] if headings else []) + cells]
    natural = _natural(listed, count)
    if headings and sum(natural) + _GAP * (count - 1) > width():
        words = [max(map(len, name.split()), default=0) for name in listed[0]]
        natural = list(map(max, words, _natural(listed[1:], count)))
        listed[0] = ["\n".join(textwrap.wrap(name, wide)) for name, wide in zip(listed[0], natural, strict=True)]
    fixed = sum(natural[place] for place in whole) + _GAP * (count - 1)
    free = [place for place in range(count) if place not in whole]
    beside = width() - fixed
    stacked = bool(free) and beside < min(_LEAST * len(free), sum(natural[place] for place in free))
    if stacked:
        beside = width() - _GAP - (fixed - natural[0] - _GAP)
    given = _shared(max(beside, 4 * len(free)), {place: natural[place] for place in free})
    widths = [given.get(place, natural[place]) for place in range(count)]
    for number, row in enumerate(listed):
        lines = _lines(row, widths, {place for place in whole if place}, stacked=stacked)
        bold = bool(headings) and number == 0
        for line in lines:
            echo(click.style(line, bold=True) if bold else line)


def _natural(rows: Iterable[Sequence[str]], count: int) -> list[int]:
    """How wide each column is with every line as it comes."""
    widths = [0] * count
    for row in rows:
        widths = [max(wide, *map(len, cell.split("\n"))) for wide, cell in zip(widths, row, strict=True)]
    return widths


def _shared(room: int, wanted: Mapping[int, int]) -> dict[int, int]:
    """How wide columns become that share some room: none wider than it wants, the wide ones alike."""
    given: dict[int, int] = {}
    left = room
    for place, most in sorted(wanted.items(), key=lambda each: each[1]):
        given[place] = min(most, left // (len(wanted) - len(given)))
        left -= given[place]
    return given


def _lines(row: Sequence[str], widths: Sequence[int], right: Collection[int], *, stacked: bool) -> list[str]:
    """The lines of one row of a table; where it is stacked its first cell stands alone over the others."""
    folded = [
        [
            part
            for line in cell.split("\n")
            for part in textwrap.wrap(line, max(1, wide), break_on_hyphens=False) or [""]
        ]
        if place and place not in right
        else cell.split("\n")
        for place, (cell, wide) in enumerate(zip(row, widths, strict=True))
    ]
    first = 1 if stacked else 0
    lines = [row[0]] if stacked else []
    for number in range(max(map(len, folded[first:]), default=0)):
        line = " " * _GAP if stacked else ""
        for place in range(first, len(row)):
            cell = folded[place][number] if number < len(folded[place]) else ""
            line += (cell.rjust(widths[place]) if place in right else cell.ljust(widths[place])) + " " * _GAP
        lines.append(line.rstrip())
    return [line for number, line in enumerate(lines) if line or not number or not stacked]


def say(text: str = "") -> None:
    """Print a paragraph, wrapped at the width of the terminal."""
    echo(wrapped(text))


def complain(text: str) -> None:
    """Print a sentence on standard error: in lines at a terminal, else as one line for the next program to read."""
    click.echo(wrapped(text) if sys.stderr.isatty() else text, file=sys.stderr)


def warn(lines: Iterable[str]) -> None:
    """Print lines that are no part of what a command gives, on standard error."""
    for line in lines:
        click.echo(wrapped(line), file=sys.stderr)


def heading(text: str) -> None:
    """Print a heading."""
    screen().print(wrapped(text), style="bold", soft_wrap=True)


def print_data(data: Mapping[str, Any]) -> None:
    """Print data as one line of JSON: an error among values as its code and reason, a path as text."""
    echo(json.dumps(data, default=_plain, allow_nan=False))


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
