"""Files and folders that do not outlive the program.

Each is locked while it is in use, and the system ends the lock with the process. So whoever makes the next one in the
same place can tell what a killed process left behind from what a running one needs, and removes it. Without locks (on
Windows, on some network drives) nothing is swept.
"""

from __future__ import annotations

import os
import re
import shutil
import stat
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

fcntl: Any
try:
    import fcntl
except ImportError:  # not on this system
    fcntl = None

PREFIX = ".cast-estimator-"
_OURS = re.compile(rf"{re.escape(PREFIX)}\w{{8}}")


@contextmanager
def scratch_folder(within: Path | None = None) -> Iterator[Path]:
    """New folder that is removed on exit, or after a kill by the next sweep of the same place. Raises OSError.

    within   folder that it is made in; that of the system for temporary files if None
    """
    place = Path(tempfile.gettempdir()) if within is None else within
    sweep(place)
    folder, lock = _locked(lambda: Path(tempfile.mkdtemp(dir=place, prefix=PREFIX)))
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)
        _close(lock)


class ScratchFile:
    """New empty file in a folder, to take the place of another file there. Raises OSError."""

    def __init__(self, folder: Path) -> None:
        self.path, self._lock = _locked(lambda: _new_file(folder))

    def take_the_place_of(self, target: Path) -> None:
        """Rename it, over a file that is there. Raises OSError."""
        if fcntl is None:
            self._unlock()  # Windows renames no open file
        os.replace(self.path, target)
        self._unlock()

    def drop(self) -> None:
        """Remove it, unless it has been renamed. Raises OSError."""
        self.path.unlink(missing_ok=True)
        self._unlock()

    def _unlock(self) -> None:
        _close(self._lock)
        self._lock = None


def sweep(place: Path) -> None:
    """Remove what killed processes of the same user left in a folder. What cannot be removed stays."""
    if fcntl is None:
        return
    with suppress(OSError):
        left = [Path(entry.path) for entry in os.scandir(place) if _OURS.fullmatch(entry.name)]
        for path in left:
            _remove_unless_used(path)


def _remove_unless_used(path: Path) -> None:
    with suppress(OSError):
        handle = os.open(path, os.O_RDONLY | os.O_NOFOLLOW | os.O_NONBLOCK)
        try:
            found = os.fstat(handle)
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
            if found.st_uid != os.getuid():
                return
            if stat.S_ISDIR(found.st_mode):
                shutil.rmtree(path, ignore_errors=True)
            elif stat.S_ISREG(found.st_mode):
                path.unlink()
        finally:
            os.close(handle)


def _new_file(folder: Path) -> Path:
    handle, name = tempfile.mkstemp(dir=folder, prefix=PREFIX)
    os.close(handle)
    return Path(name)


def _locked(make: Callable[[], Path]) -> tuple[Path, int | None]:
    """What `make` makes, and its lock. A sweep may remove it before it is locked: then another is made."""
    while True:
        path = make()
        if fcntl is None:
            return path, None
        with suppress(FileNotFoundError):
            handle = os.open(path, os.O_RDONLY)
            with suppress(OSError):  # a network drive without locks
                fcntl.flock(handle, fcntl.LOCK_EX)
            if path.exists():
                return path, handle
            os.close(handle)


def _close(lock: int | None) -> None:
    if lock is not None:
        os.close(lock)
