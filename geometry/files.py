"""The one place that opens files to read them: a path or bytes in, bounded bytes or a stream out."""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import field
from importlib import resources
from io import BytesIO, FileIO
from math import ceil
from pathlib import Path
from zipfile import ZipFile

from geometry.errors import FaultError
from geometry.frozen import frozen
from geometry.message import Value, message


@frozen
class Limits:
    """How much is read of one file. A shop's catalog and the command line may set each by its name.

    file_mb         of a file that is held whole
    stream_mb       of a file that streams by
    unpacked_mb     of all parts of an archive together
    unpacked_ratio  of the unpacked bytes to those of the archive; the first 16 MB are free
    apart_mb        from this size on a library reads a file in a process of its own; 0: our own code too, always
    memory_mb       that such a process may take; for a large file more, see `memory_of`
    seconds         of processor time that it may take; for a large file more, see `seconds_of`
    answer_mb       that it may hand back
    rows, columns   of a table
    cells           of a sheet, blank ones too, and tags in the rest of a workbook: its styles and shared texts
    parts           placed in a drawing or a model, copies counted
    facets          of a mesh that is held whole
    levels          of blocks in blocks, groups in groups
    count           of anything that a job file counts: pieces of a mark, packages on a pallet
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
    parts: int = 100_000
    facets: int = 20_000_000
    levels: int = 64
    count: int = 100_000

    def unpacked_of(self, size: int) -> int:
        """Bytes that an archive of `size` bytes may hold."""
        return int(min(self.unpacked_mb * MB, max(FREE_MB * MB, self.unpacked_ratio * size)))

    def memory_of(self, size: int) -> int:
        """Bytes that a process of its own may take for a file of `size` bytes: a parser takes up to 40 for each."""
        return int(self.memory_mb * MB) + 40 * size

    def seconds_of(self, size: int) -> float:
        """Processor time that it may take: one second more for each MB."""
        return self.seconds + size / MB

    def over(self, id: str, name: str, found: float, **values: Value) -> FaultError:
        """The refusal of what exceeds the limit `name`.

        id      of a message that says what was found and the most that is taken; its fix names the option
        found   as far as it was counted
        values  further ones of the message
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
MOST_OF_ANY = 10**9  # that a limit may be raised to
FREE_MB = 16

_IN_FORCE: ContextVar[Limits] = ContextVar("limits", default=Limits())  # noqa: B039  it does not change


def limits() -> Limits:
    """The limits in force."""
    return _IN_FORCE.get()


@contextmanager
def held_to(most: Limits) -> Iterator[None]:
    """Hold what is read meanwhile to other limits."""
    before = _IN_FORCE.set(most)
    try:
        yield
    finally:
        _IN_FORCE.reset(before)


def read_bytes(path: Path) -> bytes:
    """The bytes of a file.

    Raises OSError as the system does, and FaultError for a file over the limit, a pipe and a device.
    """
    _refuse_special(path)
    most = int(limits().file_mb * MB)
    with path.open("rb") as stream:
        content = stream.read(most + 1)
        if len(content) > most:
            size = max(os.fstat(stream.fileno()).st_size, most + 1)
            raise limits().over("file-too-large", "file_mb", size / MB)
    return content


MOST_NAME = 255
"""Bytes in a part of a path; most file systems hold no longer one."""

MOST_PATH = 4096


def named_file(folder: Path, name: str) -> Path:
    """The path of a file that a file in `folder` names.

    Raises FaultError for a name that no file can have, for what is no plain file, and for a link in the folder that
    leads out of it. A path that leaves the folder by itself is plain to see, and allowed.
    """
    parts = name.replace("\\", "/").split("/")
    if (
        "\0" in name
        or len(name.encode(errors="replace")) > MOST_PATH
        or any(len(part.encode(errors="replace")) > MOST_NAME for part in parts)
    ):
        raise FaultError("", message("file-name-impossible", name=shortened(name)))
    path = folder / name
    try:
        special = path.exists() and not path.is_file()
        there = path.is_file()
    except OSError:
        special = there = False
    if special:
        raise FaultError("", message("file-not-plain", name=shortened(name)))
    if not there:
        raise FaultError("", message("file-none", name=shortened(name)))
    home = os.path.realpath(folder)
    plain, real = os.path.normpath(os.path.join(home, name)), os.path.realpath(path)
    if _lies_in(plain, home) and not _lies_in(real, home):
        raise FaultError("", message("file-link-leaves", name=shortened(name)))
    return path


def shortened(name: str) -> str:
    """A name as a message can quote it: without signs that do not print, and not at any length."""
    shown = "".join(sign if sign.isprintable() else "?" for sign in name)
    return shown if len(shown) <= MOST_QUOTED else f"{shown[:MOST_QUOTED]}..."


MOST_QUOTED = 120


def _lies_in(path: str, folder: str) -> bool:
    return path == folder or path.startswith(folder.rstrip(os.sep) + os.sep)


def _refuse_special(path: Path) -> None:
    """Raise FaultError for a pipe, a device or a socket, which may never end."""
    mode = path.stat().st_mode
    if not stat.S_ISREG(mode) and not stat.S_ISDIR(mode):
        raise FaultError("", message("file-special"))


def packaged(package: str, name: str) -> bytes:
    """The bytes of a file that comes with the program: a catalog, a font, a starter."""
    return resources.files(package).joinpath(name).read_bytes()


def packaged_names(package: str, folder: str) -> list[str]:
    """Names of the files in a folder that comes with the program, sorted."""
    return sorted(entry.name for entry in resources.files(package).joinpath(folder).iterdir() if entry.is_file())


@frozen
class Paper:
    """How a drawing lies on paper.

    scale   true lengths over those on the page; None where it is not known
    page    its number, from 1; None for the only one
    """

    scale: float | None = None
    page: int | None = None


@frozen
class InputFile:
    """A drawing or a mesh to be read, by its path or by its bytes.

    name    without its folder; its suffix tells the kind
    source  where it lies, or what it holds
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
        """Length in bytes. Raises FaultError for a file that is not there, no file, or empty."""
        if isinstance(self.source, bytes):
            size = len(self.source)
        else:
            if not self.source.is_file():
                raise FaultError("", message("file-is-folder" if self.source.exists() else "file-missing"))
            size = self.source.stat().st_size
        if size == 0:
            raise FaultError("", message("file-empty"))
        return size

    def stream(self) -> FileIO | BytesIO:
        """The file from its start, unbuffered. Raises FaultError where it cannot be opened or is too long."""
        if self.size > self.limits.stream_mb * MB:
            raise self.limits.over("file-too-large", "stream_mb", self.size / MB)
        if isinstance(self.source, bytes):
            return BytesIO(self.source)
        try:
            return self.source.open("rb", buffering=0)
        except OSError as error:
            raise _unopened(error) from error

    def read(self) -> bytes:
        """The whole file. Raises FaultError where it cannot be opened or is too long."""
        if self.size > self.limits.file_mb * MB:
            raise self.limits.over("file-too-large", "file_mb", self.size / MB)
        if isinstance(self.source, bytes):
            return self.source
        try:
            return read_bytes(self.source)
        except OSError as error:
            raise _unopened(error) from error

    def text(self) -> str:
        """The whole file as text. Raises FaultError where it is none."""
        try:
            return self.read().decode("utf-8-sig")
        except UnicodeDecodeError as error:
            raise FaultError("", message("file-not-text")) from error

    def table_text(self) -> tuple[str, bool]:
        """The whole file as a table's text, and whether its encoding was a guess: see `decoded`."""
        return decoded(self.read())

    def archive(self) -> Archive:
        """The file as a ZIP archive. Raises FaultError where it is none."""
        content = self.read()
        with parsing("ZIP"):
            return Archive(ZipFile(BytesIO(content)), self.limits, len(content))


class Archive:
    """A ZIP archive whose parts are read up to a limit."""

    def __init__(self, archive: ZipFile, limits: Limits, size: int) -> None:
        self.names = tuple(archive.namelist())
        self._archive, self._limits, self._size = archive, limits, size
        self._most = self._left = limits.unpacked_of(size)

    def read(self, name: str) -> bytes:
        """One part. Raises FaultError for a damaged one, and once all that was read exceeds the limit."""
        with parsing("ZIP"), self._archive.open(name) as part:
            content = part.read(self._left + 1)
        self._left -= len(content)
        if self._left < 0:
            raise self._too_large()
        return content

    def _too_large(self) -> FaultError:
        """The refusal by what its parts say that they hold, or more where they say less than there is."""
        told = max(sum(part.file_size for part in self._archive.infolist()), self._most + 1)
        if self._most < self._limits.unpacked_mb * MB:
            return self._limits.over("file-unpacks-to-many-times", "unpacked_ratio", told / self._size)
        return self._limits.over("file-unpacks-too-large", "unpacked_mb", told / MB)


UTF_16 = (b"\xff\xfe", b"\xfe\xff")
"""Marks at the head of a text in UTF-16."""


def decoded(content: bytes) -> tuple[str, bool]:
    """Text of a table, and whether its encoding was a guess.

    UTF-16 is known by its mark and UTF-8 by its rules; what is neither is taken as Windows-1252, in which older
    spreadsheets save, and is a guess. Raises FaultError for bytes that are no text.
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


@contextmanager
def parsing(kind: str) -> Iterator[None]:
    """Turn whatever a parser of foreign files throws into a FaultError of one line.

    kind  of file, as its users call it

    Only calls of a library belong inside: a fault of this package's own code must stay one.
    """
    try:
        yield
    except FaultError:
        raise
    except RecursionError as error:
        raise FaultError("", message("file-too-deep", kind=kind)) from error
    except MemoryError as error:
        raise FaultError("", message("file-too-much", kind=kind)) from error
    except Exception as error:  # parsers raise whatever they meet
        said = " ".join(str(error).split())[:120].rstrip(".")
        reason = f"{type(error).__name__}: {said}" if said else type(error).__name__
        raise FaultError("", message("file-damaged", kind=kind, reason=reason)) from error


def input_file(source: str | Path | InputFile) -> InputFile:
    """The `InputFile` of a path, or the one given."""
    return source if isinstance(source, InputFile) else InputFile(Path(source).name, Path(source))


def _unopened(error: OSError) -> FaultError:
    return FaultError("", message("file-not-opened", reason=(error.strerror or str(error)).lower()))
