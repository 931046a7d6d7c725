"""A drawing to scale: lines whose points are formulas on a sheet of points, shown by an XY chart wherever a page wants it.

It follows the inputs in any spreadsheet program, with no macro and no picture. Lengths are in the unit that the
formulas of its points use; all of them are shrunk by one scale, so that what is drawn keeps its proportions.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import cos, pi, sin
from typing import Any, Final

from openpyxl.chart import Reference, ScatterChart
from openpyxl.chart.data_source import StrRef
from openpyxl.chart.label import DataLabel, DataLabelList
from openpyxl.chart.layout import Layout, ManualLayout
from openpyxl.chart.series import SeriesLabel
from openpyxl.chart.series_factory import SeriesFactory
from openpyxl.chart.shapes import GraphicalProperties
from openpyxl.chart.text import RichText
from openpyxl.drawing.line import LineProperties
from openpyxl.drawing.text import CharacterProperties, Paragraph, ParagraphProperties, RichTextProperties
from openpyxl.utils import get_column_letter, quote_sheetname

from stillbook.templates import look
from stillbook.templates.charts import tell
from stillbook.templates.page import FIRST, Book, Page
from stillbook.workbook.job.drawn import LINES

Point = tuple[str, str]
"""Across and up, each a formula without its sign."""

_MARGIN: Final = 11
"""Paper left round a drawing for its dimensions, in millimetres."""

_STROKE: Final = 0.8
"""Half the stroke through the end of a dimension, across and up, in millimetres."""

_TYPE: Final = 9
"""Smallest type of the words of a drawing, in points."""

_ARC: Final = 8
"""Straight pieces of a quarter circle."""


@dataclass(frozen=True)
class Pen:
    """How a line is drawn, and whose work it shows. Width and dash tell it from others where there is no colour."""

    trade: str
    colour: str
    width: float
    dash: str | None = None


FACE: Final = Pen("shell", look.INK, 1.75)
"""The outer faces of a leaf of the shell."""
LAYER: Final = Pen("shell", look.INK, 0.5)
WOOL: Final = Pen("wool", "8F7A3A", 0.5)
DOOR: Final = Pen("doors", look.CAUTION_EDGE, 1.75)
SWING: Final = Pen("doors", look.CAUTION_EDGE, 0.75, "sysDash")
AIR: Final = Pen("air", look.ACCENT, 1.25)
PANEL: Final = Pen("panels", look.INK, 1.25)
"""A connector plate and its holes."""
POWER_PANEL: Final = Pen("panels", look.CAUTION_EDGE, 2.25)
"""The same for power."""
SPACE: Final = Pen("space", "6F7B84", 1.25, "lgDash")
"""What is there already."""
DIMENSION: Final = Pen("dimensions", "6F7B84", 0.5)
WORDS: Final = Pen("words", "6F7B84", 0.5)
FRAME: Final = Pen("framing", look.INK, 0.75)
"""Studs, and what holds a leaf."""
GLASS: Final = Pen("windows", "2B5DA8", 2)
NO_PLACE: Final = Pen("air", look.CAUTION_EDGE, 2.5, "dash")
"""What does not find its place."""


@dataclass
class Drawing:
    """Lines in the order in which they were drawn, and the block of points that holds them.

    Args:
        page: The sheet of points.
        name: What the names of its scale begin with.
        size: Width and height of the chart, in centimetres.
        extent: What it must have room for, across and up: names in the unit of its points.
        told: What it shows, in words.
        sides: Paper left at its left and its right, in millimetres, for the words of upright dimensions.
    """

    page: Page
    name: str
    size: tuple[float, float]
    extent: Point
    told: str
    sides: float = _MARGIN
    _series: list[tuple[int, int, Pen, str | None, int]] = field(default_factory=list)

    def __post_init__(self) -> None:
        page = self.page
        width, height = self.paper
        for label, name, formula in (
            ("Scale", "scale", f"=MIN({width - 2 * self.sides:g}/{self.extent[0]},{height - 2 * _MARGIN:g}/{self.extent[1]})"),
            ("Left", "left", f"=({width:g}-{self.name}_scale*{self.extent[0]})/2"),
            ("Bottom", "bottom", f"=({height:g}-{self.name}_scale*{self.extent[1]})/2"),
        ):
            page.put(page.at, FIRST, label, font=look.SMALL)
            page.put(page.at, FIRST + 2, formula, font=look.SMALL, number_format=look.TWO)
            page.name(f"{self.name}_{name}", page.at, FIRST + 2)
            page.at += 1

    @property
    def paper(self) -> tuple[float, float]:
        """Width and height of what is drawn on, in millimetres."""
        return self.size[0] * 10, self.size[1] * 10

    def line(self, what: str, pen: Pen, points: Sequence[Point], *, label: str = "", at: int = 0, side: str = "ctr") -> None:
        """Draw a line through points; ``label`` is a formula of what is written beside the point of the number ``at``."""
        page, first = self.page, self.page.at
        page.put(first, FIRST, what, font=look.SMALL)
        page.put(first, FIRST + 4, pen.trade, font=look.SMALL, align=look.UNIT)
        if label:
            page.put(first + at, FIRST + 1, f"={label}", font=look.SMALL, align=look.UNWRAPPED)
            page.put(first + at, FIRST + 5, side, font=look.SMALL, align=look.UNIT)
        for across, up in points:
            for offset, start, value in ((2, "left", across), (3, "bottom", up)):
                page.put(page.at, FIRST + offset, f"={self.name}_{start}+{self.name}_scale*({value})", font=look.SMALL, number_format=look.ONE)
            page.at += 1
        self._series.append((first, page.at - 1, pen, side if label else None, at))

    def rectangle(self, what: str, pen: Pen, corner: Point, size: Point) -> None:
        """Draw a rectangle from its lower left corner."""
        (x, y), (width, height) = corner, size
        right, top = f"{x}+{width}", f"{y}+{height}"
        self.line(what, pen, [(x, y), (right, y), (right, top), (x, top), (x, y)])

    def crossed(self, what: str, pen: Pen, corner: Point, size: Point) -> None:
        """Draw a rectangle with one diagonal, as a box for air is drawn."""
        (x, y), (width, height) = corner, size
        right, top = f"{x}+{width}", f"{y}+{height}"
        self.line(what, pen, [(x, y), (right, y), (right, top), (x, top), (x, y), (right, top)])

    def zigzag(self, what: str, pen: Pen, corner: Point, size: Point, teeth: int, *, upright: bool = False) -> None:
        """Fill a rectangle with a line to and fro along it, or up along it, as wool is drawn."""
        (x, y), (width, height) = corner, size
        sway, climb = [0.9 if n % 2 else 0.1 for n in range(teeth + 1)], [n / teeth for n in range(teeth + 1)]
        across, up = (sway, climb) if upright else (climb, sway)
        self.line(what, pen, [(f"{x}+{width}*{right:.4g}", f"{y}+{height}*{high:.4g}") for right, high in zip(across, up, strict=True)])

    def door(self, what: str, hinge: Point, width: str, swing: int, shown: str = "1") -> None:
        """Draw a door open at a right angle, and its swing: up for a ``swing`` of 1, down for one of -1.

        It opens from the wall that runs right of its hinge, and shrinks to its hinge where ``shown`` is 0.
        """
        x, y = hinge
        size = f"{width}*{shown}"
        self.line(what, DOOR, [hinge, (x, f"{y}+{swing}*{size}")])
        turns = [n * pi / 2 / _ARC for n in range(_ARC + 1)]
        self.line(f"{what}, swing", SWING, [(f"{x}+{size}*{round(sin(turn), 4):g}", f"{y}+{swing}*{size}*{round(cos(turn), 4):g}") for turn in turns])

    def circle(self, what: str, pen: Pen, centre: Point, radius: str) -> None:
        """Draw a circle."""
        turns = [n * 2 * pi / 16 for n in range(17)]
        self.line(what, pen, [(f"{centre[0]}+{radius}*{round(cos(turn), 4):g}", f"{centre[1]}+{radius}*{round(sin(turn), 4):g}") for turn in turns])

    def dimension(self, what: str, start: Point, end: Point, label: str, side: str = "t", shown: str = "1") -> None:
        """Draw the line of a dimension with a stroke through each end, and its words beside its middle.

        They stand above it, or on the ``side`` b, l or r of it. Its first and its last point are what is measured. Where ``shown`` is
        0 it shrinks to its first point and says nothing.
        """
        end = (f"({start[0]})+(({end[0]})-({start[0]}))*{shown}", f"({start[1]})+(({end[1]})-({start[1]}))*{shown}") if shown != "1" else end
        label = f'IF({shown}=1,{label}," ")' if shown != "1" else label
        middle = (f"(({start[0]})+({end[0]}))/2", f"(({start[1]})+({end[1]}))/2")
        points = [start, *self._stroke(start, shown), start, middle, end, *self._stroke(end, shown), end]
        self.line(what, DIMENSION, points, label=label, at=4, side=side)

    def _stroke(self, end: Point, shown: str) -> list[Point]:
        """The ends of a short stroke across the end of a dimension."""
        off = f"{_STROKE:g}/{self.name}_scale*{shown}"
        return [(f"{end[0]}{sign}{off}", f"{end[1]}{sign}{off}") for sign in "+-"]

    def word(self, what: str, at: Point, label: str, side: str = "ctr") -> None:
        """Write words, centred on a point, or above it for a ``side`` of t."""
        self.line(what, WORDS, [at], label=label, side=side)

    def close(self) -> None:
        """Name the block of its points, for programs that read the drawing."""
        self.page.name(f"{self.name}{LINES}", self._series[0][0], FIRST, self.page.at - 1, FIRST + 5)

    def show(self, page: Page, row: int, column: int = FIRST, *, size: float = 1) -> None:
        """Place it on a page, ``size`` times as large as it is."""
        chart = ScatterChart()
        chart.style, chart.scatterStyle, chart.legend, chart.visible_cells_only = 2, "lineMarker", None, False
        for first, last, pen, side, at in self._series:
            chart.series.append(self._drawn(first, last, pen, side, at, max(_TYPE, page.least_type() + 0.5)))
        for axis, most in zip((chart.x_axis, chart.y_axis), self.paper, strict=True):
            axis.scaling.min, axis.scaling.max = 0, most
            axis.delete, axis.majorGridlines = True, None
        chart.layout = Layout(manualLayout=ManualLayout(layoutTarget="inner", xMode="edge", yMode="edge", x=0.005, y=0.005, w=0.99, h=0.99))
        tell(chart, self.name.capitalize(), self.told)
        chart.width, chart.height = self.size[0] * size, self.size[1] * size
        page.sheet.add_chart(chart, f"{get_column_letter(column)}{row}")

    def _drawn(self, first: int, last: int, pen: Pen, side: str | None, at: int, letters: float) -> Any:
        """One line as a series of the chart, its name in type of that many points."""
        sheet = self.page.sheet
        across, up = (Reference(sheet, min_col=FIRST + offset, min_row=first, max_row=last) for offset in (2, 3))
        drawn = SeriesFactory(up, across)
        drawn.marker.symbol, drawn.smooth = "none", False
        drawn.graphicalProperties = GraphicalProperties(ln=LineProperties(solidFill=pen.colour, w=round(pen.width * 12700), prstDash=pen.dash))
        drawn.tx = SeriesLabel(
            strRef=StrRef(f"{quote_sheetname(sheet.title)}!${get_column_letter(FIRST + 1 if side else FIRST)}${first + at if side else first}")
        )
        if side:
            drawn.dLbls = _label(at, side, letters)
        return drawn


def sheet(book: Book) -> Page:
    """The sheet of points, which copies that show a drawing hold too."""
    page = book.page("Drawing", "Points of the drawings, in millimetres on paper. Nothing is typed here.", (28, 26, 12, 12, 12, 6), single=True)
    page.head_row(("Part", "Words", "Across", "Up", "Work", "Side"), words=(0, 1, 4, 5))
    return page


def _label(at: int, side: str, size: float) -> DataLabelList:
    """The name of a series, written at one of its points."""
    nothing = {"showVal": False, "showCatName": False, "showLegendKey": False, "showPercent": False}
    letters = CharacterProperties(sz=round(100 * size), solidFill=look.INK)
    words = Paragraph(pPr=ParagraphProperties(defRPr=letters), endParaRPr=letters)
    words.r = []
    label = DataLabel(idx=at, showSerName=True, dLblPos=side, txPr=RichText(bodyPr=RichTextProperties(rot=0), p=[words]), **nothing)
    return DataLabelList(dLbl=[label], showSerName=False, **nothing)
