"""What other programs see in a workbook calculated here: the values, with the formulas still in place."""

import csv
import subprocess
import sys

import openpyxl
import pytest
from python_calamine import CalamineWorkbook

from stillbook.cells import Code, ErrorValue
from stillbook.workbook.file.address import cell_name, read_cell
from stillbook.workbook.file.package import Package
from stillbook.workbook.job.estimate import Job
from workbook import books, office

VALUES = {
    "A1": ("=1.5*2", 3.0),
    "A2": ('="two  words"', "two  words"),
    "A3": ("=1=1", True),
    "A4": ("=1/0", "#DIV/0!"),
    "A5": ('=STILL_QUANTITY("1 ft","in")', 12.0),
    "A6": (books.array("A6:B7", "={1,2;3,4}"), 1.0),
    "B6": (None, 2.0),
    "A7": (None, 3.0),
    "B7": (None, 4.0),
    "A8": ('="<&> ""ft²"""', '<&> "ft²"'),
    "A9": ("=0.1+0.2", 0.1 + 0.2),
    "A10": ("=STILL_FLOORLOAD(Z99,1,1)", "#N/A"),
}
ERRORS = ("#DIV/0!", "#N/A")


@pytest.fixture
def path(tmp_path):
    path = tmp_path / "values.xlsx"
    path.write_bytes(books.book({"S": {cell: formula for cell, (formula, _) in VALUES.items() if formula}}))
    Job.open(path).save()
    return path


def test_our_own_reader(path):
    package = Package.open(path)
    for cell, (_, value) in VALUES.items():
        expected = ErrorValue(Code(value)) if isinstance(value, str) and value in set(Code) else value
        assert package.value("S", *read_cell(cell)) == expected


def test_openpyxl_reads_values_and_formulas(path):
    values, formulas = (openpyxl.load_workbook(path, data_only=only)["S"] for only in (True, False))
    for cell, (formula, value) in VALUES.items():
        assert values[cell].value == value
        if formula:
            kept = formulas[cell].value
            assert (kept if isinstance(kept, str) else kept.text) == (
                formula if isinstance(formula, str) else formula.text
            )


def test_openpyxl_reads_values_row_by_row(path):
    """Its reader for large files stops where the sheet says it ends."""
    rows = list(openpyxl.load_workbook(path, data_only=True, read_only=True)["S"].iter_rows())
    for cell, (_, value) in VALUES.items():
        row, column = read_cell(cell)
        assert rows[row - 1][column - 1].value == value


def test_calamine_reads_values(path):
    rows = CalamineWorkbook.from_path(str(path)).get_sheet_by_name("S").to_python(skip_empty_area=False)
    found = {cell_name(r + 1, c + 1): value for r, row in enumerate(rows) for c, value in enumerate(row)}
    for cell, (_, value) in VALUES.items():
        assert found[cell] == ("" if value in ERRORS else value)  # it gives errors as nothing


@pytest.mark.parametrize("engine", ["openpyxl", "calamine"])
def test_pandas_reads_values(path, engine):
    import pandas

    frame = pandas.read_excel(path, header=None, engine=engine, keep_default_na=False)
    for cell, (_, value) in VALUES.items():
        row, column = read_cell(cell)
        assert frame.iat[row - 1, column - 1] == value or value in ERRORS


@pytest.mark.host
def test_libreoffice_shows_the_numbers_without_calculating(path, tmp_path):
    rows = office.csv_rows(path, tmp_path)
    shown = {cell_name(r + 1, c + 1): text for r, row in enumerate(rows) for c, text in enumerate(row)}
    for cell, (_, value) in VALUES.items():
        if isinstance(value, float):
            assert float(shown[cell]) == pytest.approx(value, rel=1e-12), cell
        elif isinstance(value, str) and value != "#N/A":  # errors of functions it does not know it puts as #NAME?
            assert shown[cell] == value


@pytest.mark.host
def test_libreoffice_opens_the_rich_workbook(rich, tmp_path):
    path = tmp_path / "rich.xlsx"
    path.write_bytes(rich)
    Job.open(path).save()
    for number, sheet in enumerate(["Room", "Doors & air"], start=1):
        rows = office.csv_rows(path, tmp_path, sheet=number)
        for cell, value in books.RICH_VALUES[sheet].items():
            row, column = read_cell(cell)
            text = rows[row - 1][column - 1]
            if isinstance(value, float):
                assert float(text) == pytest.approx(value), cell
            elif isinstance(value, str):
                assert text == value


@pytest.mark.host
def test_libreoffice_keeps_the_picture_the_shape_and_the_chart(rich, tmp_path):
    path = tmp_path / "rich.xlsx"
    path.write_bytes(rich)
    Job.open(path).save()
    parts = books.parts(office.convert(path, "ods:calc8", tmp_path, recalculate=False).read_bytes())
    assert b"A note in a shape" in parts["content.xml"]
    assert any(name.startswith("Pictures/") for name in parts)
    assert any(name.startswith("Object ") for name in parts)


@pytest.mark.filterwarnings("ignore:Conditional Formatting extension")
def test_the_rich_workbook_shows_its_values(rich, tmp_path):
    path = tmp_path / "rich.xlsx"
    path.write_bytes(rich)
    Job.open(path).save()
    book = openpyxl.load_workbook(path, data_only=True)
    for sheet, cells in books.RICH_VALUES.items():
        for cell, value in cells.items():
            assert book[sheet][cell].value == (pytest.approx(value) if isinstance(value, float) else value)


def test_calculating_needs_no_spreadsheet_library_of_the_tests(path):
    """A fresh interpreter, so that nothing another test imported helps."""
    code = (
        "import sys; from stillbook.workbook.job.estimate import Job; "
        f"print(Job.open({str(path)!r}).calculate().formulas, 'pandas' in sys.modules)"
    )
    shown = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert list(csv.reader([shown.strip()], delimiter=" ")) == [["9", "False"]]
