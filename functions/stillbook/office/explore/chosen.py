"""A variant of an exploration read back from its workbook, to make a job of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from stillbook.cells import Cell
from stillbook.office.explore.report import INPUTS, JOB_INPUTS, NUMBERS, PRICES
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.address import Area
from stillbook.workbook.file.package import Package
from stillbook.workbook.job.lines import column, number, words


@dataclass(frozen=True, slots=True)
class Chosen:
    """A variant of an exploration.

    Args:
        job: All inputs of the job as it stood.
        varied: Those that the variant gives.
        results: What it came to in each goal.
    """

    job: Mapping[str, Cell]
    varied: Mapping[str, Cell]
    results: Mapping[str, Cell]

    @property
    def inputs(self) -> dict[str, Cell]:
        """All inputs, with those of the variant."""
        return {**self.job, **self.varied}


def chosen(path: Path, wanted: int) -> Chosen:
    """A variant by its number.

    Args:
        path: The workbook of an exploration.
        wanted: Its number; 0 is the job as it stood.

    Raises:
        WorkbookError: If it cannot be opened, is no such workbook, or has no variant of that number.
    """
    package = Package.open(path)
    sheet, numbers = _named(package, path, NUMBERS)
    row = next((r for r, _ in numbers.cells() if number(package.value(sheet, r, numbers.first_column)) == wanted), None)
    if row is None:
        raise WorkbookError(f"{path}: there is no variant {wanted}: its sheet {sheet} lists them")
    varied, results = (
        {
            words(package.value(sheet, *at)): package.value(sheet, row, at[1])
            for at in _named(package, path, name)[1].cells()
        }
        for name in (INPUTS, PRICES)
    )
    where, names = _named(package, path, JOB_INPUTS)
    job = {words(package.value(where, r, c)): package.value(where, r, c + 1) for r, c in names.cells()}
    return Chosen(job, varied, results)


def _named(package: Package, path: Path, name: str) -> tuple[str, Area]:
    found = column(package, name)
    if found is None:
        raise WorkbookError(f"{path}: it is no workbook of an exploration: give one that stillbook explore wrote")
    return found
