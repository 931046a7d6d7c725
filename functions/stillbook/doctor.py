"""What is installed and connected on this machine, and whether the formulas calculate right here."""

from __future__ import annotations

import math
import platform
import re
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from importlib import metadata
from pathlib import Path
from typing import Final

from stillbook import __version__
from stillbook.hosts.host import Host, Standing
from stillbook.hosts.registry import HOSTS


@dataclass(frozen=True, slots=True)
class Finding:
    """One subject looked at, how it stands, its version or place, and the next thing to do for it, if any."""

    subject: str
    standing: Standing
    detail: str
    next: str = ""

    @property
    def line(self) -> str:
        """What is told of it."""
        return f"{self.detail}: {self.next}" if self.next else self.detail


_REINSTALL: Final = "install Stillbook again"

_ON_WINDOWS: Final = re.compile(r";.*sys_platform == ['\"]win32['\"]")
"""A requirement of Windows alone, as the metadata of a package writes it."""


def findings() -> Iterator[Finding]:
    """Everything that is looked at, in reading order."""
    yield Finding("Stillbook", Standing.GOOD, f"{__version__} in {Path(__file__).parent}")
    yield Finding("Python", Standing.GOOD, f"{platform.python_version()} on {platform.system()} {platform.machine()}")
    yield from _packages()
    yield _templates()
    yield _examples()
    yield _service()
    yield from _teams_service()
    yield from map(_host, HOSTS.values())


def next_step(found: Sequence[Finding]) -> str:
    """The first thing to do: for a fault, else for what is outdated, else for what is absent; empty where all is well.

    One spreadsheet program is enough: where one is connected, the others are absent from choice.
    """
    connected = next((host.title for host in HOSTS.values() if _is_good(host, found)), None)
    for standing in (Standing.FAULT, Standing.OUTDATED, *(() if connected else (Standing.ABSENT,))):
        for finding in found:
            if finding.standing is standing and finding.next:
                return f"for {finding.subject}, {finding.next}"
    return f'open a workbook in {connected}; "stillbook new booth-estimate my-room.xlsx" makes one' if connected else ""


def _is_good(host: Host, found: Sequence[Finding]) -> bool:
    return any(finding.subject == host.title and finding.standing is Standing.GOOD for finding in found)


def _packages() -> Iterator[Finding]:
    """The packages Stillbook needs, as its own metadata names them."""
    for requirement in metadata.requires("stillbook") or ():
        match = re.match(r"[\w.-]+", requirement)
        if match is None or "extra ==" in requirement or (_ON_WINDOWS.search(requirement) and sys.platform != "win32"):
            continue
        name = match[0]
        try:
            yield Finding(name, Standing.GOOD, metadata.version(name))
        except metadata.PackageNotFoundError:
            yield Finding(name, Standing.FAULT, "not installed", _REINSTALL)


def _templates() -> Finding:
    from stillbook.templates.shipped import TEMPLATES, folder

    there = [f"{entry.name} {system}" for entry in TEMPLATES for system in entry.systems]
    missing = [
        f"{entry.name} {system}" for entry in TEMPLATES for system in ("US", "SI") if system not in entry.systems
    ]
    if missing:
        return Finding("templates", Standing.FAULT, f"missing {', '.join(missing)} in {folder()}", _REINSTALL)
    versions = {f"{entry.name}: {entry.version}" for entry in TEMPLATES if entry.version > 1}
    newer = f"; versions over 1: {', '.join(sorted(versions))}" if versions else "; each of version 1"
    return Finding("templates", Standing.GOOD, ", ".join(there) + newer)


def _examples() -> Finding:
    """The example of every formula, calculated as a workbook calculates it."""
    from stillbook.catalogue import formulas

    wrong = [
        entry.workbook_name for entry in formulas().values() if not _holds(entry.example.call, entry.example.gives)
    ]
    if wrong:
        return Finding("calculation", Standing.FAULT, f"{', '.join(wrong)} differ from their examples", _REINSTALL)
    return Finding(
        "calculation", Standing.GOOD, f"the examples of all {len(formulas())} formulas give what they should"
    )


def _service() -> Finding:
    """The calculation service, which other programs may have started."""
    from stillbook.hosts import discovery

    found = discovery.running()
    if found is None:
        return Finding("service", Standing.ABSENT, 'not running; "stillbook serve" starts it')
    where = f"{found.version} at {found.address}, process {found.pid}"
    if found.version != __version__:
        return Finding("service", Standing.OUTDATED, where, "stop it and start it again")
    return Finding("service", Standing.GOOD, where)


def _teams_service() -> Iterator[Finding]:
    """The service on another computer that the user chose, if any."""
    from stillbook.hosts import discovery

    chosen = discovery.chosen()
    if chosen is None:
        return
    if discovery.answers(chosen, 5):
        yield Finding("team's service", Standing.GOOD, f"{chosen.address} calculates for LibreOffice Calc")
    else:
        detail = f"{chosen.address} does not answer, or refuses the token"
        back = 'ask whose it is, or run "stillbook connect libreoffice --service here" to calculate on this computer'
        yield Finding("team's service", Standing.FAULT, detail, back)


def _host(host: Host) -> Finding:
    """A spreadsheet program, and whether it knows the formulas."""
    state = host.state()
    return Finding(host.title, state.standing, state.detail, state.next)


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
