"""Fifty phones and five desks at one shop page, and an attacker.

    python -m tests.benchmarks.bench_load [--seconds 300] [--phones 50] [--desks 5] [--hostile]

Each phone ticks every one to three seconds, sends one tick in ten again, and looks for others' ticks; each desk changes
a length of a job of its own. The report has errors, ticks lost or doubled, times, and the memory of the server. The
floor in the same run is the style sheet, which the server reads and sends. `--hostile` adds, from another address:
connections without a request, heads and bodies sent letter by letter, heads too large, wrong passwords, codes and
cookies, unfinished uploads, garbage.
"""

from __future__ import annotations

import argparse
import http.client
import json
import random
import socket
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from contextlib import ExitStack, closing, suppress
from dataclasses import dataclass, field
from pathlib import Path
from secrets import token_hex
from threading import Event, Thread
from typing import Any

import psutil

from estimator.page.statics import address
from estimator.store import open_store
from estimator.store.people import add_person, new_session, people_of
from estimator.store.records import stored_entries

JOB = """[job]
name = "Job {number}"
mix = "backer-45"

[[piece]]
mark = "C1"
use = "counter"
shape = {{ kind = "slab", length = "72 in", width = "25-1/2 in", thickness = "1 in" }}

[[piece]]
mark = "C2"
use = "counter"
quantity = 2
shape = {{ kind = "slab", length = "48 in", width = "25-1/2 in", thickness = "1 in" }}
"""
STRANGER = "127.0.0.66"
LETTERS_EVERY_S = 0.5


@dataclass
class Log:
    """Answers and errors of all clients."""

    errors: list[str] = field(default_factory=list)
    sent: list[str] = field(default_factory=list)  # ids of ticks that the page confirmed
    tick_s: list[float] = field(default_factory=list)
    edit_s: list[float] = field(default_factory=list)
    floor_s: list[float] = field(default_factory=list)
    memory_mib: list[float] = field(default_factory=list)
    attacks: Counter[str] = field(default_factory=Counter)


class Browser:
    """One browser that is signed in: it opens its connection anew where the page closed it, as browsers do."""

    def __init__(self, port: int, token: str) -> None:
        self.port, self.token = port, token
        self.line: http.client.HTTPConnection | None = None

    def ask(self, method: str, path: str, body: Any = None) -> tuple[int, bytes]:
        headers = {"origin": f"http://127.0.0.1:{self.port}", "cookie": f"person={self.token}"}
        sent = None if body is None else json.dumps(body).encode()
        for again in (False, True):
            if self.line is None:
                self.line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=120)
                self.line.connect()
                assert self.line.sock is not None
                self.line.sock.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
            try:
                self.line.request(method, path, sent, headers | {"content-type": "application/json"})
                reply = self.line.getresponse()
                return reply.status, reply.read()
            except (http.client.RemoteDisconnected, ConnectionResetError, BrokenPipeError):
                self.close()
                if again:
                    raise
        raise AssertionError

    def close(self) -> None:
        """Closes its connection."""
        if self.line is not None:
            self.line.close()
        self.line = None


def tick() -> dict[str, Any]:
    values = {"batch": "1-1", "step": random.randint(1, 8), "material": "white-cement", "mass_kg": 7.5}
    return {"id": token_hex(16), "kind": "weighing", "at": "2026-03-23T08:01:02Z", "values": values}


def phone(browser: Browser, job: str, log: Log, over: Event) -> None:
    newest = 0
    while not over.wait(random.uniform(1.0, 3.0)):
        entry = tick()
        for _ in range(2 if random.random() < 0.1 else 1):
            begun = time.perf_counter()
            status, body = browser.ask("POST", f"/mixer/{job}/entries", [entry])
            log.tick_s.append(time.perf_counter() - begun)
            if status != 200 or entry["id"] not in json.loads(body)["kept"]:
                log.errors.append(f"tick: {status}")
        log.sent.append(entry["id"])
        if random.random() < 0.2:
            status, body = browser.ask("GET", f"/mixer/{job}/entries?after={newest}")
            newest = json.loads(body)["number"] if status == 200 else newest
            log.errors += [] if status == 200 else ["look"]


def desk(browser: Browser, job: str, log: Log, over: Event) -> None:
    was = "72 in"
    while not over.wait(random.uniform(1.0, 3.0)):
        text = f"{random.randint(40, 90)} in"
        asked = {"at": "piece/0/shape/length", "text": text, "was": was, "mark": "C1", "number": 1}
        begun = time.perf_counter()
        status, body = browser.ask("POST", f"/jobs/{job}/change", asked)
        log.edit_s.append(time.perf_counter() - begun)
        if status != 200:
            log.errors.append(f"desk: {status} {body[:80]!r}")
        else:
            was = text
        begun = time.perf_counter()
        browser.ask("GET", address("page.css"))
        log.floor_s.append(time.perf_counter() - begun)


# ---- the attacker


def line_to(port: int) -> socket.socket:
    return socket.create_connection(("127.0.0.1", port), timeout=5, source_address=(STRANGER, 0))


def dripped(port: int, head: bytes, more: bytes, over: Event) -> None:
    """Sends a beginning, then single letters, until it is cut off."""
    with suppress(OSError), line_to(port) as line:
        line.sendall(head)
        while not over.wait(LETTERS_EVERY_S):
            line.sendall(more)


def idle(port: int, over: Event) -> None:
    with suppress(OSError), ExitStack() as lines:
        for _ in range(100):
            lines.enter_context(line_to(port))
        over.wait(5.0)


def flood(port: int, method: str, path: str, body: bytes, headers: dict[str, str], over: Event) -> None:
    """The same request as fast as it is answered, for a second."""
    own = {"origin": f"http://127.0.0.1:{port}", "content-type": "application/x-www-form-urlencoded"} | headers
    until = time.monotonic() + 1.0
    while time.monotonic() < until and not over.is_set():
        line = http.client.HTTPConnection("127.0.0.1", port, timeout=5, source_address=(STRANGER, 0))
        with suppress(OSError, http.client.HTTPException), closing(line):
            line.request(method, path, body, own)
            line.getresponse().read()


def attacks(port: int, over: Event) -> dict[str, Callable[[], None]]:
    post = (
        f"POST /mixer/job1/entries HTTP/1.1\r\nhost: 127.0.0.1:{port}\r\norigin: http://127.0.0.1:{port}\r\n".encode()
    )
    upload = post.replace(b"/mixer/job1/entries", b"/upload")
    long_head = b"GET / HTTP/1.1\r\nhost: 127.0.0.1\r\nx: " + b"a" * 500_000
    return {
        "connections without a request": lambda: idle(port, over),
        "heads letter by letter": lambda: dripped(port, b"GET / HTTP/1.1\r\nx: ", b"a", over),
        "bodies letter by letter": lambda: dripped(port, post + b"content-length: 900000\r\n\r\n[", b" ", over),
        "uploads by halves": lambda: dripped(port, upload + b"content-length: 250000000\r\n\r\n", b"x" * 65536, over),
        "heads too large": lambda: dripped(port, long_head, b"a" * 1000, over),
        "garbage": lambda: dripped(port, random.randbytes(4000), b"\0", over),
        "wrong passwords": lambda: flood(port, "POST", "/sign-in", b"name=Ann&secret=guess", {}, over),
        "wrong codes": lambda: flood(port, "POST", "/quote/nothing/code", b"code=abc", {}, over),
        "wrong cookies": lambda: flood(port, "GET", "/phone", b"", {"cookie": f"person={token_hex(16)}"}, over),
        "cookies without end": lambda: flood(port, "GET", "/phone", b"", {"cookie": "person=" + "x" * 60_000}, over),
    }


def attack(name: str, act: Callable[[], None], log: Log, over: Event) -> None:
    while not over.is_set():
        act()
        log.attacks[name] += 1
        over.wait(0.05)


# ---- the run


def shop_of(folder: Path, phones: int, desks: int) -> tuple[list[str], list[str]]:
    """Jobs and people; tokens of the phones and of the desks."""
    for number in range(1, desks + 1):
        (folder / f"job{number}").mkdir()
        (folder / f"job{number}" / "job.toml").write_text(JOB.format(number=number), "utf-8")
    store = open_store(folder)
    add_person(store, "Ann", "office", "a long password")
    add_person(store, "Kim", "crew", "another long password")
    ann, kim = people_of(store)
    return (
        [new_session(store, person=kim.id) for _ in range(phones)],
        [new_session(store, person=ann.id) for _ in range(desks)],
    )


def run(seconds: float, phones: int, desks: int, *, hostile: bool, files: int | None = None) -> Log:
    """Runs all clients and returns their log; ticks lost or doubled are among the errors."""
    log, over = Log(), Event()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        of_phones, of_desks = shop_of(folder, phones, desks)
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            port = free.getsockname()[1]
        command = [sys.executable, "-m", "estimator", "serve", name, "--no-browser", "--port", str(port)]
        if files is not None:  # files that it may open, which an attacker may try to use up
            command = ["sh", "-c", f'ulimit -n {files} && exec "$@"', "sh", *command]
        with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as server:
            try:
                _wait_for(port)
                _warmed(Browser(port, of_desks[0]), desks)
                threads = [
                    Thread(target=_caught, args=(phone, Browser(port, token), f"job{1 + at % desks}", log, over))
                    for at, token in enumerate(of_phones)
                ]
                threads += [
                    Thread(target=_caught, args=(desk, Browser(port, token), f"job{1 + at}", log, over))
                    for at, token in enumerate(of_desks)
                ]
                if hostile:
                    for kind, act in attacks(port, over).items():
                        threads += [Thread(target=attack, args=(kind, act, log, over)) for _ in range(8)]
                for thread in threads:
                    thread.start()
                _watched(psutil.Process(server.pid), seconds, log)
                over.set()
                for thread in threads:
                    thread.join(60)
            finally:
                server.kill()
        kept = Counter(
            id
            for at in range(desks)
            for id, _ in stored_entries(open_store(folder), folder / f"job{at + 1}" / "job.toml")
        )
    log.errors += [f"lost: {id}" for id in log.sent if not kept[id]]
    log.errors += [f"doubled: {id}" for id, count in kept.items() if count > 1]
    return log


def _caught(act: Callable[..., None], browser: Browser, job: str, log: Log, over: Event) -> None:
    try:
        act(browser, job, log, over)
    except Exception as error:  # any error that a browser would show its user
        log.errors.append(f"{act.__name__}: {error!r}")
    finally:
        browser.close()


def _wait_for(port: int) -> None:
    for _ in range(200):
        with suppress(OSError), socket.create_connection(("127.0.0.1", port), timeout=1):
            return
        time.sleep(0.1)
    raise TimeoutError


def _warmed(browser: Browser, desks: int) -> None:
    """Opens each job once, like the first person of a day, so that its estimate is cached."""
    for number in range(1, desks + 1):
        for path in (f"/jobs/job{number}", f"/mixer/job{number}"):
            assert browser.ask("GET", path)[0] == 200
    browser.close()


def _watched(server: psutil.Process, seconds: float, log: Log) -> None:
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        time.sleep(min(2.0, seconds / 5))
        log.memory_mib.append(server.memory_info().rss / 2**20)


def at(values: list[float], share: float) -> float:
    """The quantile of this share, in milliseconds."""
    return 1000.0 * sorted(values)[min(int(share * len(values)), len(values) - 1)] if values else float("nan")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--seconds", type=float, default=300.0)
    parser.add_argument("--phones", type=int, default=50)
    parser.add_argument("--desks", type=int, default=5)
    parser.add_argument("--hostile", action="store_true")
    given = parser.parse_args()
    log = run(given.seconds, given.phones, given.desks, hostile=given.hostile)
    for name, values in (("ticks", log.tick_s), ("changes at a desk", log.edit_s), ("style sheet", log.floor_s)):
        figures = ", ".join(
            f"{label} {at(values, share):.0f}" for label, share in (("50 %", 0.5), ("95 %", 0.95), ("most", 1))
        )
        print(f"{name}: {len(values)}, ms {figures}")
    tenth = max(len(log.memory_mib) // 10, 1)
    tenths = [f"{max(log.memory_mib[i : i + tenth]):.0f}" for i in range(0, len(log.memory_mib), tenth)]
    print(f"memory of the server, MiB, by tenths of the time: {' '.join(tenths)}")
    print(f"attacks: {dict(log.attacks)}")
    kinds = Counter(error[:60] for error in log.errors).most_common(5)
    print(f"confirmed ticks: {len(log.sent)}; errors, lost or doubled: {len(log.errors)} {kinds}")


if __name__ == "__main__":
    main()
