"""One task over many workbooks: each in a process of a pool, each a row of a register, and none that stops the rest.

While a batch runs, each finished workbook is noted in a journal beside the register (``register.csv.part``). A batch
that was stopped goes on from there: what is noted and has not changed since is not done again. When all is done the
register is written and the journal taken away. A workbook that was saved but not yet noted when the batch was stopped
is done once more, which changes nothing in it: of its prices the register then says that none moved.

>>> from stillbook.office.batch import Task, batch
>>> batch("jobs", "register.csv", Task("calculate")).counts        # doctest: +SKIP
{'done': 214, 'failed': 2}
"""

from __future__ import annotations

import concurrent.futures
import contextlib
import gc
import importlib
import json
import multiprocessing
import os
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures.process import BrokenProcessPool
from dataclasses import asdict, dataclass, field
from os import PathLike
from pathlib import Path
from typing import Any, Final, Literal

from stillbook.cells import ErrorValue
from stillbook.office.register import check_register, write_register
from stillbook.office.reprice import Prices, reprice
from stillbook.workbook import WorkbookError
from stillbook.workbook.calculation.engine import SECONDS
from stillbook.workbook.job.estimate import Job, Report

Action = Literal["calculate", "check", "reprice"]

ACTIONS: Final[tuple[Action, ...]] = ("calculate", "check", "reprice")

JOURNAL: Final = ".part"
"""What the journal's name adds to that of the register."""

_ENDED: Final = "its process was ended, by the system or by a fault in a library: try this workbook alone"
_JOBS_A_PROCESS: Final = 200
"""A process is replaced after so many workbooks, so that no library's leak adds up."""

_ALLOCATIONS: Final = 200_000
"""Objects made and kept after which a process looks for garbage: workbooks are none while they are worked on."""


@dataclass(frozen=True, slots=True)
class Task:
    """What is done with each workbook.

    Args:
        action: ``calculate`` it and save it, ``check`` it without saving, or ``reprice`` it.
        prices: The new prices, for ``reprice``.
        seconds: How long a calculation may take.
    """

    action: Action
    prices: Prices | None = None
    seconds: float = SECONDS

    def __post_init__(self) -> None:
        if (self.action == "reprice") != (self.prices is not None):
            raise ValueError("prices are needed to reprice, and for nothing else")


@dataclass(slots=True)
class BatchRow:
    """What became of one workbook.

    Args:
        file: Its path below the folder.
        state: Whether the task was done.
        message: Why it failed, or what to look at.
        formulas: How many formulas it holds.
        errors: How many cells show an error.
        passes: How many rules pass.
        fails: How many fail.
        waits: How many wait for an input.
        missing: Inputs to be filled in.
        moved: How many prices changed.
        results: Its key results by name.
        size: Size of the file afterwards; with ``time`` it tells a later change.
        time: Its time of change afterwards.
    """

    file: str
    state: Literal["done", "failed"]
    message: str = ""
    formulas: int = 0
    errors: int = 0
    passes: int = 0
    fails: int = 0
    waits: int = 0
    missing: str = ""
    moved: int = 0
    results: dict[str, str | float] = field(default_factory=dict)
    size: int = 0
    time: int = 0

    def as_record(self) -> dict[str, str | float]:
        """The row as the register shows it."""
        fixed = {k: v for k, v in asdict(self).items() if k not in ("results", "size", "time")}
        return {**fixed, **{name: value for name, value in self.results.items() if name not in fixed}}


@dataclass(frozen=True, slots=True)
class Batch:
    """What became of a batch.

    Args:
        register: The register written.
        rows: One row a workbook, in the order of their names.
        resumed: How many of them were taken from a batch that was stopped.
    """

    register: Path
    rows: tuple[BatchRow, ...]
    resumed: int

    @property
    def counts(self) -> dict[str, int]:
        """How many workbooks ended in each state."""
        return dict(Counter(row.state for row in self.rows))


def batch(
    folder: str | PathLike[str],
    register: str | PathLike[str],
    task: Task,
    *,
    workers: int | None = None,
    cluster: str = "",
    replace: bool = False,
    progress: Callable[[int, int, BatchRow], None] | None = None,
) -> Batch:
    """Do a task with every .xlsx workbook in a folder and the folders in it.

    Args:
        folder: The folder.
        register: The register to write: .csv, .parquet or .xlsx.
        task: What to do.
        workers: How many processes work at once; as many as there are processors when left out.
        cluster: Address of a Dask scheduler, such as ``tcp://host:8786``, whose workers see the same folder and have
            Stillbook installed; empty for processes on this computer.
        replace: Whether a register that stands there may be replaced.
        progress: Called after each workbook with how many are done, how many there are, and its row.

    Raises:
        WorkbookError: If there is no such folder, no workbook in it, or the register cannot be written. A workbook that
            fails is a row of the register, never an error.
    """
    where, target = Path(folder), Path(register)
    if not where.is_dir():
        raise WorkbookError(f"{where}: there is no such folder")
    check_register(target, replace=replace)
    files = workbooks(where, target)
    if not files:
        raise WorkbookError(f"{where}: there is no .xlsx workbook in it")
    with _Journal(target, where, task) as journal:
        done = {name: row for name in files if (row := journal.known(name, where / name))}
        resumed = len(done)
        todo = [name for name in files if name not in done]
        for row in _run(where, todo, task, workers=workers, cluster=cluster):
            journal.add(row)
            done[row.file] = row
            if progress:
                progress(len(done), len(files), row)
        rows = tuple(done[name] for name in files)
        write_register(target, [row.as_record() for row in rows])
        journal.finish()
    return Batch(target, rows, resumed)


def workbooks(folder: Path, register: Path) -> list[str]:
    """Paths below a folder of its workbooks, without hidden files, owner files and the register itself."""
    found = []
    for path in sorted(folder.rglob("*")):
        inside = path.relative_to(folder)
        hidden = any(part.startswith((".", "~$")) for part in inside.parts)
        if path.suffix.lower() == ".xlsx" and not hidden and path.is_file() and path.absolute() != register.absolute():
            found.append(inside.as_posix())
    return found


# --- one workbook -----------------------------------------------------------------------------------------------------


def work(folder: Path, name: str, task: Task) -> BatchRow:
    """Do a task with one workbook; whatever goes wrong is told in the row."""
    path = folder / name
    try:
        row = _done(path, name, task)
    except WorkbookError as error:
        row = BatchRow(name, "failed", str(error).removeprefix(f"{path}: "))
    except Exception as error:
        row = BatchRow(name, "failed", f"it met a fault in Stillbook ({type(error).__name__}: {error}): report it")
    with contextlib.suppress(OSError):
        stat = path.stat()
        row.size, row.time = stat.st_size, stat.st_mtime_ns
    return row


def _done(path: Path, name: str, task: Task) -> BatchRow:
    moved = 0
    notes: list[str] = []
    if task.prices is not None:
        repriced = reprice(path, task.prices)
        moved = len(repriced.moved)
        notes += repriced.refused
        if repriced.missing:
            notes.append(f"no price for {', '.join(repriced.missing)}")
    job = Job.open(path)
    report = job.calculate(seconds=task.seconds)
    if task.action == "calculate":
        job.save()
    row = _row(name, report)
    notes += [entry.reason for entry in report.refused]
    row.errors += len(report.refused)
    row.moved, row.message = moved, "; ".join(notes)
    return row


def _row(name: str, report: Report) -> BatchRow:
    states = Counter(check.state for check in report.checks)
    results: dict[str, str | float] = {}
    for result in report.results:
        value = result.value
        if isinstance(value, ErrorValue):
            results[result.name] = str(value.code)
        elif value is not None:
            results[result.name] = str(value).upper() if isinstance(value, bool) else value
    return BatchRow(
        name,
        "done",
        formulas=report.formulas,
        errors=len(report.errors),
        passes=states["passes"],
        fails=states["fails"] + states["error"],
        waits=states["waits"],
        missing=", ".join(report.missing),
        results=results,
    )


# --- many workbooks ---------------------------------------------------------------------------------------------------


def _run(folder: Path, names: list[str], task: Task, *, workers: int | None, cluster: str) -> Iterator[BatchRow]:
    if cluster:
        return _on_cluster(folder.absolute(), names, task, cluster)
    return _in_pool(folder, names, task, max(1, min(workers or os.cpu_count() or 1, len(names) or 1)))


def _in_pool(folder: Path, names: list[str], task: Task, workers: int) -> Iterator[BatchRow]:
    """Work in processes. One that is ended takes its pool with it: those at work then are tried again, each alone."""
    waiting = names[::-1]
    while waiting:
        running: dict[concurrent.futures.Future[BatchRow], str] = {}
        suspects: list[str] = []
        with _pool(workers) as pool:
            try:
                while waiting or running:
                    while waiting and len(running) < 2 * workers:
                        future = pool.submit(work, folder, waiting[-1], task)
                        running[future] = waiting.pop()
                    ready, _ = concurrent.futures.wait(running, return_when=concurrent.futures.FIRST_COMPLETED)
                    for future in ready:
                        name = running[future]
                        row = future.result()
                        del running[future]
                        yield row
            except BrokenProcessPool:
                suspects = list(running.values())
        for name in suspects:
            yield _alone(folder, name, task)


def _alone(folder: Path, name: str, task: Task) -> BatchRow:
    with _pool(1) as pool:
        try:
            return pool.submit(work, folder, name, task).result()
        except BrokenProcessPool:
            return BatchRow(name, "failed", _ENDED)


def _pool(workers: int) -> concurrent.futures.ProcessPoolExecutor:
    return concurrent.futures.ProcessPoolExecutor(
        workers,
        mp_context=multiprocessing.get_context("spawn"),
        initializer=gc.set_threshold,
        initargs=(_ALLOCATIONS, 20, 20),
        max_tasks_per_child=_JOBS_A_PROCESS,
    )


def _on_cluster(folder: Path, names: list[str], task: Task, address: str) -> Iterator[BatchRow]:
    try:
        distributed: Any = importlib.import_module("distributed")
    except ImportError:
        raise WorkbookError("a cluster needs the library distributed: install it, or leave the address out") from None
    try:
        client = distributed.Client(address, timeout="5s")
    except (OSError, TimeoutError, ValueError):
        raise WorkbookError(f"there is no cluster at {address}: check the address of its scheduler") from None
    with client:
        futures = {client.submit(work, folder, name, task, pure=False): name for name in names}
        for future in distributed.as_completed(futures):
            fault = future.exception()
            yield future.result() if fault is None else BatchRow(futures[future], "failed", _ENDED)


# --- the journal ------------------------------------------------------------------------------------------------------


class _Journal:
    """The rows of a batch that is not finished, one a line; the first line says which batch it is."""

    def __init__(self, register: Path, folder: Path, task: Task) -> None:
        self.path = register.with_name(register.name + JOURNAL)
        self.head = {"folder": str(folder.absolute()), "action": task.action, "prices": _mark(task.prices)}
        self.rows: dict[str, BatchRow] = {}
        self._file: Any = None

    def __enter__(self) -> _Journal:
        whole = self._read()
        try:
            self._file = self.path.open("a" if whole else "w", encoding="utf-8")
        except OSError as error:
            raise WorkbookError(f"{self.path}: it cannot be written ({error.strerror})") from None
        if not whole:
            self._write(self.head)
            for row in self.rows.values():
                self.add(row)
        return self

    def __exit__(self, *_: object) -> None:
        self._file.close()

    def _read(self) -> bool:
        """Take over the rows of the same batch; whether there is such a batch, to which more can be added."""
        try:
            text = self.path.read_text("utf-8")
        except (OSError, UnicodeDecodeError):
            return False
        entries = list(_entries(text.splitlines()))
        if not entries or entries[0] != self.head:
            return False
        for entry in entries[1:]:
            with contextlib.suppress(TypeError):
                row = BatchRow(**entry)
                self.rows[row.file] = row
        return text.endswith("\n")

    def known(self, name: str, path: Path) -> BatchRow | None:
        """The row of a workbook that was done, and has not changed since."""
        row = self.rows.get(name)
        try:
            stat = path.stat()
        except OSError:
            return None
        return row if row and (row.size, row.time) == (stat.st_size, stat.st_mtime_ns) else None

    def add(self, row: BatchRow) -> None:
        """Note a row, so that it lasts from now on."""
        self._write(asdict(row))

    def _write(self, entry: dict[str, Any]) -> None:
        self._file.write(json.dumps(entry) + "\n")
        self._file.flush()

    def finish(self) -> None:
        """Take the journal away."""
        self._file.close()
        self.path.unlink(missing_ok=True)


def _entries(lines: Iterable[str]) -> Iterator[dict[str, Any]]:
    """The entries of a journal; a line that was cut off by the end of a process is none."""
    for line in lines:
        with contextlib.suppress(ValueError):
            entry = json.loads(line)
            if isinstance(entry, dict):
                yield entry


def _mark(prices: Prices | None) -> str:
    """What tells one set of prices from another."""
    import hashlib

    if prices is None:
        return ""
    rows = [asdict(row) for _, row in sorted(prices.rows.items())]
    return hashlib.sha256(json.dumps([rows, sorted(prices.labour.items())]).encode()).hexdigest()
