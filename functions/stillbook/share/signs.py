"""Signs that no page shows: what of a text is left when they are taken out."""

from __future__ import annotations

import unicodedata
from typing import Final

_BLANKS: Final = "\n\t"
_SHOWN_BEFORE_FIGURES: Final = frozenset(
    "\u0600\u0601\u0602\u0603\u0604\u0605\u06dd\u070f\u0890\u0891\u08e2\U000110bd\U000110cd"
)
"""Signs of the class of unseen ones that are drawn all the same."""

_FILLERS: Final = frozenset("\u034f\u115f\u1160\u17b4\u17b5\u180b\u180c\u180d\u180f\u2065\u3164\uffa0")
_RANGES: Final = ((0xFE00, 0xFE0F), (0xFFF0, 0xFFF8), (0xFDD0, 0xFDEF), (0xE0000, 0xE0FFF))
"""Variation selectors, signs set apart for no use, and the plane of tags and further selectors."""

_JOINERS: Final = "\u200c\u200d"
_SELECTORS: Final = "\ufe0e\ufe0f"
_KEYCAP: Final = "\u20e3"


def seen_signs(text: str) -> str:
    """A text without the signs that no page shows: controls, tags, fillers, marks of direction, private ones.

    What scripts and pictographs need stays: one joiner between two signs that are no plain letters, and one selector
    of a form after a sign that has forms. The classes are those of the Unicode Character Database.

    >>> seen_signs("Wal\\u200bls\\U000e0035"), seen_signs("\\u202eleft\\u202c"), seen_signs("\\u2764\\ufe0f\\ufe0f")
    ('Walls', 'left', '❤️')
    """
    if text.isascii() and text.isprintable():
        return text
    made: list[str] = []
    for place, sign in enumerate(text):
        if not is_unseen(sign):
            made.append(sign)
            continue
        before = made[-1] if made else ""
        after = text[place + 1 : place + 2]
        if sign in _JOINERS:
            between = _has_forms(before) or before in _SELECTORS
            if before and between and _has_forms(after):
                made.append(sign)
        elif sign in _SELECTORS and (_has_forms(before) or after == _KEYCAP) and before not in _JOINERS:
            made.append(sign)
    return "".join(made)


def is_unseen(sign: str) -> bool:
    """Whether a sign draws nothing, or nothing that is the same for every reader."""
    kind = unicodedata.category(sign)
    if kind in ("Cc", "Cf", "Co", "Cs"):
        return sign not in _BLANKS and sign not in _SHOWN_BEFORE_FIGURES
    code = ord(sign)
    return sign in _FILLERS or code & 0xFFFE == 0xFFFE or any(first <= code <= last for first, last in _RANGES)


def _has_forms(sign: str) -> bool:
    """Whether a sign is one that joiners and selectors belong to: neither a plain letter nor itself unseen."""
    return sign != "" and not sign.isascii() and not is_unseen(sign)
