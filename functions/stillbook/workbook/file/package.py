"""A workbook's package: its parts read within bounds, and changed only where a cell value changes."""

from __future__ import annotations

import io
import posixpath
import re
import stat
import zipfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Final

from stillbook.cells import Cell, ErrorValue
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.address import Area, pieces, read_area, references, split_reference
from stillbook.workbook.file.archive import MOST_BYTES, Archive
from stillbook.workbook.file.chart_caches import CHART, with_caches
from stillbook.workbook.file.layout import column_widths, with_heights
from stillbook.workbook.file.markup import escaped, local, parse, parser, tag, tag_end, unescaped, whole
from stillbook.workbook.file.origin import with_property
from stillbook.workbook.file.relations import relations
from stillbook.workbook.file.sheet import Change, Key, SheetPart, read_sheet, rewritten, stored_value, with_formulas

if TYPE_CHECKING:
    from stillbook.workbook.file.parts import Parts

CALCULATION_ID: Final = 191029
"""The number of a current calculation engine: a workbook that names an older one is recalculated on opening."""

_MAIN: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"
_PRINT_AREA: Final = "_xlnm.Print_Area"
_MOST_DRAWN: Final = 20_000
"""Cells of one reference of a chart that are remembered."""

_WORKSHEET: Final = "/worksheet"
_HIDDEN_ROW: Final = re.compile(
    rb"""<(?:\w+:)?row\b[^>]*\bhidden=["'](?:1|true)|<(?:\w+:)?filterColumn\b|\bzeroHeight=["'](?:1|true)"""
)
_NOT_CALCULATED: Final = re.compile(r"(^|/)(drawings|charts|theme|media|customXml|docProps)/")
_OF_SHEETS: Final = re.compile(r"/worksheets/|/tables/|/comments")
"""What belongs to sheets, of no use to others in their place."""
_PASSWORD: Final = "EncryptedPackage".encode("utf-16-le")


Formulas = Mapping[str, Mapping[Key, str]]
"""Formulas without ``=``, by sheet and cell."""


@dataclass(frozen=True, slots=True)
class DefinedName:
    """A name in the workbook.

    Args:
        name: As formulas spell it.
        refers_to: The reference or formula it stands for.
        comment: The note on it.
        sheet: The sheet it is local to; empty for the whole workbook.
        hidden: Whether spreadsheet programs hide it.
    """

    name: str
    refers_to: str
    comment: str = ""
    sheet: str = ""
    hidden: bool = False

    @property
    def cells(self) -> tuple[str, Area] | None:
        """Sheet and cells it refers to; None for a formula or a constant."""
        return split_reference(self.refers_to)


@dataclass(frozen=True, slots=True)
class TableArea:
    """A table: named columns over a block of cells, with the name of its look where it has one."""

    name: str
    sheet: str
    area: Area
    headings: tuple[str, ...]
    has_heading_row: bool
    has_totals_row: bool
    look: str = ""
    marks_columns: bool = False


def content(path: Path) -> bytes:
    """The bytes of a file that is named as an .xlsx workbook.

    Raises:
        WorkbookError: If it is missing, too large, not to be read, or named as no .xlsx workbook.
    """
    _check_suffix(path)
    try:
        found = path.stat()
        if not stat.S_ISREG(found.st_mode) and not stat.S_ISDIR(found.st_mode):
            raise WorkbookError(f"{path}: it is not a file but a pipe or a device: name an .xlsx file")
        data = b""
        if found.st_size <= MOST_BYTES:
            with path.open("rb") as file:
                data = file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        raise WorkbookError(f"{path}: there is no such file") from None
    except IsADirectoryError:
        raise WorkbookError(f"{path}: it is a folder: name an .xlsx file in it") from None
    except PermissionError:
        raise WorkbookError(f"{path}: it may not be read: check its permissions") from None
    except OSError as error:
        raise WorkbookError(f"{path}: it cannot be read ({error.strerror})") from None
    if (size := max(found.st_size, len(data))) > MOST_BYTES:
        raise WorkbookError(f"{path}: it has {size / 2**20:.0f} MB, more than the {MOST_BYTES // 2**20} MB allowed")
    return data


class Package:
    """An .xlsx workbook in memory.

    Args:
        data: The bytes of the file.

    Raises:
        WorkbookError: If they are no .xlsx workbook that can be changed safely.
    """

    def __init__(self, data: bytes) -> None:
        _check_signature(data)
        self._archive = Archive(data)
        self._changed: dict[str, bytes] = {}
        self._main = self._main_part()
        self._sheets: dict[str, str] = {}
        self._names: list[DefinedName] = []
        self._recalculates = True
        self.starts_1904 = False
        """Whether its dates are counted from 1904."""
        self.rounds_as_displayed = False
        """Whether it calculates with the numbers as their formats show them."""
        self._read_workbook()
        self._read: dict[str, SheetPart] = {}
        self._strings: list[str] | None = None

    @classmethod
    def open(cls, path: Path, *, sheets: bool = True) -> Package:
        """Read a file.

        Args:
            path: The file.
            sheets: Whether its sheets are read too, so that damage in one is told before anything is done.

        Raises:
            WorkbookError: If it is missing, too large, damaged, or no .xlsx workbook; the message names the file.
        """
        data = content(path)
        try:
            package = cls(data)
            if sheets:
                package.check()
            return package
        except WorkbookError as error:
            raise WorkbookError(f"{path}: {error}") from None

    # --- reading ------------------------------------------------------------------------------------------------------

    def check(self) -> None:
        """Read all sheets, so that damage in one is told before anything is done.

        Raises:
            WorkbookError: If a sheet or a text that a cell refers to is missing or damaged.
        """
        for sheet in self._sheets:
            for at, (kind, _) in self.sheet(sheet).stored.items():
                if kind == "s":
                    self.value(sheet, *at)

    @property
    def sheets(self) -> list[str]:
        """Names of the sheets with cells, in their order."""
        return list(self._sheets)

    @property
    def hides_rows(self) -> bool:
        """Whether rows of a sheet are hidden, by hand or by a filter."""
        return any(_HIDDEN_ROW.search(self._data(part)) for part in self._sheets.values())

    @property
    def names(self) -> list[DefinedName]:
        """The defined names, in file order."""
        return self._names

    def sheet(self, name: str) -> SheetPart:
        """What a sheet holds.

        Raises:
            KeyError: If there is no sheet of that name.
        """
        part = self._sheets[name]
        if part not in self._read:
            self._read[part] = read_sheet(self._data(part), part)
        return self._read[part]

    def value(self, sheet: str, row: int, column: int) -> Cell:
        """The value of a cell, or the stored result of its formula; None for a blank."""
        stored = self.sheet(sheet).stored.get((row, column))
        if stored is None:
            return None
        kind, text = stored
        if kind != "s":
            return stored_value(kind, text)
        strings = self._shared_strings()
        number = whole(text)
        if not 0 <= number < len(strings):
            raise WorkbookError("it is damaged (a shared text is missing): use an earlier copy of it")
        return strings[number]

    def rows(self, sheet: str, area: Area) -> list[list[Cell]]:
        """The values of a block of cells, row by row, up to the last row of the sheet that holds any."""
        last = min(area.last_row, max((row for row, _ in self.sheet(sheet).stored), default=0))
        columns = range(area.first_column, area.last_column + 1)
        return [[self.value(sheet, row, column) for column in columns] for row in range(area.first_row, last + 1)]

    def find_sheet(self, name: str) -> str | None:
        """The spelling of a sheet name in this workbook; upper and lower case are alike."""
        if name in self._sheets:
            return name
        return next((sheet for sheet in self._sheets if sheet.casefold() == name.casefold()), None)

    def tables(self) -> Iterator[TableArea]:
        """The tables of all sheets."""
        for name, part in self._sheets.items():
            ids = self.sheet(name).tables
            if not ids:
                continue
            found = relations(self._archive, part)
            for target in (found[key].target for key in ids if key in found):
                if table := _read_table(self._data(target), target, name):
                    yield table

    def properties(self) -> dict[str, str]:
        """The text properties that users and programs attach to the file as a whole."""
        target = self._related("", "custom-properties")
        return _read_properties(self._data(target), target) if target in self._archive else {}

    def title(self) -> str:
        """The title among the properties of the file; empty without one."""
        target = self._related("", "core-properties")
        if target not in self._archive:
            return ""
        inside: list[str] = []
        found: list[str] = []

        def end(_: str) -> None:
            inside.pop()

        def text(words: str) -> None:
            if inside and inside[-1] == "title":
                found.append(words)

        _scan(self._data(target), target, lambda element, _: inside.append(local(element)), end, text)
        return "".join(found).strip()

    # --- changing -----------------------------------------------------------------------------------------------------

    def write(self, changes: Mapping[str, Mapping[Key, Change]]) -> None:
        """Change cell values, by sheet and cell. All are written or, after an error, none."""
        written: dict[str, tuple[bytes, dict[Key, int] | None]] = {}
        for sheet, cells in changes.items():
            part = self._sheets[sheet]
            before = self._data(part)
            after, starts = rewritten(before, part, cells, self.sheet(sheet))
            if after != before:
                written[part] = after, starts
        for part, (data, starts) in written.items():
            self._changed[part] = data
            self._read[part].starts = starts
        for sheet, cells in changes.items():
            read = self.sheet(sheet)
            for at, change in cells.items():
                kept = _stored(change)
                if kept is None:
                    read.stored.pop(at, None)
                else:
                    read.stored[at] = kept
                if change.area is not None and at in read.formulas:
                    read.formulas[at] = read.formulas[at]._replace(area=change.area)

    def set_property(self, name: str, value: str) -> None:
        """Set a text property of the file as a whole, where the file has a place for such; else nothing is changed."""
        part = self._related("", "custom-properties")
        if part in self._archive:
            before = self._data(part)
            after = with_property(before, name, value)
            if after != before:
                self._changed[part] = after

    def note_names(self, notes: Mapping[str, str], more: Mapping[tuple[str, str], str]) -> None:
        """Give names of the whole workbook notes, and sheets names of their own.

        Args:
            notes: The note by the name.
            more: What a new name refers to, by the name and its sheet.
        """
        if not notes and not more:
            return
        self._changed[self._main] = _with_notes(self._data(self._main), self._main, notes, more)
        for name, note in notes.items():
            self.set_property(name, note)
        noted = {name.casefold(): note for name, note in notes.items()}
        self._names = [
            replace(
                known, comment=noted.get(known.name.casefold(), known.comment) if not known.sheet else known.comment
            )
            for known in self._names
        ] + [DefinedName(name, refers_to, "", sheet, False) for (name, sheet), refers_to in more.items()]

    def set_calculated(self) -> None:
        """Mark the stored results as current, so that a program opening the file shows them as they are."""
        if self._recalculates:
            self._changed[self._main] = _calculated(self._data(self._main), self._main)
            self._recalculates = False

    def remember_in_charts(self) -> None:
        """Let each chart remember the values that its cells hold now; one that cannot be read stays as it is."""
        kinds = _content_types(self._archive.read("[Content_Types].xml"))
        for part in (self._archive.spelled(name.removeprefix("/")) for name, kind in kinds.items() if kind == CHART):
            if part not in self._archive:
                continue
            before = self._data(part)
            try:
                after = with_caches(before, part, self._drawn)
            except WorkbookError:
                continue
            if after != before:
                self._changed[part] = after

    def _drawn(self, text: str) -> list[Cell] | None:
        """The values of the cells that a chart's reference names; None for what is none, or for whole columns."""
        values: list[Cell] = []
        for piece in pieces(text.strip().removeprefix("(").removesuffix(")")):
            name = piece.rpartition("!")[2].casefold()
            cells = split_reference(piece) or next((n.cells for n in self._names if n.name.casefold() == name), None)
            sheet = self.find_sheet(cells[0]) if cells else None
            if cells is None or sheet is None or cells[1].rows * cells[1].columns > _MOST_DRAWN:
                return None
            values += (self.value(sheet, *at) for at in cells[1].cells())
        return values

    def print_areas(self, sheet: str) -> list[Area]:
        """The blocks of cells that a sheet prints; none where it does not say."""
        found = self._names[place].refers_to if (place := self._print_area(sheet)) is not None else ""
        return [reference[1] for piece in pieces(found) if (reference := split_reference(piece))]

    def set_print_areas(self, sheet: str, areas: Sequence[Area]) -> None:
        """Let a sheet that says what it prints print these blocks of cells instead, each on paper of its own.

        Raises:
            WorkbookError: If the sheet does not say what it prints.
        """
        place = self._print_area(sheet)
        if place is None:
            raise WorkbookError(f"the sheet {sheet} does not say what it prints: set its print area first")
        refers_to = references(sheet, areas)
        self._changed[self._main] = _with_name(self._data(self._main), self._main, place, refers_to)
        self._names[place] = replace(self._names[place], refers_to=refers_to)

    def column_widths(self, sheet: str) -> dict[int, float]:
        """The widths of the columns of a sheet that say theirs, in letters."""
        part = self._sheets[sheet]
        return column_widths(self._data(part), part)

    def set_heights(self, sheet: str, heights: Mapping[int, float]) -> None:
        """Let rows of a sheet be so tall in points, where they have no height of their own choice."""
        part = self._sheets[sheet]
        read = self.sheet(sheet)
        self._changed[part] = with_heights(self._data(part), part, heights)
        read.starts = read_sheet(self._changed[part], part).starts

    def _print_area(self, sheet: str) -> int | None:
        """The place among the names of the one that says what a sheet prints."""
        for place, name in enumerate(self._names):
            if name.sheet == sheet and name.name == _PRINT_AREA and name.refers_to:
                return place
        return None

    def to_bytes(self) -> bytes:
        """The file: changed parts in their old places, every other byte of the rest as it was."""
        return self._archive.with_parts(self._changed) if self._changed else self._archive.data

    def parts(self) -> Parts:
        """Its parts as trees, as they are now."""
        from stillbook.workbook.file.parts import Parts  # lxml takes long to load, and cells do without it

        return Parts(self._archive, self._changed)

    def to_engine_bytes(self, formulas: Formulas) -> tuple[bytes, Formulas]:
        """The same cells, names and tables for a calculation engine, without what it has no use for.

        The stored results that array formulas fill are left out: to an engine they would be values in the way.

        Args:
            formulas: Formulas as the engine is to take them where those in the file are others, by sheet and cell.

        Returns:
            The file, and those formulas that could not be written into it.
        """
        made: dict[str, bytes] = {}
        left: dict[str, Mapping[Key, str]] = {}
        for sheet, part in self._sheets.items():
            read, data = self.sheet(sheet), self._data(part)
            if filled := read.filled_by_arrays():
                data, starts = rewritten(data, part, dict.fromkeys(filled, Change(None)), read)
                read = replace(read, starts=starts)
            if sheet in formulas:
                data, left[sheet] = with_formulas(data, formulas[sheet], read)
            made[part] = data
        out = io.BytesIO()
        with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as archive:
            for name in self._archive.names:
                if name.endswith((".xml", ".rels")) and not _NOT_CALCULATED.search(name):
                    archive.writestr(name, made[name] if name in made else self._data(name))
        return out.getvalue(), left

    def with_sheets_for_engine(self, sheets: Mapping[str, bytes]) -> bytes:
        """The names of the workbook for a calculation engine, with other sheets in the place of its own.

        Args:
            sheets: The part of each sheet, by its name.
        """
        made = {self._sheets[name]: data for name, data in sheets.items()}
        out = io.BytesIO()
        with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as archive:
            for name in self._archive.names:
                if name in made:
                    archive.writestr(name, made[name])
                elif (
                    name.endswith((".xml", ".rels"))
                    and not _NOT_CALCULATED.search(name)
                    and not _OF_SHEETS.search(name)
                ):
                    archive.writestr(name, self._data(name))
        return out.getvalue()

    # --- parts --------------------------------------------------------------------------------------------------------

    def _data(self, part: str) -> bytes:
        return self._changed[part] if part in self._changed else self._archive.read(part)

    def _main_part(self) -> str:
        """The part that holds the workbook, once the package is known to be a plain .xlsx."""
        names = {name.lower() for name in self._archive.names}
        if "[content_types].xml" not in names:
            raise WorkbookError(_other_zip(names))
        if any(name.startswith("_xmlsignatures/") for name in names):
            raise WorkbookError("it is digitally signed, and a change would break the signature: use an unsigned copy")
        main = self._related("", "officeDocument")
        kinds = _content_types(self._archive.read("[Content_Types].xml"))
        kind = kinds.get("/" + main.lower()) or kinds.get(posixpath.splitext(main.lower())[1], "")
        if "macroEnabled" in kind or any(name.endswith("vbaproject.bin") for name in names):
            raise WorkbookError("it holds macros: save it as an Excel workbook without macros (.xlsx), and use that")
        if "sheet.binary" in kind:
            raise WorkbookError("it is a binary workbook (.xlsb): save it as an Excel workbook (.xlsx), and use that")
        if "template" in kind:
            raise WorkbookError(
                "it is a spreadsheet template (.xltx): save it as an Excel workbook (.xlsx), and use that"
            )
        if kind != _MAIN or main not in self._archive:
            raise WorkbookError("it is not a workbook: give an Excel workbook (.xlsx)")
        return main

    def _related(self, part: str, kind: str) -> str:
        """The first part of a kind that a part leads to; empty without one."""
        found = relations(self._archive, part).values()
        return next((relation.target for relation in found if relation.kind == kind and not relation.outside), "")

    def _read_workbook(self) -> None:
        """Sheets, names and calculation settings from the workbook's part."""
        targets = relations(self._archive, self._main)
        data = self._archive.read(self._main)
        order: list[str] = []
        raw: list[tuple[dict[str, str], str]] = []
        text: list[str] = []

        def start(element: str, attributes: dict[str, str]) -> None:
            kind = local(element)
            if kind == "workbook" and "purl.oclc.org" in "".join(attributes.values()):
                raise WorkbookError('it is saved as "Strict Open XML": save it as a plain Excel workbook (.xlsx)')
            if kind == "sheet":
                name = attributes.get("name", "")
                order.append(name)
                key = next((value for a, value in attributes.items() if local(a) == "id"), "")
                target = targets.get(key)
                if name.casefold() in map(str.casefold, order[:-1]):
                    raise WorkbookError("it is damaged (two sheets have the same name): use an earlier copy of it")
                if target is not None and target.kind == "worksheet" and not target.outside:
                    self._sheets[name] = target.target
            elif kind == "definedName":
                text.clear()
                raw.append((attributes, ""))
            elif kind == "calcPr":
                current = whole(attributes.get("calcId")) >= CALCULATION_ID
                self.rounds_as_displayed = attributes.get("fullPrecision") in ("0", "false")
                self._recalculates = not current or attributes.get("fullCalcOnLoad") in ("1", "true")
            elif kind == "workbookPr":
                self.starts_1904 = attributes.get("date1904") in ("1", "true")

        def end(element: str) -> None:
            if local(element) == "definedName":
                raw[-1] = (raw[-1][0], "".join(text))

        _scan(data, self._main, start, end, text.append)
        for attributes, refers_to in raw:
            place = whole(attributes.get("localSheetId"), -1)
            self._names.append(
                DefinedName(
                    attributes.get("name", ""),
                    refers_to.strip(),
                    unescaped(attributes.get("comment", "")),
                    order[place] if 0 <= place < len(order) else "",
                    attributes.get("hidden") in ("1", "true"),
                )
            )
        if not self._sheets:
            raise WorkbookError("it has no sheet with cells")

    def _shared_strings(self) -> list[str]:
        if self._strings is None:
            target = self._related(self._main, "sharedStrings")
            self._strings = _read_strings(self._archive.read(target), target) if target else []
        return self._strings


# --- readers of single parts ------------------------------------------------------------------------------------------


def _scan(
    data: bytes,
    part: str,
    start: Callable[[str, dict[str, str]], None],
    end: Callable[[str], None] | None = None,
    text: Callable[[str], None] | None = None,
) -> None:
    """Run handlers over a part."""
    reader = parser()
    reader.StartElementHandler = start
    reader.EndElementHandler = end
    reader.CharacterDataHandler = text
    parse(reader, data, part)


def _read_strings(data: bytes, part: str) -> list[str]:
    """The shared texts: formatting runs joined, phonetic guides left out."""
    strings: list[str] = []
    pieces: list[str] = []
    text: list[str] = []
    phonetic = False

    def start(element: str, _: dict[str, str]) -> None:
        nonlocal phonetic
        kind = local(element)
        if kind == "t":
            text.clear()
        elif kind == "si":
            pieces.clear()
        elif kind == "rPh":
            phonetic = True

    def end(element: str) -> None:
        nonlocal phonetic
        kind = local(element)
        if kind == "t" and not phonetic:
            pieces.extend(text)
        elif kind == "si":
            strings.append(unescaped("".join(pieces)))
        elif kind == "rPh":
            phonetic = False

    _scan(data, part, start, end, text.append)
    return strings


def _read_table(data: bytes, part: str, sheet: str) -> TableArea | None:
    table: dict[str, str] = {}
    headings: list[str] = []
    look: dict[str, str] = {}

    def start(element: str, attributes: dict[str, str]) -> None:
        kind = local(element)
        if kind == "table":
            table.update(attributes)
        elif kind == "tableStyleInfo":
            look.update(attributes)
        elif kind == "tableColumn":
            headings.append(unescaped(attributes.get("name", "")))

    _scan(data, part, start)
    area = read_area(table.get("ref", ""))
    name = table.get("displayName") or table.get("name", "")
    if area is None or not name:
        return None
    marks = any(look.get(f"show{end}Column") in ("1", "true") for end in ("First", "Last"))
    headed, totals = table.get("headerRowCount", "1") != "0", table.get("totalsRowCount", "0") != "0"
    return TableArea(name, sheet, area, tuple(headings), headed, totals, look.get("name", ""), marks)


def _read_properties(data: bytes, part: str) -> dict[str, str]:
    found: dict[str, str] = {}
    name = ""
    text: list[str] = []

    def start(element: str, attributes: dict[str, str]) -> None:
        nonlocal name
        if local(element) == "property":
            name = attributes.get("name", "")
        text.clear()

    def end(element: str) -> None:
        if local(element) in ("lpwstr", "lpstr", "bstr") and name:
            found[name] = unescaped("".join(text))

    _scan(data, part, start, end, text.append)
    return found


def _content_types(data: bytes) -> dict[str, str]:
    """Content type by part name, and by the ending of names for parts without one of their own; in lower case."""
    kinds: dict[str, str] = {}

    def start(element: str, attributes: dict[str, str]) -> None:
        if local(element) == "Override":
            kinds[attributes.get("PartName", "").lower()] = attributes.get("ContentType", "")
        elif local(element) == "Default":
            kinds["." + attributes.get("Extension", "").lower()] = attributes.get("ContentType", "")

    _scan(data, "[Content_Types].xml", start)
    return kinds


def _with_name(data: bytes, part: str, place: int, refers_to: str) -> bytes:
    """The workbook's part in which one defined name, counted from 0, refers to something else."""
    spans: list[list[int]] = []
    reader = parser()

    def start(element: str, _: dict[str, str]) -> None:
        if local(element) == "definedName":
            spans.append([tag_end(data, reader.CurrentByteIndex)])

    def end(element: str) -> None:
        if local(element) == "definedName":
            spans[-1].append(reader.CurrentByteIndex)

    reader.StartElementHandler = start
    reader.EndElementHandler = end
    parse(reader, data, part)
    first, last = spans[place]
    return data[:first] + escaped(refers_to).encode() + data[last:]


def _with_notes(data: bytes, part: str, notes: Mapping[str, str], more: Mapping[tuple[str, str], str]) -> bytes:
    """The workbook's part with notes on names of the whole workbook, and more names that belong to one sheet each."""
    noted = {name.casefold(): note for name, note in notes.items()}
    edits: list[tuple[int, int, str]] = []
    sheets: list[str] = []
    reader = parser()

    def start(element: str, attributes: dict[str, str]) -> None:
        if local(element) == "sheet":
            sheets.append(attributes.get("name", ""))
        elif local(element) == "definedName" and "localSheetId" not in attributes:
            note = noted.get(attributes.get("name", "").casefold())
            if note is not None:
                at = reader.CurrentByteIndex
                edits.append((at, tag_end(data, at), tag(element, {**attributes, "comment": note}.items())))

    def end(element: str) -> None:
        if local(element) == "definedNames":
            kind, at = element.removesuffix("s"), reader.CurrentByteIndex
            for (name, sheet), refers_to in more.items():
                opened = tag(kind, (("name", name), ("localSheetId", str(sheets.index(sheet)))))
                edits.append((at, at, f"{opened}{escaped(refers_to)}</{kind}>"))

    reader.StartElementHandler = start
    reader.EndElementHandler = end
    parse(reader, data, part)
    out, copied = b"", 0
    for first, last, text in edits:
        out += data[copied:first] + text.encode()
        copied = last
    return out + data[copied:]


def _calculated(data: bytes, part: str) -> bytes:
    """The workbook's part with results marked as current: nothing else of it changes."""
    found: dict[str, str] = {}
    place = (0, 0)
    after = 0
    prefix = ""
    reader = parser()

    def start(element: str, attributes: dict[str, str]) -> None:
        nonlocal place, prefix
        kind = local(element)
        if kind == "workbook":
            prefix = element.removesuffix(kind)
        if kind == "calcPr":
            begin = reader.CurrentByteIndex
            place = (begin, tag_end(data, begin))
            found.update(attributes)

    def end(element: str) -> None:
        nonlocal after
        # The elements that stand before the calculation settings, in the order of the schema.
        if local(element) in ("sheets", "functionGroups", "externalReferences", "definedNames"):
            at = reader.CurrentByteIndex
            after = data.index(b">", at) + 1 if data[at : at + 2] == b"</" else at

    reader.StartElementHandler = start
    reader.EndElementHandler = end
    parse(reader, data, part)
    number = max(whole(found.get("calcId")), CALCULATION_ID)
    attributes = {"calcId": str(number), **{k: v for k, v in found.items() if k not in ("calcId", "fullCalcOnLoad")}}
    first, last = place if place != (0, 0) else (after, after)
    empty = place == (0, 0) or data[last - 2 : last] == b"/>"
    return data[:first] + tag(prefix + "calcPr", attributes.items(), empty=empty).encode() + data[last:]


# --- what is not an .xlsx workbook ------------------------------------------------------------------------------------

_SUFFIXES: Final = {
    ".xlsm": "it is a workbook with macros: save it as an Excel workbook without macros (.xlsx), and use that",
    ".xls": "it is in the old .xls format: save it as an Excel workbook (.xlsx), and use that",
    ".xlsb": "it is a binary workbook: save it as an Excel workbook (.xlsx), and use that",
    ".xltx": "it is a spreadsheet template: save it as an Excel workbook (.xlsx), and use that",
    ".ods": "it is an OpenDocument spreadsheet: save it as an Excel workbook (.xlsx), and use that",
    ".csv": "it is a text file: open it in a spreadsheet program, save it as .xlsx, and use that",
}


def _check_suffix(path: Path) -> None:
    suffix = path.suffix.lower()
    if suffix != ".xlsx" and not path.is_dir():
        reason = _SUFFIXES.get(suffix, "its name does not end in .xlsx: give an Excel workbook (.xlsx)")
        raise WorkbookError(f"{path}: {reason}")


def _check_signature(data: bytes) -> None:
    """Refuse what is no zip file, saying what it is."""
    if not data:
        raise WorkbookError("it is empty: use an earlier copy of it")
    if data.startswith(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"):
        if _PASSWORD in data:
            raise WorkbookError("it is locked with a password: save a copy without one, and use that")
        raise WorkbookError("it is in the old .xls format: save it as an Excel workbook (.xlsx), and use that")
    if not data.startswith(b"PK\x03\x04"):
        raise WorkbookError(
            "it is not an Excel workbook, whatever its name says: save it as .xlsx in a spreadsheet program"
        )


def _other_zip(names: set[str]) -> str:
    if "content.xml" in names and "mimetype" in names:
        return "it is an OpenDocument file, whatever its name says: save it as an Excel workbook (.xlsx), and use that"
    return "it is a zip file but not a workbook: give an Excel workbook (.xlsx)"


def _stored(change: Change) -> tuple[str, str] | None:
    """How a sheet's reader would find a written value."""
    value = change.value
    if value is None:
        return None
    if isinstance(value, bool):
        return "b", str(int(value))
    if isinstance(value, int | float):
        return "n", repr(float(value))
    if isinstance(value, ErrorValue):
        return "e", str(value.code)
    return "str", re.sub(r"_(?=x[0-9A-Fa-f]{4}_)", "_x005F_", value)
