"""The parts that tables are made of: what is declared once, and what is refused when a workbook is built."""

import pytest

from stillbook.templates import look
from stillbook.templates.page import Book
from stillbook.templates.parts.schedule import Schedule, typed, widths
from stillbook.templates.parts.table import Column, Table

COLUMNS = (
    Column("Part", "", 20, key="part", words=True),
    Column("Area", "", 10, key="area", number_format=look.ONE),
    Column("Mass", "{area}*2", 10, "masses", look.WHOLE, total="all_masses"),
    Column("Line", "MAX({above})+{n}", 10, key="line"),
)


@pytest.fixture
def page():
    return Book("US", "Invented").page("Sheet", "A sheet.", widths(COLUMNS))


def cells(page, row):
    return [page.sheet.cell(row, column).value for column in range(2, 6)]


def test_a_column_is_declared_once(page):
    table = Table(page, COLUMNS)
    head = table.write([("Wall", 3), ("Floor", "=1+1")])
    total = table.total("All")
    assert cells(page, head) == ["Part", "Area", "Mass", "Line"]
    assert cells(page, head + 1) == ["Wall", 3, "=C5*2", "=MAX(E$4:E4)+1"]
    assert cells(page, head + 2) == ["Floor", "=1+1", "=C6*2", "=MAX(E$4:E5)+2"]
    assert cells(page, total) == ["All", None, "=SUM(D5:D6)", None]
    formats = [page.sheet.cell(head + 1, column).number_format for column in range(2, 6)]
    assert formats == ["General", look.ONE, look.WHOLE, "General"]
    names = {name: page.book.workbook.defined_names[name].attr_text for name in ("masses", "all_masses")}
    assert names == {"masses": "'Sheet'!$D$5:$D$6", "all_masses": "'Sheet'!$D$7"}


def test_a_row_may_stand_in_for_a_formula(page):
    table = Table(page, COLUMNS)
    table.head()
    row = table.row("Old wall", None, masses="=-{area}", names={"masses": "old_mass"})
    assert cells(page, row)[:3] == ["Old wall", None, "=-C5"]
    assert "old_mass" in page.book.workbook.defined_names


@pytest.mark.parametrize(
    ("wrong", "error"),
    [
        (lambda page: page.row(("a", 1), ("text",)), ValueError),
        (lambda page: page.row(("a",), ("text", look.ONE)), ValueError),
        (lambda page: page.row(("a",) * 5, ("text",) * 5), ValueError),
        (lambda page: page.row(("a", 1), ("text", ""), names=("only_one",)), ValueError),
        (lambda page: page.head_row(("a",) * 5), ValueError),
        (lambda page: Table(page, COLUMNS).row("Wall"), ValueError),
        (lambda page: Table(page, COLUMNS).row("Wall", 3, 4), ValueError),
        (lambda page: Table(page, COLUMNS).row("Wall", 3, weight="=1"), KeyError),
        (lambda page: Table(page, COLUMNS).row("Wall", "={no_such_column}"), KeyError),
        (lambda page: Table(page, COLUMNS).row("Wall", 3, names={"weight": "name"}), KeyError),
        (lambda page: Table(page, (*COLUMNS, Column("One too many"))), ValueError),
        (lambda page: Table(page, (COLUMNS[0], COLUMNS[0])), ValueError),
    ],
)
def test_what_does_not_fit_the_columns_is_refused(page, wrong, error):
    with pytest.raises(error):
        wrong(page)


@pytest.mark.parametrize("rows", [[("A1", 3)], [("A1",), ("A2",), ("A3",)], [()]])
def test_rows_that_do_not_fit_a_schedule_are_refused(page, rows):
    columns = (typed(page.book, "Mark", "marks", 10, words=True),)
    with pytest.raises(ValueError, match="at most 2"):
        Schedule(page.book, 2).write(page, columns, rows)
