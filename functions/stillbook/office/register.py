"""A register: one row a job, as CSV, Parquet or .xlsx. Text in it stays text in whatever program opens it."""

from __future__ import annotations

import csv
import importlib
import io
import re
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any, Final

from stillbook.office.reports import is_formula_start, plain_words
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.package import Package
from stillbook.workbook.file.saving import refuse_existing, save

_AFTER_A_MARK: Final = re.compile(r"([;|\t\r\n])(?=[ \xa0]*[=+@\-＝＋－＠])")

Record = Mapping[str, str | float]


def check_register(path: Path, *, replace: bool) -> None:
    """Refuse a register before any work is done for it.

    Raises:
        WorkbookError: If its ending is not known, a library for it is missing, or it exists and may not be replaced.
    """
    if path.suffix.lower() not in _WRITERS:
        raise WorkbookError(f"{path}: give a register that ends in .csv, .parquet or .xlsx")
    if not replace:
        refuse_existing(path)
    if not path.parent.is_dir():
        raise WorkbookError(f"{path}: there is no folder {path.parent}: make it first, or choose another")
    if path.suffix.lower() == ".parquet":
        _parquet_library()


def write_register(path: Path, records: Sequence[Record]) -> None:
    """Write a register whole or not at all, its kind told by its ending.

    Args:
        path: A name that :func:`check_register` accepts.
        records: The rows; a column that a row does not have is blank there.

    Raises:
        WorkbookError: If it cannot be written.
    """
    columns = list(dict.fromkeys(name for record in records for name in record))
    save(path, _WRITERS[path.suffix.lower()](columns, records))


def safe_in_csv(value: str | float | None) -> str | float:
    """A value as a CSV file holds it: an apostrophe before text that a spreadsheet would take for a formula.

    It stands, too, after a sign that parts columns where the comma does not, such as the semicolon in many countries.

    >>> [safe_in_csv(value) for value in ("=1+1", "@x", "-x", "plain", -3.5, None)]
    ["'=1+1", "'@x", "'-x", 'plain', -3.5, '']
    """
    if not isinstance(value, str):
        return "" if value is None else value
    parted = _AFTER_A_MARK.sub(r"\1'", value)
    return f"'{parted}" if is_formula_start(parted.lstrip(" ")) else parted


def _csv(columns: Sequence[str], records: Sequence[Record]) -> bytes:
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow([safe_in_csv(name) for name in columns])
    for record in records:
        writer.writerow([safe_in_csv(record.get(name)) for name in columns])
    return out.getvalue().encode("utf-8-sig")


def _xlsx(columns: Sequence[str], records: Sequence[Record]) -> bytes:
    from openpyxl import Workbook
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    from stillbook.templates.saving import saved

    made = Workbook()
    made.properties.creator, made.properties.title = "Stillbook", "Register"
    sheet = made.active
    sheet.title = "Register"
    for row, values in enumerate([columns, *([record.get(name) for name in columns] for record in records)], start=1):
        for column, value in enumerate(values, start=1):
            cell = sheet.cell(row, column, plain_words(value) if isinstance(value, str) else value)
            if isinstance(value, str):
                cell.data_type = "s"
                cell.quotePrefix = is_formula_start(value)
            if row == 1:
                cell.font = Font(bold=True)
    for column, name in enumerate(columns, start=1):
        longest = max((len(str(record.get(name, ""))) for record in records), default=0)
        sheet.column_dimensions[get_column_letter(column)].width = min(60, max(len(name), longest) + 2)
    sheet.freeze_panes = "B2"
    sheet.auto_filter.ref = sheet.dimensions
    package = Package(saved(made))
    package.set_calculated()
    return package.to_bytes()


def _parquet(columns: Sequence[str], records: Sequence[Record]) -> bytes:
    arrow, parquet = _parquet_library()
    held = {}
    for name in columns:
        values = [record.get(name) for record in records]
        texts = any(isinstance(value, str) for value in values)
        whole = all(isinstance(value, int) or value is None for value in values)
        kind = arrow.string() if texts else arrow.int64() if whole else arrow.float64()
        shown = [str(value) if texts and value is not None else value for value in values]
        held[name] = arrow.array(shown, type=kind)
    out = io.BytesIO()
    parquet.write_table(arrow.table(held), out)
    return out.getvalue()


def _parquet_library() -> tuple[Any, Any]:
    try:
        return importlib.import_module("pyarrow"), importlib.import_module("pyarrow.parquet")
    except ImportError:
        raise WorkbookError(
            "a Parquet register needs the library pyarrow: install it, or write .csv or .xlsx"
        ) from None


_WRITERS: Final[dict[str, Callable[[Sequence[str], Sequence[Record]], bytes]]] = {
    ".csv": _csv,
    ".parquet": _parquet,
    ".xlsx": _xlsx,
}
