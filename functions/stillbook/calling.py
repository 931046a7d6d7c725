"""Formulas called from Python: what a program holds becomes cells, and the cells of the answer what a program holds.

>>> from stillbook.calling import call
>>> print(call("DOORTARGETMASS", side_masses=4.4, width="36 in", height="80 in"))
88.0 pound
>>> call("DOORTARGETMASS", 4.4, "36 in", -80)
Traceback (most recent call last):
...
stillbook.calling.CallError: #NUM!: height is -80 in: give at least 10 in and at most 240 in
"""

from __future__ import annotations

import inspect
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from numbers import Real
from typing import Any, Literal, Protocol

import numpy as np

from stillbook.catalogue import explain, find
from stillbook.cells import CellResult, Code, ErrorValue, FormulaError, Missing, NotUnderstood, fifteen
from stillbook.formula import Formula, Parameter, both, without_units
from stillbook.quantities import SYSTEMS, Kind, System, bare, from_base, is_measured, measured, spoken

Value = Any
"""What an argument may be: a number in the unit of the unit system, a quantity of pint, text such as ``36 in``, a list
or an array of these (a column, an answer for each), a list of rows, or None for a blank."""


class Function(Protocol):
    """A formula as a Python function.

    It gives a quantity of pint where its number has a unit, else a number; text; an array of these where it is given a
    column; a dictionary by heading where it gives several cells side by side; and a list of such for a table.
    """

    __name__: str

    def __call__(self, *values: Value, units: System = "US", **named: Value) -> Any:
        """Call it with arguments by place or name.

        Raises:
            CallError: If a formula in a cell would give an error.
            TypeError: If an argument does not exist, or is given twice.
        """


class CallError(FormulaError):
    """A call that gives an error, or a column of answers of which some are errors.

    Args:
        reason: Why, in the sentence that ``STILL_WHY`` gives; of several errors the first, with its place.
        code: The error value a cell would hold, such as ``#NUM!``.
        problems: Of a column of answers each error by its place in it, from 0; of rows by row and column.
    """

    def __init__(self, reason: str, code: Code, problems: Mapping[Any, ErrorValue] | None = None) -> None:
        super().__init__(reason, code)
        self.problems: dict[int | tuple[int, int], ErrorValue] = dict(problems or {})

    def __str__(self) -> str:
        return f"{self.code}: {self.reason}"


def call(name: str, /, *values: Value, units: System = "US", **named: Value) -> Any:
    """Call a formula by its name, with arguments by place or name; :class:`Function` says what it gives.

    Args:
        name: The name in any letter case, with or without its prefix.
        values: Arguments by place.
        units: The unit system of plain numbers, and of the answer.
        named: Arguments by name, as ``help`` of the function in :mod:`stillbook.functions` lists them.

    Raises:
        CallError: If there is no such formula, or in a cell it would give an error.
        TypeError: If an argument does not exist, or is given twice.
    """
    return function(name)(*values, **named, **({} if units == "US" else {"units": units}))


def function(name: str) -> Function:
    """A formula as a Python function, with signature and help.

    Raises:
        CallError: If there is none; the reason names those that come near.
    """
    try:
        return _function(find(name))
    except FormulaError as error:
        raise CallError(error.reason, error.code) from None


@cache
def _function(entry: Formula) -> Function:
    signature = _signature(entry)

    def called(*values: Value, **named: Value) -> Any:
        return _called(entry, signature, values, named)

    called.__name__ = called.__qualname__ = entry.name.lower()
    called.__module__ = "stillbook.functions"
    called.__doc__ = _help(entry)
    called.__signature__ = signature  # type: ignore[attr-defined]
    return called


# --- what a function says of itself -----------------------------------------------------------------------------------


def _signature(entry: Formula) -> inspect.Signature:
    """Arguments by the names of the trade function; defaults as a person would write them."""
    found: list[inspect.Parameter] = []
    optional = True
    for parameter in reversed(entry.parameters):
        optional = optional and not parameter.required
        one, default = inspect.Parameter.POSITIONAL_OR_KEYWORD, inspect.Parameter.empty
        kind = inspect.Parameter.VAR_POSITIONAL if parameter.variadic else one
        if optional and not parameter.variadic:
            default = _default(parameter)
        found.insert(0, inspect.Parameter(parameter.name, kind, default=default, annotation=_annotation(parameter)))
    if entry.dimensional:
        keyword = inspect.Parameter.KEYWORD_ONLY
        found.append(inspect.Parameter("units", keyword, default="US", annotation=Literal["US", "SI"]))
    return inspect.Signature(found)


def _default(parameter: Parameter) -> Any:
    reader, default = parameter.reader, parameter.default
    kind = reader.numbers_of
    if kind is None or not isinstance(default, int | float):
        return default if isinstance(default, str | None) else reader.shown(default, "US")
    if not kind.us:
        return default
    # The system in which the default was thought of has the shorter figure: 10 m², and not 107.639 ft².
    shown = (f"{fifteen(from_base(default, kind, system)):.15g} {kind.unit(system)}" for system in SYSTEMS)
    return min(shown, key=len)


def _annotation(parameter: Parameter) -> Any:
    return Literal[parameter.reader.choices] if parameter.reader.choices else inspect.Parameter.empty


def _help(entry: Formula) -> str:
    """The docstring: what every host shows of the formula, for readers of Python."""
    arguments = [
        f"    {argument.name}: {argument.help_for_both}" for argument in entry.arguments if not argument.variadic
    ]
    gives = entry.result.said(both(entry.result.unit("US"), entry.result.unit("SI")))
    shown = entry.example.gives if isinstance(entry.example.gives, tuple) else (entry.example.gives,)
    parts = [
        f"{entry.summary}.",
        without_units(entry.notes),
        *(["\n".join(("Args:", *arguments))] if arguments else []),
        f"Gives:\n    {gives}.",
        "Raises:\n    CallError: With the reason, where a cell would show an error.",
        f"In a cell: ={entry.example.call} gives {'; '.join(map(str, shown))}",
        f"Source: {entry.source}",
    ]
    return "\n\n".join(parts)


# --- what a program holds, as cells -----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Given:
    """The arguments as cells, and how the answer is to be laid out.

    Args:
        cells: A cell value or rows of them for each argument.
        ranged: Whether some argument is a list or an array, so that the answer is one for each.
        flat: Whether none of these has rows and columns, so that the answer has neither.
    """

    cells: list[Any]
    ranged: bool
    flat: bool


def _called(entry: Formula, signature: inspect.Signature, values: tuple[Value, ...], named: dict[str, Value]) -> Any:
    try:
        arguments = signature.bind_partial(*values, **named).arguments
    except TypeError as error:
        raise TypeError(f"{entry.name.lower()}{signature}: {error}") from None
    system: System = arguments.get("units", "US")
    try:
        given = _given(entry, arguments, system)
    except FormulaError as error:
        raise CallError(error.reason, error.code) from None
    answer = entry(*given.cells, *([system] if entry.dimensional else []))
    if given.ranged and not isinstance(answer, list | ErrorValue):
        answer = [[answer]]
    _refuse_errors(answer, given)
    return _Answer(entry, system, given).of(answer)


def _given(entry: Formula, arguments: Mapping[str, Value], system: System) -> _Given:
    cells: list[Any] = []
    ranged, flat = False, True
    for parameter in entry.parameters:
        several = parameter.variadic
        for value in arguments.get(parameter.name, ()) if several else [arguments.get(parameter.name)]:
            cell = _plain(value, parameter.reader.numbers_of, system)
            if isinstance(cell, list):
                has_rows = any(isinstance(row, list) for row in cell)
                cell = _rows(cell, parameter, system, has_rows=has_rows)
                if parameter.reader.broadcasts and not parameter.reader.by_rows:
                    ranged, flat = True, flat and not has_rows
            cells.append(cell)
    return _Given(cells, ranged, flat)


def _rows(cells: list[Any], parameter: Parameter, system: System, *, has_rows: bool) -> list[Any]:
    """A list as a range: a plain one is a column where each value is for an answer of its own, else it is one row."""
    if not cells or (has_rows and not any(cells)):
        raise Missing(f"{parameter.words} is an empty list: {parameter.reader.needed(system)}")
    if not has_rows:
        return [[cell] for cell in cells] if parameter.reader.broadcasts else [cells]
    rows = [row if isinstance(row, list) else [row] for row in cells]
    if any(isinstance(cell, list) for row in rows for cell in row):
        raise NotUnderstood(f"{parameter.words} has more than rows and columns: give a list, or a list of rows")
    width = max(map(len, rows))
    if parameter.reader.broadcasts and any(len(row) != width for row in rows):
        raise NotUnderstood(
            f"{parameter.words} has rows of different lengths: give every row the same number of values"
        )
    return [row + [None] * (width - len(row)) for row in rows]


def _plain(value: Value, kind: Kind | None, system: System) -> Any:
    """A value as cells hold it: plain numbers and texts, and lists of them.

    A quantity of the kind that is asked for becomes a bare number, and any other text, so that the reader says what is
    wrong with it, or finds in it what a list of materials may hold.
    """
    if value is None or isinstance(value, str | bool):
        return value
    if is_measured(value):
        number = bare(value, kind, system) if kind is not None else None
        if number is not None:
            return number
        if isinstance(value.magnitude, np.ndarray):
            return [_plain(each, kind, system) for each in value]
        return spoken(value)
    if hasattr(value, "__array__"):
        # An array of its own kind knows better what it holds: a masked one gives None for what is masked.
        held = value.tolist() if hasattr(value, "tolist") else np.asarray(value).tolist()
        dtype = getattr(value, "dtype", None)
        return held if isinstance(dtype, np.dtype) and dtype.kind in "fiu" else _plain(held, kind, system)
    if isinstance(value, Real | Decimal):
        return value if isinstance(value, int) else float(value)
    if isinstance(value, Sequence):
        return [_plain(each, kind, system) for each in value]
    return ErrorValue(Code.VALUE, f"{value!r:.60} is not understood: give a number, text, or a quantity with its unit")


# --- the cells of an answer, as a program holds them ------------------------------------------------------------------


def _refuse_errors(answer: CellResult, given: _Given) -> None:
    """Raise for an error, or for the errors among many answers."""
    if isinstance(answer, ErrorValue):
        raise CallError(explain(answer), answer.code)
    rows = answer if isinstance(answer, list) else []
    found = {
        (row, column): cell
        for row, cells in enumerate(rows)
        for column, cell in enumerate(cells)
        if isinstance(cell, ErrorValue)
    }
    if not found:
        return
    first = next(iter(found.values()))
    if not (given.ranged and given.flat):
        raise CallError(explain(answer), first.code, found)
    problems = {row: cell for (row, _), cell in found.items()}
    place = next(iter(problems))
    more = f" and {len(problems) - 1} more" if len(problems) > 1 else ""
    raise CallError(f"value {place + 1} of {len(rows)}{more}: {explain(first)}", first.code, problems)


@dataclass(frozen=True, slots=True)
class _Answer:
    entry: Formula
    system: System
    given: _Given

    def of(self, answer: CellResult) -> Any:
        """An answer without errors: a value, an array, a dictionary by heading or a list of them."""
        result = self.entry.result
        if not isinstance(answer, list):
            return self._one(answer, result.columns[0][1] if result.columns else result.numbers_of)
        if result.shows_headings:
            titles = [title for title, _ in result.columns]
            kinds = [kind for _, kind in result.columns]
            return [dict(zip(titles, map(self._one, row, kinds), strict=True)) for row in answer[1:]]
        many = self.given.ranged or len(answer) > 1
        if not result.columns:
            return self._many(answer, result.numbers_of, bands=many and result.is_spectrum)
        if not many:
            return {
                title: self._one(cell, kind) for (title, kind), cell in zip(result.columns, answer[0], strict=False)
            }
        found = {
            title: self._many([[row[place]] for row in answer], kind)
            for place, (title, kind) in enumerate(result.columns[: len(answer[0])])
        }
        return found if len(found) > 1 else next(iter(found.values()))

    def _one(self, cell: Any, kind: Kind | None) -> Any:
        if kind is None or not kind.unit(self.system) or isinstance(cell, str):
            return None if cell == "" else cell
        return measured(cell, kind, self.system)

    def _many(self, rows: list[list[Any]], kind: Kind | None, *, bands: bool = False) -> Any:
        """Rows of cells as an array of as many dimensions as the arguments have, and one more for bands.

        A blank among numbers, where one place has fewer cells than another, is NaN.
        """
        cells = [cell for row in rows for cell in row]
        words = kind is None or any(isinstance(cell, str) and cell for cell in cells)
        array = np.array(rows, dtype=str if words else object)
        if not words:
            array[array == ""] = np.nan
            array = array.astype(np.float64)
        if self.given.flat and not bands:
            array = array.ravel()
        return array if words or kind is None or not kind.unit(self.system) else measured(array, kind, self.system)
