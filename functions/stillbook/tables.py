"""Published tables, kept as CSV beside the code and read once. Every row names its source."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from functools import cache
from importlib.resources import files


class TableError(ValueError):
    """A shipped table that breaks its own rules."""


@cache
def table(name: str) -> tuple[Mapping[str, str], ...]:
    """The rows of ``data/<name>.csv``, in file order, each a mapping from column heading to text.

    Raises:
        TableError: If a row has no source, or more or fewer cells than the heading.
    """
    text = files("stillbook").joinpath(f"data/{name}.csv").read_text("utf-8")
    rows = tuple(csv.DictReader(text.splitlines(), strict=True))
    for number, row in enumerate(rows, start=2):
        if None in row or None in row.values():
            raise TableError(f"{name}.csv line {number} has the wrong number of cells")
        if not row.get("source", "").strip():
            raise TableError(f"{name}.csv line {number} names no source")
    return rows
