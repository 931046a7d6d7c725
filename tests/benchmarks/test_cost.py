"""What calls, workbooks and the command line cost, each beside its peer in the same run."""

from __future__ import annotations

import contextlib
import io
import itertools
import subprocess
import sys
import timeit
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest
from rich.console import Console
from rich.table import Table

from benchmarks import peer
from stillbook.catalogue import find
from stillbook.templates.shipped import template
from stillbook.workbook.job.estimate import Job

pytestmark = pytest.mark.benchmark

ROWS = 100_000


@pytest.fixture(scope="module")
def table() -> Iterator[Table]:
    """Filled by each benchmark, printed after the last."""
    table = Table("What", "Cost", "Peer", "Its cost", "Ratio", box=None, padding=(0, 2, 0, 0))
    for place in (1, 3, 4):
        table.columns[place].justify = "right"
    yield table
    print()
    Console(width=120).print(table)


def best(action: Callable[[], object], calls: int = 1, repeats: int = 7) -> float:
    """Seconds a call takes, the best of several runs: the others measure what else the machine does."""
    return min(timeit.repeat(action, number=calls, repeat=repeats)) / calls


def shown(seconds: float) -> str:
    for unit, size in (("s", 1.0), ("ms", 1e-3)):
        if seconds >= size:
            return f"{seconds / size:.3g} {unit}"
    return f"{seconds * 1e6:.3g} µs"


SIMPLE = {
    "DUCTVELOCITY": ((30.0, 8.0, 6.0), (0.014, 0.2, 0.15)),
    "DUCTAREA": ((30.0, 100.0), (0.014, 0.5)),
    "PRICEFROMMARGIN": ((1000.0, 0.3), (1000.0, 0.3)),
}
"""Formulas of a line or two: cell values for the first, SI arguments for the function under it."""


@pytest.mark.parametrize("name", SIMPLE)
def test_scalar_call(name: str, table: Table) -> None:
    entry = find(name)
    cells, arguments = SIMPLE[name]
    formula = best(lambda: entry(*cells), calls=20_000)
    bare = best(lambda: entry.function(*arguments), calls=20_000)
    table.add_row(
        f"{entry.workbook_name}, one call", shown(formula), "bare function", shown(bare), f"+{shown(formula - bare)}"
    )
    assert isinstance(entry(*cells), float)


@pytest.mark.parametrize("name", SIMPLE)
def test_array_call(name: str, table: Table) -> None:
    entry = find(name)
    (first, *others), (first_si, *others_si) = SIMPLE[name]
    growth = np.linspace(1.0, 2.0, ROWS)
    column = (first * growth)[:, None].tolist()
    array = first_si * growth
    formula = best(lambda: entry(column, *others))
    bare = best(lambda: entry.function(array, *others_si))
    table.add_row(
        f"{entry.workbook_name}, {ROWS:,} rows",
        f"{ROWS / formula / 1e6:.3g} M rows/s",
        "bare function on an array",
        f"{ROWS / bare / 1e6:.3g} M rows/s",
        f"{formula / bare:.2g}×",
    )
    answer = entry(column, *others)
    assert isinstance(answer, list)
    assert len(answer) == ROWS


def test_booth_estimate(tmp_path: Path, table: Table) -> None:
    source = template("booth-estimate").path("US")
    target = tmp_path / "estimate.xlsx"
    people = itertools.cycle((2, 3, 4))

    def run() -> None:
        job = Job.open(source)
        job.set({"people": next(people)})
        job.calculate()
        job.save(target, replace=True)

    run()
    ours = best(run)
    report = Job.open(source).calculate()
    peer.register()
    with contextlib.redirect_stderr(io.StringIO()):
        theirs = best(lambda: peer.calculate(source, tmp_path), repeats=2)
        cells = peer.calculate(source, tmp_path)
    held = [(result.value, peer.value(cells, source, result.sheet, result.cell)) for result in report.results]
    same = sum(a == pytest.approx(b, rel=1e-9) if isinstance(a, float) else a == b for a, b in held)
    table.add_row(
        f"booth estimate ({report.formulas} formulas), load, calculate, save",
        shown(ours),
        f"formulas package, {same} of {len(held)} results alike",
        shown(theirs),
        f"{ours / theirs:.2g}×",
    )
    assert held


def test_command_line_start(table: Table) -> None:
    command = Path(sys.executable).with_name("stillbook")
    help_text = best(lambda: subprocess.run([command, "--help"], check=True, capture_output=True), repeats=10)
    bare = best(lambda: subprocess.run([sys.executable, "-c", "pass"], check=True, capture_output=True), repeats=10)
    table.add_row("stillbook --help", shown(help_text), "bare interpreter", shown(bare), f"{help_text / bare:.2g}×")
