"""Connect LibreOffice to the formulas: install the extension for the user, remove it, and tell how it stands."""

from __future__ import annotations

import os
import re
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from stillbook.catalogue import formulas
from stillbook.hosts.host import HostError, Standing, State
from stillbook.hosts.libreoffice import office
from stillbook.hosts.libreoffice.extension import FILE_NAME, IDENTIFIER, extension, version
from stillbook.hosts.libreoffice.office import Office
from stillbook.hosts.libreoffice.signatures import SERVICE

AGAIN: Final = 'run "stillbook connect libreoffice"'

_TRIAL: Final = f"""<?xml version="1.0" encoding="UTF-8"?>
<office:document xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" \
xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" xmlns:of="urn:oasis:names:tc:opendocument:xmlns:of:1.2" \
office:version="1.2" office:mimetype="application/vnd.oasis.opendocument.spreadsheet"><office:body><office:spreadsheet>
<table:table table:name="Trial"><table:table-row>
<table:table-cell table:formula="of:={SERVICE.upper()}.QUANTITY(&quot;1 ft&quot;;&quot;in&quot;)"/>
</table:table-row></table:table></office:spreadsheet></office:body></office:document>
"""
"""A workbook of one formula, which gives 12."""

_PYTHON_MISSING: Final = (
    "LibreOffice does not run the extension, most likely because its support for Python is not installed: install it "
    "(on Debian and Ubuntu the package python3-uno) and connect again"
)


_ASTRAY: Final = (
    "Start LibreOffice from the desktop or from another terminal: an environment of Python is active in this one, in "
    "which LibreOffice's own Python would look for its library and not run."
)


@dataclass(frozen=True, slots=True)
class _Place:
    """Where an extension is installed: for the user alone, or by the administrator for everyone."""

    shared: bool

    @property
    def options(self) -> tuple[str, ...]:
        return ("--shared",) if self.shared else ()

    def installed(self, mine: Office) -> str | None:
        """The version installed here; None if there is none."""
        done, told = mine.unopkg("list", *self.options, IDENTIFIER)
        found = re.search(r"^\s*Version: (\S+)", told, re.MULTILINE)
        return found[1] if done and found and "is registered: yes" in told else None


_USER: Final = _Place(shared=False)
_EVERYONE: Final = _Place(shared=True)


def connect(mine: Office | None = None) -> list[str]:
    """Make the extension, see that it calculates, and install it; lines that say what was done.

    Args:
        mine: The LibreOffice to connect; the one that the user would start if left out.

    Raises:
        HostError: If it could not be installed; the message says what to do. What was installed before stays then.
    """
    mine = mine or _found()
    catalogue = formulas()
    data, made = extension(catalogue, _command(), reads_neutral=mine.reads_neutral())
    place = _place()
    with tempfile.TemporaryDirectory(prefix="stillbook-", ignore_cleanup_errors=True) as folder:
        file = Path(folder) / FILE_NAME
        file.write_bytes(data)
        _try(mine, file)
        _install(mine, file, place)
    if place.installed(mine) != made:
        raise HostError("LibreOffice did not keep the extension: close LibreOffice and connect again")
    return [
        f"Installed the extension with {len(catalogue)} formulas for LibreOffice in {mine.program}.",
        f"They are calculated by {sys.executable}; LibreOffice starts it when it needs it.",
        *(["All users of this computer have them, as an administrator connected it."] if place.shared else []),
        "A trial calculation gave the right number.",
        "If LibreOffice is open, close it and start it again.",
        *([_ASTRAY] if _leads_astray() else []),
        "Connect again after each upgrade of Stillbook or Python.",
    ]


def disconnect(mine: Office | None = None) -> list[str]:
    """Remove the extension; lines that say what was done.

    Raises:
        HostError: If it cannot be removed.
    """
    mine = mine or _found()
    place = _place()
    if place.installed(mine) is None:
        if not place.shared and _EVERYONE.installed(mine) is not None:
            raise HostError("the extension was installed for all users: disconnect as the administrator")
        return ["LibreOffice is not connected: nothing to remove."]
    done, told = mine.unopkg("remove", *place.options, IDENTIFIER)
    if not done:
        raise HostError(f"the extension could not be removed ({_reason(told)}): close LibreOffice and disconnect again")
    return [
        "Removed the extension from LibreOffice.",
        "Workbooks keep their formulas; LibreOffice shows #NAME? where it calculates them again.",
    ]


def state(mine: Office | None = None) -> State:
    """How LibreOffice stands, and what its formulas are calculated by."""
    mine = mine or office.find()
    if mine is None:
        return State(Standing.ABSENT, f"{office.MISSING}; printing needs it too", office.INSTALL)
    try:
        program = f"LibreOffice {mine.version()} in {mine.program}"
        found = {place: place.installed(mine) for place in (_USER, _EVERYONE)}
    except HostError as error:
        return State(Standing.FAULT, f"LibreOffice in {mine.program} does not answer", str(error))
    installed = found[_USER] or found[_EVERYONE]
    if installed is None:
        return State(Standing.ABSENT, f"{program}, not connected", AGAIN)
    connected = f"{program}, connected{'' if found[_USER] else ' for all users'}"
    if installed != version(formulas(), _command(), reads_neutral=mine.reads_neutral()):
        changed = "but the formulas have changed since, or another Python calculates them"
        return State(Standing.OUTDATED, f"{connected}, {changed}", f"{AGAIN} again")
    return State(Standing.CONNECTED, f"{connected}: {len(formulas())} formulas, calculated by {sys.executable}")


# --- steps ------------------------------------------------------------------------------------------------------------


def _found() -> Office:
    found = office.find()
    if found is None:
        raise HostError(f"{office.MISSING}: {office.INSTALL}")
    return found


def _place() -> _Place:
    """Where this user may install: LibreOffice lets an administrator install for everyone only."""
    return _EVERYONE if hasattr(os, "geteuid") and os.geteuid() == 0 else _USER


def _command() -> tuple[str, ...]:
    """Starts the service with the Python that runs this."""
    return (sys.executable, "-m", "stillbook.answering")


def _leads_astray() -> bool:
    """Whether LibreOffice started from this terminal would find another Python than the one it is made for."""
    return sys.platform == "linux" and "VIRTUAL_ENV" in os.environ and sys.base_prefix != "/usr"


def _install(mine: Office, file: Path, place: _Place) -> None:
    done, told = mine.unopkg("add", "--force", "--suppress-license", *place.options, str(file))
    if not done:
        raise HostError(f"LibreOffice refused the extension ({_reason(told)}): close LibreOffice and connect again")


def _try(mine: Office, file: Path) -> None:
    """See that the extension calculates, with a profile that is thrown away and no trace in the user's own.

    Raises:
        HostError: If it does not; the message says why.
    """
    with tempfile.TemporaryDirectory(prefix="stillbook-", ignore_cleanup_errors=True) as name:
        folder = Path(name)
        apart = mine.apart(folder)
        _install(apart, file, _place())
        trial = folder / "trial.fods"
        trial.write_text(_TRIAL, encoding="utf-8")
        answer = apart.convert(trial, "csv", folder).read_text(encoding="utf-8", errors="replace").strip()
    if answer == "#N/A":
        raise HostError(
            "LibreOffice runs the extension but gets no answer from the calculation service: "
            f'see whether "{sys.executable} -m stillbook serve" starts, and connect again'
        )
    if answer != "12":
        raise HostError(_PYTHON_MISSING)


def _reason(told: str) -> str:
    """What unopkg says is wrong, in a line without its source places."""
    lines = [line for line in told.splitlines() if line.strip() and "unopkg failed" not in line]
    text = " ".join(lines).replace("ERROR:", "").replace("Exception occurred:", "")
    return " ".join(text.partition(" at ./")[0].split())[:200] or "it gave no reason"
