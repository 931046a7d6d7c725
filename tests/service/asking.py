"""A service to ask: the application in this process, or a real one in a process of its own."""

from __future__ import annotations

import asyncio
import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import httpx

from stillbook.hosts.discovery import Service
from stillbook.service.app import PANEL_FILES, create_app
from stillbook.service.guard import Access
from stillbook.service.limits import Limits
from stillbook.service.recent import RecentErrors

ADDRESS = "http://127.0.0.1:8347"
TOKEN = "test-token-that-is-long-enough-to-be-taken-for-one"
BEARER = {"Authorization": f"Bearer {TOKEN}"}


class Application:
    """The application of one worker, asked without a network."""

    def __init__(
        self,
        limits: Limits | None = None,
        panel: Path = PANEL_FILES,
        address: str = ADDRESS,
        access: Access | None = None,
        **more: Any,
    ) -> None:
        self.address = address
        self.recent = RecentErrors()
        self.app = create_app(access or Access.to(address, TOKEN), self.recent, limits, panel=panel, **more)

    def ask(self, method: str, path: str, **options: Any) -> httpx.Response:
        """One request, with the token unless other headers are given."""
        return asyncio.run(self.together([(method, path, options)]))[0]

    def calls(self, *calls: dict[str, Any]) -> list[Any]:
        """The answers to formula calls."""
        response = self.ask("POST", "/calls", json={"calls": calls})
        assert response.status_code == 200, response.text
        return list(response.json()["answers"])

    async def together(self, requests: list[tuple[str, str, dict[str, Any]]]) -> list[httpx.Response]:
        """Several requests at the same time."""
        transport = httpx.ASGITransport(self.app, raise_app_exceptions=False)
        async with (
            self.app.router.lifespan_context(self.app),
            httpx.AsyncClient(transport=transport, base_url=self.address) as client,
        ):
            return await asyncio.gather(
                *(client.request(method, path, **{"headers": BEARER, **options}) for method, path, options in requests)
            )


def call(name: str, *arguments: Any, **more: Any) -> dict[str, Any]:
    """A formula call as JSON."""
    return {"name": name, "arguments": list(arguments), **more}


class Running:
    """A service in a process of its own."""

    def __init__(self, process: subprocess.Popen[bytes], service: Service, log: Path) -> None:
        self.process = process
        self.service = service
        self.log = log

    def client(self, **options: Any) -> httpx.Client:
        headers = {"Authorization": f"Bearer {self.service.token}"}
        return httpx.Client(base_url=self.service.address, headers=headers, timeout=30, trust_env=False, **options)

    def stop(self, number: int = signal.SIGTERM) -> int:
        """Stop it by a signal; gives the exit code."""
        self.process.send_signal(number)
        return self.process.wait(timeout=30)

    def log_lines(self) -> list[dict[str, Any]]:
        return [json.loads(line) for line in self.log.read_text().splitlines()]


@contextmanager
def started(home: Path, **options: Any) -> Iterator[Running]:
    """Run ``serve`` with these options in a process, until it has written its discovery file."""
    log = home.parent / f"{home.name}-log"
    program = (
        "import json, sys; from pathlib import Path; from stillbook.service.server import serve; "
        "o = json.loads(sys.argv[1]); serve(**{k: Path(v) if k in ('certificate', 'key') else v for k, v in o.items()})"
    )
    given = json.dumps({"port": 0, **options}, default=str)
    with log.open("wb") as errors:
        process = subprocess.Popen(
            [sys.executable, "-c", program, given],
            env={**os.environ, "STILLBOOK_HOME": str(home)},
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=errors,
        )
    try:
        record = home / "service.json"

        def is_there() -> bool:
            assert process.poll() is None, log.read_text()
            # A service that was killed has left its own record there.
            return record.exists() and json.loads(record.read_text())["pid"] == process.pid

        wait_until(is_there)
        yield Running(process, Service(**json.loads(record.read_text())), log)
    finally:
        if process.poll() is None:
            process.terminate()
            try:
                process.wait(timeout=30)
            except subprocess.TimeoutExpired:
                process.kill()
                process.wait()


def wait_until(done: Callable[[], bool], seconds: float = 60) -> None:
    """Wait for something that another process does."""
    end = time.monotonic() + seconds
    while not done():
        assert time.monotonic() < end, "waited in vain"
        time.sleep(0.02)
