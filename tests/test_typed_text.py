"""Text that people type stays text: through every command, in every file that one writes."""

import concurrent.futures
import csv
import io
import re
import string
from pathlib import Path

import pytest
from openpyxl import load_workbook

from stillbook.cli import stillbook
from stillbook.cli.failures import guarded
from stillbook.office import batch as batches
from stillbook.office.register import safe_in_csv
from stillbook.workbook.file.sheet import Change
from stillbook.workbook.job.estimate import Job
from stillbook.workbook.job.inputs import InputSpec
from workbook import hostile, jobs

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
MARKED = [typed.replace(MARK, f"{MARK}{letter}") for letter, typed in zip(string.ascii_lowercase, TYPED, strict=False)]
"""The same with a mark of its own each, by which it is known among the others."""
BIDS = 6
"""How many bids can be compared at a time."""
STARTS = ("=", "+", "-", "@", "＝", "＋", "－", "＠")


@pytest.fixture
def desk(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("STILLBOOK_HOME", str(tmp_path / "home"))
    monkeypatch.setattr(batches, "_pool", lambda _: concurrent.futures.ThreadPoolExecutor(1))
    return tmp_path


def mark_of(typed):
    """The mark in one of the marked texts."""
    return re.search(f"{MARK}[a-z]", typed)[0]


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


def test_typed_text_stays_text_in_every_file(desk):
    """All of them in one job: an input each, and the code and text of a line that is counted."""
    numbered = dict(enumerate(MARKED, start=1))
    inputs = tuple(InputSpec(f"text_{number}", "Anything.", "text") for number in numbered)
    prices = tuple((f"L{number}", "Line", "piece", 5, "Shell", 2) for number in numbered)
    lines = {code: "=doors" for code, *_ in prices}
    made = jobs.estimate(inputs=(*jobs.INPUTS, *inputs), prices=prices, quantities=lines)
    Path("good.xlsx").write_bytes(hostile.with_proposal(made))
    with Path("inputs.csv").open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows(
            [["name", "value"], *((f"text_{number}", typed) for number, typed in numbered.items())]
        )
    codes = {(1 + number, 1): f"{typed}C" for number, typed in numbered.items()}
    texts = {(1 + number, 2): f"{typed}T" for number, typed in numbered.items()}
    written("priced.xlsx", "good.xlsx", {"Prices": codes | texts, "Price": codes})
    done("new", "good.xlsx", "new.xlsx", *(f"--set=text_{number}={typed}" for number, typed in numbered.items()))
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
    own = 6 + len(lines)
    for number, typed in numbered.items():
        bid = {(1, 3): typed, (2, 3): typed, (own, 2): typed, (own, 4): 1.0, (own, 6): 2.0}
        written(f"bid_{number}.xlsx", "scope.xlsx", {"Scope": bid})
    for first in range(1, len(numbered) + 1, BIDS):
        bids = [f"bid_{number}.xlsx" for number in range(first, min(first + BIDS, len(numbered) + 1))]
        done("bids", *bids, f"bids_{first}.xlsx", "--job", "listed.xlsx")
    files = [path for path in Path().rglob("*.xlsx") if path.name != "priced.xlsx"]
    assert len(files) == 10 + len(numbered) + -(-len(numbered) // BIDS)
    found = {}
    for path in files:
        formulas, found[path.name] = formulas_and_texts(path)
        assert not [formula for formula in formulas if MARK in formula or "1+1" in formula], path
    for number, typed in numbered.items():
        marked = {name for name, texts in found.items() if any(mark_of(typed) in text for text in texts)}
        assert marked >= {
            "new.xlsx", "listed.xlsx", "from.xlsx", "differences.xlsx", "carried.xlsx", "converted.xlsx", "ours.xlsx", "scope.xlsx",
            f"bids_{number - (number - 1) % BIDS}.xlsx",
        }, typed  # fmt: skip


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
