"""Widths of columns and heights of rows in a sheet's part."""

from stillbook.workbook.file.layout import column_widths, with_heights

PART = (
    b'<worksheet><cols><col min="1" max="1" width="2"/><col width="44.5" min="3" max="4" customWidth="1"/>'
    b'<col min="6" max="6" hidden="1"/></cols><sheetData><row r="1" ht="26" customHeight="1"><c r="A1"/></row>'
    b'<row r="2" spans="1:3"><c r="A2" t="str"><v>a &gt; b</v></c></row><row r="3"/><row r="4" ht="15"/></sheetData></worksheet>'
)


def test_widths_are_those_that_are_said():
    assert column_widths(PART, "sheet1.xml") == {1: 2, 3: 44.5, 4: 44.5}


def test_rows_are_made_taller_where_they_have_no_height_of_their_own_choice():
    made = with_heights(PART, "sheet1.xml", {1: 40.0, 2: 27.25, 3: 30, 4: 28, 9: 50})
    told = PART.replace(b'<row r="2" spans="1:3">', b'<row r="2" spans="1:3" ht="27.25">')
    told = told.replace(b'<row r="3"/>', b'<row r="3" ht="30"/>').replace(b'ht="15"', b'ht="28"')
    assert made == told
    assert with_heights(PART, "sheet1.xml", {}) == PART
