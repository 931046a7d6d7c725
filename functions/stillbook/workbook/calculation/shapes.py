"""Formulas that differ in whole numbers and in rows alone, which mean the same and are read once for all of them.

Stand-ins take the place of these: the same one for the same number, so that what is one cell stays one cell. Two rows
of one range keep their own numbers, since its size counts.

>>> shape("IF(C12>15,SUM($B12:F12),MAX(A1:A9)-15)")
('IF(C900001>900002,SUM($B900001:F900001),MAX(A1:A9)-900002)', ('12', '15'))
>>> filled("STILLCOMPARE(C900001, 900002)", ("12", "15"))
'STILLCOMPARE(C12, 15)'
"""

from __future__ import annotations

import re
from typing import Final

FIRST: Final = 900_001
"""The first stand-in: a row, and a whole number as any other from 1 on."""

_NUMBERS: Final = re.compile(
    r"(?<![\w.:$])(?<![\d.][Ee][+-])(?:(\$?[A-Z]{1,3}\$?)(\d+)(?::(\$?[A-Z]{1,3}\$?)(\d+))?|[1-9]\d{0,13})(?![\w.(!:])",
    re.ASCII,
)
"""A cell or a range, as columns and rows, or a whole number; the power of ten of another number is part of that."""

_STAND_IN: Final = re.compile(r"(?<!\d)900\d{3}(?!\d)", re.ASCII)
_MOST: Final = 999
_BY_NUMBER: Final = "SUBTOTAL"
"""A function whose numbers say what it does."""


def shape(formula: str) -> tuple[str, tuple[str, ...]]:
    """A formula with stand-ins, and what they stand for; as it is where some number in it could be taken for one."""
    if _STAND_IN.search(formula) or _BY_NUMBER in formula.upper():
        return formula, ()
    numbers: dict[str, str] = {}

    def held(number: str) -> str:
        return numbers.setdefault(number, str(FIRST + len(numbers)))

    def stand_in(found: re.Match[str]) -> str:
        first, row, last, last_row = found.groups()
        if first is None:
            return held(found[0])
        if last is None:
            return f"{first}{held(row)}"
        return f"{first}{held(row)}:{last}{held(row)}" if row == last_row else found[0]

    text = _NUMBERS.sub(stand_in, formula)
    return (text, tuple(numbers)) if len(numbers) < _MOST else (formula, ())


def filled(text: str, numbers: tuple[str, ...]) -> str:
    """A text with the numbers in the place of their stand-ins."""
    return _STAND_IN.sub(lambda found: numbers[int(found[0]) - FIRST], text) if numbers else text
