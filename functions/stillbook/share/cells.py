"""What the cells of a shared copy hold: values as the page shows them, and the few formulas its reader needs."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from openpyxl.formula.translate import Translator, TranslatorError

from stillbook.cells import Cell, ErrorValue
from stillbook.share.colours import Palette
from stillbook.share.displayed import Face, decimals_of, face, fitting, quiet_code
from stillbook.share.looks import LEAST_SIZE, Look, grounds_of_table
from stillbook.share.overflow import Room, lines_in, seen_span, width_of
from stillbook.share.places import NEAR, PER_LETTER, Box, box_of
from stillbook.share.plain_formulas import looked_at, multiplies, references_of, spaced
from stillbook.share.runs import Run
from stillbook.share.shown import Shown
from stillbook.share.signs import seen_signs
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.address import Area, cell_name
from stillbook.workbook.file.address import place as place_name
from stillbook.workbook.file.package import Package
from stillbook.workbook.file.sheet import Key

Place = tuple[str, int, int]
"""Sheet, row and column of a cell."""

MOST_NAMED = 6
"""How many cells a message names before it counts the rest."""

_MOST_DECIMALS = 9
_USUAL_SIZE = 11.0
_STACKED = 255
_MOST_COVERED = 0.2
"""How much of a cell with several lines, or whose text does not begin at its left, may lie under something drawn."""

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
    overlaid: Mapping[str, Sequence[Box]],
) -> SharedCells:
    """The cells of a shared copy of a calculated workbook.

    Args:
        package: The workbook.
        shown: What is seen of each shown sheet; takes the cells of which nothing is seen.
        looks: The looks of the cell styles.
        palette: The colours of the workbook.
        runs: The runs of texts that have several, by sheet and cell.
        overlaid: Where pictures, charts and shapes lie, by sheet.

    Raises:
        WorkbookError: If a cell that would be shown holds an error; the message names it.
    """
    cells = SharedCells()
    errors, unfit = [], []
    for sheet, view in shown.items():
        seeing = _Seeing(package, view, looks, palette, runs.get(sheet, {}), overlaid.get(sheet, ()), cells)
        for at in package.sheet(sheet).stored:
            seeing.look_at(at)
        errors += seeing.errors
        unfit += seeing.unfit
        formulas = package.sheet(sheet).formulas
        filled = [formula.area for formula in formulas.values() if formula.area]
        values = cells.values[sheet]
        empty = {at[0] for at in values if at in formulas or any(area.holds(*at) for area in filled)}
        empty -= {row for (row, _), value in values.items() if value != ""}
        for at, area in view.merged.items():  # a text over several rows needs them all
            if values.get(at, "") != "":
                empty.difference_update(range(area.first_row, area.last_row + 1))
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
        raise WorkbookError(f"cells that would be shown hold errors ({_named(errors)}): put them right first")
    if unfit:
        raise WorkbookError(
            f"texts have more lines than their rows show ({_named(unfit)}), and nobody can tell which of them are "
            "seen: make the rows higher, or the texts shorter"
        )
    _keep_formulas(package, shown, cells)
    texts = cells.texts
    for sheet, view in shown.items():
        for at in cells.open[sheet] | set(cells.formulas.get(sheet, {})):
            code = looks[style].code if (style := view.styles.get(at, 0)) < len(looks) else "General"
            cells.codes[sheet][at] = quiet_code(code, texts)
    _round_as_printed(cells)
    return cells


def _named(places: Sequence[str]) -> str:
    more = len(places) - MOST_NAMED
    return ", ".join(places[:MOST_NAMED]) + (f" and {more} more" if more > 0 else "")


def _is_blank(text: str) -> bool:
    return not text.strip()


class _Seeing:
    """Looks at the cells of one sheet, and notes what is seen of them."""

    def __init__(
        self,
        package: Package,
        view: Shown,
        looks: list[Look],
        palette: Palette,
        runs: Mapping[Key, list[Run]],
        overlaid: Sequence[Box],
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
        self.unfit: list[str] = []
        self.tables = [table for table in package.tables() if table.sheet == view.sheet and table.look]
        self.filled: dict[int, set[int]] = {}
        sheet = package.sheet(view.sheet)
        for row, column in (*sheet.stored, *sheet.formulas):
            self.filled.setdefault(row, set()).add(column)

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
        if isinstance(value, ErrorValue):
            self.errors.append(f"{place_name(view.sheet, *at)} {value.code}")
            return
        look = self.looks[style] if (style := view.styles.get(at, 0)) < len(self.looks) else self.looks[0]
        if value != "" and _Place(view, at, look, self.filled, self.overlaid).is_covered():
            view.unseen[at] = "under a picture, a chart or a shape"
            return
        shown = face(value, look.code, starts_1904=self.package.starts_1904)
        if shown.value is None or (view.hides_zeros and value == 0 and not isinstance(value, bool | str)):
            view.unseen[at] = "its number format shows nothing"
        elif isinstance(shown.value, str) and shown.value != "":
            self._see_text(at, value, shown, look)
        else:
            self._see_number(at, value, shown, look)

    def _see_number(self, at: Key, value: Cell, shown: Face, look: Look) -> None:
        """Note what is seen of a number, which no page shows in part."""
        place = _Place(self.view, at, look, self.filled, self.overlaid)
        look = self._in_tables(at, look) if look.has_ink or shown.colour else look
        number, code = shown.value, shown.code
        fits = value == "" or look.shrinks
        if not fits and isinstance(number, float | int) and not isinstance(number, bool):
            number = fitting(float(number), code, place.width, shown.words)
            fits = number is not None
        if value != "" and not look.shows(ink=self._ink(shown, look)):
            self.view.unseen[at] = "text in the colour of its ground, or too small"
        elif not fits:
            self.view.unseen[at] = "a number wider than its cell"
        else:
            self.values[at], self.codes[at] = number, code
            self.words.update(shown.words)

    def _see_text(self, at: Key, value: Cell, shown: Face, look: Look) -> None:
        """Note what is seen of a text: the runs of it that can be read, as far as the cell shows them."""
        text = str(shown.value)
        place = _Place(self.view, at, look, self.filled, self.overlaid)
        room = place.room(text)
        added = "".join(shown.words)
        if look.shrinks and not look.wraps and look.size * room.width < LEAST_SIZE * width_of(text + added):
            self.view.unseen[at] = "text in the colour of its ground, or too small"
            return
        start, end = (0, len(text)) if look.shrinks and not look.wraps else seen_span(text, room)
        if room.wraps and end < len(text) and not (look.is_top or _is_blank(text[end:])) and not place.grows:
            self.unfit.append(place_name(self.view.sheet, *at))
            return
        plain = shown.value != value or at in self.package.sheet(self.view.sheet).formulas
        given = [Run(text)] if plain else self.runs.get(at, [Run(text)])
        whole = self._ink(shown, look)
        in_tables = self._in_tables(at, look)
        look = in_tables if look.has_ink or shown.colour else look
        seen, reached = [], 0
        for run in given:
            part = run.text[max(0, start - reached) : max(0, end - reached)]
            reached += len(run.text)
            is_seen = run.is_seen(in_tables, self.palette) if run.font is not None else look.shows(ink=whole)
            if part and is_seen:
                seen.append(Run(seen_signs(part), run.font))
            elif part.strip():
                self.view.unseen[at] = "text in the colour of its ground, or too small"
        kept = "".join(run.text for run in seen)
        if (start, end) != (0, len(text)):
            self.view.unseen[at] = "text beyond the edge of its cell"
        elif seen_signs(text) != text:
            self.view.unseen.setdefault(at, "signs that no page shows")
        if not kept.strip() and text.strip():
            return
        self.values[at], self.codes[at] = kept, shown.code
        if any(run.font is not None for run in seen):
            self.kept_runs[at] = [run for run in seen if run.text]
        if width_of(text + added) > room.width + room.before + room.after and added and not room.wraps:
            self.codes[at] = "General"
        else:
            self.words.update(shown.words)

    def _in_tables(self, at: Key, look: Look) -> Look:
        """A look with the grounds that tables put behind it: text in one of their colours is not seen on them."""
        if look.has_ground:
            return look
        for table in self.tables:
            if table.area.holds(*at):
                known = grounds_of_table(table, at, self.palette)
                grounds = (look.ink,) if known is None else known
                look = replace(look, grounds=(*look.grounds, *grounds))
        return look

    def _ink(self, shown: Face, look: Look) -> str:
        return self.palette.named(shown.colour, look.ink) if shown.colour else look.ink


@dataclass(frozen=True, slots=True)
class _Place:
    """Where a cell's text stands, and how far it may go.

    Args:
        view: What is seen of the sheet.
        at: The cell.
        look: Its look.
        filled: The columns of the cells that hold something, by row.
        overlaid: What lies over the sheet.
    """

    view: Shown
    at: Key
    look: Look
    filled: Mapping[int, set[int]]
    overlaid: Sequence[Box]

    @property
    def block(self) -> Area:
        """The cells that it fills: itself, or those merged into it."""
        return self.view.merged.get(self.at, Area(*self.at, *self.at))

    @property
    def width(self) -> float:
        """The width of the cell, in letters of its own size."""
        return self._letters(range(self.block.first_column, self.block.last_column + 1))

    @property
    def grows(self) -> bool:
        """Whether its row grows with its text."""
        return self.at not in self.view.merged and self.at[0] not in self.view.heights

    @property
    def height(self) -> float:
        """The height in which its text is seen, in points."""
        if self.grows:
            return _MOST_HEIGHT
        first, last = self.block.first_row, min(self.block.last_row, self.block.first_row + 1000)
        return sum(self.view.heights.get(row, self.view.usual_height) for row in range(first, last + 1))

    def is_covered(self) -> bool:
        """Whether something drawn lies over the cell, or over so much of it that its text cannot be told."""
        here = box_of(self.view, self.block)
        broken = self.look.wraps or self.at in self.view.merged or self.look.align not in ("", "general", "left")
        return any(box.covers(here) or (broken and box.share_of(here) > _MOST_COVERED) for box in self.overlaid)

    def room(self, text: str) -> Room:
        """The room of a text in the cell and in the empty ones beside it."""
        size = max(1.0, self.look.size)
        if self.look.turn:
            along = self.height / size
            return Room(along if self.look.turn == _STACKED else self.width + 2 * along)
        wraps = self.look.wraps or "\n" in text
        lines = _MOST_HEIGHT / size if self.grows else lines_in(self.height, size)
        is_across = self.look.align == "centerContinuous"
        align = "center" if is_across else self.look.align if self.look.align in ("right", "center") else "left"
        alone = wraps or self.at in self.view.merged or self.look.align == "fill" or self.look.shrinks
        before, after = (0.0, 0.0) if alone else (self._free(-1), self._free(1))
        if self.view.is_turned:
            before, after = max(before, after), max(before, after)
        width = self._uncovered()
        if is_across and not self.look.wraps and width >= self.width:
            width, after = width + after, 0.0  # over the empty cells after it, which are taken to be centred too
        return Room(width, before, after, lines, align, wraps)

    def _free(self, step: int) -> float:
        """The width of the empty cells beside it, up to the next that is filled, covered or not shown."""
        row, column = self.at[0], self.at[1] + step
        found = []
        while self.view.holds(row, column) and column not in self.filled.get(row, ()):
            if any(box.share_of(box_of(self.view, Area(row, column, row, column))) > 0 for box in self.overlaid):
                break
            found.append(column)
            column += step
        return self._letters(found)

    def _uncovered(self) -> float:
        """The width of its cell up to what is drawn over it."""
        here = box_of(self.view, self.block)
        middle = (here.top + here.bottom) // 2
        over = [box for box in self.overlaid if box.top < middle < box.bottom]
        starts = [box.left for box in over if box.left < here.right - NEAR and box.right > here.left]
        if not starts:
            return self.width
        return min(self.width, max(0, min(starts) - here.left) / PER_LETTER * _USUAL_SIZE / max(1.0, self.look.size))

    def _letters(self, columns: Iterable[int]) -> float:
        width = sum(self.view.widths.get(column, self.view.usual_width) for column in columns)
        return width * _USUAL_SIZE / max(1.0, self.look.size)


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
