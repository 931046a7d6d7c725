"""Calls to the calculation service: found or started, kept connected, answered from memory where asked before."""

from __future__ import annotations

import http.client
import json
import socket
import ssl
import threading
import time
from collections.abc import Callable
from contextlib import suppress
from typing import TYPE_CHECKING, Any, Protocol
from urllib.parse import urlsplit

from .values import error, to_calc, to_service

if TYPE_CHECKING:
    from .values import Rows

CONNECT_SECONDS = 1.0
"""How long the service may take to accept a connection: it runs on this computer."""

ANSWER_SECONDS = 10.0
"""How long one call may take."""

REST_SECONDS = 1.0
"""After a failure no call is sent until none has been asked for this long, so that a sheet fails whole and fast."""

LONGEST_REST_SECONDS = 5.0
"""After this long a call is sent in any case."""

OK = 200
BUSY = 503
REFUSALS = (400, 408, 413, 422, 500)
"""What the service says of a request that it does not answer. Anything else comes from another program."""

REMEMBERED_BYTES = 16 * 2**20
"""Size of the calls and answers kept in memory. Formulas always give the same answer to the same call."""


class Record(Protocol):
    """What the discovery file says of the running service."""

    @property
    def address(self) -> str: ...
    @property
    def token(self) -> str: ...
    @property
    def certificate(self) -> str: ...


class Unreachable(Exception):
    """The service gives no answer, now or after another try."""


class Refused(Exception):
    """The service refuses the request as a whole."""


class Client:
    """Asks the service, one call at a time.

    Args:
        find: Reads the discovery file.
        start: Starts a service and returns once it can be found, or cannot be started.
        answer_seconds: How long one call may take.
    """

    def __init__(
        self,
        find: Callable[[], Record | None],
        start: Callable[[], None],
        answer_seconds: float = ANSWER_SECONDS,
    ) -> None:
        self._find = find
        self._start = start
        self._answer_seconds = answer_seconds
        self._lock = threading.Lock()
        self._connection: http.client.HTTPConnection | None = None
        self._record: Record | None = None
        self._proven = False
        """Whether the open connection has brought an answer."""
        self._foreign: Record | None = None
        """What the discovery file still says of a service that is gone, where another program has its address."""
        self._headers: dict[str, str] = {}
        self._remembered: dict[bytes, Rows] = {}
        self._size = 0
        self._failed = self._refused = float("-inf")

    def call(self, name: str, arguments: list[Any]) -> Rows:
        """The answer to a formula call, as Calc takes it. It never raises: without an answer it is #N/A."""
        while arguments and arguments[-1] is None:
            arguments.pop()
        asked = {"name": name, "arguments": list(map(to_service, arguments))}
        body = json.dumps({"calls": [asked]}, separators=(",", ":")).encode()
        with self._lock:
            if body in self._remembered:
                return self._remembered[body]
            if self._rests():
                return ((error("#N/A"),),)
            try:
                text = self._ask(body)
                answer = to_calc(json.loads(text)["answers"][0])
            except Refused:
                return ((error("#VALUE!"),),)
            except (Unreachable, ValueError, LookupError, TypeError):
                self._disconnect()
                self._failed = self._refused = time.monotonic()
                return ((error("#N/A"),),)
            self._remember(body, answer, len(body) + len(text))
            return answer

    def _rests(self) -> bool:
        """Whether a failure was so short ago that the same recalculation is still under way."""
        now = time.monotonic()
        if now - self._refused > REST_SECONDS or now - self._failed > LONGEST_REST_SECONDS:
            return False
        self._refused = now
        return True

    def _remember(self, body: bytes, answer: Rows, size: int) -> None:
        if self._size + size > REMEMBERED_BYTES:
            self._forget()
        if size <= REMEMBERED_BYTES // 16:
            self._remembered[body] = answer
            self._size += size

    def _forget(self) -> None:
        self._remembered.clear()
        self._size = 0

    def _ask(self, body: bytes) -> bytes:
        """The service's reply; over a new connection where the old one broke, or from a service started for it.

        Raises:
            Unreachable: If there is none, or it does not come in time.
            Refused: If the service takes the request for wrong.
        """
        for _ in range(3):
            connection = self._connection or self._connect()
            try:
                connection.request("POST", "/calls", body, self._headers)
                response = connection.getresponse()
                reply = response.read()
            except socket.timeout:  # noqa: UP041 - another class before Python 3.10
                raise Unreachable from None
            except (OSError, http.client.HTTPException):
                self._disconnect()
                if not self._proven:
                    self._foreign = self._record
                continue
            if response.status == OK:
                self._proven = True
                return reply
            self._disconnect()
            if response.status in REFUSALS:
                raise Refused
            if response.status == BUSY:
                raise Unreachable
            self._foreign = self._record
        raise Unreachable

    def _connect(self) -> http.client.HTTPConnection:
        """A new connection to the running service; where none answers, one is started.

        Raises:
            Unreachable: If it cannot be started.
        """
        record = self._find()
        if record is not None and record != self._foreign:
            with suppress(OSError):
                return self._open(record)
        self._start()
        foreign, self._foreign = self._foreign, None
        record = self._find()
        if record is not None and record != foreign:
            with suppress(OSError):
                return self._open(record)
        raise Unreachable

    def _open(self, record: Record) -> http.client.HTTPConnection:
        if record != self._record:
            # Another service may be of another version, with other answers.
            self._forget()
            self._record = record
        self._proven = False
        parts = urlsplit(record.address)
        connection = _connection(parts.scheme, parts.hostname or "", parts.port, record.certificate)
        connection.connect()
        connection.sock.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        connection.sock.settimeout(self._answer_seconds)
        self._headers = {"Authorization": f"Bearer {record.token}", "Content-Type": "application/json"}
        self._connection = connection
        return connection

    def _disconnect(self) -> None:
        if self._connection is not None:
            self._connection.close()
            self._connection = None


def _connection(scheme: str, host: str, port: int | None, certificate: str) -> http.client.HTTPConnection:
    if scheme != "https":
        return http.client.HTTPConnection(host, port, timeout=CONNECT_SECONDS)
    context = ssl.create_default_context(cafile=certificate or None)
    # The file may hold the server's own certificate without that of its issuer.
    context.verify_flags |= getattr(ssl, "VERIFY_X509_PARTIAL_CHAIN", 0x80000)
    return http.client.HTTPSConnection(host, port, timeout=CONNECT_SECONDS, context=context)
