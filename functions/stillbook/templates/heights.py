"""How tall a row is: of usual type, of a heading, and of text that is wrapped in its columns."""

from __future__ import annotations

import math
from typing import Final

_LINE: Final = 1.26
"""Height of a line over its size of type: that of the face, 1.22, and a little room."""

ROW: Final = 14.25
"""Height of a row of usual type."""

HEADING: Final = 18.5
"""Height of a heading with its rule."""


def lines_of(title: str, width: float) -> int:
    """How many lines a heading takes in a column of so many letters, broken between its words alone."""
    count, room = 0, 0.0
    for word in title.split():
        if not count or len(word) + 1 > room:
            count, room = count + 1, width
            room -= len(word)
        else:
            room -= len(word) + 1
    return max(1, count)


def height_for(text: str | None, width: float, size: float) -> float:
    """The height in points of text wrapped in columns of that total width."""
    line = size * _LINE
    if not text:
        return line + 1
    letters = max(1.0, width * 11.0 / size * 1.08)
    count = sum(max(1, math.ceil(len(part) / letters)) for part in str(text).split("\n"))
    return count * line + 1
