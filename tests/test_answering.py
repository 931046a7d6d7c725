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
from stillbook.answering import reply
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
