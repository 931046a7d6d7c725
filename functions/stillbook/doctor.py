"""What is installed and connected on this machine, and whether the formulas calculate right here."""

from __future__ import annotations

import math
import platform
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from importlib import metadata
from pathlib import Path
from typing import Final

from stillbook import __version__


class State(StrEnum):
    """How one subject stands. Only a fault keeps Stillbook from working; what is outdated works as it did before."""

    GOOD = "good"
    ABSENT = "absent"
    OUTDATED = "outdated"
    FAULT = "fault"


@dataclass(frozen=True, slots=True)
class Finding:
    """One subject looked at, how it stands, and its version, place or cure."""

    subject: str
    state: State
    detail: str


_AS_MADE_NOW: Final = re.compile(r"connected(?: for all users)?:")


def findings() -> Iterator[Finding]:
    """Everything that is looked at, in reading order."""
    from stillbook.hosts import excel_addin

    yield Finding("Stillbook", State.GOOD, f"{__version__} in {Path(__file__).parent}")
    yield Finding("Python", State.GOOD, f"{platform.python_version()} on {platform.system()} {platform.machine()}")
    yield from _packages()
    yield _templates()
    yield _examples()
    yield _service()
    yield from _libreoffice()
    yield _connection("formulas in Excel", excel_addin.status())


def _packages() -> Iterator[Finding]:
    """The packages Stillbook needs, as its own metadata names them."""
    for requirement in metadata.requires("stillbook") or ():
        match = re.match(r"[\w.-]+", requirement)
        if match is None or "extra ==" in requirement:
            continue
        name = match[0]
        try:
            yield Finding(name, State.GOOD, metadata.version(name))
        except metadata.PackageNotFoundError:
            yield Finding(name, State.FAULT, f'not installed: run "{sys.executable} -m pip install {name}"')


def _templates() -> Finding:
    from stillbook.templates.shipped import TEMPLATES, folder

    there = [f"{entry.name} {system}" for entry in TEMPLATES for system in entry.systems]
    missing = [
        f"{entry.name} {system}" for entry in TEMPLATES for system in ("US", "SI") if system not in entry.systems
    ]
    if missing:
        return Finding("templates", State.FAULT, f"missing {', '.join(missing)} in {folder()}: install Stillbook again")
    return Finding("templates", State.GOOD, ", ".join(there))


def _examples() -> Finding:
    """The example of every formula, calculated as a workbook calculates it."""
    from stillbook.catalogue import formulas

    wrong = [
        entry.workbook_name for entry in formulas().values() if not _holds(entry.example.call, entry.example.gives)
    ]
    if wrong:
        return Finding("calculation", State.FAULT, f"{', '.join(wrong)} differ from their examples: install again")
    return Finding("calculation", State.GOOD, f"the examples of all {len(formulas())} formulas give what they should")


def _service() -> Finding:
    """The calculation service, which other programs may have started."""
    from stillbook.service import discovery

    found = discovery.find()
    if found is None or not discovery.answers(found):
        return Finding("service", State.ABSENT, 'not running; "stillbook serve" starts it')
    where = f"{found.version} at {found.address}, process {found.pid}"
    if found.version != __version__:
        return Finding("service", State.OUTDATED, f"{where}: stop it and start it again")
    return Finding("service", State.GOOD, where)


def _libreoffice() -> Iterator[Finding]:
    """LibreOffice itself, and whether it knows the formulas."""
    from stillbook.hosts.libreoffice import connection, office

    found = office.find()
    if found is None:
        yield Finding("LibreOffice", State.ABSENT, "not found; needed only to print, and to open workbooks with it")
        return
    program = shutil.which(str(found.program / "soffice")) or str(found.program)
    try:
        answer = subprocess.run(
            [program, "--version"],
            env=office.environment(),
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
            timeout=30,
            check=True,
        ).stdout
    except (OSError, subprocess.SubprocessError):
        yield Finding("LibreOffice", State.ABSENT, f"{program} is there but does not answer")
        return
    yield Finding("LibreOffice", State.GOOD, f"{' '.join(answer.split()[1:2])} in {program}")
    yield _connection("formulas in LibreOffice", "; ".join(connection.status(found)))


def _connection(subject: str, status: str) -> Finding:
    """A spreadsheet program's connection, from the line its host tells: ``connected: …`` when all is well."""
    if not status.startswith("connected"):
        return Finding(subject, State.ABSENT, status)
    return Finding(subject, State.GOOD if _AS_MADE_NOW.match(status) else State.OUTDATED, status)


def _holds(call: str, expected: float | str | tuple[object, ...]) -> bool:
    """Whether a formula gives, to the printed digits, what its example says: of several cells the first row."""
    from stillbook.workbook import WorkbookError
    from stillbook.workbook.calculation.engine import evaluate

    try:
        answer = evaluate(f"={call}")
    except WorkbookError:
        return False
    row = answer[0] if isinstance(answer, list) else [answer]
    wanted = expected if isinstance(expected, tuple) else (expected,)
    return len(row) >= len(wanted) and all(map(_same, row, wanted))


def _same(answer: object, expected: object) -> bool:
    if isinstance(answer, int | float) and isinstance(expected, int | float):
        return math.isclose(answer, expected, rel_tol=1e-4)
    return answer == expected
