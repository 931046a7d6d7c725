"""One formula, several spellings: what each host writes into a file, and the neutral one used in memory.

In memory a formula calls ``STILL_DOORMASS(``. In files the same call may stand as ``STILL.DOORMASS(``,
``_xldudf_STILL_DOORMASS(``, ``_xludf.STILL_DOORMASS(``, ``[1]!STILL_DOORMASS(`` or
``'C:\\add-ins\\stillbook.xlam'!STILL_DOORMASS(``. Text inside quotes is never touched.
"""

from __future__ import annotations

import re
from enum import StrEnum
from functools import lru_cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from openpyxl.formula.tokenizer import Token


class Spelling(StrEnum):
    """How a host writes the name of one of our formulas into a file; ``{name}`` is the name without its prefix."""

    NEUTRAL = "STILL_{name}"
    DOTTED = "STILL.{name}"
    WEB = "_xldudf_STILL_{name}"
    UNBOUND = "_xludf.STILL_{name}"


_CALL = re.compile(
    r"(?P<before>@?)(?:(?:'(?:[^']|'')*'|\[[^\]]+\]|[^'!\[\](),\s]+)!)?(?:_xldudf_|_xludf\.|_xll\.)?STILL[_.](?P<name>[A-Z]+)\(",
    re.IGNORECASE,
)
"""An opening call in any spelling, with or without the add-in file it is linked to."""


def to_neutral(formula: str) -> str:
    """A formula with each of our calls in the neutral spelling.

    >>> to_neutral('=[1]!still_DoorMass(60,,"STILL.X(")+SUM(A1)')
    '=STILL_DOORMASS(60,,"STILL.X(")+SUM(A1)'
    """
    return _respelled(formula, Spelling.NEUTRAL)


def to_spelling(formula: str, spelling: Spelling) -> str:
    """A formula with each of our calls as a host spells it, whatever their spelling was.

    >>> to_spelling("=STILL_DOORMASS(60)", Spelling.WEB)
    '=_xldudf_STILL_DOORMASS(60)'
    """
    return _respelled(formula, spelling)


def with_blanks_written(formula: str) -> str:
    """A formula with each argument left empty in our calls written as empty text, which all calls take as blank.

    Some engines hand an empty place between commas over as 0, which is a value.

    >>> with_blanks_written("=STILL_DOORMASS(60,,IF(A1,,2),)")
    '=STILL_DOORMASS(60,"",IF(A1,,2),"")'
    """
    tokens = _tokens(formula) if has_call(formula) else None
    if tokens is None:
        return formula
    out: list[str] = []
    stack: list[tuple[bool, str]] = []
    for token in tokens:
        separates = (token.type, token.subtype) == ("SEP", "ARG")
        if stack and token.type != "WHITE-SPACE":
            ours, before = stack[-1]
            if ours and ((separates and before in "(,") or (token.subtype == "CLOSE" and before == ",")):
                out.append('""')
            stack[-1] = (ours, "," if separates else "x")
        if token.subtype == "OPEN":
            stack.append((token.type == "FUNC" and _CALL.fullmatch(token.value) is not None, "("))
        elif token.subtype == "CLOSE":
            stack.pop()
        out.append(token.value)
    return ("=" if formula.startswith("=") else "") + "".join(out)


def calls(formula: str) -> list[str]:
    """Names, without their prefix, of our formulas that a formula calls, in order.

    >>> calls('=STILL.DOORMASS(STILL_QUANTITY("5 lb","kg"))')
    ['DOORMASS', 'QUANTITY']
    """
    found = (_CALL.fullmatch(token.value) for token in _tokens(formula) or () if token.type == "FUNC")
    return [match["name"].upper() for match in found if match]


def has_call(formula: str) -> bool:
    """Whether a formula may call one of ours; quick, and wrong only where the name stands in quoted text."""
    return "still" in formula.lower()


def _respelled(formula: str, spelling: Spelling) -> str:
    tokens = _tokens(formula) if has_call(formula) else None
    if tokens is None:
        return formula
    out = []
    for token in tokens:
        match = _CALL.fullmatch(token.value) if token.type == "FUNC" and token.subtype == "OPEN" else None
        name = spelling.value.format(name=match["name"].upper()) if match else ""
        out.append(f"{match['before']}{name}(" if match else token.value)
    return ("=" if formula.startswith("=") else "") + "".join(out)


@lru_cache(maxsize=4096)
def _tokens(formula: str) -> tuple[Token, ...] | None:
    """The tokens of a formula; None where it is none, or is too broken to be read."""
    from openpyxl.formula.tokenizer import Tokenizer, TokenizerError

    try:
        items = Tokenizer(formula if formula.startswith("=") else f"={formula}").items
    except (TokenizerError, IndexError):
        return None
    return tuple(items)
