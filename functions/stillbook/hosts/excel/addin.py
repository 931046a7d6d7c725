"""The personal add-in of desktop Excel: what it is made of, and how it is built and put where Excel opens it.

The add-in is made from the open-source parts of xlwings: its empty add-in workbook, which is filled with the VBA of
:mod:`stillbook.hosts.excel.wrapper`, and its library that starts Python.
"""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
import time
from collections.abc import Callable, Mapping
from contextlib import AbstractContextManager
from dataclasses import dataclass
from importlib.metadata import Distribution, PackageNotFoundError, distribution
from pathlib import Path, PureWindowsPath
from typing import Final

from stillbook import __version__
from stillbook.formula import Formula
from stillbook.hosts.excel import wizard, wrapper
from stillbook.hosts.excel.com import AddIn, Busy, Excel, FunctionHelp, NotTrusted
from stillbook.hosts.host import HostError

ADDIN_FILE: Final = "Stillbook.xlam"

CODE_PAGE: Final = "mbcs"
"""Python's name for the code page of this Windows."""

TRIES: Final = 5
"""How often a busy Excel is asked again, a second apart."""

TRUST: Final = (
    "Excel does not let the add-in be built. In Excel choose File > Options > Trust Center > Trust Center Settings > "
    'Macro Settings, tick "Trust access to the VBA project object model", close Excel and connect again. '
    "Only this step needs it: you can take the tick away afterwards"
)


# --- what the add-in is made of ---------------------------------------------------------------------------------------


def addin(catalogue: Mapping[str, Formula], server: wrapper.Server) -> AddIn:
    """The content of the add-in, for a catalogue and the Python that answers it."""
    spread = wizard.widest(catalogue)
    return AddIn(
        modules=wrapper.modules(catalogue, server),
        workbook_code=wrapper.workbook_code(),
        helps=tuple(
            FunctionHelp(
                entry.workbook_name,
                wizard.description(entry),
                wizard.category(entry),
                tuple(argument.help for argument in wizard.arguments(entry, spread)),
            )
            for entry in catalogue.values()
        ),
        notes=(
            ("Stillbook", __version__),
            ("Python", str(server.interpreter)),
            ("Module", wrapper.UDF_MODULE),
            ("Formulas", str(len(catalogue))),
        ),
    )


@dataclass(frozen=True, slots=True)
class XlwingsFiles:
    """The files of an installed xlwings that the add-in is made from."""

    base: Path
    dll32: Path
    dll64: Path


def parts(package: Distribution | None = None) -> XlwingsFiles:
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
    return XlwingsFiles(**found)


def server(found: XlwingsFiles) -> wrapper.Server:
    """The Python that runs this, as the add-in will start it.

    Raises:
        HostError: If its path has signs that cannot be passed on.
    """
    check_path(sys.executable, CODE_PAGE)
    return wrapper.Server(PureWindowsPath(sys.executable), PureWindowsPath(found.dll32), PureWindowsPath(found.dll64))


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
