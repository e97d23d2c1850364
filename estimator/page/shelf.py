"""The job files of a folder, with their estimates: what every screen looks at, and the one place where it changes them.

The job file stays the truth. A change is made in its text, checked by a whole estimate, and saved only if it is sound
and nobody else saved the file meanwhile.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping, Sequence
from functools import lru_cache, partial, reduce
from pathlib import Path
from threading import RLock
from typing import Any

from estimator.api import Estimate, estimate
from estimator.disk import digest, replace_unchanged, write_new
from estimator.errors import Fault, FaultError, InputError
from estimator.intake import read_raw_job
from estimator.intake.edit import Edit, KeyPath, edited, edited_table
from estimator.intake.read import words_of
from estimator.intake.shelf import RECORDS_READ
from estimator.records import records_path
from estimator.store import Store
from estimator.store.people import note_changes
from estimator.store.records import version_of
from estimator.words import PLAIN, Words
from geometry.files import read_bytes
from geometry.frozen import frozen
from geometry.message import message

ARCHIVE = "archive"
"""Folder of jobs put away, within the shop's folder."""

DEEPEST, MOST_UNDO = 2, 50
_ESTIMATING = RLock()  # an estimate uses one core whole: two at once would both be late


class ConflictError(Exception):
    """Somebody else changed the field meanwhile.

    theirs   what stands in the file now
    """

    def __init__(self, theirs: Any) -> None:
        super().__init__(theirs)
        self.theirs = theirs


@frozen
class Kept:
    """A job file as it was read: its bytes, what they hold, and the estimate or the faults that they lead to."""

    content: bytes
    table: dict[str, Any]
    estimate: Estimate | None
    faults: tuple[Fault, ...]

    @property
    def digest(self) -> str:
        """Digest of the file's bytes: the version that a screen shows."""
        return digest(self.content)

    @property
    def words(self) -> Words:
        """Words of the job's language and units, as far as its head can be read."""
        return words_of(self.table)


class JobFile:
    """One job file: its estimate, its changes and their undoing."""

    def __init__(self, path: Path, name: str, store: Store | None = None) -> None:
        """name   by which its screens are found
        store  in which its changes are kept, with who made them
        """
        self.path, self.name, self.store = path, name, store
        self._kept: Kept | None = None
        self._rests_on: object = None
        self._before: list[tuple[bytes, str]] = []

    def kept(self) -> Kept:
        """The file as it stands now, estimated where it or a file beside it changed since. Raises OSError."""
        current = self._current()
        if isinstance(current, Kept):
            return current  # whoever estimates another job keeps nobody waiting for this one
        with _ESTIMATING:
            current = self._current()
            if not isinstance(current, Kept):
                content, rests_on = current
                current = _estimated(content, self.path)
                self._kept, self._rests_on = current, rests_on
            return current

    def _current(self) -> Kept | tuple[bytes, object]:
        """What was estimated last, where nothing has changed since; else what is to be estimated."""
        content, rests_on, kept = read_bytes(self.path), self._state(), self._kept
        return (
            kept if kept is not None and (kept.content, self._rests_on) == (content, rests_on) else (content, rests_on)
        )

    @property
    def table(self) -> dict[str, Any]:
        """What the file holds, without an estimate; nothing where it is no TOML."""
        content, kept = read_bytes(self.path), self._kept
        return kept.table if kept is not None and kept.content == content else _table_of(content)

    def edit(
        self,
        edits: Sequence[Edit],
        was: Any = None,
        *,
        checked: bool = False,
        later: list[Callable[[], None]] | None = None,
    ) -> Kept:
        """Makes changes and saves the file; the job with them.

        was      value of the first edit's key that the editor saw
        checked  whether another value there is a conflict
        later    gets what notes who changed what, to be called once the editor has an answer: the disk takes its time

        Raises ConflictError, InputError where the job would not be sound (and nothing is saved), FaultError for an edit
        that cannot be made, OSError.
        """
        with _ESTIMATING:
            now = self.kept()
            if checked:
                theirs = value_at(now.table, edits[0].at)
                if theirs != was and theirs != edits[0].value:
                    raise ConflictError(theirs)
            content, table = edited_table(now.content, edits, now.table or None)
            if content == now.content:
                return now
            after = _estimated(content, self.path, table)
            if after.faults:
                raise InputError(after.faults)
            replace_unchanged(self.path, content, now.digest)
            self._before = [*self._before[1 - MOST_UNDO :], (now.content, after.digest)]
            self._kept = after  # it rests on what lay beside the file before
            if self.store is not None:
                note = partial(note_changes, self.store, self.path, [_change(edit, now.table) for edit in edits])
                note() if later is None else later.append(note)
            return after

    def _state(self) -> object:
        """What an estimate rests on beside the job file: the files of its folder, and its records."""
        return _state_of(self.path.parent), version_of(self.path, RECORDS_READ)

    @property
    def title(self) -> str:
        """What the job is called."""
        head = self.table.get("job")
        return str(head.get("name", self.name)) if isinstance(head, dict) else self.name

    @property
    def words(self) -> Words:
        """Words of the job's language and units, as far as its head can be read."""
        return words_of(self.table)

    @property
    def can_undo(self) -> bool:
        """Whether the last change made here still stands last in the file."""
        return bool(self._before) and self._before[-1][1] == digest(read_bytes(self.path))

    def undo(self) -> Kept:
        """Puts the file back as it was before the last change made here. Raises FaultError where it cannot."""
        with _ESTIMATING:
            if not self.can_undo:
                raise FaultError("", message("page-nothing-to-undo"))
            content, written = self._before.pop()
            replace_unchanged(self.path, content, written)
            return self.kept()


class Shelf:
    """The job files of a folder, by name."""

    def __init__(self, folder: Path, store: Store | None = None) -> None:
        self.folder, self.store = folder.resolve(), store
        self._files: dict[str, JobFile] = {}

    def jobs(self) -> list[JobFile]:
        """The job files of the folder and of the folders in it, in the order of their names."""
        found = {}
        for path in self._paths():
            name = self._name_of(path)
            found[name] = self._files.get(name) or JobFile(path, name, self.store)
        self._files = found
        return [found[name] for name in sorted(found, key=str.casefold)]

    def job(self, name: str) -> JobFile:
        """The job file of this name. Raises KeyError."""
        if name not in self._files:
            self.jobs()
        return self._files[name]

    def add(self, title: str, content: bytes, beside: Mapping[str, bytes] | None = None) -> JobFile:
        """Writes a new job file, in a folder of its own, with the files beside it. Raises OSError."""
        folder = self._new_folder(title)
        for name, held in (beside or {}).items():
            write_new(folder / name, held)
        write_new(folder / "job.toml", content)
        return self.job(self._name_of(folder / "job.toml"))

    def copy(self, name: str, title: str) -> JobFile:
        """A copy of a job with everything beside it, under another title. Raises KeyError, OSError."""
        job = self.job(name)
        folder = self._new_folder(title)
        records = records_path(job.path)  # of the job that was cast
        for beside in (path for path in _beside(job.path.parent) if path != records):
            write_new(folder / beside.name, read_bytes(beside))
        head = Edit("set", ("job", "name"), title)
        fresh = [Edit("set", ("job", "status"), "quoted")] if _status(job.kept().table) == "released" else []
        write_new(folder / job.path.name, edited(job.kept().content, [head, *fresh]))
        return self.job(self._name_of(folder / job.path.name))

    def archive(self, name: str) -> None:
        """Puts a job's folder away; a job file in the shop's own folder goes alone. Raises KeyError, OSError."""
        job = self.job(name)
        away = self.folder / ARCHIVE
        away.mkdir(exist_ok=True)
        moved = job.path if job.path.parent == self.folder else job.path.parent
        old = job.path
        there = moved.rename(_free(away / moved.name))
        if self.store is not None:
            new = there if moved == old else there / old.name
            self.store.rename(old.relative_to(self.folder).as_posix(), new.relative_to(self.folder).as_posix())
        self._files.pop(name, None)

    def _paths(self) -> list[Path]:
        found = []
        for depth in range(DEEPEST):
            for path in self.folder.glob("*/" * depth + "*.toml"):
                inside = path.relative_to(self.folder)
                hidden = any(part.startswith(".") for part in inside.parts) or inside.parts[0] == ARCHIVE
                if not hidden and path.is_file() and path.resolve().is_relative_to(self.folder) and _is_job(path):
                    found.append(path)
        return found

    def _name_of(self, path: Path) -> str:
        """Folder and stem, of a file that is called job the folder alone."""
        inside = path.relative_to(self.folder)
        parts = [*inside.parts[:-1], inside.stem]
        return "~".join(parts[:-1] if len(parts) > 1 and inside.stem == "job" else parts)

    def _new_folder(self, title: str) -> Path:
        letters = "".join(letter if letter.isalnum() else "-" for letter in title.casefold())
        folder = _free(self.folder / ("-".join(filter(None, letters.split("-")))[:60] or "job"))
        folder.mkdir()
        return folder


def value_at(table: Any, at: KeyPath) -> Any:
    """What stands at a path of a job file; None where nothing does."""
    try:
        return reduce(lambda part, key: part[key], at, table)
    except (KeyError, IndexError, TypeError):
        return None


def _change(edit: Edit, table: dict[str, Any]) -> tuple[str, str, str]:
    """Key of an edit, what stood there, what stands there then."""
    was = "" if (stood := value_at(table, edit.at)) is None else str(stood)
    return "/".join(map(str, edit.at)), was, "" if edit.value is None else str(edit.value)


def _estimated(content: bytes, path: Path, table: dict[str, Any] | None = None) -> Kept:
    """A job file with its estimate, or with the faults that keep it from one.

    table   what the file holds, where somebody has read it already
    """
    try:
        table = tomllib.loads(content.decode("utf-8-sig")) if table is None else table
    except (UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        fault = Fault(path.name, "", message("edit-not-toml", reason=str(error)))
        return Kept(content, {}, None, (fault.in_words(PLAIN),))
    try:
        return Kept(content, table, estimate(read_raw_job(table, path).sound()), ())
    except InputError as error:
        return Kept(content, table, None, tuple(error.faults))


@lru_cache(maxsize=64)
def _table_of(content: bytes) -> dict[str, Any]:
    try:
        return tomllib.loads(content.decode("utf-8-sig"))
    except (UnicodeDecodeError, tomllib.TOMLDecodeError):
        return {}


def _state_of(folder: Path) -> tuple[tuple[str, int, int], ...]:
    """Name, size and time of the files beside a job: drawings, schedules, catalogs and corrections change its estimate
    too."""
    found = [(path.name, path.stat()) for path in _beside(folder)]
    return tuple((name, stat.st_size, stat.st_mtime_ns) for name, stat in found)


def _beside(folder: Path) -> list[Path]:
    """Files in a job's folder that are no job file themselves."""
    return sorted(path for path in folder.iterdir() if path.is_file() and path.name[0] != "." and not _is_job(path))


def _is_job(path: Path) -> bool:
    """Whether a file is a job file, not a drawing, a catalog or a list of stock."""
    if path.suffix != ".toml":
        return False
    stat = path.stat()
    return _held_a_job(path, stat.st_size, stat.st_mtime_ns)


@lru_cache(maxsize=4096)
def _held_a_job(path: Path, _size: int, _time_ns: int) -> bool:
    """Whether a TOML file of this size and time is a job file: many are asked about at every look at a job."""
    try:
        table = tomllib.loads(read_bytes(path).decode("utf-8-sig"))
    except (OSError, UnicodeDecodeError, FaultError):
        return False
    except tomllib.TOMLDecodeError:
        return path.stem == "job"
    return "job" in table


def _status(table: dict[str, Any]) -> str:
    head = table.get("job")
    return str(head.get("status", "quoted")) if isinstance(head, dict) else "quoted"


def _free(path: Path) -> Path:
    """The path, or the first of its name with a number that is free."""
    number, free = 2, path
    while free.exists():
        number, free = number + 1, path.with_name(f"{path.name}-{number}")
    return free


def sound(content: bytes, path: Path) -> Estimate:
    """The estimate of a job file that would stand at a path. Raises InputError with its faults."""
    kept = _estimated(content, path)
    if kept.estimate is None:
        raise InputError(kept.faults)
    return kept.estimate
