"""``batch``: a folder of workbooks, with a register."""

import csv
from pathlib import Path

import pytest

from cli.command_line import cell, only_line
from stillbook.cli import batch as many
from stillbook.office import batch as batches
from stillbook.office.batch import ACTIONS


def test_what_a_batch_does_is_what_the_library_does():
    assert many.TASKS == ACTIONS


@pytest.fixture
def folder(small, job, faulty, here):
    """A good workbook, a priced one, one with error cells and one cut short."""
    where = here / "jobs"
    where.mkdir()
    for name in (small, job, faulty):
        Path(name).rename(where / name)
    (where / "cut.xlsx").write_bytes((where / small).read_bytes()[:900])
    return where


def register():
    with Path("register.csv").open(encoding="utf-8-sig", newline="") as file:
        return {row["file"]: row for row in csv.DictReader(file)}


def test_a_folder_is_calculated_and_registered(folder, run, here):
    code, out, err = run("batch", "jobs", "--workers", "1")
    assert code == 2
    assert only_line(err).startswith("cut.xlsx: it is damaged")
    assert out.startswith("4 workbooks: 2 without errors, 1 with error cells, 1 failed, 1 to be filled in\n")
    assert " ".join(out.split()).endswith(f"The register is {here / 'register.csv'}")
    assert {name: row["state"] for name, row in register().items()} == {
        "cut.xlsx": "failed",
        "faulty.xlsx": "done",
        "job.xlsx": "done",
        "small.xlsx": "done",
    }
    assert cell(folder / "small.xlsx", "B1") == pytest.approx(88)


def test_a_folder_is_only_checked(folder, run):
    before = {path: path.read_bytes() for path in folder.iterdir()}
    (folder / "cut.xlsx").unlink()
    assert run("batch", "jobs", "--do", "check", "--workers", "1", "--register", "jobs/all.xlsx")[0] == 1
    assert (folder / "all.xlsx").is_file()
    assert all(path.read_bytes() == data for path, data in before.items() if path.exists())


def test_a_folder_is_repriced(job, revised, prices, run):
    Path("jobs").mkdir()
    for name in (job, revised):
        Path(name).rename(Path("jobs", name))
    code, out, err = run("batch", "jobs", "--do", "reprice", "--prices", prices, "--workers", "1")
    assert (code, err) == (1, "")  # one of the jobs has too many doors
    assert out.startswith("2 workbooks: 2 without errors, 1 with failing checks, 2 with changed prices\n")
    assert [row["moved"] for row in register().values()] == ["1", "1"]


def test_a_stopped_batch_goes_on(folder, run, monkeypatch):
    def pressed(*_):
        raise KeyboardInterrupt

    with monkeypatch.context() as patched:
        patched.setattr(batches, "write_register", pressed)
        code, out, err = run("batch", "jobs", "--workers", "1")
    assert (code, out) == (130, "")
    assert only_line(err).startswith("stopped")
    assert not Path("register.csv").exists()
    assert "4 done before the stop" in run("batch", "jobs", "--workers", "1")[1]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["gone"], "gone: there is no such folder"),
        (["empty"], "empty: there is no .xlsx workbook in it"),
        (["empty", "--register", "all.txt"], "all.txt: give a register that ends in .csv, .parquet or .xlsx"),
        (["empty", "--register", "gone/all.csv"], "there is no folder gone"),
        (["empty", "--register", "there.csv"], "there.csv: it exists already"),
        (["empty", "--do", "reprice", "--prices", "gone.xlsx"], "gone.xlsx: there is no such file"),
    ],
)
def test_what_cannot_be_done_with_a_folder(arguments, said, refused):
    Path("empty").mkdir()
    Path("there.csv").write_bytes(b"mine")
    assert said in refused("batch", *arguments)
    assert Path("there.csv").read_bytes() == b"mine"
