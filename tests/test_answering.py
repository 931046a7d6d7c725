"""Formula calls answered line by line, for the program that started it."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

import stillbook
from service.asking import Running, started
from stillbook.answering import Elsewhere, reply
from stillbook.cli import stillbook as command_line
from stillbook.cli.failures import guarded
from stillbook.hosts import discovery
from stillbook.hosts.registry import HOSTS
from stillbook.service import tokens
from stillbook.workbook.calculation.engine import evaluate


@pytest.mark.parametrize(
    ("name", "arguments", "call"),
    [
        ("DOORMASS", [60, 1, 36, 80], "STILL_DOORMASS(60,1,36,80)"),
        ("STILL_DOORMASS", [60, None, 36, "80 in"], 'STILL_DOORMASS(60,,36,"80 in")'),
        ("DOORARRANGEMENT", [8, 6, 30, 8], "STILL_DOORARRANGEMENT(8,6,30,8)"),
        ("DOORMASS", [60, 1, [[36], [30]], 80], "STILL_DOORMASS(60,1,{36;30},80)"),
    ],
)
def test_an_answer_is_what_a_workbook_gets(name: str, arguments: list[Any], call: str) -> None:
    assert json.loads(reply(json.dumps({"name": name, "arguments": arguments}).encode())) == evaluate(call)


@pytest.mark.parametrize(
    "line",
    [b"", b"\n", b"not json", b"[]", b"5", b'{"name":5,"arguments":[]}', b'{"name":"X"}', b'{"name":"X","arguments":5}', b"[" * 100_000],
    ids=range(9),
)  # fmt: skip
def test_a_line_that_is_no_call_is_an_error(line: bytes) -> None:
    assert json.loads(reply(line))["error"] == "#VALUE!"


@pytest.fixture
def elsewhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[tuple[Running, str]]:
    """A team's service, and a link to it with a token of its own, for a user of another folder of settings."""
    monkeypatch.setenv("STILLBOOK_HOME", str(tmp_path / "user"))
    with started(tmp_path / "team") as running:
        token = tokens.add(tmp_path / "team" / "tokens", "anna")
        yield running, f"{running.service.address}/panel/#token={token}"


def test_a_teams_service_answers_where_it_was_chosen(
    elsewhere: tuple[Running, str], capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    running, link = elsewhere
    monkeypatch.setattr(type(HOSTS["libreoffice"]), "connect", lambda _, **how: ["Connected."])
    assert guarded(command_line, ["connect", "libreoffice", "--service", link]) == 0
    assert capsys.readouterr().out == f"The service at {running.service.address} calculates.\nConnected.\n"
    chosen = discovery.chosen()
    assert chosen is not None
    asked = Elsewhere(chosen)
    line = b'{"name":"DOORMASS","arguments":[60,1,36,80]}\n'
    assert asked.reply(line) == reply(line) == "80.0"
    asked._connection.sock.close()  # as after a rest: the next call opens another connection
    assert asked.reply(line) == "80.0"
    tokens.withdraw(running.log.parent / "team" / "tokens", "anna")
    with pytest.raises(SystemExit, match="refuses the token: ask for a new one"):
        asked.reply(line)
    assert guarded(command_line, ["connect", "libreoffice", "--service", link]) == 2
    running.stop()
    with pytest.raises(SystemExit, match="does not answer"):
        asked.reply(line)
    assert guarded(command_line, ["connect", "libreoffice", "--service", "here"]) == 0
    assert discovery.chosen() is None


def test_the_process_says_by_its_last_words_why_a_teams_service_gives_no_answer(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("STILLBOOK_HOME", str(tmp_path))
    discovery.choose(discovery.Service("http://127.0.0.1:1", "t" * 43, 0, "0"))
    ended = subprocess.run(
        [sys.executable, "-m", "stillbook.answering"],
        check=False,
        input=b'{"name":"DOORMASS","arguments":[60,1,36,80]}\n',
        capture_output=True,
        timeout=60,
    )
    assert ended.stdout == b""
    assert ended.stderr.splitlines()[-1].startswith(b"the service at http://127.0.0.1:1 does not answer")


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["excel", "--service", "here"], "finds its service in another way"),
        (["libreoffice", "--service", "http://team.example/panel/#token=" + "t" * 43], "no link of a service"),
        (["libreoffice", "--service", "https://team.example/"], "no link of a service"),
        (["libreoffice", "--certificate", "c.pem"], "goes with --service"),
    ],
)
def test_a_service_that_cannot_be_chosen(
    arguments: list[str], said: str, capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("STILLBOOK_HOME", str(tmp_path))
    assert guarded(command_line, ["connect", *arguments]) == 2
    assert said in capsys.readouterr().err
    assert discovery.chosen() is None


def test_an_answer_is_one_line() -> None:
    assert "\n" not in reply(b'{"name":"MATERIALS","arguments":[]}')
    assert json.loads(reply(b'{"name":"NO\\nSUCH","arguments":["a\\nb"]}'))["error"] == "#NAME?"


@pytest.fixture
def process() -> Iterator[subprocess.Popen[bytes]]:
    source = Path(stillbook.__file__).parent.parent
    with subprocess.Popen(
        [sys.executable, "-m", "stillbook.answering"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": str(source)},
    ) as started:
        yield started
        started.kill()


def test_a_process_answers_until_its_input_closes(process: subprocess.Popen[bytes]) -> None:
    assert process.stdin is not None
    assert process.stdout is not None
    for given, gives in ((60, b"80.0\n"), (70, b"90.0\n")):
        process.stdin.write(b'{"name":"DOORMASS","arguments":[%d,1,36,80]}\n' % given)
        process.stdin.flush()
        assert process.stdout.readline() == gives
    process.send_signal(signal.SIGINT)  # Ctrl-C in the terminal that started the spreadsheet program
    assert process.communicate(timeout=30) == (b"", b"")
    assert process.returncode == 0
