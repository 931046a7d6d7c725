"""Inputs as people give them: ``--set name=value``, and files in TOML or CSV."""

from __future__ import annotations

import csv
import io
import tomllib
from collections.abc import Iterable
from pathlib import Path
from typing import Any, Final

import click

MOST_BYTES: Final = 1_000_000
"""A list of inputs is a page or two; anything longer is another file chosen by mistake."""


def from_settings(settings: Iterable[str], option: str = "--set") -> dict[str, str]:
    """Names and values of ``name=value`` texts, which a command takes after an option.

    Raises:
        ClickException: If one has no name or no ``=``, or a name comes twice.
    """
    pairs = []
    for setting in settings:
        name, mark, value = setting.partition("=")
        if not mark or not name.strip():
            said = f"{option} " if option else ""
            raise click.ClickException(f'{said}"{setting[:60]}": write name=value, such as {said}people=3')
        pairs.append((name, value.strip()))
    return _once(pairs, option or "the values")


def from_file(path: Path) -> dict[str, Any]:
    """Names and values of a TOML or CSV file, told apart by its ending.

    Raises:
        ClickException: If it is neither, cannot be read as what it is, or gives a name twice; the message says where.
        OSError: If it cannot be opened.
    """
    readers = {".toml": _from_toml, ".csv": _from_csv}
    reader = readers.get(path.suffix.lower())
    if reader is None:
        raise click.ClickException(f"{path}: give inputs as a file that ends in .toml or .csv")
    if path.stat().st_size > MOST_BYTES:
        raise click.ClickException(f"{path}: it is too long for a list of inputs: check the name")
    try:
        text = path.read_text("utf-8-sig")
    except UnicodeDecodeError:
        raise click.ClickException(f"{path}: it is not plain text in UTF-8: save it again as UTF-8") from None
    return reader(text, path)


def _from_toml(text: str, path: Path) -> dict[str, Any]:
    try:
        values = tomllib.loads(text)
    except (ValueError, RecursionError) as error:  # a number of too many digits is no error of TOML
        raise click.ClickException(f'{path}: {error}: write lines such as people = 3 or client = "Name"') from None
    for name, value in values.items():
        if isinstance(value, dict):
            raise click.ClickException(f"{path}: {name} is a section: write one line for each name, name = value")
    return values


def _from_csv(text: str, path: Path) -> dict[str, Any]:
    """Rows of name and value; commas, semicolons or tabs part the columns, whichever the first line uses."""
    first = text.partition("\n")[0]
    mark = max(",;\t", key=first.count)
    try:
        rows = [
            row
            for row in csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True)
            if any(map(str.strip, row))
        ]
    except csv.Error as error:
        raise click.ClickException(f"{path}: {error}: check its quotes") from None
    heads = [head.strip().lower() for head in rows[0]] if rows else []
    if "name" not in heads or "value" not in heads:
        raise click.ClickException(f"{path}: its first line must name the columns: name,value")
    name_at, value_at = heads.index("name"), heads.index("value")
    pairs = []
    for row in rows[1:]:
        if len(row) <= max(name_at, value_at):
            raise click.ClickException(f'{path}: the row "{mark.join(row)[:60]}" has no value')
        pairs.append((row[name_at], row[value_at].strip()))
    return _once(pairs, str(path))


def _once(pairs: Iterable[tuple[str, Any]], place: str) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for name, value in pairs:
        key = name.strip()
        if key.casefold() in map(str.casefold, found):
            raise click.ClickException(f"{place}: {key} is given twice: leave one out")
        found[key] = value
    return found
