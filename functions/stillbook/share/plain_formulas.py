"""Formulas that any spreadsheet calculates: which functions they may use, and which cells they look at."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import suppress
from functools import lru_cache
from typing import Final

from openpyxl.formula.tokenizer import Token, Tokenizer, TokenizerError

from stillbook.share.signs import is_unseen
from stillbook.workbook.calculation.shapes import filled, shape
from stillbook.workbook.file.address import Area, read_area, split_reference

_NAMES: Final = """
ABS AND AVERAGE COUNT COUNTA COUNTBLANK COUNTIF IF IFERROR ISBLANK ISNUMBER ISTEXT LEN MAX MIN N NOT OR PRODUCT ROUND
ROUNDDOWN ROUNDUP SUBTOTAL SUM SUMIF SUMPRODUCT TRIM
"""
_FUNCTIONS: Final = frozenset(_NAMES.split())
_ROUNDING: Final = ("ROUND", "ROUNDDOWN", "ROUNDUP")
_SPREADING: Final = ("AVERAGE", "PRODUCT", "SUMPRODUCT")
_LONGEST_SIGN: Final = 3


def looked_at(formula: str, sheet: str, shown: frozenset[str] = frozenset()) -> tuple[tuple[str, Area], ...] | None:
    """Sheet and cells of each reference in a plain formula; None for a formula that is not plain.

    Plain are a few functions that every spreadsheet has, on cells named by their address. What a formula writes out
    stands on no page: plain are the numbers 0 and 1, the number of decimals to round to, texts without letters or
    figures, and texts that the page shows anyhow. Names, tables, other files and any other number or text, which may
    be a rate or a remark nobody else should see, are not.

    >>> looked_at('IF(F5="","",ROUND(D5*F5,2))', "Scope")[0]
    ('Scope', Area(first_row=5, first_column=6, last_row=5, last_column=6))
    >>> looked_at("F5*1.35", "Scope") is None, looked_at("STILL_PACKS(F5,1)", "Scope") is None
    (True, True)
    >>> looked_at("F5*35/100", "Scope") is None, looked_at('IF(F5>1,"dear","")', "Scope") is None
    (True, True)

    Args:
        formula: With or without its ``=``.
        sheet: The sheet it stands in.
        shown: Texts that the reader is shown, in the form of :func:`spaced`.
    """
    tokens = _tokens(formula)
    if tokens is None:
        return None
    found = []
    for place, token, function, argument in _with_functions(tokens):
        if token.type == "FUNC":
            if token.subtype == "OPEN" and token.value[:-1].upper() not in _FUNCTIONS:
                return None
        elif token.type == "ARRAY":
            return None
        elif token.type == "OPERAND":
            if token.subtype == "RANGE":
                area = read_area(token.value)
                reference = (sheet, area) if area else split_reference(token.value)
                if reference is None:
                    return None
                found.append(reference)
            elif token.subtype == "TEXT":
                if not _is_harmless(_unquoted(token.value), shown):
                    return None
            elif token.subtype == "NUMBER":
                alone = _stands_alone(tokens, place)
                if token.value not in ("0", "1") and not (alone and _is_setting(token.value, function, argument)):
                    return None
            elif token.subtype == "ERROR":
                return None
    return tuple(found)


def references_of(formula: str, sheet: str) -> tuple[tuple[str, Area], ...] | None:
    """Sheet and cells of each reference in a formula of any kind, names left out; None where it is not understood.

    Args:
        formula: With or without its ``=``.
        sheet: The sheet it stands in.
    """
    tokens = _tokens(formula)
    if tokens is None:
        return None
    found = []
    for token in tokens:
        if token.type == "OPERAND" and token.subtype == "RANGE":
            area = read_area(token.value)
            reference = (sheet, area) if area else split_reference(token.value)
            if reference is not None:
                found.append(reference)
    return tuple(found)


def multiplies(formula: str) -> bool:
    """Whether a formula can give more digits than the cells it looks at, without rounding them itself.

    >>> multiplies("B1*C1"), multiplies("ROUND(B1*C1,2)"), multiplies("SUM(D1:D9)")
    (True, False, False)
    """
    inside = 0
    for token in _tokens(formula) or ():
        if token.type == "FUNC" and token.subtype == "OPEN":
            name = token.value[:-1].upper()
            if inside or name in _ROUNDING:
                inside += 1
            elif name in _SPREADING:
                return True
        elif token.type == "PAREN" and inside:
            inside += 1 if token.subtype == "OPEN" else -1
        elif token.type == "FUNC" and inside:
            inside -= 1
        elif not inside and (token.value in ("*", "/", "^") or token.type == "OPERATOR-POSTFIX"):
            return True
    return False


def texts_in(formula: str) -> tuple[str, ...]:
    """The texts written out in a formula.

    >>> texts_in('IF(B12>12,"12 of B12",A1&"")')
    ('12 of B12', '')
    """
    return _written_out(formula)[0]


def numbers_in(formula: str) -> tuple[float, ...]:
    """The numbers written out in a formula.

    >>> numbers_in("IF(B12>1E5,B12*12,B12*1.5)")
    (100000.0, 12.0, 1.5)
    """
    return _written_out(formula)[1]


@lru_cache(maxsize=1 << 15)
def _written_out(formula: str) -> tuple[tuple[str, ...], tuple[float, ...]]:
    """The texts and the numbers written out in a formula, read once: a proof asks for both, some several times."""
    text, stood_for = shape(formula)
    texts, numbers = _written_in(text)
    found = []
    for number in numbers:
        with suppress(ValueError):
            found.append(float(filled(number, stood_for)))
    return tuple(filled(each, stood_for) for each in texts), tuple(found)


@lru_cache(maxsize=1 << 14)
def _written_in(formula: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The texts and the numbers in the shape of a formula, read once for all formulas that have it."""
    operands = [token for token in _read(formula) or () if token.type == "OPERAND"]
    return (
        tuple(_unquoted(token.value) for token in operands if token.subtype == "TEXT"),
        tuple(token.value for token in operands if token.subtype == "NUMBER"),
    )


def spaced(text: str) -> str:
    """A text in the form in which texts are compared: one space between words, no capitals."""
    return " ".join(text.split()).casefold()


@lru_cache(maxsize=1 << 14)
def _tokens(formula: str) -> tuple[Token, ...] | None:
    return _read(formula)


def _read(formula: str) -> tuple[Token, ...] | None:
    try:
        return tuple(Tokenizer("=" + formula.removeprefix("=")).items)
    except (TokenizerError, IndexError):
        return None


def _with_functions(tokens: Sequence[Token]) -> Iterator[tuple[int, Token, str, int]]:
    """Each token with its place, the function in whose brackets it stands, and the number of its argument there."""
    open_ones: list[list[str | int]] = []
    for place, token in enumerate(tokens):
        function, argument = open_ones[-1] if open_ones else ("", 0)
        yield place, token, str(function), int(argument)
        if token.subtype == "OPEN":
            open_ones.append([token.value[:-1].upper() if token.type == "FUNC" else "", 0])
        elif token.subtype == "CLOSE" and open_ones:
            open_ones.pop()
        elif token.type == "SEP" and open_ones:
            open_ones[-1][1] = int(open_ones[-1][1]) + 1


def _stands_alone(tokens: Sequence[Token], place: int) -> bool:
    """Whether a token is a whole argument."""
    before = tokens[place - 1] if place else None
    after = tokens[place + 1] if place + 1 < len(tokens) else None
    return (
        before is not None
        and after is not None
        and (before.type == "SEP" or before.subtype == "OPEN")
        and (after.type == "SEP" or after.subtype == "CLOSE")
    )


def _is_setting(number: str, function: str, argument: int) -> bool:
    """Whether a number says how a function works: the decimals to round to, or the kind of a subtotal."""
    if function in _ROUNDING:
        return argument == 1 and number.isdigit() and len(number) == 1
    return function == "SUBTOTAL" and argument == 0 and number in ("9", "109")


def _is_harmless(text: str, shown: frozenset[str]) -> bool:
    signs = len(text) <= _LONGEST_SIGN and not any(sign.isalnum() or is_unseen(sign) for sign in text)
    return signs or spaced(text) in shown


def _unquoted(text: str) -> str:
    return text[1:-1].replace('""', '"')
