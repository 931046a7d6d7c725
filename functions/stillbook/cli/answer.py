"""One formula evaluated, with the unit of what it gives."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from stillbook.catalogue import find
from stillbook.cells import Cell, ErrorValue, FormulaError
from stillbook.formula import PREFIX, Formula
from stillbook.quantities import System
from stillbook.workbook import WorkbookError
from stillbook.workbook.calculation.engine import evaluate
from stillbook.workbook.calculation.spelling import to_neutral, tokens_of
from stillbook.workbook.file.address import read_area

if TYPE_CHECKING:
    from openpyxl.formula.tokenizer import Token

_WHOLE_LINES: Final = re.compile(r"\$?[A-Z]{1,3}:\$?[A-Z]{1,3}|\$?\d+:\$?\d+", re.IGNORECASE)
"""Whole columns or rows: ``A:C``, ``2:4``."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What a formula gives.

    Args:
        value: A cell value, or rows of them.
        unit: The unit of its numbers; empty where they have none, several, or one that depends on the formula around.
        headings: What its columns are, where the value itself does not say so.
    """

    value: Cell | list[list[Cell]]
    unit: str = ""
    headings: tuple[str, ...] = ()

    @property
    def rows(self) -> list[list[Cell]]:
        """The value as rows."""
        return self.value if isinstance(self.value, list) else [[self.value]]

    @property
    def error(self) -> ErrorValue | None:
        """The error it is, or the first among its cells."""
        return next((cell for row in self.rows for cell in row if isinstance(cell, ErrorValue)), None)


def answer(formula: str) -> Answer:
    """Evaluate a formula as a cell would.

    >>> answer('=STILL_QUANTITY("1 ft","in")').value
    12.0

    Raises:
        WorkbookError: If it cannot be read as a formula, or refers to a cell.
    """
    tokens = _tokens(formula)
    cell = next((t.value for t in tokens if t.subtype == "RANGE" and _is_reference(t.value)), None)
    if cell is not None:
        raise WorkbookError(
            f"the formula refers to {cell}, and there is no workbook here: write the value itself in its place, "
            'such as 4.4 or "36 in", and rows of values as {"gypsum board","5/8 in",2}'
        )
    value = evaluate(formula)
    outer = _outer_call(tokens)
    if outer is None:
        return Answer(value)
    entry, system = outer
    result = entry.result
    headings: tuple[str, ...] = ()
    if isinstance(value, list) and not result.shows_headings:
        headings = tuple(result.headings(system)[: len(value[0])])
    return Answer(value, "" if headings else result.unit(system), headings)


def _tokens(formula: str) -> list[Token]:
    """The tokens of a formula but for its spaces; none where it cannot be read."""
    tokens = tokens_of(to_neutral("=" + formula.strip().removeprefix("="))) or ()
    return [token for token in tokens if token.type != "WHITE-SPACE"]


def _is_reference(text: str) -> bool:
    """Whether an operand is a cell or a range, and not a name."""
    return "!" in text or read_area(text) is not None or _WHOLE_LINES.fullmatch(text) is not None


def _outer_call(tokens: Sequence[Token]) -> tuple[Formula, System] | None:
    """The formula of ours whose answer is the whole answer, and the unit system it is called with."""
    if not tokens or tokens[0].subtype != "OPEN" or not tokens[0].value.upper().startswith(PREFIX):
        return None
    arguments: list[list[Any]] = [[]]
    depth = 0
    for place, token in enumerate(tokens):
        depth += (token.subtype == "OPEN") - (token.subtype == "CLOSE")
        if depth == 0 and place != len(tokens) - 1:
            return None
        if depth == 1 and (token.type, token.subtype) == ("SEP", "ARG"):
            arguments.append([])
        elif place and depth:
            arguments[-1].append(token)
    try:
        entry = find(tokens[0].value.rstrip("("))
    except FormulaError:
        return None
    units = "".join(token.value for token in arguments[-1])
    if not entry.dimensional or len(arguments) <= len(entry.parameters) or not units:
        return entry, "US"
    try:
        return entry, entry.system_of([None] * len(entry.parameters) + [evaluate("=" + units)])
    except FormulaError:
        return None
