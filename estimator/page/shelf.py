"""Job files of a folder with their estimates: read by every screen, and the only place where screens change them.

The job file is the source of truth. A change is made in its text, checked by a full estimate, and saved only if the job
is valid and nobody else saved the file meanwhile.
"""

from __future__ import annotations

import os
import re
import tomllib
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from functools import lru_cache, partial, reduce
from pathlib import Path
from threading import RLock
from typing import Any

from estimator.api import Estimate, estimate
from estimator.disk import digest, prepare, replace_unchanged, write_new
from estimator.errors import Fault, FaultError, InputError
from estimator.intake import read_raw_job
from estimator.intake.edit import Edit, KeyPath, edited, edited_table
from estimator.intake.read import words_of
from estimator.intake.shelf import RECORDS_READ
from estimator.records import records_path
from estimator.store import Store
from estimator.store.people import note_changes, who
from estimator.store.records import version_of
from estimator.words import PLAIN, Words
from geometry.files import kept_inside, read_bytes
from geometry.frozen import frozen
from geometry.message import message

SHOP = "shop.toml"
"""File of what all jobs of the shop share, where it is started in the page."""

ARCHIVE = "archive"
"""Folder of archived jobs in the shop's folder."""

OF_ADDRESSES = re.compile(r"[#?%\\\x00-\x1f\x7f]")
"""Signs that part or encode an address, so that the folder of a job called "Smith #2" is still found."""

DEEPEST, MOST_UNDO = 2, 50
_WRITING = ThreadPoolExecutor(2, thread_name_prefix="writing")
_ESTIMATING = RLock()  # an estimate uses a full core, so two at once would both be slow


class ConflictError(Exception):
    """Raised if somebody else changed the field meanwhile.

    theirs   value now in the file
    """

    def __init__(self, theirs: Any) -> None:
        super().__init__(theirs)
        self.theirs = theirs


@frozen
class Kept:
    """A job file as read: its bytes, its data, and its estimate or its faults."""

    content: bytes
    table: dict[str, Any]
    estimate: Estimate | None
    faults: tuple[Fault, ...]

    @property
    def digest(self) -> str:
        """Digest of the file's bytes, which identifies the version shown by a screen."""
        return digest(self.content)

    @property
    def words(self) -> Words:
        """Words for the job's language and units, as far as its head can be read."""
        return words_of(self.table)


@frozen(eq=False)
class PastChange:
    """A change of a job file that was made here.

    changes  key, old value and new value of each edit
    person   who made it
    content  the file before it
    table    its data
    written  digest of the file after it
    """

    changes: list[tuple[str, str, str]]
    person: str
    content: bytes
    table: dict[str, Any]
    written: str


class JobFile:
    """One job file: its estimate, its changes and undo."""

    is_shop = False
    """Whether this is the file that all jobs of the shop share."""

    def __init__(self, path: Path, name: str, store: Store | None = None, shared: Sequence[str] = ()) -> None:
        """Set up for one file.

        name    name in the addresses of its screens
        store   store that logs its changes with the person who made them
        shared  names of files outside its folder that it may be given: that of the shop
        """
        self.path, self.name, self.store, self.shared = path, name, store, tuple(shared)
        self._kept: Kept | None = None
        self._rests_on: object = None
        self._made: list[PastChange] = []

    def kept(self) -> Kept:
        """Current state of the file, estimated again if it or a file beside it changed. Raises OSError."""
        current = self._current()
        if isinstance(current, Kept):
            return current  # without the lock, so that an estimate of another job does not delay this one
        with _ESTIMATING:
            current = self._current()
            if not isinstance(current, Kept):
                content, rests_on = current
                current = _estimated(content, self.path)
                self._kept, self._rests_on = current, rests_on
            return current

    def _current(self) -> Kept | tuple[bytes, object]:
        """Last state if nothing has changed since, else the content and the state to estimate."""
        content, kept = read_bytes(self.path), self._kept
        table = kept.table if kept is not None and kept.content == content else table_of(content)
        rests_on = self._state(table)
        return (
            kept if kept is not None and (kept.content, self._rests_on) == (content, rests_on) else (content, rests_on)
        )

    @property
    def table(self) -> dict[str, Any]:
        """Data of the file, without an estimate; empty if it is not TOML."""
        content, kept = read_bytes(self.path), self._kept
        return kept.table if kept is not None and kept.content == content else table_of(content)

    def edit(
        self,
        edits: Sequence[Edit],
        was: Any = None,
        *,
        now: Kept | None = None,
        checked: bool = False,
        later: list[Callable[[], None]] | None = None,
    ) -> Kept:
        """Apply edits and save the file; return its new state.

        now      state that the caller has read, so that it is not compared with all files beside it again
        was      value of the first edit's key that the editor saw
        checked  whether a different value there is a conflict
        later    gets a function that logs the changes, to be called after the response, because writing takes time

        Raises ConflictError, InputError if the job would be invalid (nothing is saved then), FaultError for an edit
        that cannot be made, OSError.
        """
        with _ESTIMATING:
            if now is None or now is not self._kept or read_bytes(self.path) != now.content:
                now = self.kept()
            if checked:
                theirs = value_at(now.table, edits[0].at)
                if theirs != was and theirs != edits[0].value:
                    raise ConflictError(theirs)
            content, table = edited_table(now.content, edits, self._data(now))
            if content == now.content:
                return now
            writing = _WRITING.submit(prepare, self.path, content)  # on its way to the disk while the job is estimated
            try:
                after = self._checked(content, now, table)
                if after.faults:
                    raise InputError(after.faults)
                replace_unchanged(self.path, content, now.digest, writing.result())
            except BaseException:
                with suppress(OSError):
                    writing.result().drop()
                raise
            changes = [_change(edit, now.table) for edit in edits]
            made = PastChange(changes, who.get(), now.content, now.table, after.digest)
            self._made = [*self._made[1 - MOST_UNDO :], made]
            self._kept = after  # the files beside it are unchanged
            if after.table.get("job", {}).get("catalog") != now.table.get("job", {}).get("catalog"):
                self._rests_on = self._state(after.table)
            if self.store is not None:
                note = partial(note_changes, self.store, self.path, changes)
                note() if later is None else later.append(note)
            return after

    def _data(self, now: Kept) -> dict[str, Any] | None:
        """Data of the file as it stands in it; None if it has to be parsed."""
        return now.table or None

    def _checked(self, content: bytes, now: Kept, table: dict[str, Any]) -> Kept:
        """State that the file would have with a content, or its faults."""
        return _as_edited(content, self.path, {"job": now.table, "catalog": list(self.shared)}, table)

    def _state(self, table: dict[str, Any]) -> object:
        """State of everything else an estimate depends on: the files beside the job, its catalogs, and its records."""
        return _state_of(self.path), _state_of_catalogs(self.path, table), version_of(self.path, RECORDS_READ)

    @property
    def title(self) -> str:
        """Name of the job."""
        head = self.table.get("job")
        return str(head.get("name", self.name)) if isinstance(head, dict) else self.name

    @property
    def words(self) -> Words:
        """Words for the job's language and units, as far as its head can be read."""
        return words_of(self.table)

    @property
    def last_change(self) -> PastChange | None:
        """Last change made here, if it is still the latest version of the file."""
        last = self._made[-1] if self._made else None
        return last if last and last.written == digest(read_bytes(self.path)) else None

    def take_back(self, edit: Edit, now: Kept) -> Kept:
        """Apply an edit that takes a change back, which is no change to undo itself. Raises what `edit` raises."""
        with _ESTIMATING:
            kept = self.edit([edit], now=now)
            if kept is not now:
                self._made.pop()
            return kept

    def undo(self) -> Kept:
        """Restore the file from before the last change made here. Raises FaultError if that is not possible."""
        with _ESTIMATING:
            last = self.last_change
            if last is None:
                raise FaultError("", message("page-nothing-to-undo"))
            self._made.pop()
            replace_unchanged(self.path, last.content, last.written)
            if self.store is not None:
                undone = [(what, becomes, was) for what, was, becomes in reversed(last.changes)]
                note_changes(self.store, self.path, undone)
            return self.kept()


OF_SHOP = ("business", "workshop", "price", "supplier", "receiving", "materials", "mixes", "bucket", "scope")
HEAD_OF_SHOP = ("catalog", "currency", "language", "crew_language", "client_language")
"""Sections of a job file, and keys of its head, that a shop has alike in all its jobs."""


class Shelf:
    """Job files of a folder, by name."""

    def __init__(self, folder: Path, store: Store | None = None) -> None:
        self.folder, self.store = folder.resolve(), store
        self._files: dict[str, JobFile] = {}
        self.shop: JobFile | None = None

    def jobs(self) -> list[JobFile]:
        """Job files of the folder and its subfolders, sorted by name."""
        files = dict[str, JobFile]()
        for path in self._paths():
            name = self._name_of(path)
            while name in files:  # of another folder, whose name reads alike in an address
                name += "~"
            known = self._files.get(name)
            if known is None or known.path != path:
                known = JobFile(path, name, self.store, [self.shop_seen_from(path)])
            files[name] = known
        self._files = files
        return [files[name] for name in sorted(files, key=str.casefold)]

    def shop_path(self) -> Path:
        """File that the jobs share: the catalog that most of them name, or where one would be started."""
        named = [path for job in self.jobs() for path in catalog_paths(job) if path.is_relative_to(self.folder)]
        return max(named, key=named.count, default=self.folder / SHOP)

    def shop_seen_from(self, job: Path, shop: Path | None = None) -> str:
        """Name of the shop's file in a job file."""
        return Path(os.path.relpath(shop or self.folder / SHOP, job.parent)).as_posix()

    def job(self, name: str) -> JobFile:
        """Job file of this name. Raises KeyError."""
        if name not in self._files or not self._files[name].path.exists():  # a folder renamed beside the page
            self.jobs()
        return self._files[name]

    def add(self, title: str, content: bytes, beside: Mapping[str, bytes] | None = None) -> JobFile:
        """Write a new job file in its own folder, with the files beside it. Raises OSError."""
        folder = self._new_folder(title)
        for name, file_content in (beside or {}).items():
            write_new(folder / name, file_content)
        write_new(folder / "job.toml", content)
        return self.job(self._name_of(folder / "job.toml"))

    def like(self, name: str) -> tuple[list[Edit], dict[str, bytes]]:
        """Edits that give a new job the shop, prices and mixes of another, and the files that these name.

        Raises KeyError, OSError.
        """
        job = self.job(name)
        table, folder = job.table, job.path.parent
        head = table.get("job", {})
        edits = [Edit("set", ("job", key), head[key]) for key in HEAD_OF_SHOP if key in head]
        for section in OF_SHOP:
            value = table.get(section)
            if section == "price" and isinstance(value, dict):
                value = {key: part for key, part in value.items() if key not in ("agreed", "received", "adjustment")}
            if value:
                edits.append(Edit("set", (section,), value))
        own = {key: table.get(key) for key in OF_SHOP} | {"catalog": head.get("catalog")}
        named = dict.fromkeys(_files_named(own))
        plain = [name for name in named if Path(name).name == name and (folder / name).is_file()]
        return edits, {name: read_bytes(folder / name) for name in plain}

    def newest(self) -> str:
        """Name of the job that was changed last and names the shop; "" if none does."""
        known = [job for job in self.jobs() if isinstance(own := job.table.get("business"), dict) and own.get("name")]
        return max(known, key=lambda job: job.path.stat().st_mtime_ns).name if known else ""

    def copy(self, name: str, title: str, edits: Sequence[Edit] = ()) -> JobFile:
        """Copy a job with the files beside it, under another title and with edits. Raises KeyError, OSError."""
        job = self.job(name)
        folder = self._new_folder(title)
        records = records_path(job.path)  # not copied: they belong to the job that was cast
        for beside in (path for path in _beside(job.path) if path != records):
            write_new(folder / beside.name, read_bytes(beside))
        head = Edit("set", ("job", "name"), title)
        write_new(folder / job.path.name, edited(job.kept().content, [head, *edits]))
        return self.job(self._name_of(folder / job.path.name))

    def archive(self, name: str) -> None:
        """Archive a job's folder, or only its file if that is in the shop's own folder. Raises KeyError, OSError."""
        job = self.job(name)
        archive = self.folder / ARCHIVE
        archive.mkdir(exist_ok=True)
        source = job.path if job.path.parent == self.folder else job.path.parent
        self._move(job.path, source, _free(archive / source.name))
        self._files.pop(name, None)

    def archived(self) -> list[tuple[str, str]]:
        """Archived jobs, each with its folder or file in the archive, and its title."""
        archive, found = self.folder / ARCHIVE, list[tuple[str, str]]()
        for path in self._paths(archive) if archive.is_dir() else ():
            head = table_of(read_bytes(path)).get("job", {})
            place = path if path.parent == archive else path.parent
            found.append((place.name, str(head.get("name", place.name)) if isinstance(head, dict) else place.name))
        return sorted(dict.fromkeys(found), key=lambda entry: entry[1].casefold())

    def bring_back(self, place: str) -> None:
        """Bring an archived job back by its folder or file in the archive. Raises KeyError, OSError."""
        if place not in {name for name, _ in self.archived()}:
            raise KeyError(place)
        source = self.folder / ARCHIVE / place
        target = _free(self.folder / place)
        for old in [path for path in self._paths(self.folder / ARCHIVE) if path == source or path.parent == source]:
            self._move(old, source, target) if source.exists() else self._rename(old, source, target)

    def _move(self, old: Path, source: Path, target: Path) -> None:
        """Move the folder or file of a job file `old`, with what the store knows of it."""
        source.rename(target)
        self._rename(old, source, target)

    def _rename(self, old: Path, source: Path, target: Path) -> None:
        if self.store is not None:
            new = target if source == old else target / old.name
            self.store.rename(old.relative_to(self.folder).as_posix(), new.relative_to(self.folder).as_posix())

    def _paths(self, below: Path | None = None) -> list[Path]:
        """Job files of the folder, or of its archive."""
        paths, top = [], below or self.folder
        for depth in range(DEEPEST):
            for path in top.glob("*/" * depth + "*.toml"):
                inside = path.relative_to(top)
                hidden = any(part.startswith(".") for part in inside.parts) or (
                    not below and inside.parts[0] == ARCHIVE
                )
                if not hidden and path.is_file() and path.resolve().is_relative_to(top.resolve()) and _is_job(path):
                    paths.append(path)
        return paths

    def _name_of(self, path: Path) -> str:
        """Name in addresses, from folder and stem; from the folder alone for a file named job.toml."""
        inside = path.relative_to(self.folder)
        parts = [*inside.parts[:-1], inside.stem]
        name = "~".join(parts[:-1] if len(parts) > 1 and inside.stem == "job" else parts)
        return OF_ADDRESSES.sub(lambda sign: f"~{ord(sign[0]):02x}", name)

    def _new_folder(self, title: str) -> Path:
        letters = "".join(letter if letter.isalnum() else "-" for letter in title.casefold())
        name = "-".join(filter(None, letters.split("-")))[:60]
        folder = _free(self.folder / (f"job-{name}" if name == ARCHIVE else name or "job"))
        folder.mkdir()
        return folder


def catalog_paths(job: JobFile) -> list[Path]:
    """Catalogs that a job names, resolved."""
    return [(job.path.parent / name).resolve() for name in catalogs_of(job.table)]


def differs(path: Path, content: bytes) -> bool:
    """Whether something else than this content has a file's name."""
    return path.exists() and (not path.is_file() or read_bytes(path) != content)


def value_at(table: Any, at: KeyPath) -> Any:
    """Value at a path of a job file, or None."""
    try:
        return reduce(lambda part, key: part[key], at, table)
    except (KeyError, IndexError, TypeError):
        return None


def _change(edit: Edit, table: dict[str, Any]) -> tuple[str, str, str]:
    """Key, old value and new value of an edit, as text; of a move the old and the new place, counted from 1."""
    if edit.kind == "move":
        return "/".join(map(str, (*edit.at[:-1], edit.value))), str(int(edit.at[-1]) + 1), str(edit.value + 1)
    was = "" if edit.kind == "add" else written(value_at(table, edit.at))
    return "/".join(map(str, edit.at)), was, written(edit.value)


def written(value: Any) -> str:
    """Value as text; of a table or a list its parts, one on each line."""
    if isinstance(value, dict):
        return "\n".join(f"{key}: {written(part)}" for key, part in value.items())
    if isinstance(value, list):
        return "\n".join(map(written, value))
    return "" if value is None else str(value)


FILE_KEYS = frozenset({"catalog", "coupons", "file", "font", "font_bold", "logo", "stock_file"})
"""Keys whose values name files."""


def _files_named(value: Any) -> Iterator[str]:
    """Yield the names of files in a job file, as its owner wrote them."""
    if isinstance(value, list):
        for part in value:
            yield from _files_named(part)
    elif isinstance(value, dict):
        for key, part in value.items():
            if key in FILE_KEYS:
                yield from (name for name in (part if isinstance(part, list) else [part]) if isinstance(name, str))
            if not isinstance(part, str):
                yield from _files_named(part)


def _as_edited(content: bytes, path: Path, before: dict[str, Any], table: dict[str, Any] | None = None) -> Kept:
    """State of a job file that a browser has edited, which may name no other file outside its folder than before."""
    with kept_inside(_files_named(before)):
        return _estimated(content, path, table)


def _estimated(content: bytes, path: Path, table: dict[str, Any] | None = None) -> Kept:
    """State of a job file with its estimate, or with the faults that prevent it.

    table   data of the file, if already parsed
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
def table_of(content: bytes) -> dict[str, Any]:
    """Job file content as a table, not to be changed; empty for content that is not TOML."""
    try:
        return tomllib.loads(content.decode("utf-8-sig"))
    except (UnicodeDecodeError, tomllib.TOMLDecodeError):
        return {}


def _state_of(job: Path) -> tuple[tuple[str, int, int], ...]:
    """Name, size and time of the files beside a job, because drawings, schedules and catalogs affect its estimate."""
    stats = [(path.name, path.stat()) for path in _beside(job)]
    return tuple((name, stat.st_size, stat.st_mtime_ns) for name, stat in stats)


def _state_of_catalogs(job: Path, table: Mapping[str, Any]) -> tuple[tuple[str, int, int], ...]:
    """Name, size and time of the catalogs of a job, which may lie outside its folder."""
    paths = [job.parent / name for name in catalogs_of(table)]
    stats = [(str(path), path.stat()) for path in paths if path.is_file()]
    return tuple((name, stat.st_size, stat.st_mtime_ns) for name, stat in stats)


def catalogs_of(table: Mapping[str, Any]) -> list[str]:
    """Names of the catalogs of a job, as its owner wrote them."""
    head = table.get("job")
    named = head.get("catalog") if isinstance(head, Mapping) else None
    return [name for name in (named if isinstance(named, list) else [named]) if isinstance(name, str)]


def _beside(job: Path) -> list[Path]:
    """Files in the folder of a job file that are not job files."""
    others = (path for path in job.parent.iterdir() if path != job and path.name[0] != "." and path.is_file())
    return sorted(path for path in others if not _is_job(path))


def _is_job(path: Path) -> bool:
    """Whether a file is a job file, not a drawing, a catalog or a stock list."""
    if path.suffix != ".toml":
        return False
    stat = path.stat()
    return _held_a_job(path, stat.st_size, stat.st_mtime_ns)


@lru_cache(maxsize=4096)
def _held_a_job(path: Path, _size: int, _time_ns: int) -> bool:
    """Whether a TOML file of this size and time is a job file. Cached, because every request checks many files."""
    try:
        table = tomllib.loads(read_bytes(path).decode("utf-8-sig"))
    except (OSError, UnicodeDecodeError, FaultError):
        return False
    except tomllib.TOMLDecodeError:
        return path.stem == "job"
    return "job" in table


def _free(path: Path) -> Path:
    """The path if it is free, else the first free path with a number added."""
    number, free = 2, path
    while free.exists():
        number, free = number + 1, path.with_name(f"{path.name}-{number}")
    return free


def sound(content: bytes, path: Path, like: JobFile | None = None, shared: Sequence[str] = ()) -> Estimate:
    """Estimate of job file content as if it was at `path`. Raises InputError with its faults.

    like    job whose files outside its folder it may name too, as it does those of the file at `path`
    shared  names of further files outside its folder that it may name
    """
    before = like.table if like is not None else table_of(read_bytes(path)) if path.is_file() else {}
    kept = _as_edited(content, path, {"job": before, "catalog": list(shared)})
    if kept.estimate is None:
        raise InputError(kept.faults)
    return kept.estimate
