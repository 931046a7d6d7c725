"""Which values of a saved workbook a program without the formulas loses on opening it.

LibreOffice keeps the stored number or text of an ordinary formula that it cannot work out. It drops that of a formula
written as an array or shared by several cells, and a stored TRUE or FALSE: such cells show an error there.
"""

from __future__ import annotations

from collections.abc import Iterator

from stillbook.workbook.calculation.reasons import Place
from stillbook.workbook.calculation.spelling import calls, has_call
from stillbook.workbook.file.package import Package
from stillbook.workbook.file.sheet import Key, SheetPart


def lost(package: Package) -> Iterator[Place]:
    """The cells with a formula of ours whose value is lost, in the order of the sheets; an error is none."""
    for sheet in package.sheets:
        part = package.sheet(sheet)
        for at in _calling(part):
            formula = part.formulas[at]
            stored = _stored(part, at)
            if stored == "b" or (formula.kind in ("array", "shared") and stored != "e"):
                yield sheet, *at


def _stored(part: SheetPart, at: Key) -> str:
    """The type of the value beside a formula."""
    return part.stored.get(at, ("", ""))[0]


def _calling(part: SheetPart) -> Iterator[Key]:
    """The cells whose formula calls one of ours, by itself or by the one that it shares.

    Ordinary formulas without TRUE or FALSE lose nothing: they are passed over, since reading them takes long.
    """
    groups = set()
    for at, formula in part.formulas.items():
        if formula.kind == "normal" and _stored(part, at) != "b":
            continue
        ours = formula.text and has_call(formula.text) and calls(formula.text)
        if ours and formula.kind == "shared":
            groups.add(formula.group)
        if ours or (formula.kind == "shared" and not formula.text and formula.group in groups):
            yield at
