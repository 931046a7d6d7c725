"""What an office has put into a workbook besides its inputs and prices, and a newer template lacks."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Final, Literal

from stillbook.cells import Cell
from stillbook.share.cells import formula_texts
from stillbook.templates.shipped import ONCE_CALLED
from stillbook.workbook import WorkbookError
from stillbook.workbook.calculation.spelling import to_neutral
from stillbook.workbook.file.address import cell_name, place
from stillbook.workbook.file.package import Package
from stillbook.workbook.file.parts import MAIN, Parts, local
from stillbook.workbook.file.sheet import Key
from stillbook.workbook.job.lines import words

Kind = Literal["input", "price", "sheet", "cell", "formula", "typed over", "drawing", "note", "name"]

_ADDRESS: Final = re.compile(r"\$?[A-Z]{1,3}\$?\d{1,7}")
_TRUTH: Final = re.compile(r"\b(TRUE|FALSE)\(\)")
_NEEDLESS: Final = re.compile(r"'(\w+)'(?=!)|(?<=\d)\.0+\b|(?<=\.)(\d*[1-9])0+\b")
"""Quotes that a sheet's name can do without, and noughts at the end of a number."""
_NOW_CALLED: Final = {once.casefold(): now for now, once in ONCE_CALLED.items()}
_RENAMED: Final = re.compile("|".join(map(re.escape, ONCE_CALLED)))

_LONG_RUN: Final = 12
"""Cells down a column up to which each is listed by itself."""

_DRAWN: Final = {"pic": "a picture", "graphicFrame": "a chart", "sp": "a shape", "cxnSp": "a line", "grpSp": "shapes"}


@dataclass(frozen=True, slots=True)
class Left:
    """Something of the old workbook that the new one does not have.

    Args:
        kind: What it is.
        place: Where it stands in the old workbook.
        content: What stands there.
        reason: Why it was not carried.
    """

    kind: Kind
    place: str
    content: str
    reason: str


class Content:
    """A workbook whose content is listed: its cells, and what lies on its sheets.

    Raises:
        WorkbookError: If it is damaged; the message names the file.
    """

    def __init__(self, path: Path, package: Package) -> None:
        self.package = package
        try:
            parts = package.parts()
            sheets = {name.casefold(): part for name, part in parts.sheets().items()}
            self.drawn = {name: _drawn(parts, part) for name, part in sheets.items()}
            self.notes = {name: list(_notes(parts, part)) for name, part in sheets.items()}
        except WorkbookError as error:
            raise WorkbookError(f"{path}: {error}") from None


def added(old: Content, known: list[Content], homes: dict[str, set[Key]], told: set[str]) -> list[Left]:
    """What the old workbook holds and the known ones do not."""
    found: list[Left] = []
    for sheet in old.package.sheets:
        theirs = [(book.package, name) for book in known if (name := _sheet_of(book.package, sheet))]
        if not theirs:
            filled = len(old.package.sheet(sheet).stored)
            found.append(Left("sheet", sheet, f"{filled} filled cells", "the template has no such sheet"))
            continue
        found += _in_blocks(sheet, _added_cells(old.package, sheet, theirs, homes.get(sheet, set())))
    found += _added_things(old, known, told)
    return found


def _sheet_of(package: Package, sheet: str) -> str:
    """The sheet of that name in a workbook, or that which had this name once; empty where there is none."""
    return package.find_sheet(sheet) or package.find_sheet(_NOW_CALLED.get(sheet.casefold(), "")) or ""


def _in_blocks(sheet: str, cells: Iterable[tuple[Key, Left]]) -> list[Left]:
    """The cells of a sheet one by one, but long runs of them down a column as one entry."""
    runs: dict[tuple[int, Kind, str], list[list[tuple[Key, Left]]]] = {}
    for at, entry in cells:
        of_column = runs.setdefault((at[1], entry.kind, entry.reason), [])
        if of_column and of_column[-1][-1][0][0] == at[0] - 1:
            of_column[-1].append((at, entry))
        else:
            of_column.append([(at, entry)])
    found: list[tuple[Key, Left]] = []
    for run in (run for of_column in runs.values() for run in of_column):
        if len(run) <= _LONG_RUN:
            found += run
            continue
        (first, entry), (last, _) = run[0], run[-1]
        more = f"{entry.content} and {len(run) - 1} more"
        found.append((first, Left(entry.kind, f"{place(sheet, *first)}:{cell_name(*last)}", more, entry.reason)))
    found.sort(key=lambda one: (one[1].kind != "formula", one[0]))
    return [entry for _, entry in found]


def _added_cells(
    old: Package, sheet: str, theirs: list[tuple[Package, str]], accounted: set[Key]
) -> Iterator[tuple[Key, Left]]:
    """Cells of a sheet that have no equal in the sheets of that name, in file order."""
    texts = dict(formula_texts(old, sheet))
    formulas = {_without_places(text) for package, name in theirs for _, text in formula_texts(package, name)}
    for at, text in texts.items():
        if at not in accounted and _without_places(text) not in formulas:
            yield at, Left("formula", place(sheet, *at), f"={text}", "the template has no such formula")
    part = old.sheet(sheet)
    filled = {cell for formula in part.formulas.values() if formula.area for cell in formula.area.cells()}
    mine = {
        at: value
        for at in part.stored
        if at not in part.formulas and at not in accounted and at not in filled
        if (value := old.value(sheet, *at)) not in (None, "")
    }
    spare: Counter[str] = Counter()
    fixed: dict[Key, set[str]] = {}
    for package, name in theirs:
        other = package.sheet(name)
        values = {at: _as_key(package.value(name, *at)) for at in other.stored if at not in other.formulas}
        spare |= Counter(values.values())
        for at, value in values.items():
            fixed.setdefault(at, set()).add(value)
    alike = {at for at, value in mine.items() if _as_key(value) in fixed.get(at, ())}
    spare -= Counter(_as_key(mine[at]) for at in alike)
    for at, value in sorted(mine.items()):
        if at in alike:
            continue
        key = _as_key(value)
        if spare[key] > 0:
            spare[key] -= 1
            continue
        over = any(at in package.sheet(name).formulas for package, name in theirs)
        reason = "typed over a formula of the template" if over else "the template has no such content"
        yield at, Left("typed over" if over else "cell", place(sheet, *at), words(value), reason)


def _added_things(old: Content, known: list[Content], told: set[str]) -> Iterator[Left]:
    """Pictures, charts, notes and names that the known workbooks do not have."""
    for sheet in old.package.sheets:
        key = sheet.casefold()
        there = [(book, _sheet_of(book.package, sheet).casefold()) for book in known]
        theirs = [book.drawn[name] for book, name in there if name in book.drawn]
        if not theirs:
            continue
        before: Counter[str] = Counter()
        for drawn in theirs:
            before |= drawn
        for kind, count in (old.drawn.get(key, Counter()) - before).items():
            yield Left("drawing", sheet, f"{count} × {_DRAWN[kind]}", "the template has fewer there")
        for at, text in old.notes.get(key, ()):
            yield Left("note", f"{sheet}!{at}", text, "notes on cells are not carried")
    names = {name.name.casefold() for book in known for name in book.package.names}
    for name in old.package.names:
        if name.name.casefold() not in names and name.name not in told and not name.hidden:
            yield Left("name", name.name, name.refers_to, "the template has no such name")


def _drawn(parts: Parts, sheet_part: str) -> Counter[str]:
    """How many pictures, charts and shapes a sheet has."""
    drawing = parts.related(sheet_part, "drawing")
    if drawing is None:
        return Counter()
    return Counter(kind for anchor in parts.tree(drawing) for child in anchor if (kind := local(child)) in _DRAWN)


def _notes(parts: Parts, sheet_part: str) -> Iterator[tuple[str, str]]:
    comments = parts.related(sheet_part, "comments")
    if comments is not None:
        for comment in parts.tree(comments).iter(f"{{{MAIN}}}comment"):
            yield comment.get("ref", ""), " ".join("".join(comment.itertext()).split())


@lru_cache(maxsize=1 << 15)
def _without_places(formula: str) -> str:
    """A formula with its addresses taken out, so that a moved row does not make it another.

    LibreOffice saves a truth value as a function, leaves out needless quotes and noughts, and means the same.
    """
    plain = _NEEDLESS.sub(lambda found: found[1] or found[2] or "", to_neutral(formula))
    return _TRUTH.sub(r"\1", _ADDRESS.sub("#", _sheets_as_once(plain).upper()))


def _as_key(value: Cell) -> str:
    return f"{type(value).__name__} {_sheets_as_once(words(value))}"


def _sheets_as_once(text: str) -> str:
    """A text with the names that sheets had once, so that a name alone makes no difference."""
    return _RENAMED.sub(lambda found: ONCE_CALLED[found[0]], text)
