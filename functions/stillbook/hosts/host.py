"""The contract that every host keeps: a spreadsheet program to which the formulas are made known."""

from __future__ import annotations

from abc import ABC, abstractmethod
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Protocol

from stillbook.workbook.calculation.spelling import Spelling


class HostError(Exception):
    """A spreadsheet program cannot be connected or disconnected; the message says what to do."""


class Standing(StrEnum):
    """How a program, or another subject, stands. What is outdated works as before; a fault keeps it from working."""

    GOOD = "good"
    OUTDATED = "outdated"
    ABSENT = "absent"
    FAULT = "fault"


@dataclass(frozen=True, slots=True)
class State:
    """How a program stands with the formulas.

    Args:
        standing: In a word.
        detail: In a line.
        next: The next thing to do; empty where nothing is to be done, or can be on this computer.
    """

    standing: Standing
    detail: str
    next: str = ""


class Steps(Protocol):
    """What is done to connect a program; :class:`Host` says what each function promises."""

    def connect(self) -> list[str]: ...
    def disconnect(self) -> list[str]: ...
    def state(self) -> State: ...


class Host(ABC):
    """A spreadsheet program. Its face is cheap to import: what takes long is imported by :meth:`steps`.

    Args:
        name: How commands name it.
        title: How sentences and lists name it.
        help: What it is, in one line.
        spelling: How it writes the names of our formulas into files.
        reads: Which workbooks it reads as they are, and what it does with the others, in one line.
    """

    name: str
    title: str
    help: str
    spelling: Spelling
    reads: str

    @abstractmethod
    def steps(self) -> Steps:
        """What connects it: most simply a module of the three functions, imported when it is asked for."""

    def connect(self, *, everyone: bool = False) -> list[str]:
        """Make the formulas known to the program; lines that say what was done and what there is to do in it.

        Args:
            everyone: Whether for all users of this computer, as an administrator may ask; else for this user alone.

        Raises:
            HostError: If it cannot be; the message says what to do. What was connected before stays then.
        """
        if everyone:
            raise HostError(f"{self.title} is connected for one user at a time: leave --for-everyone out")
        return self.steps().connect()

    def disconnect(self) -> list[str]:
        """Take the formulas out of the program again; lines that say what was done. Workbooks stay as they are.

        Raises:
            HostError: If they cannot be.
        """
        return self.steps().disconnect()

    def state(self) -> State:
        """How the program stands. It never raises: what cannot be found out is a fault."""
        return self.steps().state()

    def heal(self, path: Path, out: Path) -> list[str]:
        """Write a copy of a workbook that holds another spelling as the program reads it; lines that say what was done.

        Everything else in the copy stays, and the copy may take the place of the original.

        Raises:
            WorkbookError: If the workbook cannot be read or the copy not written.
        """
        from stillbook.hosts.conversion import convert

        count = convert(path, out, self.spelling)
        done = f"{count} {'formula' if count == 1 else 'formulas'} respelled for {self.name}"
        return [f"{out.absolute()}: {done}{'' if count else ', as nothing needed it'}"]

    def guide(self) -> Path:
        """The page for the user: what to do, and what to look at where something is wrong."""
        from importlib.resources import files

        return Path(str(files(type(self).__module__) / "guide.md"))
