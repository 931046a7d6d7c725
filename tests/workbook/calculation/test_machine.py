"""Faults of the machine: they end a calculation, and never become the value of a cell."""

import os
import signal
import subprocess
import sys
import textwrap
import threading
import time

import pytest

from stillbook import cli
from stillbook.workbook import WorkbookError
from stillbook.workbook.calculation import watch
from stillbook.workbook.calculation.engine import Engine, within
from stillbook.workbook.job.estimate import Job
from workbook import books


@pytest.mark.parametrize(
    ("fault", "words"),
    [
        (MemoryError(), "too little free memory"),
        (ImportError("no module of that name"), r"could not be loaded or read \(no module of that name\)"),
        (OSError("disk error"), "could not be loaded or read"),
        (ModuleNotFoundError("No module named 'x'"), "install Stillbook anew and run it again"),
    ],
)
def test_a_fault_of_the_machine_ends_the_calculation(fault, words):
    def fail(*_):
        raise fault

    def run(engine):
        engine.register("FAIL", fail)
        engine.set_formula(("Sheet1", 1, 1), "=IFERROR(FAIL(),0)")
        engine.evaluate()

    with pytest.raises(WorkbookError, match=f"it was not calculated: .*{words}"):
        within(10, Engine, run)


def test_a_formula_of_ours_short_of_memory_leaves_the_file(tmp_path, monkeypatch):
    from stillbook.catalogue import formulas

    def fail(*_):
        raise MemoryError

    path = tmp_path / "job.xlsx"
    path.write_bytes(books.book({"S": {"A1": 1, "A2": '=STILL_SURFACEMASS("4.5 lb/ft²")'}}))
    before = path.read_bytes()
    monkeypatch.setattr(type(formulas()["SURFACEMASS"]), "__call__", fail)
    job = Job.open(path)
    with pytest.raises(WorkbookError, match="too little free memory"):
        job.calculate()
    with pytest.raises(WorkbookError, match="too little free memory"):
        job.save()
    assert path.read_bytes() == before


_HANGS = """
import ctypes, sys
from stillbook.workbook.calculation import watch
from stillbook.workbook.calculation.engine import Engine, within
watch.GRACE = 0.2
# A call that keeps Python's lock, as a library that loops while it loads does.
within(4, Engine, lambda engine: ctypes.PyDLL(None).sleep(60))
"""


@pytest.mark.skipif(os.name != "posix", reason="needs the C library of a POSIX system")
def test_a_hang_that_holds_all_threads_ends_with_a_message():
    start = time.monotonic()
    found = subprocess.run(
        [sys.executable, "-c", textwrap.dedent(_HANGS)], capture_output=True, text=True, timeout=50, check=False
    )
    assert time.monotonic() - start < 40
    assert found.returncode not in (0, 1)
    assert "the calculation hung and could not be stopped" in found.stderr
    assert "left as it was" in found.stderr


def test_a_watch_that_ended_in_time_ends_nothing(monkeypatch):
    monkeypatch.setattr(watch, "GRACE", 0.0)
    with watch.watched(0.2):
        pass
    with watch.watched(30), watch.watched(30):
        time.sleep(0.6)


def test_a_watcher_that_was_lost_is_started_again():
    with watch.watched(30):
        process = watch._watcher._process
    process.kill()
    process.wait(10)
    found = []
    threads = [threading.Thread(target=lambda: found.append(within(10, Engine, lambda _: 1))) for _ in range(3)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(20)
    assert found == [1, 1, 1]


_CALCULATES = """
import signal, sys
signal.signal(signal.SIGINT, signal.default_int_handler)  # which a suite run in the background would hand on as ignored
from stillbook.cli import main
sys.argv = ["stillbook", "calc", sys.argv[1]]
print("ready", flush=True)
main()
"""


@pytest.mark.skipif(os.name != "posix", reason="sends a signal as a terminal does")
@pytest.mark.parametrize("seconds", [0.4, 0.9, 1.4])
def test_ctrl_c_ends_a_calculation_with_its_exit_code(tmp_path, seconds):
    path = tmp_path / "job.xlsx"
    cells = {f"A{row}": f"=SUM(SEQUENCE(3000,300)*{row})" for row in range(1, 400)}
    path.write_bytes(books.book({"S": cells}))
    before = path.read_bytes()
    with subprocess.Popen(
        [sys.executable, "-c", _CALCULATES, str(path)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    ) as process:
        assert process.stdout.readline() == "ready\n"
        time.sleep(seconds)
        process.send_signal(signal.SIGINT)
        _, told = process.communicate(timeout=60)
    assert process.returncode == 130
    assert "stopped; files already finished are kept" in told
    assert path.read_bytes() == before


@pytest.mark.parametrize("code", [0, 2, 130])
def test_what_a_calculation_left_behind_does_not_change_the_exit_code(code, monkeypatch):
    ended = []
    monkeypatch.setattr(cli, "guarded", lambda *_: code)
    monkeypatch.setattr(os, "_exit", ended.append)
    monkeypatch.setattr(
        cli.threading, "enumerate", list
    )  # what another test left in the engine is no business of this one
    with pytest.raises(SystemExit):
        cli.main()
    assert ended == ([130] if code == 130 else [])
