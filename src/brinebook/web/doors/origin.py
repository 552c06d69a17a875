"""Who asks, and from which page: a foreign name or a foreign page is turned away at the door.

A name that somebody else made point here (DNS rebinding) gets nothing; numbers can't be rebound.
"""

from __future__ import annotations

import ipaddress
import socket
from urllib.parse import urlsplit

from starlette.datastructures import Headers
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Receive, Scope, Send

from brinebook.texts import say
from brinebook.web.options import Options

_READING = {"GET", "HEAD", "OPTIONS"}
_OWN_SITE = {"same-origin", "none"}


def known_names(options: Options) -> frozenset[str]:
    """The names by which this notebook may be asked for."""
    names = {"localhost", *(name.lower() for name in options.names)}
    if not options.loopback:
        own = socket.gethostname().lower()
        names |= {options.host.lower(), own, f"{own.partition('.')[0]}.local"}
    return frozenset(names)


def host_of(header: str) -> str | None:
    """The host that a Host header names, without its port; None where it can't be read."""
    try:
        parts = urlsplit(f"//{header}")
        _ = parts.port  # raises where the port isn't a number
    except ValueError:
        return None
    if parts.username or parts.path or parts.query or not parts.hostname:
        return None
    return parts.hostname.lower()


class Origin:
    """Refuses requests under a name that isn't ours, and writes that come from another page."""

    def __init__(self, app: ASGIApp, *, names: frozenset[str], loopback: bool) -> None:
        self.app, self.names, self.loopback = app, names, loopback

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, or say why not."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        why = self._refused(headers, scope["method"])
        if why:
            await PlainTextResponse(why, status_code=403)(scope, receive, send)
            return
        await self.app(scope, receive, send)

    def _refused(self, headers: Headers, method: str) -> str:
        given = headers.get("host", "")
        host = host_of(given)
        if host is None or not self._ours(host):
            return say("This notebook is not known by that name.")
        if method in _READING:
            return ""
        origin = headers.get("origin")
        if origin is not None and urlsplit(origin).netloc.lower() != given.lower():
            return say("A form of another page can't write here.")
        if headers.get("sec-fetch-site", "same-origin") not in _OWN_SITE:
            return say("A form of another page can't write here.")
        return ""

    def _ours(self, host: str) -> bool:
        if host in self.names:
            return True
        try:
            number = ipaddress.ip_address(host)
        except ValueError:
            return False
        return number.is_loopback or not self.loopback
