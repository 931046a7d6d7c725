import re

import pytest
from openpyxl.utils import get_column_letter

from stillbook.cells import Code, ErrorValue
from stillbook.formula import Formula
from stillbook.workbook import WorkbookError
from stillbook.workbook.calculation.recalculate import calculate
from stillbook.workbook.file.package import Package
from stillbook.workbook.file.sheet import Change
from workbook import books
from workbook.books import array

NA, DIV, VALUE, NAME, REF = (ErrorValue(Code(text)) for text in ("#N/A", "#DIV/0!", "#VALUE!", "#NAME?", "#REF!"))


def calculated(cells, names=None):
    """The values of a sheet's cells by address after calculation."""
    package = books.package(cells, names)
    package.write(calculate(package).changes)
    return shown(package)


def shown(package, sheet="S"):
    from stillbook.workbook.file.address import cell_name

    return {cell_name(*at): package.value(sheet, *at) for at in package.sheet(sheet).stored}


def reasons(cells, names=None):
    package = books.package(cells, names)
    return {error.cell: (error.code.value, error.reason) for error in calculate(package).errors}


# --- values -----------------------------------------------------------------------------------------------------------

VALUES = [
    # cells, and what the formula cells show
    ({"A1": 2, "A2": "=A1*3"}, {"A2": 6.0}),
    ({"A1": "8 ft", "A2": '=STILL_QUANTITY(A1,"in")', "A3": "=A2/2"}, {"A2": 96.0, "A3": 48.0}),
    ({"A1": "=A3", "A2": "=A1=0"}, {"A1": 0.0, "A2": True}),
    ({"A1": '=""', "A2": '=A1&"x"'}, {"A1": "", "A2": "x"}),
    ({"A1": "=1/0", "A2": "=IFERROR(A1,5)"}, {"A1": DIV, "A2": 5.0}),
    ({"A1": 1, "A2": "=STILL_FLOORLOAD(A3,2,2)"}, {"A2": NA}),
    ({"A1": "=SUM(A2:A3)", "A2": "=STILL_FLOORLOAD(,1,1)", "A3": 5}, {"A1": NA, "A2": NA}),
    ({"A1": "=TRUE"}, {"A1": True}),
    # array formulas fill exactly the cells they have
    ({"A1": array("A1:B2", "={1,2;3,4}")}, {"A1": 1.0, "B1": 2.0, "A2": 3.0, "B2": 4.0}),
    ({"A1": array("A1:A2", "={1,2;3,4}"), "B1": 7}, {"A1": 1.0, "A2": 3.0, "B1": 7.0}),
    ({"A1": array("A1:C1", "={1,2}")}, {"A1": 1.0, "B1": 2.0, "C1": NA}),
    ({"A1": array("A1:B2", "={1,2}")}, {"A1": 1.0, "B1": 2.0, "A2": 1.0, "B2": 2.0}),
    ({"A1": array("A1:B2", "={1;2}")}, {"A1": 1.0, "B1": 1.0, "A2": 2.0, "B2": 2.0}),
    ({"A1": array("A1:A3", "=7")}, {"A1": 7.0, "A2": 7.0, "A3": 7.0}),
    ({"A1": array("A1", "={7,8}"), "B1": 1}, {"A1": 7.0, "B1": 1.0}),
    ({"A1": array("A1", "=SUM(B1:B2*C1:C2)"), "B1": 2, "B2": 3, "C1": 4, "C2": 5}, {"A1": 23.0}),
    ({"A1": array("A1:A2", "=B1:B2")}, {"A1": 0.0, "A2": 0.0}),
    # functions of one value take each, and an error of all stands in each
    ({"A1": array("A1:A2", "=ROUND(B1:B2,0)"), "B1": 1.4, "B2": 2.6}, {"A1": 1.0, "A2": 3.0}),
    ({"A1": array("A1:A2", "=ROUND(B1:B2,C1:C2)"), "B1": 1.25, "B2": 2.6, "C1": 1}, {"A1": 1.3, "A2": 3.0}),
    ({"A1": array("A1:B2", "=ROUND(D1:D2*{1,10},0)"), "D1": 1.25, "D2": 2.6}, {"A1": 1.0, "B1": 13.0, "B2": 26.0}),
    ({"A1": array("A1:A2", "=LEN(B1:B2)"), "B1": "wool", "B2": "=NA()"}, {"A1": 4.0, "A2": NA}),
    ({"A1": array("A1:A2", "=VLOOKUP(B1:B2,D1:E2,2,FALSE)"), "B1": 5, "B2": 6, "D2": 5, "E2": 9}, {"A1": 9.0, "A2": NA}),
    ({"A1": array("A1:A2", "=SQRT(B1)*B1:B2"), "B1": "board"}, {"A1": VALUE, "A2": VALUE}),
    ({"A1": array("A1:A2", "=DATE(2024,B1:B2,1)"), "B1": 1, "B2": 2}, {"A1": 45292.0, "A2": 45323.0}),
    ({"A1": "=SUM(ROUND(B1,0),B2)", "B1": 1.4, "B2": 2}, {"A1": 3.0}),
    ({"A1": array("A1:A2", '=STILL_QUANTITY(B1:B2,"in")'), "B1": "1 ft", "B2": "1 kg"}, {"A1": 12.0, "A2": VALUE}),
    # an ordinary formula shows one cell, and leaves its neighbours alone
    ({"A1": 1, "A2": 2, "B2": "=A1:A3*10", "B3": 5, "C1": "=SUM(B1:B9)"}, {"B2": 20.0, "C1": 25.0}),
    ({"A1": 1, "A2": 2, "B5": "=A1:A3*10"}, {"B5": VALUE}),
    ({"B2": "={7,8;9,10}", "C2": 5}, {"B2": 7.0}),
    ({"B2": '=STILL_QUANTITY(A1:A3,"in")', "A1": "1 ft", "A2": "2 ft", "A3": "3 ft"}, {"B2": 12.0}),
]  # fmt: skip


@pytest.mark.parametrize(("cells", "values"), VALUES)
def test_formulas_have_values(cells, values):
    found = calculated(cells)
    assert {cell: found[cell] for cell in values} == values
    typed = {a: v for a, v in cells.items() if not (isinstance(v, str) and v.startswith("=")) and not hasattr(v, "ref")}
    assert {cell: found[cell] for cell in typed} == typed


def test_an_array_formula_is_calculated_again_over_its_own_results():
    package = books.package({"A1": 2, "B1": array("B1:B3", "=A1*{1;2;3}")})
    package.write(calculate(package).changes)
    again = Package(package.to_bytes())
    assert calculate(again).changes == {}
    again.write({"S": {(1, 1): Change(5.0)}})
    again.write(calculate(again).changes)
    assert [again.value("S", row, 2) for row in (1, 2, 3)] == [5.0, 10.0, 15.0]


def test_a_spilling_formula_grows_shrinks_and_finds_no_room():
    spilling = '<c r="B1" cm="1"><f t="array" ref="B1:B2">_xlfn.SEQUENCE(A1)</f><v>1</v></c>'
    data = books.sheet_xml(
        books.book({"S": {}}),
        f'<row r="1"><c r="A1"><v>3</v></c>{spilling}</row><row r="2"><c r="B2"><v>2</v></c></row>',
    )
    package = Package(data)

    def show(count):
        package.write({"S": {(1, 1): Change(count)}})
        package.write(calculate(package).changes)
        xml = books.parts(package.to_bytes())[books.SHEET1].decode()
        return re.search(r'<f t="array" ref="([^"]*)"', xml)[1], [package.value("S", row, 2) for row in range(1, 6)]

    assert show(3.0) == ("B1:B3", [1.0, 2.0, 3.0, None, None])
    assert show(1.0) == ("B1", [1.0, None, None, None, None])
    package.write({"S": {(4, 2): Change("in the way")}})
    assert show(5.0) == ("B1", [VALUE, None, None, "in the way", None])
    assert "no room" in calculate(package).errors[0].reason
    package.write({"S": {(4, 2): Change(None)}})
    assert show(5.0) == ("B1:B5", [1.0, 2.0, 3.0, 4.0, 5.0])


def test_shared_formulas_are_expanded_in_every_spelling():
    rows = "".join(
        f'<row r="{row}"><c r="A{row}" t="str"><v>{row} ft</v></c><c r="B{row}"><f t="shared" '
        + ('ref="B1:B3" ' if row == 1 else "")
        + 'si="0"'
        + ('>[1]!STILL_QUANTITY(A1,"in")+STILL.QUANTITY($A$1,"in")</f></c></row>' if row == 1 else "/></c></row>")
        for row in (1, 2, 3)
    )
    package = Package(books.sheet_xml(books.book({"S": {}}), rows))
    package.write(calculate(package).changes)
    assert [package.value("S", row, 2) for row in (1, 2, 3)] == [24.0, 36.0, 48.0]
    assert b'<f t="shared" si="0"/><v>36</v>' in books.parts(package.to_bytes())[books.SHEET1]


SPELLINGS = [
    "STILL_QUANTITY",
    "STILL.QUANTITY",
    "_xldudf_STILL_QUANTITY",
    "_xludf.STILL_QUANTITY",
    "[1]!STILL_QUANTITY",
]


def test_every_spelling_in_a_file_calculates_and_stays():
    cells = {f"A{n}": f'={call}("1 ft","in")' for n, call in enumerate(SPELLINGS, start=1)}
    package = books.package(cells)
    package.write(calculate(package).changes)
    assert [package.value("S", n, 1) for n in range(1, 6)] == [12.0] * 5
    assert [package.sheet("S").formulas[n, 1].text for n in range(1, 6)] == [text[1:] for text in cells.values()]


def test_a_link_to_an_add_in_file_does_not_stand_in_the_way():
    """Excel keeps the path of an add-in file in a part of its own."""
    kind = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
    data = books.book({"S": {"A1": '=[1]!STILL_QUANTITY("1 ft","in")'}})
    link = (
        f'<Relationship Id="rIdX" Type="{kind}/externalLink" Target="externalLinks/externalLink1.xml"/></Relationships>'
    )
    data = books.edited(data, "xl/_rels/workbook.xml.rels", lambda text: text.replace("</Relationships>", link))
    data = books.edited(
        data,
        "xl/workbook.xml",
        lambda text: text.replace(
            "<calcPr",
            f'<externalReferences><externalReference xmlns:r="{kind}" r:id="rIdX"/></externalReferences><calcPr',
        ).replace("<definedNames/>", ""),
    )
    data = books.with_parts(
        data,
        {
            "xl/externalLinks/externalLink1.xml": '<externalLink xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'
            f'<externalBook xmlns:r="{kind}" r:id="rId1"><definedNames><definedName name="STILL_QUANTITY"/></definedNames>'
            "</externalBook></externalLink>",
            "xl/externalLinks/_rels/externalLink1.xml.rels": '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
            f'<Relationship Id="rId1" Type="{kind}/externalLinkPath" Target="still.xlam" TargetMode="External"/></Relationships>',
        },
    )
    package = Package(data)
    package.write(calculate(package).changes)
    assert package.value("S", 1, 1) == 12.0


def test_tables_and_names_are_known():
    import openpyxl
    from openpyxl.worksheet.table import Table

    made = openpyxl.Workbook()
    for row in [["Board", "Mass"], ["a", 1.5], ["b", 2.5], [None, "=SUM(Boards[Mass])"], [None, "=first*2"]]:
        made.active.append(row)
    made.active.add_table(Table(displayName="Boards", ref="A1:B3"))
    made.defined_names["first"] = openpyxl.workbook.defined_name.DefinedName("first", attr_text="Sheet!$B$2")
    package = Package(books.saved(made))
    package.write(calculate(package).changes)
    assert (package.value("Sheet", 4, 2), package.value("Sheet", 5, 2)) == (4.0, 3.0)


def test_days_counted_from_1904_stay_so():
    cells = {
        "A1": 43830,
        "A2": '=TEXT(A1,"yyyy-mm-dd")',
        "A3": "=DATE(2024,1,1)",
        "A4": "=YEAR(A1)",
        "A5": "=SUMPRODUCT(YEAR(A1:A1+{0,366}))",
        "A6": "=WEEKDAY(A1,2)",
        "A7": "=SUMPRODUCT(WEEKDAY(A1:A1+{0,1},2))",
        "A8": "=EDATE(A1,1)",
        "A9": "=DATE(1904,1,1)",
    }
    data = books.book({"S": cells})
    data = books.edited(
        data, "xl/workbook.xml", lambda text: text.replace("<workbookPr/>", '<workbookPr date1904="1"/>')
    )
    package = Package(data)
    package.write(calculate(package).changes)
    found = [package.value("S", row, 1) for row in range(2, 10)]
    assert found == ["2024-01-01", 43830.0, 2024.0, 4049.0, 1.0, 3.0, 43861.0, 0.0]


def test_a_what_if_table_is_left_as_it_is():
    rows = '<row r="1"><c r="A1"><f t="dataTable" ref="A1:A2" dt2D="0" dtr="0" r1="C1"/><v>5</v></c></row><row r="2"><c r="A2"><v>6</v></c></row>'
    package = Package(books.sheet_xml(books.book({"S": {}}), rows))
    assert calculate(package).changes == {}
    assert package.value("S", 1, 1) == 5.0


# --- errors and their reasons -----------------------------------------------------------------------------------------


def test_each_error_cell_has_its_reason():
    cells = {
        "A1": "x",
        "A2": "=STILL_SURFACEMASS(A1)",
        "A3": "=A2*2",
        "A4": "=SUM(A3:A3)",
        "A5": "=1/A9",
        "A6": "=IF(A5>1,1,2)",
        "A7": "=NOSUCH(1)",
        "A8": "=missing_name+1",
        "B1": "#N/A",
        "B2": "=B1+1",
        "B3": "=STILL_FLOORLOAD(A9,10,10)",
        "B4": '=IFERROR(STILL_SURFACEMASS("y"),1/0)',
        "B5": "=SUM(1,",
        "B6": "=MATCH(9,A9:A10,0)",
        "B7": '=1+STILL_QUANTITY(D1,"in")*2',
        "B8": "=Nowhere!A1",
        "B9": "=STILL_FLOORLOAD(B3,10,10)",
        "D1": "3 kg",
    }
    assert reasons(cells) == {
        "A2": ("#VALUE!", 'leaf: the material "x" is not in the table: give a name from STILL_MATERIALS'),
        "A3": ("#VALUE!", "comes from S!A2"),
        "A4": ("#VALUE!", "comes from S!A2"),
        "A5": ("#DIV/0!", "it divides by zero or by a blank cell"),
        "A6": ("#DIV/0!", "comes from S!A5"),
        "A7": ("#NAME?", "NOSUCH is not a function that is calculated here: calculate this workbook in a spreadsheet program"),
        "A8": ("#NAME?", '"missing_name" is not a name that is known here: check its spelling, or put text in double quotes'),
        "B2": ("#N/A", "comes from S!B1"),
        "B3": ("#N/A", 'mass is blank: give a mass in lb, or text with a unit such as "1 kg"'),
        "B4": ("#DIV/0!", "it divides by zero or by a blank cell"),
        "B5": ("#VALUE!", "it cannot be read as a formula: check its brackets and commas"),
        "B6": ("#N/A", "a lookup in it finds no match, or it asks for a place outside its range"),
        "B7": ("#VALUE!", '"3 kg" is a mass where a quantity in in is needed (in)'),
        "B8": ("#REF!", "it refers to a cell, a sheet, a table or a row of one that does not exist"),
        "B9": ("#N/A", "comes from S!B3"),
    }  # fmt: skip


def test_an_error_is_followed_through_names_and_sheets():
    package = Package(
        books.book(
            {"Room & door": {"A1": "=1/0"}, "C": {"A1": "=leaf+1", "A2": "=A1", "A3": "=SUM('Room & door'!A1:B900)"}},
            {"leaf": "'Room & door'!$A$1"},
        )
    )
    places = {error.place: error.reason for error in calculate(package).errors}
    assert places == {
        "'Room & door'!A1": "it divides by zero or by a blank cell",
        "C!A1": "comes from 'Room & door'!A1",
        "C!A2": "comes from 'Room & door'!A1",
        "C!A3": "comes from 'Room & door'!A1",
    }


@pytest.mark.parametrize(
    "name", ["Übersicht", "R1C1", "A1", "TRUE", "1st", "it's", "x y", "a.b", "日本", "Σ-1", "_x0041_"]
)
def test_any_sheet_name_will_do(name):
    quoted = "'" + name.replace("'", "''") + "'"
    package = Package(
        books.book(
            {name: {"A1": 2, "A2": "=A1:A1*3", "A3": "=1/0"}, "S": {"A1": f"={quoted}!A2", "A2": f"={quoted}!A3"}}
        )
    )
    calculation = calculate(package)
    package.write(calculation.changes)
    assert package.value("S", 1, 1) == 6.0
    first, second = calculation.errors
    assert (first.sheet, first.cell, second.reason) == (name, "A3", f"comes from {first.place}")


def test_each_cell_of_an_array_has_its_own_reason():
    found = reasons({"A1": array("A1:A3", '=STILL_QUANTITY(B1:B3,"in")'), "B1": "1 ft", "B2": "1 kg"})
    assert found["A2"] == ("#VALUE!", '"1 kg" is a mass where a quantity in in is needed (in)')
    assert found["A3"] == ("#N/A", "text is blank: give text")
    assert "A1" not in found


def test_sixteen_values_of_one_answer_cost_one_calculation(monkeypatch):
    asked = []
    call = Formula.__call__
    monkeypatch.setattr(Formula, "__call__", lambda entry, *values: asked.append(entry.name) or call(entry, *values))
    leaf = 'STILL_LEAFTL("Gypsum board 5/8 in type X",,,A1)'
    row = f"STILL_LEAKEDTL({leaf},200,1,0)"
    cells = {f"{get_column_letter(n + 1)}1": f"=INDEX({row},1,{n})" for n in range(1, 17)}
    package = books.package({"A1": 201.0625, **cells})
    calculation = calculate(package)
    assert not calculation.errors
    assert len({change.value for change in calculation.changes["S"].values()}) > 8
    assert sorted(asked) == ["LEAFTL", "LEAKEDTL"]


def test_each_value_taken_of_an_answer_has_its_own_reason():
    given = {"B1": "1 ft", "B2": "1 kg", "D1": "=INDEX(STILL_FLOORLOAD(-1,2,2),1,3)", "D2": "=STILL_QUANTITY(D1,B1)"}
    found = reasons({f"A{n}": f'=INDEX(STILL_QUANTITY(B1:B3,"in"),{n},1)' for n in (1, 2, 3, 4)} | given)
    assert found == {
        "A2": ("#VALUE!", '"1 kg" is a mass where a quantity in in is needed (in)'),
        "A3": ("#N/A", "text is blank: give text"),
        "A4": ("#REF!", "it refers to a cell, a sheet, a table or a row of one that does not exist"),
        "D1": ("#NUM!", "mass is -1 lb: give more than 0 lb and at most 2.204e+07 lb"),
        "D2": ("#NUM!", "comes from S!D1"),
    }


def test_a_long_chain_of_errors_leads_to_its_root():
    cells = {"A1": "=1/0"} | {f"A{row}": f"=A{row - 1}+1" for row in range(2, 1500)}
    found = reasons(cells)
    assert len(found) == 1499
    assert found["A1499"] == ("#DIV/0!", "comes from S!A1")


CIRCLES = [
    ({"A1": "=A1+1"}, "the formula in S!A1 refers to itself"),
    ({"A1": "=SUM(A1:A5)"}, "the formula in S!A1 refers to itself"),
    ({"A1": "=B1", "B1": "=C1*2", "C1": "=A1"}, "the formulas in S!A1, S!B1, S!C1 refer to each other in a circle"),
    ({"A1": "=B1", "B1": "=B2", "B2": "=B1", "C1": "=A1"}, "the formulas in S!B1, S!B2 refer to each other"),
]


@pytest.mark.parametrize(("cells", "message"), CIRCLES)
def test_a_circle_is_named_and_nothing_is_written(cells, message):
    with pytest.raises(WorkbookError, match=message):
        calculate(books.package(cells))


def test_a_circle_that_no_value_runs_through_is_none():
    assert calculated({"A1": "=IF(TRUE,1,B1)", "B1": "=A1+1"}) == {"A1": 1.0, "B1": 2.0}


def test_a_workbook_that_takes_too_long_is_given_up():
    cells = {"A1": "=SUM(SEQUENCE(30000,300)*SEQUENCE(30000,300))"} | {
        f"A{row}": f"=SUM(SEQUENCE(30000,300)*SEQUENCE(30000,300))+A{row - 1}" for row in range(2, 40)
    }
    with pytest.raises(WorkbookError, match=r"took longer than 0\.05 seconds"):
        calculate(books.package(cells), seconds=0.05)
