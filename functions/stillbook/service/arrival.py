"""HTTP in which a request has to arrive in time, so that half-sent ones cannot keep others out."""

from __future__ import annotations

import asyncio
import json
from typing import Final

import h11
from uvicorn.protocols.http.h11_impl import H11Protocol

from stillbook.service.limits import Limits

_LATE_HEAD: Final = (
    b"HTTP/1.1 408 Request Timeout\r\nConnection: close\r\n"
    b"Content-Type: application/json\r\nContent-Length: %d\r\n\r\n%s"
)


class TimelyProtocol(H11Protocol):
    """One connection. A head has a time from its first byte, or from the start of the connection, to its end; a body
    from there to its own end, also where it was refused and is read only so that the answer can be.

    The application waits less long for a body than this, and refuses it with a sentence.
    """

    head_seconds = Limits.head_seconds
    body_seconds = Limits.body_seconds + 5

    _awaited: object = None
    """What is awaited: head or body, and after which request."""
    _deadline: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        super().connection_made(transport)
        self._watch()
        if self.limit_concurrency is not None and len(self.connections) >= self.limit_concurrency:
            self._make_room()

    def data_received(self, data: bytes) -> None:
        super().data_received(data)
        self._watch()

    def connection_lost(self, exc: Exception | None) -> None:
        self._rest()
        super().connection_lost(exc)

    def _watch(self) -> None:
        """Time what is awaited now. Between requests the limit on idle connections holds instead."""
        awaited = (self.conn.their_state, self.cycle)
        if awaited == self._awaited:
            return
        self._awaited = awaited
        self._rest()
        if self.conn.their_state is h11.IDLE:
            self._deadline = self.loop.call_later(self.head_seconds, self._refuse_head)
        elif self.conn.their_state is h11.SEND_BODY:
            self._deadline = self.loop.call_later(self.body_seconds, self.transport.close)

    def _make_room(self) -> None:
        """End the connection that has waited longest for a head, so that one who sends a whole request is answered."""
        waiting = [
            (each._deadline.when(), each)
            for each in self.connections
            if isinstance(each, TimelyProtocol) and each is not self and each._deadline is not None
            if each.conn.their_state is h11.IDLE and not each.transport.is_closing()
        ]
        if waiting:
            min(waiting, key=lambda pair: pair[0])[1]._refuse_head()

    def _rest(self) -> None:
        if self._deadline is not None:
            self._deadline.cancel()
            self._deadline = None

    def _refuse_head(self) -> None:
        begun, _ = self.conn.trailing_data
        if begun and not self.transport.is_closing():
            detail = {"detail": f"the request did not arrive within {self.head_seconds:g} s: send it again"}
            body = json.dumps(detail).encode()
            self.transport.write(_LATE_HEAD % (len(body), body))
        self.transport.close()
