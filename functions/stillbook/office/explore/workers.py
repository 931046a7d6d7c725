"""Variants calculated: in this process, in processes of a pool, or by the workers of a Dask cluster.

Each worker reads the job once and keeps it warm. A process that is ended takes no variant with it: those at work then
are calculated again, each alone.
"""

from __future__ import annotations

import concurrent.futures
import gc
import hashlib
import importlib
import multiprocessing
import os
import signal
import threading
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures.process import BrokenProcessPool
from contextlib import AbstractContextManager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final, Protocol

from stillbook.cells import Cell
from stillbook.office.explore.outcome import Outcome, outcome
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.package import content
from stillbook.workbook.job.variants import Variants

Values = Mapping[str, Cell]
"""What the inputs that vary hold in a variant."""

Done = tuple[int, Outcome]
"""The place of a variant among those asked for, and what became of it."""

ENDED: Final = "its process was ended, by the system or by a fault in a library"
_TOGETHER: Final = 4
"""Variants that are handed to a worker at once."""

_ALLOCATIONS: Final = 200_000


@dataclass(frozen=True, slots=True)
class Given:
    """The job that workers read, and what varies in it.

    Args:
        path: The job.
        mark: What tells its content from any other.
        names: The inputs that vary.
    """

    path: Path
    mark: str
    names: tuple[str, ...]


class Workers(Protocol):
    """What calculates variants."""

    def run(self, asked: Sequence[Values]) -> Iterator[Done]:
        """What becomes of variants, as each is done."""
        ...


def mark_of(path: Path) -> str:
    """What tells the content of a job from any other.

    Raises:
        WorkbookError: If it cannot be read.
    """
    return hashlib.sha256(content(path)).hexdigest()


# --- one worker -------------------------------------------------------------------------------------------------------

_kept: Final = threading.local()


def work(given: Given, asked: Sequence[Values]) -> list[Outcome]:
    """Calculate variants of a job, which is read the first time and then kept."""
    return [_one(_warm(given), values) for values in asked]


def _warm(given: Given) -> Variants:
    if getattr(_kept, "given", None) != given:
        if mark_of(given.path) != given.mark:
            raise WorkbookError(f"{given.path}: it was changed meanwhile: begin again")
        _kept.variants, _kept.given = Variants(given.path, given.names), given
    variants: Variants = _kept.variants
    return variants


def _one(variants: Variants, values: Values) -> Outcome:
    try:
        return outcome(variants.calculate(values))
    except WorkbookError as error:
        return Outcome(fault=str(error))
    except Exception as error:
        return Outcome(fault=f"it met a fault in Stillbook ({type(error).__name__}: {error}): report it")


# --- many -------------------------------------------------------------------------------------------------------------


def workers(given: Given, count: int | None, cluster: str) -> AbstractContextManager[Workers]:
    """What calculates variants of a job.

    Args:
        given: The job.
        count: How many processes; as many as there are processors when left out; with 1 this process does all.
        cluster: Address of a Dask scheduler whose workers see the same file; empty for processes on this computer.

    Raises:
        WorkbookError: If there is no such cluster, or the library for it is missing.
    """
    if cluster:
        return _Cluster(given, cluster)
    number = count or os.cpu_count() or 1
    return _Here(given) if number == 1 else _Pool(given, number)


class _Here(AbstractContextManager["_Here"]):
    def __init__(self, given: Given) -> None:
        self._given = given

    def run(self, asked: Sequence[Values]) -> Iterator[Done]:
        for place, values in enumerate(asked):
            yield place, work(self._given, [values])[0]

    def __exit__(self, *_: object) -> None:
        _kept.given = None


class _Pool(AbstractContextManager["_Pool"]):
    def __init__(self, given: Given, count: int) -> None:
        self._given = given
        self._count = count
        self._pool = _pool(count)

    def run(self, asked: Sequence[Values]) -> Iterator[Done]:
        running: dict[concurrent.futures.Future[list[Outcome]], list[int]] = {}
        left: list[int] = []
        try:
            for places in _together(len(asked), self._count):
                running[self._pool.submit(work, self._given, [asked[place] for place in places])] = places
            for future in concurrent.futures.as_completed(list(running)):
                outcomes = future.result()
                yield from zip(running.pop(future), outcomes, strict=True)
        except BrokenProcessPool:
            left = sorted(place for places in running.values() for place in places)
        for place in left:
            self._pool.shutdown(wait=False)
            self._pool = _pool(self._count)
            yield place, self._alone(asked[place])

    def _alone(self, values: Values) -> Outcome:
        try:
            return self._pool.submit(work, self._given, [values]).result()[0]
        except BrokenProcessPool:
            return Outcome(fault=ENDED)

    def __exit__(self, *_: object) -> None:
        self._pool.shutdown(wait=True, cancel_futures=True)


def _pool(count: int) -> concurrent.futures.ProcessPoolExecutor:
    context = multiprocessing.get_context("spawn")
    return concurrent.futures.ProcessPoolExecutor(count, mp_context=context, initializer=_begin)


def _begin() -> None:
    """Ctrl-C is for the process that hands out the work: it lets what was begun be finished."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    gc.set_threshold(_ALLOCATIONS, 20, 20)


def _together(count: int, hands: int) -> Iterator[list[int]]:
    """Places in parts, small enough that all hands have work."""
    size = max(1, min(_TOGETHER, -(-count // hands)))
    for start in range(0, count, size):
        yield list(range(start, min(start + size, count)))


class _Cluster(AbstractContextManager["_Cluster"]):
    def __init__(self, given: Given, address: str) -> None:
        try:
            self._distributed: Any = importlib.import_module("distributed")
        except ImportError:
            raise WorkbookError(
                "a cluster needs the library distributed: install it, or leave the address out"
            ) from None
        try:
            self._client: Any = self._distributed.Client(address, timeout="5s")
        except (OSError, TimeoutError, ValueError):
            raise WorkbookError(f"there is no cluster at {address}: check the address of its scheduler") from None
        self._given = Given(given.path.absolute(), given.mark, given.names)

    def run(self, asked: Sequence[Values]) -> Iterator[Done]:
        hands = max(1, sum(self._client.nthreads().values()))
        running = {
            self._client.submit(work, self._given, [asked[place] for place in places], pure=False): places
            for places in _together(len(asked), hands)
        }
        for future in self._distributed.as_completed(list(running)):
            places = running.pop(future)
            fault = future.exception()
            if isinstance(fault, WorkbookError):
                raise fault
            outcomes = future.result() if fault is None else [Outcome(fault=ENDED)] * len(places)
            yield from zip(places, outcomes, strict=True)

    def __exit__(self, *_: object) -> None:
        self._client.close()
