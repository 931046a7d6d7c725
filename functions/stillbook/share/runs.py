"""Texts of which each run has a look of its own: what of them is seen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from stillbook.share.colours import BLACK, Palette
from stillbook.share.looks import Look, size_of
from stillbook.share.shown import Shown
from stillbook.workbook.file.markup import unescaped, whole
from stillbook.workbook.file.parts import MAIN, Element, Parts, cells_of, local
from stillbook.workbook.file.sheet import Key

M: Final = f"{{{MAIN}}}"


@dataclass(frozen=True, slots=True)
class Run:
    """A piece of a cell's text.

    Args:
        text: Its text.
        font: Its ``rPr`` element; None where it looks like its cell.
    """

    text: str
    font: Element = None

    def is_seen(self, look: Look, palette: Palette) -> bool:
        """Whether it can be read in a cell of this look."""
        colour = self.font.find(f"{M}color") if self.font is not None else None
        ink = palette.colour(colour, BLACK) if colour is not None else ""
        return look.shows(ink=ink, size=size_of(self.font, look.size))


def strings_of(parts: Parts) -> Sequence[Element]:
    """The entries of a workbook's shared texts."""
    part = parts.related(parts.workbook, "sharedStrings")
    return list(parts.tree(part).iterfind(f"{M}si")) if part else []


def runs_of(parts: Parts, strings: Sequence[Element], view: Shown) -> dict[Key, list[Run]]:
    """The runs of each shown cell whose text has several."""
    found = {}
    for _, number, cells in cells_of(parts.tree(view.part)):
        for cell, column in cells:
            holder = cell.find(f"{M}is")
            if cell.get("t") == "s":
                place = whole(cell.findtext(f"{M}v"), -1)
                holder = strings[place] if 0 <= place < len(strings) else None
            if holder is not None and holder.find(f"{M}r") is not None and view.holds(number, column):
                found[number, column] = list(_runs(holder))
    return found


def _runs(holder: Element) -> list[Run]:
    made = []
    for piece in holder:
        if local(piece) == "t":
            made.append(Run(unescaped(piece.text or "")))
        elif local(piece) == "r":
            made.append(Run(unescaped(piece.findtext(f"{M}t", "")), piece.find(f"{M}rPr")))
    return made
