"""Connect desktop Excel to the formulas: install the add-in, remove it, and tell how it stands."""

from __future__ import annotations

import json
import os
import platform
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from stillbook import __version__
from stillbook.catalogue import formulas
from stillbook.hosts.excel.addin import addin, install, parts, server
from stillbook.hosts.excel.com import started_excel
from stillbook.hosts.host import HostError, Standing, State

AGAIN: Final = 'run "stillbook connect excel"'

ELSEWHERE: Final = (
    "the formulas work in desktop Excel on Windows only; on this computer use LibreOffice Calc or Excel in the "
    "browser, or calculate workbooks with Stillbook itself: their numbers show in any spreadsheet program"
)


@dataclass(frozen=True, slots=True)
class Record:
    """What was installed, kept in a small file of the user's."""

    file: Path
    version: str
    interpreter: str
    mark: str

    def write(self, place: Path) -> None:
        """Keep it."""
        place.parent.mkdir(parents=True, exist_ok=True)
        kept = {"file": str(self.file), "version": self.version, "interpreter": self.interpreter, "mark": self.mark}
        place.write_text(json.dumps(kept, indent=1), encoding="utf-8")

    @classmethod
    def read(cls, place: Path) -> Record | None:
        """What is kept; None where nothing is, or nothing that can be read."""
        try:
            kept = json.loads(place.read_text(encoding="utf-8"))
            return cls(Path(kept["file"]), str(kept["version"]), str(kept["interpreter"]), str(kept["mark"]))
        except (OSError, ValueError, KeyError, TypeError):
            return None


def record_place() -> Path:
    """Where the record of what was installed is kept."""
    return Path(os.environ.get("APPDATA") or Path.home()) / "Stillbook" / "excel.json"


def on_windows() -> bool:
    """Whether this is Windows."""
    return platform.system() == "Windows"


def connect() -> list[str]:
    """Build and install the add-in; lines that say what was done and what the user has to do.

    Raises:
        HostError: If it could not be installed; the message says what to do, or on another system what to use instead.
    """
    if not on_windows():
        raise HostError(ELSEWHERE)
    found = parts()
    asked = server(found)
    content = addin(formulas(), asked)
    target, refused = install(content, found.base, started_excel)
    Record(target, __version__, str(asked.interpreter), content.mark).write(record_place())
    lines = [
        f"Installed {target}: {len(content.helps)} formulas for every workbook you open in Excel.",
        f"They are calculated by {asked.interpreter}.",
        "Close Excel if it is open, and start it again.",
        'You can now take away the tick at "Trust access to the VBA project object model".',
        "Connect again after each upgrade of Stillbook, xlwings or Python.",
    ]
    if refused:
        lines.append(f"Excel refused the help texts of {len(refused)} formulas; they work without.")
    checklist = Path(__file__).with_name("guide.md")
    lines.append(f"This was never run on Windows in our tests: go through the first-run checklist in {checklist}")
    return lines


def disconnect() -> list[str]:
    """Remove the add-in; lines that say what was done.

    Raises:
        HostError: If the add-in is in use.
    """
    place = record_place()
    record = Record.read(place)
    if record is None:
        return ["The Excel add-in is not installed: nothing to remove."]
    try:
        record.file.unlink(missing_ok=True)
    except PermissionError:
        raise HostError(f"{record.file} is in use: close Excel and disconnect again") from None
    place.unlink()
    if not any(place.parent.iterdir()):
        place.parent.rmdir()
    return [
        f"Removed {record.file}.",
        "Workbooks keep their formulas and the numbers last calculated; Excel shows #NAME? where it calculates again.",
        'If "Trust access to the VBA project object model" is still ticked in Excel, you can take the tick away.',
    ]


def state() -> State:
    """How desktop Excel stands."""
    if not on_windows():
        return State(Standing.ABSENT, f"not available: {ELSEWHERE}")
    record = Record.read(record_place())
    if record is None:
        return State(Standing.ABSENT, "not connected", AGAIN)
    if not record.file.is_file():
        return State(Standing.ABSENT, f"not connected: {record.file} is gone", AGAIN)
    try:
        asked = server(parts())
    except HostError as error:
        return State(Standing.FAULT, f"{record.file} is there, but cannot start Python", str(error))
    if record.interpreter != str(asked.interpreter):
        return State(Standing.OUTDATED, f"connected to another Python, {record.interpreter}", f"{AGAIN} again")
    if record.mark != addin(formulas(), asked).mark:
        changed = f"connected, but the formulas have changed since Stillbook {record.version} made it"
        return State(Standing.OUTDATED, changed, f"{AGAIN} again")
    return State(Standing.GOOD, f"connected: {record.file}")
