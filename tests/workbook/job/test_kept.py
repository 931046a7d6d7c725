"""Which values a program without the formulas loses: told when calculated, and the formulas stay as their owner wrote them."""

import pytest

from stillbook.workbook.file.package import Package
from stillbook.workbook.job.estimate import Job
from workbook import books

DOOR = 'STILL_DOORMASS(A1,1,"36 in","80 in")'
SHARED = '<row r="1"><c r="A1"><f t="shared" ref="A1:A2" si="0">{}</f></c></row><row r="2"><c r="A2"><f t="shared" si="0"/></c></row>'

FORMS = [
    ({"B1": f"={DOOR}"}, ()),
    ({"B1": f"=INDEX({DOOR},1,1)"}, ()),
    ({"B1": f'=IF({DOOR}>0,"yes","no")'}, ()),
    ({"B1": books.array("B1:B2", "=A1:A2*2")}, ()),
    ({"B1": '=LEFT("STILL_DOORMASS(",3)'}, ()),
    ({"B1": "=A1>0"}, ()),
    ({"B1": books.array("B1:B2", f"={DOOR}")}, ("S!B1",)),
    ({"B1": books.array("B1", f"=SUM({DOOR})"), "C1": "=B1"}, ("S!B1",)),
    ({"B1": f"={DOOR}>0"}, ("S!B1",)),
    # an error is told as one
    ({"B1": books.array("B1", "=STILL_DOORMASS(A9,1,36,80)")}, ()),
]


@pytest.mark.parametrize(("cells", "lost"), FORMS)
def test_what_is_lost_is_told(cells, lost):
    job = Job(books.package({"A1": 4.4, **cells}))
    assert job.calculate().lost == lost


@pytest.mark.parametrize(("formula", "lost"), [('STILL_QUANTITY("1 ft","in")', ("S!A1", "S!A2")), ("1+1", ())])
def test_a_formula_shared_by_several_cells_is_told_for_each(formula, lost):
    job = Job(Package(books.sheet_xml(books.book({"S": {}}), SHARED.format(formula.replace('"', "&quot;")))))
    assert job.calculate().lost == lost


def test_an_array_formula_of_the_owner_stays_as_it_is():
    before = books.book({"S": {"A1": 4.4, "B1": books.array("B1:B2", f"={DOOR}*{{1;2}}")}})
    job = Job(Package(before))
    job.calculate()
    formula = b'<f t="array" ref="B1:B2">'
    assert formula in books.parts(before)[books.SHEET1]
    assert formula in books.parts(job.package.to_bytes())[books.SHEET1]
    assert job.package.value("S", 2, 2) == pytest.approx(2 * job.package.value("S", 1, 2))
