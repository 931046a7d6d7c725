"""Invented example rows, kept as tables in ``data/``."""

from __future__ import annotations

from typing import Any

from stillbook.quantities import SYSTEMS, System
from stillbook.tables import table


def examples(name: str, system: System) -> list[tuple[Any, ...]]:
    """The rows of ``data/<name>.csv`` in a unit system, without their sources.

    A table has a column ``system``, and rows of each; or columns of each, whose headings end in ``_US`` and ``_SI``.
    """
    left_out = ("system", "source", *(f"_{other}" for other in SYSTEMS if other != system))
    return [tuple(_cell(text) for heading, text in row.items() if not heading.endswith(left_out)) for row in table(name) if row.get("system", system) == system]


def _cell(text: str) -> str | float | None:
    try:
        return int(text) if text.isdecimal() else float(text)
    except ValueError:
        return text or None
