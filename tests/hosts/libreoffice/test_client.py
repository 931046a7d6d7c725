"""How the extension asks the calculation service, against a small server that can be made to fail."""

from __future__ import annotations

import json
import math
import socket
import sys
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import pytest

from stillbook.hosts.libreoffice.stillbook_calc import client as client_module
from stillbook.hosts.libreoffice.stillbook_calc.client import Client
from stillbook.hosts.libreoffice.stillbook_calc.starter import Starter


@dataclass(frozen=True)
class Record:
    address: str
    token: str = "token"
    certificate: str = ""


class Server:
    """A service that answers each call with how many arguments it has; ``reply`` changes what it does."""

    def __init__(self) -> None:
        outer = self

        class Handler(BaseHTTPRequestHandler):
            protocol_version = "HTTP/1.1"
            disable_nagle_algorithm = True

            def do_POST(self) -> None:
                body = self.rfile.read(int(self.headers["Content-Length"]))
                outer.asked.append(json.loads(body)["calls"][0])
                outer.headers.append(dict(self.headers))
                outer.connections.add(self.client_address)
                status, text = outer.reply(self)
                if status:
                    self.send_response(status)
                    self.send_header("Content-Length", str(len(text)))
                    self.end_headers()
                    self.wfile.write(text)

            def log_message(self, *_: Any) -> None:
                pass

        self.asked: list[dict[str, Any]] = []
        self.headers: list[dict[str, str]] = []
        self.connections: set[Any] = set()
        self.reply: Callable[[BaseHTTPRequestHandler], tuple[int, bytes]] = self.count
        self.http = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        self.http.daemon_threads = True
        threading.Thread(target=self.http.serve_forever, kwargs={"poll_interval": 0.01}, daemon=True).start()
        self.record = Record(f"http://127.0.0.1:{self.http.server_port}")

    def count(self, _: BaseHTTPRequestHandler) -> tuple[int, bytes]:
        return 200, json.dumps({"answers": [float(len(self.asked[-1]["arguments"]))]}).encode()

    def close(self) -> None:
        self.http.shutdown()
        self.http.server_close()


@pytest.fixture
def server() -> Iterator[Server]:
    made = Server()
    yield made
    made.close()


def nothing() -> None:
    """Starts no service."""


def to(server: Server, **options: Any) -> Client:
    return Client(lambda: server.record, nothing, **options)


def is_error(answer: Any) -> bool:
    ((cell,),) = answer
    return isinstance(cell, float) and math.isnan(cell)


# --- asking -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("given", "arguments"),
    [
        ([], []),
        ([1.0, "36 in"], [1.0, "36 in"]),
        ([1.0, None, 2.0, None, None], [1.0, None, 2.0]),
        ([None, None], []),
        ([((1.0, ""), ("x", 2.0))], [[[1.0, None], ["x", 2.0]]]),
        ([1.0, ""], [1.0, None]),
    ],
)
def test_a_call_as_the_service_takes_it(server: Server, given: list[Any], arguments: list[Any]) -> None:
    assert to(server).call("DOORMASS", given) == ((float(len(arguments)),),)
    assert server.asked == [{"name": "DOORMASS", "arguments": arguments}]
    assert server.headers[0]["Authorization"] == "Bearer token"


def test_calls_share_one_connection(server: Server) -> None:
    client = to(server)
    for number in range(20):
        client.call("X", [float(number)])
    assert len(server.asked) == 20
    assert len(server.connections) == 1


def test_an_equal_call_is_answered_from_memory(server: Server) -> None:
    client = to(server)
    assert client.call("X", [1.0, None]) == client.call("X", [1.0]) == ((1.0,),)
    assert client.call("Y", [1.0]) == ((1.0,),)
    assert [asked["name"] for asked in server.asked] == ["X", "Y"]


def test_memory_is_bounded(server: Server, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(client_module, "REMEMBERED_BYTES", 16 * 200)
    client = to(server)
    for number in range(100):
        client.call("X", [float(number)])
        assert client._size <= 16 * 200
    client.call("X", ["a" * 300])
    client.call("X", ["a" * 300])
    assert len(server.asked) == 102, "a large answer is not kept"


# --- failing ----------------------------------------------------------------------------------------------------------


def test_a_broken_connection_is_opened_anew_once(server: Server) -> None:
    def hang_up(handler: BaseHTTPRequestHandler) -> tuple[int, bytes]:
        server.reply = server.count
        handler.connection.shutdown(socket.SHUT_RDWR)
        handler.close_connection = True
        return 0, b""

    client = to(server)
    client.call("X", [1.0])
    server.reply = hang_up
    assert client.call("X", [2.0, 2.0]) == ((2.0,),)
    assert len(server.asked) == 3


def broken_off(handler: BaseHTTPRequestHandler) -> tuple[int, bytes]:
    """Half an answer, and the connection closed: a service that was killed."""
    handler.wfile.write(b'HTTP/1.1 200 OK\r\nContent-Length: 17\r\n\r\n{"answers":[1')
    handler.wfile.flush()
    handler.close_connection = True
    return 0, b""


@pytest.mark.parametrize(
    "reply",
    [
        broken_off,
        lambda _: (401, b"{}"),
        lambda _: (503, b"{}"),
        lambda _: (200, b'{"answers":[]}'),
        lambda _: (200, b"not json"),
        lambda _: (200, b'{"answers":[{"error":5'),
    ],
    ids=["broken off", "wrong token", "busy", "no answer in it", "no JSON", "cut JSON"],
)
def test_an_answer_that_is_none_is_an_error_and_never_a_number(
    server: Server, reply: Callable[[BaseHTTPRequestHandler], tuple[int, bytes]]
) -> None:
    server.reply = reply
    assert is_error(to(server).call("X", [1.0]))
    assert len(server.asked) == 1


def test_a_refused_request_fails_alone(server: Server) -> None:
    client = to(server)
    server.reply = lambda _: (413, b"{}")
    assert is_error(client.call("X", [1.0]))
    server.reply = server.count
    assert client.call("X", [1.0, 2.0]) == ((2.0,),)


def test_a_service_that_hangs_fails_the_recalculation_at_once_and_is_asked_again_in_the_next(
    server: Server, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(client_module, "REST_SECONDS", 0.2)
    resume = threading.Event()

    def hang(_: BaseHTTPRequestHandler) -> tuple[int, bytes]:
        resume.wait(5)
        return 0, b""

    client = to(server, answer_seconds=0.2)
    server.reply = hang
    assert all(is_error(client.call("X", [float(number)])) for number in range(50))
    assert len(server.asked) == 1, "only the first of them was sent"
    resume.set()
    server.reply = server.count
    time.sleep(0.3)
    assert client.call("X", [0.0]) == ((1.0,),), "the failure was not kept as an answer"


def test_a_sheet_that_never_rests_is_tried_again_all_the_same(server: Server, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(client_module, "LONGEST_REST_SECONDS", 0.3)
    client = to(server)
    server.reply = broken_off
    assert is_error(client.call("X", [1.0]))
    server.reply = server.count
    end = time.monotonic() + 10
    while is_error(client.call("X", [1.0])):
        assert time.monotonic() < end, "it was never tried again"
        time.sleep(0.01)


# --- finding and starting ---------------------------------------------------------------------------------------------


def test_a_service_is_started_where_none_is_found(server: Server) -> None:
    found: list[Record] = []
    client = Client(lambda: found[0] if found else None, lambda: found.append(server.record))
    assert client.call("X", []) == ((0.0,),)
    assert client.call("X", [1.0]) == ((1.0,),)
    assert len(found) == 1


def test_a_service_is_started_where_the_one_that_is_told_of_is_gone(server: Server) -> None:
    with socket.create_server(("127.0.0.1", 0)) as gone:
        records = [Record(f"http://127.0.0.1:{gone.getsockname()[1]}")]
    client = Client(lambda: records[-1], lambda: records.append(server.record))
    assert client.call("X", []) == ((0.0,),)
    assert len(records) == 2


@pytest.mark.parametrize(
    "reply",
    [lambda _: (401, b"{}"), lambda _: (404, b"not here"), broken_off],
    ids=["the service of another user", "another program", "none that answers"],
)
@pytest.mark.parametrize("before", [0, 1], ids=["at first", "later"])
def test_a_service_is_started_where_another_program_has_the_address_of_one_that_is_gone(
    server: Server, reply: Callable[[BaseHTTPRequestHandler], tuple[int, bytes]], before: int
) -> None:
    own = Server()
    try:
        records = [server.record]
        client = Client(lambda: records[-1], lambda: records.append(own.record))
        for number in range(before):
            client.call("X", [float(number)])
        server.reply = reply
        assert client.call("X", ["a", "b"]) == ((2.0,),)
        assert len(own.asked) == 1
    finally:
        own.close()


def test_without_a_service_a_cell_shows_an_error() -> None:
    starts: list[None] = []
    client = Client(lambda: None, lambda: starts.append(None))
    assert all(is_error(client.call("X", [float(number)])) for number in range(5))
    assert len(starts) == 1, "for the first call; the others belong to the same recalculation"


def test_answers_of_another_service_are_not_kept(server: Server) -> None:
    other = Server()
    try:
        records = [server.record]
        client = Client(lambda: records[-1], nothing)
        client.call("X", [1.0])
        records.append(other.record)
        server.reply = broken_off
        client.call("X", [2.0])
        client.call("X", [1.0])
        assert [asked["arguments"] for asked in other.asked] == [[2.0], [1.0]]
    finally:
        other.close()


SERVICE = """
import os, sys
print("a line for the log", file=sys.stderr, flush=True)
open(sys.argv[1], "w").write(f"{os.getpid()} {sorted(n for n in os.environ if n.startswith('PYTHON'))}")
sys.stdin.buffer.read()
os.remove(sys.argv[1])
"""


def test_a_started_service_runs_until_its_starter_ends(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PYTHONHOME", "/nowhere")
    place = tmp_path / "running"
    log = tmp_path / "new" / "calc.log"

    def found(process: int) -> bool:
        return place.exists() and place.read_text() == f"{process} []"

    starter = Starter([sys.executable, "-c", SERVICE, str(place)], found, log)
    starter.start()
    assert place.exists()
    process = starter._process
    assert process is not None
    assert process.stdin is not None
    process.stdin.close()
    assert process.wait(timeout=20) == 0
    assert not place.exists()
    assert log.read_text() == "a line for the log\n"


@pytest.mark.parametrize("command", [["/nowhere/python"], [sys.executable, "-c", "raise SystemExit(1)"]])
def test_a_service_that_cannot_start_is_not_waited_for(tmp_path: Path, command: list[str]) -> None:
    started = time.monotonic()
    Starter(command, lambda _: False, tmp_path / "calc.log").start()
    assert time.monotonic() - started < 15
