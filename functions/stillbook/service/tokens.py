"""Named tokens: one for each person or program that may call the service, each withdrawn by itself.

A folder holds a small file for each name, with the SHA-256 of the token and the day it was made; the token itself is
told once and kept nowhere. A token is 256 random bits, so that a plain digest cannot be turned back by trying.
"""

from __future__ import annotations

import hashlib
import hmac
import json
import os
import re
import secrets
import time
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

_NAME: Final = re.compile(r"[a-z0-9][a-z0-9-]{0,39}")
_SETTLED_NS: Final = 2 * 10**9
"""A folder that changed less long ago may change again without a later time of change."""


class TokenError(Exception):
    """A named token cannot be added or withdrawn; the message says what to do."""


@dataclass(frozen=True, slots=True)
class Named:
    """A named token as it is kept: whose it is, the digest of it, and the day it was made."""

    name: str
    digest: bytes
    since: str


class Tokens:
    """The named tokens in a folder, as they stand at the moment of each question.

    Args:
        folder: Where they are kept; it need not be there.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._changed: int | None = None
        self._known: tuple[Named, ...] = ()

    def holder(self, token: str) -> str | None:
        """Whose token it is; None where it is nobody's. It takes as long for a nearly right one as for any other."""
        digest = _digest(token)
        found = None
        for each in self._current():
            if hmac.compare_digest(each.digest, digest):
                found = each.name
        return found

    def _current(self) -> tuple[Named, ...]:
        try:
            changed = self._folder.stat().st_mtime_ns
        except OSError:
            return ()
        if changed != self._changed:
            now = time.time_ns()
            self._known = listed(self._folder)
            self._changed = changed if now - changed > _SETTLED_NS else None
        return self._known


def listed(folder: Path) -> tuple[Named, ...]:
    """The named tokens in a folder by their names; a file that is none of them, or others could change, gives none."""
    try:
        files = sorted(folder.iterdir())
    except OSError:
        return ()
    return tuple(named for file in files if (named := _read(file)) is not None)


def add(folder: Path, name: str) -> str:
    """A new token for a name. It is given here and never again.

    Raises:
        TokenError: If the name cannot be used or has a token already, or the folder cannot be written to.
    """
    token = secrets.token_urlsafe(32)
    kept: Mapping[str, str] = {"sha256": _digest(token).hex(), "since": datetime.now(UTC).date().isoformat()}
    file = _file(folder, name)
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        if os.name == "posix" and any(each.stat().st_uid != os.getuid() for each in (folder, folder.parent)):
            raise TokenError(f"{folder} belongs to another user, who alone would believe it: run this as that user")
        handle = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        raise TokenError(f"{name} has a token: withdraw it first, or choose another name") from None
    except OSError as error:
        raise TokenError(f"{file} cannot be written ({error.strerror}): run this as the service's own user") from None
    with os.fdopen(handle, "w", encoding="utf-8") as written:
        json.dump(kept, written)
    return token


def withdraw(folder: Path, name: str) -> None:
    """Take a name's token away: the service refuses it from its next request on.

    Raises:
        TokenError: If the name has none, or the folder cannot be written to.
    """
    file = _file(folder, name)
    try:
        file.unlink()
    except FileNotFoundError:
        raise TokenError(f'{name} has no token: "stillbook serve tokens list" gives the names') from None
    except OSError as error:
        raise TokenError(f"{file} cannot be removed ({error.strerror}): run this as the service's own user") from None


def _file(folder: Path, name: str) -> Path:
    if not _NAME.fullmatch(name):
        raise TokenError(f'"{name}" cannot be a name: give up to 40 small letters, digits and hyphens')
    return folder / f"{name}.json"


def _read(file: Path) -> Named | None:
    try:
        with file.open(encoding="utf-8") as opened:
            status = os.fstat(opened.fileno())
            if os.name == "posix" and (status.st_uid != os.getuid() or status.st_mode & 0o077):
                return None
            kept = json.loads(opened.read(1000))
        digest = bytes.fromhex(kept["sha256"])
        return Named(file.stem, digest, str(kept["since"])) if len(digest) == hashlib.sha256().digest_size else None
    except (OSError, ValueError, LookupError, TypeError):
        return None


def _digest(token: str) -> bytes:
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).digest()
