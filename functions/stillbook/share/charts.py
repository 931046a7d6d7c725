"""Charts of a shared copy: written anew by a list of what a chart may hold, with the shown values in them."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from typing import Final

from lxml import etree

from stillbook.cells import Cell, ErrorValue, fifteen
from stillbook.share.cells import SharedCells
from stillbook.share.colours import Palette
from stillbook.share.displayed import quiet_code
from stillbook.share.drawn import A, C, copied, ground_of, has_unseen_signs, is_look_read, is_read, paragraphs, pieces
from stillbook.share.shown import Shown, measure
from stillbook.share.signs import seen_signs
from stillbook.workbook.file.address import Area, references, split_reference
from stillbook.workbook.file.chart_caches import point_text
from stillbook.workbook.file.markup import decimal, whole
from stillbook.workbook.file.package import Package
from stillbook.workbook.file.parts import CHART, DRAWING, Element, local, written
from stillbook.workbook.file.sheet import number_text

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
_FIGURE_LABELS: Final = ("showVal", "showCatName", "showBubbleSize", "showPercent")
_LONGEST_TITLE, _MOST_LINES = 300, 8
_MOST_POINTS: Final = 10_000
_DRAWN_FIGURES: Final = 3
"""A drawing shows its points to a thousandth of its width, or finer."""

_LABELS: Final = ("showVal", "showCatName", "showSerName", "showPercent", "showBubbleSize")


class ChartWithheld(Exception):
    """A chart that must not be shown; the message says why."""


class ChartWriter:
    """Writes one chart.

    Args:
        package: The workbook, calculated.
        shown: What is seen of each shown sheet.
        cells: What the cells of the copy hold.
        palette: The colours of the workbook.
    """

    def __init__(self, package: Package, shown: Mapping[str, Shown], cells: SharedCells, palette: Palette) -> None:
        self.package = package
        self._parts = package.parts()
        self.shown = shown
        self.cells = cells
        self.palette = palette
        self.labels: set[str] = set()
        """The texts that it shows beside those of cells."""
        self.left_out: list[str] = []
        self.points: list[str] = []
        """The figures in it of points that stand on sheets that are not shown, in the order of its part."""
        self._ground: tuple[str, ...] = ()
        self._around: list[Element] = []
        self._limits: dict[str, tuple[float, float]] = {}
        self._is_drawing = False
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
        self._around = source.findall(f"{C}txPr/{A}p/{A}pPr/{A}defRPr")
        self._has_legend = legend is not None and legend.find(f"{C}legendEntry") is None and self._is_read(legend, [])
        plot = source.find(f".//{C}plotArea")
        kinds = {local(e) for e in plot if local(e).endswith("Chart")} if plot is not None else set()
        if not kinds or kinds - _KINDS:
            raise ChartWithheld("a chart of a kind not known here")
        self._is_drawing = kinds == {"scatterChart"}
        for axis in plot.iterfind(f"{C}valAx"):
            if (limits := _limits_of(axis)) is not None:
                lies = axis.find(f"{C}axPos")
                self._limits["x" if lies is not None and lies.get("val") in ("b", "t") else "y"] = limits
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
        most = 0.9 if any(local(holder) == "title" for holder in source.iterancestors()) else 1.0
        if kind in ("x", "y") and value is not None and not -0.05 <= _number(value) <= most:
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
            elif name == "ser" and self._is_hidden_drawing(child) and _draws_nothing(child):
                self.left_out.append("a part of a chart that draws nothing")
            elif name == "title" or (name == "tx" and kind == "dLbl"):
                if self._shows_text(child, source):
                    self.labels.update(pieces(child))
                    made.append(self._copied(child))
                elif paragraphs(child):
                    self.left_out.append("a text in a chart that is not seen")
            elif name == "v" and kind == "tx":
                self._name(made, source.getparent(), child.text or "")
            elif name == "tx" and kind == "ser" and self._is_hidden_drawing(source, ("tx",)):
                named = etree.SubElement(made, child.tag)
                self._name(named, source, _words_of(self._hidden_values(child.find(f"{C}strRef"))))
                if not len(named):
                    made.remove(named)
            elif child.tag.startswith(C) and name in _ELEMENTS:
                copy = self._copied(child)
                if name != "tx" or len(copy):
                    made.append(copy)
        return made

    def _name(self, holder: Element, series: Element, text: str) -> None:
        """Write the name of a series where the legend, or labels at its points, show it."""
        labels = series.find(f"{C}dLbls")
        labelled = labels is not None and _is_on(labels.find(f"{C}showSerName")) and self._is_read(labels, [])
        if self._has_legend or labelled:
            seen = seen_signs(text)
            self.labels.add(seen)
            etree.SubElement(holder, f"{C}v").text = seen
            if seen != text:
                self.left_out.append("signs that no page shows, in a chart")

    def _is_read(self, holder: Element, around: list[Element]) -> bool:
        """Whether text can be read in the look that a legend or labels give it."""
        ground = ground_of(holder.find(f"{C}spPr"), None, self.palette, self._ground[0])
        looks = [*holder.findall(f"{C}txPr/{A}p/{A}pPr/{A}defRPr"), *around, *self._around]
        return ground is not None and is_look_read(looks, ground, self.palette)

    def _shows_text(self, text: Element, holder: Element) -> bool:
        """Whether a title, or the text of a label, is seen."""
        if _is_on(holder.find(f"{C}delete"), missing=False):
            return False
        if has_unseen_signs(text):
            self.left_out.append("signs that no page shows, in a chart")
        around = list(self._around)
        if local(holder) == "dLbl":
            if not any(_is_on(holder.find(f"{C}{name}")) for name in _LABELS) or not self._has_point(holder):
                return False
            around = [*holder.getparent().findall(f"{C}txPr/{A}p/{A}pPr/{A}defRPr"), *around]
        lines = paragraphs(text)
        if sum(map(len, lines)) > _LONGEST_TITLE or sum(1 for _ in text.iter(f"{A}p", f"{A}br")) > _MOST_LINES:
            return False
        ground = ground_of(text.find(f"{C}spPr"), None, self.palette, self._ground[0])
        return ground is not None and is_read(text, None, ground, self.palette, around)

    def _has_point(self, label: Element) -> bool:
        """Whether the point is drawn to which a label belongs."""
        series, place = label.getparent().getparent(), label.find(f"{C}idx")
        number = whole(place.get("val"), -1) if place is not None else -1
        for kind, axis in (("val", "y"), ("yVal", "y"), ("xVal", "x")):
            for reference in series.iterfind(f"{C}{kind}/{C}numRef"):
                values = self._values_of(reference)
                value = values[number] if 0 <= number < len(values) else None
                low, high = self._limits.get(axis, (-math.inf, math.inf))
                if not is_figure(value) or not low <= float(value) <= high:  # type: ignore[arg-type]
                    return False
        return number >= 0

    # --- points ---------------------------------------------------------------------------------------------------

    def _home(self, reference: Element) -> tuple[str, Area]:
        """Sheet and cells of a reference."""
        cells = split_reference(reference.findtext(f"{C}f", "")) if reference is not None else None
        sheet = self.package.find_sheet(cells[0]) if cells is not None else None
        if cells is None or sheet is None:
            raise ChartWithheld("a chart whose figures are not shown")
        return sheet, cells[1]

    def _values_of(self, reference: Element) -> list[Cell]:
        sheet, area = self._home(reference)
        if sheet in self.shown:
            return [self.cells.values[sheet].get(at) for at in area.cells()]
        cells = area.cells() if area.rows * area.columns <= _MOST_POINTS else ()
        return [self.package.value(sheet, *at) for at in cells]

    def _is_hidden_drawing(self, series: Element, kinds: tuple[str, ...] = ("xVal", "yVal")) -> bool:
        """Whether a chart is a drawing by points, and some of a series' parts stand on a sheet that is not shown."""
        references = (series.find(f"{C}{kind}/{C}{name}") for kind in kinds for name in _REFERENCES)
        return self._is_drawing and any(r is not None and self._home(r)[0] not in self.shown for r in references)

    def _hidden_values(self, reference: Element) -> list[Cell]:
        """The values of cells on a sheet that is not shown, as a drawing by points shows them."""
        sheet, area = self._home(reference)
        if area.rows * area.columns > _MOST_POINTS:
            raise ChartWithheld("a chart of more points than are told apart")
        view = Shown(sheet, "", (area,))
        measure(view, self._tree(sheet))
        chart = next(e for e in reference.iterancestors() if local(e) == "chart")
        if _is_on(chart.find(f"{C}plotVisOnly"), missing=True) and not all(view.shows(*at) for at in area.cells()):
            raise ChartWithheld("a chart of points in hidden rows or columns")
        return [self.package.value(sheet, *at) for at in area.cells()]

    def _tree(self, sheet: str) -> Element:
        """The tree of a sheet's part."""
        return self._parts.tree(self._parts.sheets()[sheet])

    def _literal(self, reference: Element) -> Element:
        """The points of a drawing whose figures stand on a sheet that is not shown: as figures, without a link.

        They are rounded to what a drawing shows of them.
        """
        series = next(e for e in reference.iterancestors() if local(e) == "ser")
        labels = series.find(f"{C}dLbls")
        if labels is not None and any(_is_on(e) for e in labels.iter(*(f"{C}{name}" for name in _FIGURE_LABELS))):
            raise ChartWithheld("a chart that writes out figures which are not shown")
        values = [float(v) if is_figure(v) else None for v in self._hidden_values(reference)]  # type: ignore[arg-type]
        axis = "x" if local(reference.getparent()) == "xVal" else "y"
        found = [value for value in values if value is not None]
        low, high = self._limits.get(axis, (min(found, default=0.0), max(found, default=0.0)))
        if any(not low <= value <= high for value in found):
            raise ChartWithheld("a chart with points outside of its axes")
        step = 10.0 ** (math.floor(math.log10(max(high - low, abs(high) * 1e-3, 1e-9))) - _DRAWN_FIGURES)
        made = etree.Element(f"{C}numLit")
        etree.SubElement(made, f"{C}formatCode").text = "General"
        etree.SubElement(made, f"{C}ptCount").set("val", str(len(values)))
        for place, value in enumerate(values):
            if value is not None:
                point = etree.SubElement(made, f"{C}pt")
                point.set("idx", str(place))
                text = number_text(fifteen(round(value / step) * step))
                etree.SubElement(point, f"{C}v").text = text
                self.points.append(text)
        return made

    def _refilled(self, reference: Element) -> Element:
        """A chart's reference to shown cells, with their values."""
        cells = split_reference(reference.findtext(f"{C}f", ""))
        sheet = next((name for name in self.shown if cells and name.casefold() == cells[0].casefold()), None)
        if sheet is None and self._is_drawing and local(reference.getparent()) in ("xVal", "yVal"):
            return self._literal(reference)
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


def is_figure(value: Cell) -> bool:
    """Whether a chart draws a point for a value."""
    return isinstance(value, int | float) and not isinstance(value, bool)


def _words_of(values: list[Cell]) -> str:
    return " ".join(str(value) for value in values if value not in (None, "") and not isinstance(value, ErrorValue))


def _is_on(flag: Element, *, missing: bool = False) -> bool:
    """Whether a switch is on; an element without a value is."""
    return missing if flag is None else flag.get("val", "1") in ("1", "true")


def _limits_of(axis: Element) -> tuple[float, float] | None:
    """The least and most that an axis shows, where it says both."""
    ends = [axis.find(f"{C}scaling/{C}{kind}") for kind in ("min", "max")]
    if any(end is None for end in ends):
        return None
    low, high = (decimal(end.get("val"), 0.0) for end in ends)
    return low, high


def _draws_nothing(series: Element) -> bool:
    """Whether a series has neither line nor marks nor labels."""
    line, mark = series.find(f"{C}spPr/{A}ln/{A}noFill"), series.find(f"{C}marker/{C}symbol")
    unmarked = mark is not None and mark.get("val") == "none"
    return line is not None and unmarked and series.find(f"{C}dLbls") is None


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
