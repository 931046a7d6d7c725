"""HTTP in which a request has to arrive in time, so that half-sent ones cannot keep others out."""

from __future__ import annotations

import asyncio
import json
from enum import Enum
from typing import Final

from uvicorn.protocols.http.httptools_impl import HttpToolsProtocol

from stillbook.service.limits import Limits

_REFUSED: Final = (
    b"HTTP/1.1 %d %s\r\nConnection: close\r\nContent-Type: application/json\r\nContent-Length: %d\r\n\r\n%s"
)


class Awaited(Enum):
    """What comes next on a connection."""

    HEAD = "the rest of a head, or one on a connection that has had none"
    BODY = "the rest of a body"
    NOTHING = "a request, whenever it likes"


class TimelyProtocol(HttpToolsProtocol):
    """One connection. A head has a time from its first byte, or from the start of the connection, to its end; a body
    from there to its own end, also where it was refused and is read only so that the answer can be.

    The application waits less long for a body than this, and refuses it with a sentence.
    """

    head_seconds = Limits.head_seconds
    body_seconds = Limits.body_seconds + 5
    head_bytes = Limits.head_bytes

    _awaited = Awaited.HEAD
    _requests = 0
    """How many have begun."""
    _watched: tuple[Awaited, int] | None = None
    """What the deadline is for: a part of which request."""
    _deadline: asyncio.TimerHandle | None = None
    _head = 0
    """Bytes that came since a head was awaited."""

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        super().connection_made(transport)
        self._watch()
        if self.limit_concurrency is not None and len(self.connections) >= self.limit_concurrency:
            self._make_room()

    def data_received(self, data: bytes) -> None:
        self._head += len(data)
        super().data_received(data)
        if self._awaited is not Awaited.HEAD:
            self._head = 0
        elif self._head > self.head_bytes:
            sentence = f"the head of the request is larger than {self.head_bytes} bytes: send a smaller one"
            self._refuse(431, b"Request Header Fields Too Large", sentence)
        self._watch()

    def connection_lost(self, exc: Exception | None) -> None:
        self._rest()
        super().connection_lost(exc)

    def on_message_begin(self) -> None:
        self._awaited = Awaited.HEAD
        self._requests += 1
        super().on_message_begin()

    def on_headers_complete(self) -> None:
        self._awaited = Awaited.BODY
        super().on_headers_complete()

    def on_message_complete(self) -> None:
        self._awaited = Awaited.NOTHING
        super().on_message_complete()

    def _watch(self) -> None:
        """Time what is awaited now. Between requests the limit on idle connections holds instead."""
        watched = (self._awaited, self._requests)
        if watched == self._watched:
            return
        # The time of a first head runs from the start of the connection.
        if watched == (Awaited.HEAD, 1) and self._watched == (Awaited.HEAD, 0):
            return
        self._watched = watched
        self._rest()
        if self._awaited is Awaited.HEAD:
            self._deadline = self.loop.call_later(self.head_seconds, self._refuse_head)
        elif self._awaited is Awaited.BODY:
            self._deadline = self.loop.call_later(self.body_seconds, self.transport.close)

    def _make_room(self) -> None:
        """End the connection that has waited longest for a head, so that one who sends a whole request is answered."""
        waiting = [
            (each._deadline.when(), each)
            for each in self.connections
            if isinstance(each, TimelyProtocol) and each is not self and each._deadline is not None
            if each._awaited is Awaited.HEAD and not each.transport.is_closing()
        ]
        if waiting:
            min(waiting, key=lambda pair: pair[0])[1]._refuse_head()

    def _rest(self) -> None:
        if self._deadline is not None:
            self._deadline.cancel()
            self._deadline = None

    def _refuse_head(self) -> None:
        if self._head:
            sentence = f"the request did not arrive within {self.head_seconds:g} s: send it again"
            self._refuse(408, b"Request Timeout", sentence)
        else:
            self.transport.close()

    def _refuse(self, status: int, phrase: bytes, sentence: str) -> None:
        """Answer before the application can, and end the connection."""
        if not self.transport.is_closing():
            body = json.dumps({"detail": sentence}).encode()
            self.transport.write(_REFUSED % (status, phrase, len(body), body))
        self.transport.close()
