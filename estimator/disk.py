"""Writing to the disk: a file stands whole or not at all, and nothing is replaced that somebody else wrote."""

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from hashlib import sha256
from pathlib import Path
from zlib import crc32

from estimator.errors import Fault, InputError

_PNG_HEAD, _PNG_END = b"\x89PNG", b"\x00\x00\x00\x00IEND\xaeB`\x82"
_SVG_MARK = b"<!-- cast-estimator sha256 %s -->\n"
_PNG_MARK = b"cast-estimator\x00sha256 %s"


def digest(content: bytes) -> str:
    """SHA-256 of some bytes, in hexadecimal."""
    return sha256(content).hexdigest()


def write_new(path: Path, content: bytes) -> None:
    """Writes a file and returns once its bytes are on the disk. Raises OSError."""
    with path.open("wb") as stream:
        stream.write(content)
        stream.flush()
        os.fsync(stream.fileno())


def replace_file(path: Path, content: bytes) -> None:
    """Puts a file into the place of another only once it is on the disk whole. Raises OSError."""
    target = path.resolve()  # a link stays a link
    handle, name = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name}.")
    os.close(handle)
    try:
        write_new(Path(name), content)
        Path(name).chmod(0o644)
        os.replace(name, target)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    sync_folder(target.parent)


def append_line(path: Path, line: bytes) -> None:
    """Adds one line and returns once it is on the disk; a line that does not fit is taken out again.

    A torn line that an earlier crash left is ended first, so that it takes no other line with it. Raises OSError.
    """
    created = not path.exists()
    with path.open("ab", buffering=0) as stream, locked(stream.fileno()):
        before = os.fstat(stream.fileno()).st_size
        torn = b"" if before == 0 or _last_byte(path) == b"\n" else b"\n"
        try:
            _write_all(stream.fileno(), torn + line + b"\n")
            os.fsync(stream.fileno())
        except OSError:
            with suppress(OSError):
                os.ftruncate(stream.fileno(), before)
            if created:
                with suppress(OSError):
                    path.unlink()
            raise
    if created:
        sync_folder(path.parent)


def write_picture(path: Path, content: bytes, option: str) -> None:
    """Writes an SVG or PNG, over an earlier one of ours alone: each carries the SHA-256 of its own bytes.

    option   that named the file, "--plot"
    Raises InputError where the file there is somebody else's, was changed since, or cannot be written.
    """
    try:
        if path.is_file() and not _is_ours(path.read_bytes()):
            what = f'"{path}" exists and was not written here, or was changed since.'
            raise InputError([Fault("cast-estimator", option, what, "Name another file.")])
        replace_file(path, _marked(content))
    except OSError as error:
        what = f'"{path}" cannot be written: {refusal(error)}.'
        raise InputError([Fault("cast-estimator", option, what, "Choose another place.")]) from None


def refusal(error: OSError) -> str:
    """Why the machine refuses, in its own words: "No space left on device"."""
    return error.strerror or type(error).__name__


def sync_folder(folder: Path) -> None:
    """Forces the entries of a folder to the disk, where the system lets a folder be opened."""
    if not hasattr(os, "O_DIRECTORY"):
        return
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


@contextmanager
def locked(handle: int) -> Iterator[None]:
    """Holds an open file or folder alone, where the system can; the lock ends with the process."""
    try:
        import fcntl
    except ImportError:  # not on this system
        yield
        return
    with suppress(OSError):  # a network drive without locks
        fcntl.flock(handle, fcntl.LOCK_EX)
    yield


def _write_all(handle: int, content: bytes) -> None:
    """A nearly full disk takes part of it at first, and says so only at the next try."""
    while content:
        content = content[os.write(handle, content) :]


def _last_byte(path: Path) -> bytes:
    with path.open("rb") as stream:
        stream.seek(-1, os.SEEK_END)
        return stream.read(1)


def _marked(content: bytes) -> bytes:
    own = digest(content).encode()
    if not content.startswith(_PNG_HEAD):
        return content + (b"" if content.endswith(b"\n") else b"\n") + _SVG_MARK % own
    text = b"tEXt" + _PNG_MARK % own
    chunk = (len(text) - 4).to_bytes(4, "big") + text + crc32(text).to_bytes(4, "big")
    return content.removesuffix(_PNG_END) + chunk + _PNG_END


def _is_ours(found: bytes) -> bool:
    """Whether a picture carries our mark and still has the bytes that it was made of."""
    if found.startswith(_PNG_HEAD):
        bare = found.removesuffix(_PNG_END)[: -(12 + len(_PNG_MARK % (b"0" * 64)))] + _PNG_END
        return _marked(bare) == found
    bare = found[: -len(_SVG_MARK % (b"0" * 64))]
    return found in (_marked(bare), _marked(bare.removesuffix(b"\n")))
