"""Pictures, shapes and charts of a shared copy: taken over where all they show may be seen, and nothing with them."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from lxml import etree

from stillbook.share.cells import SharedCells
from stillbook.share.charts import ChartWithheld, ChartWriter
from stillbook.share.colours import Palette
from stillbook.share.drawn import (
    A,
    C,
    D,
    copied,
    fits,
    ground_of,
    has_unseen_signs,
    is_filled,
    is_read,
    paragraphs,
    pieces,
    stands_oddly,
)
from stillbook.share.photos import bare_picture, is_png, lets_through, shorter_side
from stillbook.share.places import Box, box_drawn, corner_of
from stillbook.share.sheets import Record
from stillbook.share.shown import Shown
from stillbook.workbook.file.markup import decimal, whole
from stillbook.workbook.file.package import Package
from stillbook.workbook.file.parts import CHART, DRAWING, RELATIONS, SHEET_DRAWING, Element, Parts, local

R: Final = f"{{{RELATIONS}}}"
_ANCHORS: Final = ("twoCellAnchor", "oneCellAnchor")
_PLACES: Final = ("col", "colOff", "row", "rowOff")
_PLAIN_FORMS: Final = ("rect", "roundRect")
_LEAST_SIZE: Final = 76_200
"""Eight dots of a screen: what is drawn smaller is not seen."""

_DOT: Final = 9_525
"""A dot of a screen, in the units of drawings."""

_FRAME: Final = """
<xdr:graphicFrame xmlns:xdr="{sheet}" xmlns:a="{main}" xmlns:c="{chart}" xmlns:r="{relations}" macro="">
<xdr:nvGraphicFramePr><xdr:cNvPr id="{number}" name="Chart {number}"/><xdr:cNvGraphicFramePr/></xdr:nvGraphicFramePr>
<xdr:xfrm><a:off x="0" y="0"/><a:ext cx="0" cy="0"/></xdr:xfrm>
<a:graphic><a:graphicData uri="{chart}"><c:chart r:id="{key}"/></a:graphicData></a:graphic></xdr:graphicFrame>
"""
_PICTURE: Final = """
<xdr:pic xmlns:xdr="{sheet}" xmlns:a="{main}" xmlns:r="{relations}">
<xdr:nvPicPr><xdr:cNvPr id="{number}" name="Picture {number}"/><xdr:cNvPicPr/></xdr:nvPicPr>
<xdr:blipFill><a:blip r:embed="{key}"/><a:stretch><a:fillRect/></a:stretch></xdr:blipFill></xdr:pic>
"""
_SPACES: Final = {"sheet": SHEET_DRAWING, "main": DRAWING, "chart": CHART, "relations": RELATIONS}


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


def overlaid(parts: Parts, view: Shown) -> tuple[Box, ...]:
    """What of a sheet lies under pictures, charts and filled shapes."""
    part = parts.related(view.part, "drawing")
    if part is None:
        return ()
    relations = parts.relations(part)
    return tuple(box_drawn(view, anchor) for anchor in parts.tree(part) if _hides(parts, anchor, relations))


def _refuse_overdrawn(
    parts: Parts, view: Shown, anchor: Element, later: Sequence[Element], relations: Mapping[str, Any]
) -> None:
    """Raise where something lies under what is drawn after it."""
    here = box_drawn(view, anchor)
    if any(box_drawn(view, other).covers(here) for other in later if _hides(parts, other, relations)):
        raise _Withheld("something drawn under something else")


def _hides(parts: Parts, anchor: Element, relations: Mapping[str, Any]) -> bool:
    for drawn in anchor:
        kind = local(drawn)
        if any(name.get("hidden") in ("1", "true") for name in drawn.iter(f"{D}cNvPr")):
            return False
        if kind in ("graphicFrame", "AlternateContent", "grpSp"):
            return True
        if kind == "sp":
            return is_filled(drawn.find(f"{D}spPr"), drawn.find(f"{D}style"))
        if kind == "pic":
            blip = drawn.find(f".//{A}blip")
            relation = relations.get(blip.get(f"{R}embed", "")) if blip is not None else None
            if relation is None or relation.outside or relation.target not in parts.names:
                return True
            return not lets_through(parts.read(relation.target))
    return False


class PictureWriter:
    """Writes the drawings of the shown sheets.

    Args:
        package: The source, calculated.
        shown: What is seen of each shown sheet.
        cells: What the cells of the copy hold.
        palette: The colours of the workbook.
        record: Notes what is shown.
    """

    def __init__(
        self, package: Package, shown: Mapping[str, Shown], cells: SharedCells, palette: Palette, record: Record
    ) -> None:
        self.package = package
        self.parts = package.parts()
        self.shown = shown
        self.cells = cells
        self.palette = palette
        self.record = record
        self.made: dict[str, bytes] = {}
        """Contents of the parts written: media and charts."""
        self.charts: list[str] = []
        self.points: dict[str, list[str]] = {}
        """The figures of points that stand on no shown sheet, by the part of their chart."""
        self._media: dict[str, str] = {}
        self._drawn_things = 0

    def drawing(self, view: Shown) -> Drawing:
        """The drawing of one sheet."""
        part = self.parts.related(view.part, "drawing")
        made = Drawing()
        if part is None:
            return made
        relations = self.parts.relations(part)
        root = etree.Element(f"{D}wsDr", nsmap={"xdr": SHEET_DRAWING, "a": DRAWING})
        anchors = list(self.parts.tree(part))
        for place, anchor in enumerate(anchors):
            try:
                _refuse_overdrawn(self.parts, view, anchor, anchors[place + 1 :], relations)
                root.append(self._anchor(view, anchor, relations, made))
            except (_Withheld, ChartWithheld) as reason:
                self.record.left_out.append(f"{reason} on {view.sheet}")
        if len(root):
            made.root = root
        return made

    # --- one thing drawn ----------------------------------------------------------------------------------------------

    def _anchor(self, view: Shown, anchor: Element, relations: Mapping[str, Any], made: Drawing) -> Element:
        """A copy of what is drawn at one place."""
        if local(anchor) not in _ANCHORS:
            raise _Withheld("something drawn that is not fixed to a cell")
        column, _, row, _ = corner_of(anchor.find(f"{D}from"))
        if not view.shows(row + 1, column + 1):
            raise _Withheld("something drawn outside of the shown cells")
        if any(name.get("hidden") in ("1", "true") for name in anchor.iter(f"{D}cNvPr")):
            raise _Withheld("a hidden shape, picture or chart")
        rows, columns = _span(view, anchor, self._natural(anchor, relations))
        kept = etree.Element(anchor.tag)
        if anchor.get("editAs") in ("twoCell", "oneCell", "absolute"):
            kept.set("editAs", anchor.get("editAs"))
        drawn = False
        for child in anchor:
            kind = local(child)
            if kind in ("from", "to"):
                corner = etree.SubElement(kept, child.tag)
                for name, place in zip(_PLACES, corner_of(child), strict=True):
                    etree.SubElement(corner, f"{D}{name}").text = str(place)
            elif kind == "ext":
                etree.SubElement(kept, child.tag, cx=str(whole(child.get("cx"))), cy=str(whole(child.get("cy"))))
            elif kind != "clientData":
                if drawn:
                    raise _Withheld("something drawn in a way not known here")
                drawn = True
                kept.append(self._drawn(child, relations, made, rows, columns))
        etree.SubElement(kept, f"{D}clientData")
        return kept

    def _natural(self, anchor: Element, relations: Mapping[str, Any]) -> int:
        """The shorter side of a picture in its own dots; 0 where it is not known."""
        blip = anchor.find(f"{D}pic//{A}blip")
        relation = relations.get(blip.get(f"{R}embed", "")) if blip is not None else None
        if relation is None or relation.outside or relation.target not in self.parts.names:
            return 0
        return shorter_side(self.parts.read(relation.target))

    def _drawn(self, source: Element, relations: Mapping[str, Any], made: Drawing, rows: int, columns: int) -> Element:
        kind = local(source)
        if kind not in ("pic", "graphicFrame", "sp", "cxnSp"):
            raise _Withheld("a group of shapes" if kind == "grpSp" else "something drawn in a way not known here")
        self._drawn_things += 1
        if kind in ("sp", "cxnSp"):
            return self._shape(source, rows, columns)
        writers: dict[str, Callable[[Element, Mapping[str, Any], Drawing], Element]] = {
            "pic": self._picture,
            "graphicFrame": self._chart_frame,
        }
        return writers[kind](source, relations, made)

    def _shape(self, shape: Element, rows: int, columns: int) -> Element:
        """A shape with its text, unless it shows a cell, holds a picture, or its text is not seen."""
        if shape.get("textlink"):
            raise _Withheld("a shape that shows a cell")
        properties, style = shape.find(f"{D}spPr"), shape.find(f"{D}style")
        if any(
            name.startswith(R)
            for element in shape.iter()
            for name in element.attrib
            if local(element) not in ("hlinkClick", "hlinkHover")
        ):
            raise _Withheld("a shape filled with a picture")
        if properties is not None and properties.find(f"{A}custGeom") is not None:
            raise _Withheld("a shape drawn by hand")
        ground = ground_of(properties, style, self.palette)
        texts = paragraphs(shape)
        if texts and (local(shape) == "cxnSp" or stands_oddly(shape)):
            raise _Withheld("a shape whose text is not seen")
        if texts and (ground is None or not is_read(shape, style, ground, self.palette)):
            raise _Withheld("a shape whose text is not seen")
        if texts and not fits(shape, rows, columns):
            raise _Withheld("a shape with more text than it shows")
        kept = copied(shape)
        number = str(self._drawn_things)
        kind = "Line" if local(shape) == "cxnSp" else "Shape"
        holder = kept.find(f"{D}nvSpPr") if kind == "Shape" else kept.find(f"{D}nvCxnSpPr")
        if holder is None:
            raise _Withheld("something drawn in a way not known here")
        named = etree.Element(f"{D}cNvPr", id=number, name=f"{kind} {number}")
        holder.insert(0, named)
        kept.set("macro", "")
        self.record.labels.update(pieces(shape))
        if has_unseen_signs(shape):
            self.record.left_out.append("signs that no page shows, in a shape")
        self.record.taken["shapes and lines"] += 1
        return kept

    def _picture(self, picture: Element, relations: Mapping[str, Any], made: Drawing) -> Element:
        """A picture, without notes that its file carries."""
        for crop in picture.iter(f"{A}srcRect", f"{A}fillRect"):
            if any(decimal(value.rstrip("%") or None, 0) for value in crop.attrib.values()):
                raise _Withheld("a picture whose cut-off edges are still in it (cut it for good first)")
        blip = picture.find(f".//{A}blip")
        relation = relations.get(blip.get(f"{R}embed", "")) if blip is not None else None
        if blip is None or relation is None or relation.outside:
            raise _Withheld("a picture that lies in another file")
        form = picture.find(f"{D}spPr/{A}prstGeom")
        formed = form is not None and form.get("prst") not in _PLAIN_FORMS
        if formed or picture.find(f"{D}spPr/{A}custGeom") is not None or picture.find(f".//{A}tile") is not None:
            raise _Withheld("a picture cut to a form (cut it for good first)")
        if any(local(child) != "extLst" for child in blip):
            raise _Withheld("a picture whose colours are changed (save it as it is to be seen)")
        data = bare_picture(self.parts.read(relation.target))
        if data is None:
            raise _Withheld("a picture in a format that may hide text (save it as PNG or JPEG)")
        target = self._media.get(relation.target)
        if target is None:
            target = f"xl/media/image{len(self._media) + 1}.{'png' if is_png(data) else 'jpeg'}"
            self._media[relation.target] = target
            self.made[target] = data
        key = f"rId{len(made.relations) + 1}"
        made.relations[key] = ("image", target)
        kept = _parsed(_PICTURE, number=self._drawn_things, key=key)
        properties = picture.find(f"{D}spPr")
        kept.append(copied(properties) if properties is not None else etree.Element(f"{D}spPr"))
        self.record.taken["pictures"] += 1
        return kept

    def _chart_frame(self, frame: Element, relations: Mapping[str, Any], made: Drawing) -> Element:
        holder = frame.find(f".//{C}chart")
        relation = relations.get(holder.get(f"{R}id", "")) if holder is not None else None
        if relation is None or relation.outside or relation.kind != "chart":
            raise _Withheld("a diagram that is no plain chart")
        writer = ChartWriter(self.package, self.shown, self.cells, self.palette)
        data = writer.write(self.parts.tree(relation.target))
        self.record.labels |= writer.labels
        self.record.left_out += writer.left_out
        self.record.taken["charts"] += 1
        target = f"xl/charts/chart{len(self.charts) + 1}.xml"
        self.charts.append(target)
        self.made[target] = data
        self.points[target] = writer.points
        key = f"rId{len(made.relations) + 1}"
        made.relations[key] = ("chart", target)
        return _parsed(_FRAME, number=self._drawn_things, key=key)


def _parsed(form: str, *, number: int, key: str) -> Element:
    return etree.fromstring("".join(form.format(**_SPACES, number=number, key=key).strip().splitlines()))


def _span(view: Shown, anchor: Element, natural: int) -> tuple[int, int]:
    """How many rows and columns something covers that are seen.

    Args:
        view: What is seen of the sheet.
        anchor: The place of what is drawn.
        natural: The shorter side of a picture in its own dots; 0 for anything else, or where it is not known.

    Raises:
        _Withheld: If it is too small to be seen.
    """
    left, left_off, top, top_off = corner_of(anchor.find(f"{D}from"))
    end, size = anchor.find(f"{D}to"), anchor.find(f"{D}ext")
    if end is None:
        wide, high = (whole(size.get("cx")), whole(size.get("cy"))) if size is not None else (0, 0)
        least = min(_LEAST_SIZE, natural * _DOT) or _LEAST_SIZE
        seen = wide >= least and high >= least
        rows, columns = 1 + high // 190_500, 1 + wide // 609_600
    else:
        right, right_off, bottom, bottom_off = corner_of(end)
        rows = sum(row not in view.hidden_rows for row in range(top + 1, bottom + 2))
        columns = sum(column not in view.hidden_columns for column in range(left + 1, right + 2))
        thin = (
            right == left and right_off - left_off < _LEAST_SIZE,
            bottom == top and bottom_off - top_off < _LEAST_SIZE,
        )
        line = anchor.find(f"{D}cxnSp") is not None
        seen = rows > 0 and columns > 0 and (not all(thin) if line else not any(thin))
    if not seen:
        raise _Withheld("something drawn too small to be seen")
    return rows, columns
