"""Pictures, shapes and charts of a shared copy: taken over where all they show may be seen, and nothing with them."""

from __future__ import annotations

import copy
import struct
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from lxml import etree

from stillbook.cells import Cell
from stillbook.share.cells import SharedCells
from stillbook.share.sheets import Record
from stillbook.share.shown import Shown
from stillbook.workbook.file.address import split_reference
from stillbook.workbook.file.markup import decimal, whole
from stillbook.workbook.file.parts import CHART, DRAWING, RELATIONS, SHEET_DRAWING, Element, Parts, local
from stillbook.workbook.file.sheet import number_text

D: Final = f"{{{SHEET_DRAWING}}}"
A: Final = f"{{{DRAWING}}}"
C: Final = f"{{{CHART}}}"
R: Final = f"{{{RELATIONS}}}"

_ANCHORS: Final = ("twoCellAnchor", "oneCellAnchor")
_NOT_TAKEN: Final = frozenset(
    f"{space}{kind}"
    for space, kinds in (
        (C, "extLst externalData userShapes printSettings pivotSource pivotFmts clrMapOvr autoUpdate"),
        (A, "extLst hlinkClick hlinkHover blipFill"),
    )
    for kind in kinds.split()
)
_PNG: Final = b"\x89PNG\r\n\x1a\n"
_PNG_CHUNKS: Final = frozenset(
    (b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"gAMA", b"cHRM", b"sRGB", b"sBIT", b"bKGD", b"pHYs")
)


@dataclass(slots=True)
class Drawing:
    """The drawing of one sheet as written.

    Args:
        root: The tree of its part; None where nothing is left to draw.
        relations: Kind and part of what it leads to, by id.
    """

    root: Element = None
    relations: dict[str, tuple[str, str]] = field(default_factory=dict)


class _Withheld(Exception):
    """Something in a drawing that must not be shown; the message says what."""


class PictureWriter:
    """Writes the drawings of the shown sheets.

    Args:
        parts: The source, calculated.
        shown: What is seen of each shown sheet.
        cells: What the cells of the copy hold.
        record: Notes what is shown.
    """

    def __init__(self, parts: Parts, shown: Mapping[str, Shown], cells: SharedCells, record: Record) -> None:
        self.parts = parts
        self.shown = shown
        self.cells = cells
        self.record = record
        self.made: dict[str, bytes] = {}
        """Contents of the parts written: media and charts."""
        self.charts: list[str] = []
        self._media: dict[str, str] = {}

    def drawing(self, view: Shown) -> Drawing:
        """The drawing of one sheet."""
        part = self.parts.related(view.part, "drawing")
        made = Drawing()
        if part is None:
            return made
        relations = self.parts.relations(part)
        root = etree.Element(f"{D}wsDr", nsmap={"xdr": SHEET_DRAWING, "a": DRAWING})
        for anchor in self.parts.tree(part):
            try:
                root.append(self._anchor(view, anchor, relations, made))
            except _Withheld as reason:
                self.record.left_out.append(f"{reason} on {view.sheet}")
        if len(root):
            made.root = root
        return made

    # --- one thing drawn ----------------------------------------------------------------------------------------------

    def _anchor(self, view: Shown, anchor: Element, relations: Mapping[str, Any], made: Drawing) -> Element:
        """A copy of what is drawn at one place."""
        if local(anchor) not in _ANCHORS:
            raise _Withheld("something drawn that is not fixed to a cell")
        row, column = _corner(anchor.find(f"{D}from"))
        if not view.shows(row, column):
            raise _Withheld("something drawn outside of the shown cells")
        kept = etree.Element(anchor.tag)
        if anchor.get("editAs"):
            kept.set("editAs", anchor.get("editAs"))
        for child in anchor:
            kind = local(child)
            if kind in ("from", "to", "ext"):
                kept.append(copy.deepcopy(child))
            elif kind != "clientData":
                kept.append(self._drawn(child, relations, made))
        etree.SubElement(kept, f"{D}clientData")
        return kept

    def _drawn(self, source: Element, relations: Mapping[str, Any], made: Drawing) -> Element:
        kinds: dict[str, Callable[[Element, Mapping[str, Any], Drawing], Element]] = {
            "pic": self._picture,
            "graphicFrame": self._chart_frame,
            "sp": self._shape,
            "cxnSp": self._shape,
        }
        kind = local(source)
        if kind not in kinds:
            raise _Withheld("a group of shapes" if kind == "grpSp" else "something drawn in a way not known here")
        kept = kinds[kind](copy.deepcopy(source), relations, made)
        for element in list(kept.iter()):
            if element.tag in _NOT_TAKEN and element.getparent() is not None and local(element) != "blipFill":
                element.getparent().remove(element)
            elif local(element) == "cNvPr":
                for name in set(element.attrib) - {"id"}:
                    del element.attrib[name]
                element.set("name", f"{_NAMES[kind]} {element.get('id', '1')}")
                self.record.texts.add(element.get("name"))
        for name in ("macro", "textlink", "fPublished"):
            kept.attrib.pop(name, None)
        if kind in ("sp", "cxnSp", "graphicFrame"):
            kept.set("macro", "")
        return kept

    def _shape(self, shape: Element, _: Mapping[str, Any], __: Drawing) -> Element:
        """A shape with its text, unless it shows a cell or holds a picture."""
        if shape.get("textlink"):
            raise _Withheld("a shape that shows a cell")
        if any(
            name.startswith(R) for element in shape.iter() for name in element.attrib if local(element) != "hlinkClick"
        ):
            raise _Withheld("a shape filled with a picture")
        for paragraph in shape.iter(f"{A}p"):
            self.record.texts.add("".join(paragraph.itertext()))
        return shape

    def _picture(self, picture: Element, relations: Mapping[str, Any], made: Drawing) -> Element:
        """A picture, without notes that its file carries."""
        crop = picture.find(f".//{A}srcRect")
        if crop is not None and any(decimal(value.rstrip("%") or None, 0) for value in crop.attrib.values()):
            raise _Withheld("a picture whose cut-off edges are still in it (cut it for good first)")
        blip = picture.find(f".//{A}blip")
        relation = relations.get(blip.get(f"{R}embed", "")) if blip is not None else None
        if blip is None or relation is None or relation.outside:
            raise _Withheld("a picture that lies in another file")
        data = bare_picture(self.parts.read(relation.target))
        if data is None:
            raise _Withheld("a picture in a format that may hide text (save it as PNG or JPEG)")
        target = self._media.get(relation.target)
        if target is None:
            suffix = "png" if data.startswith(_PNG) else "jpeg"
            target = f"xl/media/image{len(self._media) + 1}.{suffix}"
            self._media[relation.target] = target
            self.made[target] = data
        key = f"rId{len(made.relations) + 1}"
        made.relations[key] = ("image", target)
        for child in list(blip):
            if local(child) == "extLst":
                blip.remove(child)
        blip.attrib.clear()
        blip.set(f"{R}embed", key)
        return picture

    # --- charts -------------------------------------------------------------------------------------------------------

    def _chart_frame(self, frame: Element, relations: Mapping[str, Any], made: Drawing) -> Element:
        holder = frame.find(f".//{C}chart")
        relation = relations.get(holder.get(f"{R}id", "")) if holder is not None else None
        if relation is None or relation.outside or relation.kind != "chart":
            raise _Withheld("a diagram that is no plain chart")
        data = self._chart(self.parts.tree(relation.target))
        target = f"xl/charts/chart{len(self.charts) + 1}.xml"
        self.charts.append(target)
        self.made[target] = data
        key = f"rId{len(made.relations) + 1}"
        made.relations[key] = ("chart", target)
        holder.set(f"{R}id", key)
        return frame

    def _chart(self, root: Element) -> bytes:
        """A chart with the shown values in place of what it remembered."""
        for element in list(root.iter()):
            parent = element.getparent()
            if parent is None:
                continue
            foreign = etree.QName(element).namespace not in (CHART, DRAWING)
            if foreign or element.tag in _NOT_TAKEN or any(name.startswith(R) for name in element.attrib):
                parent.remove(element)
        for reference in list(root.iter(f"{C}numRef", f"{C}strRef", f"{C}multiLvlStrRef")):
            self._refill(reference)
        for kind in ("numLit", "strLit"):
            if root.find(f".//{C}{kind}") is not None:
                raise _Withheld("a chart with figures that stand in no cell")
        for text in root.iter(f"{A}p"):
            self.record.texts.add("".join(text.itertext()))
        etree.cleanup_namespaces(root)
        return bytes(etree.tostring(root, xml_declaration=True, encoding="UTF-8", standalone=True))

    def _refill(self, reference: Element) -> None:
        """Put the values of the shown cells into a chart's reference."""
        cells = split_reference(reference.findtext(f"{C}f", ""))
        sheet = next((name for name in self.shown if cells and name.casefold() == cells[0].casefold()), None)
        if local(reference) == "multiLvlStrRef" or cells is None or sheet is None:
            raise _Withheld("a chart whose figures are not shown")
        view, area = self.shown[sheet], cells[1]
        if not view.shows_all(area) or not all(view.shows(*at) for at in area.cells()):
            raise _Withheld("a chart whose figures are not shown")
        values = [self.cells.values[sheet].get(at) for at in area.cells()]
        self.record.texts.add(reference.findtext(f"{C}f", ""))
        for child in list(reference):
            if local(child) != "f":
                reference.remove(child)
        numeric = local(reference) == "numRef"
        cache = etree.SubElement(reference, f"{C}{'numCache' if numeric else 'strCache'}")
        if numeric:
            etree.SubElement(cache, f"{C}formatCode").text = "General"
        etree.SubElement(cache, f"{C}ptCount").set("val", str(len(values)))
        for place, value in enumerate(values):
            text = point_text(value, numeric=numeric)
            if text is not None:
                point = etree.SubElement(cache, f"{C}pt")
                point.set("idx", str(place))
                etree.SubElement(point, f"{C}v").text = text
                if not numeric:
                    self.record.texts.add(text)


_NAMES: Final = {"pic": "Picture", "graphicFrame": "Chart", "sp": "Shape", "cxnSp": "Line"}


def point_text(value: Cell, *, numeric: bool) -> str | None:
    """What a chart remembers of a cell; None for nothing."""
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    if numeric:
        return number_text(float(value)) if is_number else None  # type: ignore[arg-type]
    if value in (None, ""):
        return None
    return f"{value:.10g}" if is_number else str(value)


def _corner(element: Element) -> tuple[int, int]:
    """Row and column of a corner, counted from 1."""
    if element is None:
        return 0, 0
    return whole(element.findtext(f"{D}row"), -1) + 1, whole(element.findtext(f"{D}col"), -1) + 1


def bare_picture(data: bytes) -> bytes | None:
    """A PNG or JPEG picture without the notes in its file; None for any other, or a damaged one.

    Such files can name their author, their place, their program, or hold a smaller picture of an earlier state.
    """
    try:
        if data.startswith(_PNG):
            return _bare_png(data)
        if data.startswith(b"\xff\xd8"):
            return _bare_jpeg(data)
    except (struct.error, IndexError):
        return None
    return None


def _bare_png(data: bytes) -> bytes | None:
    out = bytearray(_PNG)
    at = len(_PNG)
    while at < len(data):
        (length,) = struct.unpack_from(">I", data, at)
        kind, end = data[at + 4 : at + 8], at + 12 + length
        if end > len(data):
            return None
        if kind in _PNG_CHUNKS:
            out += data[at:end]
        if kind == b"IEND":
            return bytes(out)
        at = end
    return None


def _bare_jpeg(data: bytes) -> bytes | None:
    """Segments that carry notes are left out, but for the one that says how colours are coded."""
    out = bytearray(b"\xff\xd8")
    at = 2
    while at < len(data):
        if data[at] != 0xFF:
            return None
        mark = data[at + 1]
        if mark == 0xFF:
            at += 1
            continue
        if mark == 0xD9:
            return bytes(out + b"\xff\xd9")
        (length,) = struct.unpack_from(">H", data, at + 2)
        end = at + 2 + length
        is_note = mark == 0xFE or (0xE0 <= mark <= 0xEF and mark != 0xEE)
        if not is_note:
            out += data[at:end]
        if mark == 0xDA:
            scan = end
            while not (data[scan] == 0xFF and data[scan + 1] != 0 and not 0xD0 <= data[scan + 1] <= 0xD7):
                scan += 1
            out += data[end:scan]
            end = scan
        at = end
    return None
