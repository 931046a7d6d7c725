"""Where the running service is found: a file with its address and token that only its owner can read.

Only the standard library is used here, so that a host whose Python has nothing else can do the same.
"""

from __future__ import annotations

import http.client
import json
import os
import secrets
import ssl
import stat
import tempfile
from dataclasses import asdict, dataclass
from pathlib import Path
from urllib.parse import urlsplit


@dataclass(frozen=True)
class Service:
    """A running service.

    Args:
        address: Where it answers, such as ``http://127.0.0.1:8347``.
        token: What a request must carry.
        pid: The process to stop; with several workers their parent.
        version: The version of Stillbook that answers.
        certificate: File of the certificate it shows, where the address is https; else empty.
        public: The address by which other computers reach it, such as ``https://stillbook.example``; else empty.
    """

    address: str
    token: str
    pid: int
    version: str
    certificate: str = ""
    public: str = ""

    @property
    def entrance(self) -> str:
        """Where a browser reaches it: by the address that others use, where there is one."""
        return self.public or self.address

    @property
    def link(self) -> str:
        """The panel's address with the token, for a browser."""
        return f"{self.entrance}/panel/#token={self.token}"


def record_file() -> Path:
    """The discovery file: in ``STILLBOOK_HOME`` if set, else the user's runtime folder, else the settings folder."""
    runtime = os.environ.get("XDG_RUNTIME_DIR")
    if runtime and not os.environ.get("STILLBOOK_HOME") and _is_own_folder(Path(runtime)):
        return Path(runtime, "stillbook", "service.json")
    return _settings_folder() / "service.json"


def token_file() -> Path:
    """The file that keeps the token from one start to the next."""
    return _settings_folder() / "token"


def tokens_folder() -> Path:
    """The folder of the named tokens of a service that several people use."""
    return _settings_folder() / "tokens"


def elsewhere_file() -> Path:
    """The file that names a service on another computer which calculates for this user."""
    return _settings_folder() / "elsewhere.json"


def _settings_folder() -> Path:
    """``STILLBOOK_HOME``, or a folder of the user's own: ``LOCALAPPDATA`` on Windows, else ``~/.config``."""
    if home := os.environ.get("STILLBOOK_HOME"):
        return Path(home)
    if local := os.environ.get("LOCALAPPDATA"):
        return Path(local, "stillbook")
    return Path(os.environ.get("XDG_CONFIG_HOME") or Path.home() / ".config", "stillbook")


def _is_own_folder(folder: Path) -> bool:
    """Whether a folder is there and this user's: after a change of user the environment may still name another's."""
    try:
        return folder.is_dir() and (os.name != "posix" or folder.stat().st_uid == os.getuid())
    except OSError:
        return False


def kept_token() -> str:
    """The token of earlier starts, or a new one where there is none that only its owner could read.

    Raises:
        OSError: If the file cannot be written.
    """
    text = (_read_private(token_file()) or "").strip()
    if len(text) >= 43 and text.isascii() and text.isprintable():
        return text
    token = secrets.token_urlsafe(32)
    _write_private(token_file(), token)
    return token


def publish(service: Service) -> None:
    """Write the discovery file, at once and whole, readable by its owner alone.

    Raises:
        OSError: If the file cannot be written.
    """
    _write_private(record_file(), json.dumps(asdict(service)))


def choose(service: Service | None) -> None:
    """Have a service on another computer calculate for this user; None for this computer again.

    Raises:
        OSError: If the file cannot be written.
    """
    if service is None:
        elsewhere_file().unlink(missing_ok=True)
    else:
        _write_private(elsewhere_file(), json.dumps(asdict(service)))


def chosen() -> Service | None:
    """The service on another computer that calculates for this user; None where this one does."""
    return _service(elsewhere_file())


def withdraw(pid: int) -> None:
    """Remove the discovery file if it is that of the process ``pid``."""
    found = find()
    if found is not None and found.pid == pid:
        record_file().unlink(missing_ok=True)


def find() -> Service | None:
    """What the discovery file says; None where there is none, or others could have read or written it.

    A service that was killed leaves its file behind: :func:`answers` tells whether it still runs.
    """
    return _service(record_file())


def _service(file: Path) -> Service | None:
    try:
        return Service(**json.loads(_read_private(file) or ""))
    except (ValueError, TypeError):
        return None


def connection(service: Service, seconds: float) -> http.client.HTTPConnection:
    """A connection to a service, which is opened by its first request; over https the certificate is checked.

    Raises:
        OSError: If the file of its certificate cannot be read.
        ValueError: If its address is none.
    """
    parts = urlsplit(service.address)
    if parts.scheme != "https":
        return http.client.HTTPConnection(parts.hostname or "", parts.port, timeout=seconds)
    context = ssl.create_default_context(cafile=service.certificate or None)
    # The file may hold the server's own certificate without that of its issuer.
    context.verify_flags |= ssl.VERIFY_X509_PARTIAL_CHAIN
    return http.client.HTTPSConnection(parts.hostname or "", parts.port, timeout=seconds, context=context)


def answers(service: Service, seconds: float = 2.0) -> bool:
    """Whether the service answers at its address, and takes its token."""
    try:
        asking = connection(service, seconds)
        try:
            asking.request("GET", "/health", headers={"Authorization": f"Bearer {service.token}"})
            return asking.getresponse().status == 200
        finally:
            asking.close()
    except (OSError, http.client.HTTPException, ValueError):
        return False


def running() -> Service | None:
    """The service that the discovery file names, if it answers."""
    found = find()
    return found if found is not None and answers(found) else None


def _write_private(path: Path, text: str) -> None:
    """Write a file that only its owner can read, so that a reader sees the old text or the new, never a part.

    On Windows the user's own folder keeps others out; elsewhere the file's mode does.
    """
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}-")
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        Path(temporary).replace(path)
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise


def _read_private(path: Path) -> str | None:
    """The text of a file that belongs to this user alone; None where it does not, or is not there."""
    try:
        with path.open(encoding="utf-8") as file:
            status = os.fstat(file.fileno())
            if os.name == "posix" and (status.st_uid != os.getuid() or stat.S_IMODE(status.st_mode) & 0o077):
                return None
            return file.read(10_000)
    except (OSError, UnicodeDecodeError):
        return None
