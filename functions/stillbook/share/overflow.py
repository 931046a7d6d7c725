"""Texts that run out of what a page shows of them: what comes after a stretch of blanks is beyond the edge."""

from __future__ import annotations

import re
from typing import Final

_BLANKS: Final = re.compile(r"[^\S\n]{8,}|(?:[^\S\n]*\n){3,}")
_GENEROUS: Final = 1.5
"""How many more narrow letters than usual ones a width holds."""

_LINE: Final = 1.2
"""The height of a line, in sizes of its type."""


def within_view(text: str, *, letters: float, lines: float) -> str:
    """A text without what lies behind blanks that reach beyond the edge of its cell.

    A text that is only long stays whole: it goes on where the edge cuts it.

    >>> within_view("Walls" + " " * 200 + "margin", letters=60, lines=1)
    'Walls'
    >>> within_view("Walls" + "\\n" * 40 + "margin", letters=60, lines=4)
    'Walls'
    >>> within_view("Walls        and doors", letters=60, lines=1)
    'Walls        and doors'

    Args:
        text: The text.
        letters: How many letters of its type fit beside each other.
        lines: How many lines fit under each other.
    """
    for blanks in _BLANKS.finditer(text):
        before = text[: blanks.start()]
        if "\n" in blanks[0]:
            reached = text[: blanks.end()].count("\n") >= lines + 1
        else:
            row = blanks.end() - (text.rfind("\n", 0, blanks.end()) + 1)
            reached = row > letters * max(1.0, lines) * _GENEROUS
        if reached:
            return before
    return text


def lines_in(height: float, size: float) -> float:
    """How many lines of type fit into a height, both in points."""
    return max(1.0, height / (size * _LINE))
