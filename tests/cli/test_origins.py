"""Commands tell once that a file is of another version; what they give stays as it is."""

import openpyxl
import pytest

from stillbook.templates.shipped import template
from stillbook.workbook.file.origin import CALCULATED_BY, TEMPLATE_VERSION
from stillbook.workbook.file.package import Package


@pytest.fixture
def older(here):
    """A job that other formulas calculated last, made from an older version of its template."""
    package = Package.open(template("door-schedule").path("US"))
    package.set_property(CALCULATED_BY, "0.0.9")
    package.set_property(TEMPLATE_VERSION, "0")
    (here / "older.xlsx").write_bytes(package.to_bytes())
    return "older.xlsx"


def test_it_is_told_once(run, older):
    _, _, told = run("calc", older)
    assert "last calculated by Stillbook 0.0.9; this is" in " ".join(told.split())
    assert "stillbook carry older.xlsx --to door-schedule NEWFILE" in " ".join(told.split())
    _, _, again = run("calc", older)
    assert "last calculated by" not in again


def test_a_file_of_the_first_versions_is_known_by_its_title_once(run, here):
    book = openpyxl.load_workbook(template("door-schedule").path("US"))
    book.custom_doc_props.props = [p for p in book.custom_doc_props.props if "Stillbook" not in p.name]
    book.save("first.xlsx")
    _, _, told = run("calc", "first.xlsx")
    assert "stillbook carry first.xlsx --to door-schedule NEWFILE" in " ".join(told.split())
    assert run("calc", "first.xlsx")[2] == ""


def test_inputs_show_it(run, older):
    _, out, _ = run("inputs", older)
    assert "calculated by Stillbook 0.0.9; template door-schedule, version 0" in " ".join(out.split())
