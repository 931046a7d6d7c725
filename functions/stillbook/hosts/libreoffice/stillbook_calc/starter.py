"""Starting the calculation service for as long as LibreOffice runs."""

from __future__ import annotations

import os
import subprocess
import time
from collections.abc import Callable, Sequence
from pathlib import Path

START_SECONDS = 20.0
"""How long the service may take from its start until it can be found."""


class Starter:
    """Starts the service and waits until it can be found.

    The service runs until its standard input closes, which happens when LibreOffice ends, in whatever way.

    Args:
        command: The program and its arguments.
        found: Whether the service with this process number can be found.
        log: File for what it writes to standard error.
    """

    def __init__(self, command: Sequence[str], found: Callable[[int], bool], log: Path) -> None:
        self._command = list(command)
        self._found = found
        self._log = log
        self._process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        """Start a service; returns once it can be found, or has ended, or took too long."""
        try:
            self._process = self._run()
        except OSError:
            return
        end = time.monotonic() + START_SECONDS
        while time.monotonic() < end:
            if self._found(self._process.pid) or self._process.poll() is not None:
                return
            time.sleep(0.02)

    def _run(self) -> subprocess.Popen[bytes]:
        # LibreOffice sets these for its own Python; they would lead another one astray.
        environment = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
        self._log.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        with self._log.open("wb") as errors:
            return subprocess.Popen(
                self._command,
                env=environment,
                stdin=subprocess.PIPE,
                stdout=subprocess.DEVNULL,
                stderr=errors,
                creationflags=getattr(subprocess, "CREATE_NO_WINDOW", 0),
            )
