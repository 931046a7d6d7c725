"""One sheet of a shared copy, written anew from what may be seen; nothing of the old part is taken over unnamed."""

from __future__ import annotations

import copy
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Final

from lxml import etree

from stillbook.cells import Cell, ErrorValue
from stillbook.share.cells import SharedCells
from stillbook.share.plain_formulas import looked_at, texts_in
from stillbook.share.shown import Shown
from stillbook.workbook.file.address import Area, cell_name, read_area
from stillbook.workbook.file.markup import decimal, escaped, whole
from stillbook.workbook.file.parts import MAIN, RELATIONS, Element, Parts, cells_of, local
from stillbook.workbook.file.sheet import Key, number_text

M: Final = f"{{{MAIN}}}"
R: Final = f"{{{RELATIONS}}}"
_SPACE: Final = "{http://www.w3.org/XML/1998/namespace}space"

_VIEW: Final = ("showGridLines", "showRowColHeaders", "showZeros", "rightToLeft", "zoomScale", "zoomScaleNormal")
_PANE: Final = ("xSplit", "ySplit", "topLeftCell", "activePane", "state")
_FORMAT: Final = ("baseColWidth", "defaultColWidth", "defaultRowHeight", "customHeight", "zeroHeight")
_COLUMN: Final = ("min", "max", "width", "style", "hidden", "bestFit", "customWidth")
_ROW: Final = ("s", "customFormat", "ht", "hidden", "customHeight")
_PAPER: Final = (
    "paperSize", "scale", "firstPageNumber", "fitToWidth", "fitToHeight", "pageOrder", "orientation", "blackAndWhite",
    "draft", "useFirstPageNumber",
)  # fmt: skip
_PRINT: Final = ("horizontalCentered", "verticalCentered", "headings", "gridLines", "gridLinesSet")
_MARGINS: Final = ("left", "right", "top", "bottom", "header", "footer")
_HEADER: Final = ("differentOddEven", "differentFirst", "scaleWithDoc", "alignWithMargins")
_LOCKS: Final = ("formatCells", "formatColumns", "formatRows", "selectLockedCells", "selectUnlockedCells")
_RULE_TEXTS: Final = ("errorTitle", "error", "promptTitle", "prompt")
_RULE: Final = (
    "type", "errorStyle", "operator", "allowBlank", "showDropDown", "showInputMessage", "showErrorMessage",
    *_RULE_TEXTS,
)  # fmt: skip
_LEFT_OUT: Final = {
    "autoFilter": "a filter",
    "tableParts": "the look of a table",
    "oleObjects": "an embedded object",
    "controls": "form buttons",
    "picture": "a background picture",
    "legacyDrawingHF": "a picture in the page header",
    "scenarios": "what-if scenarios",
}


@dataclass(slots=True)
class Record:
    """What a shared copy shows besides its cells' values, noted while it is written.

    Args:
        texts: Texts that stand in it by intention.
        styles: Numbers of the cell styles used.
        marks: Numbers of the conditional styles used.
        left_out: What of the shown sheets is not in the copy, in words.
    """

    texts: set[str] = field(default_factory=set)
    styles: set[int] = field(default_factory=lambda: {0})
    marks: set[int] = field(default_factory=set)
    left_out: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Stamp:
    """Lines written under a sheet: where the copy comes from, and cautions.

    Args:
        lines: The lines.
        style: The number of their cell style.
    """

    lines: tuple[str, ...]
    style: int


@dataclass(slots=True)
class SharedSheet:
    """A sheet as written.

    Args:
        root: The tree of its part.
        prints: The cells it prints.
        repeats: The reference of the rows that it prints on each page; empty without any.
        stamped: The cells that hold the stamp, with their text.
        links: Addresses outside that its cells lead to, by relationship id.
    """

    root: Element
    prints: tuple[Area, ...]
    repeats: str = ""
    stamped: dict[Key, str] = field(default_factory=dict)
    links: dict[str, str] = field(default_factory=dict)


class SheetWriter:
    """Writes one shown sheet.

    Args:
        parts: The source, calculated.
        strings: The entries of its shared texts.
        view: What is seen of the sheet.
        cells: What the cells of the copy hold.
        record: Notes what is shown.
    """

    def __init__(
        self, parts: Parts, strings: Sequence[Element], view: Shown, cells: SharedCells, record: Record
    ) -> None:
        self.source = parts.tree(view.part)
        self.relations = parts.relations(view.part)
        self.strings = strings
        self.view = view
        self.cells = cells
        self.record = record
        self.values = cells.values[view.sheet]
        self.formulas = cells.formulas.get(view.sheet, {})

    def write(self, stamp: Stamp, *, first: bool, drawing: str) -> SharedSheet:
        """The sheet in the order that the file format asks for.

        Args:
            stamp: What is written under it.
            first: Whether it is the sheet that opens.
            drawing: The relationship id of its pictures and charts; empty without any.
        """
        areas = self.view.areas
        root = etree.Element(f"{M}worksheet", nsmap={None: MAIN, "r": RELATIONS})
        made = SharedSheet(root, areas)
        self._settings(root, first=first)
        columns = self._columns(root, areas)
        self._rows(root, made, stamp, columns)
        self._protection(root)
        self._merged(root, made)
        self._marks(root)
        self._rules(root)
        self._links(root, made)
        self._paper(root, made)
        if drawing:
            etree.SubElement(root, f"{M}drawing").set(f"{R}id", drawing)
        self._note_what_is_left()
        return made

    # --- the frame of the page ----------------------------------------------------------------------------------------

    def _child(self, kind: str) -> Element:
        return self.source.find(f"{M}{kind}")

    def _take(self, parent: Element, source: Element, kind: str, attributes: Iterable[str]) -> Element:
        """Copy an element's own attributes; None where the source has none of that kind."""
        found = source.find(f"{M}{kind}") if source is not None else None
        if found is None:
            return None
        made = etree.SubElement(parent, f"{M}{kind}")
        for name in attributes:
            if found.get(name) is not None:
                made.set(name, found.get(name))
        return made

    def _settings(self, root: Element, *, first: bool) -> None:
        before = self._child("sheetPr")
        if before is not None:
            properties = etree.SubElement(root, f"{M}sheetPr")
            self._take(properties, before, "tabColor", ("rgb", "theme", "tint", "indexed"))
            self._take(properties, before, "pageSetUpPr", ("fitToPage", "autoPageBreaks"))
        views = etree.SubElement(root, f"{M}sheetViews")
        old = self._child("sheetViews")
        view = self._take(views, old, "sheetView", _VIEW)
        if view is None:
            view = etree.SubElement(views, f"{M}sheetView")
        view.set("workbookViewId", "0")
        if first:
            view.set("tabSelected", "1")
        if old is not None and old.find(f"{M}sheetView") is not None:
            self._take(view, old.find(f"{M}sheetView"), "pane", _PANE)
        self._take(root, self.source, "sheetFormatPr", _FORMAT)

    def _columns(self, root: Element, areas: Sequence[Area]) -> dict[int, float]:
        """Write the columns that are shown; gives their widths."""
        last = max(area.last_column for area in areas)
        widths: dict[int, float] = {}
        made = etree.Element(f"{M}cols")
        for column in self.source.iterfind(f"{M}cols/{M}col"):
            start, end = whole(column.get("min"), 1), min(whole(column.get("max"), 1), last)
            if start > end:
                continue
            kept = etree.SubElement(made, f"{M}col")
            for name in _COLUMN:
                if column.get(name) is not None:
                    kept.set(name, column.get(name))
            kept.set("max", str(end))
            self._style(kept, "style")
            hidden = column.get("hidden") in ("1", "true")
            widths |= dict.fromkeys(range(start, end + 1), 0.0 if hidden else decimal(column.get("width"), 8.43))
        if len(made):
            root.append(made)
        return widths

    def _style(self, element: Element, attribute: str) -> None:
        if (number := element.get(attribute)) is not None:
            self.record.styles.add(whole(number))

    # --- cells --------------------------------------------------------------------------------------------------------

    def _rows(self, root: Element, made: SharedSheet, stamp: Stamp, widths: dict[int, float]) -> None:
        data = etree.SubElement(root, f"{M}sheetData")
        for row, number, cells in cells_of(self.source):
            if not any(area.first_row <= number <= area.last_row for area in made.prints):
                continue
            kept = etree.SubElement(data, f"{M}row", r=str(number))
            for name in _ROW:
                if row.get(name) is not None:
                    kept.set(name, row.get(name))
            self._style(kept, "s")
            if number in self.cells.blank_rows[self.view.sheet]:
                kept.set("hidden", "1")
                continue
            for cell, column in cells:
                if any(a.holds(number, column) for a in made.prints):
                    self._cell(kept, cell, (number, column))
        self._stamp(data, made, stamp, widths)

    def _cell(self, row: Element, source: Element, at: Key) -> None:
        cell = etree.SubElement(row, f"{M}c", r=cell_name(*at))
        if source.get("s") is not None:
            cell.set("s", source.get("s"))
            self._style(cell, "s")
        value = self.values.get(at)
        formula = self.formulas.get(at)
        if formula is not None:
            etree.SubElement(cell, f"{M}f").text = formula
            self.record.texts |= {formula, *texts_in(formula)}
        if isinstance(value, str) and formula is None:
            self.record.texts.add(value)
            runs = self._runs(source)
            cell.set("t", "inlineStr")
            holder = etree.SubElement(cell, f"{M}is")
            if runs:
                holder.extend(runs)
                self.record.texts |= {run.findtext(f"{M}t", "") for run in runs}
            else:
                _text(holder, value)
        elif value is not None:
            put_value(cell, value)

    def _runs(self, source: Element) -> list[Element]:
        """The formatted runs of a cell's text; none for a plain one."""
        holder = source.find(f"{M}is")
        if source.get("t") == "s":
            number = whole(source.findtext(f"{M}v"), -1)
            holder = self.strings[number] if 0 <= number < len(self.strings) else None
        found = holder.findall(f"{M}r") if holder is not None else []
        runs = []
        for run in found:
            kept = etree.Element(f"{M}r")
            if (look := run.find(f"{M}rPr")) is not None:
                kept.append(copy.deepcopy(look))
            _text(kept, run.findtext(f"{M}t", ""), escape=False)
            runs.append(kept)
        return runs

    def _stamp(self, data: Element, made: SharedSheet, stamp: Stamp, widths: dict[int, float]) -> None:
        """Write the stamp under the shown cells, over their width, and let it be printed."""
        first, last = min(a.first_column for a in made.prints), max(a.last_column for a in made.prints)
        filled = [column for _, column in self.values]
        column = max(first, min(filled, default=first))
        width = sum(widths.get(c, 8.43) for c in range(column, last + 1))
        row = max(a.last_row for a in made.prints) + 1
        for line in stamp.lines:
            row += 1
            height = 13.0 * math.ceil(len(line) / max(10.0, 1.15 * width)) + 2
            kept = etree.SubElement(data, f"{M}row", r=str(row), ht=f"{height:g}", customHeight="1")
            cell = etree.SubElement(kept, f"{M}c", r=cell_name(row, column), s=str(stamp.style), t="inlineStr")
            _text(etree.SubElement(cell, f"{M}is"), line)
            made.stamped[row, column] = line
            self.record.texts.add(line)
        area = made.prints[-1]
        if len(made.prints) == 1:
            made.prints = (area._replace(last_row=row),)
        else:
            made.prints = (*made.prints, Area(row - len(stamp.lines) + 1, column, row, last))

    # --- what stands around the cells ---------------------------------------------------------------------------------

    def _protection(self, root: Element) -> None:
        """Keep the sheet locked where it was, without its password."""
        old = self._child("sheetProtection")
        if old is None or old.get("sheet") not in ("1", "true"):
            return
        made = etree.SubElement(root, f"{M}sheetProtection", sheet="1", objects="1", scenarios="1")
        for name in _LOCKS:
            if old.get(name) is not None:
                made.set(name, old.get(name))

    def _merged(self, root: Element, made: SharedSheet) -> None:
        blocks = [area for m in self.source.iter(f"{M}mergeCell") if (area := read_area(m.get("ref", "")))]
        kept = [area for area in blocks if any(a.holds(area.first_row, area.first_column) for a in made.prints)]
        last = max(area.last_column for area in made.prints)
        kept += [Area(row, column, row, last) for row, column in made.stamped if last > column]
        if kept:
            holder = etree.SubElement(root, f"{M}mergeCells", count=str(len(kept)))
            for area in kept:
                etree.SubElement(holder, f"{M}mergeCell", ref=str(area))

    def _looks_only_at_shown(self, formula: str) -> bool:
        references = looked_at(formula, self.view.sheet)
        return references is not None and all(
            sheet == self.view.sheet and self.view.shows_all(area) for sheet, area in references
        )

    def _marks(self, root: Element) -> None:
        """Conditional formats that look at shown cells alone."""
        for block in self.source.iterfind(f"{M}conditionalFormatting"):
            areas = [area for text in block.get("sqref", "").split() if (area := read_area(text))]
            if not areas or not all(self.view.shows_all(area) for area in areas):
                continue
            rules = [
                rule
                for rule in block.iterfind(f"{M}cfRule")
                if all(self._looks_only_at_shown(f.text or "") for f in rule.iterfind(f"{M}formula"))
                and all(
                    value.get("val") is None or value.get("type") in ("num", "percent", "percentile")
                    for value in rule.iter(f"{M}cfvo")
                )
            ]
            if not rules:
                continue
            holder = etree.SubElement(root, f"{M}conditionalFormatting", sqref=block.get("sqref"))
            for rule in rules:
                kept = copy.deepcopy(rule)
                for extension in kept.findall(f"{M}extLst"):
                    kept.remove(extension)
                holder.append(kept)
                for formula in kept.iter(f"{M}formula"):
                    self.record.texts |= {formula.text or "", *texts_in(formula.text or "")}
                self.record.texts.add(kept.get("text", ""))
                if (number := kept.get("dxfId")) is not None:
                    self.record.marks.add(whole(number))

    def _rules(self, root: Element) -> None:
        """What may be typed, for the cells that the reader fills in."""
        kept = []
        waiting = self.cells.open[self.view.sheet]
        for rule in self.source.iterfind(f"{M}dataValidations/{M}dataValidation"):
            areas = [area for text in rule.get("sqref", "").split() if (area := read_area(text))]
            open_ones = [a for a in areas if self.view.shows_all(a) and any(a.holds(*at) for at in waiting)]
            formulas = [rule.findtext(f"{M}{name}") for name in ("formula1", "formula2")]
            if not open_ones or not all(self._is_plain_limit(text) for text in formulas if text):
                continue
            made = etree.Element(f"{M}dataValidation")
            for name in _RULE:
                if rule.get(name) is not None:
                    made.set(name, rule.get(name))
            made.set("sqref", " ".join(map(str, open_ones)))
            for name, text in zip(("formula1", "formula2"), formulas, strict=True):
                if text:
                    etree.SubElement(made, f"{M}{name}").text = text
            self.record.texts |= {rule.get(name, "") for name in _RULE_TEXTS} | {text for text in formulas if text}
            kept.append(made)
        if kept:
            holder = etree.SubElement(root, f"{M}dataValidations", count=str(len(kept)))
            holder.extend(kept)

    def _is_plain_limit(self, text: str) -> bool:
        try:
            return math.isfinite(float(text))
        except ValueError:
            return self._looks_only_at_shown(text)

    def _links(self, root: Element, made: SharedSheet) -> None:
        """Web and mail addresses that shown cells lead to."""
        holder = etree.Element(f"{M}hyperlinks")
        for link in self.source.iterfind(f"{M}hyperlinks/{M}hyperlink"):
            area = read_area(link.get("ref", ""))
            relation = self.relations.get(link.get(f"{R}id", ""))
            safe = relation is not None and relation.outside
            if not (area and safe and self.view.shows(area.first_row, area.first_column)):
                continue
            address = relation.target if relation else ""
            if address.startswith(("https://", "http://", "mailto:")):
                key = f"rIdLink{len(made.links) + 1}"
                made.links[key] = address
                self.record.texts.add(address)
                etree.SubElement(holder, f"{M}hyperlink", ref=str(area)).set(f"{R}id", key)
        if len(holder):
            root.append(holder)

    def _paper(self, root: Element, made: SharedSheet) -> None:
        self._take(root, self.source, "printOptions", _PRINT)
        self._take(root, self.source, "pageMargins", _MARGINS)
        self._take(root, self.source, "pageSetup", _PAPER)
        header = self._take(root, self.source, "headerFooter", _HEADER)
        if header is not None:
            for child in self._child("headerFooter"):
                text = (child.text or "").replace("&G", "").replace("&Z", "")
                etree.SubElement(header, f"{M}{local(child)}").text = text
                self.record.texts.add(text)
        for kind in ("rowBreaks", "colBreaks"):
            old = self._child(kind)
            if old is None:
                continue
            inside = [b for b in old.iterfind(f"{M}brk") if self._breaks_inside(kind, whole(b.get("id")), made.prints)]
            if inside:
                holder = etree.SubElement(root, f"{M}{kind}", count=str(len(inside)), manualBreakCount=str(len(inside)))
                for b in inside:
                    etree.SubElement(
                        holder, f"{M}brk", id=b.get("id"), min=b.get("min", "0"), max=b.get("max", "16383"), man="1"
                    )

    @staticmethod
    def _breaks_inside(kind: str, place: int, prints: Sequence[Area]) -> bool:
        last = max(a.last_row if kind == "rowBreaks" else a.last_column for a in prints)
        return 0 < place < last

    def _note_what_is_left(self) -> None:
        for kind, words in _LEFT_OUT.items():
            if self._child(kind) is not None:
                self.record.left_out.append(f"{words} on {self.view.sheet}")


def put_value(cell: Element, value: Cell) -> None:
    """Write a value into a cell's element."""
    if isinstance(value, bool):
        cell.set("t", "b")
        text = str(int(value))
    elif isinstance(value, int | float):
        text = number_text(value)
    elif isinstance(value, ErrorValue):
        cell.set("t", "e")
        text = str(value.code)
    else:
        cell.set("t", "str")
        text = _markless(str(value))
    etree.SubElement(cell, f"{M}v").text = text


def _text(holder: Element, text: str, *, escape: bool = True) -> None:
    made = etree.SubElement(holder, f"{M}t")
    made.text = _markless(text) if escape else text
    if text != text.strip() or "\n" in text or "  " in text:
        made.set(_SPACE, "preserve")


def _markless(text: str) -> str:
    """Text as a cell stores it, for a tree that adds the markup signs by itself."""
    return escaped(text).replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&")
