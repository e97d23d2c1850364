"""Persistent cache of geometry results, keyed by content.

Entries are files in the user's cache folder (platformdirs). The folder may be deleted at any time. It is limited to
MOST_BYTES by evicting the least recently used entries. A key is a hash of the input bytes, the arguments, and the
source code of this package, so a change of code invalidates all entries. If an entry is damaged or the folder is not
writable, the result is computed again.

CAST_ESTIMATOR_CACHE names another folder; `off` disables the cache.
"""

from __future__ import annotations

import os
from collections import OrderedDict
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import TypeVar, cast

from geometry.errors import FaultError
from geometry.files import InputFile, read_bytes
from geometry.plain import packed, unpacked

VARIABLE = "CAST_ESTIMATOR_CACHE"
OFF = "off"
MOST_BYTES = 512 << 20
LARGEST_BYTES = 64 << 20  # largest entry
TRIM_EVERY = 32 << 20  # bytes written between two evictions
REMEMBERED = 1 << 16  # entries kept in memory; their arrays are shared with the job

READ_BY = (
    "numpy", "shapely", "trimesh", "manifold3d", "ezdxf", "svgelements", "scipy", "cadquery-ocp-novtk", "rhino3dm",
    "pypdfium2",
)  # fmt: skip
"""Packages whose versions may change results."""

T = TypeVar("T")


def kept(key: bytes, work_out: Callable[[], T]) -> T:
    """Return the cached value of a key, or compute it with `work_out` and cache it.

    Exceptions of `work_out` propagate and are not cached.
    """
    value = _REMEMBERED.get(key, _NONE)
    if value is _NONE:
        value = _read(key)
        if value is _NONE:
            value = work_out()
            _write(key, value)
        _remember(key, value)
    return cast(T, value)


def key_of(kind: str, content: Iterable[memoryview], *arguments: object) -> bytes:
    """Cache key of a result.

    kind       kind of result
    content    input bytes
    arguments  plain values, in the same order for all results of a kind
    """
    digest = sha256(_code())
    digest.update(repr((kind, arguments)).encode())
    for part in content:
        digest.update(part.cast("B"))
    return digest.digest()


def content_of(file: InputFile) -> Iterator[memoryview]:
    """Yield the contents of a file block by block. Raises what `InputFile.stream` raises."""
    buffer = bytearray(1 << 20)
    with file.stream() as stream:
        while count := stream.readinto(buffer):
            yield memoryview(buffer)[:count]


def holds(key: bytes) -> bool:
    """Whether a key is in the cache."""
    place = _place(key)
    return key in _REMEMBERED or (place is not None and place.is_file())


def learn(entries: Iterable[tuple[bytes, object]]) -> None:
    """Add results of another process to memory."""
    for key, value in entries:
        _remember(key, value)


def unwritten() -> list[tuple[bytes, object]]:
    """Entries in memory that are not in the folder."""
    return [(key, value) for key, value in _REMEMBERED.items() if not ((place := _place(key)) and place.is_file())]


def forget() -> None:
    """Clear the entries in memory, but not the folder."""
    _REMEMBERED.clear()


@contextmanager
def off() -> Iterator[None]:
    """Disable the folder within a `with` block, for this process and its children."""
    before = os.environ.get(VARIABLE)
    os.environ[VARIABLE] = OFF
    try:
        yield
    finally:
        if before is None:
            del os.environ[VARIABLE]
        else:
            os.environ[VARIABLE] = before


_NONE = object()
_REMEMBERED: OrderedDict[bytes, object] = OrderedDict()
_written_since_trim = TRIM_EVERY  # so that the first entry of a run triggers an eviction


def _remember(key: bytes, value: object) -> None:
    _REMEMBERED[key] = value
    if len(_REMEMBERED) > REMEMBERED:
        _REMEMBERED.popitem(last=False)


@cache
def _code() -> bytes:
    """Hash of the code that results depend on."""
    from importlib import metadata

    digest = sha256(b"cast-estimator geometry 1")
    for source in sorted(Path(__file__).parent.rglob("*.py")):
        with suppress(OSError, FaultError):
            digest.update(read_bytes(source))
    for package in READ_BY:
        with suppress(metadata.PackageNotFoundError):
            digest.update(f"{package} {metadata.version(package)}".encode())
    return digest.digest()


def _folder() -> Path | None:
    """Cache folder; None if the cache is off or the system has no cache folder."""
    named = os.environ.get(VARIABLE, "")
    if named == OFF:
        return None
    if named:
        return Path(named)
    return _own_folder()


@cache
def _own_folder() -> Path | None:
    from platformdirs import user_cache_path

    try:
        folder = user_cache_path("cast-estimator")
    except (OSError, RuntimeError, KeyError):
        return None
    return folder if folder.is_absolute() else None  # a relative path means that there is no home folder


def _place(key: bytes) -> Path | None:
    folder, name = _folder(), key.hex()
    return None if folder is None else folder / name[:2] / name[2:]


def _read(key: bytes) -> object:
    """Value from the folder, or _NONE if it is missing or damaged."""
    place = _place(key)
    if place is None:
        return _NONE
    try:
        content = read_bytes(place)
        if sha256(content[32:]).digest() != content[:32]:
            return _NONE
        value = unpacked(content[32:])
        os.utime(place)  # mark as recently used
    except Exception:  # treat any damaged entry as missing
        return _NONE
    return cast(object, value)


def _write(key: bytes, value: object) -> None:
    """Write a value to the folder atomically; do nothing if the folder is not writable."""
    global _written_since_trim
    place = _place(key)
    if place is None:
        return
    content = packed(value)
    if len(content) > LARGEST_BYTES:
        return
    temporary = place.with_name(f".{place.name}.{os.getpid()}")
    try:
        place.parent.mkdir(parents=True, exist_ok=True)
        temporary.write_bytes(sha256(content).digest() + content)
        temporary.replace(place)
    except (OSError, ValueError):
        with suppress(OSError, ValueError):
            temporary.unlink(missing_ok=True)
        return
    _written_since_trim += len(content)
    if _written_since_trim >= TRIM_EVERY:
        _written_since_trim = 0
        _trim(place.parent.parent)


def _trim(folder: Path) -> None:
    """Evict the least recently used entries until the folder is within MOST_BYTES."""
    entries: list[tuple[float, int, Path]] = []
    for place in folder.glob("??/*"):
        with suppress(OSError):
            status = place.stat()
            entries.append((status.st_mtime, status.st_size, place))
    over = sum(size for _, size, _ in entries) - MOST_BYTES
    for _, size, place in sorted(entries):
        if over <= 0:
            break
        with suppress(OSError):
            place.unlink()
        over -= size
