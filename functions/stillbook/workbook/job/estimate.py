"""One estimate in a workbook: open it, set its inputs, calculate, read its results, save.

>>> from stillbook.workbook.job.estimate import Job
>>> job = Job.open("estimate.xlsx")                       # doctest: +SKIP
>>> job.set({"people": 3, "room_length": "2.7 m"})        # doctest: +SKIP
>>> report = job.calculate()                              # doctest: +SKIP
>>> job.save()                                            # doctest: +SKIP
"""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from os import PathLike, stat_result
from pathlib import Path
from typing import Any

from stillbook import __version__
from stillbook.cells import Cell, ErrorValue
from stillbook.workbook import WorkbookError
from stillbook.workbook.calculation.engine import SECONDS
from stillbook.workbook.calculation.recalculate import ErrorCell, calculate
from stillbook.workbook.calculation.respelled import respelled
from stillbook.workbook.calculation.spelling import Spelling
from stillbook.workbook.file.address import Area, cell_name, place, read_cell
from stillbook.workbook.file.origin import CALCULATED_BY, Origin, origin
from stillbook.workbook.file.package import Package
from stillbook.workbook.file.saving import refuse_existing, save
from stillbook.workbook.file.sheet import Change, Key
from stillbook.workbook.job.checks import Check, read_checks
from stillbook.workbook.job.entered import Refused, read_entered, renamed
from stillbook.workbook.job.inputs import InputError
from stillbook.workbook.job.interface import Input, interface, refreshed
from stillbook.workbook.job.kept import lost
from stillbook.workbook.job.precedents import Precedents
from stillbook.workbook.job.results import Best, ResultSpec


@dataclass(frozen=True, slots=True)
class Result:
    """A key result of a calculated workbook.

    Args:
        name: Its defined name.
        label: What it is.
        value: A number, text or an error with its reason.
        unit: Unit of a number.
        sheet: Its sheet.
        cell: Its address in the sheet.
        best: Whether the least or the most of it is best, where an exploration is to look for it.
    """

    name: str
    label: str
    value: Cell
    unit: str
    sheet: str
    cell: str
    best: Best = ""


@dataclass(frozen=True, slots=True)
class Report:
    """What a calculated workbook says.

    Args:
        results: The key results, in the order of the sheets.
        errors: Every cell whose formula gives an error, with the reason.
        checks: The rules, in their order.
        missing: Names of the inputs that must be filled in and are not.
        formulas: How many cells hold formulas.
        read: Input cells whose text with a unit was read as a number, in words; those too, and inputs that were set,
            whose word for a material was read as its name in the table.
        refused: Input cells that hold something their input does not take.
        consequences: How many of the errors may come from those cells; they stand last in ``errors``.
        lost: Cells whose value a program without the formulas loses, as arrays, shared formulas, TRUE or FALSE.
    """

    results: tuple[Result, ...]
    errors: tuple[ErrorCell, ...]
    checks: tuple[Check, ...]
    missing: tuple[str, ...]
    formulas: int
    read: tuple[str, ...] = ()
    refused: tuple[Refused, ...] = ()
    consequences: int = 0
    lost: tuple[str, ...] = ()

    @property
    def failed(self) -> tuple[Check, ...]:
        """The rules that fail."""
        return tuple(check for check in self.checks if check.state == "fails")

    @property
    def denied(self) -> tuple[Check, ...]:
        """The rules that fail, or cannot be judged because a formula is broken."""
        return tuple(check for check in self.checks if check.denies)

    @property
    def stands(self) -> bool:
        """Whether no check denies, no input cell is refused, and no cell is an error."""
        return not (self.denied or self.refused or self.errors)


class Job:
    """A workbook being worked on. It is not for use by two threads at once.

    Args:
        package: The workbook.
        path: The file it was read from, where :meth:`save` writes it back; None for one without a file.
    """

    def __init__(self, package: Package, path: Path | None = None) -> None:
        self.package = package
        self.path = path
        self._seen = _stamp(path)
        self._calculated = False
        self._renamed: dict[str, str] = {}
        self._interface = interface(package)

    @classmethod
    def open(cls, path: str | PathLike[str]) -> Job:
        """Open a workbook file.

        Raises:
            WorkbookError: If it is missing, damaged, locked with a password, or no .xlsx workbook.
        """
        where = Path(path)
        package = Package.open(where)
        try:
            return cls(package, where)
        except WorkbookError as error:
            raise WorkbookError(f"{where}: {error}") from None

    @property
    def inputs(self) -> Mapping[str, Input]:
        """The inputs by name, in the order of the sheets, with what their cells hold now."""
        return self._interface.inputs

    def set(self, values: Mapping[str, Any]) -> None:
        """Set inputs: all of them or, where one is refused, none.

        Args:
            values: New values by input name: numbers in the cell's unit, text with any unit, or None for a blank. A
                column of inputs takes a list by its own name: the rows from the first on; those after it become blank.

        Raises:
            InputError: Naming each input that does not exist or does not take its value.
        """
        changes: dict[str, dict[Key, Change]] = {}
        faults: list[str] = []
        told: dict[str, str] = {}
        given = list(self._by_cell(values, faults))
        known = self._folded()
        for name, value in given:
            try:
                entry = _input(known, name)
                spec, more = entry.spec, tuple(self._put_into(entry, given))
                spec = replace(spec, choices=(*spec.choices, *more)) if more else spec
                kept = spec.read(value, starts_1904=self.package.starts_1904)
            except InputError as error:
                faults.append(str(error))
                continue
            at = read_cell(entry.cell)
            if at is not None:
                changes.setdefault(entry.sheet, {})[at] = Change(kept)
                told[entry.name] = renamed(entry, at, value, kept)
        if faults:
            raise InputError("; ".join(faults))
        self.write(changes)
        self._renamed |= told

    def _put_into(self, entry: Input, given: Sequence[tuple[str, Any]]) -> Iterator[str]:
        """The words given to cells of the list of an input's choices, which may be chosen from it at once."""
        if entry.listed is None:
            return
        sheet, area = entry.listed
        known = self._folded()
        for name, word in given:
            cell = known.get(name.strip().casefold())
            at = read_cell(cell.cell) if cell is not None and cell.sheet == sheet else None
            if at is not None and area.holds(*at) and isinstance(word, str):
                yield word.strip()

    def _by_cell(self, values: Mapping[str, Any], faults: list[str]) -> Iterator[tuple[str, Any]]:
        """Name and value of each cell: a list is dealt out over the rows of its column."""
        columns = {name.casefold(): cells for name, cells in self.columns.items()}
        for name, value in values.items():
            cells = columns.get(name.strip().casefold())
            if cells is None:
                yield name, value
            elif not isinstance(value, list):
                faults.append(f"{name} is a column: give a list, or a row of it such as {cells[0]}")
            else:
                column, _, last = cells[-1].rpartition("_")
                if len(value) > int(last):
                    faults.append(f"{name} has {len(value)} values: give at most {last}")
                    continue
                given = {f"{column}_{row}": held for row, held in enumerate(value, start=1)}
                yield from {**dict.fromkeys(cells), **given}.items()

    @property
    def results(self) -> Mapping[str, ResultSpec]:
        """The key results by name, in the order of the sheets; a calculation tells their values."""
        return {spec.name: spec for spec, *_ in self._interface.results}

    @property
    def checks(self) -> tuple[str, Area] | None:
        """Sheet and cells of the block of checks; None without one."""
        return self._interface.checks

    @property
    def origin(self) -> Origin:
        """What made the workbook, and what calculated it last."""
        return origin(self.package.properties())

    @property
    def columns(self) -> Mapping[str, tuple[str, ...]]:
        """The names of the inputs of each column, by the name of the column."""
        return self._interface.columns

    def write(self, changes: Mapping[str, Mapping[Key, Change]]) -> None:
        """Change cells that are no inputs, such as rows of prices, by sheet and cell.

        Raises:
            WorkbookError: If a value cannot be stored; no cell is changed then.
        """
        if changes:
            self.package.write(changes)
            self._calculated = False
            self._interface = refreshed(self._interface, self.package)

    def calculate(self, *, seconds: float = SECONDS) -> Report:
        """Calculate all formulas and keep the results beside them.

        Text with a unit that someone typed into the cell of a number is read first, and the number takes its place.

        Args:
            seconds: How long it may take.

        Raises:
            WorkbookError: If formulas refer to each other in a circle, or it takes too long; no cell is changed.
        """
        entered = read_entered(self.inputs, starts_1904=self.package.starts_1904)
        self.write(entered.changes)
        try:
            calculation = calculate(self.package, seconds=seconds)
        except WorkbookError as error:
            raise WorkbookError(f"{self.path}: {error}" if self.path else str(error)) from None
        self.package.write(calculation.changes)
        self.package.remember_in_charts()
        self.package.set_calculated()
        self._calculated = True
        self._interface = refreshed(self._interface, self.package)
        worked = read_entered(self._interface.worked, starts_1904=self.package.starts_1904)
        refused = (*entered.refused, *worked.refused)
        reasons = {error.place: error.reason for error in calculation.errors}
        causes = {(entry.sheet, *entry.key) for entry in refused}
        following = Precedents(self.package).depending_on(causes) if causes and calculation.errors else set()
        errors = sorted(calculation.errors, key=lambda error: error.key in following)
        return Report(
            results=self._results(reasons),
            errors=tuple(errors),
            checks=self._checks(reasons),
            missing=tuple(name for name, entry in self.inputs.items() if entry.missing),
            formulas=calculation.count,
            read=(*filter(None, self._renamed.values()), *entered.read),
            refused=refused,
            consequences=sum(error.key in following for error in errors),
            lost=tuple(place(*at) for at in lost(self.package)),
        )

    def save(self, path: str | PathLike[str] | None = None, *, replace: bool = False) -> Path:
        """Write the workbook, calculated: onto its own file, or under another name, which then is its own.

        Formulas are written in the neutral spelling, which every program with the formulas reads, also where another
        program had written its own.

        Args:
            path: Where to; its own file when left out.
            replace: Whether another file that already stands there may be replaced.

        Returns:
            The path written.

        Raises:
            WorkbookError: If the file is open in a spreadsheet, was changed by another program, may not be written, or
                exists and ``replace`` is not set. What stood there stays as it was.
        """
        target = Path(path) if path is not None else self.path
        if target is None:
            raise WorkbookError("this workbook has no file yet: give a path to save it under")
        if target.suffix.lower() != ".xlsx":
            raise WorkbookError(f"{target}: give a file name that ends in .xlsx")
        own = self.path is not None and _same(target, self.path)
        if own and self._seen is not None and _stamp(target) not in (self._seen, None):
            raise WorkbookError(f"{target}: it was changed by another program meanwhile: open it again, or save a copy")
        if not own and not replace:
            refuse_existing(target)
        if not self._calculated:
            self.calculate()
        self.package.set_property(CALCULATED_BY, __version__)
        save(target, respelled(self.package.to_bytes(), Spelling.NEUTRAL)[0])
        self.path, self._seen = target, _stamp(target)
        return target

    # --- pieces -------------------------------------------------------------------------------------------------------

    def _folded(self) -> dict[str, Input]:
        """The inputs by their names without capitals."""
        return {name.casefold(): entry for name, entry in self.inputs.items()}

    def _results(self, reasons: Mapping[str, str]) -> tuple[Result, ...]:
        found = []
        for spec, sheet, row, column in self._interface.results:
            cell = cell_name(row, column)
            value = self.package.value(sheet, row, column)
            if isinstance(value, ErrorValue):
                value = ErrorValue(value.code, reasons.get(place(sheet, row, column), ""))
            found.append(Result(spec.name, spec.label or spec.name, value, spec.unit, sheet, cell, spec.best))
        return tuple(found)

    def _checks(self, reasons: Mapping[str, str]) -> tuple[Check, ...]:
        """The rules of the trade, in their order; none in a workbook without them."""
        block = self._interface.checks
        return read_checks(self.package, block, self.inputs, reasons) if block else ()


def _input(known: Mapping[str, Input], name: str) -> Input:
    """The input of a name, of those known by their names without capitals."""
    entry = known.get(name.strip().casefold())
    if entry is None:
        near = difflib.get_close_matches(name.casefold(), known, n=3)
        hint = f"did you mean {' or '.join(known[n].name for n in near)}?" if near else "list them with their limits"
        raise InputError(f"there is no input {name[:60]}: {hint}")
    return entry


def _stamp(path: Path | None) -> tuple[int, int] | None:
    """Size and time of a file, which tell whether another program wrote it."""
    try:
        found: stat_result | None = path.stat() if path else None
    except OSError:
        return None
    return (found.st_size, found.st_mtime_ns) if found else None


def _same(one: Path, other: Path) -> bool:
    try:
        return one.samefile(other)
    except OSError:
        return one.absolute() == other.absolute()
