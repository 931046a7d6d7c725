"""A shared copy: what it shows, what it keeps working, and that nothing withheld is anywhere in its package."""

import datetime
import html
import io
import re
import zipfile
from functools import cache

import openpyxl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl.chart import BarChart, Reference
from openpyxl.comments import Comment
from openpyxl.drawing.image import Image
from openpyxl.formatting.rule import FormulaRule
from openpyxl.packaging.custom import StringProperty
from openpyxl.styles import Alignment, Font, NamedStyle, PatternFill, Protection
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.header_footer import HeaderFooter
from openpyxl.worksheet.table import Table
from openpyxl.xml.functions import fromstring

from stillbook.office.returned_scope import read_scope
from stillbook.share import copies as share_module
from stillbook.share.copies import share
from stillbook.share.photos import bare_picture
from stillbook.share.print_sets import sheets_of_set
from stillbook.share.proof import figures
from stillbook.templates.demo import values as demo_values
from stillbook.templates.shipped import template
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.package import Package
from stillbook.workbook.job.audience import AUDIENCES
from stillbook.workbook.job.draft import DraftError
from stillbook.workbook.job.estimate import Job
from workbook import books
from workbook.office import convert

NOW = datetime.datetime(2026, 3, 2, 9, 30)
WORD = "Quibberdunk{:02d}"
"""A made-up word that stands nowhere by chance."""


def shared(tmp_path, data: bytes, audience="client", name="copy.xlsx", *, draft=False):
    source = tmp_path / "source.xlsx"
    source.write_bytes(data)
    copy = share(source, tmp_path / name, audience, now=NOW, replace=True, draft=draft)
    return copy, Package.open(copy.path)


def small(cells, area="A1:D9", *, more=None, audience="client") -> bytes:
    made = books.built({"Page": cells, "Office": more or {}})
    made["Page"].defined_names.add(DefinedName(f"shown_to_{audience}", attr_text=f"Page!{absolute(area)}"))
    return books.saved(made)


def absolute(area: str) -> str:
    return re.sub(r"([A-Z]+)(\d+)", r"$\1$\2", area)


# --- what it shows ----------------------------------------------------------------------------------------------------


def test_a_copy_holds_values_of_the_shown_cells_alone(tmp_path):
    data = small({"A1": "Price", "B1": "=Office!B1/(1-0.35)", "F1": "beside the page"}, more={"B1": 6500})
    copy, package = shared(tmp_path, data)
    assert package.sheets == ["Page"]
    assert package.value("Page", 1, 1) == "Price"
    assert package.value("Page", 1, 2) == 10000
    assert package.value("Page", 1, 6) is None
    assert not package.sheet("Page").formulas
    assert copy.formulas == 0


SHOWN_DIGITS = [
    # stored, format, what the copy holds
    (11053.4837, "#,##0", 11053.0),
    (0.08625, "0.0%", 0.086),
    (12.345678, "0.00", 12.35),
    (2 / 3, "General", 0.6666667),  # a cell of the usual width has no room for more
    (1234567.0, "#,##0,", 1235000.0),
    (46083.0, "yyyy-mm-dd", 46083.0),
    (46083.73519, "yyyy-mm-dd", 46083.0),
    (46083.73519, "hh:mm", 17 / 24 + 38 / 1440),
    (46083.0, "mmm yyyy", 46082.0),
    (1.73519, "[h]:mm", 2498 / 1440),
    (94.5, "#,##0", 95.0),
    (-94.5, "#,##0", -95.0),
    (93.5, "0", 94.0),
    (1.005, "0.00", 1.01),
    (2.675, "0.00;(0.00)", 2.68),
    (0.285, "0%", 0.29),
    (1250.0, "0,", 1000.0),
    (1500.0, "0,", 2000.0),
    (12355.0, "0.00E+00", 12400.0),
    (12345.0, "##0.0E+0", 12300.0),
    (12350.0, "##0.0E+0", 12400.0),
    (1.3751, "# ?/8", 1.375),
    (0.33519, "# ?/?", 1 / 3),
    (1.2, "General", 1.2),
    (1234.5678, "[>1000]#,##0;0.00", 1235.0),
    (12.5678, "[>1000]#,##0;0.00", 12.57),
    (3.0, '"yes"', "yes"),
]


@pytest.mark.parametrize(("stored", "code", "held"), SHOWN_DIGITS)
def test_a_number_holds_no_more_digits_than_its_page_shows(tmp_path, stored, code, held):
    made = books.built({"Page": {"A1": "x", "B1": stored}})
    made["Page"]["B1"].number_format = code
    made["Page"].defined_names.add(DefinedName("shown_to_client", attr_text="Page!$A$1:$B$1"))
    _, package = shared(tmp_path, books.saved(made))
    assert package.value("Page", 1, 2) == held


def test_the_stamp_says_from_what_revision_and_when(tmp_path):
    import hashlib

    data = small({"A1": "Price"})
    copy, package = shared(tmp_path, data)
    stamp = package.value("Page", 11, 1)
    assert copy.revision == hashlib.sha256(data).hexdigest()
    assert f"made 2026-03-02 09:30 from revision {copy.revision[:12]}, saved 20" in stamp
    assert package.properties() == {"shared_from_revision": copy.revision, "shared_for": "client"}


def test_cautions_are_added_where_the_page_has_none(tmp_path):
    _, package = shared(tmp_path, small({"A1": "Price"}))
    assert "not a certified design" in str(package.value("Page", 12, 1))
    _, package = shared(tmp_path, small({"A1": "This is an estimate, not a certified design."}))
    assert package.value("Page", 12, 1) is None


def test_no_mark_asks_a_reader_to_calculate_what_it_cannot(tmp_path):
    copy, _ = shared(tmp_path, small({"A1": "Price", "B1": "=STILL_PACKS(9,2)"}))
    main = books.parts(copy.path.read_bytes())["xl/workbook.xml"].decode()
    assert "fullCalcOnLoad" not in main
    assert int(re.search(r'calcId="(\d+)"', main)[1]) >= 191029


def test_a_row_whose_formulas_all_show_nothing_is_not_in_the_copy(tmp_path):
    cells = {"A1": "No.", "A2": '=IF(Office!A1>1,"two","")', "B2": "=A2", "A3": "end"}
    copy, package = shared(tmp_path, small(cells))
    assert (2, 1) not in package.sheet("Page").stored
    assert '<row r="2" hidden="1"/>' in books.parts(copy.path.read_bytes())["xl/worksheets/sheet1.xml"].decode()


def test_a_row_left_blank_by_a_formula_over_several_rows_is_not_in_the_copy(tmp_path):
    cells = {"A1": "No.", "A2": books.array("A2:A4", '=IF(Office!A1:A3=1,"one","")')}
    copy, package = shared(tmp_path, small(cells, more={"A1": 1}))
    assert package.value("Page", 2, 1) == "one"
    assert (3, 1) not in package.sheet("Page").stored
    assert '<row r="3" hidden="1"/>' in books.parts(copy.path.read_bytes())["xl/worksheets/sheet1.xml"].decode()


# --- formulas ---------------------------------------------------------------------------------------------------------


def priced(**changed) -> bytes:
    """A page with boxes for a contractor's prices."""
    cells = {
        "A1": "Board", "B1": 21, "D1": "=B1*C1",
        "A2": "Stud", "B2": 40, "D2": '=IF(C2="",0,ROUND(B2*C2,2))',
        "A3": "Sum", "D3": "=SUM(D1:D2)", "A4": "Boards and studs", "D4": "=B1+B2",
        **changed,
    }  # fmt: skip
    made = books.built({"Page": cells, "Office": {"A1": 1.18}}, {"rate": "Office!$A$1"})
    for box in ("C1", "C2"):
        made["Page"][box].protection = Protection(locked=False)
    made["Page"].protection.sheet = True
    made["Page"].protection.password = "opensesame"
    made["Page"].defined_names.add(DefinedName("shown_to_contractor", attr_text="Page!$A$1:$D$9"))
    return books.saved(made)


def test_formulas_that_need_the_readers_figures_stay_and_others_become_values(tmp_path):
    copy, package = shared(tmp_path, priced(), "contractor")
    held = {at: formula.text for at, formula in package.sheet("Page").formulas.items()}
    assert held == {(1, 4): "B1*C1", (2, 4): 'IF(C2="",0,ROUND(B2*C2,2))', (3, 4): "SUM(D1:D2)"}
    assert package.value("Page", 4, 4) == 61
    assert [package.value("Page", row, 4) for row in (1, 2, 3)] == [0, 0, 0]
    assert copy.formulas == 3
    assert copy.fixed == ()


NOT_KEPT = [
    ("=B1*C1*Office!A1", "it looks at a withheld sheet"),
    ("=B1*C1*1.18", "it holds a rate"),
    ("=B1*C1*rate", "it uses a name"),
    ("=STILL_PACKS(B1*C1,2)", "it needs our formulas"),
    ('=INDIRECT("C1")*B1', "it can look anywhere"),
    ("=B1*C1+F1", "it looks beside the page"),
]


@pytest.mark.parametrize(("formula", "why"), NOT_KEPT)
def test_a_formula_that_would_tell_more_becomes_a_value(tmp_path, formula, why):
    _, package = shared(tmp_path, priced(D1=formula, F1=7), "contractor")
    assert (1, 4) not in package.sheet("Page").formulas, why
    assert (2, 4) in package.sheet("Page").formulas


def test_a_value_that_should_have_followed_the_reader_is_told(tmp_path):
    copy, _ = shared(tmp_path, priced(D1="=B1*C1*Office!A1"), "contractor")
    assert copy.fixed == ("Page!D1",)


def test_the_sheet_stays_locked_without_its_password(tmp_path):
    copy, _ = shared(tmp_path, priced(), "contractor")
    text = books.parts(copy.path.read_bytes())["xl/worksheets/sheet1.xml"].decode()
    assert '<sheetProtection sheet="1"' in text
    assert "password" not in text


def test_a_contractor_can_price_the_copy_in_another_program(tmp_path):
    copy, _ = shared(tmp_path, priced(), "contractor")
    made = openpyxl.load_workbook(copy.path)
    made["Page"]["C1"], made["Page"]["C2"] = 18.5, 6
    filled = tmp_path / "filled.xlsx"
    made.save(filled)
    again = convert(filled, "xlsx", tmp_path, recalculate=True)
    sheet = openpyxl.load_workbook(again, data_only=True)["Page"]
    assert [sheet[cell].value for cell in ("D1", "D2", "D3")] == [388.5, 240, 628.5]


# --- refusals ---------------------------------------------------------------------------------------------------------


def test_a_workbook_that_does_not_say_what_may_be_seen_is_not_shared(tmp_path):
    with pytest.raises(WorkbookError, match=r"does not say what a client may see: give the cells .* shown_to_client"):
        shared(tmp_path, books.book({"Page": {"A1": 1}}))
    with pytest.raises(WorkbookError, match="does not say what a contractor may see"):
        shared(tmp_path, small({"A1": 1}), "contractor")
    assert not (tmp_path / "copy.xlsx").exists()


@pytest.mark.parametrize("refers_to", ["Page!$A:$B", "Gone!$A$1", "#REF!", "0.35"])
def test_a_name_that_refers_to_no_cells_is_refused(tmp_path, refers_to):
    made = books.built({"Page": {"A1": 1}})
    made["Page"].defined_names.add(DefinedName("shown_to_client", attr_text=refers_to))
    with pytest.raises(WorkbookError, match="shown_to_client refers to"):
        shared(tmp_path, books.saved(made))


def test_an_error_is_not_given_away(tmp_path):
    with pytest.raises(WorkbookError, match=r"hold errors \(Page!B2 #DIV/0!\): put them right first"):
        shared(tmp_path, small({"A1": "x", "B2": "=1/0"}), draft=True)
    assert not (tmp_path / "copy.xlsx").exists()


def test_neither_the_source_nor_another_file_is_replaced(tmp_path):
    source = tmp_path / "source.xlsx"
    source.write_bytes(small({"A1": "x"}))
    with pytest.raises(WorkbookError, match="it is the workbook itself"):
        share(source, source, "client", replace=True)
    (tmp_path / "other.xlsx").write_bytes(b"kept")
    with pytest.raises(WorkbookError, match="it exists already"):
        share(source, tmp_path / "other.xlsx", "client")
    assert (tmp_path / "other.xlsx").read_bytes() == b"kept"


def test_several_areas_on_several_sheets(tmp_path):
    made = books.built(
        {"One": {"A1": "a", "B1": "b", "C1": "c"}, "It's two": {"A1": "d", "A30": "e"}, "Three": {"A1": "f"}}
    )
    made["One"].defined_names.add(DefinedName("shown_to_client", attr_text="One!$A$1,One!$C$1:$C$2"))
    made["It's two"].defined_names.add(DefinedName("Shown_To_Client", attr_text="'It''s two'!$A$1:$B$2"))
    _, package = shared(tmp_path, books.saved(made))
    assert package.sheets == ["One", "It's two"]
    assert [package.value("One", 1, column) for column in (1, 2, 3)] == ["a", None, "c"]
    assert [package.value("It's two", row, 1) for row in (1, 30)] == ["d", None]


# --- nothing withheld is anywhere in the package ----------------------------------------------------------------------


class Secrets:
    """Made-up words and numbers, each noted with the place where it is hidden."""

    def __init__(self):
        self.places = {}

    def word(self, place: str) -> str:
        made = WORD.format(len(self.places))
        self.places[made] = place
        return made

    def number(self, place: str) -> float:
        made = 73519.25 + len(self.places) * 1001
        self.places[f"{made:.10g}"] = place
        return made


def hostile() -> tuple[bytes, dict[str, str]]:  # noqa: PLR0915
    """A workbook with something withheld in every corner that a program writes to, and what stands where."""
    hidden = Secrets()
    made = openpyxl.Workbook()
    page = made.active
    page.title = "Page"
    page["A1"], page["B1"], page["B2"], page["B3"] = "Shown title", 12, 7, 9
    page["A2"], page["A3"] = "Walls", "Doors"
    page["A4"] = "example.org/shown"
    page["A4"].hyperlink = "https://example.org/shown"
    page["C1"] = hidden.word("hidden column")
    page.column_dimensions["C"].hidden = True
    page["A5"] = hidden.word("hidden row")
    page.row_dimensions[5].hidden = True
    page["D1"] = hidden.word("white text")
    page["D1"].font = Font(color="FFFFFFFF")
    page["D2"] = hidden.word("text in the colour of its fill")
    page["D2"].font, page["D2"].fill = Font(color="FF22AA33"), PatternFill("solid", fgColor="FF22AA33")
    page["D3"] = hidden.number("a number whose format shows nothing")
    page["D3"].number_format = ";;;"
    page["A7"] = "over"
    page["B7"] = hidden.word("under a merged cell")
    made_cells = page["B7"]
    page.merge_cells("A7:B7")
    page._cells[7, 2] = made_cells
    page["H1"] = hidden.word("beside the page")
    page["A40"] = hidden.number("below the page")
    page["A2"].comment = Comment(hidden.word("comment"), hidden.word("comment's author"))
    page["A3"].hyperlink = f"file:///C:/{hidden.word('path of a link')}.xlsx"
    rule = DataValidation("list", formula1=f'"{hidden.word("choices of a locked cell")},b"')
    rule.prompt = hidden.word("prompt of a locked cell")
    rule.add("B2")
    page.add_data_validation(rule)
    page.conditional_formatting.add(
        "B1", FormulaRule([f'Office!A1="{hidden.word("conditional format")}"'], font=Font(bold=True))
    )
    page.print_area = "A1:D9"
    page.oddHeader.left.text = "Shown header"
    page.add_table(Table(displayName=hidden.word("table name"), ref="A1:A3"))
    page["A1"].value = "Shown title"
    chart = BarChart()
    chart.title = "Shown chart"
    chart.add_data(Reference(page, min_col=2, min_row=1, max_row=3))
    page.add_chart(chart, "A8")
    chart = BarChart()
    chart.title = hidden.word("title of a chart whose figures are withheld")
    office = made.create_sheet("Office")
    chart.add_data(Reference(office, min_col=1, min_row=1, max_row=3))
    page.add_chart(chart, "B8")
    picture = Image(io.BytesIO(noted_png(hidden.word("note in a picture"))))
    page.add_image(picture, "B6")
    for row in range(1, 4):
        office.cell(row, 1, hidden.number("cell of another sheet"))
        office.cell(row, 2, hidden.word("cell of another sheet"))
    office["C1"] = f'="{hidden.word("formula of another sheet")}"&A1'
    office["D1"].number_format = f'"{hidden.word("number format of another sheet")} "0'
    office["D1"] = 4
    office["E1"] = "styled"
    made.add_named_style(NamedStyle(hidden.word("cell style"), alignment=Alignment(horizontal="left")))
    office["E1"].style = made.named_styles[-1]
    office.oddFooter.left.text = hidden.word("footer of another sheet")
    office.sheet_properties.codeName = hidden.word("code name")
    made.create_sheet(hidden.word("name of another sheet")[:31])
    secret = made.create_sheet("Very hidden")
    secret.sheet_state = "veryHidden"
    secret["A1"] = hidden.word("very hidden sheet")
    made.defined_names["margin"] = DefinedName("margin", attr_text=f'"{hidden.word("constant of a name")}"', comment=hidden.word("note on a name"))  # fmt: skip
    made.defined_names.add(DefinedName(hidden.word("name of a name"), attr_text="Page!$B$1"))
    page.defined_names.add(DefinedName("shown_to_client", attr_text="Page!$A$1:$D$9"))
    for attribute in ("creator", "lastModifiedBy", "title", "subject", "keywords", "description", "category"):
        setattr(made.properties, attribute, hidden.word(f"file property {attribute}"))
    made.custom_doc_props.append(StringProperty(name=hidden.word("name of a property"), value=hidden.word("property")))
    return with_corners(books.saved(made), hidden), hidden.places


def with_corners(data: bytes, hidden: Secrets) -> bytes:
    """The same workbook with what office programs add and openpyxl cannot."""
    contents = books.parts(data)

    def insert(part: str, before: str, new: str) -> None:
        text = contents[part].decode()
        assert before in text, (part, before)
        contents[part] = text.replace(before, new + before, 1).encode()

    relation = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
    sheet = "xl/worksheets/sheet1.xml"
    contents["xl/printerSettings/printerSettings1.bin"] = b"\1\2" + hidden.word("printer").encode("utf-16-le") + b"\0\0"
    contents["docProps/thumbnail.jpeg"] = b"\xff\xd8" + hidden.word("thumbnail").encode() + b"\xff\xd9"
    contents["docProps/app.xml"] = (
        '<Properties xmlns="http://schemas.openxmlformats.org/officeDocument/2006/extended-properties">'
        f"<Company>{hidden.word('company')}</Company><Manager>{hidden.word('manager')}</Manager></Properties>"
    ).encode()
    contents["customXml/item1.xml"] = f"<job><client>{hidden.word('custom part')}</client></job>".encode()
    contents["xl/calcChain.xml"] = f'<calcChain><c r="{hidden.word("calculation chain")}"/></calcChain>'.encode()
    contents["xl/externalLinks/externalLink1.xml"] = (
        f"<externalLink><v>{hidden.word('link to another file')}</v></externalLink>".encode()
    )
    contents["xl/threadedComments/threadedComment1.xml"] = (
        f"<ThreadedComments><text>{hidden.word('conversation')}</text></ThreadedComments>".encode()
    )
    contents["xl/sharedStrings.xml"] = (
        f'<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><si><r><t>Wa</t></r><r><t>lls</t></r></si>'
        f"<si><t>{hidden.word('text that no cell uses')}</t></si>"
        f"<si><r><t>Split</t></r><r><t>{hidden.word('split text')}</t></r></si></sst>"
    ).encode()
    insert("xl/_rels/workbook.xml.rels", "</Relationships>",
           f'<Relationship Id="rIdS" Type="{relation}/sharedStrings" Target="sharedStrings.xml"/>')  # fmt: skip
    text = contents[sheet].decode()
    assert ' t="inlineStr"><is><t>Walls</t></is>' in text
    contents[sheet] = text.replace(' t="inlineStr"><is><t>Walls</t></is>', ' t="s"><v>0</v>').encode()
    insert(sheet, "</worksheet>", f'<extLst><ext uri="x"><a>{hidden.word("extension")}</a></ext></extLst>')
    insert(f"{sheet[:14]}_rels/{sheet[14:]}.rels", "</Relationships>",
           f'<Relationship Id="rIdP" Type="{relation}/printerSettings" Target="../printerSettings/printerSettings1.bin"/>')  # fmt: skip
    insert("xl/drawings/drawing1.xml", "</wsDr>" if b"</wsDr>" in contents["xl/drawings/drawing1.xml"] else "</xdr:wsDr>",
           shape(hidden.word("shape that shows a withheld cell"), link="Office!$B$1")
           + shape("Text in a shape", descr=hidden.word("hidden description of a shape")))  # fmt: skip
    insert("xl/charts/chart1.xml", "</chartSpace>", f'<extLst><ext uri="y"><z>{hidden.word("chart extension")}</z></ext></extLst>')  # fmt: skip
    text = contents["xl/charts/chart1.xml"].decode()
    cache = (
        f'<numCache><ptCount val="1"/><pt idx="0"><v>{hidden.number("what a chart remembers"):.10g}</v></pt></numCache>'
    )
    assert "</f></numRef>" in text
    contents["xl/charts/chart1.xml"] = text.replace("</f></numRef>", f"</f>{cache}</numRef>").encode()
    made = io.BytesIO(books.zipped(contents))
    with zipfile.ZipFile(made, "a") as archive:
        archive.comment = hidden.word("comment of the zip file").encode()
    return made.getvalue()


def shape(text: str, *, link: str = "", descr: str = "") -> str:
    space = "http://schemas.openxmlformats.org/drawingml/2006/"
    return (
        f'<x:twoCellAnchor xmlns:x="{space}spreadsheetDrawing" xmlns:a="{space}main">'
        "<x:from><x:col>0</x:col><x:colOff>0</x:colOff><x:row>5</x:row><x:rowOff>0</x:rowOff></x:from>"
        "<x:to><x:col>2</x:col><x:colOff>0</x:colOff><x:row>7</x:row><x:rowOff>0</x:rowOff></x:to>"
        f'<x:sp macro="" textlink="{link}"><x:nvSpPr><x:cNvPr id="7" name="Note" descr="{descr}"/><x:cNvSpPr/></x:nvSpPr>'
        '<x:spPr><a:prstGeom prst="rect"><a:avLst/></a:prstGeom></x:spPr>'
        f"<x:txBody><a:bodyPr/><a:p><a:r><a:t>{text}</a:t></a:r></a:p></x:txBody></x:sp><x:clientData/></x:twoCellAnchor>"
    )


def noted_png(note: str) -> bytes:
    import struct
    import zlib

    data = b"Author\0" + note.encode()
    chunk = struct.pack(">I", len(data)) + b"tEXt" + data + struct.pack(">I", zlib.crc32(b"tEXt" + data))
    plain = books.png()
    return plain[:33] + chunk + plain[33:]


@pytest.fixture(scope="module")
def hostile_copy(tmp_path_factory):
    folder = tmp_path_factory.mktemp("hostile")
    data, places = hostile()
    source = folder / "source.xlsx"
    source.write_bytes(data)
    copy = share(source, folder / "copy.xlsx", "client", now=NOW)
    return data, places, copy


def test_every_secret_is_in_the_source(hostile_copy):
    data, places, _ = hostile_copy
    text = books.decoded(data)
    for secret, place in places.items():
        assert secret.casefold() in text, place


def test_no_secret_is_in_the_copy(hostile_copy):
    _, places, copy = hostile_copy
    text = books.decoded(copy.path.read_bytes())
    assert [place for secret, place in places.items() if secret.casefold() in text] == []
    assert copy.searched > len(places) / 2


def test_pictures_charts_and_shapes_on_shown_sheets_survive(hostile_copy):
    _, _, copy = hostile_copy
    contents = books.parts(copy.path.read_bytes())
    assert contents["xl/media/image1.png"] == books.png()
    chart = contents["xl/charts/chart1.xml"].decode()
    assert "Shown chart" in chart
    assert re.findall(r"<(?:\w+:)?v>([^<]*)</", chart) == ["12", "7", "9"]
    assert "Text in a shape" in contents["xl/drawings/drawing1.xml"].decode()
    assert "xl/charts/chart2.xml" not in contents
    assert "a chart whose figures are not shown on Page" in copy.left_out
    assert "a shape that shows a cell on Page" in copy.left_out


def test_other_programs_read_the_copy(hostile_copy, tmp_path):
    import python_calamine

    _, _, copy = hostile_copy
    sheet = openpyxl.load_workbook(copy.path)["Page"]
    assert [sheet[cell].value for cell in ("A1", "A2", "B1")] == ["Shown title", "Walls", 12]
    assert sheet._images
    assert sheet._charts
    assert sheet["A4"].hyperlink.target == "https://example.org/shown"
    assert python_calamine.CalamineWorkbook.from_path(str(copy.path)).sheet_names == ["Page"]
    again = convert(copy.path, "xlsx", tmp_path, recalculate=True)
    assert openpyxl.load_workbook(again)["Page"]["A1"].value == "Shown title"


@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
def test_a_picture_without_its_notes_looks_the_same(kind):
    from PIL import Image as Photo
    from PIL.PngImagePlugin import PngInfo

    photo = Photo.effect_noise((40, 30), 60).convert("RGB")
    out = io.BytesIO()
    notes = PngInfo()
    notes.add_itxt("Comment", "Quibberdunk", zip=True)
    given = {"pnginfo": notes} if kind == "PNG" else {"comment": b"Quibberdunk", "exif": b"Exif\0\0Quibberdunk"}
    photo.save(out, kind, **given)
    bare = bare_picture(out.getvalue() + b"Quibberdunk")
    assert bare is not None
    assert b"Quibberdunk" not in bare
    before, after = Photo.open(io.BytesIO(out.getvalue())), Photo.open(io.BytesIO(bare))
    assert before.tobytes() == after.tobytes()
    assert set(after.info) <= {"dpi", "jfif", "jfif_version", "jfif_unit", "jfif_density"}


@pytest.mark.parametrize("data", [b"", b"GIF89a", b"\x89PNG\r\n\x1a\n", books.png()[:40], b"\xff\xd8\xff\xe0\x00"])
def test_a_picture_that_cannot_be_read_is_not_taken(data):
    assert bare_picture(data) is None


# --- the proof itself -------------------------------------------------------------------------------------------------

LEAKS = [
    ("xl/styles.xml", lambda text, word, _: text.replace("<cellXfs", f'<numFmts><numFmt numFmtId="200" formatCode="&quot;{word} &quot;0"/></numFmts><cellXfs')),
    ("xl/workbook.xml", lambda text, word, _: text.replace("<definedNames>", f'<definedNames><definedName name="{word}">1</definedName>')),
    ("xl/workbook.xml", lambda text, _, number: text.replace("<definedNames>", f'<definedNames><definedName name="x">1/{number}</definedName>')),
    ("xl/styles.xml", lambda text, _, __: text.replace("<cellXfs", '<numFmts><numFmt numFmtId="200" formatCode="0 (555-01234)"/></numFmts><cellXfs')),
    ("docProps/custom.xml", lambda text, word, _: text.replace("client</", f"client</vt:lpwstr><vt:lpwstr>by {word.upper()}</")),
    ("xl/worksheets/sheet1.xml", lambda text, word, _: text.replace("Price", word)),
    ("xl/worksheets/sheet1.xml", lambda text, _, number: text.replace("<v>12</v>", f"<v>{number}</v>")),
    ("xl/worksheets/sheet1.xml", lambda text, _, __: text.replace("<v>12</v>", "<v>12.5</v>")),
    ("xl/worksheets/sheet1.xml", lambda text, _, __: text.replace("<v>12</v>", "<f>1+11</f><v>12</v>")),
    ("xl/worksheets/sheet1.xml", lambda text, word, _: text.replace("</sheetData>", f'</sheetData><headerFooter><oddHeader>{word}</oddHeader></headerFooter>')),
    ("xl/worksheets/sheet1.xml", lambda text, word, _: text.replace("<t>Price</t>", f"<r><t>{word[:4]}</t></r><r><t>{word[4:]}</t></r>")),
]  # fmt: skip


@pytest.mark.parametrize(("part", "leak"), LEAKS, ids=range(len(LEAKS)))
def test_a_copy_that_would_leak_is_not_written(tmp_path, monkeypatch, part, leak):
    word, number = WORD.format(99), 73519.25
    zipped = share_module._zipped

    def leaking(made, moment):
        before = made[part].decode()
        after = leak(before, word, number)
        assert after != before
        return zipped({**made, part: after.encode()}, moment)

    monkeypatch.setattr(share_module, "_zipped", leaking)
    with pytest.raises(WorkbookError, match="nothing was written, since the copy would not be safe"):
        shared(tmp_path, small({"A1": "Price", "B1": 12}, more={"A1": word, "B1": number, "C1": "555-01234"}))
    assert not (tmp_path / "copy.xlsx").exists()


@pytest.mark.parametrize("coding", ["utf-8", "utf-16-le"])
@pytest.mark.parametrize("secret", ["Quibberdunk word", "Müllers Preis"])
def test_text_in_the_bytes_of_a_picture_is_a_leak(tmp_path, monkeypatch, secret, coding):
    made = books.built({"Page": {"A1": "x"}, "Office": {"A1": secret}})
    made["Page"].add_image(Image(io.BytesIO(books.png())), "A2")
    made["Page"].defined_names.add(DefinedName("shown_to_client", attr_text="Page!$A$1:$B$9"))
    data = books.saved(made)
    assert shared(tmp_path, data)[0].left_out == ()
    zipped = share_module._zipped
    picture = books.png() + secret.lower().encode(coding)
    monkeypatch.setattr(
        share_module, "_zipped", lambda parts, moment: zipped({**parts, "xl/media/image1.png": picture}, moment)
    )
    with pytest.raises(WorkbookError, match=r"was found in xl/media/image1\.png"):
        shared(tmp_path, data)


def test_a_part_of_another_kind_is_a_leak(tmp_path, monkeypatch):
    zipped = share_module._zipped
    monkeypatch.setattr(
        share_module, "_zipped", lambda made, moment: zipped({**made, "xl/comments1.xml": b"<a/>"}, moment)
    )
    with pytest.raises(WorkbookError, match=r"would hold the part xl/comments1\.xml"):
        shared(tmp_path, small({"A1": "Price"}))


@pytest.mark.parametrize(("number", "count"), [(0.35, 2), (1650, 3), (12.5, 3), (11053.48, 7), (1e-7, 1), (120000, 2)])
def test_figures_that_tell_a_number_from_any_other(number, count):
    assert figures(number) == count


def test_common_words_of_withheld_cells_do_not_stand_in_the_way(tmp_path):
    words = [
        "left",
        "General",
        "pair",
        "Calibri",
        "solid",
        "portrait",
        "sheet",
        "Price",
        "x",
        "US",
        "#,##0",
        "1",
        "D10",
        "B12",
        "A1:D9",
        "rId1",
        "rId12",
        "Normal",
    ]
    data = small({"A1": "Price", "B1": 12}, more={f"A{row}": word for row, word in enumerate(words, 1)})
    copy, _ = shared(tmp_path, data)
    assert copy.path.exists()


def test_a_workbook_can_be_shared_in_the_second_in_which_it_was_saved(tmp_path):
    made = books.built({"Page": {"A1": "x"}})
    made["Page"].defined_names.add(DefinedName("shown_to_client", attr_text="Page!$A$1:$B$2"))
    source = tmp_path / "source.xlsx"
    source.write_bytes(books.saved(made))
    saved = made.properties.modified.replace(tzinfo=datetime.UTC).astimezone().replace(tzinfo=None)
    assert share(source, tmp_path / "copy.xlsx", "client", now=saved).path.exists()


# --- many random jobs -------------------------------------------------------------------------------------------------


@st.composite
def random_books(draw):
    """A workbook of random cells, words and numbers each its own, of which a random block is shown."""
    serial = iter(range(1000))
    sheets = draw(st.lists(st.sampled_from(["Page", "Costs", "Notes", "O'Neil & <Co>", "1+1"]), min_size=1, max_size=4, unique=True))  # fmt: skip
    cells = {}
    for sheet in sheets:
        places = draw(st.lists(st.tuples(st.integers(1, 6), st.integers(1, 6)), max_size=14, unique=True))
        for row, column in places:
            number = next(serial)
            kind = draw(st.sampled_from(["word", "number", "odd", "formula", "copy"]))
            value = {
                "word": f"Quibber{number}dunk",
                "number": 731900.25 + number * 7,
                "odd": f"=-@+<&> Quibber{number}dunk\"'",
                "formula": f'="Quibber{number}dunk"',
                "copy": f'={openpyxl.utils.quote_sheetname(draw(st.sampled_from(sheets)))}!H{number + 1}&"Quibber{number}dunk"',
            }[kind]
            cells[sheet, row, column] = value
    shown = draw(st.lists(st.sampled_from(sheets), min_size=1, max_size=2, unique=True))
    areas = {}
    for sheet in shown:
        top, left = draw(st.integers(1, 5)), draw(st.integers(1, 5))
        areas[sheet] = (top, left, draw(st.integers(top, 6)), draw(st.integers(left, 6)))
    hidden = draw(st.dictionaries(st.sampled_from(shown), st.tuples(st.integers(1, 6), st.integers(1, 6)), max_size=2))
    return sheets, cells, areas, hidden


@settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(random_books())
def test_random_books_give_nothing_away(tmp_path, random):
    sheets, cells, areas, hidden = random
    made = openpyxl.Workbook()
    made.remove(made.active)
    for sheet in sheets:
        made.create_sheet(sheet)
        for letter in "ABCDEF":
            made[sheet].column_dimensions[letter].width = 40
    for (sheet, row, column), value in cells.items():
        cell = made[sheet].cell(row, column, value)
        if isinstance(value, str) and value.startswith("=-"):
            cell.data_type = "s"
    for sheet, (row, column) in hidden.items():
        made[sheet].row_dimensions[row].hidden = True
        made[sheet].column_dimensions[openpyxl.utils.get_column_letter(column)].hidden = True
    for sheet, (top, left, bottom, right) in areas.items():
        first, last = openpyxl.utils.get_column_letter(left), openpyxl.utils.get_column_letter(right)
        area = f"{openpyxl.utils.quote_sheetname(sheet)}!${first}${top}:${last}${bottom}"
        made[sheet].defined_names.add(DefinedName("shown_to_client", attr_text=area))
    copy, package = shared(tmp_path, books.saved(made))
    text = books.decoded(copy.path.read_bytes())
    for (sheet, row, column), value in cells.items():
        top, left, bottom, right = areas.get(sheet, (0, 0, 0, 0))
        seen = top <= row <= bottom and left <= column <= right
        seen = seen and not (sheet in hidden and (row == hidden[sheet][0] or column == hidden[sheet][1]))
        token = re.search(r"Quibber\d+dunk", value)[0].casefold() if isinstance(value, str) else f"{value:.10g}"
        assert (token in text) == seen, (sheet, row, column, value)
        if seen:
            held = package.value(sheet, row, column)
            assert str(held) == value if isinstance(value, str) and value.startswith("=-") else held is not None
        assert not package.sheet(sheet).formulas if sheet in package.sheets else True


# --- the booth estimate -----------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def booth(tmp_path_factory):
    folder = tmp_path_factory.mktemp("booth")
    job = Job.open(template("booth-estimate").path("US"))
    job.set(demo_values())
    job.calculate()
    job.save(folder / "job.xlsx")
    return job, {a: share(folder / "job.xlsx", folder / f"{a}.xlsx", a, now=NOW) for a in AUDIENCES}


def test_a_client_sees_the_proposal(booth):
    _, copies = booth
    assert copies["client"].sheets == ("Proposal", "Drawing")
    assert copies["client"].left_out == ()


def test_a_contractor_sees_quantities_and_boxes_for_prices(booth):
    job, copies = booth
    copy = copies["contractor"]
    assert copy.sheets == ("Scope", "Drawing")
    assert copy.fixed == ()
    package = Package.open(copy.path)
    numbered = [(row, package.value("Scope", row, 2)) for row, column in package.sheet("Scope").stored if column == 2]
    lines = [row for row, value in numbered if isinstance(value, float)]
    counted = next(n.cells for n in job.package.names if n.name == "line_numbers")
    assert len(lines) == max(row[0] for row in job.package.rows(*counted))
    for row in lines:
        assert package.sheet("Scope").formulas[row, 8].text.startswith("IF(")
        assert (row, 7) not in package.sheet("Scope").stored
        assert package.value("Scope", row, 5) > 0


@pytest.mark.parametrize("audience", AUDIENCES)
def test_no_copy_holds_the_range_of_the_price(booth, audience):
    job, copies = booth
    copy = Package.open(copies[audience].path)
    assert "Price range" not in copy.sheets
    assert not [name.name for name in copy.names if "range" in name.name or "confidence" in name.name]
    assert "Price range" in sheets_of_set(job.package, "office")
    assert all("Price range" not in sheets_of_set(job.package, wanted) for wanted in ("client", "site"))


@pytest.fixture(scope="module")
def with_sums(tmp_path_factory):
    """The copies of an estimate with allowances, alternates and a revision, by template and unit system."""

    @cache
    def made(name, system):
        folder = tmp_path_factory.mktemp(f"{name}-{system}")
        job = Job.open(template(name).path(system))
        job.set({
            "allowance_for_1": "Quibberdunk floor", "allowance_amount_1": 73519.25,
            "alternate_text_1": "Wobbledash paint", "alternate_cost_1": 61237.5,
            "alternate_text_2": "Zimmerfolk lamps", "alternate_cost_2": -48213.75, "alternate_accepted_2": "yes",
            "revision_number_1": "B7", "revision_date_1": "2026-02-28", "revision_change_1": "Grumblefax margin",
            "revision_by_1": "Mumblethorpe",
        })  # fmt: skip
        job.save(folder / "job.xlsx")
        return {who: share(folder / "job.xlsx", folder / f"{who}.xlsx", who, now=NOW) for who in AUDIENCES}

    return made


@pytest.mark.parametrize("name", ["booth-estimate", "room-conversion"])
@pytest.mark.parametrize("system", ["US", "SI"])
def test_a_client_reads_allowances_and_a_contractor_only_what_they_are_for(with_sums, tmp_path, name, system):
    copies = with_sums(name, system)
    text = {audience: books.decoded(copy.path.read_bytes()) for audience, copy in copies.items()}
    copy = copies["contractor"]
    for told in ("client", "contractor"):
        assert "quibberdunk floor" in text[told]
        assert "zimmerfolk lamps" in text[told]
        assert "revision b7 of 2026-02-28" in text[told]
        assert f"from revision b7 ({copy.revision[:12]})" in text[told]
        for withheld in ("61237.5", "61,237", "48213.75", "48,213", "48,214", "grumblefax", "mumblethorpe"):
            assert withheld not in text[told], withheld
    assert "73,519.25" in text["client"]
    assert "wobbledash paint" in text["client"]
    assert "73519" not in text["contractor"]
    assert "73,519" not in text["contractor"]
    assert "wobbledash" not in text["contractor"]
    again = openpyxl.load_workbook(copy.path)
    for held in list(again.custom_doc_props.names):
        del again.custom_doc_props[held]
    again.save(tmp_path / "again.xlsx")
    assert read_scope(copy.path).revision == copy.revision
    assert read_scope(tmp_path / "again.xlsx").revision == copy.revision[:12]


def test_a_contractor_bids_on_the_whole_of_a_window_pane(with_sums):
    package = Package.open(with_sums("room-conversion", "SI")["contractor"].path)
    items = {row: str(package.value("Scope", row, 3)) for row, column in package.sheet("Scope").stored if column == 3}
    assert [package.value("Scope", row, 5) for row, item in items.items() if item.startswith("New pane")] == [1.2]


@pytest.mark.parametrize("name", ["booth-estimate", "room-conversion"])
def test_a_text_over_several_rows_keeps_them_all(with_sums, name):
    """Beside the terms nothing is left out of the job here, and rows that hold nothing are hidden in a copy."""
    sheet = openpyxl.load_workbook(with_sums(name, "US")["contractor"].path)["Scope"]
    over = [
        area
        for area in sheet.merged_cells.ranges
        if area.size["rows"] > 1 and sheet.cell(area.min_row, area.min_col).value
    ]
    assert over
    hidden = {row for row, found in sheet.row_dimensions.items() if found.hidden}
    assert hidden
    assert not [area.coord for area in over if hidden & set(range(area.min_row, area.max_row + 1))]


def test_a_copy_returned_from_libreoffice_still_shows_what_the_workbook_says(booth, tmp_path):
    """The names that say what is shown survive another spreadsheet program."""
    job, _ = booth
    again = convert(job.path, "xlsx", tmp_path, recalculate=False)
    copy = share(again, tmp_path / "copy.xlsx", "contractor", now=NOW)
    assert copy.sheets == ("Scope", "Drawing")
    assert copy.formulas > 30


# --- drafts -----------------------------------------------------------------------------------------------------------


def test_a_failing_estimate_leaves_only_as_a_draft_whose_mark_stays(tmp_path):
    job = Job.open(template("booth-estimate").path("US"))
    job.set({**demo_values(), "people": 6, "space_height": "8 ft"})
    count = len(job.calculate().denied)
    job.save(tmp_path / "job.xlsx")
    for audience, sheet, told in (("client", "Proposal", 1), ("contractor", "Scope", 3)):
        with pytest.raises(DraftError) as denied:
            share(tmp_path / "job.xlsx", tmp_path / f"{audience}.xlsx", audience, now=NOW)
        assert len(denied.value.reasons) == count
        assert any("The shell fits the space: height" in reason for reason in denied.value.reasons)
        assert not (tmp_path / f"{audience}.xlsx").exists()
        copy = share(tmp_path / "job.xlsx", tmp_path / f"{audience}.xlsx", audience, now=NOW, draft=True)
        made = openpyxl.load_workbook(copy.path)[sheet]
        assert f"DRAFT: {count} checks fail" in [cell.value for cell in made[1]]
        # At the head, in the rows that other sheets of paper repeat, and in the heading of one that begins before these.
        marked = [cell.row for row in made for cell in row if cell.value == f"DRAFT: {count} checks fail"]
        assert len(marked) == told
        assert int(made.print_title_rows.strip("$").partition(":")[0]) in marked
        assert "DRAFT" not in str(made.oddHeader.center.text)


@pytest.mark.parametrize("header", ["", "&LOur page&RPage &P", "&COur page"])
def test_an_office_s_own_page_is_marked_in_its_header(tmp_path, header):
    made = books.built({"Page": {"A1": "Price", "B1": 7}, "Office": {"A1": "=1/0"}})
    made["Page"].defined_names.add(DefinedName("shown_to_client", attr_text="Page!$A$1:$D$9"))
    made["Page"].HeaderFooter = HeaderFooter.from_tree(
        fromstring(f"<headerFooter><oddHeader>{header.replace('&', '&amp;')}</oddHeader></headerFooter>")
    )
    (tmp_path / "own.xlsx").write_bytes(books.saved(made))
    with pytest.raises(DraftError, match="Office!A1 is #DIV/0!"):
        share(tmp_path / "own.xlsx", tmp_path / "copy.xlsx", "client", now=NOW)
    copy = share(tmp_path / "own.xlsx", tmp_path / "copy.xlsx", "client", now=NOW, draft=True)
    with zipfile.ZipFile(copy.path) as archive:
        printed = archive.read("xl/worksheets/sheet1.xml").decode()
    text = html.unescape(printed.partition("<oddHeader>")[2].partition("</oddHeader>")[0])
    assert text.count("DRAFT: 1 cell is an error") == 1
    assert "Our page" in text or not header
    assert [text.find(part) for part in ("&L", "&C", "&R") if part in text] == sorted(
        text.find(part) for part in ("&L", "&C", "&R") if part in text
    )
