"""What an exploration has calculated so far, one variant a line, so that it can be gone on with after a stop.

The journal stands beside what is to be written (``options.xlsx.part``). Its first line says of which job it is; what a
variant comes to depends on nothing else, so that other targets, goals or choices take it over too.
"""

from __future__ import annotations

import contextlib
import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

from stillbook import __version__
from stillbook.cells import Cell
from stillbook.office.explore.outcome import Outcome
from stillbook.workbook import WorkbookError

ENDING: Final = ".part"
"""What the journal's name adds to that of what is written."""


def journal_of(out: Path) -> Path:
    """Where the journal stands of what is to be written."""
    return out.with_name(out.name + ENDING)


class Journal:
    """The outcomes known of one job, by what the inputs that vary hold.

    Args:
        out: What is to be written.
        mark: What tells the content of the job from any other.

    Raises:
        WorkbookError: If there is a journal of another job, or it cannot be written.
    """

    def __init__(self, out: Path, mark: str) -> None:
        self.path = journal_of(out)
        self._head = {"job": mark, "formulas": __version__}
        self._known: dict[str, Outcome] = {}
        self._file: Any = None
        whole = self.path.exists() and self._read()
        try:
            self._file = self.path.open("a" if whole else "w", encoding="utf-8")
        except OSError as error:
            raise WorkbookError(f"{self.path}: it cannot be written ({error.strerror})") from None
        if not whole:
            self._write(self._head)
            for key, outcome in self._known.items():
                self._note(key, outcome)

    @property
    def held(self) -> int:
        """How many variants it holds."""
        return len(self._known)

    def known(self, values: Mapping[str, Cell]) -> Outcome | None:
        """What a variant came to, if it was calculated before."""
        return self._known.get(_key(values))

    def add(self, values: Mapping[str, Cell], outcome: Outcome) -> None:
        """Note what a variant came to, so that it lasts from now on."""
        key = _key(values)
        if key not in self._known:
            self._known[key] = outcome
            self._note(key, outcome)

    def close(self, *, finished: bool) -> None:
        """End it; once all is done it is taken away."""
        self._file.close()
        if finished:
            self.path.unlink(missing_ok=True)

    def _read(self) -> bool:
        """Take over what stands in the file; whether it is whole, so that more can be added."""
        try:
            text = self.path.read_text("utf-8")
        except (OSError, UnicodeDecodeError):
            text = ""
        lines = text.splitlines()
        head = None
        with contextlib.suppress(ValueError, IndexError):
            head = json.loads(lines[0])
        if not lines or (len(lines) == 1 and head is None):
            return False
        if head != self._head:
            raise WorkbookError(
                f"{self.path}: it is of another job, or of this one before it changed, or of another version: take "
                "that file away"
            )
        for line in lines[1:]:
            # A line that was cut off by the end of a process is none.
            with contextlib.suppress(ValueError, TypeError, KeyError):
                entry = json.loads(line)
                lists = {name: tuple(entry[name]) for name in ("denied", "waits")}
                self._known[entry["values"]] = Outcome(entry["results"], fault=entry["fault"], **lists)
        return text.endswith("\n")

    def _note(self, key: str, outcome: Outcome) -> None:
        entry = {
            "values": key,
            "results": dict(outcome.results),
            "denied": outcome.denied,
            "waits": outcome.waits,
            "fault": outcome.fault,
        }
        self._write(entry)

    def _write(self, entry: Mapping[str, Any]) -> None:
        self._file.write(json.dumps(entry) + "\n")
        self._file.flush()


def _key(values: Mapping[str, Cell]) -> str:
    """What the inputs that vary hold, as text that reads back the same."""
    return json.dumps({name: values[name] for name in sorted(values)})
