"""Writing a workbook's formulas in the spelling that a spreadsheet program reads."""

from __future__ import annotations

from pathlib import Path

from stillbook.workbook.calculation.respelled import respelled
from stillbook.workbook.calculation.spelling import Spelling
from stillbook.workbook.file.package import Package
from stillbook.workbook.file.saving import save


def convert(path: Path, out: Path, spelling: Spelling) -> int:
    """Write a copy of a workbook with our formulas in one spelling; gives how many were written anew.

    Values, styles and everything else stay as they are. The copy may take the place of the original.

    Args:
        path: The workbook; its formulas may have any spelling.
        out: The copy.
        spelling: How a host writes them.

    Raises:
        WorkbookError: If the workbook cannot be read or the copy not written.
    """
    data, count = respelled(Package.open(path).to_bytes(), spelling)
    save(out, data)
    return count
