"""Connect desktop Excel on Windows to the formulas: build and install the personal add-in, and undo it.

The add-in is made from the open-source parts of xlwings: its empty add-in workbook, which is filled with the VBA of
:mod:`stillbook.hosts.excel_wrapper`, and its library that starts Python.
"""

from __future__ import annotations

import json
import os
import platform
import shutil
import sys
import tempfile
import time
from collections.abc import Callable, Mapping
from contextlib import AbstractContextManager
from dataclasses import dataclass
from importlib.metadata import Distribution, PackageNotFoundError, distribution
from importlib.resources import files
from pathlib import Path, PureWindowsPath
from typing import Final

from stillbook import __version__
from stillbook.catalogue import formulas
from stillbook.formula import Formula
from stillbook.hosts import HostError, excel_wizard, excel_wrapper
from stillbook.hosts.excel_com import AddIn, Busy, Excel, FunctionHelp, NotTrusted, started_excel

ADDIN_FILE: Final = "Stillbook.xlam"

CODE_PAGE: Final = "mbcs"
"""Python's name for the code page of this Windows."""

TRIES: Final = 5
"""How often a busy Excel is asked again, a second apart."""

ELSEWHERE: Final = (
    "the formulas work in desktop Excel on Windows only; on this computer use LibreOffice Calc or Excel in the "
    "browser, or calculate workbooks with Stillbook itself: their numbers show in any spreadsheet program"
)

TRUST: Final = (
    "Excel does not let the add-in be built. In Excel choose File > Options > Trust Center > Trust Center Settings > "
    'Macro Settings, tick "Trust access to the VBA project object model", close Excel and connect again. '
    "Only this step needs it: you can take the tick away afterwards"
)


# --- what the add-in is made of ---------------------------------------------------------------------------------------


def addin(catalogue: Mapping[str, Formula], server: excel_wrapper.Server) -> AddIn:
    """The content of the add-in, for a catalogue and the Python that answers it."""
    spread = excel_wizard.widest(catalogue)
    return AddIn(
        modules=excel_wrapper.modules(catalogue, server),
        workbook_code=excel_wrapper.workbook_code(),
        helps=tuple(
            FunctionHelp(
                entry.workbook_name,
                excel_wizard.description(entry),
                excel_wizard.category(entry),
                tuple(argument.help for argument in excel_wizard.arguments(entry, spread)),
            )
            for entry in catalogue.values()
        ),
        notes=(
            ("Stillbook", __version__),
            ("Python", str(server.interpreter)),
            ("Module", excel_wrapper.UDF_MODULE),
            ("Formulas", str(len(catalogue))),
        ),
    )


@dataclass(frozen=True, slots=True)
class Parts:
    """The files of an installed xlwings that the add-in is made from."""

    base: Path
    dll32: Path
    dll64: Path


def parts(package: Distribution | None = None) -> Parts:
    """The files of the xlwings installed beside Stillbook, so that its library and its Python code are of one version.

    Raises:
        HostError: If xlwings or one of the files is missing.
    """
    try:
        package = package or distribution("xlwings")
    except PackageNotFoundError:
        raise HostError("xlwings is not installed: reinstall Stillbook") from None
    wanted = {
        "base": "quickstart_addin.xlam",
        "dll32": f"xlwings32-{package.version}.dll",
        "dll64": f"xlwings64-{package.version}.dll",
    }
    places = {file.name: Path(os.path.normpath(str(package.locate_file(file)))) for file in package.files or ()}
    found = {part: places[name] for part, name in wanted.items() if name in places and places[name].is_file()}
    missing = [name for part, name in wanted.items() if part not in found]
    if missing:
        raise HostError(f"xlwings {package.version} lacks {' and '.join(missing)}: reinstall xlwings with pip")
    return Parts(**found)


def server(found: Parts) -> excel_wrapper.Server:
    """The Python that runs this, as the add-in will start it.

    Raises:
        HostError: If its path has signs that cannot be passed on.
    """
    check_path(sys.executable, CODE_PAGE)
    return excel_wrapper.Server(
        PureWindowsPath(sys.executable), PureWindowsPath(found.dll32), PureWindowsPath(found.dll64)
    )


def check_path(path: str, code_page: str) -> None:
    """Refuse an interpreter that could not be started: the command reaches the library in the code page of Windows.

    Raises:
        HostError: If a letter is not in that code page, or is a sign to which the command line gives a meaning.
    """
    try:
        path.encode(code_page)
    except UnicodeEncodeError:
        unfit = "letters that this Windows cannot pass on"
    else:
        unfit = "a percent sign" if "%" in path else ""
    if unfit:
        raise HostError(f"the path of Python, {path}, has {unfit}: install Stillbook in a folder with a plain name")


# --- installing -------------------------------------------------------------------------------------------------------


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


def install(
    content: AddIn, base: Path, start: Callable[[], AbstractContextManager[Excel]], pause: float = 1.0
) -> tuple[Path, list[str]]:
    """Build the add-in from the empty one and put it where Excel opens it; the file, and functions left without help.

    The add-in is built elsewhere and moved into place whole, so that a failure leaves an earlier one as it was.

    Raises:
        HostError: If Excel, the user's settings or an open file stand in the way; the message says what to do.
    """
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder, start() as excel:
        built = Path(folder) / ADDIN_FILE
        refused = _filled(excel, content, base, built, pause)
        target = excel.start_folder() / ADDIN_FILE
        target.parent.mkdir(parents=True, exist_ok=True)
        beside = target.with_suffix(".new")
        shutil.copyfile(built, beside)
        try:
            beside.replace(target)
        except PermissionError:
            beside.unlink()
            raise HostError(f"{target} is in use: close Excel and connect again") from None
    return target, refused


def _filled(excel: Excel, content: AddIn, base: Path, built: Path, pause: float) -> list[str]:
    """Fill a copy of the empty add-in, from a fresh copy each time that Excel is busy."""
    for _ in range(TRIES):
        shutil.copyfile(base, built)
        try:
            return excel.fill(built, content)
        except NotTrusted:
            raise HostError(TRUST) from None
        except Busy:
            time.sleep(pause)
    raise HostError("Excel stayed busy: close its windows and connect again")


def record_place() -> Path:
    """Where the record of what was installed is kept."""
    return Path(os.environ.get("APPDATA") or Path.home()) / "Stillbook" / "excel.json"


def guide() -> Path:
    """The page for the user: what to click, and the checklist for a first run."""
    return Path(str(files("stillbook.hosts") / "excel_guide.md"))


# --- the commands -----------------------------------------------------------------------------------------------------


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
    lines.append(f"This was never run on Windows in our tests: go through the first-run checklist in {guide()}")
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


def status() -> str:
    """Whether desktop Excel is connected, in a line."""
    if not on_windows():
        return f"not available: {ELSEWHERE}"
    record = Record.read(record_place())
    if record is None:
        return "not connected"
    if not record.file.is_file():
        return f"not connected: {record.file} is gone; connect again"
    try:
        asked = server(parts())
    except HostError as error:
        return f"connected, but {error}"
    if record.interpreter != str(asked.interpreter):
        return f"connected to another Python, {record.interpreter}"
    if record.mark != addin(formulas(), asked).mark:
        return f"connected, but the formulas have changed since Stillbook {record.version} made it: connect again"
    return f"connected: {record.file}"
