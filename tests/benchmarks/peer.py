"""The ``formulas`` package with our catalogue registered, to calculate the same workbook by another engine."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import formulas
import numpy as np
import schedula
from formulas.functions import Array, Error, XlError

from stillbook.catalogue import formulas as catalogue
from stillbook.cells import Code, ErrorValue


def register() -> None:
    """Make every formula of ours known to the package."""
    known = formulas.get_functions()
    for entry in catalogue().values():
        known[entry.workbook_name] = _adapted(entry)


def calculate(source: Path, folder: Path) -> Mapping[str, Any]:
    """Load a workbook, calculate it and save it in a folder; gives the package's cells."""
    model = formulas.ExcelModel().loads(str(source)).finish()
    cells: Mapping[str, Any] = model.calculate()
    model.write(dirpath=str(folder))
    return cells


def value(cells: Mapping[str, Any], source: Path, sheet: str, cell: str) -> Any:
    """What a cell holds."""
    wanted = f"'[{source.name}]{sheet}'!{cell}".upper()
    found = next(key for key in cells if isinstance(key, str) and key.upper() == wanted)
    return _in(cells[found].value[0, 0])


def _adapted(entry: Callable[..., Any]) -> Callable[..., Any]:
    def call(*arguments: Any) -> Any:
        answer = entry(*map(_argument, arguments))
        if isinstance(answer, list):
            return np.array([[_out(cell) for cell in row] for row in answer], dtype=object).view(Array)
        return _out(answer)

    return call


def _argument(given: Any) -> Any:
    cells = np.atleast_2d(np.asarray(getattr(given, "value", given), dtype=object))
    rows = [[_in(cell) for cell in row] for row in cells]
    return rows[0][0] if cells.shape == (1, 1) else rows


def _in(cell: Any) -> Any:
    if isinstance(cell, XlError):
        return ErrorValue(Code(str(cell)))
    if cell is schedula.EMPTY:
        return None
    return cell.item() if isinstance(cell, np.generic) else cell


def _out(cell: Any) -> Any:
    return Error.errors[str(cell.code)] if isinstance(cell, ErrorValue) else cell
