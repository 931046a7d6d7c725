"""A workbook file with our formulas in one spelling, wherever it holds formulas."""

from __future__ import annotations

import re
from typing import Final

from stillbook.workbook.calculation.spelling import Spelling, to_spelling
from stillbook.workbook.file.archive import Archive
from stillbook.workbook.file.elements import with_elements

_WITH_FORMULAS: Final = frozenset(
    {"f", "formula", "formula1", "formula2", "definedName", "calculatedColumnFormula", "totalsRowFormula"}
)
"""The elements of a workbook that hold formulas: of cells, formats, typing rules, names and tables."""

# Most files need no change: these find out without reading their parts element by element.
_CALL_IN_CAPITALS: Final = re.compile(rb"STILL[_.][A-Z][A-Z\d]*\(")
_NEUTRAL_CALL: Final = re.compile(rb"(?<![\w.!\\])STILL_[A-Z][A-Z\d]*\(")


def respelled(data: bytes, spelling: Spelling) -> tuple[bytes, int]:
    """A workbook file with each of our calls in one spelling, and how many formulas changed.

    Values, styles and everything else stay as they are, and parts without a change keep their bytes.

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
        found = len(_CALL_IN_CAPITALS.findall(before.upper()))
        if not found or (spelling is Spelling.NEUTRAL and len(_NEUTRAL_CALL.findall(before)) == found):
            continue
        after, count = with_elements(before, name, _WITH_FORMULAS, lambda text: to_spelling(text, spelling))
        if count:
            changed[name] = after
            total += count
    return (archive.with_parts(changed) if changed else data), total
