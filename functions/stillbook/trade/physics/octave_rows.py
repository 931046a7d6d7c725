"""Rows of octave-band values as arguments: one element of an air path a row, and the names beside them."""

from __future__ import annotations

from typing import Any, Final

import numpy as np

from stillbook.cells import Missing, NotUnderstood, as_rows, is_blank
from stillbook.quantities import LEVEL, System
from stillbook.readers import Quantity, Reader
from stillbook.trade.physics.sound import OCTAVES, Spectrum

ANY_LEVEL: Final = Quantity(LEVEL, least=-LEVEL.largest, most=LEVEL.largest)
"""How a level along an air path is read: what is left of a sound may be far below hearing, but not without end."""

ELEMENT_LOSS: Final = Quantity(LEVEL, least=-30, most=LEVEL.largest)
"""How the loss of one element is read: least in a small, hard room, where the level lies above the power."""


class OctaveRows(Reader):
    """Rows of eight octave-band values, one element a row; a row that is blank throughout is NaN.

    A single row or a single column of eight is one element.

    Args:
        each: How one value is read.
    """

    broadcasts = False

    def __init__(self, each: Quantity = ANY_LEVEL) -> None:
        self.each = each

    @property
    def quantities(self) -> tuple[Quantity, ...]:
        return (self.each,)

    def label(self, system: System) -> str:
        return "dB, a row of eight octave bands for each element"

    def read(self, value: Any, name: str, system: System) -> Spectrum:
        rows = as_rows(value)
        if len(rows[0]) == 1 and len(rows) == len(OCTAVES):
            rows = [[cell for (cell,) in rows]]
        if len(rows[0]) != len(OCTAVES):
            raise NotUnderstood(f"{name} has {len(rows[0])} columns: give {self.label(system)}")
        values = np.full((len(rows), len(OCTAVES)), np.nan)
        for number, row in enumerate(rows, start=1):
            if all(is_blank(cell) for cell in row):
                continue
            where = name if len(rows) == 1 else f"{name}, row {number}"
            values[number - 1] = [
                self.each.read(cell, f"{where}, {band:.0f} Hz", system) for cell, band in zip(row, OCTAVES, strict=True)
            ]
        return values


class ElementNames(Reader):
    """A row or column of names; a blank one is empty text."""

    broadcasts = False

    def label(self, system: System) -> str:
        return "a column of names"

    def read(self, value: Any, name: str, system: System) -> tuple[str, ...]:
        rows = as_rows(value)
        if len(rows) > 1 and len(rows[0]) > 1:
            raise NotUnderstood(f"{name} is {len(rows)} rows by {len(rows[0])} columns: give one column of names")
        cells = [cell for row in rows for cell in row]
        names = tuple("" if is_blank(cell) else str(cell).strip()[:100] for cell in cells)
        if not any(names):
            raise Missing(f"{name} is blank: give the names of the elements")
        return names
