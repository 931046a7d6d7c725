"""The service as a process: starting, stopping, workers, certificates, the discovery file. Real sockets, loopback only."""

from __future__ import annotations

import asyncio
import json
import os
import signal
import socket
import ssl
import stat
import threading
import time
from concurrent.futures import ThreadPoolExecutor

import httpx
import pytest
import trustme

from service.asking import call, started, wait_until
from stillbook.hosts import discovery
from stillbook.service import server
from stillbook.service.server import ServiceError, serve


@pytest.fixture
def certificate(tmp_path):
    """Certificate and key for localhost and 127.0.0.1, and their issuer."""
    issuer = trustme.CA()
    issued = issuer.issue_cert("localhost", "127.0.0.1")
    files = tmp_path / "certificate.pem", tmp_path / "key.pem", tmp_path / "issuer.pem"
    issued.cert_chain_pems[0].write_to_path(files[0])
    issued.private_key_pem.write_to_path(files[1])
    issuer.cert_pem.write_to_path(files[2])
    return files


def test_it_is_found_answers_and_leaves_nothing_behind(home):
    with started(home, log_requests=True) as running:
        record = home / "service.json"
        assert stat.S_IMODE(record.stat().st_mode) == 0o600
        found = discovery.find()
        assert found == running.service
        assert (found.pid, found.address.rpartition(":")[0]) == (running.process.pid, "http://127.0.0.1")
        assert discovery.answers(found)
        assert not discovery.answers(discovery.Service(found.address, "wrong", found.pid, found.version))
        with running.client() as client:
            assert client.get("/health").json()["status"] == "ok"
            answers = client.post("/calls", json={"calls": [call("QUANTITY", "36 in", "ft"), call("NOSUCH")]}).json()
            assert answers["answers"][0] == 3.0
            assert answers["answers"][1]["error"] == "#NAME?"
            assert client.get("/health", headers={"Authorization": ""}).status_code == 401
            assert client.get("/health", headers={"Host": "evil.example"}).status_code == 403
        assert running.stop() == 0
        assert not record.exists()
        assert not discovery.answers(found)
        assert [line["status"] for line in running.log_lines()] == [200, 401, 200, 200, 401, 403]


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_a_request_under_way_is_answered_before_it_stops(home, number):
    """The body is half sent when the signal comes; the answer still arrives, whole."""
    body = json.dumps({"calls": [call("QUANTITY", "36 in", "ft")]}).encode()
    with started(home) as running:
        host, port = running.service.address.removeprefix("http://").split(":")
        head = (
            f"POST /calls HTTP/1.1\r\nHost: {host}:{port}\r\nAuthorization: Bearer {running.service.token}\r\n"
            f"Content-Type: application/json\r\nContent-Length: {len(body)}\r\n\r\n"
        ).encode()
        with socket.create_connection((host, int(port)), timeout=30) as connection:
            connection.sendall(head + body[:10])
            time.sleep(0.3)
            running.process.send_signal(number)
            wait_until(lambda: not listens(host, int(port)))
            connection.sendall(body[10:])
            answer = b""
            while piece := connection.recv(65536):
                answer += piece
        assert answer.startswith(b"HTTP/1.1 200")
        assert answer.endswith(b'{"answers":[3.0]}')
        assert running.process.wait(timeout=30) == 0
        assert not (home / "service.json").exists()
        assert running.log_lines() == []


def listens(host, port):
    with socket.socket() as trial:
        trial.settimeout(1)
        return trial.connect_ex((host, port)) == 0


def test_the_token_outlives_a_restart_and_a_second_start_is_refused(home):
    with started(home) as running:
        token = running.service.token
        with pytest.raises(ServiceError, match=r"already runs at http://127\.0\.0\.1:\d+: use that one"):
            serve(port=0)
    with started(home) as running:
        assert running.service.token == token


def test_a_killed_service_leaves_a_record_that_stops_nobody(home):
    with started(home) as running:
        running.stop(signal.SIGKILL)
        left = discovery.find()
        assert left == running.service
        assert not discovery.answers(left)
    with started(home) as again:
        assert again.service != left
        assert discovery.answers(again.service)


def test_two_workers_share_address_token_and_recent_errors(home):
    with started(home, workers=2) as running:
        assert running.service.pid == running.process.pid

        def ask(number):
            """A connection of its own, so that either worker may take it."""
            with running.client() as client:
                asked = {"calls": [call("SURFACEMASS", -1, cell=f"A{number}")]}
                assert client.post("/calls", json=asked).json()["answers"][0]["error"] == "#NUM!"
                return client.get("/health").json()["process"]

        wait_until(lambda: len({ask(0) for _ in range(8)}) == 2)
        with ThreadPoolExecutor(8) as pool:
            list(pool.map(ask, range(1, 41)))
        for _ in range(8):
            with running.client() as client:
                notes = client.get("/recent-errors").json()["errors"]
            assert {note["cell"] for note in notes} == {f"A{n}" for n in range(41)}
        assert running.stop() == 0
        assert discovery.find() is None


def test_a_worker_that_dies_is_replaced(home):
    with started(home, workers=2) as running:
        with running.client() as client:
            killed = client.get("/health").json()["process"]
        os.kill(killed, signal.SIGKILL)

        def two_others():
            seen = set()
            for _ in range(10):
                with running.client() as client:
                    try:
                        seen.add(client.get("/health").json()["process"])
                    except httpx.TransportError:
                        return False
            return len(seen - {killed}) == 2

        wait_until(two_others)


def test_workers_end_when_their_parent_is_killed(home):
    with started(home, workers=2) as running:
        host, port = running.service.address.removeprefix("http://").split(":")
        running.stop(signal.SIGKILL)
        wait_until(lambda: not listens(host, int(port)))
        wait_until(lambda: discovery.find() is None)


def test_many_connections_at_once(home):
    """Each asks its own batches; every answer belongs to its call."""

    def ask(number):
        with running.client() as client:
            for size in (1, 200):
                calls = [call("QUANTITY", f"{number + k} in", "in") for k in range(size)]
                answers = client.post("/calls", json={"calls": calls}).json()["answers"]
                assert [round(answer) for answer in answers] == [number + k for k in range(size)]
            return number

    with started(home) as running, ThreadPoolExecutor(16) as pool:
        assert list(pool.map(ask, range(0, 48_000, 1000))) == list(range(0, 48_000, 1000))


def test_https_with_a_given_certificate(home, certificate):
    file, key, issuer = certificate
    with started(home, host="localhost", certificate=file, key=key) as running:
        assert running.service.address.startswith("https://localhost:")
        assert running.service.certificate == str(file)
        assert discovery.answers(running.service)
        trusting = ssl.create_default_context(cafile=str(issuer))
        with running.client(verify=trusting) as client:
            origin = {"Origin": running.service.address}
            assert client.post("/calls", json={"calls": []}, headers=origin).json() == {"answers": []}
            assert client.get("/health", headers={"Origin": "http://localhost"}).status_code == 403
        with running.client() as client, pytest.raises(httpx.ConnectError):
            client.get("/health")
        plain = running.service.address.replace("https", "http")
        with pytest.raises(httpx.TransportError):
            httpx.get(f"{plain}/health", trust_env=False)
        assert running.stop() == 0


def test_two_workers_behind_a_certificate(home, certificate):
    file, key, _ = certificate
    with started(home, workers=2, certificate=file, key=key) as running:
        assert discovery.answers(running.service)


def test_ipv6(home):
    try:
        socket.create_server(("::1", 0), family=socket.AF_INET6).close()
    except OSError:
        pytest.skip("no IPv6 here")
    with started(home, host="::1") as running:
        assert running.service.address.startswith("http://[::1]:")
        assert discovery.answers(running.service)


@pytest.mark.parametrize(
    ("options", "message"),
    [
        ({"host": "0.0.0.0"}, "stands for every address"),
        ({"host": "::"}, "stands for every address"),
        ({"host": "nosuch.invalid"}, "is not an address of this computer"),
        ({"host": "a" * 300}, "is not an address of this computer"),
        ({"port": 70_000}, "70000 is not a port"),
        ({"port": -1}, "-1 is not a port"),
        ({"workers": 0}, "at least 1"),
        ({"certificate": "x.pem"}, "https needs both"),
        ({"key": "x.pem"}, "https needs both"),
        ({"certificate": "nosuch.pem", "key": "nosuch.pem"}, "cannot be read"),
    ],
)
def test_what_cannot_be_served_is_refused_with_a_reason(home, options, message):
    with pytest.raises(ServiceError, match=message):
        serve(**{"port": 0, **options})
    assert discovery.find() is None


def test_other_computers_only_with_a_certificate(home, monkeypatch):
    elsewhere = [(socket.AF_INET, socket.SOCK_STREAM, 6, "", ("192.0.2.1", 8347))]
    monkeypatch.setattr(socket, "getaddrinfo", lambda *_, **__: elsewhere)
    with pytest.raises(ServiceError, match="reached from other computers: give a certificate and key"):
        serve("studio.example")


def test_a_port_that_is_taken(home):
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        with pytest.raises(ServiceError, match=rf"cannot answer at 127.0.0.1 port {port} \(Address already in use\)"):
            serve(port=port)


def test_the_event_loop_sends_answers_without_delay():
    """Else a small answer waits some 40 ms for the other side's acknowledgement: asyncio looks at the protocol."""

    async def delay_is_off():
        accepted = asyncio.get_running_loop().create_future()
        listening = server._listen("127.0.0.1", 0, secure=False)
        answering = await asyncio.start_server(lambda _, writer: accepted.set_result(writer), sock=listening)
        async with answering:
            _, writer = await asyncio.open_connection(*listening.getsockname())
            answerer = await accepted
            option = answerer.get_extra_info("socket").getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY)
            writer.close()
            answerer.close()
        return option != 0

    assert asyncio.run(delay_is_off())


def test_certificates_that_cannot_be_used(home, certificate, tmp_path):
    file, key, issuer = certificate
    with pytest.raises(ServiceError, match="not a certificate and its key"):
        serve(port=0, certificate=issuer, key=key)
    with pytest.raises(ServiceError, match="not a certificate and its key"):
        serve(port=0, certificate=key, key=file)
    locked = tmp_path / "locked.pem"
    encrypt(key, locked)
    with pytest.raises(ServiceError, match="has a passphrase"):
        serve(port=0, certificate=file, key=locked)


def encrypt(key, locked):
    from cryptography.hazmat.primitives import serialization

    loaded = serialization.load_pem_private_key(key.read_bytes(), None)
    passphrase = serialization.BestAvailableEncryption(b"secret")
    locked.write_bytes(loaded.private_bytes(serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, passphrase))


def test_a_token_that_cannot_be_kept(home):
    home.write_text("a file where a folder should be")
    with pytest.raises(ServiceError, match="name another in STILLBOOK_HOME"):
        serve(port=0)


def test_who_starts_it_is_told_before_it_answers(home):
    """From this process: the link comes first, and a signal ends it."""
    told = []
    timer = threading.Timer(2, os.kill, (os.getpid(), signal.SIGINT))
    before = signal.getsignal(signal.SIGINT)
    timer.start()
    try:
        serve(port=0, announce=told.append)
    finally:
        timer.cancel()
    assert [service.link.partition("#")[2] for service in told] == [f"token={discovery.kept_token()}"]
    assert signal.getsignal(signal.SIGINT) is before
    assert discovery.find() is None
