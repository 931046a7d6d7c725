"""A headless LibreOffice of a test's own: another profile, another home for the service, driven through its bridge."""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
import time
import uuid
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

import pytest

import stillbook
from hosts.required import missing
from stillbook.hosts.libreoffice import connection, office
from stillbook.hosts.libreoffice.office import Office

DRIVER = Path(__file__).with_name("calc_driver.py")


def bridge_python() -> str:
    """A Python that can import LibreOffice's bridge."""
    candidates = (os.environ.get("STILLBOOK_BRIDGE_PYTHON"), "/usr/bin/python3", shutil.which("python3"))
    found = next((candidate for candidate in candidates if candidate and has_bridge(candidate)), None)
    if found is None:
        missing("no Python here can import uno: install python3-uno")
    return found


def has_bridge(python: str) -> bool:
    return subprocess.run([python, "-c", "import uno"], capture_output=True, check=False).returncode == 0


def own_office(folder: Path) -> Office:
    """The installed LibreOffice with a profile of a test's own."""
    found = office.find()
    if found is None:
        missing(office.MISSING)
    return found.apart(folder)


def environment(folder: Path) -> dict[str, str]:
    """The environment in which the extension finds and starts a service of the test's own."""
    return {**office.environment(), "STILLBOOK_HOME": str(folder / "home")}


def broken(folder: Path) -> Path:
    """Where the program that starts the service is put to make it fail."""
    return folder / "python-away"


def program(folder: Path, script: str) -> Path:
    """A program that is taken for the Python that calculates."""
    python = folder / "python"
    python.write_text(f"#!/bin/sh\n{script}\n")
    python.chmod(0o755)
    return python


def connect_to(mine: Office, folder: Path, python: Path, *, everyone: bool = False) -> list[str]:
    """Connect a test's own LibreOffice; what is for everyone goes into the test's folder too."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("STILLBOOK_HOME", str(folder / "home"))
        patch.setattr(sys, "executable", str(python))
        patch.setattr(connection, "_closed", lambda _: None)  # what a test uses may be its user's alone
        return connection.connect(mine, everyone=everyone)


def this_stillbook(folder: Path, *, noted: bool = False) -> Path:
    """The Stillbook that is tested; LibreOffice starts it without PYTHONPATH.

    Args:
        folder: Where the program goes.
        noted: Whether what it is asked is kept in the file ``asked``.
    """
    run = f'"{sys.executable}" "$@"'
    source = f'PYTHONPATH="{Path(stillbook.__file__).parent.parent}"'
    return program(folder, f'tee -a "{folder / "asked"}" | {source} {run}' if noted else f"{source} exec {run}")


@contextmanager
def connected(folder: Path, *, noted: bool = False) -> Iterator[Calc]:
    """A running LibreOffice that one ``connect`` has connected, from a profile that did not exist before."""
    mine = own_office(folder)
    connect_to(mine, folder, this_stillbook(folder, noted=noted))
    with running(mine, folder) as calc:
        yield calc


class Calc:
    """A running LibreOffice. Each method of the driver can be called by its name."""

    def __init__(self, process: subprocess.Popen[bytes], driver: subprocess.Popen[str], folder: Path) -> None:
        self.process = process
        self.driver = driver
        self.folder = folder

    def ask(self, name: str, *arguments: Any) -> Any:
        assert self.driver.stdin is not None
        assert self.driver.stdout is not None
        self.driver.stdin.write(json.dumps([name, arguments]) + "\n")
        self.driver.stdin.flush()
        line = self.driver.stdout.readline()
        assert line, "LibreOffice or its driver ended"
        answer = json.loads(line)
        assert "failed" not in answer, answer
        return answer["gives"]

    def values(self, *cells: str) -> dict[str, Any]:
        """The values of cells of the first sheet, an error as it is shown."""
        found: dict[str, Any] = self.ask("values", 0, cells)
        return {cell: value["shown"] if isinstance(value, dict) else value for cell, value in found.items()}

    def value(self, formula: str, cell: str = "Z1") -> Any:
        """What a formula gives, typed into a cell of the first sheet."""
        self.ask("enter", 0, cell, formula)
        return self.values(cell)[cell]

    def new(self) -> str:
        """A new workbook; gives the name of its first sheet."""
        return str(self.ask("open", "private:factory/scalc")[0])

    def open(self, path: Path) -> list[str]:
        return list(self.ask("open", path.resolve().as_uri()))

    def save(self, path: Path) -> Path:
        self.ask("save", path.resolve().as_uri())
        return path

    @property
    def companion(self) -> int:
        """The process that calculates for this LibreOffice."""
        (found,) = self.companions
        return found

    @property
    def companions(self) -> list[int]:
        told = subprocess.run(["ps", "-eo", "pid,pgid,args"], capture_output=True, text=True, check=True).stdout
        rows = [line.split(None, 2) for line in told.splitlines()[1:]]
        return [
            int(pid) for pid, group, args in rows if int(group) == self.process.pid and "stillbook.answering" in args
        ]


def wait_for_group(leader: int, seconds: float = 20) -> None:
    """Wait until all that a process started has ended, as far as it does so by itself."""
    end = time.monotonic() + seconds
    with suppress(ProcessLookupError):
        while time.monotonic() < end:
            os.killpg(leader, 0)
            time.sleep(0.05)


@contextmanager
def running(mine: Office, folder: Path, user: int | None = None) -> Iterator[Calc]:
    """Start LibreOffice, as another user where one is given, and end it with all it started.

    What another user runs stands in the folder: the checkout may be its owner's alone.
    """
    groups: dict[str, Any] = {} if user is None else {"user": user, "group": user, "extra_groups": []}
    pipe = f"stillbook-{uuid.uuid4().hex}"
    options = ("--headless", "--norestore", "--nologo", f"--accept=pipe,name={pipe};urp;")
    python = bridge_python()
    env = environment(folder)
    log = (folder / "office.log").open("wb")
    ours = Path(shutil.copy(DRIVER, folder))
    process = subprocess.Popen(
        [str(mine.program / "soffice"), *mine.options, *options],
        cwd=folder,
        env=env,
        stdin=subprocess.DEVNULL,
        stdout=log,
        stderr=log,
        start_new_session=True,
        **groups,
    )
    driver = subprocess.Popen(
        [python, str(ours), pipe],
        cwd=folder,
        env=env,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=sys.stderr,
        text=True,
        **groups,
    )
    try:
        assert driver.stdout is not None
        assert driver.stdout.readline(), (folder / "office.log").read_text()
        calc = Calc(process, driver, folder)
        try:
            yield calc
        finally:
            with suppress(AssertionError, OSError):
                calc.ask("quit")
            with suppress(subprocess.TimeoutExpired):
                process.wait(timeout=20)
                wait_for_group(process.pid)
    finally:
        driver.kill()
        driver.wait()
        with suppress(ProcessLookupError):
            os.killpg(process.pid, signal.SIGKILL)
        process.wait()
        log.close()
