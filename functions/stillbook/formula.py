"""One declaration a formula: the ``@formula`` decorator and the calling rules every workbook host shares.

A trade function is plain Python on SI values. Its annotations say how a workbook cell becomes an argument and how
the result becomes cells; :class:`Formula` applies them: units, ranges, blanks, errors and the reasons for errors.
"""

from __future__ import annotations

import gc
import inspect
import math
import re
import types
import typing
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import chain
from typing import Any, Final, Literal, TypeVar

import numpy as np
import numpy.typing as npt

from stillbook.cells import (
    Cell,
    CellResult,
    Code,
    ErrorValue,
    FormulaError,
    Missing,
    NotUnderstood,
    OutOfRange,
    as_rows,
    is_blank,
)
from stillbook.quantities import SYSTEMS, Kind, System, from_base
from stillbook.readers import Choice, Few, Problems, Quantity, Reader, Row, Table, Vector, show

PREFIX: Final = "STILL_"

Family = Literal[
    "Mass",
    "Isolation",
    "Doors",
    "Air",
    "Ducts",
    "Quiet air path",
    "Services",
    "Inside the room",
    "Taking off and pricing",
    "About the formulas",
]


@dataclass(frozen=True)
class Parameter:
    """One argument of a formula, as every host shows it."""

    name: str
    reader: Reader
    help: str
    required: bool
    default: Any = None
    variadic: bool = False

    @property
    def words(self) -> str:
        """The name in plain words."""
        return self.name.replace("_", " ")

    def default_shown(self, system: System) -> str:
        """The default in the workbook's unit, or empty."""
        if self.default is None:
            return ""
        if isinstance(self.reader, Quantity):
            return show(self.default, self.reader.kind, system)
        return str(self.default)

    def help_shown(self, system: System) -> str:
        """The help text with the unit of a bare number, the choices and the default."""
        parts = [self.help.rstrip(".")]
        if self.reader.choices:
            parts.append("one of " + ", ".join(f'"{choice}"' for choice in self.reader.choices))
        elif self.reader.label(system) and self.reader.label(system) != "text":
            parts.append(self.reader.label(system))
        if self.default is not None:
            parts.append(f"{self.default_shown(system)} when left out")
        return "; ".join(parts) + "."

    @property
    def help_for_both(self) -> str:
        """The help text with what it says of an SI workbook beside what it says of a US one, where they differ."""
        us, si = self.help_shown("US"), self.help_shown("SI")
        if us == si:
            return us
        shared = self.help.rstrip(".")
        return f'{us.rstrip(".")} (with units "SI": {si.removeprefix(shared).strip("; .")}).'


UNITS = Parameter(
    "units",
    Choice(*SYSTEMS),
    "Unit system of bare numbers in this call.",
    required=False,
    default="US",
)


@dataclass(frozen=True)
class Example:
    """A call as an estimator would type it, and what the cell shows."""

    call: str
    gives: float | str | tuple[Any, ...]


@dataclass(frozen=True, eq=False)
class Formula:
    """A trade function under its workbook name, with all that a host needs to show and call it."""

    name: str
    family: Family
    summary: str
    function: Callable[..., Any]
    parameters: tuple[Parameter, ...]
    result: Any
    example: Example
    source: str
    no_answer: str
    vectorised: bool
    dimensional: bool = field(default=False)
    takes_units: bool = field(default=False)

    @property
    def workbook_name(self) -> str:
        """The name in a cell: ``STILL_DOORMASS``."""
        return PREFIX + self.name

    @property
    def arguments(self) -> tuple[Parameter, ...]:
        """All arguments as the workbook sees them, ``units`` last."""
        return (*self.parameters, UNITS) if self.dimensional else self.parameters

    @property
    def signature(self) -> str:
        """The call with optional arguments in brackets."""
        words = [argument.words + ("…" if argument.variadic else "") for argument in self.arguments]
        shown = [w if a.required else f"[{w}]" for w, a in zip(words, self.arguments, strict=True)]
        return f"{self.workbook_name}({', '.join(shown)})"

    def result_unit(self, system: System) -> str:
        """The unit of the result, of a row its first cell's; empty for text, tables and plain numbers."""
        if isinstance(self.result, Quantity):
            return self.result.kind.unit(system)
        if isinstance(self.result, Vector):
            return self.result.each.kind.unit(system)
        if isinstance(self.result, Row):
            kind = self.result.columns[0][1]
            return kind.unit(system) if kind else ""
        return ""

    def system_of(self, values: Sequence[Any]) -> System:
        """The unit system a call asks for.

        Raises:
            FormulaError: If ``units`` is neither "US" nor "SI".
        """
        place = len(self.parameters)
        if not self.dimensional or len(values) <= place or is_blank(values[place]):
            return "US"
        unit_cells = as_rows(values[place])
        system: System = UNITS.reader.read(unit_cells[0][0], "units", "US")
        return system

    def __call__(self, *values: Any) -> CellResult:
        """Call with cell values; the answer is a cell value, rows of them, or an :class:`ErrorValue`."""
        try:
            return self._evaluate(values)
        except FormulaError as error:
            value = error.value
            hint = self._units_elsewhere(values)
            return ErrorValue(value.code, f"{value.reason}; {hint}") if hint else value
        except (ArithmeticError, ValueError, TypeError, LookupError) as error:
            return ErrorValue(Code.VALUE, f"{self.workbook_name} failed on these inputs ({error})")

    def _units_elsewhere(self, values: Sequence[Any]) -> str:
        """A hint where the name of a unit system stands for another argument; empty where none does."""
        if self.dimensional:
            for parameter, value in zip(self.parameters, values, strict=False):
                if isinstance(value, str) and value.strip().upper() in SYSTEMS:
                    return f'"{value}" stands for {parameter.words} here: units is the last argument'
        return ""

    def _evaluate(self, values: tuple[Any, ...]) -> CellResult:
        parameters = self.parameters
        variadic = bool(parameters) and parameters[-1].variadic
        if not variadic and len(values) > len(parameters) + self.dimensional:
            raise NotUnderstood(f"{self.workbook_name} takes at most {len(parameters) + self.dimensional} arguments")
        system = self.system_of(values) if self.dimensional else "US"
        if variadic:
            parameters = parameters[:-1] + parameters[-1:] * max(0, len(values) - len(parameters) + 1)
        taken: list[Any] = []
        spread: list[tuple[int, Parameter, list[list[Any]]]] = []
        few: list[tuple[int, Parameter, Few, list[Any]]] = []
        count = len(values)
        for place, parameter in enumerate(parameters):
            value = values[place] if place < count else None
            reader = parameter.reader
            if value is None or (type(value) is str and not value):
                if parameter.required:
                    raise Missing(f"{parameter.words} is blank: {_needed(reader, system)}")
                taken.append(parameter.default)
                continue
            if reader.broadcasts and isinstance(value, list | tuple | np.ndarray):
                rows = as_rows(value)
                if isinstance(reader, Few):
                    few.append((place, parameter, reader, rows))
                    taken.append(None)
                    continue
                if len(rows) != 1 or len(rows[0]) != 1:
                    spread.append((place, parameter, rows))
                    taken.append(None)
                    continue
                value = rows[0][0]
                if is_blank(value) and not parameter.required:
                    taken.append(parameter.default)
                    continue
            taken.append(reader.read(value, parameter.words, system))
        beside_rows = any(len(rows) > 1 for _, _, rows in spread)
        for place, parameter, reader, rows in few:
            if reader.is_schedule(rows, beside_rows):
                spread.append((place, parameter, [[row] for row in rows]))
            else:
                taken[place] = reader.read(rows, parameter.words, system)
        if spread:
            return self._spread(taken, sorted(spread, key=lambda ranged: ranged[0]), system)
        return self._write(self._ask(taken, system), system)

    def _ask(self, arguments: Sequence[Any], system: System) -> Any:
        """The trade function's answer; it is told the unit system only if it takes a keyword ``units``."""
        if self.takes_units:
            return self.function(*arguments, units=system)
        return self.function(*arguments)

    def _spread(
        self, taken: list[Any], spread: list[tuple[int, Parameter, list[list[Any]]]], system: System
    ) -> CellResult:
        """A call with ranges: an answer for each place, an error only where an input is wrong."""
        try:
            shape = np.broadcast_shapes(*((len(rows), len(rows[0])) for _, _, rows in spread))
        except ValueError:
            sizes = ", ".join(f"{p.words} {len(rows)} × {len(rows[0])}" for _, p, rows in spread)
            raise NotUnderstood(f"the ranges differ in size: {sizes} (rows × columns)") from None
        problems: Problems = {}
        words: list[int] = []
        for place, parameter, rows in spread:
            column, found = _read_spread(parameter, list(chain.from_iterable(rows)), system)
            column = column.reshape(len(rows), len(rows[0]))
            if found:
                positions = np.arange(column.size).reshape(column.shape)
                for index, source in enumerate(np.broadcast_to(positions, shape).ravel().tolist()):
                    if source in found:
                        problems.setdefault(index, found[source])
            if column.dtype == object:
                words.append(place)
            taken[place] = column
        places = [place for place, _, _ in spread]
        if not problems and not words and self.vectorised and isinstance(self.result, Quantity):
            answer = np.broadcast_to(np.asarray(self._ask(taken, system), dtype=np.float64), shape)
            return self._write_array(answer, system)
        flat = {place: np.broadcast_to(taken[place], shape).ravel() for place in places}
        answers: list[Any] = [None] * int(np.prod(shape))
        for index, error in problems.items():
            answers[index] = error.value
        for group in self._groups(flat, words, [i for i in range(len(answers)) if i not in problems]):
            arguments = list(taken)
            for place in places:
                column = flat[place][group]
                arguments[place] = column[0] if place in words or len(group) == 1 else column
            results = self._answers(arguments, len(group), system)
            for index, result in zip(group, results, strict=True):
                answers[index] = result
        return self._shaped(answers, shape)

    def _groups(self, flat: Mapping[int, npt.NDArray[Any]], words: list[int], good: list[int]) -> Iterable[list[int]]:
        """Places that one vectorised call can answer: alike in every argument that is a word."""
        if not self.vectorised or not isinstance(self.result, Quantity):
            return [[index] for index in good]
        groups: dict[tuple[Any, ...], list[int]] = {}
        for index in good:
            groups.setdefault(tuple(flat[place][index] for place in words), []).append(index)
        return groups.values()

    def _answers(self, arguments: list[Any], count: int, system: System) -> list[Any]:
        """The cells for one group; a refusal is the answer for each place in it."""
        try:
            if count == 1:
                return [self._write(self._ask([_unwrapped(a) for a in arguments], system), system)]
            answer = np.broadcast_to(np.asarray(self._ask(arguments, system), dtype=np.float64), (count,))
            return list(chain.from_iterable(self._write_array(answer[None, :], system)))
        except FormulaError as error:
            return [error.value] * count

    def _shaped(self, answers: list[Any], shape: tuple[int, ...]) -> CellResult:
        """Answers for each place as rows; a place that gives a row of its own needs a column of inputs."""
        if any(isinstance(answer, list) for answer in answers):
            if shape[1] != 1 or any(isinstance(answer, list) and len(answer) != 1 for answer in answers):
                raise NotUnderstood(
                    f"{self.workbook_name} gives several cells for each input: give a single column, or one at a time"
                )
            width = max(len(answer[0]) for answer in answers if isinstance(answer, list))
            return [_filled(answer, width) for answer in answers]
        return [answers[row * shape[1] : (row + 1) * shape[1]] for row in range(shape[0])]

    def _write(self, answer: Any, system: System) -> CellResult:
        """A function's answer as cells."""
        result = self.result
        if isinstance(result, Quantity):
            if isinstance(answer, np.ndarray) and answer.ndim:
                return self._write_array(np.atleast_2d(answer), system)
            factor, offset = result.kind.scales[system]
            value = float((answer - offset) / factor)
            if not math.isfinite(value):
                raise OutOfRange(self.no_answer)
            if abs(answer) > result.kind.largest:
                raise OutOfRange(_too_large(result.kind, system))
            return _tidy(value)
        if isinstance(result, Vector):
            return self._write_array(np.atleast_2d(np.asarray(answer, dtype=np.float64)), system, result.each.kind)
        if isinstance(result, Row):
            cells = [_cell(value, kind, system) for value, (_, kind) in zip(answer, result.columns, strict=False)]
            return [cells] if len(cells) > 1 else cells[0]  # type: ignore[return-value]
        if isinstance(result, Table):
            kinds = [kind for _, kind in result.columns]
            return [
                list(result.headings(system)),
                *([_cell(value, kind, system) for value, kind in zip(row, kinds, strict=True)] for row in answer),
            ]
        return answer  # type: ignore[no-any-return]

    def _write_array(
        self, answer: npt.NDArray[np.float64], system: System, kind: Kind | None = None
    ) -> list[list[Any]]:
        """An array of answers as rows of cells; a place without an answer is an error there."""
        kind = kind or self.result.kind
        factor, offset = kind.scales[system]
        values = (answer - offset) / factor
        rows = _rows_of(_tidy_all(values))
        if not (np.abs(answer) <= kind.largest).all() or not np.isfinite(values).all():
            nothing = ErrorValue(Code.NUMBER, self.no_answer)
            too_large = ErrorValue(Code.NUMBER, _too_large(kind, system))
            most = kind.largest / factor
            rows = [
                [nothing if not math.isfinite(v) else too_large if abs(v + offset / factor) > most else v for v in row]
                for row in rows
            ]
        return rows


def _too_large(kind: Kind, system: System) -> str:
    """Why an answer is refused that is larger than any of its kind."""
    return f"the answer is beyond {show(kind.largest, kind, system)}, where it is not trusted: check the inputs"


def _filled(answer: CellResult, width: int) -> list[Any]:
    """One answer as a row of this width: an error fills it, the cells a shorter answer leaves stay empty."""
    if isinstance(answer, ErrorValue):
        return [answer] * width
    cells = answer[0] if isinstance(answer, list) else [answer]
    return cells + [""] * (width - len(cells))


def _tidy(value: float) -> float:
    """A result to the fifteen figures a cell shows; further ones are noise of conversion, as in 87.99999999999999."""
    return float(f"{value:.15g}")


_TENS: Final = 10.0 ** np.arange(0, 23)


def _tidy_all(values: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """The same for many results. Those beyond exact powers of ten stay as they are, and zeros too."""
    with np.errstate(divide="ignore", invalid="ignore"):
        places = 14 - np.floor(np.log10(np.abs(values)))
        exact = (places >= 0) & (places <= 22)
        scale = _TENS[np.where(exact, places, 0).astype(np.intp)]
        tidy: npt.NDArray[np.float64] = np.where(exact, np.rint(values * scale) / scale, values)
    return tidy


def _rows_of(values: npt.NDArray[np.float64]) -> list[list[Any]]:
    """An array as rows of plain floats. The collector rests meanwhile: it would walk every new row many times over."""
    resting = gc.isenabled()
    gc.disable()
    try:
        rows: list[list[Any]] = values.tolist()
        return rows
    finally:
        if resting:
            gc.enable()


def _needed(reader: Reader, system: System) -> str:
    if isinstance(reader, Quantity):
        return reader.needed(system)
    if reader.choices:
        return "give one of " + ", ".join(f'"{choice}"' for choice in reader.choices)
    label = reader.label(system)
    return f"give {label}" if label else "give a value"


def _unwrapped(argument: Any) -> Any:
    """A number taken out of an array as a plain float, so that a scalar call sees what it would see alone."""
    return float(argument) if isinstance(argument, np.floating) else argument


def _read_spread(parameter: Parameter, cells: list[Any], system: System) -> tuple[npt.NDArray[Any], Problems]:
    """The cells of a range as a column of arguments; blanks of an optional argument take its default."""
    reader = parameter.reader
    if isinstance(reader, Quantity):
        default = np.nan if parameter.default is None else parameter.default
        if not parameter.required and any(is_blank(cell) for cell in cells):
            read, problems = reader.read_all([cell for cell in cells if not is_blank(cell)], parameter.words, system)
            kept = [index for index, cell in enumerate(cells) if not is_blank(cell)]
            column = np.full(len(cells), default)
            column[kept] = read
            return column, {kept[index]: error for index, error in problems.items()}
        return reader.read_all(cells, parameter.words, system)
    column = np.full(len(cells), parameter.default, dtype=object)
    found: Problems = {}
    for index, cell in enumerate(cells):
        if is_blank(cell) and not parameter.required:
            continue
        try:
            column[index] = reader.read(cell, parameter.words, system)
        except FormulaError as error:
            found[index] = error
    return column, found


def _cell(value: Any, kind: Kind | None, system: System) -> Cell:
    """One value of a table as a cell."""
    if kind is None or isinstance(value, str):
        return "" if value is None else value
    if value is None:
        return ""
    number = from_base(float(value), kind, system)
    if not math.isfinite(number):
        return ErrorValue(Code.NUMBER, "no answer in this row")
    return _tidy(number) if abs(value) <= kind.largest else ErrorValue(Code.NUMBER, _too_large(kind, system))


DECLARED: Final[list[Formula]] = []
"""Every formula, in the order in which its module was imported."""

Function = TypeVar("Function", bound=Callable[..., Any])


def formula(
    name: str,
    *,
    family: Family,
    summary: str,
    example: tuple[str, Any],
    source: str,
    no_answer: str = "these inputs have no answer",
    vectorised: bool = True,
) -> Callable[[Function], Function]:
    """Declare a trade function as the workbook formula ``STILL_<name>``; the function itself stays as it was.

    An argument without a default whose annotation allows None may be left blank in the middle of a call. A function
    whose answer depends on the workbook's unit system, as standard sizes do, takes it as a keyword-only ``units``.

    Args:
        name: The workbook name without its prefix: capitals only.
        family: The family it is listed under.
        summary: One line that says what it gives.
        example: A call as typed in a cell without its ``=``, and the value it shows; for rows of cells, the first row.
        source: The publication it follows, or "common practice, no source".
        no_answer: The reason told where the function gives NaN.
        vectorised: False where the function takes single numbers only; ranges are then taken cell by cell.
    """

    def declare(function: Function) -> Function:
        hints = typing.get_type_hints(function, include_extras=True)
        signature = inspect.signature(function).parameters
        takes_units = "units" in signature and signature["units"].kind is inspect.Parameter.KEYWORD_ONLY
        helps = argument_helps(inspect.getdoc(function) or "")
        parameters = tuple(
            Parameter(
                parameter.name,
                _annotated(hints[parameter.name], f"{name}.{parameter.name}"),
                helps.get(parameter.name, ""),
                required=parameter.default is parameter.empty
                and parameter.kind is not parameter.VAR_POSITIONAL
                and type(None) not in typing.get_args(hints[parameter.name]),
                default=None if parameter.default is parameter.empty else parameter.default,
                variadic=parameter.kind is parameter.VAR_POSITIONAL,
            )
            for parameter in signature.values()
            if parameter.kind is not parameter.KEYWORD_ONLY
        )
        result = _annotated(hints["return"], f"{name} result")
        DECLARED.append(
            Formula(
                name,
                family,
                summary,
                function,
                parameters,
                result,
                Example(*example),
                source,
                no_answer,
                vectorised,
                takes_units or any(parameter.reader.dimensional for parameter in parameters) or _dimensional(result),
                takes_units,
            )
        )
        return function

    return declare


def _dimensional(result: Any) -> bool:
    if isinstance(result, Table):
        return any(kind is not None and kind.us != kind.si for _, kind in result.columns)
    return isinstance(result, Reader) and result.dimensional


def _annotated(hint: Any, place: str) -> Any:
    """The reader or result form in an annotation, also where None is allowed beside it."""
    if typing.get_origin(hint) in (typing.Union, types.UnionType):
        for option in typing.get_args(hint):
            if typing.get_origin(option) is typing.Annotated:
                return _annotated(option, place)
    if typing.get_origin(hint) is typing.Annotated:
        for note in hint.__metadata__:
            if isinstance(note, Reader | Table):
                return note
    raise TypeError(f"{place} has no annotation that says how a cell is read")


def argument_helps(doc: str) -> dict[str, str]:
    """The description of each argument in a docstring's ``Args`` section, without the unit in brackets."""
    section = re.search(r"^Args:\n((?:[ \t]+.*\n?|\n)+)", doc, re.MULTILINE)
    if not section:
        return {}
    helps = re.findall(r"^    \*?(\w+): ((?:.|\n(?=        ))+)", section[1], re.MULTILINE)
    return {name: re.sub(r"\s*\[[^\]]*\]", "", " ".join(text.split())) for name, text in helps}
