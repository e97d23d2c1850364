"""A bar on standard error while something takes more than a second; nothing where that is no terminal."""

from __future__ import annotations

import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager

PATIENCE_S = 1.0


@contextmanager
def progress(title: str) -> Iterator[Callable[[str], None]]:
    """A function that names what is being done; the bar appears once PATIENCE_S have passed, and goes at the end."""
    if not sys.stderr.isatty():
        yield lambda _: None
        return
    bar = _Bar(title)
    timer = threading.Timer(PATIENCE_S, bar.start)
    timer.daemon = True
    timer.start()
    try:
        yield bar.name
    finally:
        timer.cancel()
        bar.stop()


class _Bar:
    """A bar that starts from another thread, or never."""

    def __init__(self, title: str) -> None:
        self._title, self._lock = title, threading.Lock()
        self._stop: Callable[[], None] | None = None
        self._rename: Callable[[str], None] | None = None
        self._done = False

    def start(self) -> None:
        from rich.console import Console
        from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

        with self._lock:
            if self._done:
                return
            columns = (TextColumn("{task.description}"), BarColumn(), TimeElapsedColumn())
            bar = Progress(*columns, console=Console(stderr=True), transient=True)
            task = bar.add_task(self._title, total=None)
            bar.start()
            self._stop = bar.stop
            self._rename = lambda title: bar.update(task, description=title)

    def name(self, title: str) -> None:
        with self._lock:
            self._title = title
            if self._rename is not None:
                self._rename(title)

    def stop(self) -> None:
        with self._lock:
            self._done = True
            if self._stop is not None:
                self._stop()
