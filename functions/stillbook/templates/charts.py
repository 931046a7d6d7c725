"""Charts in the house look: plain axes, few lines, series told apart by pattern as well as by colour.

A chart stands at its anchor, or where that is left out at the page's next free row. Each is told in words too, for whom
does not see it. Colours of lines and fills stand out from white by 3 to 1 at least (Web Content Accessibility Guidelines
2.1, 1.4.11); the lines of the grid, which nobody needs in order to read a chart, are lighter.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from openpyxl import Workbook
from openpyxl.chart import BarChart, LineChart, Reference, ScatterChart, Series
from openpyxl.chart.data_source import AxDataSource, NumData, StrRef
from openpyxl.chart.error_bar import ErrorBars
from openpyxl.chart.label import DataLabelList
from openpyxl.chart.series import SeriesLabel
from openpyxl.chart.shapes import GraphicalProperties
from openpyxl.chart.text import RichText, Text
from openpyxl.chart.title import Title
from openpyxl.drawing.line import LineProperties
from openpyxl.drawing.text import CharacterProperties, Paragraph, ParagraphProperties, RegularTextRun
from openpyxl.utils import get_column_letter, quote_sheetname

from stillbook.templates import look
from stillbook.templates.page import FIRST, Page
from stillbook.workbook.file.address import split_reference

_TYPE = 10
"""Size of the type at axes and in a legend where nothing is said of it, in points."""

GOLD = "9C7A2E"
SHADES = (look.ACCENT, GOLD, look.CAUTION_EDGE)
LINE_SHADES = (look.ACCENT, look.INK, look.CAUTION_EDGE, GOLD)
LINE_DASHES = ("solid", "dash", "sysDot", "lgDash")


def stacked_bars(
    page: Page,
    *,
    title: str,
    told: str,
    labels: tuple[int, int, int],
    series: Sequence[tuple[int, int]],
    value_title: str,
    size: tuple[float, float],
    anchor: str = "",
) -> None:
    """Bars of several parts: ``labels`` is (column, first row, last row), a series (column, row of its heading)."""
    chart = BarChart()
    chart.type, chart.grouping, chart.overlap, chart.gapWidth = "bar", "stacked", 100, 55
    column, first, last = labels
    for place, (data, head) in enumerate(series):
        chart.add_data(Reference(page.sheet, min_col=data, min_row=head, max_row=last), titles_from_data=True)
        chart.series[place].graphicalProperties = GraphicalProperties(solidFill=SHADES[place])
    _name_by(chart, Reference(page.sheet, min_col=column, min_row=first, max_row=last))
    chart.y_axis.number_format = "#,##0.0,"
    chart.x_axis.scaling.orientation = "maxMin"
    chart.x_axis.tickLblSkip = 1
    chart.y_axis.title = f"thousand {value_title}"
    _finish(page, chart, f"{title}, {value_title}", told, size, anchor)


def bars_with_limits(
    page: Page,
    *,
    title: str,
    told: str,
    labels: tuple[int, int, int],
    bars: tuple[int, int],
    limits: Sequence[tuple[int, int]],
    value_title: str,
    size: tuple[float, float],
    source: Page | None = None,
) -> None:
    """Bars against one or more limits drawn as lines over them; ``source`` holds the data where the page does not."""
    data_sheet = (source or page).sheet
    chart = BarChart()
    chart.type, chart.gapWidth = "col", 80
    column, first, last = labels
    chart.add_data(Reference(data_sheet, min_col=bars[0], min_row=bars[1], max_row=last), titles_from_data=True)
    chart.series[0].graphicalProperties = GraphicalProperties(solidFill=SHADES[0])
    chart.series[0].dLbls = DataLabelList(showVal=True, showSerName=False, showCatName=False, showLegendKey=False)
    _name_by(chart, Reference(data_sheet, min_col=column, min_row=first, max_row=last))
    lines = LineChart()
    for place, (data, head) in enumerate(limits, start=1):
        lines.add_data(Reference(data_sheet, min_col=data, min_row=head, max_row=last), titles_from_data=True)
        drawn = lines.series[place - 1]
        drawn.graphicalProperties = GraphicalProperties(ln=LineProperties(solidFill=SHADES[place], w=22225, prstDash="solid" if place == 1 else "dash"))
        drawn.marker.symbol = "none"
        drawn.smooth = False
    chart.y_axis.title = value_title
    chart.y_axis.scaling.min = 0
    chart += lines
    _finish(page, chart, title, told, size)


def lines(
    page: Page,
    *,
    title: str,
    told: str,
    labels: tuple[int, int, int],
    series: Sequence[int],
    value_title: str,
    size: tuple[float, float],
    anchor: str = "",
    labels_title: str = "Hz",
    limits: tuple[float, float] | None = None,
) -> None:
    """Rows of a table as lines: ``labels`` is (first column, last column, row), ``series`` the rows, named by their
    first column; the chart is cut off at ``limits``."""
    chart = LineChart()
    first, last, head = labels
    for place, row in enumerate(series):
        data = Reference(page.sheet, min_col=first, max_col=last, min_row=row)
        drawn = Series(data, title_from_data=False)
        drawn.tx = SeriesLabel(strRef=StrRef(f"'{page.sheet.title}'!${get_column_letter(FIRST)}${row}"))
        _draw(drawn, place)
        chart.series.append(drawn)
    chart.set_categories(Reference(page.sheet, min_col=first, max_col=last, min_row=head))
    chart.x_axis.title, chart.y_axis.title = labels_title, value_title
    if limits:
        chart.y_axis.scaling.min, chart.y_axis.scaling.max = limits
        chart.y_axis.number_format = "0"
    _finish(page, chart, title, told, size, anchor)


def spikes(
    page: Page,
    *,
    title: str,
    told: str,
    across: tuple[int, int, int],
    heights: int,
    floor: float,
    size: tuple[float, float],
    across_title: str,
    heights_title: str,
    anchor: str = "",
) -> None:
    """Lines that stand on the axis, one for each row: ``across`` is (column, first row, last row) of their places,
    ``heights`` the column of their heights, ``floor`` where they stand."""
    chart = ScatterChart()
    chart.style, chart.scatterStyle = 13, "lineMarker"
    column, first, last = across
    drawn = Series(Reference(page.sheet, min_col=heights, min_row=first, max_row=last), Reference(page.sheet, min_col=column, min_row=first, max_row=last))
    drawn.graphicalProperties = GraphicalProperties(ln=LineProperties(noFill=True))
    drawn.marker.symbol, drawn.marker.size = "diamond", 5
    drawn.marker.graphicalProperties = GraphicalProperties(solidFill=look.ACCENT)
    drawn.errBars = ErrorBars(
        errDir="y",
        errBarType="minus",
        errValType="fixedVal",
        val=-2 * floor,
        noEndCap=True,
        spPr=GraphicalProperties(ln=LineProperties(solidFill=look.ACCENT, w=15875)),
    )
    chart.series.append(drawn)
    chart.x_axis.title, chart.y_axis.title = across_title, heights_title
    chart.y_axis.scaling.min, chart.y_axis.scaling.max = floor, 0
    chart.y_axis.majorUnit = 3
    chart.y_axis.crosses = chart.x_axis.crosses = "min"
    chart.x_axis.number_format = chart.y_axis.number_format = "0"
    chart.x_axis.majorGridlines = None
    _finish(page, chart, title, told, size, anchor)
    chart.legend = None


@dataclass(frozen=True)
class Cloud:
    """Points of a chart that belong together.

    Args:
        name: What they are, as the legend says.
        across: Column of their places across, first and last row.
        up: Column of their heights.
        source: The page that holds them.
        mark: The shape of each point.
        size: Its size.
        shade: Its colour.
        filled: Whether it is filled.
    """

    name: str
    across: tuple[int, int, int]
    up: int
    source: Page
    mark: str
    size: int
    shade: str
    filled: bool = True


def clouds(
    page: Page,
    *,
    title: str,
    told: str,
    drawn: Sequence[Cloud],
    across_title: str,
    up_title: str,
    across_limits: tuple[float, float],
    up_limits: tuple[float, float],
    size: tuple[float, float],
    anchor: str = "",
) -> None:
    """Points by two numbers, without lines; the kinds are told apart by shape as well as by colour."""
    chart = ScatterChart()
    chart.style, chart.scatterStyle = 13, "lineMarker"
    for cloud in drawn:
        sheet = cloud.source.sheet
        column, first, last = cloud.across
        points = Series(
            Reference(sheet, min_col=cloud.up, min_row=first, max_row=last), Reference(sheet, min_col=column, min_row=first, max_row=last), title=cloud.name
        )
        points.graphicalProperties = GraphicalProperties(ln=LineProperties(noFill=True))
        points.marker.symbol, points.marker.size = cloud.mark, cloud.size
        edge = LineProperties(solidFill=cloud.shade, w=9525)
        fill = {"solidFill": cloud.shade} if cloud.filled else {"noFill": True}
        points.marker.graphicalProperties = GraphicalProperties(ln=edge, **fill)
        chart.series.append(points)
    chart.x_axis.title, chart.y_axis.title = across_title, up_title
    chart.x_axis.scaling.min, chart.x_axis.scaling.max = across_limits
    chart.y_axis.scaling.min, chart.y_axis.scaling.max = up_limits
    chart.x_axis.number_format = chart.y_axis.number_format = "#,##0"
    chart.y_axis.crosses = chart.x_axis.crosses = "min"
    chart.x_axis.majorGridlines = None
    _finish(page, chart, title, told, size, anchor)


def curves(
    page: Page,
    *,
    title: str,
    told: str,
    labels: tuple[int, int, int],
    series: Sequence[int],
    labels_title: str,
    value_title: str,
    limits: tuple[float, float],
    size: tuple[float, float],
    anchor: str = "",
) -> None:
    """Columns of a table as lines: ``labels`` is (column, first row, last row), ``series`` the columns, each under its
    heading; the chart is cut off at ``limits``."""
    chart = LineChart()
    column, first, last = labels
    for place, data in enumerate(series):
        chart.add_data(Reference(page.sheet, min_col=data, min_row=first - 1, max_row=last), titles_from_data=True)
        _draw(chart.series[place], place)
    chart.set_categories(Reference(page.sheet, min_col=column, min_row=first, max_row=last))
    chart.x_axis.title, chart.y_axis.title = labels_title, value_title
    chart.x_axis.number_format = chart.y_axis.number_format = "#,##0"
    chart.y_axis.scaling.min, chart.y_axis.scaling.max = limits
    _finish(page, chart, title, told, size, anchor)


@dataclass(frozen=True)
class Track:
    """A line of a chart through points that stand in two rows.

    Args:
        name: The cell that says what it is.
        across: Row of their places across.
        up: Row of their heights, which are shares.
        first: The first column of both.
        last: The last column.
    """

    name: str
    across: int
    up: int
    first: int
    last: int


def tracks(page: Page, *, title: str, told: str, drawn: Sequence[Track], across_title: str, up_title: str, size: tuple[float, float], anchor: str = "") -> None:
    """Lines through points by two numbers, of which the second is a share of 0 to 1."""
    chart = ScatterChart()
    chart.style, chart.scatterStyle = 13, "lineMarker"
    for place, track in enumerate(drawn):
        across, up = (Reference(page.sheet, min_col=track.first, max_col=track.last, min_row=row) for row in (track.across, track.up))
        line = Series(up, across)
        line.tx = SeriesLabel(strRef=StrRef(f"{quote_sheetname(page.sheet.title)}!${track.name[0]}${track.name[1:]}"))
        _draw(line, place)
        chart.series.append(line)
    chart.x_axis.title, chart.y_axis.title = across_title, up_title
    chart.x_axis.number_format, chart.y_axis.number_format = "#,##0", "0%"
    chart.y_axis.scaling.min, chart.y_axis.scaling.max, chart.y_axis.majorUnit = 0, 1, 0.2
    chart.y_axis.crosses = chart.x_axis.crosses = "min"
    chart.x_axis.majorGridlines = None
    _finish(page, chart, title, told, size, anchor)


def tell(chart: Any, name: str, text: str) -> None:
    """Give a chart its name and the words that stand for it, which :mod:`stillbook.templates.saving` writes."""
    chart.told = (name, text)


def keep_formats(workbook: Workbook) -> None:
    """Let each chart know how its cells show their numbers, for programs that draw from what a chart remembers."""
    for sheet in workbook.worksheets:
        for chart in sheet._charts:
            for series in (series for part in chart._charts for series in part.series):
                for source in (series.val, series.cat, series.xVal, series.yVal):
                    if source is not None and source.numRef is not None:
                        name, area = split_reference(source.numRef.f) or ("", None)
                        if area is not None:
                            first = workbook[name].cell(area.first_row, area.first_column)
                            source.numRef.numCache = NumData(formatCode=first.number_format)


def _name_by(chart: Any, labels: Reference) -> None:
    """Name the bars of a chart by cells that hold words."""
    for series in chart.series:
        series.cat = AxDataSource(strRef=StrRef(str(labels)))


def _draw(drawn: Any, place: int) -> None:
    """A plain line, told from the others by colour and dash."""
    drawn.graphicalProperties = GraphicalProperties(
        ln=LineProperties(solidFill=LINE_SHADES[place], w=28575 if place == 0 else 19050, prstDash=LINE_DASHES[place])
    )
    drawn.marker.symbol = "none"
    drawn.smooth = False


def _title(text: str) -> Title:
    """A title no larger than a heading of the page."""
    properties = CharacterProperties(sz=1100, b=True, solidFill=look.INK)
    run = RegularTextRun(rPr=properties, t=text)
    paragraph = Paragraph(pPr=ParagraphProperties(defRPr=properties), r=[run])
    return Title(tx=Text(rich=RichText(p=[paragraph])), overlay=False)


def _raise_type(page: Page, chart: Any) -> None:
    """Set larger what stands at axes and in the legend, where it would be too small on the paper of the page."""
    if (least := page.least_type()) > _TYPE:
        properties = ParagraphProperties(defRPr=CharacterProperties(sz=round(100 * least)))
        for part in (chart.x_axis, chart.y_axis, chart.legend):
            part.txPr = RichText(p=[Paragraph(pPr=properties, endParaRPr=CharacterProperties())])
        for axis in (chart.x_axis, chart.y_axis):
            if axis.title is not None:
                for paragraph in axis.title.tx.rich.p:
                    paragraph.pPr = properties


def _finish(page: Page, chart: Any, title: str, told: str, size: tuple[float, float], anchor: str = "") -> None:
    chart.title = _title(title)
    tell(chart, title, told)
    chart.legend.position = "b"
    chart.x_axis.delete = chart.y_axis.delete = False
    chart.y_axis.majorGridlines.spPr = GraphicalProperties(ln=LineProperties(solidFill=look.RULE, w=6350))
    chart.width, chart.height = size
    _raise_type(page, chart)
    page.sheet.add_chart(chart, anchor or f"{get_column_letter(FIRST)}{page.at}")
