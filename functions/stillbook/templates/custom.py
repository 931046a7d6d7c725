"""Templates of the office's own: workbooks with named inputs, in a folder of the user's.

>>> from stillbook.templates import custom
>>> custom.add("our-room.xlsx").inputs        # doctest: +SKIP
"""

from __future__ import annotations

import os
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from os import PathLike
from pathlib import Path
from typing import Final

from stillbook.templates import shipped
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.address import Area, references
from stillbook.workbook.file.package import Package
from stillbook.workbook.file.saving import save
from stillbook.workbook.job.audience import name_for
from stillbook.workbook.job.estimate import Job, Report
from stillbook.workbook.job.interface import Input
from stillbook.workbook.job.plain_names import plain_names

_SUFFIX: Final = ".xlsx"
LONGEST_NAME: Final = 60


@dataclass(frozen=True, slots=True)
class CustomTemplate:
    """A template of the office's own: its name on the command line, and its workbook."""

    name: str
    path: Path


@dataclass(frozen=True, slots=True)
class Learned:
    """What a new template takes and gives.

    Args:
        template: Where it is now.
        inputs: Its inputs by name, as :attr:`stillbook.workbook.job.estimate.Job.inputs` gives them.
        report: What it says when calculated as it is.
        unnoted: Named cells that are neither input nor result, being blank, an error, TRUE or FALSE, without a note.
        shown: Sheets that a client may see.
    """

    template: CustomTemplate
    inputs: Mapping[str, Input]
    report: Report
    unnoted: tuple[str, ...]
    shown: tuple[str, ...] = ()


def folder() -> Path:
    """The folder of the office's own templates; it need not be there yet.

    In ``STILLBOOK_HOME`` if set, else in the user's data folder: ``LOCALAPPDATA`` on Windows, ``XDG_DATA_HOME`` or
    ``~/.local/share`` elsewhere.
    """
    if home := os.environ.get("STILLBOOK_HOME"):
        return Path(home, "templates")
    if local := os.environ.get("LOCALAPPDATA"):
        return Path(local, "stillbook", "templates")
    return Path(os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share", "stillbook", "templates")


def listed() -> tuple[CustomTemplate, ...]:
    """The office's own templates by name."""
    found = (path for path in folder().glob("*" + _SUFFIX) if path.is_file() and not path.name.startswith((".", "~")))
    return tuple(sorted((CustomTemplate(path.stem, path) for path in found), key=lambda entry: entry.name))


def find(name: str) -> CustomTemplate | None:
    """The template of that name, in any letter case, with ``-``, ``_`` or spaces."""
    return next((entry for entry in listed() if _slug(entry.name) == _slug(name)), None)


def add(path: str | PathLike[str], name: str = "", *, replace: bool = False, shown: Sequence[str] = ()) -> Learned:
    """Copy a workbook into the folder of templates, and learn its interface from its names.

    A named cell with a typed value is an input and one with a formula a result, as a note on its name may say more
    closely; the copy gets such a note where there was none.

    Args:
        path: The workbook; it stays as it is, and so does what its cells hold.
        shown: Sheets that a client may see, by their names.
        name: The template's name; that of the file when empty.
        replace: Whether a template of that name may be replaced.

    Raises:
        WorkbookError: If it has no named inputs or cannot be calculated, the name cannot be used, a sheet is not there,
            or the copy cannot be written.
    """
    source = Path(path)
    package = Job.open(source).package
    found = plain_names(package)
    package.note_names(found.notes(), _marks(package, source, shown))
    job = Job(package, source)
    if not job.inputs:
        raise WorkbookError(
            f"{source}: it has no named inputs: give a name to each cell that is to be set and holds a value; a comment on "
            'the name such as "Inside length. | unit: ft | from: 3 | to: 60" says its unit and limits'
        )
    entry = _place(name or source.stem)
    if not replace and find(entry.name) is not None:
        raise WorkbookError(f"there is a template {entry.name} of your own already: replace it, or give another name")
    data = job.package.to_bytes()
    report = job.calculate()
    entry.path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    save(entry.path, data)
    return Learned(entry, job.inputs, report, tuple(found.neither), tuple(_shown(package)))


def show_to_client(entry: CustomTemplate, sheets: Sequence[str]) -> tuple[str, ...]:
    """Mark sheets of a template as what a client may see; gives all that are marked now.

    Raises:
        WorkbookError: If a sheet is not there, or the template cannot be written.
    """
    package = Job.open(entry.path).package
    package.note_names({}, _marks(package, entry.path, sheets))
    save(entry.path, package.to_bytes())
    return tuple(_shown(package))


def sheets(entry: CustomTemplate) -> tuple[str, ...]:
    """The sheets of a template."""
    return tuple(Job.open(entry.path).package.sheets)


def _shown(package: Package) -> list[str]:
    """Sheets that a client may see."""
    return [name.sheet or name.cells[0] for name in package.names if name.name == name_for("client") and name.cells]


def _marks(package: Package, path: Path, wanted: Sequence[str]) -> dict[tuple[str, str], str]:
    """What the marks of sheets that a client may see refer to: what a sheet prints, or all that it holds."""
    marks: dict[tuple[str, str], str] = {}
    for given in wanted:
        sheet = package.find_sheet(given.strip())
        if sheet is None:
            raise WorkbookError(f'{path}: there is no sheet "{given.strip()[:31]}": it has {", ".join(package.sheets)}')
        held = list(package.sheet(sheet).stored)
        if not held:
            raise WorkbookError(f'{path}: the sheet "{sheet}" is empty: there is nothing to see')
        areas = package.print_areas(sheet) or [Area(1, 1, max(row for row, _ in held), max(column for _, column in held))]
        if sheet not in _shown(package):
            marks[name_for("client"), sheet] = references(sheet, areas)
    return marks


def _place(wanted: str) -> CustomTemplate:
    """Where a template of that name goes."""
    name = _slug(wanted)
    if not re.fullmatch(r"\w[\w-]*", name) or len(name) > LONGEST_NAME:
        raise WorkbookError(f'"{wanted[:LONGEST_NAME]}" cannot name a template: use at most {LONGEST_NAME} letters, digits and hyphens')
    if name in [entry.name for entry in shipped.TEMPLATES]:
        raise WorkbookError(f"{name} is the name of a template that comes with Stillbook: give yours another name")
    here = find(name)
    return here or CustomTemplate(name, folder() / f"{name}{_SUFFIX}")


def _slug(name: str) -> str:
    return re.sub(r"[\s_-]+", "-", name.strip().lower())
