"""Charts of a shared copy: written anew by a list of what a chart may hold, with the shown values in them."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from typing import Final

from lxml import etree

from stillbook.share.cells import SharedCells
from stillbook.share.colours import Palette
from stillbook.share.displayed import quiet_code
from stillbook.share.drawn import A, C, copied, ground_of, is_read, paragraphs, pieces
from stillbook.share.shown import Shown
from stillbook.workbook.file.address import references, split_reference
from stillbook.workbook.file.chart_caches import point_text
from stillbook.workbook.file.parts import CHART, DRAWING, Element, local, written

_KIND_NAMES: Final = """
barChart bar3DChart lineChart line3DChart areaChart area3DChart scatterChart pieChart pie3DChart doughnutChart
radarChart bubbleChart
"""
_KINDS: Final = frozenset(_KIND_NAMES.split())
_ELEMENT_NAMES: Final = """
chartSpace roundedCorners chart title autoTitleDeleted plotArea legend plotVisOnly dispBlanksAs view3D rotX rotY
rAngAx perspective hPercent depthPercent floor sideWall backWall thickness tx rich layout manualLayout layoutTarget
xMode yMode wMode hMode x y w h overlay spPr txPr barDir grouping varyColors gapWidth gapDepth overlap shape ser idx
order invertIfNegative dPt dLbls dLbl numFmt dLblPos showLegendKey showVal showCatName showSerName showPercent
showBubbleSize showLeaderLines delete cat val xVal yVal bubbleSize bubbleScale smooth marker symbol size explosion
firstSliceAng holeSize scatterStyle radarStyle dropLines hiLowLines upDownBars upBars downBars bubble3D axId catAx
valAx dateAx serAx scaling orientation max min logBase axPos majorGridlines minorGridlines majorTickMark minorTickMark
tickLblPos crossAx crosses crossesAt auto lblAlgn lblOffset noMultiLvlLbl crossBetween majorUnit minorUnit
baseTimeUnit majorTimeUnit minorTimeUnit tickLblSkip tickMarkSkip legendPos legendEntry
"""
_ELEMENTS: Final = _KINDS | frozenset(_ELEMENT_NAMES.split())
_VALUE: Final = re.compile(r"[A-Za-z0-9.+%-]{1,24}")
_AXES: Final = ("axId", "crossAx")
_REFERENCES: Final = ("numRef", "strRef")
_LABELS: Final = ("showVal", "showCatName", "showSerName", "showPercent", "showBubbleSize")


class ChartWithheld(Exception):
    """A chart that must not be shown; the message says why."""


class ChartWriter:
    """Writes one chart.

    Args:
        shown: What is seen of each shown sheet.
        cells: What the cells of the copy hold.
        palette: The colours of the workbook.
    """

    def __init__(self, shown: Mapping[str, Shown], cells: SharedCells, palette: Palette) -> None:
        self.shown = shown
        self.cells = cells
        self.palette = palette
        self.labels: set[str] = set()
        """The texts that it shows beside those of cells."""
        self.left_out: list[str] = []
        self._ground: tuple[str, ...] = ()
        self._has_legend = False
        self._axes: dict[str, int] = {}

    def write(self, source: Element) -> bytes:
        """The chart with the shown values.

        Raises:
            ChartWithheld: If its figures are not shown, or cannot be told.
        """
        ground = ground_of(source.find(f"{C}spPr"), None, self.palette)
        if ground is None:
            raise ChartWithheld("a chart filled with a picture or a pattern")
        self._ground = ground
        legend = source.find(f".//{C}legend")
        self._has_legend = legend is not None and legend.find(f"{C}legendEntry") is None
        plot = source.find(f".//{C}plotArea")
        kinds = {local(e) for e in plot if local(e).endswith("Chart")} if plot is not None else set()
        if not kinds or kinds - _KINDS:
            raise ChartWithheld("a chart of a kind not known here")
        for kind in ("numLit", "strLit", "multiLvlStrRef"):
            if source.find(f".//{C}{kind}") is not None:
                raise ChartWithheld("a chart with figures that stand in no cell")
        root = etree.Element(f"{C}chartSpace", nsmap={"c": CHART, "a": DRAWING})
        made = self._copied(source)
        root.extend(list(made))
        return written(root)

    def _copied(self, source: Element) -> Element:
        made = etree.Element(source.tag)
        kind = local(source)
        value = source.get("val")
        if value is not None and kind in _AXES:
            made.set("val", str(self._axes.setdefault(value, len(self._axes) + 1)))
        elif value is not None and _VALUE.fullmatch(value):
            made.set("val", _about(value))
        if kind == "numFmt":
            made.set("formatCode", quiet_code(source.get("formatCode", "General"), self.cells.texts))
            made.set("sourceLinked", "0")
        if kind in ("x", "y") and value is not None and not -0.05 <= _number(value) <= 1.0:
            raise ChartWithheld("a chart with a part that lies outside of it")
        for child in source:
            name = local(child)
            if child.tag.startswith(A):
                made.append(copied(child))
            elif name in ("spPr", "txPr", "rich"):
                holder = etree.SubElement(made, child.tag)
                holder.extend(copied(inner) for inner in child if inner.tag.startswith(A))
            elif name in _REFERENCES:
                made.append(self._refilled(child))
            elif name == "title" or (name == "tx" and kind == "dLbl"):
                if self._shows_text(child, source):
                    self.labels.update(pieces(child))
                    made.append(self._copied(child))
                elif paragraphs(child):
                    self.left_out.append("a text in a chart that is not seen")
            elif name == "v" and kind == "tx":
                if self._has_legend:
                    self.labels.add(child.text or "")
                    etree.SubElement(made, child.tag).text = child.text
            elif child.tag.startswith(C) and name in _ELEMENTS:
                copy = self._copied(child)
                if name != "tx" or len(copy):
                    made.append(copy)
        return made

    def _shows_text(self, text: Element, holder: Element) -> bool:
        """Whether a title, or the text of a label, is seen."""
        deleted = holder.find(f"{C}delete")
        if deleted is not None and deleted.get("val", "1") in ("1", "true"):
            return False
        if local(holder) == "dLbl" and not any(
            (flag := holder.find(f"{C}{name}")) is not None and flag.get("val", "1") in ("1", "true")
            for name in _LABELS
        ):
            return False
        ground = ground_of(text.find(f"{C}spPr"), None, self.palette, self._ground[0])
        return ground is not None and is_read(text, None, ground, self.palette)

    def _refilled(self, reference: Element) -> Element:
        """A chart's reference to shown cells, with their values."""
        cells = split_reference(reference.findtext(f"{C}f", ""))
        sheet = next((name for name in self.shown if cells and name.casefold() == cells[0].casefold()), None)
        if cells is None or sheet is None:
            raise ChartWithheld("a chart whose figures are not shown")
        view, area = self.shown[sheet], cells[1]
        if not view.shows_all(area) or not all(view.shows(*at) and at not in view.unseen for at in area.cells()):
            raise ChartWithheld("a chart whose figures are not shown")
        values = [self.cells.values[sheet].get(at) for at in area.cells()]
        numeric = local(reference) == "numRef"
        made = etree.Element(reference.tag)
        etree.SubElement(made, f"{C}f").text = references(sheet, [area])
        cache = etree.SubElement(made, f"{C}{'numCache' if numeric else 'strCache'}")
        if numeric:
            etree.SubElement(cache, f"{C}formatCode").text = "General"
        etree.SubElement(cache, f"{C}ptCount").set("val", str(len(values)))
        for place, value in enumerate(values):
            text = point_text(value, numeric=numeric)
            if text is not None:
                point = etree.SubElement(cache, f"{C}pt")
                point.set("idx", str(place))
                etree.SubElement(point, f"{C}v").text = text
        return made


def _about(text: str) -> str:
    """A setting of a chart; a number with no more figures than change a drawing.

    >>> _about("73519.25"), _about("0.25"), _about("clustered")
    ('73520', '0.25', 'clustered')
    """
    try:
        number = float(text)
    except ValueError:
        return text
    return f"{float(f'{number:.4g}'):.15g}" if math.isfinite(number) else text


def _number(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        return 2.0
