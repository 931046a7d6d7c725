"""Where the extension is installed: for the user alone, or by an administrator for everyone."""

from __future__ import annotations

import os
import re
import tempfile
from abc import ABC, abstractmethod
from pathlib import Path

from stillbook.hosts.host import HostError
from stillbook.hosts.libreoffice.extension import FILE_NAME, IDENTIFIER, installer
from stillbook.hosts.libreoffice.office import Office

_AGAIN = "close LibreOffice and try again"


class Place(ABC):
    """A place in which a LibreOffice looks for extensions.

    Args:
        shared: Whether all users of the computer have what is there.
        whose: The same in words.
        folder: Where it is.
    """

    shared: bool
    whose: str
    folder: Path

    @abstractmethod
    def installed(self) -> str | None:
        """The version of our extension there; None if there is none.

        Raises:
            HostError: If LibreOffice does not answer.
        """

    @abstractmethod
    def add(self, file: Path) -> None:
        """Install the extension in a file, in place of the one before.

        Raises:
            HostError: If LibreOffice refuses it.
        """

    @abstractmethod
    def remove(self) -> None:
        """Remove our extension.

        Raises:
            HostError: If LibreOffice refuses that.
        """


def is_root() -> bool:
    """Whether root runs this; on Windows nobody is root."""
    return hasattr(os, "geteuid") and os.geteuid() == 0


def is_administrator() -> bool:
    """Whether this user may install for everyone, as far as it can be told; on Windows LibreOffice itself tells."""
    return is_root() or not hasattr(os, "geteuid")


def users(mine: Office) -> Place:
    """The place of the user who runs this."""
    return _Roots(mine) if is_root() else _Told(mine, shared=False)


def everyones(mine: Office) -> Place:
    """The place of all users of this computer."""
    return _Told(mine, shared=True)


def trial(apart: Office) -> Place:
    """A place in a LibreOffice that is apart, so that either will do; root may use one alone."""
    return _Told(apart, shared=is_root())


class _Told(Place):
    """Where LibreOffice's own program for extensions puts them."""

    def __init__(self, mine: Office, *, shared: bool) -> None:
        self._mine = mine
        self.shared = shared
        self.whose = "for all users of this computer" if shared else "for you alone"
        self.folder = mine.shared() if shared else _of_the_user(mine)
        self._options = ("--shared",) if shared else ()

    def installed(self) -> str | None:
        done, told = self._mine.unopkg("list", *self._options, IDENTIFIER)
        found = re.search(r"^\s*Version: (\S+)", told, re.MULTILINE)
        return found[1] if done and found and "is registered: yes" in told else None

    def add(self, file: Path) -> None:
        done, told = self._mine.unopkg("add", "--force", "--suppress-license", *self._options, str(file))
        if not done:
            raise HostError(f"LibreOffice refused the extension ({_reason(told)}): close LibreOffice and connect again")

    def remove(self) -> None:
        done, told = self._mine.unopkg("remove", *self._options, IDENTIFIER)
        if not done:
            raise HostError(
                f"the extension could not be removed ({_reason(told)}): close LibreOffice and disconnect again"
            )


class _Roots(Place):
    """Root's own place. LibreOffice's program refuses it to root; LibreOffice itself, started by root, does not.

    So an extension that installs is put beside a LibreOffice that has root's settings, for one start.
    """

    shared = False
    whose = "for root alone"

    def __init__(self, mine: Office) -> None:
        self._mine = mine
        self.folder = _of_the_user(mine)

    def installed(self) -> str | None:
        kept = self.folder / "registry" / "com.sun.star.comp.deployment.bundle.PackageRegistryBackend" / "backenddb.xml"
        try:
            entry = re.search(rf"/([^/\"]+)/{re.escape(FILE_NAME)}\"", kept.read_text(encoding="utf-8"))
            if entry is None:
                return None
            about = self.folder / "uno_packages" / entry[1] / FILE_NAME / "description.xml"
            found = re.search(r'<version value="([^"]+)"', about.read_text(encoding="utf-8"))
        except OSError:
            return None
        return found[1] if found else None

    def add(self, file: Path) -> None:
        self._run(str(file))

    def remove(self) -> None:
        self._run("")

    def _run(self, file: str) -> None:
        with tempfile.TemporaryDirectory(prefix="stillbook-", ignore_cleanup_errors=True) as name:
            folder = Path(name)
            (folder / "installer.oxt").write_bytes(installer())
            (folder / "nothing.csv").write_text("nothing\n", encoding="utf-8")
            beside = self._mine.beside(folder)
            trial(beside).add(folder / "installer.oxt")
            told = folder / "told"
            asked = {"INSTALLS": file, "EXTENSION": IDENTIFIER, "INSTALLED": str(told)}
            starting = beside.with_environment({f"STILLBOOK_{name}": value for name, value in asked.items()})
            starting.convert(folder / "nothing.csv", "ods", folder)
            wrong = told.read_text(encoding="utf-8").strip() if told.is_file() else "it was not asked"
        if wrong:
            raise HostError(f"LibreOffice refused ({wrong.splitlines()[-1][:200]}): {_AGAIN}")


def _of_the_user(mine: Office) -> Path:
    return mine.profile() / "user" / "uno_packages" / "cache"


def _reason(told: str) -> str:
    """What unopkg says is wrong, in a line without its source places."""
    lines = [line for line in told.splitlines() if line.strip() and "unopkg failed" not in line]
    text = " ".join(lines).replace("ERROR:", "").replace("Exception occurred:", "")
    return " ".join(text.partition(" at ./")[0].split())[:200] or "it gave no reason"
