"""What the service has done since it started: counted by all workers together, told as a monitoring program reads it.

The text is the Prometheus exposition format, version 0.0.4. It holds no names, addresses or values of cells.
"""

from __future__ import annotations

import multiprocessing
import threading
import time
from ctypes import c_double, c_uint64
from itertools import accumulate
from typing import Final

from stillbook import __version__

MEDIA_TYPE: Final = "text/plain; version=0.0.4; charset=utf-8"

_STATUSES: Final = (200, 304, 400, 401, 403, 404, 405, 408, 413, 422, 500, 503)
_WITHIN: Final = (0.001, 0.003, 0.01, 0.03, 0.1, 0.3, 1.0, 3.0, 10.0, 30.0)
"""Seconds within which a request was answered."""

_CALLS: Final = len(_STATUSES) + 1
_ERRORS: Final = _CALLS + 1
_FIRST_WAIT: Final = _ERRORS + 1
_SIZE: Final = _FIRST_WAIT + len(_WITHIN) + 1


class Counts:
    """Numbers in memory that all workers share.

    Args:
        shared: Whether it is handed to worker processes when they start.
    """

    def __init__(self, *, shared: bool = False) -> None:
        context = multiprocessing.get_context("spawn")
        self._numbers = context.RawArray(c_uint64, _SIZE)
        self._seconds = context.RawValue(c_double, 0.0)
        self._lock = context.Lock() if shared else threading.Lock()
        self._started = time.time()

    def note(self, status: int, seconds: float, calls: int = 0, errors: int = 0) -> None:
        """Count an answered request, with the formula calls in it and those of them that gave an error."""
        # A worker that was killed here would hold the lock for ever: a number is not worth waiting for.
        if not self._lock.acquire(timeout=0.5):
            return
        try:
            place = _STATUSES.index(status) if status in _STATUSES else len(_STATUSES)
            wait = next((number for number, most in enumerate(_WITHIN) if seconds <= most), len(_WITHIN))
            self._numbers[place] += 1
            self._numbers[_FIRST_WAIT + wait] += 1
            self._numbers[_CALLS] += calls
            self._numbers[_ERRORS] += errors
            self._seconds.value += seconds
        finally:
            self._lock.release()

    def text(self) -> str:
        """All of it, for a monitoring program."""
        if not self._lock.acquire(timeout=0.5):
            numbers, seconds = list(self._numbers), self._seconds.value
        else:
            try:
                numbers, seconds = list(self._numbers), self._seconds.value
            finally:
                self._lock.release()
        statuses = [*map(str, _STATUSES), "other"]
        within = [*map(str, _WITHIN), "+Inf"]
        waits = list(accumulate(numbers[_FIRST_WAIT:]))
        return "\n".join(
            [
                *_head("stillbook_info", "gauge", "The version that answers."),
                f'stillbook_info{{version="{__version__}"}} 1',
                *_head("stillbook_start_time_seconds", "gauge", "When the service started, in seconds of Unix time."),
                f"stillbook_start_time_seconds {self._started:.3f}",
                *_head("stillbook_requests_total", "counter", "Requests answered, by status."),
                *(
                    f'stillbook_requests_total{{status="{status}"}} {number}'
                    for status, number in zip(statuses, numbers, strict=False)
                ),
                *_head("stillbook_formula_calls_total", "counter", "Formula calls answered."),
                f"stillbook_formula_calls_total {numbers[_CALLS]}",
                *_head("stillbook_formula_errors_total", "counter", "Formula calls answered with an error value."),
                f"stillbook_formula_errors_total {numbers[_ERRORS]}",
                *_head("stillbook_request_seconds", "histogram", "Time from the head of a request to its answer."),
                *(
                    f'stillbook_request_seconds_bucket{{le="{most}"}} {number}'
                    for most, number in zip(within, waits, strict=True)
                ),
                f"stillbook_request_seconds_sum {seconds:.6f}",
                f"stillbook_request_seconds_count {waits[-1]}",
                "",
            ]
        )


def _head(name: str, kind: str, words: str) -> tuple[str, str]:
    return f"# HELP {name} {words}", f"# TYPE {name} {kind}"
