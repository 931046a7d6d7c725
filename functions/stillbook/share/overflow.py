"""Texts and numbers that run out of what a page shows of them: what lies beyond the edge is not seen.

The width of a text is reckoned for a narrow face, so that what every program shows is kept. Widths are in letters, as
those of columns: the width of a figure of the usual type.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from typing import Final

_BLANKS: Final = re.compile(r"[^\S\n]{8,}|(?:[^\S\n]*\n){3,}")
_LINE: Final = 1.2
"""The height of a line, in sizes of its type."""

_NARROW: Final = 0.88
"""A narrow face beside the usual one."""

_WIDTHS: Final = {
    **dict.fromkeys(" ijlI|'.,:;!", 0.45),
    **dict.fromkeys('frtJ-()[]{}/\\"`', 0.62),
    **dict.fromkeys("mwMW@%", 1.5),
}
"""Widths of letters beside that of a figure, in the faces of offices; common practice, no source."""

_CAPITAL, _SMALL, _FULL = 1.1, 0.9, 1.9


@dataclass(frozen=True, slots=True)
class Room:
    """What a page leaves a text.

    Args:
        width: The width of its cell, in letters of its own size.
        before: How far it may run out of the cell to the left.
        after: How far it may run out of the cell to the right.
        lines: The lines that are seen under each other.
        align: ``left``, ``right`` or ``center``.
        wraps: Whether it is broken into lines.
    """

    width: float
    before: float = 0
    after: float = 0
    lines: float = 1
    align: str = "left"
    wraps: bool = False


def width_of(text: str) -> float:
    """The least width of a text in letters.

    >>> round(width_of("Walls"), 2), width_of("")
    (3.7, 0.0)
    """
    return _NARROW * sum(_width(sign) for sign in text)


def _width(sign: str) -> float:
    if sign in _WIDTHS:
        return _WIDTHS[sign]
    if sign.isascii():
        return 1.0 if sign.isdigit() else _CAPITAL if sign.isupper() else _SMALL
    if unicodedata.combining(sign):
        return 0.0
    return _FULL if unicodedata.east_asian_width(sign) in "WF" else _SMALL


def seen_span(text: str, room: Room) -> tuple[int, int]:
    """Where the part of a text that is seen begins and ends.

    >>> seen_span("Walls" + " " * 200 + "margin", Room(60)), seen_span("Walls        and doors", Room(60))
    ((0, 5), (0, 22))
    >>> seen_span("Walls and margin 35%", Room(7)), seen_span("Walls and margin 35%", Room(7, align="right"))
    ((0, 11), (10, 20))
    >>> seen_span("Walls" + "\\n" * 40 + "margin", Room(60, lines=4, wraps=True))
    (0, 5)
    """
    if room.wraps:
        return 0, _end_of_lines(text, room)
    full = width_of(text)
    over = max(0.0, full - room.width)
    to_the_left = {"left": 0.0, "center": over / 2}.get(room.align, over)
    cut_before = max(0.0, to_the_left - room.before)
    cut_after = max(0.0, over - to_the_left - room.after)
    start = len(text) - _fitting(text[::-1], full - cut_before) if cut_before else 0
    end = _fitting(text, full - cut_after) if cut_after else len(text)
    kept = text[start:end]
    return end - len(kept.lstrip() if start else kept), start + len(kept.rstrip() if cut_after else kept)


def _fitting(text: str, width: float) -> int:
    """How many signs of a text fit a width, the last one in part."""
    reached = 0.0
    for place, sign in enumerate(text):
        if reached >= width:
            return place
        reached += _NARROW * _width(sign)
    return len(text)


def _end_of_lines(text: str, room: Room) -> int:
    """Where the last line that is seen ends in a text broken into lines."""
    most = max(1, int(room.lines + 0.5))
    lines, reached = 1, 0.0
    for piece in re.finditer(r"\n|[^\S\n]+|\S+", text):
        if piece[0] == "\n":
            lines, reached = lines + 1, 0.0
        else:
            wide = width_of(piece[0])
            if piece[0].isspace():
                # Blanks hang over the end of a line, but many of them fill lines as letters do.
                over = reached + wide if _BLANKS.fullmatch(piece[0]) else min(reached + wide, room.width)
            elif wide > room.width:
                over = reached + wide
            elif reached + wide > room.width:
                lines, over = lines + 1, wide
            else:
                over = reached + wide
            turns = int(over / room.width) if over > room.width else 0
            lines, reached = lines + turns, over - turns * room.width
        if lines > most:
            return len(text[: piece.start()].rstrip())
    return len(text)


def lines_in(height: float, size: float) -> float:
    """How many lines of type fit into a height, both in points."""
    return max(1.0, height / (size * _LINE))
