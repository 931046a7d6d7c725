"""Requests that arrive in parts, late or too large, over real sockets; the limits are short ones of the test's own."""

import asyncio
import json
from contextlib import asynccontextmanager

import httpx
import pytest
import uvicorn

from service.asking import TOKEN, call
from stillbook.service.app import create_app
from stillbook.service.arrival import TimelyProtocol
from stillbook.service.guard import Access
from stillbook.service.limits import Limits
from stillbook.service.recent import RecentErrors

MOST = 40
"""Connections that are answered at the same time."""

SHORT = 0.4

WHOLE = json.dumps({"calls": [call("QUANTITY", "36 in", "ft")]}).encode()


class Short(TimelyProtocol):
    head_seconds = SHORT
    body_seconds = 2 * SHORT


class Here:
    """A running service, and connections to it that are driven byte by byte."""

    def __init__(self, port: int) -> None:
        self.port = port

    def head(self, length: int) -> bytes:
        return (
            f"POST /calls HTTP/1.1\r\nHost: 127.0.0.1:{self.port}\r\nAuthorization: Bearer {TOKEN}\r\n"
            f"Content-Length: {length}\r\n\r\n"
        ).encode()

    async def send(self, *pieces: bytes):
        """Send pieces over a connection of its own, which stays open; gives its reading end."""
        reader, writer = await asyncio.open_connection("127.0.0.1", self.port)
        for piece in pieces:
            writer.write(piece)
            await writer.drain()
        return reader, writer

    async def answer(self, *pieces: bytes) -> bytes:
        """What comes back until the service closes the connection."""
        reader, writer = await self.send(*pieces)
        async with asyncio.timeout(30):
            told = await reader.read()
        writer.close()
        return told

    async def status(self) -> int:
        """The status of a plain request."""
        headers = {"Authorization": f"Bearer {TOKEN}"}
        async with httpx.AsyncClient(trust_env=False, headers=headers) as client:
            return (await client.post(f"http://127.0.0.1:{self.port}/calls", content=WHOLE)).status_code


@asynccontextmanager
async def served(protocol, limits):
    config = uvicorn.Config(
        lambda: None, http=protocol, lifespan="off", log_config=None, limit_concurrency=MOST, ws="none"
    )
    server = uvicorn.Server(config)
    config.load()
    listening = await asyncio.get_running_loop().create_server(
        lambda: protocol(config, server.server_state, {}), "127.0.0.1", 0, backlog=1000
    )
    port = listening.sockets[0].getsockname()[1]
    config.loaded_app = create_app(Access.to(f"http://127.0.0.1:{port}", TOKEN), RecentErrors(), limits)
    try:
        yield Here(port)
    finally:
        listening.close()
        for connection in list(server.server_state.connections):
            connection.transport.abort()
        await asyncio.gather(*server.server_state.tasks, return_exceptions=True)


def run(steps, protocol=Short, limits=Limits(body_seconds=SHORT)):  # noqa: B008 - it cannot be changed
    """Take steps with a service that waits for nothing long."""

    async def within():
        async with served(protocol, limits) as here:
            return await steps(here)

    return asyncio.run(within())


@pytest.mark.parametrize(
    "half",
    [
        lambda here: b"",
        lambda here: b"POST /calls HT",
        lambda here: here.head(len(WHOLE))[:-2],
        lambda here: here.head(len(WHOLE)),
        lambda here: here.head(len(WHOLE)) + WHOLE[:10],
        lambda here: b"POST /calls HTTP/1.1\r\nHost: elsewhere\r\nContent-Length: 100\r\n\r\n",
    ],
    ids=["nothing", "half a line", "half a head", "a head", "half a body", "a foreign head"],
)
def test_any_number_of_half_sent_requests_keep_others_out_for_a_while_only(half):
    async def steps(here):
        open_ = [await here.send(half(here)) for _ in range(MOST + 10)]
        async with asyncio.timeout(30):
            for reader, _ in open_:
                await reader.read()  # until the service closes it
        return await here.status()

    assert run(steps) == 200


@pytest.mark.parametrize("half", [b"", b"POST /calls HT", b"POST /calls HTTP/1.1\r\nHost: elsewhere\r\n"])
def test_half_sent_heads_make_room_for_whole_requests(half):
    async def steps(here):
        open_ = [await here.send(half) for _ in range(3 * MOST)]
        status = await here.status()
        for _, writer in open_:
            writer.close()
        return status

    assert run(steps, TimelyProtocol, Limits()) == 200


@pytest.mark.parametrize(
    ("pieces", "status", "sentence"),
    [
        (lambda here: [b"GET / HT"], 408, "the request did not arrive within 0.4 s: send it again"),
        (lambda here: [here.head(len(WHOLE)), WHOLE[:10]], 408, "the body did not arrive within 0.4 s"),
    ],
)
def test_what_is_late_is_told(pieces, status, sentence):
    answer = run(lambda here: here.answer(*pieces(here)))
    assert answer.startswith(b"HTTP/1.1 %d " % status)
    assert sentence in json.loads(answer.partition(b"\r\n\r\n")[2])["detail"]


def test_a_head_without_end_is_refused_by_its_size():
    filler = b"x-filler: " + b"a" * 8000 + b"\r\n"
    answer = run(lambda here: here.answer(b"GET / HTTP/1.1\r\n", *[filler] * 12), TimelyProtocol, Limits())
    assert answer.startswith(b"HTTP/1.1 431 ")
    assert "larger than 65536 bytes" in json.loads(answer.partition(b"\r\n\r\n")[2])["detail"]


@pytest.mark.parametrize("told", [True, False], ids=["of a length that is told", "in pieces"])
def test_a_body_over_the_limit_is_refused_with_a_sentence_and_not_cut(told):
    body = b" " * 9_000_000

    async def pieces():
        for start in range(0, len(body), 100_000):
            yield body[start : start + 100_000]

    async def steps(here):
        headers = {"Authorization": f"Bearer {TOKEN}"}
        async with httpx.AsyncClient(trust_env=False, headers=headers, timeout=30) as client:
            address = f"http://127.0.0.1:{here.port}/calls"
            refused = await client.post(address, content=body if told else pieces())
            after = await client.post(address, content=WHOLE)
        return refused.status_code, refused.json()["detail"], after.status_code

    status, sentence, after = run(steps, TimelyProtocol, Limits(body_bytes=200_000))
    assert (status, after) == (413, 200)
    assert "send fewer calls at a time" in sentence


def test_a_body_without_end_is_refused_and_cut_in_the_end():
    async def steps(here):
        reader, writer = await here.send(here.head(10**12))
        refused = await reader.readline()
        with pytest.raises(ConnectionError):
            async with asyncio.timeout(30):
                while True:
                    writer.write(b" " * 1000)
                    await writer.drain()
                    await asyncio.sleep(0.02)
        return refused

    assert run(steps).startswith(b"HTTP/1.1 413 ")


def test_a_connection_may_rest_between_requests():
    async def steps(here):
        reader, writer = await here.send()
        answers = []
        for _ in range(3):
            writer.write(here.head(len(WHOLE)) + WHOLE)
            answers.append((await reader.readuntil(b"[3.0]}")).partition(b"\r\n")[0])
            await asyncio.sleep(3 * SHORT)
        return answers

    assert run(steps) == [b"HTTP/1.1 200 OK"] * 3
