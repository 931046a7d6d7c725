"""What a sheet of our formulas costs in LibreOffice, beside what it costs without a spreadsheet program."""

from __future__ import annotations

import os
import shutil
import statistics
import time
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import openpyxl
import pytest
from rich.console import Console
from rich.table import Table

from hosts.libreoffice.calc import Calc, connected
from stillbook.templates.shipped import folder as template_folder
from stillbook.workbook.job.estimate import Job

pytestmark = [pytest.mark.benchmark, pytest.mark.host]

FORMULAS = 1000
ROUNDS = 7
COLUMN = f"A1:A{FORMULAS}"


@pytest.fixture(scope="module")
def calc(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Calc]:
    with connected(tmp_path_factory.mktemp("calc")) as running:
        yield running


@pytest.fixture(scope="module")
def table() -> Iterator[Table]:
    """Filled by each benchmark, printed after the last."""
    table = Table(
        "Recalculation of", "Median", "Best", "Worst", "Processor time", "Without a spreadsheet program", box=None
    )
    for place in range(1, 6):
        table.columns[place].justify = "right"
    yield table
    print()
    Console(width=140).print(table)


def processor_seconds(calc: Calc) -> float:
    """Processor time that LibreOffice and what it started have taken, which tells of a busy machine too what a change gained."""
    ticks = 0
    for file in Path("/proc").glob("[0-9]*/stat"):
        with suppress(OSError):
            fields = file.read_text().rpartition(")")[2].split()
            if int(fields[2]) == calc.process.pid:
                ticks += int(fields[11]) + int(fields[12])
    return ticks / os.sysconf("SC_CLK_TCK")


def recalculated(calc: Calc) -> tuple[float, float]:
    """Seconds by the clock and by the processor for a recalculation."""
    before = processor_seconds(calc)
    return calc.ask("recalculate"), processor_seconds(calc) - before


def add(table: Table, what: str, took: list[tuple[float, float]], here: float | None) -> None:
    seconds, processor = zip(*took, strict=True)
    values = (statistics.median(seconds), min(seconds), max(seconds), statistics.median(processor))
    shown = [f"{value * 1000:.0f} ms" for value in values]
    table.add_row(what, *shown, "" if here is None else f"{here * 1000:.0f} ms")


def headless(path: Path) -> float:
    """Seconds to calculate an opened workbook here, with nothing remembered of calculations before."""
    job = Job.open(path)
    started = time.perf_counter()
    job.calculate()
    return time.perf_counter() - started


def test_a_sheet_of_formulas(calc: Calc, table: Table, tmp_path: Path) -> None:
    texts = [f"=STILL_DOORMASS(60+C$1+{row}/100;1;36;80)" for row in range(FORMULAS)]
    calc.new()
    calc.ask("type", 0, "C1", "0")
    calc.ask("type_column", 0, COLUMN, texts)
    calc.ask("recalculate")
    new, known = [], []
    for step in range(1, ROUNDS + 1):
        calc.ask("type", 0, "C1", str(step * 20))
        new.append(recalculated(calc))
        known.append(recalculated(calc))
    assert calc.ask("column", 0, COLUMN)[-1] == pytest.approx(80 + ROUNDS * 20 + (FORMULAS - 1) / 100, rel=1e-12)

    book = openpyxl.Workbook()
    assert book.active is not None
    for row, text in enumerate(texts, start=1):
        book.active[f"A{row}"] = text.replace(";", ",")
    book.save(tmp_path / "sheet.xlsx")
    names = "Basic" if calc.ask("formula", 0, "A1").startswith("=STILL_") else "the add-in"
    add(
        table,
        f"{FORMULAS:,} formulas, through {names}, after a change of all their arguments",
        new,
        headless(tmp_path / "sheet.xlsx"),
    )
    add(table, f"{FORMULAS:,} formulas asked before", known, None)


@pytest.mark.parametrize("path", sorted(template_folder().glob("*_us.xlsx")), ids=lambda path: path.stem)
def test_a_template(calc: Calc, table: Table, tmp_path: Path, path: Path) -> None:
    calc.open(Path(shutil.copy(path, tmp_path)))
    first = recalculated(calc)
    again = [recalculated(calc) for _ in range(ROUNDS)]
    add(table, f"{path.stem}, for the first time", [first], headless(path))
    add(table, f"{path.stem}, again", again, None)
