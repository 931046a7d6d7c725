"""A proxy in front of the service: whom it may speak for, and that nobody else comes past it."""

from __future__ import annotations

import ipaddress
import logging
from collections.abc import Sequence
from typing import Final

from starlette.responses import JSONResponse
from starlette.types import ASGIApp, Receive, Scope, Send
from uvicorn.middleware.proxy_headers import ProxyHeadersMiddleware

from stillbook.service import logs

Network = ipaddress.IPv4Network | ipaddress.IPv6Network

_WAY_ROUND: Final = "the service answers through its proxy alone: use the address that you were given"


def networks(proxies: Sequence[str]) -> list[Network]:
    """The addresses of proxies, each a single one or a network such as ``172.18.0.0/16``.

    Raises:
        ValueError: If one is no address, or stands for all.
    """
    found = [ipaddress.ip_network(each, strict=False) for each in proxies]
    if any(each.prefixlen == 0 for each in found):
        raise ValueError("every address")
    return found


class BehindProxy:
    """Middleware that takes ``X-Forwarded-For`` and ``X-Forwarded-Proto`` from trusted proxies, and from nobody else.

    Args:
        app: What answers.
        proxies: Their addresses.
        alone: Whether only they, and this computer, may connect: where the service itself speaks without encryption.
    """

    def __init__(self, app: ASGIApp, proxies: Sequence[str], alone: bool) -> None:
        self._app = ProxyHeadersMiddleware(app, list(proxies))  # type: ignore[arg-type]
        self._networks = networks(proxies)
        self._alone = alone

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "http" and self._alone and not self._may_connect(scope):
            logs.event("went round the proxy", level=logging.WARNING, client=(scope.get("client") or ("", 0))[0])
            await JSONResponse({"detail": _WAY_ROUND}, 403, {"Connection": "close"})(scope, receive, send)
            return
        await self._app(scope, receive, send)  # type: ignore[arg-type]

    def _may_connect(self, scope: Scope) -> bool:
        try:
            peer = ipaddress.ip_address((scope.get("client") or ("", 0))[0])
        except ValueError:
            return False
        peer = getattr(peer, "ipv4_mapped", None) or peer
        return peer.is_loopback or any(peer in network for network in self._networks)
