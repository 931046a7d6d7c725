"""Starting and stopping the service: address, certificate, workers, discovery file."""

from __future__ import annotations

import ipaddress
import os
import re
import signal
import socket
import ssl
import sys
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from types import FrameType
from typing import Final, NoReturn
from urllib.parse import urlsplit

import uvicorn
from uvicorn.supervisors import Multiprocess

from stillbook import __version__
from stillbook.hosts import discovery
from stillbook.service import logs
from stillbook.service.app import create_app
from stillbook.service.arrival import TimelyProtocol
from stillbook.service.counts import Counts
from stillbook.service.guard import Access
from stillbook.service.proxy import networks
from stillbook.service.recent import RecentErrors
from stillbook.service.tokens import Tokens

HOST: Final = "127.0.0.1"
PORT: Final = 8347

_HERE: Final = {"0.0.0.0": HOST, "::": "[::1]"}
"""What stands for every address, and the one at which this computer itself is reached then."""


class ServiceError(Exception):
    """The service cannot start; the message says what to do."""


def serve(
    host: str = HOST,
    port: int = PORT,
    *,
    workers: int = 1,
    certificate: Path | None = None,
    key: Path | None = None,
    public_url: str = "",
    other_names: Sequence[str] = (),
    proxies: Sequence[str] = (),
    log_requests: bool = False,
    announce: Callable[[discovery.Service], None] | None = None,
) -> None:
    """Run the service until it is told to stop (SIGTERM, or Ctrl-C); requests under way are answered first.

    Args:
        host: Name or address to answer at. Other than this computer's own needs a certificate.
        port: Port to answer at; 0 for any free one.
        workers: Number of processes.
        certificate: File of the certificate for https, with those of its issuers where there are any.
        key: File of its key, without a passphrase.
        public_url: The address by which other computers reach it, such as ``https://stillbook.example``.
        other_names: Further names by which they may call it, such as ``stillbook.lan:8347``.
        proxies: Addresses of proxies in front of it. Only their forwarded headers are taken, and where it answers other
            computers without a certificate, only they may connect.
        log_requests: Whether to log every request; else only those refused or failed.
        announce: Told of the service just before it starts to answer.

    Raises:
        ServiceError: If it already runs, or the address, the certificate or a file cannot be used.
    """
    if workers < 1:
        raise ServiceError("the number of workers must be at least 1")
    _check_certificate(certificate, key)
    public = _public(public_url)
    _check_names(other_names)
    _check_proxies(proxies)
    running = discovery.running()
    if running is not None:
        raise ServiceError(
            f"the service already runs at {running.address}: use that one, or stop process {running.pid}"
        )
    listening = _listen(host, port, secure=certificate is not None, public=bool(public), proxies=bool(proxies))
    try:
        record = _record(host, listening, certificate, public)
        access = Access.to(
            record.address,
            record.token,
            public=public,
            others=other_names,
            named=Tokens(discovery.tokens_folder()),
        )
        config = uvicorn.Config(
            partial(
                create_app,
                access,
                RecentErrors(shared=workers > 1),
                record=record,
                counts=Counts(shared=workers > 1),
                proxies=tuple(proxies),
                proxies_alone=certificate is None,
            ),
            factory=True,
            workers=workers,
            ssl_certfile=certificate,
            ssl_keyfile=key,
            http=TimelyProtocol,
            ws="none",
            lifespan="on",
            access_log=False,
            log_config=logs.settings(requests=log_requests),
            proxy_headers=False,
            server_header=False,
            limit_concurrency=256,
            timeout_keep_alive=60,
            timeout_graceful_shutdown=15,
        )
        if announce is not None:
            announce(record)
        try:
            _run(config, listening)
        finally:
            discovery.withdraw(record.pid)
    finally:
        listening.close()


class _Stopped(BaseException):
    """Raised by the signals that stop the service, so that what follows is done too."""


def _run(config: uvicorn.Config, listening: socket.socket) -> None:
    """Run one worker here, or several in processes of their own, until a signal stops them."""

    def stop(_: int, __: FrameType | None) -> NoReturn:
        raise _Stopped

    stopping = [signal.SIGINT, signal.SIGTERM]
    if sys.platform == "win32":
        stopping.append(signal.SIGBREAK)
    before = {number: signal.signal(number, stop) for number in stopping}
    try:
        if config.workers > 1:
            Multiprocess(config, sockets=[listening]).run()
        else:
            uvicorn.Server(config).run(sockets=[listening])
    except _Stopped:
        pass
    except SystemExit:
        raise ServiceError("the service could not start: the lines above tell why") from None
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def _record(host: str, listening: socket.socket, certificate: Path | None, public: str) -> discovery.Service:
    port = listening.getsockname()[1]
    name = f"[{host}]" if ":" in host else host
    if host in _HERE:
        # A certificate is for the public name alone, by which this computer reaches it too then.
        name = urlsplit(public).netloc.removesuffix(f":{urlsplit(public).port}") if certificate else _HERE[host]
    address = f"{'https' if certificate else 'http'}://{name}:{port}"
    try:
        token = discovery.kept_token()
    except OSError as error:
        raise ServiceError(
            f"the token cannot be kept in {discovery.token_file()} ({error.strerror}): "
            "make that folder one you can write to, or name another in STILLBOOK_HOME"
        ) from None
    return discovery.Service(
        address=address,
        token=token,
        pid=os.getpid(),
        version=__version__,
        certificate=str(certificate.resolve()) if certificate else "",
        public=public,
    )


def _public(url: str) -> str:
    """The address by which others reach the service, in one spelling.

    Raises:
        ServiceError: If it is none, has a path, or would send tokens over a network without encryption.
    """
    if not url:
        return ""
    wrong = f'"{url}" is not an address such as https://stillbook.example: give https, a name, and no path'
    try:
        parts = urlsplit(url)
        port = parts.port
    except ValueError:
        raise ServiceError(wrong) from None
    name = (parts.hostname or "").lower()
    if parts.scheme not in ("http", "https") or not name or parts.path.strip("/") or parts.query or parts.fragment:
        raise ServiceError(wrong)
    if "@" in parts.netloc or (parts.scheme == "http" and name not in ("localhost", HOST, "::1")):
        raise ServiceError(wrong)
    usual = {"http": 80, "https": 443}[parts.scheme]
    shown = f"[{name}]" if ":" in name else name
    return f"{parts.scheme}://{shown}{'' if port in (None, usual) else f':{port}'}"


def _check_names(names: Sequence[str]) -> None:
    """Refuse what is not the name of one computer.

    Raises:
        ServiceError: If one is not a name or address, with a port or without.
    """
    for name in names:
        if not re.fullmatch(r"([\w-]+(\.[\w-]+)*|\[[0-9a-fA-F:]+\])(:\d{1,5})?", name):
            raise ServiceError(f'"{name}" is not one name: give it as a caller does, such as stillbook.lan:8347')


def _check_proxies(proxies: Sequence[str]) -> None:
    """Refuse what is not the address of a proxy.

    Raises:
        ServiceError: If one is not an address or a network of some, or stands for all.
    """
    try:
        networks(proxies)
    except ValueError as error:
        raise ServiceError(
            f"a proxy cannot be trusted by that ({error}): give its address, such as 127.0.0.1 or 172.18.0.0/16"
        ) from None


def _listen(host: str, port: int, *, secure: bool, public: bool = False, proxies: bool = False) -> socket.socket:
    """A socket at the address, once it is known to be one that may be served."""
    if not 0 <= port <= 65_535:
        raise ServiceError(f"{port} is not a port: give 1 to 65535, or 0 for any free one")
    try:
        family, _, _, _, address = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
    except (OSError, UnicodeError):
        raise ServiceError(
            f'"{host}" port {port} is not an address of this computer: give {HOST} or localhost'
        ) from None
    number = ipaddress.ip_address(str(address[0]).partition("%")[0])
    if number.is_unspecified and not (host in _HERE and public):
        raise ServiceError(
            f'"{host}" stands for every address: give the one name by which others reach this computer, or 0.0.0.0 '
            "together with the public address"
        )
    if not number.is_loopback and not secure and not (proxies and public):
        raise ServiceError(
            f'"{host}" is reached from other computers: give a certificate and key, the public address and the proxy '
            f"in front of it, or serve at {HOST}"
        )
    # asyncio sends answers without delay only from a socket that says it is TCP; socket.create_server leaves that out.
    listening = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    try:
        if os.name == "posix":
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind(address)
        listening.listen()
    except OSError as error:
        listening.close()
        reason = os.strerror(error.errno) if error.errno else error
        raise ServiceError(
            f"cannot answer at {host} port {port} ({reason}): choose another port, or 0 for any"
        ) from None
    return listening


def _check_certificate(certificate: Path | None, key: Path | None) -> None:
    """Refuse a certificate and key that cannot be used together.

    Raises:
        ServiceError: If one of them is missing or unreadable, the key has a passphrase, or they do not belong together.
    """
    if certificate is None and key is None:
        return
    if certificate is None or key is None:
        raise ServiceError("https needs both: give a certificate and its key")

    def ask() -> NoReturn:
        raise ServiceError(f"{key} has a passphrase: give a key without one")

    for file in (certificate, key):
        if not os.access(file, os.R_OK):
            raise ServiceError(f"{file} cannot be read: check its name and permissions")
    try:
        ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(certificate, key, password=ask)
    except ssl.SSLError as error:
        raise ServiceError(
            f"{certificate} and {key} are not a certificate and its key in PEM form ({error.reason})"
        ) from None
