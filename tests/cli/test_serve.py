"""``serve``: the calculation service from the command line."""

import json
import os
import signal
import subprocess
from pathlib import Path

import httpx
import pytest

from cli.command_line import only_line, program
from service.asking import wait_until
from stillbook import __version__
from stillbook.hosts import discovery
from stillbook.service import server


@pytest.mark.skipif(os.name != "posix", reason="stops a process as POSIX systems do")
@pytest.mark.parametrize(("number", "more"), [("SIGTERM", []), ("SIGINT", []), ("SIGTERM", ["--workers", "2"])])
def test_the_service_answers_at_its_link_until_it_is_stopped(number, more, service_home, run):
    with program("serve", "--port", "0", *more, stdout=subprocess.PIPE) as process:
        link = next(line for line in process.stdout if line.startswith("http")).strip()
        address, token = link.split("/panel/#token=")
        try:
            wait_until(lambda: (service := discovery.find()) is not None and discovery.answers(service))
            with httpx.Client(base_url=address, trust_env=False) as client:
                health = client.get("/health", headers={"Authorization": f"Bearer {token}"})
                assert (health.status_code, health.json()["version"]) == (200, __version__)
                assert client.get("/health").status_code == 401
                assert client.get("/panel/").status_code == 200
            code, out, err = run("serve")
            assert code == 2
            assert link in out.splitlines()
            assert f"the service already runs at {address}" in only_line(err)
        finally:
            process.send_signal(getattr(signal, number))
        _, err = process.communicate(timeout=60)
    assert process.returncode == 0
    assert [json.loads(line)["status"] for line in err.splitlines()] == [401]
    assert discovery.find() is None


def test_the_options_of_serve_reach_the_service(run, service_home, monkeypatch):
    asked = []
    monkeypatch.setattr(server, "serve", lambda *given, **named: asked.append((given, named)))
    assert run("serve") == (0, "", "")
    options = ["--host", "localhost", "--port", "0", "--workers", "2", "--certificate", "c.pem", "--key", "k.pem"]
    options += ["--public-url", "https://a.example", "--allow-host", "b", "--allow-host", "c:1"]
    assert run("serve", *options, "--trust-proxy", "10.0.0.1", "--log-requests") == (0, "", "")
    for _, named in asked:
        named.pop("announce")
    alone = {"public_url": "", "other_names": (), "proxies": ()}
    plain = {"workers": 1, "certificate": None, "key": None, "log_requests": False, **alone}
    team = {"public_url": "https://a.example", "other_names": ("b", "c:1"), "proxies": ("10.0.0.1",)}
    full = {"workers": 2, "certificate": Path("c.pem"), "key": Path("k.pem"), "log_requests": True, **team}
    assert asked == [((server.HOST, server.PORT), plain), (("localhost", 0), full)]


def test_help_names_the_usual_address(run):
    words = " ".join(run("serve", "--help")[1].split())
    assert f"{server.HOST}, this computer alone, when left out" in words
    assert f"{server.PORT} when left out" in words


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--port", "99999"], "99999 is not a port"),
        (["--workers", "0"], "the number of workers must be at least 1"),
        (["--certificate", "gone.pem"], "https needs both"),
        (["--certificate", "gone.pem", "--key", "gone.pem"], "gone.pem cannot be read"),
        (["--host", "0.0.0.0"], "stands for every address"),
    ],
)
def test_a_service_that_cannot_start_says_why(options, said, refused, service_home):
    assert said in refused("serve", *options)
