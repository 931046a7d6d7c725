"""Named cells without a note: one that holds a typed value is an input, one that holds a formula a result.

An office's own workbook becomes a template by this alone. What stands beside a cell says the rest: the words left of it
or above it are its label, a unit right of it is its unit. A note on the name goes before all of this.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Final

from stillbook.workbook.file.address import Area
from stillbook.workbook.file.package import DefinedName, Package
from stillbook.workbook.job.audience import OFFICE_ONLY
from stillbook.workbook.job.inputs import InputSpec
from stillbook.workbook.job.notes import LONGEST_NOTE, note_parts
from stillbook.workbook.job.results import ResultSpec
from stillbook.workbook.job.values import is_unit

_LONGEST_LABEL: Final = 100
_AROUND: Final = 6
"""Cells left of a named one, or above it, in which its label is looked for."""


@dataclass(slots=True)
class Understood:
    """What the named cells without a note are.

    Args:
        inputs: Inputs, with the value that each holds as its default.
        results: Results.
        neither: Names of the others.
    """

    inputs: list[InputSpec] = field(default_factory=list)
    results: list[ResultSpec] = field(default_factory=list)
    neither: list[str] = field(default_factory=list)

    def notes(self) -> dict[str, str]:
        """The note of each by its name."""
        return {spec.name: spec.comment() for spec in self.inputs} | {
            spec.name: spec.comment() for spec in self.results
        }


def plain_names(package: Package) -> Understood:
    """What the named cells of a workbook are whose names have no note in our form.

    A blank cell, one that holds TRUE, FALSE or an error, and a name of several cells are neither input nor result.
    """
    notes = {key.casefold(): text for key, text in package.properties().items()}
    found = Understood()
    for name, sheet, (row, column) in _single_cells(package):
        help_text, parts = note_parts(name.comment)
        if parts or note_parts(notes.get(name.name.casefold(), ""))[1]:
            continue
        label = _fit(help_text or _label(package, sheet, row, column))
        beside = package.value(sheet, row, column + 1)
        unit = beside.strip() if isinstance(beside, str) and is_unit(beside.strip()) else ""
        value = package.value(sheet, row, column)
        if (row, column) in package.sheet(sheet).formulas:
            found.results.append(ResultSpec(name.name, label, unit))
        elif isinstance(value, float):
            found.inputs.append(InputSpec(name.name, label, unit, default=value))
        elif isinstance(value, str) and value.strip():
            default = value if len(value) + len(label) < LONGEST_NOTE - 40 and "|" not in value else None
            found.inputs.append(InputSpec(name.name, label, "text", default=default))
        else:
            found.neither.append(name.name)
    return found


def _single_cells(package: Package) -> Iterator[tuple[DefinedName, str, tuple[int, int]]]:
    """Names of the whole workbook for a single cell of a sheet."""
    for name in package.names:
        cells = name.cells
        sheet = package.find_sheet(cells[0]) if cells else None
        if cells is None or sheet is None or name.hidden or name.sheet or name.name == OFFICE_ONLY:
            continue
        area: Area = cells[1]
        if area.rows == area.columns == 1 and not name.name.startswith("_xlnm."):
            yield name, sheet, (area.first_row, area.first_column)


def _label(package: Package, sheet: str, row: int, column: int) -> str:
    """The nearest words left of a cell, else above it."""
    left = ((row, at) for at in range(column - 1, max(0, column - 1 - _AROUND), -1))
    above = ((at, column) for at in range(row - 1, max(0, row - 1 - _AROUND), -1))
    for places in (left, above):
        for place in places:
            value = package.value(sheet, *place)
            if isinstance(value, str) and value.strip() and place not in package.sheet(sheet).formulas:
                return value
    return ""


def _fit(text: str) -> str:
    """Words as a note can hold them."""
    return " ".join(text.replace("|", "/").split())[:_LONGEST_LABEL].rstrip(" :")
