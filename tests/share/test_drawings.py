"""Drawings made of XY charts whose points stand on a helper sheet: a copy shows them, and holds nothing of that sheet."""

import datetime
import re

import pytest
from openpyxl.chart import LineChart, Reference, ScatterChart, Series
from openpyxl.chart.label import DataLabelList
from openpyxl.chart.shapes import GraphicalProperties
from openpyxl.drawing.line import LineProperties
from openpyxl.workbook.defined_name import DefinedName

from stillbook.share.copies import share
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.package import Package
from workbook import books

NOW = datetime.datetime(2026, 3, 2, 9, 30)
CHART = "xl/charts/chart1.xml"
PRICE = 73519.25


def drawing(change=lambda chart, helper: None, chart=None) -> bytes:
    """A page with the outline of a room drawn by points of a helper sheet: 10 by 7.3333333 long, its name beside it."""
    made = books.built(
        {
            "Page": {"A1": "Plan", "B1": 10},
            "Helper": {"A1": "Plan of the room", "A2": 0, "A3": "=Page!B1", "A4": "=Page!B1", "B2": 0, "B3": 0, "B4": "=22/3", "D1": PRICE},
        }
    )  # fmt: skip
    page, helper = made["Page"], made["Helper"]
    page.defined_names.add(DefinedName("shown_to_client", attr_text="Page!$A$1:$F$20"))
    chart = chart or ScatterChart()
    chart.style = 13
    if isinstance(chart, ScatterChart):
        across = Reference(helper, min_col=1, min_row=2, max_row=4)
        outline = Series(Reference(helper, min_col=2, min_row=2, max_row=4), across, title_from_data=False)
        outline.tx = Series(Reference(helper, min_col=1, min_row=1, max_row=1), title_from_data=True).tx
        chart.series.append(outline)
    else:
        chart.add_data(Reference(helper, min_col=2, min_row=2, max_row=4))
    change(chart, helper)
    page.add_chart(chart, "A5")
    return books.saved(made)


def shared(tmp_path, data: bytes):
    source = tmp_path / "source.xlsx"
    source.write_bytes(data)
    return share(source, tmp_path / "copy.xlsx", "client", now=NOW, replace=True)


def points(data: bytes) -> list[list[str]]:
    text = books.parts(data)[CHART].decode()
    lists = re.findall(r"<(?:\w+:)?numLit>(.*?)</(?:\w+:)?numLit>", text)
    return [re.findall(r"<(?:\w+:)?v>([^<]*)<", found) for found in lists]


def test_a_drawing_stands_in_the_copy_with_its_points_and_no_link(tmp_path):
    made = shared(tmp_path, drawing())
    data = made.path.read_bytes()
    assert points(data) == [["0", "10", "10"], ["0", "0", "7.333"]]
    text = books.decoded(data)
    assert "helper" not in text
    assert "73519" not in text
    assert "plan of the room" in text, "the legend shows the name of the series"
    assert made.left_out == ()
    assert made.taken[0] == "charts (1)"
    assert list(Package(data).sheets) == ["Page"]


def no_legend(chart, helper):
    chart.legend = None


def test_the_name_of_a_series_that_nothing_shows_is_not_in_the_copy(tmp_path):
    data = shared(tmp_path, drawing(no_legend)).path.read_bytes()
    assert "plan of the room" not in books.decoded(data)
    assert points(data)[1] == ["0", "0", "7.333"]


def test_a_series_named_at_its_points_keeps_its_name(tmp_path):
    def change(chart, helper):
        chart.legend = None
        chart.series[0].dLbls = DataLabelList(showSerName=True, showVal=False, showCatName=False)

    assert "plan of the room" in books.decoded(shared(tmp_path, drawing(change)).path.read_bytes())


def test_a_series_that_draws_nothing_is_not_in_the_copy(tmp_path):
    def change(chart, helper):
        other = Series(
            Reference(helper, min_col=4, min_row=1, max_row=1), Reference(helper, min_col=4, min_row=1, max_row=1)
        )
        other.graphicalProperties = GraphicalProperties(ln=LineProperties(noFill=True))
        other.marker.symbol = "none"
        chart.series.append(other)

    made = shared(tmp_path, drawing(change))
    assert len(points(made.path.read_bytes())) == 2
    assert made.left_out == ("a part of a chart that draws nothing",)


def limited(chart, helper):
    chart.y_axis.scaling.min, chart.y_axis.scaling.max = 0, 5


def labelled(chart, helper):
    chart.dataLabels = None
    chart.series[0].dLbls = DataLabelList(showVal=True)


def in_hidden_rows(chart, helper):
    helper.row_dimensions[3].hidden = True


WITHHELD = {
    "points outside of its axes": (limited, None, "a chart with points outside of its axes on Page"),
    "figures written out": (labelled, None, "a chart that writes out figures which are not shown on Page"),
    "points in hidden rows": (in_hidden_rows, None, "a chart of points in hidden rows or columns on Page"),
    "lines of figures": (lambda chart, helper: None, LineChart, "a chart whose figures are not shown on Page"),
}


@pytest.mark.parametrize("name", WITHHELD)
def test_other_charts_of_figures_that_are_not_shown_are_left_out(name, tmp_path):
    change, kind, told = WITHHELD[name]
    made = shared(tmp_path, drawing(change, kind() if kind else None))
    assert made.left_out == (told,)
    assert CHART not in books.parts(made.path.read_bytes())


def test_the_proof_takes_no_other_figures_than_those_of_the_drawing(tmp_path, monkeypatch):
    from stillbook.share import charts

    data = drawing()
    write = charts.ChartWriter.write

    def with_a_price(self, source):
        return write(self, source).replace(b"<c:v>7.333</c:v>", b"<c:v>4310</c:v>")

    monkeypatch.setattr(charts.ChartWriter, "write", with_a_price)
    with pytest.raises(WorkbookError, match=r"chart1\.xml would hold figures that are not shown"):
        shared(tmp_path, data)


def test_the_proof_takes_no_link_to_another_sheet(tmp_path, monkeypatch):
    from stillbook.share import charts

    data = drawing()
    write = charts.ChartWriter.write

    def linked(self, source):
        made = write(self, source)
        return made.replace(b"<c:numLit>", b"<c:numRef><c:f>Helper!$A$1</c:f></c:numRef><c:numLit>", 1)

    monkeypatch.setattr(charts.ChartWriter, "write", linked)
    with pytest.raises(WorkbookError, match=r"chart1\.xml would look at what is not shown"):
        shared(tmp_path, data)
