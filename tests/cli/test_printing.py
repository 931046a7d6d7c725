"""``print``: the proposal as a PDF."""

from pathlib import Path

import pytest

from cli.command_line import shipped
from hosts.required import missing
from stillbook.hosts.libreoffice import office, printing
from workbook import jobs


@pytest.mark.host
def test_the_proposal_is_printed_beside_the_workbook(run):
    if office.find() is None:
        missing(office.MISSING)
    shipped("door-schedule", "doors.xlsx")
    before = Path("doors.xlsx").read_bytes()
    assert run("print", "doors.xlsx") == (0, "Printed Proposal to doors.pdf.\n", "")
    assert Path("doors.pdf").read_bytes().startswith(b"%PDF-")
    assert Path("doors.xlsx").read_bytes() == before


def test_an_error_in_what_is_printed_is_told(run, monkeypatch):
    lines = ["Printed Proposal to other.pdf.", "Proposal!C9 prints #N/A: client is blank"]
    monkeypatch.setattr(
        printing, "print_proposal", lambda file, out, sheets, draft, print_set: lines if str(out) == "other.pdf" else []
    )
    assert run("print", "mine.xlsx", "--out", "other.pdf") == (1, "\n".join(lines) + "\n", "")


def test_a_failing_job_is_printed_only_as_a_draft(run, here, no_office, monkeypatch):
    jobs.saved(jobs.estimate(), here / "job.xlsx", {"doors": 3})
    monkeypatch.setattr(office, "find", lambda: office.Office(here))
    code, out, err = run("print", "job.xlsx", "--sheet", "Scope", "--out", "x.pdf")
    assert (code, out) == (1, "")
    assert "--draft" in err
    assert "a check fails: At most two doors" in err
    assert "cannot be run" in run("print", "job.xlsx", "--sheet", "Scope", "--out", "x.pdf", "--draft")[2]  # went on


def test_printing_without_libreoffice_says_what_else_prints(small, refused, no_office):
    said = refused("print", small)
    assert said.startswith("printing needs LibreOffice, which is not found")
    assert "open small.xlsx in a spreadsheet program" in said


def test_a_set_and_a_sheet_are_not_both_given(run, small):
    code, _, err = run("print", small, "--set", "site", "--sheet", "Scope")
    assert code == 2
    assert "give --set or --sheet, not both" in err
