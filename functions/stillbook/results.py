"""Results: how the answer of a trade function becomes cells, with their units and headings."""

from __future__ import annotations

import gc
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, ClassVar, Final

import numpy as np
import numpy.typing as npt

from stillbook.cells import Cell, CellResult, Code, ErrorValue, OutOfRange, fifteen
from stillbook.quantities import Kind, System, from_base

Given = float | str | None
"""One of several values that a trade function gives side by side; None leaves its cell empty."""


class ResultForm:
    """The form of what a formula gives: a number, numbers, text, cells side by side, or rows under headings."""

    form: ClassVar[str] = "text"
    """The word that the service has for it."""

    is_one_number: ClassVar[bool] = False
    """Whether it is a single number: a vectorised function can then answer for many places at once."""

    is_spectrum: ClassVar[bool] = False
    """Whether it is a row of numbers by band."""

    shows_headings: ClassVar[bool] = False
    """Whether the cells begin with a row of headings."""

    columns: tuple[tuple[str, Kind | None], ...] = ()
    """Title and kind of each column, where it has several of their own; a column without a kind holds text."""

    def write(self, answer: Any, system: System, no_answer: str) -> CellResult:
        """An answer in SI units as cells in the workbook's units.

        Args:
            answer: What the trade function gave.
            system: The unit system of the workbook.
            no_answer: The reason where a number is not finite.

        Raises:
            OutOfRange: If the whole answer is a number that is not finite, or larger than any of its kind.
        """
        raise NotImplementedError

    def unit(self, system: System) -> str:
        """The unit of its numbers, of cells side by side that of the first; empty where there is none to tell."""
        kind = self.numbers_of
        return kind.unit(system) if kind else ""

    def headings(self, system: System) -> list[str]:
        """The titles of its columns, with their units."""
        units = ((title, kind.unit(system) if kind else "") for title, kind in self.columns)
        return [f"{title} ({unit})" if unit else title for title, unit in units]

    def said(self, unit: str) -> str:
        """What it gives in words, the unit as the reader is told it: ``a number in lb or kg``."""
        raise NotImplementedError

    @property
    def numbers_of(self) -> Kind | None:
        """What its numbers stand for, where all stand for the same."""
        return None

    @property
    def is_text(self) -> bool:
        """Whether every cell of it holds text."""
        return False

    @property
    def dimensional(self) -> bool:
        """Whether its numbers depend on the workbook's unit system."""
        kinds = (self.numbers_of, *(kind for _, kind in self.columns))
        return any(kind is not None and kind.us != kind.si for kind in kinds)


@dataclass(frozen=True, eq=False)
class Number(ResultForm):
    """One number of a kind. A vectorised function that is given arrays gives an array, a number for each place."""

    kind: Kind
    form = "number"
    is_one_number = True

    @property
    def numbers_of(self) -> Kind:
        return self.kind

    def write(self, answer: float | npt.NDArray[np.float64], system: System, no_answer: str) -> CellResult:
        if isinstance(answer, np.ndarray) and answer.ndim:
            return _rows(np.atleast_2d(answer), self.kind, system, no_answer)
        factor, offset = self.kind.scales[system]
        value = float((answer - offset) / factor)
        if not math.isfinite(value):
            raise OutOfRange(no_answer)
        if abs(float(answer)) > self.kind.largest:
            raise OutOfRange(_too_large(self.kind, system))
        return fifteen(value)

    def said(self, unit: str) -> str:
        return f"a number in {unit}" if unit else "a number"


@dataclass(frozen=True, eq=False)
class Numbers(ResultForm):
    """A row of numbers of one kind: a spectrum by band."""

    kind: Kind
    form = "row"
    is_spectrum = True

    @property
    def numbers_of(self) -> Kind:
        return self.kind

    def write(self, answer: npt.ArrayLike, system: System, no_answer: str) -> CellResult:
        return _rows(np.atleast_2d(np.asarray(answer, dtype=np.float64)), self.kind, system, no_answer)

    def said(self, unit: str) -> str:
        return f"a row of numbers in {unit}" if unit else "a row of numbers"


class Words(ResultForm):
    """Text."""

    def write(self, answer: CellResult, system: System, no_answer: str) -> CellResult:
        return answer

    def said(self, unit: str) -> str:
        return "text"

    @property
    def is_text(self) -> bool:
        return True


class _Columns(ResultForm):
    """Cells each of its own kind.

    Args:
        columns: Title and kind of each column; a column without a kind holds text.
    """

    def __init__(self, *columns: tuple[str, Kind | None]) -> None:
        self.columns = columns

    @property
    def is_text(self) -> bool:
        return all(kind is None for _, kind in self.columns)

    def _titles(self) -> str:
        return ", ".join(title for title, _ in self.columns)


class SideBySide(_Columns):
    """A few cells side by side without headings, each of its own kind; the first is the main one.

    A trade function gives a tuple, which may leave out cells at its end: one value alone is a single cell.
    """

    form = "cells"

    def write(self, answer: Sequence[Given], system: System, no_answer: str) -> CellResult:
        first, *others = [_cell(value, kind, system) for value, (_, kind) in zip(answer, self.columns, strict=False)]
        return [[first, *others]] if others else first

    def unit(self, system: System) -> str:
        kind = self.columns[0][1]
        return kind.unit(system) if kind else ""

    def said(self, unit: str) -> str:
        return f"cells side by side: {self._titles()}" + (f"; the first in {unit}" if unit else "")


class UnderHeadings(_Columns):
    """Rows of several columns, given to the workbook below a row of headings that carry the units.

    A trade function gives a sequence of rows, each with a value for every column; None leaves a cell empty.
    """

    form = "table"
    shows_headings = True

    def write(self, answer: Sequence[Sequence[Given]], system: System, no_answer: str) -> CellResult:
        kinds = [kind for _, kind in self.columns]
        rows: list[list[Cell]] = [list(self.headings(system))]
        rows += ([_cell(value, kind, system) for value, kind in zip(row, kinds, strict=True)] for row in answer)
        return rows

    def said(self, unit: str) -> str:
        return f"rows under headings: {self._titles()}"


def _cell(value: Given, kind: Kind | None, system: System) -> float | str | ErrorValue:
    """One value among cells of different kinds."""
    if kind is None or isinstance(value, str):
        return "" if value is None else value
    if value is None:
        return ""
    number = from_base(float(value), kind, system)
    if not math.isfinite(number):
        return ErrorValue(Code.NUMBER, "no answer in this row")
    return fifteen(number) if abs(value) <= kind.largest else ErrorValue(Code.NUMBER, _too_large(kind, system))


def _rows(answer: npt.NDArray[np.float64], kind: Kind, system: System, no_answer: str) -> list[list[Cell]]:
    """An array of numbers as rows of cells; a place without an answer is an error there."""
    factor, offset = kind.scales[system]
    values = (answer - offset) / factor
    rows = _plain(_tidy_all(values))
    finite, trusted = np.isfinite(values), np.abs(answer) <= kind.largest
    if not (trusted & finite).all():
        nothing = ErrorValue(Code.NUMBER, no_answer)
        too_large = ErrorValue(Code.NUMBER, _too_large(kind, system))
        rows = [
            [nothing if not there else v if fit else too_large for v, there, fit in zip(*row, strict=True)]
            for row in zip(rows, finite.tolist(), trusted.tolist(), strict=True)
        ]
    return rows


def _too_large(kind: Kind, system: System) -> str:
    """Why an answer is refused that is larger than any of its kind."""
    most = f"{from_base(kind.largest, kind, system):.4g} {kind.unit(system)}".rstrip()
    return f"the answer is beyond {most}, where it is not trusted: check the inputs"


_TENS: Final = 10.0 ** np.arange(0, 23)


def _tidy_all(values: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """Many results at fifteen digits. Those beyond exact powers of ten stay as they are, and zeros too."""
    with np.errstate(divide="ignore", invalid="ignore"):
        places = 14 - np.floor(np.log10(np.abs(values)))
        exact = (places >= 0) & (places <= 22)
        scale = _TENS[np.where(exact, places, 0).astype(np.intp)]
        tidy: npt.NDArray[np.float64] = np.where(exact, np.rint(values * scale) / scale, values)
    return tidy + 0.0


def _plain(values: npt.NDArray[np.float64]) -> list[list[Cell]]:
    """An array as rows of plain floats. The collector rests meanwhile: it would walk every new row many times over."""
    resting = gc.isenabled()
    gc.disable()
    try:
        rows: list[list[Cell]] = values.tolist()
        return rows
    finally:
        if resting:
            gc.enable()
