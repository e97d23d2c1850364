"""What every request passes: known hosts, no writing from other sites, bounded bodies, and headers that keep scripts
and frames of others out."""

from __future__ import annotations

import time
from asyncio import wait_for
from collections.abc import Iterable
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

MOST_BODY = 1_000_000
"""Bytes of a request, uploads aside: forms are small."""

MOST_UPLOAD = 300_000_000
"""Bytes of an upload: the largest file that a reader opens."""

SAFE = ("GET", "HEAD", "OPTIONS")
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; "
    "worker-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'; require-trusted-types-for 'script'"
)
HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",  # with none at all a browser hides the origin of our own forms
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "cache-control": "no-store",
}


SLOWEST_S = 30.0
"""Between two parts of a body: a request that is sent by halves does not stay open."""

BODY_S, UPLOAD_S = 60.0, 900.0
"""For a whole body, however steadily its parts drip in."""


class TooLargeError(Exception):
    """A body longer than it may be."""


class Guard:
    """ASGI middleware: refuses before any screen is asked, and adds the headers to every answer."""

    def __init__(self, app: ASGIApp, hosts: Iterable[str], upload: str = "/upload") -> None:
        """hosts   names by which the page may be called, without port
        upload  beginning of the paths that take files
        """
        self.app, self.hosts, self.upload = app, frozenset(hosts), upload

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        status = self._refusal(scope)
        answer = PlainTextResponse("", status) if status else self.app
        most = MOST_UPLOAD if scope["path"].startswith(self.upload) else MOST_BODY
        begun = False

        async def guarded(message: Message) -> None:
            nonlocal begun
            if message["type"] == "http.response.start":
                begun = True
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    headers.setdefault(name, value)
            await send(message)

        try:
            await answer(scope, _bounded(receive, most, UPLOAD_S if most == MOST_UPLOAD else BODY_S), guarded)
        except (TooLargeError, TimeoutError) as error:
            if begun:
                raise
            status = 413 if isinstance(error, TooLargeError) else 408
            await PlainTextResponse("", status)(scope, receive, guarded)

    def _refusal(self, scope: Scope) -> int:
        headers = Headers(scope=scope)
        host = headers.get("host", "")
        if urlsplit(f"//{host}").hostname not in self.hosts:
            return 421
        length = headers.get("content-length", "0")
        most = MOST_UPLOAD if scope["path"].startswith(self.upload) else MOST_BODY
        if not length.isdecimal() or int(length) > most:
            return 413
        if scope["method"] in SAFE:
            return 0
        return 0 if _is_own(headers, f"{scope['scheme']}://{host}") else 403


def is_here(host: str) -> bool:
    """Whether a page called by this name is reached by its own computer alone."""
    return host in ("localhost", "::1") or host.startswith("127.")


def _is_own(headers: Headers, own: str) -> bool:
    """Whether a request that writes comes from a page of this server: the browser says so, or its origin does."""
    site, origin = headers.get("sec-fetch-site"), headers.get("origin")
    if site is None:  # as on plain http away from loopback
        return origin == own
    return site == "same-origin" and origin in (None, own)


def _bounded(receive: Receive, most: int, within_s: float) -> Receive:
    """The body as it comes, counted and timed: what a header says of its length may be a lie."""
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
