"""``share``: a copy for a reader, and what is said of it."""

from pathlib import Path

import pytest
from openpyxl import load_workbook

from stillbook.cli import share as sharing
from stillbook.workbook.job import audience
from workbook import jobs


def test_who_may_be_shared_with_is_what_the_library_knows():
    assert sharing.READERS == audience.AUDIENCES


def test_a_copy_is_shared_and_told(job, run, here):
    before = Path(job).read_bytes()
    code, out, err = run("share", job, "scope.xlsx", "--for", "Contractor")
    assert (code, err) == (0, "")
    assert out.startswith("For the contractor: Scope, ")
    assert "that are withheld: none is in it" in out
    assert " ".join(out.split()).endswith(f"The copy is {here / 'scope.xlsx'}")
    assert load_workbook("scope.xlsx").sheetnames == ["Scope"]
    assert Path(job).read_bytes() == before


def test_a_failing_job_is_shared_only_as_a_marked_draft(run, here):
    jobs.saved(jobs.estimate(), here / "job.xlsx", {"doors": 3})
    code, _, err = run("share", "job.xlsx", "c.xlsx", "--for", "contractor")
    assert code == 1
    assert "--draft" in err
    assert "a check fails: At most two doors" in err
    assert not Path("c.xlsx").exists()
    code, out, _ = run("share", "job.xlsx", "c.xlsx", "--for", "contractor", "--draft")
    assert code == 0
    assert "On each page: DRAFT: 1 check fails" in out
    assert "The workbook fails a check: At most two doors" in out
    assert "DRAFT: 1 check fails" in load_workbook("c.xlsx")["Scope"].oddHeader.center.text


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["job.xlsx", "c.xlsx", "--for", "client"], "shown_to_client"),
        (["job.xlsx", "c.xls", "--for", "contractor"], "c.xls: give a file name that ends in .xlsx"),
        (["job.xlsx", "job.xlsx", "--for", "contractor"], "job.xlsx: it exists already"),
        (["job.xlsx", "gone/c.xlsx", "--for", "contractor"], "there is no folder gone"),
        (["gone.xlsx", "c.xlsx", "--for", "contractor"], "gone.xlsx: there is no such file"),
        (["cut.xlsx", "c.xlsx", "--for", "contractor"], "cut.xlsx: "),
    ],
)
def test_what_cannot_be_shared(arguments, said, job, refused):
    Path("cut.xlsx").write_bytes(Path(job).read_bytes()[:900])
    assert said in refused("share", *arguments)
    assert not Path("c.xlsx").exists()
