import io
import math
import re

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree
from openpyxl.utils.escape import unescape

from stillbook.cells import Code, ErrorValue
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.address import Area, cell_name
from stillbook.workbook.file.package import Package
from stillbook.workbook.file.sheet import Change, FormulaCell, read_sheet, stored_value, write_cells
from workbook import books

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"


def sheet(rows: str, *, before: str = "", after: str = "", head: str = "") -> bytes:
    return (
        f'<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\r\n{head}<worksheet xmlns="{MAIN}">{before}'
        f"<sheetData>{rows}</sheetData>{after}</worksheet>"
    ).encode()


def rows_of(data: bytes) -> str:
    text = data.decode()
    return text[text.index("<sheetData") : text.index("</worksheet>")]


# --- reading ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("cell", "value"),
    [
        ('<c r="A1"><v>2.5</v></c>', 2.5),
        ('<c r="A1" t="n"><v>1E-3</v></c>', 0.001),
        ('<c r="A1" t="b"><v>1</v></c>', True),
        ('<c r="A1" t="b"><v>0</v></c>', False),
        ('<c r="A1" t="e"><v>#DIV/0!</v></c>', ErrorValue(Code.DIVISION)),
        ('<c r="A1" t="e"><v>#SPILL!</v></c>', ErrorValue(Code.VALUE)),
        ('<c r="A1" t="str"><v>a &lt;b&gt; </v></c>', "a <b> "),
        ('<c r="A1" t="str"><f>""</f><v></v></c>', ""),
        ('<c r="A1" t="inlineStr"><is><t>one</t></is></c>', "one"),
        ('<c r="A1" t="inlineStr"><is><r><t>one </t></r><r><t>two</t></r><rPh><t>no</t></rPh></is></c>', "one two"),
        ('<c r="A1" t="str"><v>a_x000D_b</v></c>', "a\rb"),
        ('<c r="A1" s="3"/>', None),
        ('<c r="A1" s="3"><v></v></c>', None),
        ("<c><v>7</v></c>", 7.0),
    ],
)
def test_a_stored_value(cell, value):
    stored = read_sheet(sheet(f'<row r="1">{cell}</row>'), "s").stored.get((1, 1))
    found = stored_value(*stored) if stored else None
    assert found == value
    assert type(found) is type(value)


@pytest.mark.parametrize(
    ("cell", "formula"),
    [
        ('<c r="B1"><f>A1*2</f><v>4</v></c>', FormulaCell("A1*2")),
        ('<c r="B1" t="str"><f>"&lt;"&amp;A1</f><v>x</v></c>', FormulaCell('"<"&A1')),
        ('<c r="B1"><f t="array" ref="B1:C2">A1:B2*2</f></c>', FormulaCell("A1:B2*2", "array", Area(1, 2, 2, 3))),
        ('<c r="B1" cm="1"><f t="array" ref="B1">X()</f></c>', FormulaCell("X()", "array", Area(1, 2, 1, 2), "", True)),
        ('<c r="B1"><f t="shared" ref="B1:B9" si="4">A1</f></c>', FormulaCell("A1", "shared", None, "4")),
        ('<c r="B1"><f t="shared" si="4"/><v>1</v></c>', FormulaCell("", "shared", None, "4")),
        ('<c r="B1"><f t="dataTable" ref="B1:C2" r1="A1"/></c>', FormulaCell("", "dataTable", Area(1, 2, 2, 3))),
    ],
)
def test_a_stored_formula(cell, formula):
    assert read_sheet(sheet(f'<row r="1">{cell}</row>'), "s").formulas == {(1, 2): formula}


def test_cells_and_rows_without_addresses_follow_on():
    part = read_sheet(sheet("<row><c><v>1</v></c><c><v>2</v></c></row><row/><row><c/><c><v>3</v></c></row>"), "s")
    assert part.stored == {(1, 1): ("n", "1"), (1, 2): ("n", "2"), (3, 2): ("n", "3")}


def test_typing_rules_old_and_new():
    after = (
        '<dataValidations count="1"><dataValidation type="decimal" operator="between" showErrorMessage="1" sqref="B2 D4:D9"'
        ' prompt="Say"><formula1>3</formula1><formula2>60</formula2></dataValidation></dataValidations>'
        '<extLst><ext><x14:dataValidations xmlns:x14="u" xmlns:xm="v"><x14:dataValidation type="list" showErrorMessage="1">'
        "<x14:formula1><xm:f>Lists!$A$1:$A$3</xm:f></x14:formula1><xm:sqref>C3</xm:sqref>"
        "</x14:dataValidation></x14:dataValidations></ext></extLst>"
    )
    part = read_sheet(sheet("", after=after), "s")
    first, second = part.rule_for(2, 2), part.rule_for(3, 3)
    assert (first.kind, first.operator, first.first, first.second, first.prompt) == (
        "decimal",
        "between",
        "3",
        "60",
        "Say",
    )
    assert first.enforced
    assert part.rule_for(7, 4) is first
    assert part.rule_for(1, 1) is None
    assert (second.kind, second.first) == ("list", "Lists!$A$1:$A$3")


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"<worksheet", "damaged"),
        (sheet("<row r='1'><c r='A1'><v>1</c></row>"), "damaged"),
        (sheet("<row r='1'><c r='ZZZ1'/></row>"), "no place"),
        (sheet("<row r='1'><c r='A2'/></row>"), "no place"),
        (sheet("", head='<!DOCTYPE x [<!ENTITY a "aaaa">]>'), "document type"),
        (sheet("", head='<!DOCTYPE x SYSTEM "file:///etc/passwd">'), "document type"),
        (sheet("").replace(b"UTF-8", b"ISO-8859-1"), "ISO-8859-1"),
        (sheet("").decode().encode("utf-16"), "damaged|UTF-16"),
        (sheet("<row r='1'><c r='A1'><f t='array' ref='A1:XFD1048576'>1</f></c></row>"), "array formula"),
    ],
)
def test_a_sheet_that_cannot_be_trusted(data, message):
    with pytest.raises(WorkbookError, match=message):
        read_sheet(data, "sheet1.xml")


# --- writing ----------------------------------------------------------------------------------------------------------

CALCULATED = [
    # a cell as the file holds it, its new value, the cell as written
    ('<c r="B1" s="7"><f>A1*2</f></c>', 4.0, '<c r="B1" s="7"><f>A1*2</f><v>4</v></c>'),
    ('<c r="B1" s="7"><f>A1*2</f><v></v></c>', 0.1, '<c r="B1" s="7"><f>A1*2</f><v>0.1</v></c>'),
    ('<c r="B1"><f>A1</f><v>1</v></c>', "x", '<c r="B1" t="str"><f>A1</f><v>x</v></c>'),
    ('<c r="B1" t="str"><f>A1</f><v>old</v></c>', 1e300, '<c r="B1"><f>A1</f><v>1e+300</v></c>'),
    ('<c r="B1" t="str"><f>A1</f><v>old</v></c>', True, '<c r="B1" t="b"><f>A1</f><v>1</v></c>'),
    ('<c r="B1"><f>A1</f></c>', ErrorValue(Code.NOT_AVAILABLE), '<c r="B1" t="e"><f>A1</f><v>#N/A</v></c>'),
    ('<c r="B1" t="e" vm="1"><f>A1</f><v>#VALUE!</v></c>', 2.0, '<c r="B1"><f>A1</f><v>2</v></c>'),
    (
        '<c r="B1" cm="1"><f t="array" ref="B1">X()</f></c>',
        2.0,
        '<c r="B1" cm="1"><f t="array" ref="B1">X()</f><v>2</v></c>',
    ),
    ('<c r="B1"><f t="shared" si="0"/></c>', 5.0, '<c r="B1"><f t="shared" si="0"/><v>5</v></c>'),
    ('<c r="B1" ><f\n ca="1">A1</f ><v>1</v></c>', 2.0, '<c r="B1"><f\n ca="1">A1</f ><v>2</v></c>'),
    (
        '<c r="B1"><f>"a>b"</f><v>1</v><extLst><ext uri="&gt;"/></extLst></c>',
        2.0,
        '<c r="B1"><f>"a>b"</f><v>2</v><extLst><ext uri="&gt;"/></extLst></c>',
    ),
    (
        '<c r="B1"><f>A1</f></c>',
        "<&> _x0041_\r",
        '<c r="B1" t="str"><f>A1</f><v>&lt;&amp;&gt; _x005F_x0041__x000D_</v></c>',
    ),
]


@pytest.mark.parametrize(("cell", "value", "written"), CALCULATED)
def test_a_calculated_value(cell, value, written):
    rows = '<row r="1" spans="1:3"><c r="A1"><v>1</v></c>{}<c r="C1" t="s"><v>0</v></c></row>'
    after = write_cells(sheet(rows.format(cell)), "s", {(1, 2): Change(value, calculated=True)})
    assert after == sheet(rows.format(written))


TYPED = [
    ('<c r="B1" s="7"/>', 4.0, '<c r="B1" s="7"><v>4</v></c>'),
    ('<c r="B1" s="7" t="s"><v>12</v></c>', 4.0, '<c r="B1" s="7"><v>4</v></c>'),
    ('<c r="B1" s="7"><v>1</v></c>', "pair", '<c r="B1" s="7" t="inlineStr"><is><t>pair</t></is></c>'),
    ('<c r="B1"/>', "=1+1", '<c r="B1" t="inlineStr"><is><t>=1+1</t></is></c>'),
    ('<c r="B1"/>', " a ", '<c r="B1" t="inlineStr"><is><t xml:space="preserve"> a </t></is></c>'),
    ('<c r="B1" s="7" t="inlineStr"><is><t>old</t></is></c>', None, '<c r="B1" s="7"/>'),
    ("", 4.0, '<c r="B1"><v>4</v></c>'),
    ("", None, ""),
]


@pytest.mark.parametrize(("cell", "value", "written"), TYPED)
def test_a_typed_value(cell, value, written):
    rows = '<row r="1"><c r="A1"><v>1</v></c>{}<c r="C1"/></row>'
    assert write_cells(sheet(rows.format(cell)), "s", {(1, 2): Change(value)}) == sheet(rows.format(written))


PLACES = [
    # rows of the file, cells written, rows after
    ("", {(2, 2): 1.0}, '<row r="2"><c r="B2"><v>1</v></c></row>'),
    ('<row r="1"/>', {(1, 2): 1.0}, '<row r="1"><c r="B1"><v>1</v></c></row>'),
    ('<row r="1" ht="20" customHeight="1"/>', {(1, 1): 1.0}, '<row r="1" ht="20" customHeight="1"><c r="A1"><v>1</v></c></row>'),
    ('<row r="3"/>', {(1, 1): 1.0, (5, 1): 2.0}, '<row r="1"><c r="A1"><v>1</v></c></row><row r="3"/><row r="5"><c r="A5"><v>2</v></c></row>'),
    ('<row r="3"><c r="B3"/></row>', {(3, 1): 1.0, (3, 3): 2.0}, '<row r="3"><c r="A3"><v>1</v></c><c r="B3"/><c r="C3"><v>2</v></c></row>'),
    ('<row r="3"><c r="B3"/></row><row r="4"/>', {(4, 28): 1.0}, '<row r="3"><c r="B3"/></row><row r="4"><c r="AB4"><v>1</v></c></row>'),
    ('<row r="2" s="5" customFormat="1"/>', {(2, 1): 1.0}, '<row r="2" s="5" customFormat="1"><c r="A2" s="5"><v>1</v></c></row>'),
    ('<row r="2"></row>', {(2, 1): 1.0, (2, 2): 2.0}, '<row r="2"><c r="A2"><v>1</v></c><c r="B2"><v>2</v></c></row>'),
    ("<row><c/><c/></row><row><c/></row>", {(2, 1): 1.0, (1, 3): 2.0}, '<row><c/><c/><c r="C1"><v>2</v></c></row><row><c><v>1</v></c></row>'),
    ('<row r="3"/>', {(1, 1): None, (3, 1): None, (9, 9): None}, '<row r="3"/>'),
]  # fmt: skip


@pytest.mark.parametrize(("rows", "cells", "after"), PLACES)
def test_a_cell_that_the_file_does_not_have(rows, cells, after):
    changes = {at: Change(value) for at, value in cells.items()}
    assert write_cells(sheet(rows), "s", changes) == sheet(after)


def test_a_new_cell_takes_the_style_of_its_column():
    before = '<cols><col min="2" max="3" style="9" width="12"/></cols>'
    after = write_cells(sheet("", before=before), "s", {(1, 3): Change(1.0), (1, 4): Change(1.0)})
    assert (
        rows_of(after) == '<sheetData><row r="1"><c r="C1" s="9"><v>1</v></c><c r="D1"><v>1</v></c></row></sheetData>'
    )


@pytest.mark.parametrize(
    ("cells", "extent"),
    [
        ({(2, 2): 1.0}, "A1:C3"),
        ({(5, 2): 1.0}, "A1:C5"),
        ({(1, 30): 1.0, (9, 1): 2.0}, "A1:AD9"),
        ({(9, 9): None}, "A1:C3"),
    ],
)
def test_the_extent_of_the_sheet_takes_new_cells_in(cells, extent):
    before = '<dimension ref="A1:C3"/><sheetViews/>'
    after = write_cells(sheet("", before=before), "s", {at: Change(value) for at, value in cells.items()})
    assert f'<dimension ref="{extent}"/><sheetViews/>'.encode() in after


def test_a_byte_order_mark_does_not_shift_the_places():
    mark = b"\xef\xbb\xbf"
    rows = '<row r="1"><c r="A1" t="str"><v>é</v></c>{}</row>'
    after = write_cells(mark + sheet(rows.format('<c r="B1"/>')), "s", {(1, 2): Change(1.0)})
    assert after == mark + sheet(rows.format('<c r="B1"><v>1</v></c>'))


def test_an_empty_sheet_is_opened_for_new_rows():
    data = sheet("").replace(b"<sheetData></sheetData>", b"<sheetData/>")
    assert write_cells(data, "s", {(1, 1): Change(1.0)}) == sheet('<row r="1"><c r="A1"><v>1</v></c></row>')


def test_the_prefix_of_the_file_is_kept():
    data = sheet("<row r='1'><c r='A1'><f>1+1</f></c></row>").decode()
    data = re.sub(r"<(/?)(worksheet|sheetData|row|c|f)\b", r"<\1x:\2", data).replace("xmlns=", "xmlns:x=").encode()
    changes = {(1, 1): Change(2.0, calculated=True), (1, 2): Change("a"), (2, 1): Change(1.0)}
    assert rows_of(write_cells(data, "s", changes).replace(b"x:", b"")) == (
        '<sheetData><row r=\'1\'><c r="A1"><f>1+1</f><v>2</v></c><c r="B1" t="inlineStr"><is><t>a</t></is></c></row>'
        '<row r="2"><c r="A2"><v>1</v></c></row></sheetData>'
    )
    assert read_sheet(write_cells(data, "s", changes), "s").stored[1, 2] == ("inlineStr", "a")


def test_the_extent_of_a_spilling_formula_moves():
    before = '<row r="1"><c r="A1" cm="1"><f t="array" aca="1" ref="A1:A3">X()</f><v>1</v></c></row>'
    after = write_cells(sheet(before), "s", {(1, 1): Change(2.0, calculated=True, area=Area(1, 1, 2, 1))})
    assert after == sheet(before.replace("A1:A3", "A1:A2").replace("<v>1</v>", "<v>2</v>"))


@pytest.mark.parametrize("rows", ['<row r="2"/><row r="1"/>', '<row r="1"><c r="B1"/><c r="A1"/></row>'])
def test_cells_out_of_order_are_not_written_to(rows):
    with pytest.raises(WorkbookError, match="out of order"):
        write_cells(sheet(rows), "s", {(1, 1): Change(1.0)})


@pytest.mark.parametrize(
    ("value", "message"), [("x" * 32_768, "32768 characters"), (math.inf, "finite"), (math.nan, "finite")]
)
def test_what_no_cell_can_hold(value, message):
    with pytest.raises(WorkbookError, match=message):
        write_cells(sheet(""), "s", {(1, 1): Change(value)})


# --- any sheet, any values --------------------------------------------------------------------------------------------

CELLS = st.tuples(st.integers(1, 12), st.integers(1, 30))
TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=30) | st.sampled_from(
    [
        "",
        " ",
        "  lead",
        "trail ",
        "a\nb",
        "a\r\nb",
        "<&>\"'",
        "]]>",
        "_x0041_",
        "_x005F_",
        "\x00\x01\x1f",
        "=1+1",
        "𝄞",
        "￿",
        "x" * 32_767,
    ]
)
VALUES = TEXT | st.booleans() | st.floats(allow_nan=False, allow_infinity=False) | st.integers(-(10**12), 10**12)
SHEETS = st.dictionaries(CELLS, TEXT | st.integers(-9, 9) | st.sampled_from(["=1+1", '="a"&"<"', "=A1"]), max_size=25)


def made(cells: dict) -> bytes:
    return books.book({"S": {cell_name(*at): _storable(value) for at, value in cells.items()}})


def _storable(value):
    return re.sub(r"[\x00-\x08\x0b\x0c\x0e-\x1f￾￿]", "", value)[:1000] if isinstance(value, str) else value


def shown(value):
    """What a reader should see of a value: line ends as XML gives them back, empty text as nothing."""
    return None if value == "" else float(value) if isinstance(value, int) and not isinstance(value, bool) else value


@settings(max_examples=150, deadline=None)
@given(SHEETS, st.dictionaries(CELLS, VALUES | st.none(), min_size=1, max_size=15))
def test_any_value_reads_back_and_the_rest_stays(cells, new):
    data = made(cells)
    before = books.parts(data)[books.SHEET1]
    formulas = read_sheet(before, "s").formulas
    changes = {at: Change(value, calculated=at in formulas) for at, value in new.items()}
    package = Package(data)
    package.write({"S": changes})
    written = package.to_bytes()
    after = books.parts(written)[books.SHEET1]
    assert [e for e in books.raw_entries(written) if e[0] != books.SHEET1] == [
        e for e in books.raw_entries(data) if e[0] != books.SHEET1
    ]

    part = read_sheet(after, "s")
    assert part.formulas == formulas
    book = openpyxl.load_workbook(io.BytesIO(written), data_only=True)
    for (row, column), value in new.items():
        stored = part.stored.get((row, column))
        assert shown(stored_value(*stored) if stored else None) == shown(value)
        assert shown(package.value("S", row, column)) == shown(value)
        found = book["S"].cell(row, column).value
        assert shown(unescape(found) if isinstance(found, str) else found) == shown(value)

    head, tail = (
        after.index(b"<sheetData"),
        len(after) - after.index(b"</sheetData>") if b"</sheetData>" in after else 0,
    )
    assert _without_extent(after[:head]) == _without_extent(before[: before.index(b"<sheetData")])
    if tail and b"</sheetData>" in before:
        assert after[-tail:] == before[before.index(b"</sheetData>") :]
    assert _others(after, set(new)) == _others(before, set(new))


def _without_extent(data: bytes) -> bytes:
    return re.sub(rb"<dimension[^>]*>", b"", data)


def _others(data: bytes, written: set) -> list[bytes]:
    """The cells that were not written to, as the file spells them."""
    root = etree.fromstring(data)
    names = {cell_name(*at) for at in written}
    return [etree.tostring(cell) for cell in root.iter(f"{{{MAIN}}}c") if cell.get("r") not in names]


@settings(max_examples=60, deadline=None)
@given(SHEETS, st.dictionaries(CELLS, VALUES, max_size=10))
def test_writing_twice_is_writing_once(cells, new):
    changes = {at: Change(value) for at, value in new.items()}
    once = write_cells(books.parts(made(cells))[books.SHEET1], "s", changes)
    assert write_cells(once, "s", changes) == once
