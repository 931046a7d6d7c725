import io
import os
import re

import openpyxl
import pytest
from openpyxl.worksheet.table import Table

from stillbook.cells import Code, ErrorValue
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.address import Area
from stillbook.workbook.file.package import CALCULATION_ID, Package
from stillbook.workbook.file.sheet import Change
from workbook import books

WORKBOOK = "xl/workbook.xml"
TYPES = "[Content_Types].xml"
PLAIN = books.book({"S": {"A1": 1, "A2": "=A1*2", "A3": "text"}})


def names_kept(before: bytes, after: bytes) -> list[str]:
    """Names of the entries whose records, directory records and places are the same."""
    old, new = books.raw_entries(before), books.raw_entries(after)
    assert [entry[0] for entry in old] == [entry[0] for entry in new]
    return [a[0] for a, b in zip(old, new, strict=True) if a == b]


def test_all_but_the_sheet_written_to_keeps_its_bytes(rich):
    package = Package(rich)
    package.write({"Room": {(2, 2): Change(9.0)}})
    kept = names_kept(rich, package.to_bytes())
    assert set(books.parts(rich)) - set(kept) == {books.SHEET1}
    for part in (
        "drawing1.xml",
        "chart1.xml",
        "logo.png",
        "commentsDrawing1.vml",
        "item1.xml",
        "odd.bin",
        "styles.xml",
    ):
        assert any(name.endswith(part) for name in kept), part


def test_the_rich_workbook_carries_what_it_should(rich):
    contents = books.parts(rich)
    sheet = contents[books.SHEET1]
    assert b"<xdr:sp " in contents["xl/drawings/drawing1.xml"]
    assert b"<xdr:pic>" in contents["xl/drawings/drawing1.xml"]
    for piece in (
        b"conditionalFormatting",
        b"dataValidation",
        b"pageSetup",
        b"oddHeader",
        b"legacyDrawing",
        b"x14:cfRule",
    ):
        assert piece in sheet


def test_the_sheet_itself_changes_in_its_cell_alone(rich):
    package = Package(rich)
    package.write({"Room": {(2, 2): Change(9.0)}})
    before, after = books.parts(rich)[books.SHEET1], books.parts(package.to_bytes())[books.SHEET1]
    cell = re.compile(rb'<c r="B2"[^>]*>.*?</c>')
    assert cell.sub(b"", before) == cell.sub(b"", after)
    assert cell.search(after)[0] == cell.search(before)[0].replace(b"<v>8</v>", b"<v>9</v>")


def test_no_change_gives_the_same_file(rich):
    package = Package(rich)
    package.write({"Room": {(2, 2): Change(8.0)}, "Hidden": {}})
    assert package.to_bytes() == rich


def test_a_refused_value_changes_nothing(rich):
    package = Package(rich)
    with pytest.raises(WorkbookError, match="A1 has 40000 characters"):
        package.write({"Room": {(2, 2): Change(9.0)}, "Hidden": {(1, 1): Change("x" * 40_000)}})
    assert package.to_bytes() == rich
    assert package.value("Room", 2, 2) == 8.0


def test_values_and_names_are_read(rich):
    package = Package(rich)
    assert package.sheets == ["Room", "Doors & air", "Hidden"]
    assert package.value("Room", 1, 1) == "Room <inside> & out"
    assert package.value("Room", 9, 9) is None
    name = next(name for name in package.names if name.name == "leaf_mass")
    assert (name.cells, name.comment) == (("Room", Area(5, 2, 5, 2)), "Leaf | result | unit: lb/ft²")
    assert {name.sheet for name in package.names if name.name.startswith("_xlnm")} == {"Room"}


def test_a_written_value_is_what_is_read_next():
    package = Package(PLAIN)
    values = [2.5, True, "a_x000D_b", " <x> ", ErrorValue(Code.NUMBER), None]
    for value in values:
        package.write({"S": {(1, 1): Change(value)}})
        assert package.value("S", 1, 1) == value
        assert Package(package.to_bytes()).value("S", 1, 1) == value


def test_shared_texts_are_joined_and_looked_up():
    strings = (
        '<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><si><t>one</t></si>'
        "<si><r><t>two </t></r><r><t>parts</t></r><rPh><t>no</t></rPh></si><si><t/></si></sst>"
    )
    data = books.sheet_xml(
        PLAIN, '<row r="1"><c r="A1" t="s"><v>1</v></c><c r="B1" t="s"><v>0</v></c><c r="C1" t="s"><v>7</v></c></row>'
    )
    data = books.with_parts(data, {"xl/sharedStrings.xml": strings})
    data = books.edited(
        data,
        "xl/_rels/workbook.xml.rels",
        lambda text: text.replace(
            "</Relationships>",
            '<Relationship Id="rIdS" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/sharedStrings"'
            ' Target="sharedStrings.xml"/></Relationships>',
        ),
    )
    package = Package(data)
    assert [package.value("S", 1, 1), package.value("S", 1, 2)] == ["two parts", "one"]
    with pytest.raises(WorkbookError, match="shared text is missing"):
        package.value("S", 1, 3)


def test_tables_are_read():
    made = openpyxl.Workbook()
    for row in [["Name", "Mass"], ["a", 1], ["b", 2]]:
        made.active.append(row)
    made.active.add_table(Table(displayName="Boards", ref="A1:B3"))
    (table,) = Package(books.saved(made)).tables()
    assert (table.name, table.sheet, table.area) == ("Boards", "Sheet", Area(1, 1, 3, 2))
    assert (table.headings, table.has_heading_row, table.has_totals_row) == (("Name", "Mass"), True, False)


def test_print_areas_are_read_and_changed():
    made = openpyxl.Workbook()
    made.active.title = "R & D"
    made.active.print_area = ["A1:C9", "D1:F9"]
    made.create_sheet("Other").print_area = "A1:B2"
    made.create_sheet("Bare")
    package = Package(books.saved(made))
    assert package.print_areas("R & D") == [Area(1, 1, 9, 3), Area(1, 4, 9, 6)]
    assert package.print_areas("Bare") == []
    package.set_print_areas("R & D", [Area(1, 1, 5, 3)])
    with pytest.raises(WorkbookError, match="the sheet Bare does not say what it prints"):
        package.set_print_areas("Bare", [Area(1, 1, 5, 3)])
    for read in (package, Package(package.to_bytes())):
        assert read.print_areas("R & D") == [Area(1, 1, 5, 3)]
        assert read.print_areas("Other") == [Area(1, 1, 2, 2)]
    assert openpyxl.load_workbook(io.BytesIO(package.to_bytes()))["R & D"].print_area == "'R & D'!$A$1:$C$5"


# --- what a program does with the stored results on opening -----------------------------------------------------------

SETTINGS = [
    # the calculation settings of the file, and after marking the results as current
    ('<calcPr calcId="124519" fullCalcOnLoad="1"/>', f'<calcPr calcId="{CALCULATION_ID}"/>'),
    ('<calcPr calcId="191029"/>', '<calcPr calcId="191029"/>'),
    ('<calcPr calcId="999999" fullCalcOnLoad="1"/>', '<calcPr calcId="999999"/>'),
    ('<calcPr calcMode="manual" calcId="1"/>', f'<calcPr calcId="{CALCULATION_ID}" calcMode="manual"/>'),
    ('<calcPr iterate="false"></calcPr>', f'<calcPr calcId="{CALCULATION_ID}" iterate="false"></calcPr>'),
    ("", f'<calcPr calcId="{CALCULATION_ID}"/>'),
]


@pytest.mark.parametrize(("before", "after"), SETTINGS)
def test_results_are_marked_as_current(before, after):
    data = books.edited(PLAIN, WORKBOOK, lambda text: re.sub(r"<calcPr[^>]*/>", before + " ", text))
    package = Package(data)
    package.set_calculated()
    text = books.parts(package.to_bytes())[WORKBOOK].decode()
    assert after in text
    assert "fullCalcOnLoad" not in text
    assert text.replace(after, "", 1) == books.parts(data)[WORKBOOK].decode().replace(before, "", 1)
    openpyxl.load_workbook(io.BytesIO(package.to_bytes()))


def test_a_package_as_other_libraries_write_it():
    """With a prefix on every element, and the main part's type as the default of all .xml parts."""
    main = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"
    prefixed = {
        part: re.sub(r"<(/?)(?=\w+[ />])", r"<\1x:", books.parts(PLAIN)[part].decode()).replace("xmlns=", "xmlns:x=")
        for part in (WORKBOOK, books.SHEET1)
    }
    data = books.with_parts(PLAIN, prefixed)
    data = books.edited(
        data,
        TYPES,
        lambda text: re.sub(r'<Override PartName="/xl/workbook.xml"[^>]*/>', "", text).replace(
            "<Override", f'<Default Extension="xml" ContentType="{main}"/><Override', 1
        ),
    )
    package = Package(data)
    package.write({"S": {(2, 1): Change(2.0, calculated=True), (1, 1): Change("typed")}})
    package.set_calculated()
    text = books.parts(package.to_bytes())[WORKBOOK].decode()
    assert f'<x:calcPr calcId="{CALCULATION_ID}"/>' in text
    book = openpyxl.load_workbook(io.BytesIO(package.to_bytes()), data_only=True)
    assert [book["S"]["A1"].value, book["S"]["A2"].value] == ["typed", 2]


# --- files that are refused -------------------------------------------------------------------------------------------


def typed(kind: str) -> bytes:
    """A workbook whose main part has another content type."""
    main = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"
    return books.edited(PLAIN, TYPES, lambda text: text.replace(main, kind))


def strict() -> bytes:
    return books.edited(
        PLAIN,
        WORKBOOK,
        lambda text: text.replace(
            "http://schemas.openxmlformats.org/spreadsheetml/2006/main", "http://purl.oclc.org/ooxml/spreadsheetml/main"
        ),
    )


OLD = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600
BOMB = '<!DOCTYPE x [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;">]>'

REFUSED = [
    (b"", "it is empty"),
    (b"Length;Width\n8;6\n", "not an Excel workbook, whatever its name says"),
    (b"%PDF-1.7", "not an Excel workbook"),
    (OLD, r"old \.xls format: save it as an Excel workbook \(\.xlsx\)"),
    (OLD + "EncryptedPackage".encode("utf-16-le"), "locked with a password: save a copy without one"),
    (PLAIN[: len(PLAIN) // 2], "damaged or cut short"),
    (PLAIN[:-1], "damaged or cut short"),
    (books.zipped({"a.txt": b"x"}), "a zip file but not a workbook"),
    (books.zipped({"mimetype": b"x", "content.xml": b"x"}), "OpenDocument"),
    (typed("application/vnd.ms-excel.sheet.macroEnabled.main+xml"), "holds macros"),
    (books.with_parts(PLAIN, {"xl/vbaProject.bin": b"x"}), "holds macros"),
    (typed("application/vnd.ms-excel.sheet.binary.macroEnabled.main"), "macros|binary"),
    (typed("application/vnd.openxmlformats-officedocument.spreadsheetml.template.main+xml"), "template"),
    (typed("application/vnd.openxmlformats-officedocument.wordprocessingml.document.main+xml"), "not a workbook"),
    (strict(), "Strict Open XML"),
    (books.with_parts(PLAIN, {"_xmlsignatures/sig1.xml": b"x"}), "digitally signed"),
    (books.edited(PLAIN, WORKBOOK, lambda text: BOMB + text), "document type"),
    (books.edited(PLAIN, TYPES, lambda text: BOMB + text), "document type"),
    (books.edited(PLAIN, "_rels/.rels", lambda text: text[:-9]), "damaged"),
    (books.edited(PLAIN, WORKBOOK, lambda text: text.replace("<sheet ", "<shed ")), "no sheet"),
]


@pytest.mark.parametrize(("data", "message"), REFUSED)
def test_a_file_that_is_refused(data, message):
    with pytest.raises(WorkbookError, match=message) as caught:
        Package(data)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (books.edited(PLAIN, books.SHEET1, lambda text: BOMB + text), "document type"),
        (books.edited(PLAIN, books.SHEET1, lambda text: text[:-20]), r"damaged \(xl/worksheets/sheet1\.xml line"),
    ],
)
def test_a_sheet_that_is_refused(data, message):
    with pytest.raises(WorkbookError, match=message):
        Package(data).sheet("S")


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("estimate.xlsm", "with macros"),
        ("estimate.xls", "old .xls format"),
        ("estimate.xlsb", "binary"),
        ("estimate.ods", "OpenDocument"),
        ("estimate.csv", "text file"),
        ("estimate.pdf", r"does not end in \.xlsx"),
        ("estimate", r"does not end in \.xlsx"),
        ("missing.xlsx", "no such file"),
        ("folder.xlsx", "is a folder"),
        ("empty.xlsx", "is empty"),
    ],
)
def test_a_name_that_is_refused(tmp_path, name, message):
    (tmp_path / "folder.xlsx").mkdir()
    (tmp_path / "empty.xlsx").write_bytes(b"")
    if name.startswith("estimate"):
        (tmp_path / name).write_bytes(PLAIN)
    with pytest.raises(WorkbookError, match=message) as caught:
        Package.open(tmp_path / name)
    assert str(caught.value).startswith(str(tmp_path / name))


def test_every_cut_of_a_file_is_told_and_not_followed():
    for length in range(0, len(PLAIN), 97):
        with pytest.raises(WorkbookError):
            Package(PLAIN[:length])


def test_a_flipped_byte_never_gives_anything_but_a_clear_error():
    for at in range(0, len(PLAIN), 53):
        data = bytearray(PLAIN)
        data[at] ^= 0x55
        try:
            package = Package(bytes(data))
            for sheet in package.sheets:
                package.sheet(sheet)
            package.write({package.sheets[0]: {(1, 1): Change(2.0)}})
            package.to_bytes()
        except WorkbookError:
            continue


# --- what is not a file -----------------------------------------------------------------------------------------------


def _pipe(path):
    os.mkfifo(path)


def _device(path):
    path.symlink_to("/dev/zero")


def _nothing(path):
    path.symlink_to("/dev/null")


@pytest.mark.skipif(os.name != "posix", reason="makes pipes and devices")
@pytest.mark.parametrize("make", [_pipe, _device, _nothing])
def test_a_pipe_or_a_device_is_refused_at_once(tmp_path, make):
    path = tmp_path / "job.xlsx"
    make(path)
    with pytest.raises(WorkbookError, match=r"job\.xlsx: it is not a file but a pipe or a device: name an \.xlsx file"):
        Package.open(path)


def test_a_file_that_grows_while_it_is_read_is_read_within_bounds(tmp_path, monkeypatch):
    path = tmp_path / "job.xlsx"
    path.write_bytes(books.book({"S": {"A1": 1}}))
    whole = path.stat()
    monkeypatch.setattr("stillbook.workbook.file.package.MOST_BYTES", whole.st_size - 10)
    monkeypatch.setattr(type(path), "stat", lambda *_, **__: os.stat_result((*whole[:6], 5, *whole[7:])))
    with pytest.raises(WorkbookError, match="MB allowed"):
        Package.open(path)
