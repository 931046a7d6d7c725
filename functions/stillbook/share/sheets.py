"""One sheet of a shared copy, written anew from what may be seen; nothing of the old part is taken over unnamed."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from lxml import etree

from stillbook.cells import Cell, ErrorValue
from stillbook.share.cells import SharedCells
from stillbook.share.headers import printed, put_mark, seen_header
from stillbook.share.marks import kept_rules, looks_only_at_shown
from stillbook.share.plain_formulas import spaced
from stillbook.share.runs import Run
from stillbook.share.shown import Shown
from stillbook.share.signs import seen_signs
from stillbook.share.styles import CopiedStyles
from stillbook.workbook.file.address import Area, cell_name, read_area, read_cell
from stillbook.workbook.file.markup import decimal, escaped, whole
from stillbook.workbook.file.parts import MAIN, RELATIONS, Element, Parts, cells_of, local
from stillbook.workbook.file.sheet import Key, number_text

M: Final = f"{{{MAIN}}}"
R: Final = f"{{{RELATIONS}}}"
_SPACE: Final = "{http://www.w3.org/XML/1998/namespace}space"
_NUMBER: Final = re.compile(r"-?\d{1,7}(\.\d+)?")
_SWITCH: Final = re.compile("0|1|true|false")
_COLOUR: Final = re.compile("[0-9A-Fa-f]{6}|[0-9A-Fa-f]{8}")

_ZOOM: Final = {"zoomScale": _NUMBER, "zoomScaleNormal": _NUMBER}
_VIEW: Final = {
    **dict.fromkeys(("showGridLines", "showRowColHeaders", "showZeros", "rightToLeft"), _SWITCH), **_ZOOM,
}  # fmt: skip
_PANE: Final = {
    "xSplit": _NUMBER, "ySplit": _NUMBER,
    "topLeftCell": re.compile(r"[A-Z]{1,3}\d{1,7}"),
    "activePane": re.compile("bottomLeft|bottomRight|topLeft|topRight"),
    "state": re.compile("frozen|frozenSplit|split"),
}  # fmt: skip
_FORMAT: Final = {
    **dict.fromkeys(("baseColWidth", "defaultColWidth", "defaultRowHeight"), _NUMBER),
    **dict.fromkeys(("customHeight", "zeroHeight"), _SWITCH),
}
_COLUMN: Final = {
    "min": _NUMBER,
    "max": _NUMBER,
    "width": _NUMBER,
    "hidden": _SWITCH,
    "bestFit": _SWITCH,
    "customWidth": _SWITCH,
}
_ROW: Final = {"ht": _NUMBER, "hidden": _SWITCH, "customHeight": _SWITCH}
_PAPER: Final = {
    **dict.fromkeys(("paperSize", "scale", "firstPageNumber", "fitToWidth", "fitToHeight"), _NUMBER),
    "pageOrder": re.compile("downThenOver|overThenDown"),
    "orientation": re.compile("default|portrait|landscape"),
    **dict.fromkeys(("blackAndWhite", "draft", "useFirstPageNumber"), _SWITCH),
}
_PRINT: Final = dict.fromkeys(
    ("horizontalCentered", "verticalCentered", "headings", "gridLines", "gridLinesSet"), _SWITCH
)
_MARGINS: Final = dict.fromkeys(("left", "right", "top", "bottom", "header", "footer"), _NUMBER)
_HEADER: Final = dict.fromkeys(("differentOddEven", "differentFirst", "scaleWithDoc", "alignWithMargins"), _SWITCH)
_LOCKS: Final = ("formatCells", "formatColumns", "formatRows", "selectLockedCells", "selectUnlockedCells")
_TAB: Final = {"rgb": _COLOUR, "theme": _NUMBER, "tint": _NUMBER, "indexed": _NUMBER}
_FIT: Final = {"fitToPage": _SWITCH, "autoPageBreaks": _SWITCH}
_RULE: Final = {
    "type": re.compile("whole|decimal|list|date|time|textLength|custom"),
    "errorStyle": re.compile("stop|warning|information"),
    "operator": re.compile("[A-Za-z]{5,18}"),
    **dict.fromkeys(("allowBlank", "showDropDown", "showErrorMessage"), _SWITCH),
}
_WEB: Final = ("https://", "http://", "mailto:")
_LEFT_OUT: Final = {
    "autoFilter": "a filter",
    "tableParts": "the look of a table",
    "oleObjects": "an embedded object",
    "controls": "form buttons",
    "picture": "a background picture",
    "legacyDrawingHF": "a picture in the page header",
    "legacyDrawing": "comments or form buttons",
    "scenarios": "what-if scenarios",
    "protectedRanges": "ranges with passwords",
    "customSheetViews": "views of other people",
    "cellWatches": "watched cells",
    "sortState": "a sorting",
    "dataConsolidate": "a consolidation",
    "smartTags": "smart tags",
    "webPublishItems": "a web page",
    "extLst": "extensions, such as sparklines",
}


@dataclass(slots=True)
class Record:
    """What a shared copy shows besides its cells' values, noted while it is written.

    Args:
        labels: Texts that it shows outside of its cells: of headers, shapes and charts, names of sheets, its stamp.
        taken: What there is in it that is no cell, counted, in words.
        left_out: What of the shown sheets is not in the copy, in words.
    """

    labels: set[str] = field(default_factory=set)
    taken: Counter[str] = field(default_factory=Counter)
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
        view: What is seen of the sheet.
        cells: What the cells of the copy hold.
        styles: The styles of the copy.
        record: Notes what is shown.
    """

    def __init__(self, parts: Parts, view: Shown, cells: SharedCells, styles: CopiedStyles, record: Record) -> None:
        self.source = parts.tree(view.part)
        self.relations = parts.relations(view.part)
        self.view = view
        self.cells = cells
        self.styles = styles
        self.record = record
        self.values = cells.values[view.sheet]
        self.codes = cells.codes[view.sheet]
        self.runs = cells.runs[view.sheet]
        self.formulas = cells.formulas.get(view.sheet, {})
        self.texts = cells.texts

    def write(self, stamp: Stamp, *, first: bool, drawing: str, mark: str = "") -> SharedSheet:
        """The sheet in the order that the file format asks for.

        Args:
            stamp: What is written under it.
            first: Whether it is the sheet that opens.
            drawing: The relationship id of its pictures and charts; empty without any.
            mark: What its page header says of a draft; empty without.
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
        self._paper(root, made, mark)
        if drawing:
            etree.SubElement(root, f"{M}drawing").set(f"{R}id", drawing)
        self._note_what_is_left()
        return made

    # --- the frame of the page ----------------------------------------------------------------------------------------

    def _child(self, kind: str) -> Element:
        return self.source.find(f"{M}{kind}")

    def _take(self, parent: Element, source: Element, kind: str, attributes: Mapping[str, re.Pattern[str]]) -> Element:
        """Copy an element's own attributes, where they hold what such hold; None where there is none of that kind."""
        found = source.find(f"{M}{kind}") if source is not None else None
        if found is None:
            return None
        made = etree.SubElement(parent, f"{M}{kind}")
        _put(made, found, attributes)
        return made

    def _settings(self, root: Element, *, first: bool) -> None:
        before = self._child("sheetPr")
        if before is not None:
            properties = etree.SubElement(root, f"{M}sheetPr")
            self._take(properties, before, "tabColor", _TAB)
            self._take(properties, before, "pageSetUpPr", _FIT)
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
            _put(kept, column, _COLUMN)
            kept.set("max", str(end))
            if column.get("style") is not None:
                kept.set("style", str(self.styles.cell(whole(column.get("style")), "General")))
            hidden = column.get("hidden") in ("1", "true")
            widths |= dict.fromkeys(range(start, end + 1), 0.0 if hidden else decimal(column.get("width"), 8.43))
        if len(made):
            root.append(made)
        return widths

    # --- cells --------------------------------------------------------------------------------------------------------

    def _rows(self, root: Element, made: SharedSheet, stamp: Stamp, widths: dict[int, float]) -> None:
        data = etree.SubElement(root, f"{M}sheetData")
        for row, number, cells in cells_of(self.source):
            if not any(area.first_row <= number <= area.last_row for area in made.prints):
                continue
            kept = etree.SubElement(data, f"{M}row", r=str(number))
            _put(kept, row, _ROW)
            if row.get("s") is not None:
                kept.set("s", str(self.styles.cell(whole(row.get("s")), "General")))
                kept.set("customFormat", "1")
            if number in self.cells.blank_rows[self.view.sheet]:
                kept.set("hidden", "1")
                continue
            for cell, column in cells:
                if any(a.holds(number, column) for a in made.prints):
                    self._cell(kept, cell, (number, column))
        self._stamp(data, made, stamp, widths)

    def _cell(self, row: Element, source: Element, at: Key) -> None:
        cell = etree.SubElement(row, f"{M}c", r=cell_name(*at))
        if source.get("s") is not None or at in self.codes:
            cell.set("s", str(self.styles.cell(whole(source.get("s")), self.codes.get(at, "General"))))
        value = self.values.get(at)
        formula = self.formulas.get(at)
        if formula is not None:
            etree.SubElement(cell, f"{M}f").text = formula
        if isinstance(value, str) and formula is None:
            cell.set("t", "inlineStr")
            holder = etree.SubElement(cell, f"{M}is")
            if at in self.runs:
                holder.extend(self._run(run) for run in self.runs[at])
            else:
                _text(holder, value)
        elif value is not None:
            put_value(cell, value)

    def _run(self, run: Run) -> Element:
        """A formatted run of a cell's text."""
        made = etree.Element(f"{M}r")
        if run.font is not None:
            made.append(self.styles.font(run.font, "rPr"))
        _text(made, run.text)
        return made

    def _stamp(self, data: Element, made: SharedSheet, stamp: Stamp, widths: dict[int, float]) -> None:
        """Write the stamp under the shown cells, over their width, and let it be printed."""
        first, last = min(a.first_column for a in made.prints), max(a.last_column for a in made.prints)
        filled = [column for _, column in self.values]
        start = max(first, min(filled, default=first))
        seen = (c for c in (*range(start, last + 1), *range(first, last + 1)) if c not in self.view.hidden_columns)
        column = next(seen, last + 1)
        last = max(last, column)
        width = sum(widths.get(c, 8.43) for c in range(column, last + 1))
        row = max(a.last_row for a in made.prints) + 1
        for line in stamp.lines:
            row += 1
            height = 13.0 * math.ceil(len(line) / max(10.0, 1.15 * width)) + 2
            kept = etree.SubElement(data, f"{M}row", r=str(row), ht=f"{height:g}", customHeight="1")
            cell = etree.SubElement(kept, f"{M}c", r=cell_name(row, column), s=str(stamp.style), t="inlineStr")
            _text(etree.SubElement(cell, f"{M}is"), line)
            made.stamped[row, column] = line
            self.record.labels.add(line)
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
            if old.get(name) in ("0", "1", "true", "false"):
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

    def _marks(self, root: Element) -> None:
        """Conditional formats that look at shown cells alone."""
        kept, left = kept_rules(self.source, self.view, self.texts)
        for cells, rules in kept:
            holder = etree.SubElement(root, f"{M}conditionalFormatting", sqref=cells)
            for rule, number in rules:
                if number is not None and (mark := self.styles.mark(number)) is not None:
                    rule.set("dxfId", str(mark))
                holder.append(rule)
                self.record.taken["conditional formats"] += 1
        if left:
            self.record.left_out.append(f"conditional formats ({left}) on {self.view.sheet}")

    def _rules(self, root: Element) -> None:
        """What may be typed, for the cells that the reader fills in: only limits that the page shows."""
        kept, left = [], 0
        waiting = self.cells.open[self.view.sheet]
        for rule in (element for element in self.source.iter() if local(element) == "dataValidation"):
            areas = [area for text in rule.get("sqref", "").split() if (area := read_area(text))]
            if areas and not any(self.view.touches(area) for area in areas):
                continue
            open_ones = [a for a in areas if self.view.shows_all(a) and any(a.holds(*at) for at in waiting)]
            formulas = [rule.findtext(f"{M}{name}") for name in ("formula1", "formula2")]
            limits = [text for text in formulas if text]
            if not open_ones or not limits or not all(self._is_shown_limit(text) for text in limits):
                left += 1
                continue
            made = etree.Element(f"{M}dataValidation")
            _put(made, rule, _RULE)
            made.set("sqref", " ".join(map(str, open_ones)))
            for name, text in zip(("formula1", "formula2"), formulas, strict=True):
                if text:
                    etree.SubElement(made, f"{M}{name}").text = text
            kept.append(made)
        if kept:
            holder = etree.SubElement(root, f"{M}dataValidations", count=str(len(kept)))
            holder.extend(kept)
            self.record.taken["limits of what may be typed"] += len(kept)
        if left:
            self.record.left_out.append(f"rules of what may be typed ({left}) on {self.view.sheet}")

    def _is_shown_limit(self, text: str) -> bool:
        """Whether a limit is 0 or 1, a choice from shown cells, or a list of texts that the page shows."""
        if text.startswith('"') and text.endswith('"') and text.count('"') == 2:
            return all(spaced(choice) in self.texts for choice in text.strip('"').split(","))
        return looks_only_at_shown(text, self.view, self.texts)

    def _links(self, root: Element, made: SharedSheet) -> None:
        """Web and mail addresses that shown cells lead to, and show."""
        holder = etree.Element(f"{M}hyperlinks")
        left = 0
        for link in self.source.iterfind(f"{M}hyperlinks/{M}hyperlink"):
            at = read_cell(link.get("ref", "").partition(":")[0])
            relation = self.relations.get(link.get(f"{R}id", ""))
            address = relation.target if relation is not None and relation.outside else ""
            if not (at and self.view.holds(*at)):
                continue
            shown = self.values.get(at)
            if isinstance(shown, str) and address.startswith(_WEB) and is_shown_address(address, shown):
                key = f"rIdLink{len(made.links) + 1}"
                made.links[key] = address
                self.record.labels.add(address)
                etree.SubElement(holder, f"{M}hyperlink", ref=cell_name(*at)).set(f"{R}id", key)
                self.record.taken["links"] += 1
            else:
                left += 1
        if len(holder):
            root.append(holder)
        if left:
            self.record.left_out.append(f"links whose address is not written out ({left}) on {self.view.sheet}")

    def _paper(self, root: Element, made: SharedSheet, mark: str) -> None:
        self._take(root, self.source, "printOptions", _PRINT)
        self._take(root, self.source, "pageMargins", _MARGINS)
        self._take(root, self.source, "pageSetup", _PAPER)
        header = self._take(root, self.source, "headerFooter", _HEADER)
        if header is not None:
            for kind, text in printed(self._child("headerFooter")):
                seen, words = seen_header(text, self.styles.palette)
                etree.SubElement(header, f"{M}{kind}").text = seen
                self.record.labels.update(words)
                if seen_signs(text) != text:
                    self.record.left_out.append(f"signs that no page shows, in a header or footer on {self.view.sheet}")
                self.record.taken["headers and footers"] += bool(words)
        if mark:
            put_mark(etree.SubElement(root, f"{M}headerFooter") if header is None else header, mark)
            self.record.labels.add(mark)
        for kind in ("rowBreaks", "colBreaks"):
            old = self._child(kind)
            if old is None:
                continue
            inside = [b for b in old.iterfind(f"{M}brk") if self._breaks_inside(kind, whole(b.get("id")), made.prints)]
            across = kind == "rowBreaks"
            end = max(a.last_column if across else a.last_row for a in made.prints)
            if inside:
                holder = etree.SubElement(root, f"{M}{kind}", count=str(len(inside)), manualBreakCount=str(len(inside)))
                for b in inside:
                    etree.SubElement(
                        holder, f"{M}brk", id=str(whole(b.get("id"))), min="0",
                        max=str(end), man="1",
                    )  # fmt: skip

    @staticmethod
    def _breaks_inside(kind: str, place: int, prints: Sequence[Area]) -> bool:
        last = max(a.last_row if kind == "rowBreaks" else a.last_column for a in prints)
        return 0 < place < last

    def _note_what_is_left(self) -> None:
        for kind, words in _LEFT_OUT.items():
            if self._child(kind) is not None:
                self.record.left_out.append(f"{words} on {self.view.sheet}")


def is_shown_address(address: str, text: str) -> bool:
    """Whether a text writes out the address that it leads to.

    >>> is_shown_address("https://example.org/", "example.org"), is_shown_address("https://example.org/?m=3", "ours")
    (True, False)
    """
    bare = address
    for start in _WEB:
        bare = bare.removeprefix(start)
    return spaced(text).removesuffix("/") in {spaced(form).removesuffix("/") for form in (address, bare)}


def _put(made: Element, source: Element, attributes: Mapping[str, re.Pattern[str]]) -> None:
    """Copy the attributes that hold what such attributes hold."""
    for name, form in attributes.items():
        if (given := source.get(name)) is not None and form.fullmatch(given):
            made.set(name, given)


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


def _text(holder: Element, text: str) -> None:
    made = etree.SubElement(holder, f"{M}t")
    made.text = _markless(text)
    if text != text.strip() or "\n" in text or "  " in text:
        made.set(_SPACE, "preserve")


def _markless(text: str) -> str:
    """Text as a cell stores it, for a tree that adds the markup signs by itself."""
    return escaped(text).replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&")
