"""What the cells of a shared copy hold: values as the page shows them, and the few formulas its reader needs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from openpyxl.formula.translate import Translator, TranslatorError

from stillbook.cells import Cell, ErrorValue
from stillbook.share.displayed import shown_number
from stillbook.share.looks import Look
from stillbook.share.plain_formulas import looked_at
from stillbook.share.shown import Shown
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.address import Area, cell_name, place
from stillbook.workbook.file.package import Package
from stillbook.workbook.file.sheet import Key

Place = tuple[str, int, int]
"""Sheet, row and column of a cell."""

MOST_NAMED = 6
"""How many cells a message names before it counts the rest."""


@dataclass(slots=True)
class SharedCells:
    """The cells of a shared copy, by sheet.

    Args:
        values: What each shown cell holds, numbers with the digits that its format shows.
        formulas: The formulas that stay formulas, without ``=``.
        open: The cells that the reader may fill in.
        blank_rows: Rows in which there are formulas, and all of them show nothing.
        fixed: Cells whose formula depends on what the reader fills in, and yet became a value.
    """

    values: dict[str, dict[Key, Cell]] = field(default_factory=dict)
    formulas: dict[str, dict[Key, str]] = field(default_factory=dict)
    open: dict[str, set[Key]] = field(default_factory=dict)
    blank_rows: dict[str, set[int]] = field(default_factory=dict)
    fixed: list[Place] = field(default_factory=list)


def shared_cells(package: Package, shown: Mapping[str, Shown], looks: list[Look]) -> SharedCells:
    """The cells of a shared copy of a calculated workbook.

    Raises:
        WorkbookError: If a cell that would be shown holds an error; the message names it.
    """
    cells = SharedCells()
    errors = []
    for sheet, view in shown.items():
        values: dict[Key, Cell] = {}
        for at in package.sheet(sheet).stored:
            if not view.shows(*at):
                continue
            look = looks[style] if (style := view.styles.get(at, 0)) < len(looks) else looks[0]
            value = package.value(sheet, *at)
            if isinstance(value, ErrorValue):
                errors.append(f"{place(sheet, *at)} {value.code}")
            if value is None or look.hides(value):
                continue
            is_number = isinstance(value, int | float) and not isinstance(value, bool)
            values[at] = shown_number(float(value), look.code) if is_number else value  # type: ignore[arg-type]
        formulas = package.sheet(sheet).formulas
        filled = [formula.area for formula in formulas.values() if formula.area]
        empty = {at[0] for at in values if at in formulas or any(area.holds(*at) for area in filled)}
        empty -= {row for (row, _), value in values.items() if value != ""}
        cells.blank_rows[sheet] = empty
        cells.values[sheet] = {at: value for at, value in values.items() if at[0] not in empty}
        cells.open[sheet] = {
            at
            for at, style in view.styles.items()
            if style < len(looks)
            and looks[style].unlocked
            and view.shows(*at)
            and at[0] not in empty
            and at not in package.sheet(sheet).formulas
        }
    if errors:
        named = ", ".join(errors[:MOST_NAMED]) + (
            f" and {len(errors) - MOST_NAMED} more" if errors[MOST_NAMED:] else ""
        )
        raise WorkbookError(f"cells that would be shown hold errors ({named}): put them right first")
    _keep_formulas(package, shown, cells)
    return cells


def formula_texts(package: Package, sheet: str) -> Iterator[tuple[Key, str]]:
    """Each formula of a sheet that fills one cell, those that share the text of another written out."""
    part = package.sheet(sheet)
    masters = {f.group: (at, f.text) for at, f in part.formulas.items() if f.kind == "shared" and f.text}
    for at, formula in part.formulas.items():
        if formula.kind == "normal":
            yield at, formula.text
        elif formula.kind == "shared" and formula.group in masters:
            home, text = masters[formula.group]
            try:
                moved = Translator(f"={text}", cell_name(*home)).translate_formula(cell_name(*at))
            except TranslatorError:
                continue
            yield at, moved.removeprefix("=")


def _keep_formulas(package: Package, shown: Mapping[str, Shown], cells: SharedCells) -> None:
    """Keep as formulas those that are plain, look at shown cells alone, and depend on what the reader fills in."""
    spelled = {sheet.casefold(): sheet for sheet in shown}
    plain: dict[Place, tuple[str, list[tuple[str, Area]]]] = {}
    others: dict[Place, list[tuple[str, Area]]] = {}
    for sheet, view in shown.items():
        for at, text in formula_texts(package, sheet):
            seen = view.shows(*at) and at[0] not in cells.blank_rows[sheet]
            references = looked_at(text, sheet) if seen else None
            if references is None:
                continue
            within = [(spelled.get(name.casefold(), name), area) for name, area in references]
            whole = all(name in shown and _sees(package, shown[name], cells, name, area) for name, area in within)
            if whole:
                plain[sheet, *at] = (text, within)
            else:
                others[sheet, *at] = within
    waiting: set[Place] = {(sheet, *at) for sheet, places in cells.open.items() for at in places}
    reached: set[Place] = set()
    while True:
        found = {at for at, (_, areas) in plain.items() if at not in reached and _touches(areas, waiting | reached)}
        if not found:
            break
        reached |= found
    for sheet, row, column in sorted(reached):
        cells.formulas.setdefault(sheet, {})[row, column] = plain[sheet, row, column][0]
    cells.fixed = sorted(at for at, areas in others.items() if _touches(areas, waiting | reached))


def _touches(areas: list[tuple[str, Area]], places: set[Place]) -> bool:
    return any(sheet == name and area.holds(row, column) for sheet, area in areas for name, row, column in places)


def _sees(package: Package, view: Shown, cells: SharedCells, sheet: str, area: Area) -> bool:
    """Whether all that a formula looks at is in the copy, so that it gives there what it gives here."""
    inside = (at for at in package.sheet(sheet).stored if area.holds(*at) and at[0] not in cells.blank_rows[sheet])
    return view.shows_all(area) and all(at in cells.values[sheet] for at in inside)
