"""Writing a file so that a failure at any moment leaves the old one whole, and never under an open spreadsheet."""

from __future__ import annotations

import contextlib
import os
import re
import secrets
import stat
import time
from pathlib import Path
from typing import Final

from stillbook.workbook import WorkbookError

_FORSAKEN: Final = 3600.0
"""Seconds after which an unfinished file is nobody's any more: no writing takes so long."""


def holder(path: Path) -> str | None:
    """Who holds a workbook open, in words; None if nobody does.

    Spreadsheet programs put a small file beside a workbook while it is open: ``~$name.xlsx`` with the user's name, or
    ``.~lock.name.xlsx#`` with user, computer and time.
    """
    lock = path.with_name(f".~lock.{path.name}#")
    if lock.exists():
        fields = [field.strip() for field in _start_of(lock).decode("utf-8", "replace").split(",")]
        full, login, computer, since = [*fields, "", "", "", ""][:4]
        by = f" by {full or login}" if full or login else ""
        on = f" on {computer}" if computer else ""
        when = f" since {since}" if since else ""
        return f"it is open in LibreOffice{by}{on}{when}: close it there (if it is not open, delete {lock.name})"
    owner = path.with_name(f"~${path.name}")
    if owner.exists():
        by = _owner_name(_start_of(owner))
        return (
            f"it is open in Excel{f' by {by}' if by else ''}: close it there (if it is not open, delete {owner.name})"
        )
    return None


def refuse_existing(path: Path) -> None:
    """See that a new file takes nobody's place.

    Raises:
        WorkbookError: If a file of that name is there.
    """
    if path.exists():
        raise WorkbookError(f"{path}: it exists already: choose another name, or remove it first")


def save(path: Path, data: bytes) -> None:
    """Put data in place of a file, or make a new file, in one step that either happens wholly or not at all.

    The file keeps its permissions. A link is followed: the file it leads to is replaced. What an earlier writing of it
    left beside it, because its process was killed, is taken away once it is an hour old.

    Raises:
        WorkbookError: If the file is open in a spreadsheet, is read-only, or cannot be written; nothing is changed.
    """
    real = Path(os.path.realpath(path))
    try:
        if real.is_dir():
            raise WorkbookError(f"{path}: it is a folder: give a file name that ends in .xlsx")
        if held := holder(real):
            raise WorkbookError(f"{path}: {held}")
        if not real.parent.is_dir():
            raise WorkbookError(f"{path}: there is no folder {path.parent}: make it first, or choose another")
        if real.exists() and not (real.stat().st_mode & 0o222 and os.access(real, os.W_OK)):
            raise WorkbookError(f"{path}: it is read-only: allow writing, or save under another name")
        _replace(real, data)
    except PermissionError:
        raise WorkbookError(
            f"{path}: it may not be written: close the program that holds it, or choose a folder of your own"
        ) from None
    except OSError as error:
        raise WorkbookError(f"{path}: it could not be written ({error.strerror}); the old file is as it was") from None


def _replace(path: Path, data: bytes) -> None:
    """Write beside the file, flush to the disk, then put in its place."""
    beside = path.with_name(f".{path.stem[:80]}-{secrets.token_hex(4)}.tmp")
    try:
        with beside.open("xb") as file:
            _copy_permissions(path, beside)
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        beside.replace(path)
    except BaseException:
        with contextlib.suppress(OSError):
            beside.unlink()
        raise
    _flush_folder(path.parent)
    _clear_left_overs(path)


def _clear_left_overs(path: Path) -> None:
    """Take away the unfinished files that killed processes left; a young one may be another process at work."""
    name = re.compile(re.escape(f".{path.stem[:80]}-") + r"[0-9a-f]{8}\.tmp")
    with contextlib.suppress(OSError), os.scandir(path.parent) as entries:
        for entry in entries:
            if name.fullmatch(entry.name) and time.time() - entry.stat().st_mtime > _FORSAKEN:
                os.unlink(entry.path)  # noqa: PTH108


def _copy_permissions(path: Path, beside: Path) -> None:
    """Give the new file the owner and mode of the old one; where there is none it stays as any new file."""
    try:
        old = path.stat()
    except FileNotFoundError:
        return
    if hasattr(os, "chown"):
        with contextlib.suppress(OSError):
            os.chown(beside, old.st_uid, old.st_gid)
    beside.chmod(stat.S_IMODE(old.st_mode))


def _flush_folder(folder: Path) -> None:
    """Make the new directory entry last through a power cut, where the system can."""
    if os.name != "posix":
        return
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _start_of(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            return file.read(1024)
    except OSError:
        return b""


def _owner_name(data: bytes) -> str:
    """The user in Excel's owner file: a length and that many letters."""
    if not data:
        return ""
    letters = data[1 : 1 + min(data[0], 54)]
    return "".join(sign for sign in letters.decode("latin-1") if sign.isprintable()).strip()
