"""LibreOffice on this computer: where its programs are, and running them without a window."""

from __future__ import annotations

import os
import platform
import re
import shutil
import subprocess
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final
from urllib.parse import unquote, urlsplit

from stillbook.hosts.host import HostError

SECONDS: Final = 120
"""How long LibreOffice may take for one task; its first start on a slow disk takes most of a minute."""

_PLACES: Final = {
    "Darwin": ("/Applications/LibreOffice.app/Contents/MacOS",),
    "Windows": (r"C:\Program Files\LibreOffice\program", r"C:\Program Files (x86)\LibreOffice\program"),
}

_PROFILE: Final = "-env:UserInstallation="
_SHARED: Final = "-env:UNO_SHARED_PACKAGES_CACHE="

_PROFILES: Final = {
    "Darwin": "~/Library/Application Support/LibreOffice/4",
    "Windows": "~/AppData/Roaming/LibreOffice/4",
}
"""The folder of a user's settings, where it is not the one of Linux."""

MISSING: Final = "LibreOffice is not found"

INSTALL: Final = (
    "install LibreOffice Calc (https://www.libreoffice.org), or put the folder of its program soffice on the PATH"
)


@dataclass(frozen=True, slots=True)
class Office:
    """An installed LibreOffice, as one user runs it.

    Args:
        program: Folder of its programs.
        options: Put before the arguments of each; such as the folder of another user profile.
        added: Added to the environment of each.
    """

    program: Path
    options: tuple[str, ...] = ()
    added: tuple[tuple[str, str], ...] = ()

    def apart(self, folder: Path) -> Office:
        """The same LibreOffice with a user profile, and a place for what administrators install, in another folder.

        It knows nothing of the user's, leaves no trace there, and can run beside an open LibreOffice.
        """
        places = {"UserInstallation": "profile", "UNO_SHARED_PACKAGES_CACHE": "shared"}
        return Office(self.program, tuple(f"-env:{k}={(folder.resolve() / v).as_uri()}" for k, v in places.items()))

    def beside(self, folder: Path) -> Office:
        """The same LibreOffice with the same user profile, and what administrators install in another folder."""
        kept = tuple(option for option in self.options if not option.startswith(_SHARED))
        return replace(self, options=(*kept, f"{_SHARED}{(folder.resolve() / 'shared').as_uri()}"))

    def with_environment(self, added: Mapping[str, str]) -> Office:
        """The same LibreOffice, started with more in its environment."""
        return replace(self, added=tuple(added.items()))

    def profile(self) -> Path:
        """Folder of the user's settings; where none is named the usual one."""
        named = self._named(_PROFILE)
        if named is None and (usual := _PROFILES.get(platform.system())):
            return Path(usual).expanduser()
        return named or Path(os.environ.get("XDG_CONFIG_HOME") or Path.home() / ".config", "libreoffice", "4")

    def shared(self) -> Path:
        """Folder of what administrators install for everyone; where none is named the usual one."""
        inside = ("Resources", "share") if platform.system() == "Darwin" else ("share",)
        return self._named(_SHARED) or self.program.parent.joinpath(*inside, "uno_packages", "cache")

    def _named(self, option: str) -> Path | None:
        """The folder that an option names."""
        found = next((each.removeprefix(option) for each in self.options if each.startswith(option)), None)
        return None if found is None else Path(unquote(urlsplit(found).path))

    def convert(self, file: Path, form: str, folder: Path) -> Path:
        """Open a file without a window and save it in another form.

        Args:
            file: The file to open.
            form: Suffix of the new file, and if needed the name of the filter: ``pdf:calc_pdf_Export``.
            folder: Where the new file goes, under the name of the old one.

        Raises:
            HostError: If LibreOffice cannot do it.
        """
        target = folder / f"{file.stem}.{form.partition(':')[0]}"
        arguments = ("--headless", "--norestore", "--convert-to", form, "--outdir", str(folder), str(file))
        told = _told(self._done("soffice", arguments))
        if not target.is_file():
            raise HostError(f"LibreOffice could not convert {file.name}{f': {_last_line(told)}' if told else ''}")
        return target

    def version(self) -> str:
        """Its version, such as ``7.4.7.2``.

        Raises:
            HostError: If it does not tell.
        """
        done = self._done("soffice", ("--version",))
        words = done.stdout.split()
        if done.returncode or len(words) < 2:
            raise HostError(f"{self.program / 'soffice'} does not tell its version: install LibreOffice again")
        return words[1]

    def unopkg(self, *arguments: str) -> tuple[bool, str]:
        """Run its program for extensions; whether it succeeded, and what it printed.

        Raises:
            HostError: If it is missing or does not end in time.
        """
        done = self._done("unopkg", arguments)
        return done.returncode == 0, _told(done)

    def _done(self, name: str, arguments: Sequence[str]) -> subprocess.CompletedProcess[str]:
        suffix = ".com" if platform.system() == "Windows" else ""  # .exe would not be waited for
        command = [str(self.program / f"{name}{suffix}"), *self._placed(name, arguments)]
        try:
            return subprocess.run(
                command,
                stdin=subprocess.DEVNULL,
                env={**environment(), **dict(self.added)},
                capture_output=True,
                text=True,
                errors="replace",
                timeout=SECONDS,
                check=False,
            )
        except subprocess.TimeoutExpired:
            raise HostError(f"{name} did not end within {SECONDS} s: close LibreOffice and try again") from None
        except OSError as error:
            raise HostError(f"{command[0]} cannot be run ({error.strerror}): install LibreOffice again") from None

    def _placed(self, name: str, arguments: Sequence[str]) -> list[str]:
        """The arguments with the options where the program takes them: unopkg after its command, soffice first."""
        if name == "unopkg":
            return [*arguments[:1], *self.options, *arguments[1:]]
        return [*self.options, *arguments]


def reads_neutral(version: str) -> bool:
    """Whether a LibreOffice of a version takes ``STILL_DOORMASS`` of an .xlsx file for a formula of an extension.

    25.2 was seen to, and 7.4 not to; those between were not tried, and are taken for ones that do not.

    >>> reads_neutral("7.4.7.2"), reads_neutral("25.2.1.2")
    (False, True)
    """
    return [int(part) for part in re.findall(r"\d+", version)[:2]] >= [25, 2]


def find() -> Office | None:
    """The LibreOffice that a user would start: the one on the PATH, else the one in its usual place."""
    started = shutil.which("soffice") or shutil.which("libreoffice")
    if started is not None:
        return Office(Path(os.path.realpath(started)).parent)
    for place in _PLACES.get(platform.system(), ()):
        if Path(place).is_dir():
            return Office(Path(place))
    return None


def environment() -> dict[str, str]:
    """The environment in which to start LibreOffice, so that its own Python finds its own library.

    On Linux it looks for that library beside the first ``python3`` of the PATH, which may be another one while an
    environment of Python is active.
    """
    kept = {name: value for name, value in os.environ.items() if not name.startswith(("PYTHON", "VIRTUAL_ENV"))}
    if platform.system() == "Linux":
        kept["PATH"] = f"/usr/bin:/bin:{kept.get('PATH', '')}"
    return kept


def _told(done: subprocess.CompletedProcess[str]) -> str:
    """What a program printed."""
    return f"{done.stdout}\n{done.stderr}".strip()


def _last_line(text: str) -> str:
    return text.strip().splitlines()[-1][:200]
