"""What people typed into the input cells of a workbook: text with a unit read as a number, and what is not allowed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from stillbook.cells import Cell, ErrorValue
from stillbook.trade.mass.materials import material_key
from stillbook.workbook.file.address import place, read_cell
from stillbook.workbook.file.sheet import Change, Key
from stillbook.workbook.job.inputs import InputError
from stillbook.workbook.job.interface import Input


@dataclass(frozen=True, slots=True)
class Refused:
    """An input cell that holds something its input does not take.

    Args:
        name: The input.
        sheet: The sheet of its cell.
        key: Row and column of it.
        reason: What is wrong and what to give, in a sentence.
    """

    name: str
    sheet: str
    key: Key
    reason: str

    @property
    def place(self) -> str:
        """The cell with its sheet."""
        return place(self.sheet, *self.key)


@dataclass(slots=True)
class Entered:
    """What the input cells hold, read as ``--set`` would read it.

    Args:
        changes: Cells in which a number takes the place of text with a unit, or a material's name in the table that
            of another word for it, by sheet and cell.
        read: Those, in words.
        refused: Inputs whose cell holds something that they do not take.
    """

    changes: dict[str, dict[Key, Change]] = field(default_factory=dict)
    read: list[str] = field(default_factory=list)
    refused: list[Refused] = field(default_factory=list)


def read_entered(inputs: Mapping[str, Input], *, starts_1904: bool = False) -> Entered:
    """Read what the input cells of a workbook hold; a blank cell is no fault here.

    Args:
        inputs: The inputs by name.
        starts_1904: Whether the workbook counts its days from 1904.
    """
    found = Entered()
    for entry in inputs.values():
        at = read_cell(entry.cell)
        if at is None or entry.value in (None, ""):
            continue
        try:
            kept = _read(entry, starts_1904=starts_1904)
        except InputError as error:
            found.refused.append(Refused(entry.name, entry.sheet, at, str(error)))
            continue
        if isinstance(entry.value, str) and isinstance(kept, float):
            found.changes.setdefault(entry.sheet, {})[at] = Change(kept)
            unit = "" if entry.spec.unit in ("date", "text") else f" {entry.spec.unit}".rstrip()
            where = place(entry.sheet, *at)
            found.read.append(
                renamed(entry, at, entry.value, kept)
                or f'{entry.name} ({where}): "{entry.value}" is read as {kept:.12g}{unit}'
            )
        elif said := renamed(entry, at, entry.value, kept):
            found.changes.setdefault(entry.sheet, {})[at] = Change(kept)
            found.read.append(said)
    return found


def renamed(entry: Input, at: Key, given: object, kept: Cell) -> str:
    """What to say where a word for a material was read as its name in the table, or a load as a mass; else empty.

    Args:
        entry: The input.
        at: Row and column of its cell.
        given: What was written.
        kept: What its cell holds for that.
    """
    if entry.spec.weighed(given) and isinstance(kept, float):
        return (
            f'{entry.name} ({place(entry.sheet, *at)}): "{str(given).strip()}" is read as {kept:.5g} '
            f"{entry.spec.unit}, the mass whose weight it is under standard gravity"
        )
    if not (isinstance(given, str) and isinstance(kept, str)) or material_key(kept) == material_key(given):
        return ""
    return f'{entry.name} ({place(entry.sheet, *at)}): "{given.strip()}" is read as "{kept}"'


def _read(entry: Input, *, starts_1904: bool) -> Cell:
    if isinstance(entry.value, ErrorValue):
        raise InputError(f"{entry.name} holds {entry.value.code}: {entry.spec.wanted}")
    return entry.spec.read(entry.value, starts_1904=starts_1904)
