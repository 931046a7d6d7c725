"""Workbooks that report on other workbooks: page parts that take text from anyone, and their saving."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any, Final

from stillbook.cells import ErrorValue
from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.saving import saved
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.package import Package
from stillbook.workbook.file.saving import refuse_existing
from stillbook.workbook.job.estimate import Job

_UNFIT: Final = re.compile(r"[\x00-\x08\x0b-\x1f\ufffe\uffff\ud800-\udfff]")
_STARTS_FORMULA: Final = ("=", "+", "-", "@", "＝", "＋", "－", "＠", "\t", "\r", "\n")
LONGEST: Final = 2000
"""Letters of a text that a report shows."""


def is_formula_start(text: str) -> bool:
    """Whether a spreadsheet that opens a text file would take this text for a formula.

    >>> [is_formula_start(text) for text in ("=1+1", "@x", "-x", "-3", "plain")]
    [True, True, True, True, False]
    """
    return text.startswith(_STARTS_FORMULA)


def plain_words(text: str) -> str:
    """Text that a cell can hold and a page can show."""
    return _UNFIT.sub(" ", text)[:LONGEST]


def table_row(
    page: Page, values: Sequence[Any], formats: Sequence[str] = (), *, strong: bool = False, border: Any = look.ROW
) -> int:
    """Write a table row, in which no text becomes a formula; gives the row's number."""
    shown = [_shown(value) for value in values]
    row = page.row(
        [f"x{value}" if isinstance(value, str) else value for value in shown],
        formats,
        strong=strong,
        border=border,
    )
    for offset, value in enumerate(shown):
        if isinstance(value, str):
            put_text(page, row, FIRST + offset, value)
    return row


def put_text(page: Page, row: int, column: int, text: str) -> None:
    """Write a text into a cell as text, in the look that the cell has, also for whoever edits it later."""
    cell = page.sheet.cell(row, column)
    cell.value = None
    cell.value = plain_words(text) or None
    if cell.value is not None:
        cell.data_type = "s"
        cell.quotePrefix = is_formula_start(text)


def _shown(value: Any) -> Any:
    if value is None or isinstance(value, bool | int | float):
        return value
    return str(value.code) if isinstance(value, ErrorValue) else plain_words(str(value))


def save_report(book: Book, path: Path, *, replace: bool = False) -> Path:
    """Calculate and save a report.

    Raises:
        WorkbookError: If it exists and may not be replaced, or cannot be written.
    """
    for sheet in book.workbook.worksheets:
        sheet.protection.sheet = False
    job = Job(Package(saved(book.workbook)))
    return job.save(path, replace=replace)


def check_target(path: Path, *sources: Path, replace: bool) -> None:
    """Refuse a place for a new workbook before any work is done for it.

    Raises:
        WorkbookError: If it is one of the sources, exists and may not be replaced, or is no .xlsx name.
    """
    if path.suffix.lower() != ".xlsx":
        raise WorkbookError(f"{path}: give a file name that ends in .xlsx")
    if path.exists() and any(source.exists() and path.samefile(source) for source in sources):
        raise WorkbookError(f"{path}: it is one of the workbooks read: give the new one another name")
    if not replace:
        refuse_existing(path)
