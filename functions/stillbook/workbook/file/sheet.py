"""One sheet's part: its formulas, values and typing rules read, and cell values written into it by byte position."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final, Literal, NamedTuple

from stillbook.cells import Cell, Code, ErrorValue
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.address import LAST_ROW, Area, cell_name, column_number, read_area
from stillbook.workbook.file.markup import escaped, local, marked, parse, parser, tag, tag_end, unescaped, whole

LONGEST_TEXT: Final = 32_767
MOST_CELLS: Final = 5_000_000
MOST_FILLED: Final = 1_000_000

_STORED: Final = frozenset(("n", "s", "str", "inlineStr", "b", "e", "d"))
"""How a cell may hold its value."""

Key = tuple[int, int]
"""Row and column of a cell, counted from 1."""


class FormulaCell(NamedTuple):
    """A formula as the file stores it.

    Args:
        text: The formula without its ``=``; empty in a cell that shares the formula of another.
        kind: How it is stored: a what-if data table is never calculated here.
        area: The cells an array formula fills.
        group: Number of the group of cells that share one formula.
        spills: Whether an array formula grows and shrinks with its result.
    """

    text: str
    kind: Literal["normal", "array", "shared", "dataTable"] = "normal"
    area: Area | None = None
    group: str = ""
    spills: bool = False


@dataclass(slots=True)
class Rule:
    """A data validation: what may be typed into some cells."""

    areas: tuple[Area, ...]
    kind: str
    operator: str
    enforced: bool
    prompt: str
    first: str = ""
    second: str = ""


@dataclass(slots=True)
class SheetPart:
    """What a sheet's part holds.

    Args:
        stored: Type and text of each cell that has a value.
        formulas: The formula cells.
        rules: The data validations, in file order.
        tables: Relationship ids of the sheet's tables.
        starts: The first byte of each cell's element, in the order of the file; None where cells are out of order.
        extent: The cells in use, as the file says; None where it does not.
    """

    stored: dict[Key, tuple[str, str]] = field(default_factory=dict)
    formulas: dict[Key, FormulaCell] = field(default_factory=dict)
    rules: list[Rule] = field(default_factory=list)
    tables: list[str] = field(default_factory=list)
    starts: dict[Key, int] | None = field(default_factory=dict)
    extent: Area | None = None
    _single: dict[Key, Rule] | None = None
    _wide: list[tuple[Area, Rule]] = field(default_factory=list)

    def filled_by_arrays(self) -> list[Key]:
        """The cells that hold a value of an array formula that stands in another cell."""
        return [
            cell
            for at, formula in self.formulas.items()
            if formula.kind == "array" and formula.area
            for cell in formula.area.cells()
            if cell != at and cell in self.stored and cell not in self.formulas
        ]

    def rule_for(self, row: int, column: int) -> Rule | None:
        """The data validation of a cell."""
        if self._single is None:
            self._single, self._wide = {}, []
            for rule in self.rules:
                for area in rule.areas:
                    if area.rows == area.columns == 1:
                        self._single.setdefault(area[:2], rule)
                    else:
                        self._wide.append((area, rule))
        at = (row, column)
        return self._single.get(at) or next((rule for area, rule in self._wide if area.holds(*at)), None)


def read_sheet(data: bytes, part: str) -> SheetPart:
    """Read a sheet's part.

    Raises:
        WorkbookError: If it is not well formed or its cells are out of order.
    """
    reading = _Reading()
    parse(reading.reader, data, part)
    reading.sheet.starts = reading.starts if reading.in_order else None
    return reading.sheet


class _Reading:
    """The state of reading one sheet."""

    def __init__(self) -> None:
        self.reader = parser()
        self.reader.StartElementHandler = self.start
        self.reader.EndElementHandler = self.end
        self.reader.CharacterDataHandler = self.text
        self.sheet = SheetPart()
        self.starts: dict[Key, int] = {}
        self.in_order = True
        self.row = 0
        self.column = 0
        self.names: dict[str, str] = {}
        self.cell: dict[str, str] = {}
        self.formula: dict[str, str] | None = None
        self.formula_text = ""
        self.value: str | None = None
        self.parts: list[str] = []
        self.in_cells = False
        self.skipping = False
        self.rule: Rule | None = None

    def start(self, name: str, attributes: dict[str, str]) -> None:
        kind = self.names.get(name) or self.names.setdefault(name, local(name))
        if self.in_cells:
            if kind == "c":
                self.cell = attributes
                column = _column(attributes, self.row, self.column)
                if column is None:
                    raise WorkbookError("it is damaged (a cell has no place): use an earlier copy of it")
                self.in_order = self.in_order and column > self.column
                self.column = column
                self.starts[self.row, column] = self.reader.CurrentByteIndex
                self.value = None
                self.formula = None
            elif kind == "f":
                self.formula = attributes
                self.parts = []
            elif kind in ("v", "t"):
                self.parts = []
            elif kind == "row":
                row = whole(attributes.get("r"), self.row + 1)
                if not 1 <= row <= LAST_ROW:
                    raise WorkbookError(f"it is damaged (it has a row {row}): use an earlier copy of it")
                self.in_order = self.in_order and row > self.row
                self.row, self.column = row, 0
            elif kind == "rPh":
                self.skipping = True
            return
        if kind == "sheetData":
            self.in_cells = True
        elif kind == "dataValidation":
            self.rule = Rule(
                areas=_areas(attributes.get("sqref", "")),
                kind=attributes.get("type", ""),
                operator=attributes.get("operator", "between"),
                enforced=_is_true(attributes.get("showErrorMessage", "0"))
                and attributes.get("errorStyle", "stop") == "stop",
                prompt=attributes.get("prompt", ""),
            )
        elif kind == "dimension":
            self.sheet.extent = read_area(attributes.get("ref", ""))
        elif kind == "tablePart":
            self.sheet.tables.extend(value for key, value in attributes.items() if local(key) == "id")
        elif kind in ("formula1", "formula2", "sqref"):
            self.parts = []

    def end(self, name: str) -> None:
        kind = self.names[name]
        if self.in_cells:
            if kind == "v":
                self.value = "".join(self.parts)
            elif kind == "c":
                self._keep()
            elif kind == "t":
                if not self.skipping:
                    self.value = (self.value or "") + "".join(self.parts)
            elif kind == "f":
                self.formula_text = "".join(self.parts)
            elif kind == "rPh":
                self.skipping = False
            elif kind == "sheetData":
                self.in_cells = False
            return
        if self.rule is None:
            return
        if kind == "formula1":
            self.rule.first = "".join(self.parts).strip()
        elif kind == "formula2":
            self.rule.second = "".join(self.parts).strip()
        elif kind == "sqref":
            self.rule.areas = _areas("".join(self.parts))
        elif kind == "dataValidation":
            self.sheet.rules.append(self.rule)
            self.rule = None

    def text(self, text: str) -> None:
        self.parts.append(text)

    def _keep(self) -> None:
        """Keep a cell once it is read to its end."""
        at = (self.row, self.column)
        if self.value is not None and (self.value or self.cell.get("t") in ("str", "inlineStr")):
            stored = self.cell.get("t", "n")
            if stored not in _STORED:
                raise WorkbookError("it is damaged (a cell is of no known kind): use an earlier copy of it")
            self.sheet.stored[at] = (stored, self.value)
        if self.formula is not None:
            kind: Any = self.formula.get("t", "normal")
            area = read_area(self.formula.get("ref", "")) if kind in ("array", "dataTable") else None
            if area and area.rows * area.columns > MOST_FILLED:
                raise WorkbookError(f"an array formula fills more than {MOST_FILLED:,} cells: give it a smaller range")
            self.sheet.formulas[at] = FormulaCell(
                self.formula_text.removeprefix("="),
                kind,
                area,
                self.formula.get("si", "") if kind == "shared" else "",
                kind == "array" and "cm" in self.cell,
            )
        if len(self.sheet.stored) > MOST_CELLS or len(self.sheet.formulas) > MOST_CELLS:
            raise WorkbookError(f"it has more than {MOST_CELLS:,} filled cells in one sheet: split it into several")


def _column(attributes: dict[str, str], row: int, before: int) -> int | None:
    """The column of a cell in a row: the one after the last where it has no address, None where that is wrong."""
    reference = attributes.get("r")
    if reference is None:
        return before + 1
    number = str(row)
    return column_number(reference.removesuffix(number)) if reference.endswith(number) else None


def _areas(text: str) -> tuple[Area, ...]:
    return tuple(area for part in text.split() if (area := read_area(part)) is not None)


def _is_true(text: str) -> bool:
    return text in ("1", "true")


def stored_value(kind: str, text: str) -> Cell:
    """The value of a cell from what the file stores; shared text is looked up by the caller.

    >>> stored_value("n", "2.5"), stored_value("b", "1"), stored_value("str", "a_x000A_b")
    (2.5, True, 'a\\nb')
    """
    if kind == "n":
        try:
            return float(text)
        except ValueError:
            return text
    if kind == "b":
        return _is_true(text)
    if kind == "e":
        return ErrorValue(Code(text) if text in set(Code) else Code.VALUE)
    return unescaped(text)


# --- writing ----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Change:
    """A cell's new value; None clears it.

    Args:
        value: The value; text stays text, it never becomes a formula.
        calculated: True for the result of a formula, or for a cell that an array formula fills.
        area: The cells that the cell's array formula fills from now on, where that changes.
    """

    value: Cell
    calculated: bool = False
    area: Area | None = None


@dataclass(slots=True)
class _Element:
    """An element that is being copied: its tag's first byte and its attributes."""

    start: int
    attributes: dict[str, str]


_PLAIN_CELL: Final = re.compile(
    rb'<c((?: [\w:]+="[^"<&]*")*) ?(?:/>|>(<f((?: [\w:]+="[^"<&]*")*) ?(?:/>|>[^<]*</f>))?'
    rb"(?:<v>[^<]*</v>|<v/>|<is><t(?: xml:space=\"preserve\")?>[^<]*</t></is>|<is><t/></is>)?</c>)"
)
"""A cell as most programs write it: a formula and a value, and nothing else."""

_PAIR: Final = re.compile(rb' ([\w:]+)="([^"]*)"')


def write_cells(data: bytes, part: str, changes: Mapping[Key, Change]) -> bytes:
    """A sheet's part with new cell values: formulas, styles and every byte outside the changed cells stay.

    Raises:
        WorkbookError: If the part is damaged, its rows are out of order, or a value cannot be stored.
    """
    if not changes:
        return data
    writing = _Writing(data, changes)
    reader = writing.reader
    reader.StartElementHandler = writing.start
    reader.EndElementHandler = writing.end
    parse(reader, data, part)
    if writing.waiting:
        raise WorkbookError(f"it is damaged ({part} has no cells): use an earlier copy of it")
    return b"".join((*writing.out, data[writing.copied :]))


def rewritten(
    data: bytes, part: str, changes: Mapping[Key, Change], read: SheetPart
) -> tuple[bytes, dict[Key, int] | None]:
    """The same of a part that was read before, and where its cells start then. Plain cells are written in their places.

    Raises:
        WorkbookError: As :func:`write_cells`.
    """
    pieces = _in_place(data, changes, read)
    if pieces is not None and read.starts is not None:
        return _joined(data, pieces), _moved(read.starts, pieces)
    written = write_cells(data, part, changes)
    return written, read_sheet(written, part).starts


def with_formulas(data: bytes, formulas: Mapping[Key, str], read: SheetPart) -> tuple[bytes, dict[Key, str]]:
    """A sheet's part with other formulas in cells, without their values, for an engine to calculate.

    Args:
        data: The part.
        formulas: The formulas, without ``=``.
        read: What the part holds.

    Returns:
        The part, and the formulas of those cells that are not plain, which stay as they are.
    """
    pieces, left = [], {}
    for at, text in formulas.items():
        start = None if read.starts is None else read.starts.get(at)
        plain = None if start is None else _PLAIN_CELL.match(data, start)
        if start is None or plain is None:
            left[at] = text
            continue
        kept = [(key.decode(), value.decode()) for key, value in _PAIR.findall(plain[1]) if key in (b"r", b"s")]
        pieces.append(_Piece(start, plain.end(), f"{tag('c', kept)}<f>{marked(text)}</f></c>".encode()))
    pieces.sort()
    return _joined(data, pieces), left


class _Piece(NamedTuple):
    """New bytes in the place of others, from the first to before the last."""

    start: int
    end: int
    written: bytes


def _in_place(data: bytes, changes: Mapping[Key, Change], read: SheetPart) -> list[_Piece] | None:
    """What is written where, in the order of the part; None where a cell is not there or not plain, or one is moved."""
    starts, pieces = read.starts, []
    if starts is None:
        return None
    for at, change in changes.items():
        start = starts.get(at)
        if start is None:
            if change.value is None:
                continue
            return None
        if change.value is not None and read.extent is not None and not read.extent.holds(*at):
            return None
        plain = _PLAIN_CELL.match(data, start)
        if plain is None:
            return None
        pieces.append(_Piece(start, plain.end(), _plain_cell(plain, at, change)))
    pieces.sort()
    return pieces


def _plain_cell(plain: re.Match[bytes], at: Key, change: Change) -> bytes:
    """A plain cell with a new value."""
    written, formula, of_formula = plain.groups()
    attributes = [(key.decode(), value.decode()) for key, value in _PAIR.findall(written)]
    if formula and change.area is not None:
        told = {key.decode(): value.decode() for key, value in _PAIR.findall(of_formula)}
        if told.get("ref") != str(change.area):
            rest = formula[tag_end(formula, 0) :]
            formula = tag("f", {**told, "ref": str(change.area)}.items(), empty=not rest).encode() + rest
    return _cell("c", attributes, (formula or b"").decode(), change, cell_name(*at), "").encode()


def _moved(starts: Mapping[Key, int], pieces: Sequence[_Piece]) -> dict[Key, int]:
    """Where cells stand once the pieces are written; both are in the order of the part."""
    moved = {}
    ahead = iter(pieces)
    piece = next(ahead, None)
    shift = 0
    for at, start in starts.items():
        while piece is not None and piece.start < start:
            shift += len(piece.written) - (piece.end - piece.start)
            piece = next(ahead, None)
        moved[at] = start + shift
    return moved


def _joined(data: bytes, pieces: Sequence[_Piece]) -> bytes:
    """The part with the pieces written into it."""
    out: list[bytes] = []
    copied = 0
    for piece in pieces:
        out += (data[copied : piece.start], piece.written)
        copied = piece.end
    return b"".join((*out, data[copied:]))


class _Writing:
    """The state of copying a sheet while its cells change."""

    def __init__(self, data: bytes, changes: Mapping[Key, Change]) -> None:
        self.reader = parser()
        self.data = data
        self.changes = changes
        self.waiting = sorted(changes, reverse=True)
        self.out: list[bytes] = []
        self.copied = 0
        self.prefix = ""
        self.names: dict[str, str] = {}
        self.rows_open = False
        self.row = 0
        self.column = 0
        self.row_style = ""
        self.column_styles: list[tuple[int, int, str]] = []
        self.rows_element = self.row_element = _Element(0, {})
        self.cell: _Element | None = None
        self.child = _Element(0, {})
        self.depth = 0
        self.formula: tuple[_Element, int] | None = None
        self.others: list[bytes] = []

    def start(self, name: str, attributes: dict[str, str]) -> None:
        if self.cell is not None:
            self.depth += 1
            if self.depth == 1:
                self.child = _Element(self.reader.CurrentByteIndex, attributes)
            return
        kind = self.names.get(name) or self.names.setdefault(name, local(name))
        if not self.rows_open:
            self._start_outside(name, kind, attributes)
        elif kind == "c":
            column = _column(attributes, self.row, self.column)
            if column is None or column <= self.column:
                raise WorkbookError("it is damaged (cells are out of order): use an earlier copy of it")
            self.column = column
            at = (self.row, column)
            if self.waiting and self.waiting[-1] <= at:
                here = self.reader.CurrentByteIndex
                while self.waiting and self.waiting[-1] < at:
                    self._put(here, here, self._new_cell(*self.waiting.pop()))
                if self.waiting and self.waiting[-1] == at:
                    self.cell, self.formula, self.others = _Element(here, attributes), None, []
        elif kind == "row":
            number = whole(attributes.get("r"), self.row + 1)
            if number <= self.row:
                raise WorkbookError("it is damaged (rows are out of order): use an earlier copy of it")
            self.row, self.column = number, 0
            here = self.reader.CurrentByteIndex
            while self.waiting and self.waiting[-1][0] < number:
                self._put(here, here, self._new_row())
            self.row_element = _Element(here, attributes)
            self.row_style = attributes.get("s", "") if _is_true(attributes.get("customFormat", "")) else ""

    def _start_outside(self, name: str, kind: str, attributes: dict[str, str]) -> None:
        if kind == "worksheet":
            self.prefix = name.removesuffix(kind)
        elif kind == "dimension":
            self._extend(name, attributes)
        elif kind == "col" and "style" in attributes:
            first, last = whole(attributes.get("min"), 1), whole(attributes.get("max"), 1)
            self.column_styles.append((first, last, attributes["style"]))
        elif kind == "sheetData":
            self.rows_open = True
            self.rows_element = _Element(self.reader.CurrentByteIndex, attributes)

    def end(self, name: str) -> None:
        if not self.rows_open:
            return
        here = self.reader.CurrentByteIndex
        if self.cell is not None:
            if self.depth == 0:
                self._replace_cell(self.cell, self._after(self.cell, here))
                self.cell = None
                return
            self.depth -= 1
            if self.depth == 0:
                kind = local(name)
                if kind == "f":
                    self.formula = (self.child, self._after(self.child, here))
                elif kind not in ("v", "is"):
                    self.others.append(self.data[self.child.start : self._after(self.child, here)])
            return
        kind = self.names[name]
        if kind == "row":
            self._fill(self.row_element, name, here, "".join(self._rest_of_row()))
        elif kind == "sheetData":
            self._fill(self.rows_element, name, here, "".join(self._rest_of_sheet()))
            self.rows_open = False

    def _extend(self, name: str, attributes: dict[str, str]) -> None:
        """Write the extent of the sheet anew where it leaves a new value out: some readers stop at it."""
        area = read_area(attributes.get("ref", ""))
        if area is None:
            return
        places = [at for at, change in self.changes.items() if change.value is not None and not area.holds(*at)]
        if places:
            rows, columns = zip(
                (area.first_row, area.first_column), (area.last_row, area.last_column), *places, strict=True
            )
            grown = Area(min(rows), min(columns), max(rows), max(columns))
            start = self.reader.CurrentByteIndex
            end = tag_end(self.data, start)
            attributes = {**attributes, "ref": str(grown)}
            self._put(start, end, tag(name, attributes.items(), empty=self.data[end - 2 : end] == b"/>"))

    # --- pieces -------------------------------------------------------------------------------------------------------

    def _is_empty(self, element: _Element) -> bool:
        first = tag_end(self.data, element.start)
        return self.data[first - 2 : first] == b"/>"

    def _after(self, element: _Element, end: int) -> int:
        """The position after an element, from where its end was reported."""
        return tag_end(self.data, element.start) if self._is_empty(element) else self.data.index(b">", end) + 1

    def _put(self, start: int, end: int, text: str) -> None:
        """Write text in place of the bytes from start to end; what came before them is copied."""
        self.out += (self.data[self.copied : start], text.encode())
        self.copied = end

    def _fill(self, element: _Element, name: str, end: int, added: str) -> None:
        """Add what is still missing at the end of a row or of all rows; an empty element is opened for it."""
        if not added:
            return
        if self._is_empty(element):
            self._put(element.start, end, f"{tag(name, element.attributes.items())}{added}</{name}>")
        else:
            self._put(end, end, added)

    def _rest_of_row(self) -> Iterator[str]:
        while self.waiting and self.waiting[-1][0] == self.row:
            yield self._new_cell(*self.waiting.pop())

    def _rest_of_sheet(self) -> Iterator[str]:
        while self.waiting:
            yield self._new_row()

    def _new_row(self) -> str:
        number = self.waiting[-1][0]
        self.row_style = ""
        cells = ""
        while self.waiting and self.waiting[-1][0] == number:
            cells += self._new_cell(*self.waiting.pop())
        row = self.prefix + "row"
        return f"{tag(row, [('r', str(number))])}{cells}</{row}>" if cells else ""

    def _new_cell(self, row: int, column: int) -> str:
        """A cell where the file has none, in the style its row or column gives it; nothing for a blank."""
        change = self.changes[row, column]
        if change.value is None:
            return ""
        style = self.row_style or next((s for first, last, s in self.column_styles if first <= column <= last), "")
        kind, contents = _contents(change, cell_name(row, column), self.prefix)
        attributes = [("r", cell_name(row, column))]
        attributes += [("s", style)] if style else []
        attributes += [("t", kind)] if kind else []
        return f"{tag(self.prefix + 'c', attributes)}{contents}</{self.prefix}c>"

    def _replace_cell(self, cell: _Element, end: int) -> None:
        """Write a changed cell: its style and formula stay, its value is new."""
        row, column = self.waiting.pop()
        change = self.changes[row, column]
        formula = self._formula(*self.formula, change.area) if self.formula else ""
        rest = b"".join(self.others).decode()
        name, attributes = self.prefix + "c", list(cell.attributes.items())
        self._put(cell.start, end, _cell(name, attributes, formula, change, cell_name(row, column), rest))

    def _formula(self, element: _Element, end: int, area: Area | None) -> str:
        """The formula element as it was, but for a new extent."""
        if area is None or element.attributes.get("ref") == str(area):
            return self.data[element.start : end].decode()
        attributes = {**element.attributes, "ref": str(area)}
        rest = self.data[tag_end(self.data, element.start) : end].decode()
        return tag(self.prefix + "f", attributes.items(), empty=self._is_empty(element)) + rest


def _cell(name: str, attributes: Sequence[tuple[str, str]], formula: str, change: Change, where: str, rest: str) -> str:
    """A cell's element with a new value.

    Args:
        name: Of the element, with the file's prefix.
        attributes: Of the element, as they were.
        formula: The element of its formula; empty without one.
        change: The new value.
        where: Its address, for messages.
        rest: Other elements in it.
    """
    kind, contents = _contents(change, where, name[:-1])
    # Metadata of the old value would describe the new one wrongly; that of a formula stays with the formula.
    dropped = ("t", "vm") if formula else ("t", "vm", "cm")
    kept = [(key, value) for key, value in attributes if key not in dropped]
    kind = kind or ("n" if ("t", "n") in attributes and change.value is not None else "")
    if kind:
        kept.append(("t", kind))
    inner = formula + contents + rest
    return f"{tag(name, kept)}{inner}</{name}>" if inner else tag(name, kept, empty=True)


def _contents(change: Change, where: str, p: str) -> tuple[str, str]:
    """Type and child element for a value, with the file's prefix."""
    value = change.value
    if value is None:
        return "", ""
    if isinstance(value, bool):
        return "b", f"<{p}v>{int(value)}</{p}v>"
    if isinstance(value, int | float):
        return "", f"<{p}v>{number_text(value)}</{p}v>"
    if isinstance(value, ErrorValue):
        return "e", f"<{p}v>{value.code}</{p}v>"
    if len(value) > LONGEST_TEXT:
        raise WorkbookError(f"the text for {where} has {len(value)} characters: a cell holds at most {LONGEST_TEXT}")
    if change.calculated:
        return "str", f"<{p}v>{escaped(value)}</{p}v>"
    keep = ' xml:space="preserve"' if value != value.strip() or "\n" in value or "  " in value else ""
    return "inlineStr", f"<{p}is><{p}t{keep}>{escaped(value)}</{p}t></{p}is>"


def number_text(value: float) -> str:
    """A number as the file stores it: the shortest text that reads back the same.

    >>> number_text(3.0), number_text(0.1), number_text(1e-7)
    ('3', '0.1', '1e-07')
    """
    number = float(value)
    if not math.isfinite(number):
        raise WorkbookError("a cell cannot hold a number that is not finite")
    return str(int(number)) if number == int(number) and abs(number) < 1e15 else repr(number)
