"""Formulas written anew in a host's spelling; everything else in the workbook stays."""

from __future__ import annotations

import zipfile
from pathlib import Path

import openpyxl
import pytest
from openpyxl.formatting.rule import FormulaRule
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.formula import ArrayFormula

from stillbook.hosts.conversion import convert
from stillbook.workbook import WorkbookError
from stillbook.workbook.calculation.spelling import Spelling
from stillbook.workbook.job.estimate import Job

NEUTRAL = '=STILL_DOORMASS(60,1,B1,80)&" & STILL_X("'


@pytest.fixture
def book(tmp_path: Path) -> Path:
    made = openpyxl.Workbook()
    sheet = made.active
    assert sheet is not None
    sheet["A1"], sheet["A2"], sheet["A3"] = NEUTRAL, "=SUM(B1:B2)", "STILL_DOORMASS(60)"
    sheet["A4"] = "=STILL_CO2LEVEL(2,30,360)"
    sheet["B1"] = 36
    sheet["C1"] = ArrayFormula("C1:C2", "=STILL_DOORMASS(B1:B2,1,36,80)")
    sheet.conditional_formatting.add("A1", FormulaRule(formula=["STILL_DOORMASS(60,1,36,80)>1"]))
    rule = DataValidation(type="custom", formula1="STILL_DOORMASS(60,1,36,80)>A2")
    rule.add("B2")
    sheet.add_data_validation(rule)
    made.defined_names["door"] = DefinedName("door", attr_text="STILL_DOORMASS(60,1,36,80)")
    path = tmp_path / "book.xlsx"
    made.save(path)
    return path


@pytest.mark.parametrize(
    ("spelling", "name"),
    [(Spelling.DOTTED, "STILL.{}("), (Spelling.NEUTRAL, "STILL_{}("), (Spelling.WEB, "_xldudf_STILL_{}(")],
)
def test_every_place_that_holds_a_formula(book: Path, tmp_path: Path, spelling: Spelling, name: str) -> None:
    out = tmp_path / "out.xlsx"
    assert convert(book, out, spelling) == (0 if spelling is Spelling.NEUTRAL else 6)
    made = openpyxl.load_workbook(out)
    sheet = made.active
    assert sheet is not None
    door = name.format("DOORMASS")
    assert sheet["A1"].value == f'={door}60,1,B1,80)&" & STILL_X("'
    assert sheet["A2"].value == "=SUM(B1:B2)"
    assert sheet["A3"].value == "STILL_DOORMASS(60)", "text is not a formula"
    assert sheet["A4"].value == f"={name.format('CO2LEVEL')}2,30,360)"
    assert sheet["C1"].value.text == f"={door}B1:B2,1,36,80)"
    assert made.defined_names["door"].attr_text == f"{door}60,1,36,80)"
    assert sheet.data_validations.dataValidation[0].formula1 == f"{door}60,1,36,80)>A2"
    assert next(iter(sheet.conditional_formatting)).rules[0].formula == [f"{door}60,1,36,80)>1"]


def test_parts_without_our_formulas_keep_their_bytes(book: Path, tmp_path: Path) -> None:
    out = tmp_path / "out.xlsx"
    convert(book, out, Spelling.DOTTED)
    with zipfile.ZipFile(book) as before, zipfile.ZipFile(out) as after:
        assert before.namelist() == after.namelist()
        changed = {name for name in before.namelist() if before.read(name) != after.read(name)}
    assert changed == {"xl/worksheets/sheet1.xml", "xl/workbook.xml"}


def test_there_and_back_again_gives_the_same_formulas(book: Path, tmp_path: Path) -> None:
    there, back = tmp_path / "there.xlsx", tmp_path / "back.xlsx"
    convert(book, there, Spelling.DOTTED)
    assert convert(there, back, Spelling.NEUTRAL) == 6
    with zipfile.ZipFile(book) as first, zipfile.ZipFile(back) as last:
        assert all(first.read(name) == last.read(name) for name in first.namelist())


def test_a_converted_workbook_calculates_here(book: Path, tmp_path: Path) -> None:
    out = tmp_path / "out.xlsx"
    convert(book, out, Spelling.DOTTED)
    job = Job.open(out)
    job.calculate()
    assert job.package.value("Sheet", 1, 1) == "80 & STILL_X("


def test_a_workbook_may_be_converted_in_place(book: Path) -> None:
    convert(book, book, Spelling.DOTTED)
    assert convert(book, book, Spelling.DOTTED) == 0


def test_what_is_no_workbook_is_refused(tmp_path: Path) -> None:
    with pytest.raises(WorkbookError, match="no such file"):
        convert(tmp_path / "missing.xlsx", tmp_path / "out.xlsx", Spelling.DOTTED)
