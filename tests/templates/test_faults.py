"""A workbook with a broken page is refused, and the message says where it is broken."""

import pytest
from openpyxl.formatting.rule import FormulaRule
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.formula import ArrayFormula

from stillbook.quantities import ROOM_LENGTH
from stillbook.templates import build, door_schedule
from stillbook.templates.faults import BrokenPage, lost_values, refuse_broken, unknown_names
from stillbook.templates.page import Book, ResultRow
from stillbook.templates.parts.check_sheet import AT_MOST, CheckRow
from stillbook.templates.parts.check_sheet import write as write_checks
from stillbook.templates.parts.inputs import STAYS_BLANK
from stillbook.workbook.file.package import Package
from stillbook.workbook.job.estimate import Job


def scratch(formula: str = "=room_length*2", check: str = "=double_length") -> Book:
    """A workbook of an input, a result and a check."""
    book = Book("US", "Scratch")
    page = book.page("Inputs", "An invented page.", (30, 12, 8, 16, 30))
    page.input(book.input("room_length", "Room length", ROOM_LENGTH, None, 3, 60).saying("Inside."))
    page.result(ResultRow("Twice the length", formula, "ft", "double_length"))
    write_checks(book, [CheckRow("Short", check, AT_MOST, "=100").advising("Shorten it.")])
    return book


def refused(book: Book, stays_blank: dict[str, str] | None = None) -> str:
    with pytest.raises(BrokenPage) as caught:
        refuse_broken(book.workbook, build.settled(book), stays_blank or {})
    return str(caught.value)


def test_a_whole_workbook_passes():
    book = scratch()
    refuse_broken(book.workbook, build.settled(book), {})


@pytest.mark.parametrize(
    ("formula", "check", "told"),
    [
        ("=rom_length*2", "=double_length", "Inputs!C5: there is no rom_length, which =rom_length*2 calls"),
        ('=IFERROR(rom_length*2,"")', "=double_length", "Inputs!C5: there is no rom_length,"),
        ("=room_length*2", "=double_lenght", "Checks!C16: there is no double_lenght, which =double_lenght calls"),
        ("=STILL_DOORMAS(room_length)", "=double_length", "Inputs!C5: there is no STILL_DOORMAS,"),
        ("=SUM(Inputs!$C$4:rom_length)", "=double_length", "Inputs!C5: there is no rom_length,"),
        ("=room_length/0", "=double_length", "Inputs!C5: it divides by zero or by a blank cell"),
        ("=TWICE(room_length)", "=double_length", "Inputs!C5: TWICE is not a function that is calculated here"),
    ],
)
def test_a_broken_formula_is_refused_by_its_cell(formula, check, told):
    assert refused(scratch(formula, check)).startswith(told)


def test_a_misspelt_name_shows_in_the_workbook_as_a_check_that_waits():
    """What the refusal is for: nothing else says it."""
    job = Job(Package(build.settled(scratch(check='=IFERROR(double_lenght,"")'))))
    job.set({"room_length": 8})
    report = job.calculate()
    assert not report.errors
    assert [check.state for check in report.checks] == ["waits"]


def test_names_in_rules_formats_and_other_names_are_looked_at():
    book = scratch()
    sheet = book.workbook["Inputs"]
    book.workbook["Checks"].conditional_formatting.add("A1:A2", FormulaRule(formula=['no_format<>""']))
    sheet.data_validations.dataValidation[0].formula1 = "no_rule"
    book.workbook.defined_names["twice"] = DefinedName("twice", attr_text="no_other*2")
    assert [line.partition(",")[0] for line in unknown_names(book.workbook)] == [
        "Inputs!C4 (rule): there is no no_rule",
        "Checks!A1:A2 (format): there is no no_format",
        "the name twice: there is no no_other",
    ]


LOST = [
    ("=STILL_PATHSUM(INDEX(levels,1,0))", None),
    ("=INDEX(STILL_PATHSUM(levels),1,2)", None),
    ("=INDEX(STILL_PATHSUM(STILL_PATHSTEPS($B$9:$C$9,levels)),1,2)", None),
    ("=STILL_DUCTAREA(SUM(levels),500)", None),
    ("=SUMPRODUCT(levels*2)", None),
    ("=INDEX(STILL_PATHSUM(levels-3),1,2)", "levels"),
    ("=INDEX(STILL_PATHSUM(-$B$9:$C$9),1,2)", "$B$9:$C$9"),
    ("=INDEX(STILL_PATHSUM(IF(room_length>3,Levels,0)),1,2)", "Levels"),
    ("=INDEX(STILL_PATHSUM((levels)),1,2)", "levels"),
]
"""A formula, and the several cells that an ordinary formula takes one of."""


@pytest.mark.parametrize(("formula", "cells"), LOST)
def test_a_sum_of_several_cells_given_to_a_formula_of_ours_is_refused(formula, cells):
    book = scratch(formula)
    book.workbook.defined_names["levels"] = DefinedName("levels", attr_text="Inputs!$B$9:$C$10")
    told = f"Inputs!C5: a formula of ours is given a sum or choice of the cells {cells}:"
    found = [*lost_values(book.workbook)]
    assert len(found) == (cells is not None) and all(line.startswith(told) for line in found)


def test_an_array_formula_is_refused():
    book = scratch()
    book.workbook["Inputs"]["C9"] = ArrayFormula("C9:C10", "=room_length*{1;2}")
    assert refused(book) == "Inputs!C9: it is an array formula: give each cell its own, as nth does"


def test_an_input_that_stays_blank_is_named():
    book = scratch('=IF(room_length="",0,1/0)')
    assert refused(book).startswith("Inputs!C5: it divides by zero")
    refuse_broken(book.workbook, build.settled(book), {"room_len": "there is no answer beside it"})


def test_every_input_that_stays_blank_has_its_reason():
    assert STAYS_BLANK
    assert all(len(reason.split()) > 5 for reason in STAYS_BLANK.values())


def test_a_broken_template_is_not_written(tmp_path, monkeypatch):
    def broken(system):
        book = door_schedule.build(system)
        cell = book.workbook["Proposal"]["C4"]
        assert "client" in cell.value
        cell.value = cell.value.replace("client", "cleint")
        return book

    monkeypatch.setitem(build.BUILDERS, "door_schedule", broken)
    with pytest.raises(BrokenPage, match="Proposal!C4: there is no cleint, which"):
        build.build("door_schedule", "US", tmp_path)
    assert not list(tmp_path.iterdir())


def test_a_name_given_twice_does_not_build():
    book = Book("US", "Scratch")
    page = book.page("Sheet", "A sheet.", (20, 10, 10, 10))
    page.result(ResultRow("One", "=1", "", "told"))
    with pytest.raises(ValueError, match="the name Told is given twice, the second time on Sheet"):
        page.result(ResultRow("Other", "=2", "", "Told"))
