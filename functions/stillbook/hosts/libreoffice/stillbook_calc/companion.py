"""The process that calculates: started by the first call, asked line by line, and ended with LibreOffice.

It is LibreOffice's own, so that it is always the Stillbook that the extension was connected from, whatever else runs.
"""

from __future__ import annotations

import os
import subprocess
import threading
import time
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from typing import BinaryIO

START_SECONDS = 30.0
"""How long the first answer may take, with the start."""

ANSWER_SECONDS = 10.0
"""How long any other may take."""


WATCH_SECONDS = 0.5
"""How often it is looked whether an answer is late."""


class Away(Exception):
    """No answer can be had; the message says why and what to do."""


class Companion:
    """Asks the process, one line at a time.

    Its standard input closes when LibreOffice ends, in whatever way, and with that it ends too.

    Args:
        command: The program and its arguments.
        log: File for what it writes to standard error.
        start_seconds: How long its first answer may take.
        answer_seconds: How long any other may take.
    """

    def __init__(
        self,
        command: Sequence[str],
        log: Path,
        start_seconds: float = START_SECONDS,
        answer_seconds: float = ANSWER_SECONDS,
    ) -> None:
        self._command = list(command)
        self._log = log
        self._start_seconds = start_seconds
        self._answer_seconds = answer_seconds
        self._running: _Running | None = None

    def ask(self, line: bytes) -> bytes:
        """The line that answers a line; from a new process where the one before has ended.

        Raises:
            Away: If there is none, or it does not come in time.
        """
        for _ in range(2):
            running = self._running
            seconds = self._answer_seconds
            if running is None:
                running = self._running = self._start()
                seconds = self._start_seconds
            answer = running.ask(line, seconds)
            if answer:
                return answer
            self.stop()
            if running.late:
                raise self._away(f"Stillbook gave no answer within {seconds:g} s: calculate again")
        raise self._away(f"Stillbook ended without an answer{self._last_words()}")

    def stop(self) -> None:
        """End the process; the next question starts another."""
        if self._running is not None:
            self._running.stop()
            self._running = None

    def _start(self) -> _Running:
        # LibreOffice sets these for its own Python; they would lead another one astray.
        environment = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
        environment.setdefault("OPENBLAS_NUM_THREADS", "1")  # more of numpy's threads would only spin as it is loaded
        try:
            with self._notes() as errors:
                return _Running(
                    subprocess.Popen(
                        self._command,
                        env=environment,
                        stdin=subprocess.PIPE,
                        stdout=subprocess.PIPE,
                        stderr=errors,
                        creationflags=getattr(subprocess, "CREATE_NO_WINDOW", 0),
                    )
                )
        except OSError as error:
            place = error.filename or self._command[0]
            raise self._away(
                f"Stillbook cannot be started ({place}: {error.strerror}): "
                'install it again, and run "stillbook connect libreoffice"'
            ) from None

    def _notes(self) -> BinaryIO:
        """The log, emptied; where there can be none, nowhere."""
        try:
            self._log.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            return self._log.open("wb")
        except OSError:
            return Path(os.devnull).open("wb")

    def _away(self, reason: str) -> Away:
        """The reason, which is noted in the log too."""
        with suppress(OSError), self._log.open("a", encoding="utf-8") as notes:
            notes.write(f"{reason}\n")
            reason += f"; its notes are in {self._log}"
        return Away(reason)

    def _last_words(self) -> str:
        try:
            lines = self._log.read_text(encoding="utf-8", errors="replace").split("\n")
        except OSError:
            return ""
        last = next((line.strip() for line in reversed(lines) if line.strip()), "")
        return f" ({last[:200]})" if last else ""


class _Running:
    """A started process. A thread of its own ends it where an answer does not come in time."""

    def __init__(self, process: subprocess.Popen[bytes]) -> None:
        self.process = process
        self.late = False
        """Whether it was ended because an answer did not come in time."""
        self._until: float | None = None
        threading.Thread(target=self._watch, name="stillbook", daemon=True).start()

    def ask(self, line: bytes, seconds: float) -> bytes:
        """The answer; empty if the process has ended."""
        asked, answers = self.process.stdin, self.process.stdout
        assert asked is not None
        assert answers is not None
        self._until = time.monotonic() + seconds
        try:
            asked.write(line + b"\n")
            asked.flush()
            answer = answers.readline()
        except OSError:
            return b""
        finally:
            self._until = None
        # Half a line is what a killed process leaves.
        return answer if answer.endswith(b"\n") else b""

    def stop(self) -> None:
        self.process.kill()
        self.process.wait()
        for pipe in (self.process.stdin, self.process.stdout):
            with suppress(OSError):  # what could not be written
                if pipe is not None:
                    pipe.close()

    def _watch(self) -> None:
        while self.process.poll() is None:
            until = self._until
            if until is not None and time.monotonic() > until:
                self.late = True
                self.process.kill()
                return
            time.sleep(WATCH_SECONDS)
