"""Who may call: the token, the service's own names, its own origin; and how long and large a request's body may be."""

from __future__ import annotations

import asyncio
import hmac
import logging
import re
import time
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from starlette.datastructures import Headers
from starlette.exceptions import HTTPException
from starlette.responses import JSONResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from stillbook.service import logs
from stillbook.service.counts import Counts
from stillbook.service.limits import Limits
from stillbook.service.tokens import Tokens

CALLS: Final = "/calls"
PANEL: Final = "/panel"
TASK_PANE: Final = f"{PANEL}/taskpane.html"
ALIVE: Final = "/alive"
DESCRIPTION: Final = ("/docs", "/openapi.json", "/static-offline-docs")
_LOOPBACK: Final = ("127.0.0.1", "localhost", "[::1]")
_USUAL_PORTS: Final = {"http": 80, "https": 443}

# What Excel in the browser fetches of an add-in with its own pages; it holds nothing of the user's.
_SHARED: Final = re.compile(rf"{PANEL}/(functions\.json|icons/[\w-]+\.\w+)")

_SAME_FOR_ALL: Final = ((b"x-content-type-options", b"nosniff"), (b"referrer-policy", b"same-origin"))
_FOR_OWN_PAGES: Final = ((b"cross-origin-resource-policy", b"same-origin"),)
_FOR_ALL_PAGES: Final = ((b"cross-origin-resource-policy", b"cross-origin"), (b"access-control-allow-origin", b"*"))
_PANEL_POLICY: Final = (
    b"default-src 'self'; style-src 'self' 'unsafe-inline'; "
    b"img-src 'self' data:; object-src 'none'; base-uri 'none'; form-action 'none'"
)
# Inside a spreadsheet the same page also loads the script through which an add-in reaches its workbook.
_TASK_PANE_POLICY: Final = _PANEL_POLICY.replace(b"'self';", b"'self' https://appsforoffice.microsoft.com;", 1)
_DESCRIPTION_POLICY: Final = (
    b"default-src 'self'; script-src 'self' 'unsafe-inline'; style-src 'self' 'unsafe-inline'; "
    b"img-src 'self' data:; object-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)


@dataclass(frozen=True)
class Access:
    """What a request must show.

    Args:
        token: The secret that it carries.
        hosts: The names by which it may call the service, with the port where that is not the usual one.
        origins: The origins of pages that the service itself serves.
        named: The tokens of others than its owner.
    """

    token: str
    hosts: frozenset[str]
    origins: frozenset[str]
    named: Tokens | None = None

    @classmethod
    def to(
        cls, address: str, token: str, *, public: str = "", others: Sequence[str] = (), named: Tokens | None = None
    ) -> Access:
        """Access to a service at an address such as ``http://127.0.0.1:8347``, by that name or a loopback one.

        Args:
            address: Where it answers.
            token: The token of its owner.
            public: The address by which other computers reach it, if any, such as ``https://stillbook.example``.
            others: Further names that they may use in its place; one without a port goes with the service's own too.
            named: The tokens of others than its owner.
        """
        scheme, _, authority = address.partition("://")
        name, _, port = authority.rpartition(":")
        names = {name.lower(), *_LOOPBACK}
        hosts = {f"{name}:{port}" for name in names}
        if int(port) == _USUAL_PORTS[scheme]:
            hosts |= names
        origins = {f"{scheme}://{host}" for host in hosts}
        outer, _, known = public.lower().partition("://")
        if known:
            hosts |= {known, f"{known}:{_USUAL_PORTS[outer]}"} if _has_no_port(known) else {known}
            origins.add(f"{outer}://{known}")
        for other in map(str.lower, others):
            more = {other, f"{other}:{port}"} if _has_no_port(other) else {other}
            hosts |= more
            origins |= {f"{outer or scheme}://{host}" for host in more}
        return cls(token, frozenset(hosts), frozenset(origins), named)

    def caller(self, headers: Headers) -> str | None:
        """Whose token a request carries: the name, empty for the owner of the service; None where it carries none."""
        scheme, _, token = headers.get("authorization", "").partition(" ")
        if scheme.lower() != "bearer":
            return None
        token = token.strip()
        if hmac.compare_digest(token.encode(), self.token.encode()):
            return ""
        return self.named.holder(token) if self.named is not None else None

    def refusal(self, method: str, path: str, headers: Headers, caller: str | None) -> tuple[int, str] | None:
        """Status and sentence for a request that may not be answered; None for one that may."""
        hosts = headers.getlist("host")
        if len(hosts) != 1 or hosts[0].lower() not in self.hosts:
            return 403, "this is not one of the service's own names: use the address that stillbook serve printed"
        reads = method in ("GET", "HEAD")
        if reads and _SHARED.fullmatch(path):
            return None
        if any(origin.lower() not in self.origins for origin in headers.getlist("origin")):
            return 403, "pages of other sites may not call this service"
        if reads and is_open(path):
            return None
        if caller is None:
            return (
                401,
                'the token is missing or wrong: send "Authorization: Bearer" with the token of the running service',
            )
        return None


def is_open(path: str) -> bool:
    """Whether a path needs no token, because nothing there is the user's."""
    return path in ("/", ALIVE, PANEL, *DESCRIPTION) or path.startswith((f"{PANEL}/", f"{DESCRIPTION[2]}/"))


def _has_no_port(host: str) -> bool:
    return ":" not in host.rpartition("]")[2]


class Guard:
    """Middleware that lets through what :class:`Access` allows, bounds bodies, sets safe headers and logs requests."""

    def __init__(self, app: ASGIApp, access: Access, limits: Limits, counts: Counts) -> None:
        self.app = app
        self.access = access
        self.limits = limits
        self.counts = counts

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        started = time.monotonic()
        headers = Headers(scope=scope)
        path = scope["path"]
        status = 500

        async def noted(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
                message["headers"] = [*message.get("headers", ()), *_safe_headers(path)]
            await send(message)

        caller = scope["stillbook.caller"] = self.access.caller(headers)
        refusal = self.access.refusal(scope["method"], path, headers, caller) or self._too_large(headers)
        try:
            if refusal is None:
                await self.app(scope, self._bounded(receive), noted)
            else:
                await _refused(*refusal)(scope, receive, noted)
        finally:
            facts = scope.get("stillbook.facts", {})
            seconds = time.monotonic() - started
            self.counts.note(status, seconds, facts.get("calls", 0), facts.get("errors", 0))
            logs.event(
                "request",
                level=logging.INFO if status < 400 else logging.WARNING,
                method=scope["method"],
                route=_route(scope),
                status=status,
                milliseconds=round(seconds * 1000, 2),
                **facts,
                **_who(scope, caller, status),
            )

    def _too_large(self, headers: Headers) -> tuple[int, str] | None:
        told = headers.get("content-length", "0")
        if not told.isdecimal() or int(told[:12]) > self.limits.body_bytes:
            return 413, too_large(self.limits)
        return None

    def _bounded(self, receive: Receive) -> Receive:
        """The request's body, refused once it is larger or later than the limits allow."""
        size = 0
        deadline = asyncio.get_running_loop().time() + self.limits.body_seconds
        whole = False

        async def bounded() -> Message:
            nonlocal size, whole
            if whole:
                return await receive()
            try:
                async with asyncio.timeout_at(deadline):
                    message = await receive()
            except TimeoutError:
                sentence = f"the body did not arrive within {self.limits.body_seconds:g} s: send the request again"
                raise HTTPException(408, sentence, {"Connection": "close"}) from None
            size += len(message.get("body", b""))
            if size > self.limits.body_bytes:
                raise HTTPException(413, too_large(self.limits))
            whole = not message.get("more_body", False)
            return message

        return bounded


def too_large(limits: Limits) -> str:
    """What to do about a body that is too large."""
    return f"the request is larger than {limits.body_bytes} bytes: send fewer calls at a time, or smaller ranges"


def _refused(status: int, sentence: str) -> JSONResponse:
    # Closed while a large body is still being sent, the connection would break before the sentence is read.
    closes = {} if status == 413 else {"Connection": "close"}
    headers = closes | ({"WWW-Authenticate": "Bearer"} if status == 401 else {})
    return JSONResponse({"detail": sentence}, status, headers)


def _safe_headers(path: str) -> list[tuple[bytes, bytes]]:
    """What a browser may do with an answer."""
    if path.startswith(f"{PANEL}/"):
        policy = _TASK_PANE_POLICY if path == TASK_PANE else _PANEL_POLICY
        more = [(b"content-security-policy", policy), (b"cache-control", b"no-cache")]
    elif path == DESCRIPTION[0]:
        more = [(b"content-security-policy", _DESCRIPTION_POLICY)]
    else:
        more = [] if is_open(path) else [(b"cache-control", b"no-store")]
    return [*_SAME_FOR_ALL, *(_FOR_ALL_PAGES if _SHARED.fullmatch(path) else _FOR_OWN_PAGES), *more]


def _who(scope: Scope, caller: str | None, status: int) -> dict[str, str]:
    """Whose token it was, where it has a name; and the address of one who was refused."""
    if status in (401, 403):
        return {"client": (scope.get("client") or ("", 0))[0]}
    return {"caller": caller} if caller else {}


def _route(scope: Scope) -> str:
    """The route a request took. A path that is none of the service's own is not told: anything may stand in it."""
    route, path = scope.get("route"), scope["path"]
    if route is not None:
        return str(route.path)
    return next(
        (known for known in (CALLS, PANEL, *DESCRIPTION) if path == known or path.startswith(f"{known}/")), "other"
    )
