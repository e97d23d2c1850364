"""Connections of the page: limited per address, and closed if a request head does not arrive in time.

This protects the mixer's phone from clients that open hundreds of connections or send a head very slowly.
"""

from __future__ import annotations

import asyncio
import sys
from collections import Counter
from typing import Any

from uvicorn.protocols.http.h11_impl import H11Protocol

MOST_OF_ONE = 100
"""Most connections from one address: a browser opens six, and an office may share one address."""

HEAD_S = 15.0
"""Longest time from a connection, or the end of a response, to the head of the next request, s."""

AT_ONCE = 128
"""Most connections accepted in one go, before any of them is checked."""

MOST_FILES = 8192
SPARE_FILES = AT_ONCE + 128  # reserved for the database, job files and papers


class Connections:
    """Counts of open connections, and those that wait for a request."""

    def __init__(self, most: int) -> None:
        self.most = most
        self._of_address: Counter[str] = Counter()
        self._waiting: dict[Connection, None] = {}  # longest wait first

    def enter(self, address: str) -> bool:
        """Count a new connection; return whether its address may have it.

        If there are too many in total, the connection that has waited longest is closed.
        """
        self._of_address[address] += 1
        if self._of_address[address] > MOST_OF_ONE:
            return False
        if self._of_address.total() > self.most and self._waiting:
            next(iter(self._waiting)).end()
        return True

    def leave(self, connection: Connection, address: str) -> None:
        """Stop counting a connection."""
        self._waiting.pop(connection, None)
        self._of_address[address] -= 1
        if not self._of_address[address]:
            del self._of_address[address]

    def wait(self, connection: Connection) -> None:
        """Mark a connection as waiting for a request."""
        self._waiting.pop(connection, None)
        self._waiting[connection] = None

    def serve(self, connection: Connection) -> None:
        """Mark a connection as no longer waiting."""
        self._waiting.pop(connection, None)


class Connection(H11Protocol):
    """One connection, closed if a complete request head does not arrive in time."""

    open = Connections(sys.maxsize)
    """All connections of this process."""

    _timer: asyncio.TimerHandle | None = None
    _address = ""

    def connection_made(self, transport: Any) -> None:
        """Start waiting for a request, or close if the address has too many connections."""
        super().connection_made(transport)
        self._address = self.client[0] if self.client else ""
        if self.open.enter(self._address):
            self._wait()
        else:
            self.end()

    def connection_lost(self, exc: Exception | None) -> None:
        """Stop counting this connection."""
        self._stop_waiting()
        self.open.leave(self, self._address)
        super().connection_lost(exc)

    def data_received(self, data: bytes) -> None:
        """Stop the timer when a request head is complete."""
        before = self.cycle
        super().data_received(data)
        if self.cycle is not before and not self.cycle.response_complete:
            self._stop_waiting()

    def on_response_complete(self) -> None:
        """Start waiting for the next request."""
        super().on_response_complete()
        if self.cycle.response_complete:
            self._wait()

    def shutdown(self) -> None:
        """Stop the page. What is idle is closed at once: over TLS, a phone that is asleep would be waited for."""
        idle = self.cycle is None or self.cycle.response_complete
        if idle and not self.transport.get_write_buffer_size():
            self.end()
        else:
            super().shutdown()

    def end(self) -> None:
        """Close immediately."""
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
    """Raise the limit on open files of this process; return the number of connections that then fit."""
    if sys.platform == "win32":
        return 400  # of the 512 files that the C library allows
    import resource

    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    most = MOST_FILES if hard == resource.RLIM_INFINITY else min(hard, MOST_FILES)
    if soft == resource.RLIM_INFINITY or soft >= most:
        most = most if soft == resource.RLIM_INFINITY else soft
    else:
        resource.setrlimit(resource.RLIMIT_NOFILE, (most, hard))
    return max(most - SPARE_FILES, MOST_OF_ONE)
