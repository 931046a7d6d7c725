"""What workbook cells hold and hand over: values, blanks, ranges, and errors with their reasons."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from typing import Any

import numpy as np


class Code(StrEnum):
    """The error values a cell can hold."""

    NOT_AVAILABLE = "#N/A"
    VALUE = "#VALUE!"
    NUMBER = "#NUM!"
    DIVISION = "#DIV/0!"
    REFERENCE = "#REF!"
    NAME = "#NAME?"
    NULL = "#NULL!"


@dataclass(frozen=True, slots=True)
class ErrorValue:
    """An error as a cell holds it, with the sentence that explains it."""

    code: Code
    reason: str = ""


def fifteen(value: float) -> float:
    """A number at the fifteen digits that spreadsheets look at; further ones are noise, as in 87.99999999999999.

    >>> fifteen(0.1 * 3)
    0.3
    """
    return float(f"{value:.15g}") + 0.0  # No cell holds the zero below zero.


def exact_fifteen(value: float) -> Decimal:
    """A number at fifteen digits, exactly as these say.

    >>> exact_fifteen(0.1)
    Decimal('0.1')
    """
    return Decimal(f"{value:.15g}")


class FormulaError(Exception):
    """Raised while a formula is evaluated; it becomes the error value in the cell."""

    code = Code.VALUE

    def __init__(self, reason: str, code: Code | None = None) -> None:
        super().__init__(reason)
        self.reason = reason
        if code is not None:
            self.code = code

    @property
    def value(self) -> ErrorValue:
        """The error as a cell holds it."""
        return ErrorValue(self.code, self.reason)


class Missing(FormulaError):
    """A needed input is blank: ``#N/A``."""

    code = Code.NOT_AVAILABLE


class NotUnderstood(FormulaError):
    """An input is not understood or is the wrong kind: ``#VALUE!``."""

    code = Code.VALUE


class OutOfRange(FormulaError):
    """An input is out of range, or the question has no answer: ``#NUM!``."""

    code = Code.NUMBER


Cell = float | int | str | bool | ErrorValue | None
"""What one workbook cell gives or takes."""

CellResult = float | str | bool | ErrorValue | list[list[Cell]]
"""What a formula gives a workbook: one value, or rows of them."""


def is_blank(value: object) -> bool:
    """Whether a cell counts as blank. Hosts hand a blank over as nothing or as empty text."""
    return value is None or value == ""


def as_rows(value: Any) -> list[Any]:
    """A cell or a range in any host's form, as rows of cells."""
    if isinstance(value, np.ndarray):
        value = value.tolist()
    if not isinstance(value, list | tuple):
        return [[value]]
    if not value or not isinstance(value[0], list | tuple):
        return [list(value)]
    return value if isinstance(value, list) else list(value)


def rejection(value: object, name: str, needed: str) -> FormulaError:
    """The error for a value that no argument reader accepts."""
    if isinstance(value, ErrorValue):
        return FormulaError(value.reason or f"{name} comes from a cell that holds {value.code}", value.code)
    if is_blank(value):
        return Missing(f"{name} is blank: {needed}")
    if isinstance(value, bool):
        return NotUnderstood(f"{name} is {str(value).upper()}: {needed}")
    if isinstance(value, Sequence | np.ndarray) and not isinstance(value, str):
        return NotUnderstood(f"{name} is a range of cells: {needed}")
    return NotUnderstood(f"{name} is not understood: {needed}")
