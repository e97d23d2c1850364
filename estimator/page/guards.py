"""Checks on every request: known hosts, no writes from other sites, limited body size, and security headers."""

from __future__ import annotations

import time
from asyncio import wait_for
from collections.abc import Iterable
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from estimator.page.statics import version
from estimator.words import PLAIN

MOST_BODY = 1_000_000
"""Largest request except uploads, bytes: forms are small."""

MOST_UPLOAD = 300_000_000
"""Largest upload, bytes: the largest file that a reader opens."""

SAFE = ("GET", "HEAD", "OPTIONS")
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; "
    "worker-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'; require-trusted-types-for 'script'"
)
HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",  # with no-referrer, a browser hides the origin of our own forms
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "cache-control": "no-store",
}


SLOWEST_S = 30.0
"""Longest wait between two parts of a body, so that a stalled request does not stay open."""

BODY_S, UPLOAD_S = 60.0, 900.0
"""For a whole body, however steadily its parts drip in."""


class TooLargeError(Exception):
    """A request body over its limit."""


class Guard:
    """ASGI middleware: refuses requests before they reach a screen, and adds the headers to every response."""

    def __init__(self, app: ASGIApp, hosts: Iterable[str], upload: str = "/upload") -> None:
        """Wrap an application.

        hosts   host names by which the page may be called, without port
        upload  prefix of the paths that receive files
        """
        self.app, self.hosts, self.upload = app, frozenset(hosts), upload

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        status = self._refusal(scope)
        most = MOST_UPLOAD if scope["path"].startswith(self.upload) else MOST_BODY
        answer = _refused(status, most) if status else self.app
        begun = False

        async def guarded(message: Message) -> None:
            nonlocal begun
            if message["type"] == "http.response.start":
                begun = True
                headers = MutableHeaders(scope=message)
                for name, value in (*HEADERS.items(), ("version", version())):
                    headers.setdefault(name, value)
            await send(message)

        try:
            await answer(scope, _bounded(receive, most, UPLOAD_S if most == MOST_UPLOAD else BODY_S), guarded)
        except (TooLargeError, TimeoutError) as error:
            if begun:
                raise
            status = 413 if isinstance(error, TooLargeError) else 408
            await _refused(status, most)(scope, receive, guarded)

    def _refusal(self, scope: Scope) -> int:
        headers = Headers(scope=scope)
        host = headers.get("host", "")
        if _name_in(host) not in self.hosts:
            return 421
        length = headers.get("content-length", "0")
        most = MOST_UPLOAD if scope["path"].startswith(self.upload) else MOST_BODY
        if not length.isdecimal() or int(length) > most:
            return 413
        if scope["method"] in SAFE:
            return 0
        return 0 if _is_own(headers, f"{scope['scheme']}://{host}") else 403


def _name_in(host: str) -> str | None:
    """Name or address in a Host header, without its port; None if there is none in it."""
    try:
        return urlsplit(f"//{host}").hostname if "@" not in host else None
    except ValueError:  # half an IPv6 address
        return None


def _refused(status: int, most: int) -> PlainTextResponse:
    """Refusal in a line: whoever is refused may be a person with a wrong name or a large file.

    most   bytes that are taken
    """
    name = {403: "page-other-site", 408: "page-too-slow", 413: "page-too-large", 421: "page-wrong-name"}[status]
    values = {"most": str(most // 1_000_000)} if status == 413 else {}
    return PlainTextResponse(PLAIN(name, **values), status)


def is_here(host: str) -> bool:
    """Whether this host name is reachable only from the same computer."""
    return host in ("localhost", "::1") or host.startswith("127.")


def _is_own(headers: Headers, own: str) -> bool:
    """Whether a write request comes from a page of this server, by its Sec-Fetch-Site or Origin header."""
    site, origin = headers.get("sec-fetch-site"), headers.get("origin")
    if site is None:  # on plain http, except from loopback
        return origin == own
    return site == "same-origin" and origin in (None, own)


def _bounded(receive: Receive, most: int, within_s: float) -> Receive:
    """Receive function that counts and times the body, because the Content-Length header may be false."""
    received, more, until = 0, True, time.monotonic() + within_s

    async def counted() -> Message:
        nonlocal received, more
        message = await (wait_for(receive(), max(min(SLOWEST_S, until - time.monotonic()), 0.0)) if more else receive())
        received += len(message.get("body", b""))
        more = message["type"] == "http.request" and message.get("more_body", False)
        if received > most:
            raise TooLargeError
        return message

    return counted
