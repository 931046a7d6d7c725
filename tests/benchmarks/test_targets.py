"""What was promised of speed, as ratios to a peer or processor time, each measured in one run.

Other programs share the computer, so processor time is taken, of whole processes where one starts cold, in turn with
the peer's; the middle ratio counts. A missed target is told and fails nothing.
"""

from __future__ import annotations

import contextlib
import io
import itertools
import json
import os
import random
import resource
import shutil
import socket
import statistics
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from urllib.parse import urlsplit

import psutil
import pytest
from rich.console import Console
from rich.table import Table

from benchmarks import peer
from service.asking import started
from stillbook.office.batch import Task, batch
from stillbook.templates import demo
from stillbook.templates.shipped import template
from stillbook.workbook.job.estimate import Job
from stillbook.workbook.job.variants import Variants

pytestmark = pytest.mark.benchmark

PAIRS = 7
FILES = 48
CALLS = 4_000
VARIANTS = 40
MAIN = "from stillbook.cli import main; main()"


class Targets:
    """The rows of the table."""

    def __init__(self) -> None:
        self.table = Table("What", "Beside", "Measured", "Target", "Met", box=None, padding=(0, 2, 0, 0))

    def add(self, what: str, beside: str, measured: float, shown: str, target: float, *, least: bool = False) -> None:
        met = measured >= target if least else measured <= target
        wanted = f"{'at least' if least else 'at most'} {target:g}"
        self.table.add_row(what, beside, shown, wanted, "yes" if met else "no")


@pytest.fixture(scope="module")
def targets() -> Iterator[Targets]:
    """Filled by each benchmark, printed after the last."""
    targets = Targets()
    yield targets
    print()
    Console(width=140).print(targets.table)


def cold(*arguments: str) -> float:
    """Processor seconds of a process of Python's, with those of the processes it waited for."""
    child = os.fork()
    if child == 0:
        nothing = os.open(os.devnull, os.O_RDWR)
        os.dup2(nothing, 1)
        os.dup2(nothing, 2)
        # As in a user's shell, whatever is set for tests.
        ours = ("PYTHONDONTWRITEBYTECODE", "OPENBLAS_NUM_THREADS")
        kept = {name: value for name, value in os.environ.items() if name not in ours}
        os.execve(sys.executable, [sys.executable, *arguments], kept)
    _, status, used = os.wait4(child, 0)
    assert os.waitstatus_to_exitcode(status) in (0, 1)  # 1 tells of a check that fails
    return used.ru_utime + used.ru_stime


def ratio(ours: Callable[[], float], theirs: Callable[[], float]) -> float:
    """The middle ratio of pairs taken in turn, after one that does not count."""
    pairs = [(ours(), theirs()) for _ in range(PAIRS + 1)][1:]
    return statistics.median(one / other for one, other in pairs)


def used(who: int = resource.RUSAGE_SELF) -> float:
    found = resource.getrusage(who)
    return found.ru_utime + found.ru_stime


def spent(action: Callable[[], object]) -> float:
    """Processor seconds of this process for an action."""
    before = used()
    action()
    return used() - before


def test_one_formula_from_cold(targets: Targets) -> None:
    formula = '=STILL_DOORTARGETMASS(4.4,"36 in","80 in")'
    found = ratio(lambda: cold("-c", MAIN, "eval", formula), lambda: cold("-c", "import numpy"))
    targets.add("stillbook eval, from cold", "importing numpy", found, f"{found:.2g}×", 2.5)


def test_the_demo_from_cold(targets: Targets, tmp_path: Path) -> None:
    path = tmp_path / "demo.xlsx"
    job = Job.open(template("booth-estimate").path("US"))
    job.set(demo.values())
    job.save(path)
    other = shutil.copy(path, tmp_path / "other.xlsx")
    reading = f"import openpyxl; openpyxl.load_workbook({str(other)!r}).save({str(other)!r})"
    found = ratio(lambda: cold("-c", MAIN, "calc", str(path)), lambda: cold("-c", reading))
    targets.add("stillbook calc of the demo, from cold", "openpyxl opens and saves it", found, f"{found:.2g}×", 1.0)


def test_three_inputs_changed(targets: Targets, tmp_path: Path) -> None:
    source = template("booth-estimate").path("US")
    target = tmp_path / "estimate.xlsx"
    rooms = itertools.cycle(({"people": 2, "room_length": 8}, {"people": 3, "room_length": 9}))
    widths = itertools.cycle((6, 6.5, 7))

    def run() -> None:
        job = Job.open(source)
        job.set({**next(rooms), "room_width": next(widths)})
        job.calculate()
        job.save(target, replace=True)

    for _ in range(4):
        run()
    ours = statistics.median(spent(run) for _ in range(15))
    what = "booth with three inputs changed: open, set, calculate, save"
    targets.add(what, "", ours, f"{ours:.2f} s of processor time", 0.15)
    peer.register()
    with contextlib.redirect_stderr(io.StringIO()):
        theirs = spent(lambda: peer.calculate(source, tmp_path))
    targets.add("the same", "the formulas package", theirs / ours, f"{theirs / ours:.0f} times as fast", 80, least=True)


def test_a_batch(targets: Targets, tmp_path: Path) -> None:
    for number in range(FILES):
        shutil.copy(template("booth-estimate").path("US"), tmp_path / f"job {number}.xlsx")
    before = used(resource.RUSAGE_CHILDREN)
    done = batch(tmp_path, tmp_path / "register.csv", Task("calculate"), workers=2)
    seconds = (used(resource.RUSAGE_CHILDREN) - before) / 2
    assert done.counts == {"done": FILES}
    rate = FILES / seconds
    targets.add(f"batch of {FILES}, on two processors of its own", "", rate, f"{rate:.1f} files/s", 12, least=True)


def test_variants_of_a_booth(targets: Targets, tmp_path: Path) -> None:
    path = tmp_path / "demo.xlsx"
    job = Job.open(template("booth-estimate").path("US"))
    job.set(demo.values())
    job.save(path)
    tried = {name: entry.spec.tries for name, entry in job.inputs.items() if entry.spec.tries}
    variants = Variants(path, tuple(tried))
    chance = random.Random(3)
    drawn = iter([{name: chance.choice(held) for name, held in tried.items()} for _ in range(2 * VARIANTS)])
    warm = spent(lambda: [variants.calculate(next(drawn)) for _ in range(VARIANTS)]) / VARIANTS
    what = "variants of the booth, all marked inputs, two processors of its own"
    targets.add(what, "", 2 / warm, f"{2 / warm:.0f} variants/s", 12, least=True)
    whole = statistics.median(spent(lambda: variants.alone(next(drawn))) for _ in range(5))
    targets.add("one of them", "the whole workbook", whole / warm, f"{whole / warm:.1f} times as fast", 4, least=True)
    process = psutil.Process()
    before = process.memory_info().rss
    for _ in range(VARIANTS - 5):
        variants.calculate(next(drawn))
    grown = (process.memory_info().rss - before) / 2**20
    targets.add(f"memory after {VARIANTS - 5} more", "", grown, f"{grown:.0f} MB more", 20)


def test_single_calls(targets: Targets, tmp_path: Path) -> None:
    body = json.dumps({"calls": [{"name": "DUCTVELOCITY", "arguments": [30, 8, 6]}]})
    with started(tmp_path / "home") as running:
        where = urlsplit(running.service.address)
        head = f"POST /calls HTTP/1.1\r\nHost: {where.netloc}\r\nAuthorization: Bearer {running.service.token}\r\n"
        request = f"{head}Content-Type: application/json\r\nContent-Length: {len(body)}\r\n\r\n{body}".encode()
        process = psutil.Process(running.process.pid)
        with socket.create_connection((where.hostname, where.port)) as asking:
            asking.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)

            def ask(times: int) -> None:
                for _ in range(times):
                    asking.sendall(request)
                    answer = asking.recv(65536)
                    while not answer.endswith(b"]}"):
                        answer += asking.recv(65536)

            ask(200)
            before = process.cpu_times()
            ask(CALLS)
            after = process.cpu_times()
    rate = CALLS / (after.user + after.system - before.user - before.system)
    targets.add(
        "service, single calls, one worker on a processor of its own", "", rate, f"{rate:,.0f}/s", 3_000, least=True
    )
