"""Connections of the page: so many from one address, and none that stays open over a request begun by halves.

Whoever opens hundreds of them, or sends a head letter by letter, takes no place from the mixer's phone.
"""

from __future__ import annotations

import asyncio
import sys
from collections import Counter
from typing import Any

from uvicorn.protocols.http.h11_impl import H11Protocol

MOST_OF_ONE = 100
"""Connections from one address: a browser opens six, and an office may share one address."""

HEAD_S = 15.0
"""From a connection, or the end of an answer, to the head of the next request."""

MOST_FILES = 8192
SPARE_FILES = 128  # for the database, job files and papers


class Connections:
    """How many are open, and which of them wait for a request."""

    def __init__(self, most: int) -> None:
        self.most = most
        self._of_address: Counter[str] = Counter()
        self._waiting: dict[Connection, None] = {}  # the longest waiting first

    def enter(self, address: str) -> bool:
        """Whether there is a place; of all too many, the one that has waited longest makes room."""
        self._of_address[address] += 1
        if self._of_address[address] > MOST_OF_ONE:
            return False
        if self._of_address.total() > self.most and self._waiting:
            next(iter(self._waiting)).end()
        return True

    def leave(self, connection: Connection, address: str) -> None:
        """Gives its place back."""
        self._waiting.pop(connection, None)
        self._of_address[address] -= 1
        if not self._of_address[address]:
            del self._of_address[address]

    def wait(self, connection: Connection) -> None:
        """Puts one in line that has no request yet."""
        self._waiting.pop(connection, None)
        self._waiting[connection] = None

    def serve(self, connection: Connection) -> None:
        """Takes one out of line whose request has come."""
        self._waiting.pop(connection, None)


class Connection(H11Protocol):
    """One connection: it is ended where no whole head of a request comes in time."""

    open = Connections(sys.maxsize)
    """All of this process."""

    _timer: asyncio.TimerHandle | None = None
    _address = ""

    def connection_made(self, transport: Any) -> None:
        """Begins to wait for a request, unless its address has too many already."""
        super().connection_made(transport)
        self._address = self.client[0] if self.client else ""
        if self.open.enter(self._address):
            self._wait()
        else:
            self.end()

    def connection_lost(self, exc: Exception | None) -> None:
        """Gives its place back."""
        self._stop_waiting()
        self.open.leave(self, self._address)
        super().connection_lost(exc)

    def data_received(self, data: bytes) -> None:
        """Waits no longer once a request has come whole."""
        before = self.cycle
        super().data_received(data)
        if self.cycle is not before and not self.cycle.response_complete:
            self._stop_waiting()

    def on_response_complete(self) -> None:
        """Waits for the next request."""
        super().on_response_complete()
        if self.cycle.response_complete:
            self._wait()

    def end(self) -> None:
        """Closes it at once."""
        self._stop_waiting()
        self.transport.abort()

    def _wait(self) -> None:
        self._stop_waiting()
        self.open.wait(self)
        self._timer = self.loop.call_later(HEAD_S, self.end)

    def _stop_waiting(self) -> None:
        self.open.serve(self)
        if self._timer is not None:
            self._timer.cancel()
            self._timer = None


def raise_files() -> int:
    """Lets this process open as many files as the system allows it, within reason; connections that then have room."""
    if sys.platform == "win32":
        return 400  # of the 512 that its library opens
    import resource

    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    most = MOST_FILES if hard == resource.RLIM_INFINITY else min(hard, MOST_FILES)
    if soft == resource.RLIM_INFINITY or soft >= most:
        most = most if soft == resource.RLIM_INFINITY else soft
    else:
        resource.setrlimit(resource.RLIMIT_NOFILE, (most, hard))
    return max(most - SPARE_FILES, MOST_OF_ONE)
