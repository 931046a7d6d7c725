"""Many workbooks at once: a row for each, none stopping the rest, and going on where a batch was stopped."""

import csv
import json
import os
import shutil
import signal
import subprocess
import sys
import time

import openpyxl
import pytest

import stillbook.office.batch as batch_module
from stillbook.office.batch import BatchRow, Task, batch, work, workbooks
from stillbook.office.register import write_register
from stillbook.office.reprice import read_prices
from stillbook.workbook import WorkbookError
from stillbook.workbook.job.estimate import Job
from workbook import books, jobs


@pytest.fixture(scope="module")
def one(tmp_path_factory):
    """A job saved with its calculated values: price 10 × 50 + 40 × 14.06 + 346, over 0.8."""
    return jobs.saved(jobs.estimate(), tmp_path_factory.mktemp("one") / "job.xlsx")


PRICE = (10 * (19 + 31) + 40 * (5.2 + 62 / 7) + 346) / 0.8


@pytest.fixture
def folder(tmp_path, one):
    """Good workbooks in two folders, and what else lies in such places."""
    where = tmp_path / "jobs"
    (where / "older").mkdir(parents=True)
    for name in ("a.xlsx", "b.XLSX", "older/c.xlsx"):
        shutil.copy(one, where / name)
    (where / "cut short.xlsx").write_bytes(one.read_bytes()[:3000])
    (where / "circle.xlsx").write_bytes(books.book({"S": {"A1": "=B1", "B1": "=A1"}}))
    (where / "letter.docx").write_bytes(b"not ours")
    (where / "~$a.xlsx").write_bytes(b"owner")
    (where / ".hidden.xlsx").write_bytes(b"hidden")
    (where / "~$a.xlsx").unlink()
    return where


def read(path):
    with path.open(encoding="utf-8-sig", newline="") as file:
        return {row["file"]: row for row in csv.DictReader(file)}


def test_the_workbooks_of_a_folder(folder):
    (folder / "~$b.XLSX").write_bytes(b"owner")
    found = workbooks(folder, folder / "a.xlsx")
    assert found == ["b.XLSX", "circle.xlsx", "cut short.xlsx", "older/c.xlsx"]


def test_each_workbook_is_a_row_and_a_bad_one_stops_no_other(folder, tmp_path):
    seen = []
    done = batch(
        folder,
        tmp_path / "register.csv",
        Task("calculate"),
        workers=2,
        progress=lambda n, of, row: seen.append((n, of, row.file)),
    )
    assert done.counts == {"done": 3, "failed": 2}
    rows = read(tmp_path / "register.csv")
    assert list(rows) == ["a.xlsx", "b.XLSX", "circle.xlsx", "cut short.xlsx", "older/c.xlsx"]
    assert rows["circle.xlsx"]["message"].startswith("the formulas in S!A1, S!B1 refer to each other in a circle")
    assert rows["cut short.xlsx"]["message"].startswith("it is damaged")
    for name in ("a.xlsx", "b.XLSX", "older/c.xlsx"):
        assert float(rows[name]["price"]) == pytest.approx(PRICE)
        assert (rows[name]["state"], rows[name]["passes"], rows[name]["errors"]) == ("done", "1", "0")
    assert sorted(n for n, *_ in seen) == [1, 2, 3, 4, 5]
    assert {of for _, of, _ in seen} == {5}
    assert not (tmp_path / "register.csv.part").exists()


def test_a_check_saves_nothing(folder, tmp_path):
    before = {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    assert work(folder, "a.xlsx", Task("check")).state == "done"
    assert {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()} == before


def test_new_prices_for_all(folder, tmp_path):
    new = tmp_path / "book.xlsx"
    prices = (("BOARD", "Gypsum board", "sheet", 29, "Shell", 2), ("STUD", "Stud", "bundle", 9, "Shell", 7))
    new.write_bytes(books.saved(jobs.estimate(prices=prices)))
    row = work(folder, "a.xlsx", Task("reprice", read_prices(new)))
    assert (row.state, row.moved) == ("done", 1)
    assert row.results["price"] == pytest.approx(PRICE + 10 * 10 / 0.8)
    assert row.message == "STUD: it is priced for bundle, the job counts piece; no price for DOOR"
    assert work(folder, "circle.xlsx", Task("reprice", read_prices(new))).state == "failed"


def test_prices_are_asked_for_where_they_are_needed_and_nowhere_else(one):
    with pytest.raises(ValueError, match="prices are needed to reprice"):
        Task("reprice")
    with pytest.raises(ValueError, match="prices are needed to reprice"):
        Task("check", read_prices(one))


# --- going on ---------------------------------------------------------------------------------------------------------


def test_a_batch_that_was_stopped_goes_on_where_it_was(folder, tmp_path, monkeypatch):
    register = tmp_path / "register.csv"
    run = batch_module._run

    def stopped(*arguments, **options):
        rows = run(*arguments, **options)
        for _ in range(3):
            yield next(rows)
        raise KeyboardInterrupt

    monkeypatch.setattr(batch_module, "_run", stopped)
    with pytest.raises(KeyboardInterrupt):
        batch(folder, register, Task("check"), workers=1)
    assert not register.exists()
    journal = tmp_path / "register.csv.part"
    assert len(journal.read_text().splitlines()) == 4
    noted = json.loads(journal.read_text().splitlines()[1])["file"]
    shutil.copy(folder / "a.xlsx", folder / noted) if noted != "a.xlsx" else os.utime(folder / noted)
    monkeypatch.setattr(batch_module, "_run", run)
    done = batch(folder, register, Task("check"), workers=1)
    assert done.resumed == 2, "two were noted and have not changed; one was noted and has"
    assert len(read(register)) == 5
    assert not journal.exists()


JOURNALS = [
    # what stands in the journal, how many rows are taken from it
    ("", 0),
    ("not a journal\n", 0),
    ('{"folder": "elsewhere", "action": "check", "prices": ""}\n{row}\n', 0),
    ('{head}\n{row}\n', 1),
    ('{head}\n{row}\n{"file": "b.XL', 1),
    ('{head}\n{row}\n{"file": "b.XLSX", "unknown": 1}\n', 1),
]  # fmt: skip


@pytest.mark.parametrize(("text", "resumed"), JOURNALS, ids=range(len(JOURNALS)))
def test_a_journal_is_taken_for_what_it_is(folder, tmp_path, text, resumed, monkeypatch):
    monkeypatch.setattr(batch_module, "_run", lambda where, names, *_, **__: (BatchRow(name, "done") for name in names))
    stat = (folder / "a.xlsx").stat()
    head = {"folder": str(folder.absolute()), "action": "check", "prices": ""}
    row = {"file": "a.xlsx", "state": "done", "message": "noted", "size": stat.st_size, "time": stat.st_mtime_ns}
    journal = tmp_path / "register.csv.part"
    journal.write_text(text.replace("{head}", json.dumps(head)).replace("{row}", json.dumps(row)))
    done = batch(folder, tmp_path / "register.csv", Task("check"))
    assert len(done.rows) == 5
    assert done.resumed == resumed


def killing(folder, name, task):
    if name == "circle.xlsx":
        os.kill(os.getpid(), signal.SIGKILL)
    return BatchRow(name, "done")


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="this system does not end processes in this way")
def test_a_workbook_that_ends_its_process_stops_no_other(folder, tmp_path, monkeypatch):
    monkeypatch.setattr(batch_module, "work", killing)
    done = batch(folder, tmp_path / "register.csv", Task("check"), workers=2)
    rows = {row.file: row for row in done.rows}
    assert done.counts == {"done": 4, "failed": 1}
    assert rows["circle.xlsx"].message.startswith("its process was ended")


def test_a_fault_of_our_own_is_a_row_too(folder, monkeypatch):
    def broken(*_):
        raise ZeroDivisionError("by nothing")

    monkeypatch.setattr(batch_module.Job, "open", broken)
    row = work(folder, "a.xlsx", Task("check"))
    assert row.message == "it met a fault in Stillbook (ZeroDivisionError: by nothing): report it"


def test_a_batch_killed_at_any_moment_leaves_whole_workbooks_and_goes_on(tmp_path, one):
    where = tmp_path / "jobs"
    where.mkdir()
    for number in range(6):
        shutil.copy(one, where / f"{number}.xlsx")
    register = tmp_path / "register.csv"
    script = (
        "from stillbook.office.batch import Task, batch\n"
        f"if __name__ == '__main__': batch({str(where)!r}, {str(register)!r}, Task('calculate'), workers=1)\n"
    )
    program = tmp_path / "run.py"
    program.write_text(script)
    for wait in (0.7, 1.6, 2.6):
        process = subprocess.Popen([sys.executable, str(program)], start_new_session=True)
        time.sleep(wait)
        if hasattr(os, "killpg"):
            os.killpg(process.pid, signal.SIGKILL)
        else:
            process.kill()
        process.wait()
        for path in where.glob("[0-9].xlsx"):
            assert Job.open(path).inputs["wall_area"].value == 320
        if register.exists():
            break
    done = batch(where, register, Task("calculate"), workers=1, replace=True)
    assert done.counts == {"done": 6}
    assert len(read(register)) == 6


# --- registers --------------------------------------------------------------------------------------------------------

RECORDS = [
    {"file": "=1+1.xlsx", "state": "done", "errors": 0, "price": 10.5, "-x": 1},
    {"file": "@b.xlsx", "state": "failed", "errors": 2, "mixed": "#N/A", "price": 3.0},
    {"file": "c\nd\x07.xlsx", "state": "-done", "errors": 0, "mixed": 4.5},
]


def test_a_csv_register_holds_no_formula(tmp_path):
    write_register(tmp_path / "r.csv", RECORDS)
    with (tmp_path / "r.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.reader(file))
    assert rows[0] == ["file", "state", "errors", "price", "'-x", "mixed"]
    assert rows[1] == ["'=1+1.xlsx", "done", "0", "10.5", "1", ""]
    assert [row[0] for row in rows[2:]] == ["'@b.xlsx", "c\nd\x07.xlsx"]
    assert rows[3][1] == "'-done"


def test_an_xlsx_register_holds_no_formula_and_no_mark_to_calculate(tmp_path):
    write_register(tmp_path / "r.xlsx", RECORDS)
    sheet = openpyxl.load_workbook(tmp_path / "r.xlsx").active
    cells = [cell for row in sheet.iter_rows() for cell in row]
    assert not [cell for cell in cells if cell.data_type == "f"]
    assert [sheet.cell(2, column).value for column in range(1, 6)] == ["=1+1.xlsx", "done", 0, 10.5, 1]
    assert b"fullCalcOnLoad" not in books.parts((tmp_path / "r.xlsx").read_bytes())["xl/workbook.xml"]


def test_a_parquet_register_keeps_numbers_as_numbers(tmp_path):
    pytest.importorskip("pyarrow")
    write_register(tmp_path / "r.parquet", RECORDS)
    import pandas  # it takes a while to load, in each process that collects the tests

    frame = pandas.read_parquet(tmp_path / "r.parquet")
    assert frame["file"].tolist() == [record["file"] for record in RECORDS]
    assert frame["errors"].tolist() == [0, 2, 0]
    assert frame["price"].tolist()[:2] == [10.5, 3.0]
    assert frame["mixed"].tolist()[1:] == ["#N/A", "4.5"]


REFUSED = [
    ("gone", "r.csv", "there is no such folder"),
    ("jobs", "r.txt", r"give a register that ends in \.csv, \.parquet or \.xlsx"),
    ("jobs", "none/r.csv", "there is no folder"),
    ("jobs", "there.csv", "it exists already"),
    ("empty", "r.csv", r"there is no \.xlsx workbook in it"),
]


@pytest.mark.parametrize(("where", "register", "message"), REFUSED)
def test_what_cannot_be_done_is_said_before_any_work(tmp_path, where, register, message):
    (tmp_path / "jobs").mkdir()
    (tmp_path / "empty").mkdir()
    (tmp_path / "jobs" / "a.xlsx").write_bytes(b"not opened")
    (tmp_path / "there.csv").write_text("kept")
    with pytest.raises(WorkbookError, match=message):
        batch(tmp_path / where, tmp_path / register, Task("check"))
    assert (tmp_path / "there.csv").read_text() == "kept"
    assert not list(tmp_path.glob("*.part"))


# --- a cluster --------------------------------------------------------------------------------------------------------


def test_a_cluster_does_the_same_work(folder, tmp_path):
    distributed = pytest.importorskip("distributed")
    with distributed.LocalCluster(n_workers=1, threads_per_worker=1, dashboard_address=None, processes=True) as cluster:
        done = batch(folder, tmp_path / "register.csv", Task("check"), cluster=cluster.scheduler_address)
    assert done.counts == {"done": 3, "failed": 2}
    assert float(read(tmp_path / "register.csv")["a.xlsx"]["price"]) == pytest.approx(PRICE)


def test_a_cluster_that_is_not_there_is_told(folder, tmp_path):
    pytest.importorskip("distributed")
    with pytest.raises(WorkbookError, match=r"there is no cluster at tcp://127\.0\.0\.1:9"):
        batch(folder, tmp_path / "register.csv", Task("check"), cluster="tcp://127.0.0.1:9")
