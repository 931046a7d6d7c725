"""Connect LibreOffice to the formulas: install the extension, remove it, and tell how it stands."""

from __future__ import annotations

import csv
import os
import stat
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Final
from xml.sax.saxutils import quoteattr

import stillbook
from stillbook.catalogue import formulas
from stillbook.hosts.host import HostError, Standing, State
from stillbook.hosts.libreoffice import leftover, office, places
from stillbook.hosts.libreoffice.extension import FILE_NAME, extension, version
from stillbook.hosts.libreoffice.office import Office, reads_neutral

AGAIN: Final = 'run "stillbook connect libreoffice"'

_CALL: Final = 'QUANTITY("1 ft";"in")'
_CALLS: Final = (f"STILL.{_CALL}", f"STILL_{_CALL}", 'STILL.WHY("QUANTITY";"1 ft";"in")')
_CELLS: Final = "".join(f"<table:table-cell table:formula={quoteattr(f'of:={call}')}/>" for call in _CALLS)

_TRIAL: Final = f"""<?xml version="1.0" encoding="UTF-8"?>
<office:document xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" \
xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" xmlns:of="urn:oasis:names:tc:opendocument:xmlns:of:1.2" \
office:version="1.2" office:mimetype="application/vnd.oasis.opendocument.spreadsheet"><office:body><office:spreadsheet>
<table:table table:name="Trial"><table:table-row>{_CELLS}</table:table-row></table:table>
</office:spreadsheet></office:body></office:document>
"""
"""A workbook of three formulas: 12 by each name that there is of one, and why it would be an error."""

_PYTHON_MISSING: Final = (
    "LibreOffice does not run the extension, most likely because its support for Python is not installed: install it "
    "(on Debian and Ubuntu the package python3-uno) and connect again"
)


_ASTRAY: Final = (
    "Start LibreOffice from the desktop or from another terminal: an environment of Python is active in this one, in "
    "which LibreOffice's own Python would look for its library and not run."
)


def connect(mine: Office | None = None, *, everyone: bool = False) -> list[str]:
    """Make the extension, see that it calculates, and install it; lines that say what was done.

    Args:
        mine: The LibreOffice to connect; the one that the user would start if left out.
        everyone: Whether for all users of this computer, which only an administrator may.

    Raises:
        HostError: If it could not be installed; the message says what to do. What was installed before stays then.
    """
    mine = mine or _found()
    if everyone:
        _refuse_for_everyone()
    catalogue = formulas()
    neutral = reads_neutral(mine.version())
    data, made = extension(catalogue, _command(), reads_neutral=neutral)
    place = places.everyones(mine) if everyone else places.users(mine)
    with tempfile.TemporaryDirectory(prefix="stillbook-", ignore_cleanup_errors=True) as folder:
        file = Path(folder) / FILE_NAME
        file.write_bytes(data)
        _try(mine, file, reads_neutral=neutral)
        place.add(file)
    if place.installed() != made:
        raise HostError("LibreOffice did not keep the extension: close LibreOffice and connect again")
    return [
        f"Installed the extension with {len(catalogue)} formulas {place.whose}, in {place.folder}.",
        f"They are calculated by {sys.executable}, which LibreOffice in {mine.program} starts when it needs it.",
        "A trial calculation gave the right number.",
        "If LibreOffice is open, close it and start it again.",
        *([_ASTRAY] if _leads_astray() else []),
        "Connect again after each upgrade of Stillbook, Python or LibreOffice.",
    ]


def disconnect(mine: Office | None = None) -> list[str]:
    """Remove the extension, and its module of Basic where LibreOffice has left it; lines that say what was done.

    Raises:
        HostError: If it cannot be removed.
    """
    mine = mine or _found()
    place = next((each for each in _places(mine) if each.installed() is not None), None)
    if place is not None:
        if place.shared and not places.is_administrator():
            raise HostError("the extension was installed for all users: disconnect as the administrator")
        place.remove()
    try:
        left = leftover.remove(mine.profile())
    except OSError as error:
        raise HostError(f"{error.filename} cannot be changed ({error.strerror}): remove it by hand") from None
    lines = [f"Removed its module {name} from your library of Basic." for name in left]
    if place is None:
        return lines or ["LibreOffice is not connected: nothing to remove."]
    return [
        f"Removed the extension that was installed {place.whose}.",
        *lines,
        "Workbooks keep their formulas; LibreOffice shows #NAME? where it calculates them again.",
    ]


def state(mine: Office | None = None) -> State:
    """How LibreOffice stands, and what its formulas are calculated by."""
    mine = mine or office.find()
    if mine is None:
        return State(Standing.ABSENT, f"{office.MISSING}; printing needs it too", office.INSTALL)
    try:
        told = mine.version()
        found = ((each, each.installed()) for each in _places(mine))
        place, installed = next(((each, kept) for each, kept in found if kept is not None), (None, None))
    except HostError as error:
        return State(Standing.FAULT, f"LibreOffice in {mine.program} does not answer", str(error))
    program = f"LibreOffice {told} in {mine.program}"
    if place is None:
        return State(Standing.ABSENT, f"{program}, not connected", AGAIN)
    connected = f"{program}, connected{' for all users' if place.shared else ''}"
    if installed != version(formulas(), _command(), reads_neutral=reads_neutral(told)):
        changed = "but the formulas have changed since, or another Python calculates them"
        return State(Standing.OUTDATED, f"{connected}, {changed}", f"{AGAIN} again")
    return State(Standing.GOOD, f"{connected}: {len(formulas())} formulas, calculated by {sys.executable}")


# --- steps ------------------------------------------------------------------------------------------------------------


def _found() -> Office:
    found = office.find()
    if found is None:
        raise HostError(f"{office.MISSING}: {office.INSTALL}")
    return found


def _command() -> tuple[str, ...]:
    """Starts what calculates, with the Python that runs this."""
    return (sys.executable, "-m", "stillbook.answering")


def _places(mine: Office) -> Iterator[places.Place]:
    """Where the extension may be, the user's own place first: it goes before that of everyone."""
    yield places.users(mine)
    yield places.everyones(mine)


def _refuse_for_everyone() -> None:
    """Refuse to install for everyone what not everyone may do or run.

    Raises:
        HostError: If this is no administrator, or if other users may not run the Python that calculates.
    """
    if not places.is_administrator():
        raise HostError(
            "only an administrator may install it for everyone: do that as one, or leave --for-everyone out"
        )
    python = Path(sys.executable)
    needed = (python, python.resolve(), Path(stillbook.__file__)) if os.name == "posix" else ()
    for closed in filter(None, map(_closed, needed)):
        raise HostError(
            f"other users may not use {closed}, and so not the Python that calculates: install Stillbook where "
            "everyone may run it, or leave --for-everyone out"
        )


def _closed(file: Path) -> Path | None:
    """The first folder on the way to a file, or the file itself, that other users may not use."""
    folder = next((each for each in reversed(file.parents) if not each.stat().st_mode & stat.S_IXOTH), None)
    return folder or (None if file.stat().st_mode & stat.S_IROTH else file)


def _leads_astray() -> bool:
    """Whether LibreOffice started from this terminal would find another Python than the one it is made for."""
    return sys.platform == "linux" and "VIRTUAL_ENV" in os.environ and sys.base_prefix != "/usr"


def _try(mine: Office, file: Path, *, reads_neutral: bool) -> None:
    """See that the extension calculates, with a profile that is thrown away and no trace in the user's own.

    Raises:
        HostError: If it does not; the message says why.
    """
    with tempfile.TemporaryDirectory(prefix="stillbook-", ignore_cleanup_errors=True) as name:
        folder = Path(name)
        apart = mine.apart(folder)
        places.trial(apart).add(file)
        trial = folder / "trial.fods"
        trial.write_text(_TRIAL, encoding="utf-8")
        answer = apart.convert(trial, "csv", folder).read_text(encoding="utf-8", errors="replace").strip()
    by_extension, by_neutral_name, why = [*next(csv.reader([answer]), []), "", "", ""][:3]
    if by_extension != "12":
        raise HostError(why if why.startswith("Stillbook ") else f"{_PYTHON_MISSING} (the trial gave {answer[:80]!r})")
    if by_neutral_name != "12" and not reads_neutral:
        raise HostError(
            f"LibreOffice does not run the extension's functions of Basic (the trial gave {answer[:80]!r}): "
            "install LibreOffice again with its Basic"
        )
