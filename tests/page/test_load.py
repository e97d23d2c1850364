"""Many phones and desks at once, and an attacker: no tick is lost or doubled, no answer fails.

Ten seconds of what `tests/benchmarks/bench_load.py` does for five minutes.
"""

from __future__ import annotations

import socket
import sys
import time

import pytest

from tests.benchmarks import bench_load
from tests.page.test_browser import Server, server

__all__ = ["server"]

SECONDS = 10.0


def test_phones_and_desks_at_once_lose_and_double_nothing() -> None:
    log = bench_load.run(SECONDS, phones=50, desks=5, hostile=False)
    assert log.errors == []
    assert len(log.sent) > 50
    assert len(log.edit_s) >= 5


@pytest.mark.skipif(sys.platform == "win32", reason="no limit of open files is set there")
def test_hostile_requests_do_not_keep_the_phones_from_saving() -> None:
    log = bench_load.run(SECONDS, phones=10, desks=1, hostile=True, files=500)
    assert log.errors == []
    assert len(log.sent) > 10
    assert set(log.attacks) == set(bench_load.attacks(0, bench_load.Event()))


def test_a_request_head_sent_in_drips_is_cut_off(server: Server) -> None:
    with socket.create_connection(("127.0.0.1", server.port), timeout=30) as line:
        begun = time.monotonic()
        line.sendall(b"GET / HTTP/1.1\r\nx: ")
        while time.monotonic() < begun + 25.0:
            try:
                line.sendall(b"a")
            except OSError:
                break
            time.sleep(0.5)
        assert time.monotonic() - begun < 20.0
