"""What the inputs of a workbook are, in the words that stand beside them on their sheet."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from stillbook.workbook.calculation.reasons import Place
from stillbook.workbook.file.address import read_cell
from stillbook.workbook.file.package import Package
from stillbook.workbook.job.interface import Input

_UP: Final = 400
"""Rows above an input in which the heading of its column is looked for."""


def labels(package: Package, inputs: Mapping[str, Input]) -> dict[str, str]:
    """A few words for each input by its name: the text left of its cell, in a table with the heading of its column.

    An input with no such text is called by its name.
    """
    places = {(entry.sheet, *at): entry for entry in inputs.values() if (at := read_cell(entry.cell))}
    return {entry.name: _label(package, places, at) or entry.name for at, entry in places.items()}


def _label(package: Package, places: Mapping[Place, Input], at: Place) -> str:
    sheet, row, column = at
    for left in range(column - 1, 0, -1):
        text = package.value(sheet, row, left)
        if (sheet, row, left) in places or not isinstance(text, str) or not text.strip():
            continue
        heading = _heading(package, places, at) if left < column - 1 or _begins_table(places, at) else ""
        return f"{text.strip()}: {heading[0].lower()}{heading[1:]}" if heading else text.strip()
    return ""


def _begins_table(places: Mapping[Place, Input], at: Place) -> bool:
    """Whether other inputs stand right of this one, so that its row is one of a table."""
    sheet, row, column = at
    return (sheet, row, column + 1) in places


def _heading(package: Package, places: Mapping[Place, Input], at: Place) -> str:
    sheet, row, column = at
    for above in range(row - 1, max(0, row - _UP), -1):
        if (sheet, above, column) in places:
            continue
        text = package.value(sheet, above, column)
        return text.strip() if isinstance(text, str) else ""
    return ""
