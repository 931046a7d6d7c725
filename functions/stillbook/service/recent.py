"""The latest error answers with their reasons, in memory that all workers share."""

from __future__ import annotations

import json
import multiprocessing
import threading
import time
from collections.abc import Iterable, Iterator
from copy import copy
from ctypes import addressof, c_char, c_uint64, memmove
from datetime import UTC, datetime
from typing import Any, Final, NamedTuple

KEPT: Final = 200
_SLOT: Final = 4096
"""Bytes for one error: the texts are cut so that it fits however JSON spells them."""


class Failure(NamedTuple):
    """An error answer: the formula's name, the code, the reason, and the cell that asked where it is known."""

    formula: str
    code: str
    reason: str
    cell: str


class RecentErrors:
    """A ring of the last :data:`KEPT` error answers. It is never on disk under a name, and ends with the service.

    Args:
        shared: Whether it is handed to worker processes when they start, which then all write to it and read from it.
    """

    def __init__(self, *, shared: bool = False) -> None:
        context = multiprocessing.get_context("spawn")
        self._slots = context.RawArray(c_char, KEPT * _SLOT)
        self._written = context.RawValue(c_uint64, 0)
        self._lock = context.Lock() if shared else threading.Lock()
        self._caller = ""

    def of(self, caller: str) -> RecentErrors:
        """The same memory for one caller, who is told of nobody else's errors: a reason quotes what a cell holds."""
        mine = copy(self)
        mine._caller = caller
        return mine

    def add(self, failures: Iterable[Failure]) -> None:
        """Note error answers, the oldest first; of more than fit, the last are kept."""
        notes = [_packed(failure, self._caller) for failure in list(failures)[-KEPT:]]
        # A worker that was killed here would hold the lock for ever: a note is not worth waiting for.
        if not notes or not self._lock.acquire(timeout=0.5):
            return
        try:
            for note in notes:
                place = self._written.value % KEPT * _SLOT
                memmove(addressof(self._slots) + place, note, len(note))
                self._written.value += 1
        finally:
            self._lock.release()

    def newest_first(self) -> list[dict[str, Any]]:
        """The errors as the service tells them, those that are alike as one with their number."""
        told: dict[Failure, dict[str, Any]] = {}
        for when, failure in self._notes():
            if failure in told:
                told[failure]["count"] += 1
            else:
                told[failure] = {
                    "time": datetime.fromtimestamp(when, UTC).isoformat(timespec="seconds"),
                    **failure._asdict(),
                    "count": 1,
                }
        return list(told.values())

    def _notes(self) -> Iterator[tuple[float, Failure]]:
        if not self._lock.acquire(timeout=0.5):
            return
        try:
            memory, written = bytes(self._slots), self._written.value
        finally:
            self._lock.release()
        for number in range(written - 1, max(0, written - KEPT) - 1, -1):
            place = number % KEPT * _SLOT
            size = int.from_bytes(memory[place : place + 4], "big")
            when, caller, *texts = json.loads(memory[place + 4 : place + 4 + size])
            if caller == self._caller:
                yield when, Failure(*texts)


def _packed(failure: Failure, caller: str) -> bytes:
    """One error with its time, behind its own length."""
    texts = [text[:longest] for text, longest in zip(failure, (40, 10, 400, 100), strict=True)]
    note = json.dumps([round(time.time(), 3), caller, *texts], ensure_ascii=False).encode("utf-8", "replace")
    return len(note).to_bytes(4, "big") + note
