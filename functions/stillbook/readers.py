"""Readers: how a cell or a range becomes an argument."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import chain
from typing import Any, ClassVar

import numpy as np
import numpy.typing as npt

from stillbook.cells import (
    ErrorValue,
    FormulaError,
    Missing,
    NotUnderstood,
    OutOfRange,
    as_rows,
    is_blank,
    rejection,
)
from stillbook.quantities import Kind, QuantityError, System, from_base, read_text

Floats = float | npt.NDArray[np.float64]
"""What a vectorised trade function takes and gives: one number or an array of them."""

Problems = dict[int, FormulaError]
"""What is wrong with some of many cells, by their place."""


class Reader:
    """How the cells given for one argument become what the trade function takes."""

    form: ClassVar[str] = "cells"
    """The word that the service has for it; ``cells`` is a range with a form of its own."""

    broadcasts: ClassVar[bool] = True
    """Whether a range gives an answer for each of its cells; else the range as a whole is one argument."""

    by_rows: ClassVar[bool] = False
    """Whether one answer may take several cells of a range, so that :meth:`is_schedule` decides how it is taken."""

    def read(self, value: Any, name: str, system: System) -> Any:
        """One cell, or for a reader that does not broadcast the whole range, as an argument.

        Raises:
            FormulaError: If the value is blank, not understood or out of range; its reason says what to give.
        """
        raise NotImplementedError

    def read_all(self, cells: list[Any], name: str, system: System) -> tuple[npt.NDArray[Any], Problems]:
        """Many cells, each for an answer of its own; the problem of a cell that cannot be read is told."""
        column, problems = np.full(len(cells), None, dtype=object), {}
        for index, cell in enumerate(cells):
            try:
                column[index] = self.read(cell, name, system)
            except FormulaError as error:
                problems[index] = error
        return column, problems

    def is_schedule(self, rows: list[Any], beside_rows: bool) -> bool:
        """Whether each row of a range is for an answer of its own; ``beside_rows``: other ranges have several rows."""
        return False

    def label(self, system: System) -> str:
        """The unit or form of a bare value, for help texts."""
        return ""

    def needed(self, system: System) -> str:
        """What to write where the argument is missing or wrong."""
        if self.choices:
            return "give one of " + ", ".join(f'"{choice}"' for choice in self.choices)
        label = self.label(system)
        return f"give {label}" if label else "give a value"

    def bare(self, value: Any, system: System) -> float | str | bool | None:
        """An argument as it is typed in a cell without its unit; None where it is no single value."""
        return value if isinstance(value, float | str | bool) else None

    def shown(self, value: Any, system: System) -> str:
        """An argument for people to read, with its unit."""
        return str(value)

    @property
    def shapes_answer(self) -> bool:
        """Whether the answer may have as many cells as a range that is given."""
        return self.broadcasts

    @property
    def numbers_of(self) -> Kind | None:
        """What its numbers stand for, where all stand for the same."""
        return None

    @property
    def quantities(self) -> tuple[Quantity, ...]:
        """How each number in its cells is read, with the limits it keeps; none where it reads no numbers."""
        return ()

    @property
    def choices(self) -> tuple[str, ...]:
        """The words allowed, where the argument is a choice."""
        return ()

    @property
    def dimensional(self) -> bool:
        """Whether the meaning of a bare number depends on the workbook's unit system."""
        return any(each.dimensional for each in self.quantities)


@dataclass(frozen=True, eq=False)
class Quantity(Reader):
    """A number of some kind: bare in the workbook's default unit, or text with a unit. Limits are in base units.

    Args:
        kind: What the number stands for.
        above: The value must be greater than this; what must be more than nothing is not less than its kind's smallest.
        least: The value must be at least this.
        most: The value must be at most this.
        below: The value must be less than this.
        whole: True where only whole numbers make sense.
        zero: True where 0 is taken too, though less than the least: it says that there is none.
    """

    kind: Kind
    above: float = -math.inf
    least: float = -math.inf
    most: float = math.inf
    below: float = math.inf
    whole: bool = False
    zero: bool = False
    form = "number"

    def __post_init__(self) -> None:
        if self.above == 0:
            object.__setattr__(self, "least", max(self.least, self.kind.smallest))

    @property
    def numbers_of(self) -> Kind:
        return self.kind

    @property
    def quantities(self) -> tuple[Quantity, ...]:
        return (self,)

    @property
    def dimensional(self) -> bool:
        return self.kind.us != self.kind.si

    def label(self, system: System) -> str:
        return self.kind.unit(system)

    def read(self, value: Any, name: str, system: System) -> float:
        plain = type(value)
        if plain is float or plain is int:
            factor, offset = self.kind.scales[system]
            base = float(value * factor + offset)
        elif plain is str and value:
            try:
                base = read_text(value, self.kind, system)
            except QuantityError as error:
                raise NotUnderstood(f"{name}: {error}") from None
        elif isinstance(value, int | float | np.integer | np.floating) and plain is not bool:
            return self.read(float(value), name, system)
        else:
            raise rejection(value, name, self.needed(system))
        if self.above < base < self.below and self.least <= base <= self.most and (not self.whole or base % 1 == 0):
            return base
        if self.zero and base == 0:
            return base
        if (limit := self._limit_at(base)) is not None:
            return limit
        shown = show(base, self.kind, system)
        if self.above == 0 < base < self.kind.smallest:
            raise OutOfRange(f"{name} is {shown}, less than anything of the trade: check the number and its unit")
        wanted = self.wanted(system)
        if shown in wanted:  # four figures would say that it is the limit that it misses
            shown = f"{from_base(base, self.kind, system):.12g} {self.kind.unit(system)}".rstrip()
        raise OutOfRange(f"{name} is {shown}: {wanted}")

    def _limit_at(self, base: float) -> float | None:
        """The limit that a value is, but for the last digits of its conversion: 140 °F is 60 °C."""
        close = (limit for limit in (self.least, self.most) if math.isclose(base, limit, rel_tol=1e-12))
        return next((limit for limit in close if self.above < limit < self.below and not self.whole), None)

    def read_all(self, cells: list[Any], name: str, system: System) -> tuple[npt.NDArray[np.float64], Problems]:
        """Many cells at once; one that cannot be read is NaN."""
        if set(map(type, cells)) <= {float, int}:
            factor, offset = self.kind.scales[system]
            base = np.array(cells, dtype=np.float64) * factor + offset
            good = (base > self.above) & (base < self.below) & (base >= self.least) & (base <= self.most)
            if self.whole:
                good &= base % 1 == 0
            if self.zero:
                good |= base == 0
            if good.all():
                return base, {}
        column, problems = super().read_all(cells, name, system)
        return column.astype(np.float64), problems

    def bare(self, value: float, system: System) -> float:
        return from_base(value, self.kind, system)

    def shown(self, value: float, system: System) -> str:
        return show(value, self.kind, system)

    def needed(self, system: System) -> str:
        unit = self.kind.unit(system)
        if not unit:
            return f"give {self.kind.a_name}"
        other = self.kind.si if system == "US" else self.kind.us
        mixed = f', or text with a unit such as "1 {other}"' if other != unit else ""
        return f"give {self.kind.a_name} in {unit}{mixed}"

    def wanted(self, system: System) -> str:
        """The limits in words."""
        limits = [
            (math.isfinite(self.above), "more than", self.above, 1),
            (self.least > (self.kind.smallest if self.above == 0 else -math.inf), "at least", self.least, 1),
            (math.isfinite(self.most), "at most", self.most, -1),
            (math.isfinite(self.below), "less than", self.below, -1),
        ]
        words = " and ".join(
            f"{word} {_within(limit, inwards, self.kind, system)}" for given, word, limit, inwards in limits if given
        )
        return (
            f"give {'0, or ' if self.zero else ''}{'a whole number ' if self.whole else ''}{words}".rstrip()
            if words or self.whole
            else "give a finite number"
        )


@dataclass(frozen=True, eq=False)
class Choice(Reader):
    """One of a few words, upper or lower case alike."""

    options: tuple[str, ...]
    form = "choice"

    def __init__(self, *options: str) -> None:
        object.__setattr__(self, "options", options)

    @property
    def choices(self) -> tuple[str, ...]:
        return self.options

    def label(self, system: System) -> str:
        return "text"

    def read(self, value: Any, name: str, system: System) -> str:
        if not isinstance(value, str) or not value:
            raise rejection(value, name, self.needed(system))
        wanted = " ".join(value.lower().split())
        for option in self.options:
            if option.lower() == wanted:
                return option
        raise NotUnderstood(f'{name} "{value[:40]}" is not known: {self.needed(system)}')


@dataclass(frozen=True, eq=False)
class Text(Reader):
    """Any text of at most ``longest`` characters."""

    longest: int = 255
    form = "text"

    def label(self, system: System) -> str:
        return "text"

    def read(self, value: Any, name: str, system: System) -> str:
        if not isinstance(value, str) or not value:
            raise rejection(value, name, "give text")
        if len(value) > self.longest:
            raise NotUnderstood(f"{name} is longer than {self.longest} characters")
        return value


@dataclass(frozen=True, eq=False)
class OfOneKind(Reader):
    """Several values of one kind, each read as ``each`` says."""

    each: Quantity

    @property
    def numbers_of(self) -> Kind:
        return self.each.kind

    @property
    def quantities(self) -> tuple[Quantity, ...]:
        return (self.each,)


@dataclass(frozen=True, eq=False)
class Vector(OfOneKind):
    """A row or column of values of one kind, taken whole: band levels, cable diameters, areas.

    Args:
        each: How one value is read.
        lengths: The numbers of values allowed; any number from one up when left out.
        blanks: True where blank cells are passed over; else a blank is an error.
    """

    lengths: tuple[int, ...] = ()
    blanks: bool = False
    broadcasts = False

    def label(self, system: System) -> str:
        return f"{self.each.label(system)}, a row or column".lstrip(", ")

    def read(self, value: Any, name: str, system: System) -> npt.NDArray[np.float64]:
        rows = as_rows(value)
        if len(rows) > 1 and len(rows[0]) > 1:
            raise NotUnderstood(f"{name} is {len(rows)} rows by {len(rows[0])} columns: give one row or one column")
        cells = list(chain.from_iterable(rows))
        if self.blanks:
            cells = [cell for cell in cells if not is_blank(cell)]
        base, problems = self.each.read_all(cells, name, system)
        if problems:
            index, error = min(problems.items())
            where = f" (value {index + 1} of {len(cells)})" if len(cells) > 1 else ""
            raise FormulaError(f"{error.reason}{where}", error.code)
        if not len(base):
            raise Missing(f"{name} is blank: {self.each.needed(system)}")
        if self.lengths and len(base) not in self.lengths:
            wanted = " or ".join(map(str, self.lengths))
            raise NotUnderstood(f"{name} has {len(base)} values: give {wanted}")
        return base


@dataclass(frozen=True, eq=False)
class Places(Vector):
    """A row or column taken whole with its blank cells kept as NaN, so that a list beside it keeps its places."""

    def read(self, value: Any, name: str, system: System) -> npt.NDArray[np.float64]:
        rows = as_rows(value)
        cells = [cell for row in rows for cell in row]
        kept = [index for index, cell in enumerate(cells) if not is_blank(cell)]
        if len(kept) == len(cells) or (len(rows) > 1 and len(rows[0]) > 1):
            return super().read(value, name, system)
        places = np.full(len(cells), np.nan)
        places[kept] = super().read([cells[index] for index in kept], name, system)
        return places


@dataclass(frozen=True, eq=False)
class Labels(Reader):
    """A row or column of words taken whole, such as the trade of each line; a blank cell is an empty word."""

    broadcasts = False

    def label(self, system: System) -> str:
        return "text, a row or column"

    def read(self, value: Any, name: str, system: System) -> tuple[str, ...]:
        rows = as_rows(value)
        if len(rows) > 1 and len(rows[0]) > 1:
            raise NotUnderstood(f"{name} is {len(rows)} rows by {len(rows[0])} columns: give one row or one column")
        cells = list(chain.from_iterable(rows))
        for cell in cells:
            if not isinstance(cell, str) and not is_blank(cell):
                raise rejection(cell, name, "give text")
        return tuple(cell if isinstance(cell, str) else "" for cell in cells)


@dataclass(frozen=True, eq=False)
class Few(OfOneKind):
    """One value or a few of one kind for each answer: the mass of one side of a wall, or of both.

    A row or column of at most ``most`` cells is taken whole. Beside other ranges of several rows, and where it has more
    rows than ``most`` or several rows and columns, each of its rows holds the values for the answer in that row. The
    trade function takes a tuple.

    Args:
        each: How one value is read.
        most: The number of values allowed for one answer.
    """

    most: int
    by_rows = True

    def label(self, system: System) -> str:
        return f"{self.each.label(system)}, one value or a range of up to {self.most}".lstrip(", ")

    def is_schedule(self, rows: list[Any], beside_rows: bool) -> bool:
        return len(rows) > 1 and (beside_rows or len(rows) > self.most or len(rows[0]) > 1)

    def read(self, value: Any, name: str, system: System) -> tuple[float, ...]:
        cells = list(chain.from_iterable(as_rows(value)))
        if len(cells) == 1:
            return (self.each.read(cells[0], name, system),)
        if len(cells) > self.most:
            raise NotUnderstood(f"{name} has {len(cells)} values: give at most {self.most}")
        return tuple(self.each.read(cell, f"{name}, value {n}", system) for n, cell in enumerate(cells, start=1))


@dataclass(frozen=True, eq=False)
class Columns(Reader):
    """Rows of several columns, each of one kind, taken whole: a fan curve's airflow and pressure.

    Rows that are blank throughout are passed over; the trade function takes a tuple of arrays, one a column.

    Args:
        columns: Heading of each column and how one of its values is read.
    """

    columns: tuple[tuple[str, Quantity], ...]
    broadcasts = False

    def __init__(self, *columns: tuple[str, Quantity]) -> None:
        object.__setattr__(self, "columns", columns)

    @property
    def quantities(self) -> tuple[Quantity, ...]:
        return tuple(each for _, each in self.columns)

    def label(self, system: System) -> str:
        return "rows of " + ", ".join(
            f"{title} ({unit})" if (unit := each.label(system)) else title for title, each in self.columns
        )

    def read(self, value: Any, name: str, system: System) -> tuple[npt.NDArray[np.float64], ...]:
        rows = as_rows(value)
        if isinstance(rows[0][0], ErrorValue):
            raise rejection(rows[0][0], name, "")
        if len(rows[0]) != len(self.columns):
            raise NotUnderstood(f"{name} has {len(rows[0])} columns: give {self.label(system)}")
        filled = [(number, row) for number, row in enumerate(rows, start=1) if not all(is_blank(cell) for cell in row)]
        if not filled:
            raise Missing(f"{name} is blank: give {self.label(system)}")
        read = [
            [
                each.read(cell, f"{name}, row {number}, {title}", system)
                for cell, (title, each) in zip(row, self.columns, strict=True)
            ]
            for number, row in filled
        ]
        return tuple(np.array(read, dtype=np.float64).T)


@dataclass(frozen=True, eq=False)
class Anything(Reader):
    """A cell or range handed on as it is, errors too: perhaps to a formula that answers for each cell."""

    form = "any"
    broadcasts = False

    @property
    def shapes_answer(self) -> bool:
        return True

    def label(self, system: System) -> str:
        return "any"

    def read(self, value: Any, name: str, system: System) -> Any:
        return value


def show(base: float, kind: Kind, system: System) -> str:
    """A value for a message: four significant figures and its unit."""
    return _with_unit(from_base(base, kind, system), kind, system)


def _with_unit(number: float, kind: Kind, system: System) -> str:
    return f"{number:.4g} {kind.unit(system)}".rstrip()


def _within(limit: float, inwards: int, kind: Kind, system: System) -> str:
    """A limit for a message, its four figures rounded so that they are taken: ``inwards`` is 1 for up, -1 for down."""
    exact = from_base(limit, kind, system)
    told = float(f"{exact:.4g}")
    if (exact - told) * inwards > abs(exact) * 1e-12:
        told += inwards * 10.0 ** (math.floor(math.log10(abs(exact))) - 3)
    return _with_unit(told, kind, system)
