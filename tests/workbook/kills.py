"""Ending a command at a random moment: what it left behind, and what the same command makes of that.

Each try runs a command in a forked process, in a fresh copy of a small office, and kills that process (SIGKILL) in one
of three ways: at a moment of its usual duration, at one of its steps on files, or within a few milliseconds after it
first opened a file to write. Nothing is left to the dying process: it can neither tidy up nor flush.
"""

from __future__ import annotations

import contextlib
import io
import os
import random
import re
import select
import shutil
import signal
import sys
import time
import zipfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from lxml import etree

from stillbook.cli import stillbook
from stillbook.cli.failures import guarded
from stillbook.workbook.job.estimate import Job

STEPS: Final = {"open", "os.rename", "os.remove", "os.chmod", "os.chown", "os.mkdir", "os.rmdir", "shutil.rmtree"}
"""What Python tells of work on files; flushing is added to it here."""

LEFT_OVER: Final = re.compile(r"\.[^/]+-[0-9a-f]{8}\.tmp|[^/]+\.part")
"""Names that a killed command may leave: an unfinished file beside its place, and the journal of a batch."""

_MOMENT: Final = re.compile(rb"\d{4}-\d\d-\d\d[T ]\d\d:\d\d(:\d\dZ)?")
_LONGEST: Final = 60.0
_WRITING: Final = 0.004
"""Longer than a small file takes to be written, flushed and put in its place."""

Files = dict[str, bytes]


@dataclass(frozen=True, slots=True)
class Command:
    """A command that writes.

    Args:
        arguments: Its command line.
        targets: The files it may make or replace; every other file must keep its bytes.
        again: Whether it may be run again once its file is there; else it refuses then.
        numbered: Whether it takes another name then.
        tells: Targets that tell what one run did, and so differ after a run that found some of it done.
    """

    arguments: Sequence[str]
    targets: Sequence[str]
    again: bool = False
    numbered: bool = False
    tells: Sequence[str] = ()


@dataclass(slots=True)
class Killed:
    """What became of many tries.

    Args:
        kills: How many processes were ended before they finished.
        moments: How many of those in each way.
        done: How many of those had already put a new file in its place.
        left: How many left an unfinished file behind.
    """

    kills: int = 0
    moments: dict[str, int] = field(default_factory=dict)
    done: int = 0
    left: int = 0


def run(arguments: Sequence[str]) -> tuple[int, str]:
    """Run a command line here; its exit code and what it said."""
    said = io.StringIO()
    with contextlib.redirect_stdout(said), contextlib.redirect_stderr(said):
        return guarded(stillbook, arguments), said.getvalue()


def files(folder: Path) -> Files:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


class Office:
    """A folder in its state before a command, and after it.

    Args:
        folder: The folder, with all that the command reads.
        desk: Where copies of it are worked on.
        command: The command.
    """

    def __init__(self, folder: Path, desk: Path, command: Command) -> None:
        self.folder, self.desk, self.command = folder, desk, command
        self.before = files(folder)
        self._fresh()
        self.code, self.said = run(command.arguments)  # loads what it needs
        assert self.code in (0, 1), self.said
        self.after = files(desk)
        changed = {name for name in self.after if self.after[name] != self.before.get(name)}
        assert changed == set(command.targets), changed
        for name in changed:
            _complete(desk / name)
        self.steps, self.usual = self._watched()

    def kill(self, chance: random.Random) -> Killed:
        """Kill the command once in each way, and see that all is whole and it can be run again."""
        found = Killed()
        for way, end in (("moment", self._at_moment), ("step", self._at_step), ("writing", self._while_writing)):
            self._fresh()
            if not end(chance):
                continue
            found.kills += 1
            found.moments[way] = found.moments.get(way, 0) + 1
            made, left = self._is_whole()
            found.done += bool(made)
            found.left += any(name.endswith(".tmp") for name in left)
            self._runs_again(made)
        return found

    # --- killing ------------------------------------------------------------------------------------------------------

    def _fresh(self) -> None:
        """The state before the command, with the same times of change."""
        for entry in self.desk.iterdir():
            shutil.rmtree(entry) if entry.is_dir() else entry.unlink()
        shutil.copytree(self.folder, self.desk, dirs_exist_ok=True)

    def _at_moment(self, chance: random.Random) -> bool:
        child = self._start(None)
        time.sleep(chance.uniform(0, 1.1 * self.usual))
        return _end(child)

    def _at_step(self, chance: random.Random) -> bool:
        wanted = chance.randrange(self.steps)
        count = 0

        def step(_event: str, _first: object) -> None:
            nonlocal count
            if count == wanted:
                os.kill(os.getpid(), signal.SIGKILL)
            count += 1

        return _ended(self._start(step))

    def _while_writing(self, chance: random.Random) -> bool:
        reader, writer = os.pipe()

        def step(event: str, first: object) -> None:
            if event == "open" and isinstance(first, str) and first.endswith(".tmp"):
                os.write(writer, b"!")

        child = self._start(step)
        os.close(writer)
        with open(reader, "rb", buffering=0) as told:  # noqa: PTH123
            select.select([told], [], [], _LONGEST)
        time.sleep(chance.uniform(0, _WRITING))
        return _end(child)

    def _start(self, step: Callable[[str, object], None] | None) -> int:
        """Run the command in a process of its own, which tells each step on a file of the office."""
        sys.stdout.flush()
        sys.stderr.flush()
        child = os.fork()
        if child:
            return child
        try:
            os.setsid()
            if step is not None:
                self._listen(step)
            run(self.command.arguments)
        finally:
            os._exit(0)

    def _listen(self, step: Callable[[str, object], None]) -> None:
        here = (str(self.desk), ".")
        flush = os.fsync

        def heard(event: str, arguments: tuple[object, ...]) -> None:
            if event in STEPS:
                first = os.fspath(arguments[0]) if isinstance(arguments[0], str | os.PathLike) else None
                if isinstance(first, str) and (first.startswith(here) or "/" not in first):
                    step(event, first)

        def flushed(handle: int) -> None:
            step("fsync", None)
            flush(handle)
            step("fsync", None)

        os.fsync = flushed
        sys.addaudithook(heard)

    def _watched(self) -> tuple[int, float]:
        """How many steps on files the command takes, and how many seconds."""
        self._fresh()
        reader, writer = os.pipe()
        child = self._start(lambda *_: os.write(writer, b"."))
        began = time.perf_counter()
        os.close(writer)
        with open(reader, "rb") as told:  # noqa: PTH123
            count = len(told.read())
        seconds = time.perf_counter() - began
        _ended(child)
        assert count
        return count, seconds

    # --- what is left -------------------------------------------------------------------------------------------------

    def _is_whole(self) -> tuple[set[str], set[str]]:
        """The targets that are new, and what else was left; each file is either as it was or whole and new."""
        now = files(self.desk)
        lost = self.before.keys() - now.keys()
        assert not lost, f"gone: {lost}"
        made: set[str] = set()
        left: set[str] = set()
        for name, data in now.items():
            if data == self.before.get(name):
                continue
            if name in self.command.targets:
                _same(name, data, self.after[name])
                _complete(self.desk / name)
                made.add(name)
            else:
                assert LEFT_OVER.fullmatch(name.rpartition("/")[2]), f"left behind or changed: {name}"
                left.add(name)
        return made, left

    def _runs_again(self, made: set[str]) -> None:
        """The same command finishes what was not, in spite of what was left."""
        code, said = run(self.command.arguments)
        if made == set(self.command.targets) and not self.command.again:
            assert self.command.numbered or (code == 2 and "already" in said), said
            return
        assert code == self.code, said
        now = files(self.desk)
        for name in self.command.targets:
            if name in self.command.tells:
                _complete(self.desk / name)
            else:
                _same(name, now[name], self.after[name])
        assert not [name for name in now if name.endswith(".part")]


def _end(child: int) -> bool:
    with contextlib.suppress(ProcessLookupError):
        os.kill(child, signal.SIGKILL)
    return _ended(child)


def _ended(child: int) -> bool:
    """Wait for a process; whether it was killed."""
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == -signal.SIGKILL


def _same(name: str, found: bytes, wanted: bytes) -> None:
    """See that a file is the one that the command makes, the moment of its making apart."""
    if not name.endswith(".xlsx"):
        assert found == wanted, f"{name} is not whole"
        return
    one, other = _parts(found), _parts(wanted)
    assert one.keys() == other.keys(), name
    differing = [part for part in one if one[part] != other[part]]
    assert not differing, f"{name} differs in {differing}"


def _parts(data: bytes) -> Mapping[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        assert archive.testzip() is None
        return {name: _MOMENT.sub(b"", archive.read(name)) for name in archive.namelist()}


def _complete(path: Path) -> None:
    """See that every part of a workbook can be read, it opens, and each formula has its result beside it."""
    if path.suffix != ".xlsx":
        return
    for name, data in _parts(path.read_bytes()).items():
        if name.endswith((".xml", ".rels")):
            etree.fromstring(data)
    package = Job.open(path).package
    for sheet in package.sheets:
        part = package.sheet(sheet)
        blank = [at for at in part.formulas if at not in part.stored]
        assert not blank, (sheet, blank)
