"""Templates of the office's own: workbooks with named inputs, in a folder of the user's.

>>> from stillbook.templates import custom
>>> custom.add("our-room.xlsx").inputs        # doctest: +SKIP
"""

from __future__ import annotations

import os
import re
from collections.abc import Mapping
from dataclasses import dataclass
from os import PathLike
from pathlib import Path
from typing import Final

from stillbook.templates import shipped
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.saving import save
from stillbook.workbook.job.estimate import Job, Report
from stillbook.workbook.job.interface import Input

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
        unnoted: Named cells that hold no formula and are no inputs, for want of a note on the name.
    """

    template: CustomTemplate
    inputs: Mapping[str, Input]
    report: Report
    unnoted: tuple[str, ...]


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


def add(path: str | PathLike[str], name: str = "", *, replace: bool = False) -> Learned:
    """Copy a workbook into the folder of templates, and learn its interface from its names and the notes on them.

    Args:
        path: The workbook; it stays as it is, and so does what its cells hold.
        name: The template's name; that of the file when empty.
        replace: Whether a template of that name may be replaced.

    Raises:
        WorkbookError: If it has no named inputs or cannot be calculated, the name cannot be used, or the copy cannot be
            written.
    """
    source = Path(path)
    job = Job.open(source)
    if not job.inputs:
        raise WorkbookError(
            f"{source}: it has no named inputs: give a name to each cell that is to be set, and to the name a comment "
            'such as "Inside length. | unit: ft | from: 3 | to: 60"'
        )
    entry = _place(name or source.stem)
    if not replace and find(entry.name) is not None:
        raise WorkbookError(f"there is a template {entry.name} of your own already: replace it, or give another name")
    data = job.package.to_bytes()
    unnoted = _unnoted(job)
    report = job.calculate()
    entry.path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    save(entry.path, data)
    results = {result.name for result in report.results}
    return Learned(entry, job.inputs, report, tuple(name for name in unnoted if name not in results))


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


def _unnoted(job: Job) -> list[str]:
    """Names of single cells without a formula that are no inputs."""
    found = []
    for name in job.package.names:
        cells = name.cells
        sheet = job.package.find_sheet(cells[0]) if cells else None
        if cells is None or sheet is None or name.hidden or name.sheet or name.name in job.inputs:
            continue
        area = cells[1]
        at = (area.first_row, area.first_column)
        if area.rows == area.columns == 1 and at not in job.package.sheet(sheet).formulas:
            found.append(name.name)
    return found
