"""How the extension asks the process that calculates, against small ones that can be made to fail."""

from __future__ import annotations

import json
import math
import struct
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from stillbook.hosts.libreoffice.stillbook_calc import client as client_module
from stillbook.hosts.libreoffice.stillbook_calc.client import Client
from stillbook.hosts.libreoffice.stillbook_calc.companion import Away, Companion
from stillbook.hosts.libreoffice.stillbook_calc.values import AWAY, error


class Answerer:
    """Answers each call with how many arguments it has; ``reply`` changes what it does."""

    def __init__(self) -> None:
        self.asked: list[dict[str, Any]] = []
        self.told: list[str] = []
        self.reply: Callable[[], bytes] = self.count

    def ask(self, line: bytes) -> bytes:
        self.asked.append(json.loads(line))
        return self.reply()

    def count(self) -> bytes:
        return json.dumps(float(len(self.asked[-1]["arguments"]))).encode()

    def away(self) -> bytes:
        raise Away("Stillbook is not there")

    def client(self) -> Client:
        return Client(self.ask, self.told.append)


@pytest.fixture
def answerer() -> Answerer:
    return Answerer()


def bits(number: float) -> bytes:
    return struct.pack("<d", number)


def is_away(answer: Any) -> bool:
    ((cell,),) = answer
    return isinstance(cell, float) and bits(cell) == bits(error(AWAY))


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
def test_a_call_as_it_is_asked(answerer: Answerer, given: list[Any], arguments: list[Any]) -> None:
    assert answerer.client().call("DOORMASS", given) == ((float(len(arguments)),),)
    assert answerer.asked == [{"name": "DOORMASS", "arguments": arguments}]


def test_an_equal_call_is_answered_from_memory(answerer: Answerer) -> None:
    client = answerer.client()
    assert client.call("X", [1.0, None]) == client.call("X", [1.0]) == ((1.0,),)
    assert client.call("Y", [1.0]) == ((1.0,),)
    assert [asked["name"] for asked in answerer.asked] == ["X", "Y"]


def test_memory_is_bounded(answerer: Answerer, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(client_module, "REMEMBERED_BYTES", 16 * 200)
    client = answerer.client()
    for number in range(200):
        client.call("X", [float(number)])
        assert client._size <= 16 * 200
    client.call("X", ["a" * 300])
    client.call("X", ["a" * 300])
    assert len(answerer.asked) == 202, "a large answer is not kept"


def test_what_is_no_value_of_a_cell_is_an_error(answerer: Answerer) -> None:
    ((cell,),) = answerer.client().call("X", [object()])
    assert isinstance(cell, float)
    assert math.isnan(cell)
    assert answerer.asked == []


# --- failing ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "reply", [b"", b"not json", b'{"error":5', b'{"error":', b"[[1]", b"[1]", b"{}"], ids=lambda reply: reply.decode()
)
def test_an_answer_that_is_none_is_an_error_and_never_a_number(answerer: Answerer, reply: bytes) -> None:
    answerer.reply = lambda: reply
    assert is_away(answerer.client().call("X", [1.0]))


def test_a_failure_fails_the_recalculation_at_once_and_is_not_kept(
    answerer: Answerer, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(client_module, "REST_SECONDS", 0.2)
    client = answerer.client()
    answerer.reply = answerer.away
    assert all(is_away(client.call("X", [float(number)])) for number in range(50))
    assert len(answerer.asked) == 1, "only the first of them was sent"
    answerer.reply = answerer.count
    time.sleep(0.3)
    assert client.call("X", [0.0]) == ((1.0,),)


def test_a_sheet_that_never_rests_is_tried_again_all_the_same(
    answerer: Answerer, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(client_module, "LONGEST_REST_SECONDS", 0.3)
    client = answerer.client()
    answerer.reply = answerer.away
    assert is_away(client.call("X", [1.0]))
    answerer.reply = answerer.count
    end = time.monotonic() + 10
    while is_away(client.call("X", [1.0])):
        assert time.monotonic() < end, "it was never tried again"
        time.sleep(0.01)


def test_the_error_of_a_cell_without_an_answer_is_none_that_a_blank_gives() -> None:
    assert bits(error(AWAY)) != bits(error("#N/A"))


def test_why_is_answered_here_where_nothing_else_answers(answerer: Answerer, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(client_module, "REST_SECONDS", 0.1)
    client = answerer.client()
    answerer.reply = answerer.away
    assert client.call("WHY", ["DOORMASS", 60.0]) == (("Stillbook is not there",),)
    assert client.call("WHY", ["DOORMASS"]) == (("Stillbook is not there",),), "in the same recalculation too"
    assert answerer.told == ["Stillbook is not there"], "it is told once"
    time.sleep(0.2)
    answerer.reply = answerer.count
    client.call("WHY", ["DOORMASS"])
    assert answerer.told == ["Stillbook is not there", ""], "and that it is over"


# --- the process ------------------------------------------------------------------------------------------------------

PROCESS = """
import os, sys, time
print("a line for the log", file=sys.stderr, flush=True)
open(sys.argv[1], "a").write(f"{os.getpid()} {sorted(n for n in os.environ if n.startswith('PYTHON'))}\\n")
for line in sys.stdin.buffer:
    if line == b"end\\n": sys.exit("it ended")
    if line == b"half\\n": os.write(1, b"ha"); os._exit(1)
    if line == b"hang\\n": time.sleep(60)
    os.write(1, line.upper())
"""


class Small:
    """A companion whose process answers in capitals, or does as it is told."""

    def __init__(self, folder: Path) -> None:
        self.starts = folder / "starts"
        self.log = folder / "new" / "calc.log"
        self.companion = Companion([sys.executable, "-c", PROCESS, str(self.starts)], self.log, 20, 0.5)

    @property
    def started(self) -> list[str]:
        return self.starts.read_text().splitlines()


@pytest.fixture
def small(tmp_path: Path) -> Any:
    made = Small(tmp_path)
    yield made
    made.companion.stop()


def test_one_process_answers_line_by_line(small: Small, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PYTHONHOME", "/nowhere")
    assert [small.companion.ask(b"%d a" % number) for number in range(20)] == [b"%d A\n" % n for n in range(20)]
    (started,) = small.started
    assert started.endswith(" []"), "LibreOffice's settings for its own Python are not handed on"


def test_a_process_that_was_ended_is_started_again(small: Small) -> None:
    small.companion.ask(b"a")
    assert small.companion._running is not None
    small.companion._running.process.kill()
    assert small.companion.ask(b"b") == b"B\n"
    assert len(small.started) == 2


@pytest.mark.parametrize(("line", "why"), [(b"end", r"\(it ended\); its notes are in .*calc\.log"), (b"half", "ended")])
def test_a_question_that_ends_it_twice_has_no_answer(small: Small, line: bytes, why: str) -> None:
    with pytest.raises(Away, match=why):
        small.companion.ask(line)
    assert len(small.started) == 2
    assert small.log.read_text().startswith("a line for the log\n")
    assert small.companion.ask(b"c") == b"C\n"


def test_a_process_that_hangs_is_ended(small: Small) -> None:
    small.companion.ask(b"a")
    started = time.monotonic()
    with pytest.raises(Away, match=r"no answer within 0\.5 s: calculate again; its notes are in .*calc\.log"):
        small.companion.ask(b"hang")
    assert time.monotonic() - started < 20
    assert small.companion.ask(b"c") == b"C\n"


def test_a_process_that_cannot_be_started_says_what_to_do(tmp_path: Path) -> None:
    log = tmp_path / "calc.log"
    with pytest.raises(
        Away, match=r"/nowhere/python: No such file.*connect libreoffice\"; its notes are in .*calc\.log"
    ):
        Companion(["/nowhere/python"], log).ask(b"a")
    assert "/nowhere/python: No such file" in log.read_text()


def test_where_no_notes_can_be_written_it_calculates_all_the_same(tmp_path: Path) -> None:
    home = tmp_path / "home"
    home.write_text("no folder")
    companion = Companion([sys.executable, "-c", PROCESS, str(tmp_path / "starts")], home / "calc.log", 20, 0.5)
    assert companion.ask(b"a") == b"A\n"
    with pytest.raises(Away, match=r"no answer within 0\.5 s: calculate again$"):
        companion.ask(b"hang")


def test_it_ends_when_its_input_closes(small: Small) -> None:
    small.companion.ask(b"a")
    running = small.companion._running
    assert running is not None
    assert running.process.stdin is not None
    running.process.stdin.close()
    assert running.process.wait(timeout=20) == 0
