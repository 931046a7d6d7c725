"""Formula calls: answered from memory where asked before, else by the process that calculates."""

from __future__ import annotations

import json
import threading
import time
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from .companion import Away
from .values import AWAY, error, to_calc, to_service

if TYPE_CHECKING:
    from .values import Rows

REST_SECONDS = 1.0
"""After a failure no call is sent until none has been asked for this long, so that a sheet fails whole and fast."""

LONGEST_REST_SECONDS = 5.0
"""After this long a call is sent in any case."""

REMEMBERED_BYTES = 16 * 2**20
"""Size of the calls and answers kept in memory. Formulas always give the same answer to the same call."""

WHY = "WHY"
"""The formula that tells why another gives an error. Where nothing calculates it is answered here."""


class Client:
    """Asks one call at a time.

    Args:
        ask: Gives the line that answers a line, or raises :class:`Away`.
        tell: Is told why no answer can be had, once for each time that answers cease; of nothing when they come again.
    """

    def __init__(self, ask: Callable[[bytes], bytes], tell: Callable[[str], None] = lambda _: None) -> None:
        self._ask = ask
        self._tell = tell
        self._lock = threading.Lock()
        self._remembered: dict[bytes, Rows] = {}
        self._size = 0
        self._failed = self._refused = float("-inf")
        self._reason = ""

    def call(self, name: str, arguments: list[Any]) -> Rows:
        """The answer to a formula call, as Calc takes it. It never raises: what cannot be had is an error value."""
        try:
            while arguments and arguments[-1] is None:
                arguments.pop()
            asked = {"name": name, "arguments": list(map(to_service, arguments))}
            line = json.dumps(asked, separators=(",", ":")).encode()
        except (ValueError, TypeError, RecursionError):  # what is no cell value
            return ((error("#VALUE!"),),)
        with self._lock:
            if line in self._remembered:
                return self._remembered[line]
            if self._rests():
                return self._away(name)
            try:
                reply = self._ask(line)
                answer = to_calc(json.loads(reply))
            except Away as away:
                return self._failure(name, str(away))
            except (ValueError, LookupError, TypeError):
                return self._failure(name, "Stillbook gave what is no answer: connect it to LibreOffice again")
            if self._reason:
                self._reason = ""
                self._tell("")
            self._remember(line, answer, len(line) + len(reply))
            return answer

    def _rests(self) -> bool:
        """Whether a failure was so short ago that the same recalculation is still under way."""
        now = time.monotonic()
        if now - self._refused > REST_SECONDS or now - self._failed > LONGEST_REST_SECONDS:
            return False
        self._refused = now
        return True

    def _failure(self, name: str, reason: str) -> Rows:
        self._failed = self._refused = time.monotonic()
        if reason != self._reason:
            self._reason = reason
            self._tell(reason)
        return self._away(name)

    def _away(self, name: str) -> Rows:
        return ((self._reason if name == WHY else error(AWAY),),)

    def _remember(self, line: bytes, answer: Rows, size: int) -> None:
        if self._size + size > REMEMBERED_BYTES:
            self._remembered.clear()
            self._size = 0
        if size <= REMEMBERED_BYTES // 16:
            self._remembered[line] = answer
            self._size += size
