"""Writing a workbook's formulas in the spelling that a spreadsheet program reads."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Final

from stillbook.hosts import HostError
from stillbook.hosts.libreoffice.elements import with_elements
from stillbook.workbook.calculation.spelling import Spelling, to_spelling
from stillbook.workbook.file.archive import Archive
from stillbook.workbook.file.package import Package
from stillbook.workbook.file.saving import save

SPELLINGS: Final[Mapping[str, Spelling]] = {
    "libreoffice": Spelling.DOTTED,
    "excel": Spelling.NEUTRAL,
    "web": Spelling.WEB,
}
"""What each host reads. LibreOffice 7 reads the dotted names alone; current versions read the neutral ones too."""

_WITH_FORMULAS: Final = frozenset(
    {"f", "formula", "formula1", "formula2", "definedName", "calculatedColumnFormula", "totalsRowFormula"}
)
"""The elements of a workbook that hold formulas: of cells, formats, typing rules, names and tables."""


def convert(path: Path, out: Path, host: str = "libreoffice") -> int:
    """Write a copy of a workbook with our formulas as a host spells them; gives how many were written anew.

    Values, styles and everything else stay as they are. The copy may take the place of the original.

    Args:
        path: The workbook; its formulas may have any spelling.
        out: The copy.
        host: ``"libreoffice"``, ``"excel"`` or ``"web"``.

    Raises:
        HostError: If there is no such host.
        WorkbookError: If the workbook cannot be read or the copy not written.
    """
    if host not in SPELLINGS:
        raise HostError(f'"{host[:40]}" is not known: give one of {", ".join(SPELLINGS)}')
    data, count = respelled(Package.open(path).to_bytes(), SPELLINGS[host])
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
