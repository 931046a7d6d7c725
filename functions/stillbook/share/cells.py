"""What the cells of a shared copy hold: values as the page shows them, and the few formulas its reader needs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from openpyxl.formula.translate import Translator, TranslatorError

from stillbook.cells import Cell, ErrorValue
from stillbook.share.colours import Palette
from stillbook.share.displayed import decimals_of, face, quiet_code
from stillbook.share.looks import Look
from stillbook.share.overflow import lines_in, within_view
from stillbook.share.plain_formulas import looked_at, multiplies, references_of, spaced
from stillbook.share.runs import Run
from stillbook.share.shown import USUAL_HEIGHT, USUAL_WIDTH, Shown
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.address import Area, cell_name, place
from stillbook.workbook.file.package import Package
from stillbook.workbook.file.sheet import Key

Place = tuple[str, int, int]
"""Sheet, row and column of a cell."""

MOST_NAMED = 6
"""How many cells a message names before it counts the rest."""

_MOST_DECIMALS = 9
_USUAL_SIZE = 11.0
_MOST_HEIGHT = 409.0
"""The height, in points, up to which a row without one of its own grows with its text."""


@dataclass(slots=True)
class SharedCells:
    """The cells of a shared copy, by sheet.

    Args:
        values: What each shown cell holds, numbers with the digits that its format shows.
        codes: The number format of each of them, without what it would show of other values.
        runs: The runs of the texts that have several, those alone that are seen.
        formulas: The formulas that stay formulas, without ``=``.
        open: The cells that the reader may fill in.
        blank_rows: Rows in which there are formulas, and all of them show nothing.
        fixed: Cells whose formula depends on what the reader fills in, and yet became a value.
        words: The words that number formats add to the shown values.
    """

    values: dict[str, dict[Key, Cell]] = field(default_factory=dict)
    codes: dict[str, dict[Key, str]] = field(default_factory=dict)
    runs: dict[str, dict[Key, list[Run]]] = field(default_factory=dict)
    formulas: dict[str, dict[Key, str]] = field(default_factory=dict)
    open: dict[str, set[Key]] = field(default_factory=dict)
    blank_rows: dict[str, set[int]] = field(default_factory=dict)
    fixed: list[Place] = field(default_factory=list)
    words: set[str] = field(default_factory=set)

    @property
    def texts(self) -> frozenset[str]:
        """The texts of the shown cells and the words of their formats, in the form in which texts are compared."""
        held = (value for cells in self.values.values() for value in cells.values() if isinstance(value, str))
        return frozenset(spaced(text) for text in (*held, *self.words))


def shared_cells(
    package: Package,
    shown: Mapping[str, Shown],
    looks: list[Look],
    palette: Palette,
    runs: Mapping[str, Mapping[Key, list[Run]]],
    overlaid: Mapping[str, Sequence[Area]],
) -> SharedCells:
    """The cells of a shared copy of a calculated workbook.

    Args:
        package: The workbook.
        shown: What is seen of each shown sheet; takes the cells of which nothing is seen.
        looks: The looks of the cell styles.
        palette: The colours of the workbook.
        runs: The runs of texts that have several, by sheet and cell.
        overlaid: The cells under pictures, charts and shapes, by sheet.

    Raises:
        WorkbookError: If a cell that would be shown holds an error; the message names it.
    """
    cells = SharedCells()
    errors = []
    for sheet, view in shown.items():
        seeing = _Seeing(package, view, looks, palette, runs.get(sheet, {}), overlaid.get(sheet, ()), cells)
        for at in package.sheet(sheet).stored:
            seeing.look_at(at)
        errors += seeing.errors
        formulas = package.sheet(sheet).formulas
        filled = [formula.area for formula in formulas.values() if formula.area]
        values = cells.values[sheet]
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
    for sheet, view in shown.items():
        for at in cells.open[sheet] | set(cells.formulas.get(sheet, {})):
            code = looks[style].code if (style := view.styles.get(at, 0)) < len(looks) else "General"
            cells.codes[sheet][at] = quiet_code(code, cells.texts)
    _round_as_printed(cells)
    return cells


class _Seeing:
    """Looks at the cells of one sheet, and notes what is seen of them."""

    def __init__(
        self,
        package: Package,
        view: Shown,
        looks: list[Look],
        palette: Palette,
        runs: Mapping[Key, list[Run]],
        overlaid: Sequence[Area],
        cells: SharedCells,
    ) -> None:
        self.package = package
        self.view = view
        self.looks = looks
        self.palette = palette
        self.runs = runs
        self.overlaid = overlaid
        self.words = cells.words
        self.values: dict[Key, Cell] = cells.values.setdefault(view.sheet, {})
        self.codes: dict[Key, str] = cells.codes.setdefault(view.sheet, {})
        self.kept_runs: dict[Key, list[Run]] = cells.runs.setdefault(view.sheet, {})
        self.errors: list[str] = []

    def look_at(self, at: Key) -> None:
        """Note what is seen of one cell."""
        view = self.view
        if not view.holds(*at):
            return
        value = self.package.value(view.sheet, *at)
        if value is None:
            return
        if not view.shows(*at):
            view.unseen[at] = "hidden, too small, or under a merged cell"
            return
        if value != "" and any(area.holds(*at) for area in self.overlaid):
            view.unseen[at] = "under a picture, a chart or a shape"
            return
        if isinstance(value, ErrorValue):
            self.errors.append(f"{place(view.sheet, *at)} {value.code}")
            return
        look = self.looks[style] if (style := view.styles.get(at, 0)) < len(self.looks) else self.looks[0]
        shown = face(value, look.code, starts_1904=self.package.starts_1904)
        ink = self.palette.named(shown.colour, look.ink) if shown.colour else look.ink
        if isinstance(shown.value, str) and shown.value == value:
            text = within_view(value, letters=self._letters(at, look), lines=self._lines(at, look))
            if text != value:
                view.unseen[at] = "text beyond the edge of its cell"
                self.values[at], self.codes[at] = text, shown.code
                return
        pieces = self.runs.get(at) if at not in self.package.sheet(view.sheet).formulas else None
        if pieces is not None and isinstance(value, str) and shown.value == value:
            seen = [run for run in pieces if run.is_seen(look, self.palette)]
            text = "".join(run.text for run in seen)
            if len(seen) < len(pieces):
                view.unseen[at] = "text in the colour of its ground, or too small"
            if text.strip():
                self.values[at], self.codes[at], self.kept_runs[at] = text, shown.code, seen
                self.words.update(shown.words)
            return
        if shown.value is None or (view.hides_zeros and value == 0 and not isinstance(value, bool | str)):
            view.unseen[at] = "its number format shows nothing"
        elif value != "" and not look.shows(ink=ink):
            view.unseen[at] = "text in the colour of its ground, or too small"
        else:
            self.values[at], self.codes[at] = shown.value, shown.code
            self.words.update(shown.words)

    def _letters(self, at: Key, look: Look) -> float:
        """How many letters fit from a cell to the edge of what is shown."""
        last = max(area.last_column for area in self.view.areas if area.holds(*at))
        block = self.view.merged.get(at)
        last = block.last_column if block else at[1] if look.wraps else last
        width = sum(self.view.widths.get(column, USUAL_WIDTH) for column in range(at[1], last + 1))
        return width * _USUAL_SIZE / max(1.0, look.size)

    def _lines(self, at: Key, look: Look) -> float:
        """How many lines a cell shows."""
        if not look.wraps:
            return 1
        block = self.view.merged.get(at)
        last = block.last_row if block else at[0]
        height = sum(self.view.heights.get(row, USUAL_HEIGHT) for row in range(at[0], min(last, at[0] + 1000) + 1))
        grows = block is None and at[0] not in self.view.heights
        size = max(1.0, look.size)
        return _MOST_HEIGHT / size if grows else lines_in(height, size)


def _round_as_printed(cells: SharedCells) -> None:
    """Let a product be rounded as it is shown before it is added, so that a page adds up as printed."""
    for sheet, formulas in cells.formulas.items():
        for at, text in formulas.items():
            decimals = decimals_of(cells.codes[sheet][at])
            if decimals is not None and 0 <= decimals <= _MOST_DECIMALS and multiplies(text):
                formulas[at] = f"IFERROR(ROUND({text},{decimals}),{text})"


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
    texts = cells.texts
    for sheet, view in shown.items():
        for at, text in formula_texts(package, sheet):
            seen = view.shows(*at) and at not in view.unseen and at[0] not in cells.blank_rows[sheet]
            references = references_of(text, sheet) if seen else None
            if references is None:
                continue
            within = [(spelled.get(name.casefold(), name), area) for name, area in references]
            whole = looked_at(text, sheet, texts) is not None and all(
                name in shown and _sees(package, shown[name], cells, name, area) for name, area in within
            )
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
