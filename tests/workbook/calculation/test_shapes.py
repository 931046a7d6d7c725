"""What is read once for all formulas of a shape means to each of them what its own text does."""

import pytest

from stillbook.templates.shipped import TEMPLATES
from stillbook.workbook.calculation import recalculate
from stillbook.workbook.calculation.admitted import Around
from stillbook.workbook.calculation.definitions.cell_values import Refused
from stillbook.workbook.calculation.engine import prepare
from stillbook.workbook.calculation.recalculate import calculate
from stillbook.workbook.calculation.shapes import filled, shape
from stillbook.workbook.file.package import Package
from workbook import books

ALIKE = [
    ("IF(A1=15,B2,3)", "IF(A7=9,B3,4)"),
    ("SUM($B4:F4)", "SUM($B12:F12)"),
    ("INDEX(STILL_X(a,b),1,3)", "INDEX(STILL_X(a,b),2,5)"),
    ("'Job price'!C2*5", "'Job price'!C9*4"),
    ('"see "&A3&" of 8"', '"see "&A4&" of 9"'),
]
APART = [
    # what a size, a nothing, a fraction, a word or a function's own number makes another
    ("INDEX(B2:C2,1)", "INDEX(B2:C9,1)"),
    ("ABS(B5:B5)", "ABS(B5:B6)"),
    ("SUMIF(B2:B3,2,C2:C3)", "SUMIF(B2:B3,2,C2:C5)"),
    ("INDEX(B2:C9,1,0)", "INDEX(B2:C9,1,1)"),
    ("A1=2", "A1=2.5"),
    ("A1=2", "A1=2E5"),
    ("SUM(2:3)", "SUM(2:4)"),
    ("LOG10(A1)", "LOG1(A1)"),
    ("SUBTOTAL(9,A1:A3)", "SUBTOTAL(8,A1:A3)"),
    ("cost_1*2", "cost_2*2"),
    ("IF(A1=1,2,2)", "IF(A1=1,2,3)"),
]


@pytest.mark.parametrize(("one", "other"), ALIKE)
def test_alike(one, other):
    assert shape(one)[0] == shape(other)[0]


@pytest.mark.parametrize(("one", "other"), APART)
def test_apart(one, other):
    assert shape(one)[0] != shape(other)[0]


@pytest.mark.parametrize(
    "formula", [*(text for pair in (*ALIKE, *APART) for text in pair), "900001+A900002", "A1+900123"]
)
def test_each_gets_its_numbers_back(formula):
    assert filled(*shape(formula)) == formula


def read(formula):
    try:
        return prepare(formula, Around())
    except Refused:
        return None


@pytest.mark.parametrize("template", TEMPLATES, ids=lambda template: template.name)
def test_formulas_of_a_template(template):
    """Up to three formulas of each shape are read one by one, and their shape once for all."""
    package = Package.open(template.path("US"))
    shapes = {}
    for sheet in package.sheets:
        for formula in package.sheet(sheet).formulas.values():
            like, numbers = shape(formula.text)
            shapes.setdefault(like, {})[formula.text] = numbers
    assert shapes
    for like, formulas in shapes.items():
        together = read(like)
        for text, numbers in list(formulas.items())[-3:]:
            alone = read(text)
            assert (alone is None) == (together is None), text
            if alone is not None and together is not None:
                assert alone.gives_one == together.gives_one, text
                assert alone.text == (together.text and filled(together.text, numbers)), text


@pytest.mark.parametrize("number", ["1E-9", "2.5e-12", "1E+9", "3E5", "0.5E-3"])
def test_a_power_of_ten_is_part_of_its_number(number):
    package = books.package({"A1": f"={number}*1000", "A2": f"=B2-{number}", "B2": 9})
    report = calculate(package)
    assert not report.errors
    found = [report.changes["S"][row, 1].value for row in (1, 2)]
    assert found == pytest.approx([float(number) * 1000, 9 - float(number)], rel=1e-12)


@pytest.mark.parametrize(
    "pair", [["=INDEX(B1:C1,1)", "=INDEX(B1:C4,1)"], ["=SUMIF(B1:B2,2,C1:C2)", "=SUMIF(B1:B2,2,C1:C4)"]]
)
def test_a_refusal_does_not_hang_on_what_stands_before(pair):
    cells = {f"{column}{row}": row for column in "BC" for row in range(1, 5)}
    package = books.package({**cells, "A1": pair[0], "A2": pair[1]})
    assert [error.cell for error in calculate(package).errors] == ["A2"]


@pytest.mark.parametrize(
    ("formula", "single"),
    [
        ("INDEX(B1:C9,2,1)", True),
        ("INDEX(B1:B9,MATCH(A1,C1:C9,0))", True),
        ("INDEX(B1:B9,IFERROR(MATCH(A1,C1:C9,0),-1))", True),
        ("INDEX(B1:D9,MATCH(A1,C1:C9,0),COLUMNS(B1:D9))", True),
        ("INDEX(B1:C9,0,1)", False),
        ("INDEX(B1:B9,A1)", False),
        ("INDEX(B1:B9,MATCH(A1,C1:C9,0)-1)", False),
        ("INDEX(B1:B9,IFERROR(MATCH(A1,C1:C9,0),0))", False),
        ("INDEX(B1:B9,MATCH(A1:A3,C1:C9,0))", False),
        ("INDEX(B1:D9,COLUMNS(B1:D9)-3,1)", False),
        ('INDEX(STILL_STCRATING(B1:Q1),"",1)', False),
    ],
)
def test_an_index_is_sure_to_be_single(formula, single):
    """A place of 0 stands for a whole row or column (OpenFormula INDEX)."""
    assert prepare(formula, Around()).gives_one is single


def test_what_is_known_of_a_template_outlasts_the_other_workbooks_between():
    template = Around(last_row=1_000_000)
    known = recalculate._memory(template)
    for row in range(100):
        recalculate._memory(Around(last_row=2_000_000 + row))
        assert recalculate._memory(template) is known
    assert len(recalculate._MEMORIES) <= recalculate._MOST_MEMORIES
