"""Text that people type stays text: through every command, in every file that one writes."""

import concurrent.futures
import csv
import io
from pathlib import Path

import pytest
from openpyxl import load_workbook

from stillbook.cli import stillbook
from stillbook.cli.failures import guarded
from stillbook.office import batch as batches
from stillbook.office.register import safe_in_csv
from stillbook.workbook.file.sheet import Change
from stillbook.workbook.job.estimate import Job
from workbook import hostile

MARK = "quibber"
TYPED = [
    f"=1+1&{MARK}",
    f"=HYPERLINK(\"http://127.0.0.1:9/\",\"{MARK}\")",
    f"@{MARK}",
    f"-{MARK}",
    f"+{MARK}",
    f"\t={MARK}",
    f"\r={MARK}",
    f"\n={MARK}",
    f" ={MARK}",
    f"{{={MARK}}}",
    f"＝{MARK}",
    f"=cmd|' /C x'!A0 {MARK}",
    f"{MARK};=1+1",
    f"{MARK}\n=1+1",
    f"'={MARK}",
]  # fmt: skip
STARTS = ("=", "+", "-", "@", "＝", "＋", "－", "＠")


@pytest.fixture
def desk(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("STILLBOOK_HOME", str(tmp_path / "home"))
    monkeypatch.setattr(batches, "_pool", lambda _: concurrent.futures.ThreadPoolExecutor(1))
    return tmp_path


def done(*arguments):
    assert guarded(stillbook, list(arguments)) in (0, 1), arguments


def written(path, source, changes):
    """A copy of the estimate with some cells typed over, by sheet and cell."""
    job = Job.open(source)
    job.write({sheet: {at: Change(text) for at, text in cells.items()} for sheet, cells in changes.items()})
    job.save(path)


def formulas_and_texts(path):
    """The formulas of a workbook and its texts, by another library than ours."""
    cells = [cell for sheet in load_workbook(path).worksheets for row in sheet.iter_rows() for cell in row]
    formulas = [getattr(cell.value, "text", cell.value) for cell in cells if cell.data_type == "f"]
    return formulas, [cell.value for cell in cells if isinstance(cell.value, str) and cell.data_type != "f"]


@pytest.mark.parametrize("typed", TYPED)
def test_typed_text_stays_text_in_every_file(typed, desk):
    Path("good.xlsx").write_bytes(hostile.estimate())
    with Path("inputs.csv").open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows([["name", "value"], ["client", typed]])
    # The row of a stud: its code and its text; and another code in the line that counts it.
    row = {(3, 1): f"{typed}C", (3, 2): f"{typed}T"}
    written("priced.xlsx", "good.xlsx", {"Prices": row, "Price": {(3, 1): f"{typed}C"}})
    done("new", "good.xlsx", "new.xlsx", "--set", f"client={typed}")
    done("new", "priced.xlsx", "listed.xlsx", "--inputs", "inputs.csv")
    done("new", "good.xlsx", "from.xlsx", "--from", "listed.xlsx")
    done("calc", "new.xlsx", "listed.xlsx")
    done("compare", "good.xlsx", "listed.xlsx", "--out", "differences.xlsx")
    done("carry", "listed.xlsx", "carried.xlsx", "--to", "good.xlsx")
    done("reprice", "new.xlsx", "--prices", "priced.xlsx")
    done("convert", "listed.xlsx", "converted.xlsx", "--for", "libreoffice")
    done("templates", "add", "listed.xlsx", "--name", "ours")
    done("share", "listed.xlsx", "client.xlsx", "--for", "client")
    done("share", "listed.xlsx", "scope.xlsx", "--for", "contractor")
    written(
        "bid.xlsx", "scope.xlsx", {"Scope": {(1, 3): typed, (2, 3): typed, (9, 2): typed, (9, 4): 1.0, (9, 6): 2.0}}
    )
    done("bids", "bid.xlsx", "bids.xlsx", "--job", "listed.xlsx")
    made = [path for path in Path().rglob("*.xlsx") if path.name != "priced.xlsx"]
    assert len(made) == 12
    marked = set()
    for path in made:
        formulas, texts = formulas_and_texts(path)
        assert not [formula for formula in formulas if MARK in formula or "1+1" in formula], path
        if any(MARK in text for text in texts):
            marked.add(path.name)
    assert marked >= {
        "new.xlsx", "listed.xlsx", "from.xlsx", "differences.xlsx", "carried.xlsx", "converted.xlsx", "ours.xlsx", "scope.xlsx", "bids.xlsx"
    }  # fmt: skip


@pytest.mark.parametrize("typed", [text for text in TYPED if not set('\t\r\n/"|') & set(text)])
def test_names_of_files_stay_text_in_a_register(typed, desk):
    (desk / "jobs").mkdir()
    (desk / "jobs" / f"{typed}.xlsx").write_bytes(hostile.estimate())
    (desk / "jobs" / f"{typed} 2.xlsx").write_bytes(b"")
    for register in ("register.csv", "register.xlsx"):
        assert guarded(stillbook, ["batch", "jobs", "--do", "check", "--register", register]) == 2
    formulas, texts = formulas_and_texts("register.xlsx")
    assert formulas == []
    assert sum(typed in text for text in texts) == 2
    never_a_formula(Path("register.csv").read_text("utf-8-sig"))


@pytest.mark.parametrize("typed", TYPED)
def test_text_in_a_csv_register_is_no_formula_whatever_parts_its_columns(typed):
    out = io.StringIO(newline="")
    csv.writer(out).writerow(["a.xlsx", safe_in_csv(typed), 1.5])
    never_a_formula(out.getvalue())


def never_a_formula(text):
    """See that no cell begins as a formula does, whichever sign a program takes for the one between columns."""
    for mark in ",;\t|":
        cells = [
            cell.strip(' "\t\r\n')
            for line in csv.reader(io.StringIO(text, newline=""), delimiter=mark)
            for cell in line
        ]
        assert [cell for cell in cells if cell.startswith(STARTS)] == [], mark
