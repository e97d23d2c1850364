"""The only module that opens files for reading: a path or bytes in, bounded bytes or a stream out."""

from __future__ import annotations

import json
import os
import stat
from collections import Counter
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import field
from importlib import resources
from io import BytesIO, FileIO
from math import ceil
from pathlib import Path
from typing import Any
from zipfile import ZipFile

from geometry.errors import FaultError
from geometry.frozen import frozen
from geometry.message import Value, message
from geometry.numbers import decimal_number


@frozen
class Limits:
    """Limits on one input file. A shop's catalog and the command line may set each of them by name.

    file_mb         size of a file that is read into memory
    stream_mb       size of a file that is streamed
    unpacked_mb     unpacked size of all members of an archive together
    unpacked_ratio  unpacked size over archive size; the first 16 MB are exempt
    apart_mb        size from which libraries read a file in a child process, of a workbook the unpacked size; 0 for a
                    child process in every case
    memory_mb       memory of such a child; more for a large file, see `memory_of`
    seconds         CPU time of such a child; more for a large file, see `seconds_of`
    answer_mb       size of the child's answer
    rows, columns   size of a table
    cells           cells of a sheet, blank ones included, and tags in the other parts of a workbook (styles, strings)
    sheets          sheets of a workbook
    parts           parts placed in a drawing or a model, copies counted
    facets          facets of a mesh that is read into memory
    copies          facets of parts placed again, beside those that the file itself lists
    levels          nesting depth of blocks or groups
    count           any count in a job file: pieces of a mark, packages on a pallet
    """

    file_mb: float = 300
    stream_mb: float = 64_000
    unpacked_mb: float = 1_000
    unpacked_ratio: int = 100
    apart_mb: float = 20
    memory_mb: int = 1_500
    seconds: int = 20
    answer_mb: int = 1_000
    rows: int = 100_000
    columns: int = 200
    cells: int = 5_000_000
    sheets: int = 1_000
    parts: int = 100_000
    facets: int = 20_000_000
    copies: int = 2_000_000
    levels: int = 64
    count: int = 100_000

    def unpacked_of(self, size: int) -> int:
        """Unpacked size allowed for an archive of `size` bytes, bytes."""
        return int(min(self.unpacked_mb * MB, max(FREE_MB * MB, self.unpacked_ratio * size)))

    def memory_of(self, size: int) -> int:
        """Memory allowed for a child that reads `size` bytes, bytes: parsers take up to 40 bytes per byte of input."""
        return int(self.memory_mb * MB) + 40 * size

    def seconds_of(self, size: int) -> float:
        """CPU time allowed for a child that reads `size` bytes, s: one second more per MB."""
        return self.seconds + size / MB

    def over(self, id: str, name: str, found: float, **values: Value) -> FaultError:
        """FaultError for input that exceeds the limit `name`.

        id      message that states the amount found and the limit; its fix names the option that raises the limit
        found   amount found, as far as it was counted
        values  further values of the message
        """
        step = 10 ** (len(str(ceil(found))) - 1)
        option = f"--limit {name}={min(ceil(found / step) * step, MOST_OF_ANY)}"
        most = getattr(self, name)
        return FaultError(
            "",
            message(
                id,
                found=f"{found:{',.0f' if 100 <= found < 1e15 else '.6g'}}",
                most=f"{most:,}",
                option=option,
                **values,
            ),
        )


MB = 1e6
MOST_OF_ANY = 10**9  # largest value of any limit
FREE_MB = 16

_IN_FORCE: ContextVar[Limits] = ContextVar("limits", default=Limits())  # noqa: B039  immutable


def limits() -> Limits:
    """The current limits."""
    return _IN_FORCE.get()


@contextmanager
def held_to(most: Limits) -> Iterator[None]:
    """Apply other limits within a `with` block."""
    before = _IN_FORCE.set(most)
    try:
        yield
    finally:
        _IN_FORCE.reset(before)


def read_bytes(path: Path) -> bytes:
    """Read a whole file.

    Raises OSError from the system, and FaultError for a file over the limit, one that is written while it is read, a
    pipe or a device.
    """
    _refuse_special(path)
    most = int(limits().file_mb * MB)
    with path.open("rb") as stream:
        before = _state(os.fstat(stream.fileno()))
        content = stream.read(most + 1)
        after = _state(os.fstat(stream.fileno()))
        if len(content) > most:
            raise limits().over("file-too-large", "file_mb", max(after[0], most + 1) / MB)
        if after != before:
            raise FaultError("", message("file-changed"))
    return content


State = tuple[int, int, int]
"""Size, time of the last change in ns, and number of a file: what another program's writing changes."""


def _state(status: os.stat_result) -> State:
    return status.st_size, status.st_mtime_ns, status.st_ino


class _AsOpened(FileIO):
    """A file that ends where it ended when it was opened: one that grows as fast as it is read would never end."""

    def __init__(self, path: Path) -> None:
        super().__init__(path, "rb")
        self._end = os.fstat(self.fileno()).st_size

    def read(self, size: int | None = -1, /) -> bytes | None:  # type: ignore[override]
        left = max(0, self._end - self.tell())
        return super().read(left if size is None or size < 0 else min(size, left))

    def readinto(self, buffer: Any, /) -> int | None:
        return super().readinto(memoryview(buffer)[: max(0, self._end - self.tell())])


MOST_NAME = 255
"""Bytes in one component of a path: the limit of most file systems."""

MOST_PATH = 4096


_OUTSIDE: ContextVar[set[str] | None] = ContextVar("outside", default=None)


@contextmanager
def kept_inside(known: Iterable[str] = ()) -> Iterator[None]:
    """Refuse names of files that leave their folder within a `with` block: of a job file that a browser has edited.

    known   names that may
    """
    before = _OUTSIDE.set(set(known))
    try:
        yield
    finally:
        _OUTSIDE.reset(before)


def known_outside(name: str) -> str:
    """A name that a file of the shop gives, which may leave the folder of the job."""
    known = _OUTSIDE.get()
    if known is not None:
        known.add(name)
    return name


def named_file(folder: Path, name: str) -> Path:
    """Path of a file named in a file in `folder`.

    Raises FaultError for an impossible or missing file name, for anything but a regular file, and for a link in the
    folder that leads out of it. A path that visibly leaves the folder ("..", or from the root) is allowed, but not
    within `kept_inside`.
    """
    parts = name.replace("\\", "/").split("/")
    if (
        "\0" in name
        or len(name.encode(errors="replace")) > MOST_PATH
        or any(len(part.encode(errors="replace")) > MOST_NAME for part in parts)
    ):
        raise FaultError("", message("file-name-impossible", name=shortened(name)))
    path, home = folder / name, os.path.realpath(folder)
    plain, known = os.path.normpath(os.path.join(home, name)), _OUTSIDE.get()
    if not _lies_in(plain, home) and known is not None and name not in known:
        raise FaultError("", message("file-leaves", name=shortened(name)))
    try:
        special = path.exists() and not path.is_file()
        exists = path.is_file()
    except OSError:
        special = exists = False
    if special:
        raise FaultError("", message("file-not-plain", name=shortened(name)))
    if not exists:
        raise FaultError("", message("file-none", name=shortened(name)))
    if _lies_in(plain, home) and not _lies_in(os.path.realpath(path), home):
        raise FaultError("", message("file-link-leaves", name=shortened(name)))
    return path


def shortened(name: str) -> str:
    """A name fit to be quoted in a message: truncated, and without unprintable characters."""
    printable = "".join(character if character.isprintable() else "?" for character in name)
    return printable if len(printable) <= MOST_QUOTED else f"{printable[:MOST_QUOTED]}..."


MOST_QUOTED = 120


def _lies_in(path: str, folder: str) -> bool:
    return path == folder or path.startswith(folder.rstrip(os.sep) + os.sep)


def _refuse_special(path: Path) -> None:
    """Raise FaultError for a pipe, a device or a socket: reading one might never end."""
    mode = path.stat().st_mode
    if not stat.S_ISREG(mode) and not stat.S_ISDIR(mode):
        raise FaultError("", message("file-special"))


def packaged(package: str, name: str) -> bytes:
    """Contents of a file that ships with the program: a catalog, a font, a starter job."""
    return resources.files(package).joinpath(name).read_bytes()


def packaged_names(package: str, folder: str) -> list[str]:
    """Sorted names of the files in a folder that ships with the program."""
    return sorted(entry.name for entry in resources.files(package).joinpath(folder).iterdir() if entry.is_file())


@frozen
class Paper:
    """Scale and page of a drawing on paper.

    scale   true length over length on the page; None if unknown
    page    page number, from 1; None for the only page
    """

    scale: float | None = None
    page: int | None = None


@frozen
class InputFile:
    """A drawing, mesh or table to be read, given by its path or its contents.

    name    file name without folder; its suffix determines the format
    source  path or contents
    """

    name: str
    source: Path | bytes
    limits: Limits = field(default_factory=limits)
    paper: Paper | None = None  # of a drawing on paper, which has no true size of its own

    @property
    def suffix(self) -> str:
        return Path(self.name).suffix.lower()

    @property
    def size(self) -> int:
        """Size in bytes. Raises FaultError for a missing or empty file, or a folder."""
        if isinstance(self.source, bytes):
            size = len(self.source)
        else:
            if not self.source.is_file():
                raise FaultError("", message("file-is-folder" if self.source.exists() else "file-missing"))
            size = self.source.stat().st_size
        if size == 0:
            raise FaultError("", message("file-empty"))
        return size

    @property
    def state(self) -> State | None:
        """State of the file on disk; None for contents, or for a file that is not there."""
        try:
            return None if isinstance(self.source, bytes) else _state(self.source.stat())
        except OSError:
            return None

    @contextmanager
    def unchanged(self, since: State | None = None) -> Iterator[None]:
        """Raise FaultError if the file is written within the `with` block, or since that state: no two reads agree."""
        before = since or self.state
        try:
            yield
        except Exception as error:
            if self.state != before:
                raise FaultError("", message("file-changed")) from error
            raise
        if self.state != before:
            raise FaultError("", message("file-changed"))

    def stream(self) -> FileIO | BytesIO:
        """Open the file, unbuffered. Raises FaultError if it cannot be opened or is too large."""
        if self.size > self.limits.stream_mb * MB:
            raise self.limits.over("file-too-large", "stream_mb", self.size / MB)
        if isinstance(self.source, bytes):
            return BytesIO(self.source)
        try:
            return _AsOpened(self.source)
        except OSError as error:
            raise _unopened(error) from error

    def read(self) -> bytes:
        """Read the whole file. Raises FaultError if it cannot be opened or is too large."""
        if self.size > self.limits.file_mb * MB:
            raise self.limits.over("file-too-large", "file_mb", self.size / MB)
        if isinstance(self.source, bytes):
            return self.source
        try:
            return read_bytes(self.source)
        except OSError as error:
            raise _unopened(error) from error

    def text(self) -> str:
        """Read the whole file as UTF-8 text. Raises FaultError if it is not text."""
        try:
            return self.read().decode("utf-8-sig")
        except UnicodeDecodeError as error:
            raise FaultError("", message("file-not-text")) from error

    def table_text(self) -> tuple[str, bool]:
        """Read the whole file as the text of a table; also whether its encoding was guessed, see `decoded`."""
        return decoded(self.read())

    def archive(self) -> Archive:
        """Open the file as a ZIP archive. Raises FaultError if it is not one."""
        content = self.read()
        with parsing("ZIP"):
            return Archive(ZipFile(BytesIO(content)), self.limits, len(content))


class Archive:
    """A ZIP archive whose members are unpacked up to a limit. Raises FaultError for two members of one name."""

    def __init__(self, archive: ZipFile, limits: Limits, size: int) -> None:
        self.names = tuple(archive.namelist())
        folded = Counter(name.lstrip("/").lower() for name in self.names)  # as the formats compare them
        if len(folded) < len(self.names):
            raise FaultError("", message("file-part-twice", name=shortened(folded.most_common(1)[0][0])))
        self._archive, self._limits, self._size = archive, limits, size
        self._most = self._left = limits.unpacked_of(size)

    @property
    def stated_size(self) -> int:
        """Unpacked size of all members as the archive states it, bytes. What is read of a member is never more."""
        return sum(part.file_size for part in self._archive.infolist())

    def read(self, name: str) -> bytes:
        """Unpack one member. Raises FaultError if it is damaged, or once the total unpacked exceeds the limit."""
        with parsing("ZIP"), self._archive.open(name) as part:
            content = part.read(self._left + 1)
        self._left -= len(content)
        if self._left < 0:
            raise self._too_large()
        return content

    def _too_large(self) -> FaultError:
        """FaultError that states the declared unpacked size, or more than the limit if that size is understated."""
        size = max(self.stated_size, self._most + 1)
        if self._most < self._limits.unpacked_mb * MB:
            return self._limits.over("file-unpacks-to-many-times", "unpacked_ratio", size / self._size)
        return self._limits.over("file-unpacks-too-large", "unpacked_mb", size / MB)


UTF_16 = (b"\xff\xfe", b"\xfe\xff")
"""Byte order marks of UTF-16."""


def decoded(content: bytes) -> tuple[str, bool]:
    """Decode the text of a table; also return whether its encoding was guessed.

    UTF-16 is recognized by its byte order mark, UTF-8 by being valid. Anything else is guessed to be Windows-1252, the
    encoding of older spreadsheets. Raises FaultError for bytes that are not text.
    """
    guess = False
    try:
        if content.startswith(UTF_16):
            text = content.decode("utf-16")
        else:
            try:
                text = content.decode("utf-8-sig")
            except UnicodeDecodeError:
                text, guess = content.decode("cp1252"), True
    except UnicodeDecodeError as error:
        raise FaultError("", message("file-not-text")) from error
    if "\0" in text:
        raise FaultError("", message("file-not-text"))
    return text, guess


def parsed_json(text: str) -> Any:
    """Parse a JSON text. Raises ValueError for a duplicate key, since it is unclear which of the two counts, and for
    NaN and infinity, which JSON does not have.
    """
    return json.loads(text, object_pairs_hook=_object, parse_constant=decimal_number, parse_float=decimal_number)


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        twice = Counter(key for key, _ in pairs).most_common(1)[0][0]
        raise ValueError(f'the key "{shortened(twice)}" stands twice')
    return found


@contextmanager
def parsing(kind: str) -> Iterator[None]:
    """Convert any exception of a third-party parser to a FaultError of one line.

    kind  common name of the file format

    Put only library calls inside, so that bugs in this package are not reported as faults of the input.
    """
    try:
        yield
    except FaultError:
        raise
    except RecursionError as error:
        raise FaultError("", message("file-too-deep", kind=kind)) from error
    except MemoryError as error:
        raise FaultError("", message("file-too-much", kind=kind)) from error
    except Exception as error:  # parsers raise exceptions of any type
        detail = " ".join(str(error).split())[:120].rstrip(".")
        reason = f"{type(error).__name__}: {detail}" if detail else type(error).__name__
        raise FaultError("", message("file-damaged", kind=kind, reason=reason)) from error


def input_file(source: str | Path | InputFile) -> InputFile:
    """Wrap a path in an `InputFile`; return an `InputFile` unchanged."""
    return source if isinstance(source, InputFile) else InputFile(Path(source).name, Path(source))


def _unopened(error: OSError) -> FaultError:
    return FaultError("", message("file-not-opened", reason=(error.strerror or str(error)).lower()))
