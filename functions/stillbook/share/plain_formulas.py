"""Formulas that any spreadsheet calculates: which functions they may use, and which cells they look at."""

from __future__ import annotations

from typing import Final

from openpyxl.formula.tokenizer import Tokenizer, TokenizerError

from stillbook.workbook.file.address import Area, read_area, split_reference

_NAMES: Final = """
ABS AND AVERAGE COUNT COUNTA COUNTBLANK COUNTIF IF IFERROR ISBLANK ISNUMBER ISTEXT LEN MAX MIN N NOT OR PRODUCT ROUND
ROUNDDOWN ROUNDUP SUBTOTAL SUM SUMIF SUMPRODUCT TRIM
"""
_FUNCTIONS: Final = frozenset(_NAMES.split())


def looked_at(formula: str, sheet: str) -> tuple[tuple[str, Area], ...] | None:
    """Sheet and cells of each reference in a plain formula; None for a formula that is not plain.

    Plain are a few functions that every spreadsheet has, on cells named by their address, with texts and whole numbers.
    Names, tables, other files and numbers with decimals, which may be a rate nobody else should see, are not.

    >>> looked_at('IF(F5="","",ROUND(D5*F5,2))', "Scope")[0]
    ('Scope', Area(first_row=5, first_column=6, last_row=5, last_column=6))
    >>> looked_at("F5*1.35", "Scope") is None, looked_at("STILL_PACKS(F5,1)", "Scope") is None
    (True, True)

    Args:
        formula: With or without its ``=``.
        sheet: The sheet it stands in.
    """
    try:
        tokens = Tokenizer("=" + formula.removeprefix("=")).items
    except (TokenizerError, IndexError):
        return None
    found = []
    for token in tokens:
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
            elif token.subtype == "ERROR" or (token.subtype == "NUMBER" and not token.value.isdigit()):
                return None
    return tuple(found)


def texts_in(formula: str) -> list[str]:
    """The texts written out in a formula."""
    try:
        tokens = Tokenizer("=" + formula.removeprefix("=")).items
    except (TokenizerError, IndexError):
        return []
    quoted = (token.value for token in tokens if token.type == "OPERAND" and token.subtype == "TEXT")
    return [text[1:-1].replace('""', '"') for text in quoted]
