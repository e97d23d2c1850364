"""The one place that opens files to read them: a path or bytes in, bounded bytes or a stream out."""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator
from contextlib import contextmanager
from importlib import resources
from io import BytesIO, FileIO
from pathlib import Path
from zipfile import ZipFile

from geometry.errors import FaultError
from geometry.frozen import frozen
from geometry.message import message


@frozen
class Limits:
    """How much is read of one file.

    whole_bytes     of a file that is held whole
    stream_bytes    of a file that streams by
    unpacked_bytes  of all parts of an archive together
    ratio           of the unpacked bytes to those of the archive; the first `small_bytes` are free
    apart_bytes     from this size on a library reads a file in a process of its own; 0: our own code too, always
    apart_memory    bytes that such a process may take, and `apart_memory_share` times the file's size more
    apart_seconds   of processor time that it may take, and `apart_seconds_mb` more for each MB of the file
    answer_bytes    that it may hand back
    """

    whole_bytes: int = 1 << 30
    stream_bytes: int = 1 << 36
    unpacked_bytes: int = 1 << 30
    ratio: int = 100
    small_bytes: int = 1 << 24
    apart_bytes: int = 20_000_000
    apart_memory: int = 1536 << 20
    apart_memory_share: int = 40
    apart_seconds: float = 20.0
    apart_seconds_mb: float = 1.0
    answer_bytes: int = 1 << 30

    def unpacked(self, packed: int) -> int:
        """How many bytes an archive of `packed` bytes may hold."""
        return min(self.unpacked_bytes, max(self.small_bytes, self.ratio * packed))

    def apart_memory_of(self, size: int) -> int:
        """Bytes that a process of its own may take for a file of `size` bytes."""
        return self.apart_memory + self.apart_memory_share * size

    def apart_seconds_of(self, size: int) -> float:
        """Processor time that it may take."""
        return self.apart_seconds + self.apart_seconds_mb * size / 1e6


LIMITS = Limits()


def read_bytes(path: Path, most: int = LIMITS.whole_bytes) -> bytes:
    """The bytes of a file.

    Raises OSError as the system does, and FaultError for a file of more than `most`, a pipe and a device.
    """
    _refuse_special(path)
    with path.open("rb") as stream:
        content = stream.read(most + 1)
    _refuse_large(len(content), most)
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
class InputFile:
    """A drawing or a mesh to be read, by its path or by its bytes.

    name    without its folder; its suffix tells the kind
    source  where it lies, or what it holds
    """

    name: str
    source: Path | bytes
    limits: Limits = LIMITS

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
        _refuse_large(self.size, self.limits.stream_bytes)
        if isinstance(self.source, bytes):
            return BytesIO(self.source)
        try:
            return self.source.open("rb", buffering=0)
        except OSError as error:
            raise _unopened(error) from error

    def read(self) -> bytes:
        """The whole file. Raises FaultError where it cannot be opened or is too long."""
        _refuse_large(self.size, self.limits.whole_bytes)
        if isinstance(self.source, bytes):
            return self.source
        try:
            return read_bytes(self.source, self.limits.whole_bytes)
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
            return Archive(ZipFile(BytesIO(content)), self.limits.unpacked(len(content)))


class Archive:
    """A ZIP archive whose parts are read up to a limit."""

    def __init__(self, archive: ZipFile, most: int) -> None:
        self.names = tuple(archive.namelist())
        self._archive, self._left, self._most = archive, most, most

    def read(self, name: str) -> bytes:
        """One part. Raises FaultError for a damaged one, and once all that was read exceeds the limit."""
        with parsing("ZIP"), self._archive.open(name) as part:
            content = part.read(self._left + 1)
        self._left -= len(content)
        if self._left < 0:
            raise FaultError("", message("file-unpacks-too-large", megabytes=f"{self._most / 1e6:,.0f}"))
        return content


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


def _refuse_large(size: int, most: int) -> None:
    if size > most:
        raise FaultError("", message("file-too-large", megabytes=f"{most / 1e6:,.0f}"))


def _unopened(error: OSError) -> FaultError:
    return FaultError("", message("file-not-opened", reason=(error.strerror or str(error)).lower()))
