"""One small workbook for each place in which something can hide from a page and yet be copied with it.

Each hides a made-up word or number. Its copy must not hold it, or is refused with a line that says what to do.
"""

import datetime
import io
import re
from collections.abc import Callable
from copy import copy

import pytest
from openpyxl.cell.rich_text import CellRichText, TextBlock
from openpyxl.cell.text import InlineFont
from openpyxl.chart import BarChart, Reference
from openpyxl.chart.label import DataLabelList
from openpyxl.comments import Comment
from openpyxl.drawing.image import Image
from openpyxl.drawing.spreadsheet_drawing import AnchorMarker, TwoCellAnchor
from openpyxl.formatting.rule import CellIsRule, DataBarRule, FormulaRule, IconSetRule, Rule
from openpyxl.styles import Alignment, Font, GradientFill, NamedStyle, PatternFill, Protection
from openpyxl.styles.colors import Color
from openpyxl.styles.differential import DifferentialStyle
from openpyxl.styles.numbers import NumberFormat
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.table import Table, TableStyleInfo

from stillbook.share.copies import share
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.package import Package
from workbook import books

NOW = datetime.datetime(2026, 3, 2, 9, 30)
WORD = "Quibberdunk7"
NUMBER = 73519.25
"""Made up, and nowhere by chance."""

DRAWING = "xl/drawings/drawing1.xml"
CHART = "xl/charts/chart1.xml"
MAIN = 'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'


def page(change: Callable, audience: str = "client", edits: dict[str, Callable[[str], str]] | None = None) -> bytes:
    """A workbook with a shown page A1:F20, changed by openpyxl and then in its parts."""
    made = books.built({"Page": {"A1": "Shown title", "B1": 12, "B2": 7, "B3": 9, "A2": "Walls", "A3": "Doors"}, "Office": {"A1": 1}})  # fmt: skip
    made["Page"].defined_names.add(DefinedName(f"shown_to_{audience}", attr_text="Page!$A$1:$F$20"))
    change(made["Page"])
    data = books.saved(made)
    for part, edit in (edits or {}).items():
        data = books.edited(data, part, edit)
    return data


def shared(tmp_path, data: bytes, audience: str = "client"):
    source = tmp_path / "source.xlsx"
    source.write_bytes(data)
    return share(source, tmp_path / "copy.xlsx", audience, now=NOW, replace=True)


def put(address: str, value: object, **looks: object) -> Callable:
    def change(sheet):
        cell = sheet[address]
        cell.value = value
        for name, look in looks.items():
            setattr(cell, name, look)

    return change


def both(*changes: Callable) -> Callable:
    def change(sheet):
        for one in changes:
            one(sheet)

    return change


def insert(before: str, new: str) -> Callable[[str], str]:
    def edit(text: str) -> str:
        assert before in text, before
        return text.replace(before, new + before, 1)

    return edit


def swap(old: str, new: str) -> Callable[[str], str]:
    def edit(text: str) -> str:
        assert old in text, old
        return text.replace(old, new, 1)

    return edit


def ink(**colour: object) -> Font:
    return Font(color=Color(**colour))


WHITE = Font(color="FFFFFFFF")


# --- text that is not seen --------------------------------------------------------------------------------------------


def hidden(kind: str, index: object, **looks: object) -> Callable:
    def change(sheet):
        dimension = getattr(sheet, f"{kind}_dimensions")[index]
        for name, value in looks.items():
            setattr(dimension, name, value)

    return change


def rich(*pieces: object) -> CellRichText:
    return CellRichText(*pieces)


def narrow_by_default(sheet):
    sheet.sheet_format.defaultColWidth = 0.1
    sheet.column_dimensions["A"].width = sheet.column_dimensions["B"].width = 20
    sheet["D5"] = WORD


def merged_over(sheet):
    sheet["A5"], sheet["B5"] = "over", WORD
    cell = sheet["B5"]
    sheet.merge_cells("A5:B5")
    sheet._cells[5, 2] = cell


def under_a_picture(kind: str) -> Callable:
    def change(sheet):
        sheet["C5"] = WORD
        if kind == "chart":
            chart = BarChart()
            chart.add_data(Reference(sheet, min_col=2, min_row=1, max_row=3))
            sheet.add_chart(chart, "C4")
            return
        picture = Image(io.BytesIO(books.png()))
        picture.anchor = TwoCellAnchor(_from=AnchorMarker(1, 0, 3, 0), to=AnchorMarker(4, 0, 8, 0))
        sheet.add_image(picture)

    return change


def tabled(look: str) -> Callable:
    """A table A15:B17 with a look of its own, which a copy leaves out."""

    def change(sheet):
        for row, words in enumerate((("Item", "Size"), ("Board", "small"), ("Wool", "large")), start=15):
            sheet.cell(row, 1, words[0]), sheet.cell(row, 2, words[1])
        table = Table(displayName="Sizes", ref="A15:B17")
        table.tableStyleInfo = TableStyleInfo(name=look, showRowStripes=True)
        sheet.add_table(table)

    return change


UNSEEN = {
    "white": put("C2", WORD, font=WHITE),
    "nearly white": put("C2", WORD, font=Font(color="FFFDFDFD")),
    "white of the theme": put("C2", WORD, font=ink(theme=0)),
    "white by a tint": put("C2", WORD, font=ink(theme=1, tint=1.0)),
    "white of the palette": put("C2", WORD, font=ink(indexed=1)),
    "white of the system": put("C2", WORD, font=ink(indexed=65)),
    "theme colour on the same in digits": put("C2", WORD, font=ink(theme=4), fill=PatternFill("solid", fgColor="FF4F81BD")),
    "black on a fill of the palette": put("C2", WORD, fill=PatternFill("solid", fgColor=Color(indexed=8))),
    "white on a fading ground": put("C2", WORD, font=WHITE, fill=GradientFill(stop=("FFFFFFFF", "FFFEFEFE"))),
    "white on a fine pattern": put("C2", WORD, font=WHITE, fill=PatternFill("lightGray", fgColor="FFE0E0E0")),
    "white run in a text": put("C2", rich("seen ", TextBlock(InlineFont(color="FFFFFFFF"), WORD))),
    "tiny run in a text": put("C2", rich("seen ", TextBlock(InlineFont(sz=1), WORD))),
    "tiny type": put("C2", WORD, font=Font(size=1)),
    "indented out of the cell": put("C2", WORD, alignment=Alignment(indent=250)),
    "format that shows nothing": put("C2", NUMBER, number_format=";;;"),
    "format that hides text": put("C2", WORD, number_format="0;0;0;"),
    "format that shows a word": put("C2", NUMBER, number_format='"yes"'),
    "format in white": put("C2", NUMBER, number_format="[White]0.00"),
    "format in a numbered white": put("C2", NUMBER, number_format="[Color 2]0.00"),
    "other word in its place": put("C2", WORD, number_format='0;0;0;"a word"'),
    "behind blanks": put("C2", "seen" + " " * 300 + WORD),
    "cut off by a neighbour": both(put("C2", "seen and much more " + WORD), put("D2", "here")),
    "cut off by a formula that gives nothing": both(put("C2", "seen and much more " + WORD), put("D2", '=""')),
    "cut off at the left": both(put("C2", WORD + " and much more seen", alignment=Alignment(horizontal="right")), put("B2", 1)),
    "cut off on both sides": both(put("C2", WORD + " and much more that is seen and much more " + WORD, alignment=Alignment(horizontal="center")), put("B2", 1), put("D2", "here")),
    "cut off by the edge of the page": put("C2", "seen and more " * 6 + WORD),
    "cut off by a picture": both(under_a_picture("picture"), put("C5", None), put("A5", "seen and much more " + WORD)),
    "cut off by its merged cell": both(put("C2", "seen and much more " + WORD), lambda sheet: sheet.merge_cells("C2:C3")),
    "below the edge of its row": both(put("C2", "seen and much more " * 9 + WORD, alignment=Alignment(wrap_text=True, vertical="top")), hidden("row", 2, height=30)),
    "turned out of its row": both(put("C2", "seen and much more " + WORD, alignment=Alignment(text_rotation=90)), hidden("row", 2, height=30)),
    "cut off at the left, read from the right": both(put("C2", WORD + " and much more seen", alignment=Alignment(readingOrder=2)), put("B2", 1), put("D2", 1)),
    "cut off on both sides of several cells": both(put("C2", WORD + " and more that is seen" * 4 + " " + WORD, alignment=Alignment(horizontal="centerContinuous")), put("B2", 1), put("E2", 1)),
    "colour of a table's head": both(tabled("TableStyleMedium9"), put("B15", WORD, font=Font(color="FF4F81BD"))),
    "colour of a table's row": both(tabled("TableStyleDark1"), put("B16", WORD, font=Font(color="FF000000"))),
    "colour in a table of its owner's look": both(tabled("Ours"), put("B16", WORD, font=Font(color="FF203040"))),
    "run in the colour of a table's head": both(tabled("TableStyleMedium3"), put("B15", rich("seen ", TextBlock(InlineFont(color="FFC0504D"), WORD)))),
    "shrunk to nothing": put("C2", "seen " * 90 + WORD, alignment=Alignment(shrink_to_fit=True)),
    "white run before a cut": both(put("C2", rich("seen ", TextBlock(InlineFont(color="FFFFFFFF"), WORD), " and much more")), put("D2", "here")),
    "word of a text's format, cut off": both(put("C2", "seen", number_format='@"' + " " * 90 + WORD + '"'), put("D2", "here")),
    "number wider than its cell": both(put("D5", NUMBER, number_format="0.00"), hidden("column", "D", width=4)),
    "figures for which there is no room": both(put("D5", NUMBER), hidden("column", "D", width=6)),
    "behind empty lines": both(put("C5", "seen" + "\n" * 30 + WORD, alignment=Alignment(wrap_text=True, vertical="top")), hidden("row", 5, height=15)),
    "hidden row": both(put("C5", WORD), hidden("row", 5, hidden=True)),
    "row of no height": both(put("C5", WORD), hidden("row", 5, height=0.0001)),
    "row too low": both(put("C5", WORD), hidden("row", 5, height=2)),
    "closed outline": both(put("C5", WORD), hidden("row", 5, hidden=True, outlineLevel=1)),
    "hidden column": both(put("D5", WORD), hidden("column", "D", hidden=True)),
    "column too narrow": both(put("D5", WORD), hidden("column", "D", width=0.2)),
    "columns too narrow by default": narrow_by_default,
    "under a merged cell": merged_over,
    "under a picture": under_a_picture("picture"),
    "under a chart": under_a_picture("chart"),
    "beside the print area": both(put("E5", WORD), lambda sheet: setattr(sheet, "print_area", "A1:D20")),
    "more digits than a page shows": put("C2", NUMBER, number_format="#,##0"),
    "digits under a condition": put("C2", NUMBER, number_format="[>1000]#,##0;0.00"),
    "digits under a fraction": put("C2", 3.73519, number_format="# ?/?"),
    "digits under a year": put("C2", NUMBER, number_format="yyyy"),
    "time under a date": put("C2", NUMBER, number_format="yyyy-mm-dd"),
    "day under a time": put("C2", NUMBER, number_format="hh:mm"),
}  # fmt: skip


UNTOLD = re.compile("format|digits|figures|time under|day under|other word|beside the print area")
"""What is no text of the page that a reader misses: looks, and what stands outside of what is shown."""


# --- what stands beside the cells -------------------------------------------------------------------------------------


def headed(**texts: str) -> Callable:
    def change(sheet):
        for name, text in texts.items():
            getattr(sheet, name).left.text = text

    return change


def linked(address: str, tooltip: str = "") -> Callable:
    def change(sheet):
        sheet["A2"].hyperlink = address
        sheet["A2"].hyperlink.tooltip = tooltip or None

    return change


def ruled(cell: str = "C2", **rule: object) -> Callable:
    def change(sheet):
        sheet[cell].protection = Protection(locked=False)
        made = DataValidation(**rule)
        made.add(cell)
        sheet.add_data_validation(made)

    return change


def marked(rule: Rule, cells: str = "B1:B3") -> Callable:
    return lambda sheet: sheet.conditional_formatting.add(cells, rule)


def noted(sheet):
    sheet["A2"].comment = Comment(WORD, WORD)


def charted(title: str = "Shown chart", **more: object) -> Callable:
    def change(sheet):
        chart = BarChart()
        chart.title = title
        chart.add_data(Reference(sheet, min_col=2, min_row=1, max_row=3))
        for name, value in more.items():
            setattr(chart, name, value)
        sheet.add_chart(chart, "A8")

    return change


def untitled_axis(sheet):
    chart = BarChart()
    chart.add_data(Reference(sheet, min_col=2, min_row=1, max_row=3))
    chart.y_axis.title = WORD
    chart.y_axis.delete = True
    sheet.add_chart(chart, "A8")


def label_format(sheet):
    chart = BarChart()
    chart.add_data(Reference(sheet, min_col=2, min_row=1, max_row=3))
    chart.dataLabels = DataLabelList(numFmt=f'0"{WORD}"', showVal=True)
    sheet.add_chart(chart, "A8")


def shape(text: str, *, attributes: str = "", fill: str = "", run: str = "", to: tuple[int, int] = (3, 12), name: str = "") -> str:  # fmt: skip
    space = "http://schemas.openxmlformats.org/drawingml/2006/"
    return (
        f'<x:twoCellAnchor xmlns:x="{space}spreadsheetDrawing" xmlns:a="{space}main">'
        "<x:from><x:col>0</x:col><x:colOff>0</x:colOff><x:row>9</x:row><x:rowOff>0</x:rowOff></x:from>"
        f"<x:to><x:col>{to[0]}</x:col><x:colOff>0</x:colOff><x:row>{to[1]}</x:row><x:rowOff>0</x:rowOff></x:to>"
        f'<x:sp macro=""><x:nvSpPr><x:cNvPr id="7" name="{name}" {attributes}/><x:cNvSpPr/></x:nvSpPr>'
        f'<x:spPr><a:prstGeom prst="rect"><a:avLst/></a:prstGeom>{fill}</x:spPr><x:txBody>'
        f'<a:bodyPr vertOverflow="clip"/><a:p><a:r>{run}<a:t>{text}</a:t></a:r></a:p></x:txBody></x:sp>'
        "<x:clientData/></x:twoCellAnchor>"
    )


def drawn(new: str) -> dict[str, Callable[[str], str]]:
    def edit(text: str) -> str:
        end = "</wsDr>" if "</wsDr>" in text else "</xdr:wsDr>"
        return text.replace(end, new + end)

    return {DRAWING: edit}


def pictured(sheet):
    sheet.add_image(Image(io.BytesIO(books.png())), "F18")


def solid(colour: str) -> str:
    return f'<a:solidFill><a:srgbClr val="{colour}"/></a:solidFill>'


SPARKLINES = (
    '<extLst><ext xmlns:x14="http://schemas.microsoft.com/office/spreadsheetml/2009/9/main" uri="{05C60535}">'
    '<x14:sparklineGroups xmlns:xm="http://schemas.microsoft.com/office/excel/2006/main"><x14:sparklineGroup>'
    f"<x14:sparklines><x14:sparkline><xm:f>{WORD}!A1:A9</xm:f><xm:sqref>C2</xm:sqref></x14:sparkline></x14:sparklines>"
    "</x14:sparklineGroup></x14:sparklineGroups></ext></extLst>"
)
NEWER_RULE = (
    '<extLst><ext xmlns:x14="http://schemas.microsoft.com/office/spreadsheetml/2009/9/main" uri="{CCE6A557}">'
    '<x14:dataValidations xmlns:xm="http://schemas.microsoft.com/office/excel/2006/main" count="1">'
    f'<x14:dataValidation type="list" prompt="{WORD}"><x14:formula1><xm:f>"{WORD}"</xm:f></x14:formula1>'
    "<xm:sqref>C2</xm:sqref></x14:dataValidation></x14:dataValidations></ext></extLst>"
)
LABELS_FROM_CELLS = (
    '<c:extLst xmlns:c="http://schemas.openxmlformats.org/drawingml/2006/chart"><c:ext uri="{02D57815}"'
    ' xmlns:c15="http://schemas.microsoft.com/office/drawing/2012/chart"><c15:datalabelsRange><c15:f>Office!$A$1</c15:f>'
    f'<c15:dlblRangeCache><c:ptCount val="1"/><c:pt idx="0"><c:v>{WORD}</c:v></c:pt></c15:dlblRangeCache>'
    "</c15:datalabelsRange></c:ext></c:extLst>"
)


def after_series(new: str) -> Callable[[str], str]:
    return lambda text: re.sub(r"</(\w+:)?ser>", lambda end: new + end[0], text, count=1)


DRAWN = "http://schemas.openxmlformats.org/drawingml/2006/main"


def label_of(point: int) -> str:
    """A label with a text of its own for one point of a series."""
    return (
        f'<dLbls><dLbl><idx val="{point}"/><tx><rich><a:bodyPr xmlns:a="{DRAWN}"/><a:p xmlns:a="{DRAWN}"><a:r>'
        f'<a:t>{WORD}</a:t></a:r></a:p></rich></tx><showVal val="1"/></dLbl><showVal val="0"/></dLbls>'
    )


def named_series(text: str) -> str:
    start = '<ser><idx val="0"/><order val="0"/>'
    assert start in text
    return text.replace(start, f"{start}<tx><v>{WORD}</v></tx>")


def white_legend(text: str) -> str:
    look = f'<a:bodyPr xmlns:a="{DRAWN}"/><a:p xmlns:a="{DRAWN}"><a:pPr><a:defRPr>{solid("FFFFFF")}</a:defRPr></a:pPr></a:p>'
    assert "</legend>" in text
    return text.replace("</legend>", f"<txPr>{look}</txPr></legend>")


BESIDE: dict[str, tuple[Callable, dict[str, Callable[[str], str]]]] = {
    "header of even pages": (headed(evenHeader=WORD), {}),
    "footer of the first page": (headed(firstFooter=WORD), {}),
    "white text in a header": (headed(oddHeader=f"Shown &KFFFFFF{WORD}"), {}),
    "tiny text in a footer": (headed(oddFooter=f"Shown &1{WORD}"), {}),
    "typeface of a header": (headed(oddHeader="x"), {books.SHEET1: swap("&amp;L", f'&amp;L&amp;"{WORD}"')}),
    "target of a link": (linked(f"https://example.org/{WORD}"), {}),
    "tip of a link": (linked("https://example.org/", WORD), {}),
    "choices": (ruled(type="list", formula1=f'"{WORD},b"'), {}),
    "limit": (ruled(type="decimal", operator="lessThan", formula1="73519.25"), {}),
    "prompt": (ruled(type="decimal", operator="greaterThan", formula1="0", prompt=WORD, promptTitle=WORD), {}),
    "message": (ruled(type="decimal", operator="greaterThan", formula1="0", error=WORD, errorTitle=WORD), {}),
    "rule of a newer program": (ruled(type="decimal", operator="greaterThan", formula1="0"), {books.SHEET1: insert("</worksheet>", NEWER_RULE)}),
    "text in a conditional format": (marked(FormulaRule([f'B1="{WORD}"'], font=Font(bold=True))), {}),
    "number in a conditional format": (marked(CellIsRule("greaterThan", ["73519.25"], font=Font(bold=True))), {}),
    "threshold of icons": (marked(IconSetRule("3Arrows", "num", [0, 20, NUMBER])), {}),
    "text rule": (marked(Rule("containsText", text=WORD, operator="containsText", formula=[f'NOT(ISERROR(SEARCH("{WORD}",B1)))'], dxf=DifferentialStyle(font=Font(bold=True)))), {}),
    "rank": (marked(Rule("top10", rank=73519)), {}),
    "comment": (noted, {}),
    "unused section of a format": (put("C2", 5, number_format=f'0;-0;"{WORD}"'), {}),
    "other sections of a text's format": (put("C2", "seen", number_format=f'"{WORD}"0;-0;0;@'), {}),
    "limit in a format": (put("C2", 5, number_format='[>73519.25]"big";0'), {}),
    "spaces in a format": (put("C2", 5, number_format="0" + "".join(f"_{sign}" for sign in WORD)), {}),
    "typeface": (put("C2", "seen", font=Font(name=WORD)), {}),
    "title of a hidden axis": (untitled_axis, {}),
    "format of labels": (label_format, {}),
    "limit of an axis": (charted(), {CHART: swap("<scaling>", '<scaling><max val="73519.25"/>')}),
    "figures in a chart": (charted(), {CHART: lambda text: re.sub("<val>.*?</val>", '<val><numLit><ptCount val="1"/><pt idx="0"><v>73519.25</v></pt></numLit></val>', text, count=1)}),
    "labels from cells": (charted(), {CHART: after_series(LABELS_FROM_CELLS)}),
    "name of a series without a legend": (charted(legend=None), {CHART: lambda t: re.sub(r"<((?:\w+:)?)tx>.*?strRef.*?</\1tx>|(?=<((?:\w+:)?)spPr>|<((?:\w+:)?)invertIfNegative)", f"<tx><v>{WORD}</v></tx>", t, count=1) if "<ser>" in t else t}),
    "hidden shape": (pictured, drawn(shape(WORD, attributes='hidden="1"'))),
    "description of a shape": (pictured, drawn(shape("Shown", attributes=f'descr="{WORD}" title="{WORD}"', name=WORD))),
    "white text in a shape": (pictured, drawn(shape(WORD, run=f"<a:rPr>{solid('FFFFFF')}</a:rPr>"))),
    "clear text in a shape": (pictured, drawn(shape(WORD, run='<a:rPr><a:noFill/></a:rPr>'))),
    "text in the colour of its shape": (pictured, drawn(shape(WORD, fill=solid("203040"), run=f"<a:rPr>{solid('203040')}</a:rPr>"))),
    "tiny text in a shape": (pictured, drawn(shape(WORD, run='<a:rPr sz="100"/>'))),
    "shape under a shape": (pictured, drawn(shape(WORD) + shape("Shown", fill=solid("FFFFFF")))),
    "shape of no size": (pictured, drawn(shape(WORD, to=(0, 9)))),
    "more text than a shape shows": (pictured, drawn(shape("Shown " + "and more " * 300 + WORD))),
    "text of a list's look in a shape": (pictured, drawn(shape(WORD).replace("<a:p>", f"<a:lstStyle><a:lvl1pPr><a:defRPr>{solid('FFFFFF')}</a:defRPr></a:lvl1pPr></a:lstStyle><a:p>"))),
    "text moved out of a shape": (pictured, drawn(shape(WORD).replace('vertOverflow="clip"', 'lIns="90000000"'))),
    "text lifted off its line": (pictured, drawn(shape(WORD, run='<a:rPr baseline="900000"/>'))),
    "text in a place of a shape that shows none": (pictured, drawn(shape("Shown", fill=f"<a:ln><a:p><a:r><a:t>{WORD}</a:t></a:r></a:p></a:ln>"))),
    "text of a line": (pictured, drawn(shape(WORD).replace("x:sp>", "x:cxnSp>").replace("<x:sp ", "<x:cxnSp ").replace("nvSpPr", "nvCxnSpPr").replace("cNvSpPr", "cNvCxnSpPr"))),
    "white title of a chart by the look of all": (charted(WORD), {CHART: insert("</chartSpace>", f'<txPr><a:bodyPr xmlns:a="{DRAWN}"/><a:p xmlns:a="{DRAWN}"><a:pPr><a:defRPr>{solid("FFFFFF")}</a:defRPr></a:pPr></a:p></txPr>')}),
    "title beside a chart": (charted(WORD), {CHART: swap("</tx>", '</tx><layout><manualLayout><xMode val="edge"/><yMode val="edge"/><x val="0.99"/><y val="0.1"/></manualLayout></layout>')}),
    "label of no point": (charted(), {CHART: swap("<val>", label_of(9) + "<val>")}),
    "name of a series in a white legend": (charted(), {CHART: lambda t: white_legend(named_series(t))}),
    "what a name says of itself": (both(put("C2", "seen"), lambda sheet: sheet.parent.defined_names.add(DefinedName("rate", attr_text="Office!$A$1", comment=WORD))), {}),
    "name of the code of a sheet": (lambda sheet: setattr(sheet.sheet_properties, "codeName", WORD), {}),
    "word in place of an alignment": (put("C2", "seen", alignment=Alignment(horizontal="center")), {"xl/styles.xml": swap('horizontal="center"', f'horizontal="{WORD}"')}),
    "word in place of a pattern": (put("C2", "seen", fill=PatternFill("lightUp", fgColor="FFEEEEEE")), {"xl/styles.xml": swap('"lightUp"', f'"{WORD}"')}),
    "word in place of an underline": (put("C2", "seen", font=Font(u="double")), {"xl/styles.xml": swap('<u val="double"', f'<u val="{WORD}"')}),
    "number in place of a size": (put("C2", "seen", alignment=Alignment(indent=3)), {"xl/styles.xml": swap('indent="3"', 'indent="73519"')}),
    "name of a style": (lambda sheet: setattr(sheet["A2"], "style", NamedStyle(WORD)), {}),
    "spelling of a text": (put("A2", "Walls"), {books.SHEET1: swap("<t>Walls</t>", f'<t>Walls</t><rPh sb="0" eb="1"><t>{WORD}</t></rPh>')}),
    "behind the blanks of a header": (headed(oddHeader="Shown" + " " * 120 + WORD), {}),
    "sparklines": (lambda sheet: None, {books.SHEET1: insert("</worksheet>", SPARKLINES)}),
}  # fmt: skip


SECRETS = (WORD.casefold(), "73519", "".join(f"_{sign}" for sign in WORD).casefold())


@pytest.mark.parametrize("name", UNSEEN)
def test_what_the_page_does_not_show_is_not_in_the_copy(name, tmp_path):
    data = page(UNSEEN[name])
    made = shared(tmp_path, data)
    text = books.decoded(made.path.read_bytes())
    kept = {
        "more digits than a page shows",
        "digits under a condition",
        "time under a date",
        "figures for which there is no room",
    }
    gone = "73519.25" if name in kept else "73519"
    assert WORD.casefold() not in text
    assert gone not in text
    assert "3.73519" not in text
    assert "shown title" in text
    assert made.unseen or UNTOLD.search(name)


INVISIBLE = {
    "tags": "".join(chr(0xE0000 + ord(sign)) for sign in "35%"),
    "a space of no width": "\u200b",
    "joiners between plain letters": "\u200d\u200c",
    "marks of direction": "\u202e\u2066",
    "selectors": "\ufe01\ufe0f\U000e0101",
    "private signs": "\ue123\U000f0123",
    "fillers": "\u3164\u115f\u034f",
    "a soft hyphen": "\u00ad",
}


@pytest.mark.parametrize("name", INVISIBLE)
def test_signs_that_no_page_shows_are_not_in_the_copy(name, tmp_path):
    signs = INVISIBLE[name]
    hidden_in = both(
        put("C2", f"se{signs}en"),
        put("C3", rich("plain ", TextBlock(InlineFont(b=True), f"bo{signs}ld"))),
        put("C4", 5, number_format=f'0" k{signs}g"'),
        headed(oddHeader=f"He{signs}ad"),
        charted(f"Ti{signs}tle"),
        pictured,
    )
    made = shared(tmp_path, page(hidden_in, edits=drawn(shape(f"Sh{signs}ape"))))
    contents = books.parts(made.path.read_bytes())
    text = "".join(data.decode() for name, data in contents.items() if name.endswith(".xml")).casefold()
    assert not set(signs) & set(text)
    assert all(word in text for word in ("seen", "bold", "kg", "head", "title", "shape"))
    assert {"Page!C2", "Page!C3"} <= set(made.unseen)
    told = "signs that no page shows, in a"
    assert {f"{told} header or footer on Page", f"{told} shape", f"{told} chart"} <= set(made.left_out)


def test_signs_that_scripts_and_pictographs_need_stay(tmp_path):
    text = "\u2764\ufe0f \U0001f468\u200d\U0001f469 \u0645\u06cc\u200c\u062e\u0648\u0627\u0647\u0645 1\ufe0f\u20e3"
    made = shared(tmp_path, page(both(put("A5", text), put("B5", None))))
    assert Package.open(made.path).value("Page", 5, 1) == text
    assert made.unseen == ()


LONG = "A text of some fifty letters, which needs its room here"
WHOLE = {
    "over empty cells": put("A5", LONG),
    "in a wide column": both(put("B5", LONG), put("C5", "here"), hidden("column", "B", width=60)),
    "in columns wide by default": both(
        put("B5", LONG), put("C5", "here"), lambda sheet: setattr(sheet.sheet_format, "defaultColWidth", 60)
    ),
    "over the lines of its row": both(
        put("B5", LONG, alignment=Alignment(wrap_text=True)), hidden("row", 5, height=100)
    ),
    "in a row that grows": put("B5", LONG, alignment=Alignment(wrap_text=True)),
    "in merged cells": both(put("A5", LONG), lambda sheet: sheet.merge_cells("A5:F5")),
    "to the left": both(put("F5", LONG, alignment=Alignment(horizontal="right"))),
    "made smaller": put("B5", LONG[:30], alignment=Alignment(shrink_to_fit=True)),
    "centred over several cells": both(put("B5", LONG, alignment=Alignment(horizontal="centerContinuous"))),
    "in the rows of a table": both(
        tabled("TableStyleMedium1"), put("A16", LONG, font=Font(color="FF000000")), put("B16", None)
    ),
    "in the head of a table": both(tabled("TableStyleMedium9"), put("A15", LONG), hidden("column", "A", width=60)),
}


@pytest.mark.parametrize("name", WHOLE)
def test_a_text_that_finds_room_stays_whole(name, tmp_path):
    made = shared(tmp_path, page(WHOLE[name]))
    package = Package.open(made.path)
    held = {package.value("Page", *at) for at in package.sheet("Page").stored}
    assert {LONG, LONG[:30]} & held
    assert made.unseen == ()


def test_a_sheet_whose_name_has_unseen_signs_is_refused(tmp_path):
    def change(sheet):
        sheet.title = "Pa\u200bge"
        sheet.defined_names["shown_to_client"].attr_text = "'Pa\u200bge'!$A$1:$F$20"

    with pytest.raises(WorkbookError, match="the name of the sheet Page holds signs that no page shows"):
        shared(tmp_path, page(change))


def test_more_lines_than_a_row_shows_are_refused_where_nobody_can_tell_which_are_seen(tmp_path):
    change = both(
        put("C2", "seen and much more " * 9, alignment=Alignment(wrap_text=True)), hidden("row", 2, height=30)
    )
    with pytest.raises(WorkbookError, match=r"texts have more lines than their rows show \(Page!C2\).*rows higher"):
        shared(tmp_path, page(change))


OTHER_PARTS = (
    "xl/threadedComments/threadedComment1.xml",
    "xl/persons/person.xml",
    "customXml/item1.xml",
    "xl/printerSettings/printerSettings1.bin",
    "docProps/thumbnail.jpeg",
    "docProps/app.xml",
    "xl/externalLinks/externalLink1.xml",
    "xl/ctrlProps/ctrlProp1.xml",
    "xl/pivotCache/pivotCacheDefinition1.xml",
    "xl/calcChain.xml",
    "xl/slicers/slicer1.xml",
    "xl/ink/ink1.xml",
    "xl/queryTables/queryTable1.xml",
    "xl/connections.xml",
    "xl/metadata.xml",
    "xl/revisions/revisionLog1.xml",
)


@pytest.mark.parametrize("part", OTHER_PARTS)
def test_a_part_of_another_kind_is_not_in_the_copy(part, tmp_path):
    data = books.with_parts(page(lambda sheet: None), {part: f"<r><v>{WORD}</v><v>73519.25</v></r>"})
    made = shared(tmp_path, data).path.read_bytes()
    assert part not in books.parts(made)
    assert WORD.casefold() not in books.decoded(made)


@pytest.mark.parametrize("name", BESIDE)
def test_what_stands_beside_the_cells_is_not_in_the_copy(name, tmp_path):
    change, edits = BESIDE[name]
    data = page(change, edits=edits)
    before = books.decoded(data)
    assert any(sought in before for sought in SECRETS), "the source holds it"
    text = books.decoded(shared(tmp_path, data).path.read_bytes())
    assert not any(sought in text for sought in SECRETS)
    assert "shown title" in text


# --- refused ----------------------------------------------------------------------------------------------------------


def zero_is_white(sheet):
    marked(FormulaRule(["B1>5"], font=WHITE))(sheet)


NEWER_HIDING = (
    '<extLst><ext xmlns:x14="http://schemas.microsoft.com/office/spreadsheetml/2009/9/main" uri="{78C0D931}">'
    "<x14:conditionalFormattings><x14:conditionalFormatting"
    ' xmlns:xm="http://schemas.microsoft.com/office/excel/2006/main"><x14:cfRule type="expression" id="{1}">'
    '<xm:f>Office!A1=1</xm:f><x14:dxf><font><color rgb="FFFFFFFF"/></font></x14:dxf></x14:cfRule><xm:sqref>B1</xm:sqref>'
    "</x14:conditionalFormatting></x14:conditionalFormattings></ext></extLst>"
)


def test_a_condition_of_a_newer_program_that_may_hide_text_is_refused(tmp_path):
    data = page(lambda sheet: None, edits={books.SHEET1: insert("</worksheet>", NEWER_HIDING)})
    with pytest.raises(WorkbookError, match="conditional format can make the text of Page!B1 invisible"):
        shared(tmp_path, data)


REFUSED = {
    "white by a condition": (zero_is_white, "conditional format can make the text of Page!B1 invisible"),
    "black on black by a condition": (marked(FormulaRule(["B1>5"], fill=PatternFill(bgColor="FF000000"))), "conditional format"),
    "red text, and red ground": (both(marked(FormulaRule(["B1>5"], font=Font(color="FFFF0000"))), marked(FormulaRule(["B1>6"], fill=PatternFill(bgColor="FFFF0000")))), "conditional format"),
    "format by a condition": (marked(Rule("expression", formula=["B1>5"], dxf=DifferentialStyle(numFmt=NumberFormat(200, ";;;")))), "conditional format"),
    "bars instead of numbers": (marked(DataBarRule("min", None, "max", None, "FF638EC6", showValue=False)), "conditional format"),
    "icons instead of numbers": (marked(IconSetRule("3Arrows", "percent", [0, 33, 67], showValue=False)), "conditional format"),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_a_condition_that_may_hide_text_is_refused(name, tmp_path):
    change, message = REFUSED[name]
    with pytest.raises(WorkbookError, match=message):
        shared(tmp_path, page(change))
    assert not (tmp_path / "copy.xlsx").exists()


SEEN_RULES = {
    "bold": FormulaRule(["B1>1"], font=Font(bold=True)),
    "white on red": FormulaRule(["B1>1"], font=WHITE, fill=PatternFill(bgColor="FFC00000")),
    "pale ground": CellIsRule("greaterThan", ["1"], fill=PatternFill(bgColor="FFFFF2CC")),
    "bars": DataBarRule("min", None, "max", None, "FF9DC3E6"),
    "icons": IconSetRule("3Arrows", "percent", [0, 33, 67]),
}


@pytest.mark.parametrize("name", SEEN_RULES)
def test_a_condition_that_leaves_text_seen_is_kept(name, tmp_path):
    made = shared(tmp_path, page(marked(copy(SEEN_RULES[name]))))
    assert "<cfRule" in books.parts(made.path.read_bytes())[books.SHEET1].decode()
    assert made.taken[0] == "conditional formats (1)"
    assert made.left_out == ()


def test_a_revision_that_no_page_names_is_not_in_the_stamp(tmp_path):
    def change(sheet):
        sheet.parent["Office"]["B5"] = WORD
        sheet.parent.defined_names["revision"] = DefinedName("revision", attr_text="Office!$B$5")

    assert WORD.casefold() not in books.decoded(shared(tmp_path, page(change)).path.read_bytes())


def test_a_hidden_sheet_with_the_name_is_refused(tmp_path):
    for state in ("hidden", "veryHidden"):
        made = books.built({"Page": {"A1": "Shown"}, "Second": {"A1": WORD}})
        made["Second"].sheet_state = state
        for sheet in made:
            sheet.defined_names.add(DefinedName("shown_to_client", attr_text=f"{sheet.title}!$A$1:$B$2"))
        with pytest.raises(WorkbookError, match="the sheet Second is hidden, and yet has cells with the name"):
            shared(tmp_path, books.saved(made))


@pytest.mark.parametrize("title", ["Page (2)", "Page_2"])
def test_a_copied_sheet_is_refused(title, tmp_path):
    made = books.built({"Page": {"A1": "Shown"}, title: {"A1": WORD}})
    for sheet in made:
        sheet.defined_names.add(DefinedName("shown_to_client", attr_text=f"'{sheet.title}'!$A$1:$B$2"))
    with pytest.raises(WorkbookError, match="looks like a copy of Page"):
        shared(tmp_path, books.saved(made))


# --- formulas that stay -----------------------------------------------------------------------------------------------

SAYING = [
    f'=IF(C1>5,"{WORD}","")',
    "=C1*35",
    "=ROUND(C1,2)*73519",
    "=C1+73519.25",
    f'=COUNTIF(C1:C2,"{WORD}")',
]


@pytest.mark.parametrize("formula", SAYING)
def test_a_formula_that_writes_something_out_becomes_a_value(formula, tmp_path):
    change = both(put("C1", None, protection=Protection(locked=False)), put("D1", formula))
    made = shared(tmp_path, page(change, "contractor"), "contractor")
    text = books.parts(made.path.read_bytes())[books.SHEET1].decode()
    assert "<f>" not in text
    assert WORD not in text
    assert made.fixed == ("Page!D1",)


def test_words_of_the_page_may_stand_in_a_formula(tmp_path):
    change = both(put("C1", None, protection=Protection(locked=False)), put("D1", '=IF(C1>0,"walls","")'))
    assert shared(tmp_path, page(change, "contractor"), "contractor").formulas == 1


def test_a_product_is_rounded_as_shown_before_it_is_added(tmp_path):
    """Two lines of 3.144 print as 3.14 and add up to 6.28; added first they would print 6.29."""

    def change(sheet):
        for row in (1, 2):
            sheet[f"B{row}"] = 1.572
            sheet[f"B{row}"].number_format = "0.000"
            sheet[f"C{row}"] = 2
            sheet[f"C{row}"].protection = Protection(locked=False)
            sheet[f"D{row}"] = f'=IF(C{row}="","",B{row}*C{row})'
            sheet[f"D{row}"].number_format = "0.00"
        sheet["D3"] = "=SUM(D1:D2)"
        sheet["D3"].number_format = "0.00"

    made = shared(tmp_path, page(change, "contractor"), "contractor")
    package = Package.open(made.path)
    assert [package.value("Page", row, 4) for row in (1, 2, 3)] == [3.14, 3.14, 6.28]
    assert package.sheet("Page").formulas[3, 4].text == "SUM(D1:D2)"


# --- what is told -----------------------------------------------------------------------------------------------------


def test_everything_taken_over_and_everything_not_seen_is_told(tmp_path):
    def change(sheet):
        charted()(sheet)
        pictured(sheet)
        headed(oddHeader="Shown header")(sheet)
        marked(FormulaRule(["B1>1"], font=Font(bold=True)))(sheet)
        sheet["C2"] = "example.org"
        sheet["C2"].hyperlink = "https://example.org"
        sheet["D2"], sheet["D2"].font = WORD, WHITE

    data = page(change, edits=drawn(shape("Shown shape")))
    made = shared(tmp_path, data)
    assert set(made.taken) == {
        "charts (1)",
        "pictures (1)",
        "shapes and lines (1)",
        "conditional formats (1)",
        "links (1)",
        "headers and footers (1)",
        "typefaces Calibri, Cambria",
    }
    assert made.unseen == ("Page!D2",)
