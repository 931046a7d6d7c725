"""Calls of our formulas as a workbook is to hold them: in the neutral spelling, and with no place left empty.

Calc's function wizard writes ``STILL.DOORMASS(``, and another program may have written ``_xldudf_STILL_DOORMASS(`` or
``[1]!STILL_DOORMASS(``; a workbook holds ``STILL_DOORMASS(``. Under that name LibreOffice 7 hands over an empty place
as 0, which can be a value; empty text is a blank, as an empty place is to be.
"""

from __future__ import annotations

import re
from collections.abc import Collection

_TOKEN = re.compile(
    r"""
    (?P<text>"(?:[^"]|"")*")
    | (?:'(?:[^']|'')*'[!\#]|\[[^\]]+\]!?)?
      (?<![\w.])(?:_xldudf_|_xludf\.|_xll\.)?STILL[_.](?P<name>[A-Z][A-Z\d]*)\(
    | (?P<sheet>'(?:[^']|'')*')
    | (?P<open>[({])
    | (?P<close>[)}])
    | (?P<next>;)
    | (?P<space>\s+)
    | .
    """,
    re.IGNORECASE | re.VERBOSE | re.DOTALL,
)


def calls_ours(formula: str, names: Collection[str]) -> bool:
    """Whether a formula of Calc calls one of ours.

    >>> calls_ours("=1+STILL_DOORMASS(60)", {"DOORMASS"}), calls_ours('="STILL_DOORMASS("', {"DOORMASS"})
    (True, False)
    """
    if "still" not in formula.lower():
        return False
    return any(match.lastgroup == "name" and match["name"].upper() in names for match in _TOKEN.finditer(formula))


def respelled(formula: str, names: Collection[str]) -> str:
    """A formula of Calc with each of our calls as a workbook is to hold it.

    Args:
        formula: The formula in English, with semicolons between its arguments.
        names: Our formulas, without their prefix.

    >>> respelled('=still.DoorMass(60;;"STILL.X(")+SUM(A1;;2)', {"DOORMASS"})
    '=STILL_DOORMASS(60;"";"STILL.X(")+SUM(A1;;2)'
    """
    if "still" not in formula.lower():
        return formula
    out: list[str] = []
    stack: list[bool] = []
    before = ""
    for match in _TOKEN.finditer(formula):
        token, kind = match[0], match.lastgroup
        ours = kind == "name" and match["name"].upper() in names
        if (
            stack
            and stack[-1]
            and ((kind == "next" and before in ("open", "next")) or (kind == "close" and before == "next"))
        ):
            out.append('""')
        if kind in ("name", "open"):
            stack.append(ours)
        elif kind == "close" and stack:
            stack.pop()
        out.append(f"STILL_{match['name'].upper()}(" if ours else token)
        if kind != "space":
            before = "open" if kind == "name" else kind or "other"
    return "".join(out)
