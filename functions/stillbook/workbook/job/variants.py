"""Variants of one job: other values of some inputs, each a whole calculated and checked estimate, quickly.

A job is read and calculated once. Of each variant those formulas alone are calculated that the varied inputs reach and
on which a key result or a check depends; all others would give what they gave before. Where that is not sure, or a
check comes to wait or to be an error, the whole workbook is calculated. Nothing is ever written to the job.

>>> from stillbook.workbook.job.variants import Variants
>>> Variants("estimate.xlsx", ["frame_gap"]).calculate({"frame_gap": "2 in"}).denied        # doctest: +SKIP
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from os import PathLike
from pathlib import Path
from typing import Any, Final

from stillbook.cells import Cell, ErrorValue
from stillbook.workbook.calculation.engine import SECONDS
from stillbook.workbook.calculation.reasons import Place
from stillbook.workbook.calculation.warm import Warm
from stillbook.workbook.file.address import read_cell
from stillbook.workbook.file.package import Package
from stillbook.workbook.job.checks import Check, check_rows, state_of
from stillbook.workbook.job.estimate import Job, Report
from stillbook.workbook.job.inputs import InputError
from stillbook.workbook.job.interface import Input
from stillbook.workbook.job.reach import reach, reached_by

_NUMBER: Final = re.compile(r"-?\d[\d.,]*")


@dataclass(frozen=True, slots=True)
class Figures:
    """What a variant of a job comes to.

    Args:
        results: Its key results by name.
        checks: The state of each check, in their order.
    """

    results: Mapping[str, Cell]
    checks: tuple[tuple[str, str], ...]

    @property
    def denied(self) -> tuple[str, ...]:
        """The rules that fail, or cannot be judged because a formula is broken."""
        return tuple(rule for rule, state in self.checks if state in ("fails", "error"))


class Variants:
    """A job whose variants are calculated. It is not for use by two threads at once.

    Args:
        path: The job.
        names: The inputs that vary.

    Raises:
        WorkbookError: If the workbook cannot be opened or calculated, or has no such input.
    """

    def __init__(self, path: str | PathLike[str], names: Collection[str]) -> None:
        job = Job.open(path)
        self.path = Path(path)
        self.inputs: Mapping[str, Input] = job.inputs
        """The inputs of the job by name, as it stands."""
        self._whole = job.package.to_bytes()
        self.report: Report = job.calculate()
        """What the job says as it stands."""
        self._system_1904 = job.package.starts_1904
        if unknown := [name for name in names if name not in self.inputs]:
            raise InputError(f"{self.path}: there is no input {unknown[0]}")
        self._package = job.package
        self._results: dict[str, Place] = {
            result.name: (result.sheet, *(read_cell(result.cell) or (1, 1))) for result in self.report.results
        }
        self._rows = check_rows(job.checks) if job.checks else []
        told = iter(self.report.checks)
        self._stood: list[tuple[list[Cell], Check | None]] = []
        """Of each row of the checks what it holds, and its check if it has one, in the job as it stands."""
        for row in self._rows:
            held = [job.package.value(*at) for at in row]
            self._stood.append((held, next(told) if state_of(held) else None))
        self._asked = frozenset({*self._results.values(), *(at for row in self._rows for at in row[:-1])})
        found = reach(job.package, [place_of(self.inputs[name]) for name in names], self._asked)
        self._warm = Warm(job.package, found.formulas, found.beside) if found.followed else None

    @property
    def is_warm(self) -> bool:
        """Whether some formulas are enough for a variant; else each takes the whole workbook."""
        return self._warm is not None

    def calculate(self, values: Mapping[str, Any], *, seconds: float = SECONDS) -> Figures:
        """What a variant comes to.

        Args:
            values: Values of inputs that vary, as :meth:`.Job.set` takes them; the others stay as in the job.
            seconds: How long it may take.

        Raises:
            InputError: Naming each input that does not exist or does not take its value.
            WorkbookError: If it cannot be calculated.
        """
        told = self._told(values, seconds) if self._warm else None
        return self.alone(values, seconds=seconds) if told is None else told

    def alone(self, values: Mapping[str, Any], *, seconds: float = SECONDS) -> Figures:
        """What a variant comes to, by calculating the whole workbook; nothing that is remembered is used.

        Raises:
            InputError: Naming each input that does not exist or does not take its value.
            WorkbookError: If it cannot be calculated.
        """
        job = Job(Package(self._whole), None)
        job.set(values)
        report = job.calculate(seconds=seconds)
        if report.refused:
            raise InputError("; ".join(entry.reason for entry in report.refused))
        return figures(report)

    def read(self, values: Mapping[str, Any]) -> dict[str, Cell]:
        """What the cells of inputs hold for values that are given.

        Raises:
            InputError: Naming each input that does not exist or does not take its value.
        """
        found, faults = {}, []
        for name, value in values.items():
            try:
                found[name] = self.inputs[name].spec.read(value, starts_1904=self._system_1904)
            except KeyError:
                faults.append(f"there is no input {name}")
            except InputError as error:
                faults.append(str(error))
        if faults:
            raise InputError("; ".join(faults))
        return found

    def reaching(self, names: Collection[str], result: str) -> frozenset[str]:
        """Those inputs on which a key result may depend."""
        asked = self._results.get(result)
        return frozenset() if asked is None else self._reaching(names, [asked])

    def reaching_check(self, names: Collection[str], rule: str) -> frozenset[str]:
        """Those inputs on which a check may depend."""
        asked = [at for row, found in zip(self._rows, self._rules(), strict=True) if found == rule for at in row[:-1]]
        return self._reaching(names, asked)

    def knows(self, word: str) -> bool:
        """Whether a rule has a word in it, be it asked of the job as it stands or not."""
        return any(word.casefold() in rule.casefold() for rule in self._rules())

    def _rules(self) -> list[str]:
        """The rule of each row of the checks, empty where there is none."""
        return [str(held[0] or "") if held else "" for held, _ in self._stood]

    def _reaching(self, names: Collection[str], asked: Collection[Place]) -> frozenset[str]:
        return reached_by(self._package, {name: place_of(self.inputs[name]) for name in names}, asked)

    def _told(self, values: Mapping[str, Any], seconds: float) -> Figures | None:
        """What the formulas say that the inputs reach; None where the whole workbook has to be calculated."""
        assert self._warm is not None
        held = {place_of(self.inputs[name]): value for name, value in self.read(values).items()}
        found = self._warm.calculate(held, self._asked, seconds=seconds)
        if found is None:
            return None
        checks = []
        for row, (stood, check) in zip(self._rows, self._stood, strict=True):
            told: list[Cell] = [*(found[at] for at in row[:-1]), None]
            state = state_of(told)
            if state in ("waits", "error"):
                # What it waits for, or what is broken, is told only by the reasons of errors.
                if check is None or [_kind(value) for value in told[:-1]] != [_kind(value) for value in stood[:-1]]:
                    return None
                state = check.state
            if state is not None:
                checks.append((str(told[0]), str(state)))
        return Figures({name: found[at] for name, at in self._results.items()}, tuple(checks))


def figures(report: Report) -> Figures:
    """What a calculated workbook comes to."""
    return Figures(
        {result.name: result.value for result in report.results},
        tuple((check.rule, check.state) for check in report.checks),
    )


def place_of(entry: Input) -> Place:
    """The cell of an input."""
    return (entry.sheet, *(read_cell(entry.cell) or (1, 1)))


def _kind(value: Cell) -> object:
    """What a cell of a check says of waiting and of errors: its text or its error, and of a number that it is one.

    A number in words, such as 9.75 ft, is one too.
    """
    if isinstance(value, ErrorValue):
        return value.code
    return _NUMBER.sub("#", value) if isinstance(value, str) else type(value)
