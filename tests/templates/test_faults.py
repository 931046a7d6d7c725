"""A workbook with a broken page is refused, and the message says where it is broken."""

import pytest
from openpyxl.formatting.rule import FormulaRule
from openpyxl.workbook.defined_name import DefinedName

from stillbook.quantities import ROOM_LENGTH
from stillbook.templates import build, door_schedule
from stillbook.templates.faults import BrokenPage, refuse_broken, unknown_names
from stillbook.templates.page import Book, ResultRow
from stillbook.templates.parts.checks import AT_MOST, CheckRow
from stillbook.templates.parts.checks import write as write_checks
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
        ("=room_length*2", "=double_lenght", "Checks!C5: there is no double_lenght, which =double_lenght calls"),
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


def test_names_in_blocks_rules_formats_and_other_names_are_looked_at():
    book = scratch()
    sheet = book.workbook["Inputs"]
    book.workbook["Checks"].conditional_formatting.add("A1:A2", FormulaRule(formula=['no_format<>""']))
    sheet.data_validations.dataValidation[0].formula1 = "no_rule"
    book.workbook.defined_names["twice"] = DefinedName("twice", attr_text="no_other*2")
    page = book.page("Block", "An invented page.", (30, 12))
    page.fill("=no_block*2", page.at, 2, 2, 1)
    assert [line.partition(",")[0] for line in unknown_names(book.workbook)] == [
        "Inputs!C4 (rule): there is no no_rule",
        "Checks!A1:A2 (format): there is no no_format",
        "Block!B4: there is no no_block",
        "the name twice: there is no no_other",
    ]


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
