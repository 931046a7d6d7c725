"""Every file that is shipped or made is valid by an independent validator, and keeps the limits of spreadsheet programs.

Limits: "Excel specifications and limits", the maker's support pages; what the validator leaves out is looked at here.
"""

import re
import zipfile
from functools import cache
from pathlib import Path
from xml.etree import ElementTree

import pytest
from openpyxl.formula.tokenizer import Token, Tokenizer

from stillbook.office.bids import bids
from stillbook.office.compare import compare, write_comparison
from stillbook.quantities import SYSTEMS
from stillbook.share.copies import share
from stillbook.templates.demo import values as demo_values
from stillbook.templates.shipped import TEMPLATES, template
from stillbook.workbook.file.address import read_cell
from stillbook.workbook.job.estimate import Job

SHIPPED = [(entry, system) for entry in TEMPLATES for system in SYSTEMS]
MADE = ("job", "client", "contractor", "comparison", "bids")
MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"

ADVICE = "inline-string cell(s)"
"""Texts stand in their cells, which is valid; a program moves them into a list of its own when it saves."""


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """A job of the demo's inputs, and the copies of it that leave the office."""
    folder = tmp_path_factory.mktemp("made")
    job = Job.open(template("booth-estimate").path("US"))
    job.set({**demo_values(), "estimate_date": "2026-03-02"})
    job.save(folder / "job.xlsx")
    for audience in ("client", "contractor"):
        share(folder / "job.xlsx", folder / f"{audience}.xlsx", audience, draft=True)
    write_comparison(compare(folder / "job.xlsx", template("booth-estimate").path("US")), folder / "comparison.xlsx")
    bids([folder / "contractor.xlsx"], folder / "job.xlsx", folder / "bids.xlsx")
    return folder


@pytest.fixture(
    scope="module", params=[*SHIPPED, *MADE], ids=lambda one: one if isinstance(one, str) else f"{one[0].name}-{one[1]}"
)
def path(request) -> Path:
    """A shipped workbook, or one that is made from it."""
    if isinstance(request.param, str):
        return request.getfixturevalue("made") / f"{request.param}.xlsx"
    entry, system = request.param
    return entry.path(system)


@pytest.fixture(scope="module")
def sheets(path):
    """The sheets of a workbook as trees, by the names of their parts."""
    return dict(parts(path, r"xl/worksheets/sheet\d+\.xml"))


def parts(path, ending):
    """The parts of a workbook whose names match, as trees."""
    with zipfile.ZipFile(path) as package:
        for name in package.namelist():
            if re.fullmatch(ending, name):
                yield name, ElementTree.fromstring(package.read(name))


def held(root, *kinds):
    """The elements of these kinds in a part."""
    for kind in kinds:
        yield from root.iter(f"{MAIN}{kind}")


def test_a_validator_finds_nothing(path):
    from openxml_audit import FileFormat, OpenXmlValidator  # it takes a second to load

    found = OpenXmlValidator(file_format=FileFormat.MICROSOFT_365, max_errors=0).validate(path).errors
    assert [str(one) for one in found if ADVICE not in one.description] == []


def test_every_cell_stands_in_its_row_and_has_a_style_that_is_there(path, sheets):
    styles = next(root for _, root in parts(path, r"xl/styles\.xml"))
    count = len(styles.find(f"{MAIN}cellXfs"))
    for name, root in sheets.items():
        for row in held(root, "row"):
            places = [read_cell(cell.get("r")) for cell in row]
            assert {place[0] for place in places} <= {int(row.get("r"))}, name
            assert places == sorted(places), name
            assert all(int(cell.get("s", "0")) < count for cell in row), name


def test_every_reference_of_a_rule_or_format_is_one(sheets):
    cells = r"\$?[A-Z]{1,3}\$?\d+(:\$?[A-Z]{1,3}\$?\d+)?"
    for name, root in sheets.items():
        for element in root.iter():
            if reference := element.get("sqref"):
                assert all(re.fullmatch(cells, piece) for piece in reference.split()), (name, reference)


def test_every_formula_parses_and_keeps_the_limits(sheets):
    for name, root in sheets.items():
        for cell in held(root, "c"):
            if (formula := cell.find(f"{MAIN}f")) is not None:
                place, text = f"{name} {cell.get('r')}", f"={formula.text}"
                assert formula.text, place
                assert len(text) <= 8192, place
                # Those that differ in the numbers of rows alone are read once, in all workbooks.
                assert fault(re.sub(r"(?<=[A-Z$])\d+", "1", text)) is None, place


@cache
def fault(text):
    """What is wrong with a formula; none where it parses, and keeps the limits of arguments, of depth and of a text."""
    tokens = Tokenizer(text).items
    if "".join(token.value for token in tokens).replace(" ", "") != text[1:].replace(" ", ""):
        return "it is read as another"
    arguments, deepest = [], 0
    for token in tokens:
        if token.subtype == Token.OPEN:
            arguments.append(1)
            deepest = max(deepest, len(arguments))
        elif token.subtype == Token.ARG and arguments:
            arguments[-1] += 1
            if arguments[-1] > 255:
                return "over 255 arguments"
        elif token.subtype == Token.CLOSE:
            arguments.pop()
        elif token.type == Token.OPERAND and token.subtype == Token.TEXT and len(token.value) - 2 > 255:
            return "a text of over 255 letters"
    if arguments:
        return "a bracket that stays open"
    return "over 64 levels" if deepest > 64 else None


def test_sheets_names_texts_and_lists_keep_the_limits(path, sheets):
    workbook = next(root for _, root in parts(path, r"xl/workbook\.xml"))
    titles = [sheet.get("name") for sheet in held(workbook, "sheet")]
    assert len(titles) == len(sheets)
    for title in titles:
        assert 0 < len(title) <= 31
        assert not re.search(r"[\\/?*\[\]:]", title)
    for root in sheets.values():
        assert all(len(list(breaks)) <= 1026 for breaks in held(root, "rowBreaks"))
        assert all(len(formula.text or "") <= 255 for formula in held(root, "formula1"))
    for root in (*sheets.values(), *(root for _, root in parts(path, r"xl/sharedStrings\.xml"))):
        assert all(len("".join(text.itertext())) <= 32767 for text in held(root, "is", "si", "f", "v"))
    for name in (entry.get("name") for entry in held(workbook, "definedName")):
        assert len(name) <= 255
        assert re.fullmatch(r"[A-Za-z_\\][\w.\\]*", name)
        assert not re.fullmatch(r"[A-Za-z]{1,3}\d+|[Rr]\d*[Cc]\d*", name)


def test_no_file_says_that_a_library_wrote_it(path):
    with zipfile.ZipFile(path) as package:
        assert b"openpyxl" not in package.read("docProps/core.xml").lower()
