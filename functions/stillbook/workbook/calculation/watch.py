"""A watch on calculations from outside this process, for the hang in which no thread of Python runs any more.

A time limit kept by a thread needs that thread to run, and native code that hangs may let none. One small process of
our own counts along; it ends this process with a message where a calculation overran its limit unnoticed.
"""

from __future__ import annotations

import itertools
import os
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import Final

from stillbook.workbook import WorkbookError

GRACE: Final = 5.0
"""Seconds after a time limit in which a calculation may still be stopped from inside."""

_MESSAGE: Final = (
    "stillbook: the calculation hung and could not be stopped, so this program was ended: it may have run short of "
    "memory; close other programs and run it again. The workbook was left as it was."
)

# Reads "id seconds" to begin and "id" to end a watch, a line each; the end of its input is the end of the watched.
_WATCHER: Final = """
import os, queue, signal, sys, threading, time
lines, ends = queue.SimpleQueue(), {}
def read():
    for line in sys.stdin:
        lines.put(line.split())
    os._exit(0)
threading.Thread(target=read, daemon=True).start()
while True:
    left = min(ends.values(), default=time.monotonic() + 3600) - time.monotonic()
    try:
        watch, *seconds = lines.get(timeout=max(left, 0))
    except queue.Empty:
        if ends:
            print(sys.argv[2], file=sys.stderr, flush=True)
            os.kill(int(sys.argv[1]), getattr(signal, "SIGKILL", signal.SIGTERM))
            os._exit(0)
        continue
    ends.pop(watch, None)
    if seconds:
        ends[watch] = time.monotonic() + float(seconds[0])
"""


class _Watcher:
    """The process that watches this one, started when it is first needed."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._process: subprocess.Popen[bytes] | None = None
        self._watched = 0

    def tell(self, line: str) -> None:
        """Hand a line over, to a new process where there is none or it has ended.

        Raises:
            OSError: If it cannot be started.
        """
        with self._lock:
            if self._process is None or self._watched != os.getpid() or self._process.poll() is not None:
                self._start()
            assert self._process is not None
            assert self._process.stdin is not None
            self._process.stdin.write(f"{line}\n".encode())
            self._process.stdin.flush()

    def _start(self) -> None:
        # In a session of its own: Ctrl-C is for the watched alone.
        self._watched = os.getpid()
        self._process = subprocess.Popen(
            [sys.executable, "-I", "-S", "-c", _WATCHER, str(self._watched), _MESSAGE],
            stdin=subprocess.PIPE,
            stdout=subprocess.DEVNULL,
            start_new_session=True,
        )


_watcher: Final = _Watcher()
_numbers: Final = itertools.count()


@contextmanager
def watched(seconds: float) -> Iterator[None]:
    """End this process if what is done meanwhile takes much longer than it may.

    Raises:
        WorkbookError: If the watch cannot be set.
    """
    watch = next(_numbers)
    try:
        _watcher.tell(f"{watch} {seconds + GRACE}")
    except OSError as error:
        raise WorkbookError(
            f"it cannot be calculated: this computer could not start a small program ({error.strerror or error}): "
            "close other programs and run it again"
        ) from None
    try:
        yield
    finally:
        # Where the watcher is gone, so is every watch.
        with suppress(OSError):
            _watcher.tell(str(watch))
