"""What the calculation service bears: calls a second, how long one waits, and memory after a million calls.

A second process asks over loopback, in bounded numbers and times. It shares the computer with the service, so with two
cores two workers gain only what the asking leaves them.
"""

from __future__ import annotations

import http.client
import json
import multiprocessing
import socket
import statistics
import threading
import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from urllib.parse import urlsplit

import psutil
import pytest
from rich.console import Console
from rich.table import Table

from service.asking import started
from stillbook import catalogue
from stillbook.formula import Formula
from stillbook.service import wire
from stillbook.service.listing import listing
from stillbook.templates.shipped import folder
from stillbook.workbook.calculation.recalculate import calculate
from stillbook.workbook.file.package import Package

pytestmark = pytest.mark.benchmark

EXAMPLES = [
    {"name": entry.name, "arguments": entry.example.arguments}
    for entry in listing().formulas
    if entry.example.arguments is not None
]
"""The example of every formula in turn: a mixture of quick and slow ones, of numbers, texts and tables."""


@dataclass(frozen=True)
class Load:
    """What is asked: connections at once, calls a request, and when it ends."""

    name: str
    connections: int
    calls: int
    requests: int
    seconds: float


LOADS = [
    Load("a cell at a time, one connection", connections=1, calls=1, requests=4_000, seconds=15),
    Load("a cell at a time, eight connections", connections=8, calls=1, requests=8_000, seconds=15),
    Load("300 cells at a time, four connections", connections=4, calls=300, requests=400, seconds=30),
]
MILLION = Load("1,000 cells at a time, two connections", connections=2, calls=1_000, requests=1_000, seconds=400)


def ask(address: str, token: str, load: Load) -> tuple[float, list[float]]:
    """Ask from this process; gives the seconds it took and the seconds each request waited for its answer."""
    parts = urlsplit(address)
    headers = {"Authorization": f"Bearer {token}", "Content-Type": "application/json"}
    bodies = [
        json.dumps({"calls": [EXAMPLES[(start + k) % len(EXAMPLES)] for k in range(load.calls)]})
        for start in range(len(EXAMPLES))
    ]
    waits: list[float] = []
    end = time.monotonic() + load.seconds

    def connection(place: int) -> None:
        asking = http.client.HTTPConnection(parts.hostname or "", parts.port, timeout=60)
        asking.connect()
        asking.sock.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        for number in range(place, load.requests, load.connections):
            if time.monotonic() > end:
                return
            begun = time.perf_counter()
            asking.request("POST", "/calls", bodies[number % len(bodies)], headers)
            response = asking.getresponse()
            response.read()
            waits.append(time.perf_counter() - begun)
            assert response.status == 200
        asking.close()

    threads = [threading.Thread(target=connection, args=(place,)) for place in range(load.connections)]
    begun = time.perf_counter()
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return time.perf_counter() - begun, waits


def memory(process: psutil.Process) -> float:
    """Megabytes that a service and its workers hold for themselves."""
    return sum(each.memory_info().rss for each in (process, *process.children(recursive=True))) / 2**20


@pytest.fixture(scope="module")
def table():
    """Filled by each benchmark, printed after the last."""
    table = Table("Workers", "What is asked", "Requests", "Calls/s", "Median", "99th", "Memory", box=None)
    yield table
    print()
    Console(width=130).print(table)


def test_without_the_service(table):
    """Its peer: the same calls made in one process, without HTTP and JSON."""
    for call in EXAMPLES:
        catalogue.call(call["name"], *call["arguments"])
    waits = []
    begun = time.perf_counter()
    for number in range(20_000):
        call = EXAMPLES[number % len(EXAMPLES)]
        start = time.perf_counter()
        catalogue.call(call["name"], *call["arguments"])
        waits.append(time.perf_counter() - start)
    table.add_row("none", "a call at a time, in one process", *figures(time.perf_counter() - begun, waits, 1))


@pytest.mark.parametrize("workers", [1, 2])
def test_load(table, tmp_path, workers):
    second = ProcessPoolExecutor(1, multiprocessing.get_context("spawn"))
    with second, started(tmp_path / "home", workers=workers) as running:
        process = psutil.Process(running.process.pid)
        address, token = running.service.address, running.service.token
        for load in (*LOADS, MILLION) if workers == 1 else LOADS:
            before = memory(process)
            took, waits = second.submit(ask, address, token, load).result()
            held = f"{before:.0f} → {memory(process):.0f} MB"
            table.add_row(str(workers), load.name, *figures(took, waits, load.calls), held)
            assert waits


def figures(took: float, waits: list[float], calls: int) -> tuple[str, str, str, str]:
    slowest = statistics.quantiles(waits, n=100)[98]
    return (
        f"{len(waits):,}",
        f"{len(waits) * calls / took:,.0f}",
        f"{statistics.median(waits) * 1000:.2f} ms",
        f"{slowest * 1000:.2f} ms",
    )


CLIENTS = 10


@pytest.fixture(scope="module")
def booth():
    """The formula calls of a booth estimate, in requests of the size that the browser add-in sends."""
    asked: list[dict[str, object]] = []
    answer = Formula.__call__

    def noted(formula: Formula, *arguments: object) -> object:
        asked.append({"name": formula.name, "arguments": list(arguments)})
        return answer(formula, *arguments)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Formula, "__call__", noted)
        calculate(Package.open(folder() / "booth_estimate_us.xlsx"))
    requests = [asked[start : start + 300] for start in range(0, len(asked), 300)]
    return len(asked), [f'{{"calls":{wire.encode(request)}}}'.encode() for request in requests]


def recalculate(address: str, token: str, bodies: list[bytes], clients: int, rounds: int) -> list[float]:
    """Some clients recalculate the booth at once, some times over; the seconds of each recalculation."""
    parts = urlsplit(address)
    headers = {"Authorization": f"Bearer {token}", "Content-Type": "application/json"}
    took: list[float] = []

    def client() -> None:
        asking = http.client.HTTPConnection(parts.hostname or "", parts.port, timeout=60)
        for _ in range(rounds):
            begun = time.perf_counter()
            for body in bodies:
                asking.request("POST", "/calls", body, headers)
                response = asking.getresponse()
                response.read()
                assert response.status == 200
            took.append(time.perf_counter() - begun)
        asking.close()

    threads = [threading.Thread(target=client) for _ in range(clients)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return took


@pytest.mark.parametrize("workers", [1, 2])
def test_ten_estimators_recalculate_a_booth(booth, tmp_path, workers):
    """Ten at once, beside one alone: at ten times as long each would wait for all the others."""
    calls, bodies = booth
    second = ProcessPoolExecutor(1, multiprocessing.get_context("spawn"))
    with second, started(tmp_path / "home", workers=workers) as running:
        ask_for = (running.service.address, running.service.token, bodies)
        second.submit(recalculate, *ask_for, 1, 3).result()
        alone = second.submit(recalculate, *ask_for, 1, 10).result()
        together = second.submit(recalculate, *ask_for, CLIENTS, 5).result()
    assert len(together) == CLIENTS * 5
    one = statistics.median(alone)
    print(
        f"\n{workers} worker(s), a booth of {calls} calls: of ten at once one waits {statistics.median(together) / one:.1f} "
        f"times as long as alone (slowest {max(together) / one:.1f}); alone {one * 1000:.0f} ms"
    )
