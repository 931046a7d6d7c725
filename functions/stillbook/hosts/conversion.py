"""Writing a workbook's formulas in the spelling that a spreadsheet program reads."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from stillbook.workbook.calculation.spelling import Spelling, to_spelling
from stillbook.workbook.file.archive import Archive
from stillbook.workbook.file.elements import with_elements
from stillbook.workbook.file.package import Package
from stillbook.workbook.file.saving import save

_WITH_FORMULAS: Final = frozenset(
    {"f", "formula", "formula1", "formula2", "definedName", "calculatedColumnFormula", "totalsRowFormula"}
)
"""The elements of a workbook that hold formulas: of cells, formats, typing rules, names and tables."""


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


def respelled(data: bytes, spelling: Spelling) -> tuple[bytes, int]:
    """A workbook file with each of our calls in one spelling, and how many formulas changed.

    Raises:
        WorkbookError: If the file is damaged.
    """
    archive = Archive(data)
    changed: dict[str, bytes] = {}
    total = 0
    for name in archive.names:
        if not name.lower().endswith(".xml"):
            continue
        before = archive.read(name)
        if b"still" not in before.lower():
            continue
        after, count = with_elements(before, name, _WITH_FORMULAS, lambda text: to_spelling(text, spelling))
        if count:
            changed[name] = after
            total += count
    return (archive.with_parts(changed) if changed else data), total
