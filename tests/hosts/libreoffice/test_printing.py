"""Printing to PDF: what LibreOffice is given, and what it prints."""

from __future__ import annotations

import io
import re
import shutil
import subprocess
from pathlib import Path

import openpyxl
import pytest
from openpyxl.chart import BarChart, Reference

from hosts.required import missing
from stillbook.hosts.host import HostError
from stillbook.hosts.libreoffice import office
from stillbook.hosts.libreoffice.office import Office
from stillbook.hosts.libreoffice.printing import _for_a_client, print_proposal, values_alone
from stillbook.share.copies import share
from stillbook.templates.shipped import folder as template_folder
from stillbook.workbook import WorkbookError
from stillbook.workbook.calculation.recalculate import calculate
from stillbook.workbook.file.archive import Archive
from stillbook.workbook.file.package import Package
from stillbook.workbook.job.audience import PrintSet
from stillbook.workbook.job.estimate import Job
from workbook import books


@pytest.fixture
def book(tmp_path: Path) -> Path:
    made = openpyxl.Workbook()
    cost = made.active
    assert cost is not None
    cost.title = "Cost & margin"
    cost["A1"], cost["A2"], cost["A3"] = "secret margin", 0.25, 4000
    proposal = made.create_sheet("Proposal")
    proposal["A1"] = "=STILL_PRICEFROMMARGIN('Cost & margin'!A3,'Cost & margin'!A2)"
    proposal["A2"] = '=IF(STILL_DOORMASS(60,1,36,80)>50,"a heavy door","a light door")'
    proposal["A3"] = "=STILL_DOORMASS(60,1,36,80)=80"
    proposal["A4"] = "=STILL_DOORMASS(60,1,,80)"
    proposal["A5"] = "=SUM(A1,1)"
    proposal["A1"].number_format = proposal["A5"].number_format = "0.00"
    terms = made.create_sheet("Terms")
    terms["A1"] = "payable in thirty days"
    for sheet in made:
        sheet.print_area = "A1:H40"
        sheet.oddFooter.center.text = "&F"
    path = tmp_path / "estimate.xlsx"
    made.save(path)
    return path


def test_only_values_are_given_and_other_sheets_are_hidden(book: Path) -> None:
    job = Job.open(book)
    job.calculate()
    made = openpyxl.load_workbook(io.BytesIO(values_alone(job.package.to_bytes(), {"Proposal"})))
    cells = made["Proposal"]
    values = [cells[f"A{row}"].value for row in range(1, 6)]
    assert [value if isinstance(value, str) else round(value, 9) for value in values] == [
        round(4000 / 0.75, 9),
        "a heavy door",
        True,
        "#N/A",
        round(4000 / 0.75 + 1, 9),
    ]
    assert {sheet.title: sheet.sheet_state for sheet in made} == {
        "Cost & margin": "hidden",
        "Proposal": "visible",
        "Terms": "hidden",
    }
    assert made.active is not None
    assert made.active.title == "Proposal"
    assert {sheet.title for sheet in made if sheet.print_area} == {"Proposal"}


def test_a_text_of_blanks_stays_one() -> None:
    """LibreOffice drops it from a cell without a formula, and a chart labelled by the cell shows a number instead."""
    package = books.package({"A1": '=" "', "A2": "=1+1"})
    package.write(calculate(package).changes)
    archive = Archive(values_alone(package.to_bytes(), {"S"}))
    assert b'<v xml:space="preserve"> </v>' in archive.read(books.SHEET1)
    assert Package(archive.data).value("S", 1, 1) == " "


def test_where_libreoffice_is_missing_it_says_what_to_do(
    book: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(office, "find", lambda: None)
    with pytest.raises(HostError, match=r"install LibreOffice Calc, or open estimate\.xlsx .* print it there"):
        print_proposal(book, tmp_path / "out.pdf")


@pytest.mark.parametrize(
    ("out", "sheets", "message"),
    [
        ("out.txt", ("Proposal",), "ends in .pdf"),
        ("out.pdf", ("Offer",), 'there is no sheet "Offer": it has Cost & margin, Proposal, Terms'),
    ],
)
def test_what_cannot_be_printed_is_refused(
    book: Path, tmp_path: Path, out: str, sheets: tuple[str, ...], message: str
) -> None:
    with pytest.raises(WorkbookError, match=re.escape(message)):
        print_proposal(book, tmp_path / out, sheets, Office(tmp_path))


def test_without_a_proposal_the_pages_for_a_client_are_printed(tmp_path: Path) -> None:
    air, prices = (template_folder() / f"{name}_us.xlsx" for name in ("air_schedule", "price_book"))
    with pytest.raises(HostError, match="cannot be run"):  # it went as far as LibreOffice
        print_proposal(air, tmp_path / "out.pdf", mine=Office(tmp_path))
    with pytest.raises(
        WorkbookError, match='no sheet "Proposal" and none for a client: name the sheet to print, of Start, '
    ):
        print_proposal(prices, tmp_path / "out.pdf", mine=Office(tmp_path))


def test_of_a_shared_copy_its_pages_are_printed_and_no_points_of_drawings(tmp_path: Path) -> None:
    share(template_folder() / "booth_estimate_us.xlsx", tmp_path / "scope.xlsx", "contractor")
    copy = Package.open(tmp_path / "scope.xlsx")
    assert copy.sheets == ["Scope", "Drawing"]
    assert _for_a_client(tmp_path / "scope.xlsx", copy) == ("Scope",)


def test_a_libreoffice_that_fails_is_told_of(book: Path, tmp_path: Path) -> None:
    with pytest.raises(HostError, match="cannot be run"):
        print_proposal(book, tmp_path / "out.pdf", mine=Office(tmp_path), draft=True)
    assert not (tmp_path / "out.pdf").exists()


# --- in LibreOffice ---------------------------------------------------------------------------------------------------


def text_of(pdf: Path) -> str:
    if shutil.which("pdftotext") is None:
        missing("pdftotext is missing: install poppler-utils")
    return subprocess.run(["pdftotext", "-layout", pdf, "-"], check=True, capture_output=True, text=True).stdout


def installed() -> None:
    if office.find() is None:
        missing(office.MISSING)


@pytest.mark.host
def test_the_printed_page(book: Path, tmp_path: Path) -> None:
    installed()
    before = book.read_bytes()
    out = tmp_path / "out.pdf"
    lines = print_proposal(book, out, draft=True)
    assert lines[0] == f"Printed Proposal to {out}."
    assert [line.partition(":")[0] for line in lines[1:]] == ["Proposal!A4 prints #N/A"]
    assert text_of(out).split() == [
        *["DRAFT:", "1", "cell", "is", "an", "error"],
        "5333.33",
        "a",
        "heavy",
        "door",
        "TRUE",
        "#N/A",
        "5334.33",
    ], "what the office calls the file is not on it"
    assert text_of(out).count("\f") == 1, "one page"
    assert book.read_bytes() == before


@pytest.mark.host
def test_several_sheets_are_printed_in_the_order_of_the_workbook(book: Path, tmp_path: Path) -> None:
    installed()
    out = tmp_path / "out.pdf"
    print_proposal(book, out, ("terms", "proposal"), draft=True)
    printed = text_of(out)
    assert printed.index("a heavy door") < printed.index("payable in thirty days")
    assert "secret" not in printed


@pytest.mark.host
def test_a_chart_shows_values_of_sheets_that_are_not_printed(tmp_path: Path) -> None:
    installed()
    made = openpyxl.Workbook()
    hidden = made.active
    assert hidden is not None
    for row, value in enumerate((3, 9), start=1):
        hidden.append([f"trade {row}", value])
    page = made.create_sheet("Proposal")
    chart = BarChart()
    chart.add_data(Reference(hidden, min_col=2, min_row=1, max_row=2))
    chart.set_categories(Reference(hidden, min_col=1, min_row=1, max_row=2))
    page.add_chart(chart, "B2")
    made.save(tmp_path / "chart.xlsx")
    out = tmp_path / "out.pdf"
    print_proposal(tmp_path / "chart.xlsx", out)
    assert {"trade", "1", "2"} <= set(text_of(out).split())


def info_of(pdf: Path) -> dict[str, str]:
    if shutil.which("pdfinfo") is None:
        missing("pdfinfo is missing: install poppler-utils")
    told = subprocess.run(["pdfinfo", pdf], check=True, capture_output=True, text=True).stdout
    return {key: value.strip() for key, _, value in (line.partition(":") for line in told.splitlines())}


@pytest.fixture(scope="module")
def voice_room(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A booth estimate with the name of its project."""
    job = Job.open(template_folder() / "booth_estimate_us.xlsx")
    job.set({"project": "Voice room"})
    return job.save(tmp_path_factory.mktemp("voice-room") / "job.xlsx")


@pytest.mark.host
@pytest.mark.parametrize(
    ("wanted", "there", "absent"),
    [  # the site's page of scope has unit prices for others to fill in
        ("client", {"What you get"}, {"Putty pads", "Unit price", "Cost by trade"}),
        ("site", {"Putty pads", "Unit price"}, {"What you get", "Cost by trade"}),
    ],
)
def test_a_set_is_one_titled_and_tagged_file(
    voice_room: Path, tmp_path: Path, wanted: PrintSet, there: set[str], absent: set[str]
) -> None:
    installed()
    out = tmp_path / "out.pdf"
    print_proposal(voice_room, out, print_set=wanted, draft=True)
    text = text_of(out)
    assert {words for words in there | absent if words in text} == there
    told = info_of(out)
    assert (told["Title"], told["Tagged"]) == ("Booth estimate: Voice room", "yes")
    assert b"/DisplayDocTitle true" in out.read_bytes()
