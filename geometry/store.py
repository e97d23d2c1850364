"""Finished geometry, kept from run to run: what reading a file or measuring a body came to, by its content.

Entries lie in the user's cache folder, where platformdirs puts it on each system. The folder may be deleted at any
time; it is held to MOST_BYTES by dropping what was not asked for longest. A key holds the bytes read, what was asked
of them, and the sources of this package, so that an entry never outlives the code that made it. An entry that is
damaged, or a folder that cannot be written, costs no more than working the figure out again.

CAST_ESTIMATOR_CACHE names another folder; `off` turns the store off.
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
LARGEST_BYTES = 64 << 20  # of one entry
TRIM_EVERY = 32 << 20  # written
REMEMBERED = 1 << 16  # entries of this run; their arrays are those of the job itself

READ_BY = (
    "numpy", "shapely", "trimesh", "manifold3d", "ezdxf", "svgelements", "scipy", "cadquery-ocp-novtk", "rhino3dm",
    "pypdfium2",
)  # fmt: skip
"""Packages whose releases may read or measure otherwise."""

T = TypeVar("T")


def kept(key: bytes, work_out: Callable[[], T]) -> T:
    """What an earlier run, or this one, found under a key; worked out and kept where none did.

    What `work_out` raises is raised again and not kept.
    """
    found = _REMEMBERED.get(key, _NONE)
    if found is _NONE:
        found = _read(key)
        if found is _NONE:
            found = work_out()
            _write(key, found)
        _remember(key, found)
    return cast(T, found)


def key_of(kind: str, content: Iterable[memoryview], *asked: object) -> bytes:
    """The key of some content and of what is asked of it.

    kind   of figure
    asked  plain values, in the same order for all of one kind
    """
    digest = sha256(_code())
    digest.update(repr((kind, asked)).encode())
    for part in content:
        digest.update(part.cast("B"))
    return digest.digest()


def content_of(file: InputFile) -> Iterator[memoryview]:
    """The bytes of a file, block by block. Raises FaultError as `InputFile.stream`."""
    buffer = bytearray(1 << 20)
    with file.stream() as stream:
        while count := stream.readinto(buffer):
            yield memoryview(buffer)[:count]


def holds(key: bytes) -> bool:
    """Whether a key is in the store."""
    place = _place(key)
    return key in _REMEMBERED or (place is not None and place.is_file())


def learn(entries: Iterable[tuple[bytes, object]]) -> None:
    """Remember what another process found."""
    for key, value in entries:
        _remember(key, value)


def unwritten() -> list[tuple[bytes, object]]:
    """The entries of this run that are not in the folder."""
    return [(key, value) for key, value in _REMEMBERED.items() if not ((place := _place(key)) and place.is_file())]


def forget() -> None:
    """Forget what this run found; the folder stays as it is."""
    _REMEMBERED.clear()


@contextmanager
def off() -> Iterator[None]:
    """Leave the folder alone meanwhile, in this process and in those that it starts."""
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
_written_since_trim = TRIM_EVERY  # the first entry of a run looks at what earlier ones left


def _remember(key: bytes, value: object) -> None:
    _REMEMBERED[key] = value
    if len(_REMEMBERED) > REMEMBERED:
        _REMEMBERED.popitem(last=False)


@cache
def _code() -> bytes:
    """Digest of the code that entries depend on."""
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
    """Where entries lie; None where the store is off or the system names no place for it."""
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
    return folder if folder.is_absolute() else None  # a relative one: there is no home


def _place(key: bytes) -> Path | None:
    folder, name = _folder(), key.hex()
    return None if folder is None else folder / name[:2] / name[2:]


def _read(key: bytes) -> object:
    """The value in the folder, or _NONE where there is none that is whole."""
    place = _place(key)
    if place is None:
        return _NONE
    try:
        content = read_bytes(place)
        if sha256(content[32:]).digest() != content[:32]:
            return _NONE
        value = unpacked(content[32:])
        os.utime(place)  # asked for: among the last to be dropped
    except Exception:  # whatever is wrong with an entry, the figure is worked out anew
        return _NONE
    return cast(object, value)


def _write(key: bytes, value: object) -> None:
    """Put a value into the folder, whole or not at all; where the folder cannot be written, nothing is kept."""
    global _written_since_trim
    place = _place(key)
    if place is None:
        return
    content = packed(value)
    if len(content) > LARGEST_BYTES:
        return
    half = place.with_name(f".{place.name}.{os.getpid()}")
    try:
        place.parent.mkdir(parents=True, exist_ok=True)
        half.write_bytes(sha256(content).digest() + content)
        half.replace(place)
    except (OSError, ValueError):
        with suppress(OSError, ValueError):
            half.unlink(missing_ok=True)
        return
    _written_since_trim += len(content)
    if _written_since_trim >= TRIM_EVERY:
        _written_since_trim = 0
        _trim(place.parent.parent)


def _trim(folder: Path) -> None:
    """Drop the entries that were not asked for longest, until the folder is within MOST_BYTES."""
    found: list[tuple[float, int, Path]] = []
    for place in folder.glob("??/*"):
        with suppress(OSError):
            about = place.stat()
            found.append((about.st_mtime, about.st_size, place))
    over = sum(size for _, size, _ in found) - MOST_BYTES
    for _, size, place in sorted(found):
        if over <= 0:
            break
        with suppress(OSError):
            place.unlink()
        over -= size
