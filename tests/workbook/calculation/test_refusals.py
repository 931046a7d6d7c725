"""What is calculated with a word of warning only, or not at all: hidden rows, caught refusals, whole workbooks."""

import pytest

from stillbook.cells import Code, ErrorValue
from stillbook.workbook import WorkbookError
from stillbook.workbook.calculation.recalculate import calculate
from stillbook.workbook.file.package import Package
from workbook import books
from workbook.books import array

VALUE = ErrorValue(Code.VALUE)


def calculated(data):
    package = Package(data)
    calculation = calculate(package)
    package.write(calculation.changes)
    return package, {error.cell: error.reason for error in calculation.errors}


TOTALS = {"A1": 1, "A2": 2, "A3": 4, "A4": "=SUBTOTAL(9,A1:A3)", "A5": "=SUBTOTAL(9,A1:A4)", "A6": "=SUM(A4)"}


def test_a_subtotal_of_shown_rows_leaves_other_subtotals_out():
    package, reasons = calculated(books.book({"S": TOTALS}))
    assert [package.value("S", row, 1) for row in (4, 5, 6)] == [7.0, 7.0, 7.0]
    assert not reasons


@pytest.mark.parametrize(
    "hide",
    [
        lambda xml: xml.replace('<row r="2"', '<row r="2" hidden="1"'),
        lambda xml: xml.replace("</sheetData>", '</sheetData><autoFilter ref="A1:A3"><filterColumn colId="0"/></autoFilter>'),
        lambda xml: xml.replace("<sheetFormatPr", '<sheetFormatPr zeroHeight="1"'),
    ],
)  # fmt: skip
def test_a_subtotal_is_refused_where_rows_are_hidden(hide):
    package, reasons = calculated(books.edited(books.book({"S": TOTALS}), books.SHEET1, hide))
    assert [package.value("S", row, 1) for row in (4, 5, 6)] == [VALUE] * 3
    assert "SUBTOTAL is not calculated here in a workbook that hides or filters rows" in reasons["A4"]
    assert reasons["A6"] == "comes from S!A4"


CAUGHT = [
    # formulas that would go on without a refused value
    "=IFERROR(MATCH(4,B1:B4,1),0)",
    "=IFERROR(VLOOKUP(4,B1:C4,2),7)",
    "=IF(ISERROR(MATCH(4,B1:B4,1)),1,2)",
    "=COUNT(MATCH(4,B1:B4,1),5)",
    "=IFERROR(SUMIF(B1:B4,\"1/2/24\",C1:C4),0)",
    "=IFERROR(LINEST(B1:B4,C1:C4),0)",
    "=IFERROR(INDEX(OFFSET(C1,0,0,4,1),MATCH(4,B1:B4,1)),0)",
    array("A1", "=SUM(IFERROR(MATCH(B1:B4,B1:B4,1),0))"),
]  # fmt: skip


@pytest.mark.parametrize("formula", CAUGHT)
def test_no_formula_goes_on_without_what_was_refused(formula):
    cells = {"A1": formula, "A2": "=A1+1", "B1": 3, "B2": 9, "B3": 1, "B4": 4, "C1": 1, "C2": 2, "C3": 3, "C4": 4}
    package, reasons = calculated(books.book({"S": cells}))
    assert isinstance(package.value("S", 1, 1), ErrorValue)
    assert any(
        words in reasons["A1"] for words in ("not sorted", "may be read as a date", "not a function that is calc")
    )
    assert reasons["A2"] == "comes from S!A1"


def test_a_refusal_touches_no_other_formula():
    cells = {
        "A1": "=MATCH(4,B1:B3,1)",
        "A2": "=MATCH(1,B1:B3,0)",
        "A3": "=IFERROR(MATCH(8,B1:B3,0),0)",
        "B1": 3,
        "B2": 9,
        "B3": 1,
    }
    package, reasons = calculated(books.book({"S": cells}))
    assert (package.value("S", 2, 1), package.value("S", 3, 1)) == (3.0, 0.0)
    assert list(reasons) == ["A1"]


def test_a_workbook_of_numbers_as_displayed_is_refused():
    data = books.edited(
        books.book({"S": {"A1": "=1/3"}}),
        "xl/workbook.xml",
        lambda text: text.replace("<calcPr", '<calcPr fullPrecision="0"'),
    )
    with pytest.raises(WorkbookError, match="precision as displayed"):
        calculate(Package(data))


ORDINARY = [
    # of a range where one value belongs an ordinary formula takes the cell in its row
    ({"C2": "=SUM(ROUND(A1:A3,0))", "A1": 1.4, "A2": 2.6, "A3": 3.7}, 3.0),
    ({"C2": "=ROUND(A1:A3,0)", "A1": 1.4, "A2": 2.6, "A3": 3.7}, 3.0),
    ({"C2": "=SUM(A1:A3*2)", "A1": 1, "A2": 2, "A3": 3}, 4.0),
    ({"C2": array("C2", "=SUM(A1:A3*2)"), "A1": 1, "A2": 2, "A3": 3}, 12.0),
    ({"C2": '=COUNTIF(A1:A3,B1:B3)', "A1": 1, "A2": 2, "A3": 2, "B2": 2}, 2.0),
    ({"C2": '=IF(A1:A3>1,"yes","no")', "A2": 2}, "yes"),
]  # fmt: skip


@pytest.mark.parametrize(("cells", "value"), ORDINARY)
def test_an_ordinary_formula_takes_one_cell_of_a_range(cells, value):
    package, _ = calculated(books.book({"S": cells}))
    assert package.value("S", 2, 3) == value


def test_a_name_for_several_cells_is_a_range():
    package, _ = calculated(
        books.book(
            {"S": {"A1": 1.4, "A2": 2.6, "B2": "=SUM(ROUND(sizes,0))", "B3": "=SUMPRODUCT(ROUND(sizes,0))"}},
            {"sizes": "S!$A$1:$A$2"},
        )
    )
    assert (package.value("S", 2, 2), package.value("S", 3, 2)) == (3.0, 4.0)


EARLY_DAYS = [
    "=YEAR(60)",
    "=MONTH(B9)",
    "=DAY(1)",
    "=DATE(1900,1,31)",
    "=DATE(1900,2,29)",
    "=DATE(1900,1,61)",
    "=EDATE(61,-1)",
    "=EOMONTH(61,-1)",
    "=EDATE(30,24)",
    "=SUM(IFERROR(YEAR(B1:B4),0))",
    '=TEXT(30,"d mmm")',
]


@pytest.mark.parametrize("formula", EARLY_DAYS)
def test_days_that_programs_number_each_in_their_own_way_are_refused(formula):
    """29 February 1900 is day 60 in one program and no day in others; a blank is day 0."""
    package, reasons = calculated(books.book({"S": {"A1": formula, "B1": 3, "B2": 9, "B3": 1, "B4": 4}}))
    assert isinstance(package.value("S", 1, 1), ErrorValue)
    assert "days before March 1900 differ" in reasons["A1"]


BROKEN_TIMES = [
    ("=TIME(1.5,0,0)", "give whole ones"),
    ("=TIME(0,0,30.25)", "give whole ones"),
    ("=HOUR(0.99999999)", "round it to whole seconds"),
    ("=HOUR(3599.7/86400)", "round it to whole seconds"),
    ("=MINUTE(59.6/86400)", "round it to whole seconds"),
    ("=SUMPRODUCT(MINUTE(B1:B2))", "round it to whole seconds"),
]


@pytest.mark.parametrize(("formula", "words"), BROKEN_TIMES)
def test_a_time_of_broken_hours_or_seconds_is_refused(formula, words):
    """One program cuts them off, another rounds or keeps them."""
    package, reasons = calculated(books.book({"S": {"A1": formula, "B1": 0.5, "B2": 59.6 / 86400}}))
    assert isinstance(package.value("S", 1, 1), ErrorValue)
    assert words in reasons["A1"]


@pytest.mark.parametrize("formula", ["=DATE(24,1,1)", "=DATE(99,1,1)", "=DATE(1899,12,31)", "=DATE(0,1,1)"])
def test_years_that_programs_read_as_others_are_refused(formula):
    package, reasons = calculated(books.book({"S": {"A1": formula}}))
    assert isinstance(package.value("S", 1, 1), ErrorValue)
    assert "give a year from 1900 on" in reasons["A1"]


@pytest.mark.parametrize(
    ("name", "refers_to", "formula", "value"),
    [
        ("rate", "0.2", "=1000*rate", 200.0),
        ("cells", "S!$A$1:$A$2", "=SUM(cells)", 12.0),
        ("cell", "S!$A$2", "=cell+1", 8.0),
        ("firm", '"Quiet"', '=firm&"!"', "Quiet!"),
        # The engine takes these for 0, or does not know them.
        ("twice", "2*S!$A$1", "=1000+twice", None),
        ("less", "-S!$A$1", "=1000+less", None),
        ("both", "SUM(S!$A$1:$A$2)", "=IF(both>0,both,0)", None),
        ("moved", "OFFSET(S!$A$1,0,0,2,1)", "=SUM(moved)", None),
        ("three", "{1,2,3}", "=SUM(three)", None),
        ("told", "TRUE", "=SUM(told)", None),
    ],
)
def test_a_name_of_a_formula_is_refused_and_one_of_cells_or_a_constant_is_not(name, refers_to, formula, value):
    package, reasons = calculated(books.book({"S": {"A1": 5, "A2": 7, "B1": formula}}, {name: refers_to}))
    if value is not None:
        assert package.value("S", 1, 2) == value
    else:
        assert package.value("S", 1, 2) == VALUE
        assert f"{name} is the name of a formula, which is not calculated here" in reasons["B1"]
