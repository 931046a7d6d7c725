"""Which cells of a workbook a reader outside the office may see.

A workbook says so itself, with names: ``shown_to_client`` and ``shown_to_contractor`` refer to the cells that such a
reader is shown. A name that belongs to one sheet speaks for that sheet; a workbook with several shown sheets has the
name once in each. What no such name covers is withheld, and so is, among the cells it covers, what the page does not
show: hidden rows and columns, those too small to be seen, what lies outside the print area, and cells under a merged
cell. Of a text that its cell and the empty ones beside it do not hold, the part that is cut off is withheld
(:mod:`stillbook.share.overflow`), and so are signs that no page shows (:mod:`stillbook.share.signs`). How a cell looks
decides the rest (:mod:`stillbook.share.looks`). A workbook with the name ``office_only`` is not shared at all; a hidden
sheet that bears the name, or a copy of a shown sheet, is refused: nobody can tell what was meant.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Final

from stillbook.share.signs import seen_signs
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.address import Area, pieces, read_area, split_reference
from stillbook.workbook.file.markup import decimal, whole
from stillbook.workbook.file.package import Package
from stillbook.workbook.file.parts import MAIN, Element, Parts, cells_of
from stillbook.workbook.file.sheet import Key
from stillbook.workbook.job.audience import NEVER_PRINTED, OFFICE_ONLY, Audience, name_for

M: Final = f"{{{MAIN}}}"
LEAST_HEIGHT: Final = 5.0
"""A row lower than this, in points, shows nothing that could be read."""

LEAST_WIDTH: Final = 1.0
"""A column narrower than this, in letters, shows nothing."""

USUAL_WIDTH: Final = 8.43
USUAL_HEIGHT: Final = 15.0
_COPIED: Final = re.compile(r"(.+?)(?: \(\d+\)|_\d+)")
"""How spreadsheet programs name the copy of a sheet."""


@dataclass(slots=True)
class Shown:
    """What a reader sees of one sheet.

    Args:
        sheet: Its name.
        part: Its part in the package.
        areas: The blocks of cells that may be seen.
        hidden_rows: Rows among them that the page hides.
        hidden_columns: Columns likewise.
        merged: The blocks of merged cells, by their first cell.
        covered: Cells that lie under a merged cell.
        styles: The style of each cell that has one.
        widths: The width of each column that has its own, in letters.
        heights: The height of each row that has its own, in points.
        usual_width: The width of a column without its own.
        usual_height: The height of a row without its own.
        hides_zeros: Whether the sheet shows nothing where a number is 0.
        is_turned: Whether its first column stands at the right.
        unseen: Cells that hold something which the page does not show, with the reason.
    """

    sheet: str
    part: str
    areas: tuple[Area, ...]
    hidden_rows: frozenset[int] = frozenset()
    hidden_columns: frozenset[int] = frozenset()
    merged: Mapping[Key, Area] = field(default_factory=dict)
    covered: frozenset[Key] = frozenset()
    styles: Mapping[Key, int] = field(default_factory=dict)
    widths: Mapping[int, float] = field(default_factory=dict)
    heights: Mapping[int, float] = field(default_factory=dict)
    usual_width: float = USUAL_WIDTH
    usual_height: float = USUAL_HEIGHT
    hides_zeros: bool = False
    is_turned: bool = False
    unseen: dict[Key, str] = field(default_factory=dict)

    def holds(self, row: int, column: int) -> bool:
        """Whether a cell stands where the reader may look."""
        return any(area.holds(row, column) for area in self.areas)

    def shows(self, row: int, column: int) -> bool:
        """Whether the page shows what stands in a cell, as far as its place decides."""
        if (row, column) in self.covered or not self.holds(row, column):
            return False
        block = self.merged.get((row, column), Area(row, column, row, column))
        rows, columns = range(block.first_row, block.last_row + 1), range(block.first_column, block.last_column + 1)
        return any(r not in self.hidden_rows for r in rows) and any(c not in self.hidden_columns for c in columns)

    def shows_all(self, area: Area) -> bool:
        """Whether a block of cells lies wholly where the reader may look."""
        first, last = (area.first_row, area.first_column), (area.last_row, area.last_column)
        return any(shown.holds(*first) and shown.holds(*last) for shown in self.areas)

    def touches(self, area: Area) -> bool:
        """Whether a block of cells lies at least partly where the reader may look."""
        return any(_common(shown, area) for shown in self.areas)


def shown_areas(package: Package, audience: Audience) -> dict[str, tuple[Area, ...]]:
    """The blocks of cells that an audience is shown, by sheet, in the order of the sheets.

    Raises:
        WorkbookError: If the workbook does not say what this audience may see, or says it in a way not understood.
    """
    if any(name.name.casefold() == OFFICE_ONLY for name in package.names):
        raise WorkbookError("it is for the office only and is not shared: share an estimate made with it")
    wanted = name_for(audience)
    found: dict[str, list[Area]] = {}
    for name in package.names:
        if name.name.casefold() != wanted:
            continue
        for sheet, area in _areas(package, name.name, name.refers_to, name.sheet):
            found.setdefault(sheet, []).append(area)
    if not found:
        raise WorkbookError(
            f"it does not say what a {audience} may see: give the cells to be shown the name {wanted}, "
            "once in each sheet that is shown"
        )
    return {sheet: tuple(found[sheet]) for sheet in package.sheets if sheet in found}


def _areas(package: Package, name: str, refers_to: str, home: str) -> Iterable[tuple[str, Area]]:
    for piece in pieces(refers_to.removeprefix("=").strip().removeprefix("(").removesuffix(")")):
        reference = split_reference(piece)
        if reference is None and home and (area := read_area(piece.strip())):
            reference = (home, area)
        sheet = package.find_sheet(reference[0]) if reference else None
        if reference is None or sheet is None:
            raise WorkbookError(
                f"the name {name} refers to {refers_to[:80]}: let it refer to cells, as in Page!$A$1:$F$40"
            )
        yield sheet, reference[1]


def shown_sheets(package: Package, parts: Parts, audience: Audience) -> dict[str, Shown]:
    """What an audience sees of each shown sheet, by its name.

    Raises:
        WorkbookError: As :func:`shown_areas`; or if a shown sheet is hidden, is the copy of another, or is not printed.
    """
    where = parts.sheets()
    found = {}
    shown = shown_areas(package, audience)
    _refuse_unseen(shown)
    _refuse_hidden(parts, shown, audience)
    _refuse_copied(shown, audience)
    for sheet, areas in shown.items():
        root = parts.tree(where[sheet])
        view = Shown(sheet, where[sheet], _printed(package, sheet, areas, audience))
        measure(view, root)
        found[sheet] = view
    return found


def _refuse_unseen(shown: Iterable[str]) -> None:
    for sheet in shown:
        if (seen := seen_signs(sheet)) != sheet:
            raise WorkbookError(f"the name of the sheet {seen} holds signs that no page shows: type that name anew")


def _refuse_hidden(parts: Parts, shown: Iterable[str], audience: Audience) -> None:
    for sheet in parts.tree(parts.workbook).iter(f"{M}sheet"):
        if sheet.get("name", "") in shown and sheet.get("state", "visible") != "visible":
            raise WorkbookError(
                f"the sheet {sheet.get('name')} is hidden, and yet has cells with the name {name_for(audience)}: "
                "show the sheet, or remove that name from it"
            )


def _refuse_copied(shown: Iterable[str], audience: Audience) -> None:
    known = {name.casefold() for name in shown}
    for sheet in shown:
        copied = _COPIED.fullmatch(sheet)
        if copied and copied[1].casefold() in known:
            raise WorkbookError(
                f"the sheet {sheet} looks like a copy of {copied[1]}, and took its name {name_for(audience)} along: "
                "remove that name from the one that is not to be seen, or give the sheet a title of its own"
            )


def _printed(package: Package, sheet: str, areas: tuple[Area, ...], audience: Audience) -> tuple[Area, ...]:
    """The shown blocks as far as the sheet prints them; all of them where it has no print area, or is never printed."""
    if any(name.name.casefold() == NEVER_PRINTED and name.sheet == sheet for name in package.names):
        return areas
    prints = [
        reference[1]
        for name in package.names
        if name.name.casefold() == "_xlnm.print_area" and name.sheet == sheet
        for piece in pieces(name.refers_to)
        if (reference := split_reference(piece))
    ]
    if not prints:
        return areas
    kept = tuple(part for area in areas for page in prints if (part := _common(area, page)))
    if not kept:
        raise WorkbookError(
            f"the print area of {sheet} leaves out all the cells that have the name {name_for(audience)}: "
            "let both refer to the same cells"
        )
    return kept


def _common(first: Area, second: Area) -> Area | None:
    """The cells that two blocks share."""
    block = Area(*map(max, first[:2], second[:2]), *map(min, first[2:], second[2:]))
    return block if block.first_row <= block.last_row and block.first_column <= block.last_column else None


def measure(view: Shown, root: Element) -> None:
    """Note what of a sheet is hidden, too small to be seen, or merged.

    Args:
        view: Takes what is found.
        root: The tree of the sheet.
    """
    usual = root.find(f"{M}sheetFormatPr")
    usual = {} if usual is None else usual.attrib
    last = max(area.last_column for area in view.areas)
    widths: dict[int, float] = {}
    for column in root.iterfind(f"{M}cols/{M}col"):
        width = 0.0 if _is_true(column.get("hidden")) else decimal(column.get("width"), USUAL_WIDTH)
        end = min(whole(column.get("max"), 1), last)
        widths |= dict.fromkeys(range(whole(column.get("min"), 1), end + 1), width)
    rows = list(cells_of(root))
    low = _is_true(usual.get("zeroHeight")) or decimal(usual.get("defaultRowHeight"), USUAL_HEIGHT) < LEAST_HEIGHT
    narrow = decimal(usual.get("defaultColWidth"), USUAL_WIDTH) < LEAST_WIDTH
    view.usual_width = decimal(usual.get("defaultColWidth"), USUAL_WIDTH)
    view.usual_height = (
        0.0 if _is_true(usual.get("zeroHeight")) else decimal(usual.get("defaultRowHeight"), USUAL_HEIGHT)
    )
    view.widths = widths
    view.heights = {
        number: 0.0 if _is_true(row.get("hidden")) else decimal(row.get("ht"), USUAL_HEIGHT)
        for row, number, _ in rows
        if row.get("ht") is not None or _is_true(row.get("hidden"))
    }
    filled = {column for _, _, cells in rows for _, column in cells} | set(widths)
    view.hidden_rows = frozenset(
        number
        for row, number, _ in rows
        if _is_true(row.get("hidden"))
        or (low if row.get("ht") is None else decimal(row.get("ht"), USUAL_HEIGHT) < LEAST_HEIGHT)
    )
    view.hidden_columns = frozenset(
        column for column in filled if (widths[column] < LEAST_WIDTH if column in widths else narrow)
    )
    blocks = [area for m in root.iter(f"{M}mergeCell") if (area := read_area(m.get("ref", "")))]
    view.merged = {(area.first_row, area.first_column): area for area in blocks}
    sheet_view = root.find(f"{M}sheetViews/{M}sheetView")
    view.hides_zeros = sheet_view is not None and sheet_view.get("showZeros") in ("0", "false")
    view.is_turned = sheet_view is not None and _is_true(sheet_view.get("rightToLeft"))
    view.covered = frozenset(
        cell for area in blocks for cell in _clipped(area, view.areas) if cell != (area.first_row, area.first_column)
    )
    view.styles = {
        (number, column): whole(cell.get("s"))
        for _, number, cells in rows
        for cell, column in cells
        if view.holds(number, column)
    }


def _clipped(area: Area, areas: tuple[Area, ...]) -> Iterable[Key]:
    """The cells of a merged block that lie in the shown ones."""
    for shown in areas:
        first, last = max(area.first_row, shown.first_row), min(area.last_row, shown.last_row)
        left, right = max(area.first_column, shown.first_column), min(area.last_column, shown.last_column)
        yield from ((row, column) for row in range(first, last + 1) for column in range(left, right + 1))


def _is_true(text: str | None) -> bool:
    return text in ("1", "true")
