"""Which cells of a workbook a reader outside the office may see.

A workbook says so itself, with names: ``shown_to_client`` and ``shown_to_contractor`` refer to the cells that such a
reader is shown. A name that belongs to one sheet speaks for that sheet; a workbook with several shown sheets has the
name once in each. What no such name covers is withheld, and so is, among the cells it covers, what the page does not
show: hidden rows and columns, cells under a merged cell, text in the colour of its ground, numbers whose format shows
nothing. A workbook with the name ``office_only`` is not shared at all.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from stillbook.workbook import WorkbookError
from stillbook.workbook.file.address import Area, pieces, read_area, split_reference
from stillbook.workbook.file.markup import whole
from stillbook.workbook.file.package import Package
from stillbook.workbook.file.parts import MAIN, Parts, cells_of
from stillbook.workbook.file.sheet import Key
from stillbook.workbook.job.audience import OFFICE_ONLY, Audience, name_for


@dataclass(slots=True)
class Shown:
    """What a reader sees of one sheet.

    Args:
        sheet: Its name.
        part: Its part in the package.
        areas: The blocks of cells that may be seen.
        hidden_rows: Rows among them that the page hides.
        hidden_columns: Columns likewise.
        covered: Cells that lie under a merged cell.
        styles: The style of each cell that has one.
    """

    sheet: str
    part: str
    areas: tuple[Area, ...]
    hidden_rows: frozenset[int] = frozenset()
    hidden_columns: frozenset[int] = frozenset()
    covered: frozenset[Key] = frozenset()
    styles: Mapping[Key, int] = field(default_factory=dict)

    def holds(self, row: int, column: int) -> bool:
        """Whether a cell stands where the reader may look."""
        return any(area.holds(row, column) for area in self.areas)

    def shows(self, row: int, column: int) -> bool:
        """Whether the page shows what stands in a cell, as far as its place decides."""
        hidden = row in self.hidden_rows or column in self.hidden_columns or (row, column) in self.covered
        return not hidden and self.holds(row, column)

    def shows_all(self, area: Area) -> bool:
        """Whether a block of cells lies wholly where the reader may look."""
        first, last = (area.first_row, area.first_column), (area.last_row, area.last_column)
        return any(shown.holds(*first) and shown.holds(*last) for shown in self.areas)


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
        WorkbookError: As :func:`shown_areas`.
    """
    where = parts.sheets()
    found = {}
    for sheet, areas in shown_areas(package, audience).items():
        root = parts.tree(where[sheet])
        rows = list(cells_of(root))
        columns = [c for c in root.iter(f"{{{MAIN}}}col") if _is_true(c.get("hidden")) or c.get("width") == "0"]
        last = max(area.last_column for area in areas)
        spans = [range(whole(c.get("min"), 1), min(whole(c.get("max"), 1), last) + 1) for c in columns]
        merged = [area for m in root.iter(f"{{{MAIN}}}mergeCell") if (area := read_area(m.get("ref", "")))]
        shown = Shown(
            sheet,
            where[sheet],
            areas,
            frozenset(number for row, number, _ in rows if _is_true(row.get("hidden")) or row.get("ht") == "0"),
            frozenset(column for span in spans for column in span),
        )
        shown.covered = frozenset(
            cell for area in merged for cell in _clipped(area, areas) if cell != (area.first_row, area.first_column)
        )
        shown.styles = {
            (number, column): whole(cell.get("s"))
            for _, number, cells in rows
            for cell, column in cells
            if shown.holds(number, column)
        }
        found[sheet] = shown
    return found


def _clipped(area: Area, areas: tuple[Area, ...]) -> Iterable[Key]:
    """The cells of a merged block that lie in the shown ones."""
    for shown in areas:
        first, last = max(area.first_row, shown.first_row), min(area.last_row, shown.last_row)
        left, right = max(area.first_column, shown.first_column), min(area.last_column, shown.last_column)
        yield from ((row, column) for row in range(first, last + 1) for column in range(left, right + 1))


def _is_true(text: str | None) -> bool:
    return text in ("1", "true")
