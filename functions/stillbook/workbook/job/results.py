"""A template's key results: the named cells that hold them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from stillbook.workbook.job.notes import note_text

Best = Literal["", "least", "most"]

BEST: Final[tuple[Best, ...]] = ("", "least", "most")


@dataclass(frozen=True, slots=True)
class ResultSpec:
    """A named cell that holds a key result.

    Args:
        name: The defined name of the cell.
        label: What it is, in a few words.
        unit: Its unit as the sheet shows it.
        best: Whether the least or the most of it is best, where an exploration is to look for it.
    """

    name: str
    label: str = ""
    unit: str = ""
    best: Best = ""

    def comment(self) -> str:
        """The note for the defined name.

        >>> ResultSpec("price", "Price", "USD").comment()
        'Price | result | unit: USD'

        Raises:
            ValueError: If the note would be too long for a spreadsheet program.
        """
        unit = [("unit", self.unit)] if self.unit else []
        return note_text(
            self.name, self.label, [("result", None), *unit, *([("best", self.best)] if self.best else [])]
        )
