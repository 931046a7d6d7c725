"""One formula, several spellings: what each host writes into a file, and the neutral one used in memory.

In memory a formula calls ``STILL_DOORMASS(``. In files the same call may stand as ``STILL.DOORMASS(``,
``_xldudf_STILL_DOORMASS(``, ``_xludf.STILL_DOORMASS(``, ``[1]!STILL_DOORMASS(`` or
``'C:\\add-ins\\stillbook.xlam'!STILL_DOORMASS(``. Text inside quotes is never touched.
"""

from __future__ import annotations

import importlib.util
import re
from enum import StrEnum
from functools import cache, lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from openpyxl.formula.tokenizer import Token


class Spelling(StrEnum):
    """How a host writes the name of one of our formulas into a file; ``{name}`` is the name without its prefix."""

    NEUTRAL = "STILL_{name}"
    DOTTED = "STILL.{name}"
    WEB = "_xldudf_STILL_{name}"
    UNBOUND = "_xludf.STILL_{name}"


_CALL = re.compile(
    r"(?P<before>@?)(?:(?:'(?:[^']|'')*'|\[[^\]]+\]|[^'!\[\](),\s]+)!)?(?:_xldudf_|_xludf\.|_xll\.)?STILL[_.](?P<name>[A-Z][A-Z\d]*)\(",
    re.IGNORECASE,
)
"""An opening call in any spelling, with or without the add-in file it is linked to."""

# Most formulas need no change: these find out without reading them token by token.
_NEUTRAL_CALL = re.compile(r"(?<![\w.!\\])STILL_[A-Z][A-Z\d]*\(")
_EMPTY_PLACE = re.compile(r"\(\s*,|,\s*[,)]")

_NAMES_OF_ONE_VALUE = """
ABS ACOS ASIN ATAN ATAN2 CEILING CHAR CODE COS DATE DAY DEGREES EDATE EVEN EXP FIND FLOOR HOUR IF IFERROR IFNA INT
ISBLANK ISERR ISERROR ISNA ISNUMBER ISTEXT LEFT LEN LN LOG LOG10 LOWER MID MINUTE MOD MONTH NOT ODD POWER PROPER RADIANS
REPLACE REPT RIGHT ROUND ROUNDDOWN ROUNDUP SEARCH SIGN SIN SQRT SUBSTITUTE TAN TEXT TIME TRIM TRUNC UPPER VALUE YEAR
"""
_OF_ONE_VALUE = frozenset(_NAMES_OF_ONE_VALUE.split())
"""Functions whose arguments are single values: of a range given to them an ordinary formula takes one cell."""


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
    tokens = tokens_of(formula) if has_call(formula) and _EMPTY_PLACE.search(formula) else None
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


def in_memory(formula: str) -> str:
    """A formula as it is kept in memory: our calls in the neutral spelling, with each empty place in them written.

    >>> in_memory("=STILL.DOORMASS(60,,2)")
    '=STILL_DOORMASS(60,"",2)'
    """
    return with_blanks_written(to_neutral(formula))


def with_one_cell_of_ranges(formula: str) -> str:
    """A formula that takes, of each range where one value belongs, the cell in its own row or column.

    So an ordinary formula of a file is meant; engines that know only spilling formulas need it written, as ``@``.

    >>> with_one_cell_of_ranges("=A1:A9*2+SUM(A1:A9)")
    '=@(@A1:A9*2+SUM(A1:A9))'
    """
    tokens = tokens_of(formula)
    if tokens is None:
        return formula
    out: list[str] = []
    takes_ranges: list[bool] = []
    for token in tokens:
        if token.subtype == "CLOSE" and takes_ranges:
            takes_ranges.pop()
        elif token.subtype == "OPEN":
            lifted = token.type != "FUNC" or token.value[:-1].upper().removeprefix("_XLFN.") in _OF_ONE_VALUE
            takes_ranges.append(any(takes_ranges[-1:]) or not lifted)
        is_range = token.type == "OPERAND" and token.subtype == "RANGE" and not token.value.startswith("@")
        out.append(f"@{token.value}" if is_range and not any(takes_ranges[-1:]) else token.value)
    return ("=" if formula.startswith("=") else "") + f"@({''.join(out)})"


def calls(formula: str) -> list[str]:
    """Names, without their prefix, of our formulas that a formula calls, in order.

    >>> calls('=STILL.DOORMASS(STILL_QUANTITY("5 lb","kg"))')
    ['DOORMASS', 'QUANTITY']
    """
    found = (_CALL.fullmatch(token.value) for token in tokens_of(formula) or () if token.type == "FUNC")
    return [match["name"].upper() for match in found if match]


def has_call(formula: str) -> bool:
    """Whether a formula may call one of ours; quick, and wrong only where the name stands in quoted text."""
    return "still" in formula.lower()


def _respelled(formula: str, spelling: Spelling) -> str:
    found = formula.lower().count("still")
    if not found or (spelling is Spelling.NEUTRAL and len(_NEUTRAL_CALL.findall(formula)) == found):
        return formula
    tokens = tokens_of(formula)
    if tokens is None:
        return formula
    out = []
    for token in tokens:
        match = _CALL.fullmatch(token.value) if token.type == "FUNC" and token.subtype == "OPEN" else None
        name = spelling.value.format(name=match["name"].upper()) if match else ""
        out.append(f"{match['before']}{name}(" if match else token.value)
    return ("=" if formula.startswith("=") else "") + "".join(out)


@lru_cache(maxsize=4096)
def tokens_of(formula: str) -> tuple[Token, ...] | None:
    """The tokens of a formula, which joined give its text; None where it is none, or is too broken to be read."""
    tokenizer = _tokenizer()
    text = formula.removeprefix("=")
    try:
        items = tokenizer.Tokenizer(f"={text}").items
    except (tokenizer.TokenizerError, IndexError):
        return None
    # The tokenizer shortens runs of spaces and line breaks: they are put back from the text.
    found: list[Token] = []
    at = 0
    for item in items:
        start = at
        while not text.startswith(item.value, at):
            if at >= len(text) or not text[at].isspace():
                return None
            at += 1
        if at > start:
            found.append(tokenizer.Token(text[start:at], tokenizer.Token.WSPACE))
        found.append(item)
        at += len(item.value)
    return tuple(found) if not text[at:].strip() else None


@cache
def _tokenizer() -> Any:
    """The module ``openpyxl.formula.tokenizer`` by itself: it needs nothing of openpyxl, which takes long to load."""
    package = importlib.util.find_spec("openpyxl")
    if package is None or package.origin is None:
        raise ImportError("openpyxl is not installed")
    file = Path(package.origin).parent / "formula" / "tokenizer.py"
    spec = importlib.util.spec_from_file_location("stillbook_tokenizer", file)
    if spec is None or spec.loader is None:
        raise ImportError(f"{file} is missing")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module
