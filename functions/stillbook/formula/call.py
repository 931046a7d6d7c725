"""The calling rules every workbook host shares: units, ranges, blanks, errors and the reasons for errors."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain
from typing import Any

import numpy as np
import numpy.typing as npt

from stillbook.cells import Cell, CellResult, Code, ErrorValue, FormulaError, Missing, NotUnderstood, as_rows, is_blank
from stillbook.formula.describe import UNITS, Description, Parameter, prose
from stillbook.quantities import SYSTEMS, System
from stillbook.readers import Problems


@dataclass(frozen=True, eq=False, kw_only=True)
class Formula(Description):
    """A trade function under its workbook name, with all that a host needs to show and call it.

    Args:
        function: The trade function, on SI values.
        vectorised: Whether the function takes arrays, and answers for each place of them.
        takes_units: Whether the function is told the workbook's unit system.
    """

    function: Callable[..., Any]
    vectorised: bool
    takes_units: bool

    @property
    def notes(self) -> str:
        """What its function does, as its docstring says it: the equation with its symbols, without the arguments."""
        return prose(self.function.__doc__ or "")

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
        few: list[tuple[int, Parameter, list[Any]]] = []
        count = len(values)
        for place, parameter in enumerate(parameters):
            value = values[place] if place < count else None
            reader = parameter.reader
            if value is None or (type(value) is str and not value):
                if parameter.required:
                    raise Missing(f"{parameter.words} is blank: {reader.needed(system)}")
                taken.append(parameter.default)
                continue
            if reader.broadcasts and isinstance(value, list | tuple | np.ndarray):
                rows = as_rows(value)
                if reader.by_rows:
                    few.append((place, parameter, rows))
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
        for place, parameter, rows in few:
            if parameter.reader.is_schedule(rows, beside_rows):
                spread.append((place, parameter, [[row] for row in rows]))
            else:
                taken[place] = parameter.reader.read(rows, parameter.words, system)
        if spread:
            return self._spread(taken, sorted(spread, key=lambda ranged: ranged[0]), system)
        return self.result.write(self._ask(taken, system), system, self.no_answer)

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
            column, found = _read_column(parameter, list(chain.from_iterable(rows)), system)
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
        if not problems and not words and self.vectorised and self.result.is_one_number:
            answer = np.broadcast_to(np.asarray(self._ask(taken, system), dtype=np.float64), shape)
            return self.result.write(answer, system, self.no_answer)
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
        if not self.vectorised or not self.result.is_one_number:
            return [[index] for index in good]
        groups: dict[tuple[Any, ...], list[int]] = {}
        for index in good:
            groups.setdefault(tuple(flat[place][index] for place in words), []).append(index)
        return groups.values()

    def _answers(self, arguments: list[Any], count: int, system: System) -> list[CellResult]:
        """The cells for one group; a refusal is the answer for each place in it."""
        try:
            if count == 1:
                answer = self._ask([_unwrapped(argument) for argument in arguments], system)
                return [self.result.write(answer, system, self.no_answer)]
            answers = np.broadcast_to(np.asarray(self._ask(arguments, system), dtype=np.float64), (1, count))
            return list(chain.from_iterable(as_rows(self.result.write(answers, system, self.no_answer))))
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


def _filled(answer: CellResult, width: int) -> list[Cell]:
    """One answer as a row of this width: an error fills it, the cells a shorter answer leaves stay empty."""
    if isinstance(answer, ErrorValue):
        return [answer] * width
    cells: list[Cell] = answer[0] if isinstance(answer, list) else [answer]
    return cells + [""] * (width - len(cells))


def _unwrapped(argument: Any) -> Any:
    """A number taken out of an array as a plain float, so that a scalar call sees what it would see alone."""
    return float(argument) if isinstance(argument, np.floating) else argument


def _read_column(parameter: Parameter, cells: list[Any], system: System) -> tuple[npt.NDArray[Any], Problems]:
    """The cells of a range as a column of arguments; blanks of an optional argument take its default."""
    if parameter.required or not any(map(is_blank, cells)):
        return parameter.reader.read_all(cells, parameter.words, system)
    kept = [index for index, cell in enumerate(cells) if not is_blank(cell)]
    read, problems = parameter.reader.read_all([cells[index] for index in kept], parameter.words, system)
    column = np.full(len(cells), parameter.default, dtype=read.dtype)  # No default is NaN among numbers.
    column[kept] = read
    return column, {kept[index]: error for index, error in problems.items()}
