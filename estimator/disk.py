"""Writing to disk: a file or folder is written completely or not at all, and never overwrites other people's files.

An output folder lists its files with their SHA-256 in `.written.json`. A new folder is built as `.NAME.new` beside the
old one. The old one is renamed to `.NAME.old` and deleted once the new one has its name. A run that was killed leaves
one of the two behind, and the next run restores or removes it.
"""

import json
import os
import shutil
import stat
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from hashlib import sha256
from pathlib import Path
from zlib import crc32

from estimator.errors import Fault, FaultError, InputError
from estimator.scratch import ScratchFile, sweep
from geometry.files import read_bytes
from geometry.message import Message, message

MANIFEST = ".written.json"
_PNG_HEAD, _PNG_END = b"\x89PNG", b"\x00\x00\x00\x00IEND\xaeB`\x82"
_SVG_MARK = b"<!-- cast-estimator sha256 %s -->\n"
_PNG_MARK = b"cast-estimator\x00sha256 %s"


def digest(content: bytes) -> str:
    """SHA-256 of the content, in hexadecimal."""
    return sha256(content).hexdigest()


def write_new(path: Path, content: bytes) -> None:
    """Write a file and flush it to disk before returning. Raises OSError."""
    with _told_of(path), path.open("wb") as stream:
        stream.write(content)
        stream.flush()
        os.fsync(stream.fileno())


def prepare(path: Path, content: bytes) -> ScratchFile:
    """File beside another, with its mode and the content that is to replace it, flushed to disk. Raises OSError."""
    target = path.resolve()  # so that a symbolic link stays one
    with _told_of(path):
        mode = stat.S_IMODE(target.stat().st_mode) if target.exists() else 0o644
        sweep(target.parent)
        ready = ScratchFile(target.parent)
        try:
            write_new(ready.path, content)
            ready.path.chmod(mode)
        except BaseException:
            ready.drop()
            raise
        return ready


def replace_file(path: Path, content: bytes, prepared: ScratchFile | None = None) -> None:
    """Replace a file atomically, after the new content is flushed to disk. Keeps its mode. Raises OSError.

    prepared   file from `prepare` with that content
    """
    target, ready = path.resolve(), prepared or prepare(path, content)
    try:
        with _told_of(path):
            ready.take_the_place_of(target)
    except BaseException:
        ready.drop()
        raise
    sync_folder(target.parent)


def replace_unchanged(path: Path, content: bytes, seen: str, prepared: ScratchFile | None = None) -> None:
    """Replace a file unless it has changed since its new content was derived from it.

    seen       SHA-256 of the content that the new content was derived from
    prepared   file from `prepare` with the new content
    Raises FaultError if somebody has saved the file since, and OSError. Callers of this function lock each other out.
    An editor takes no lock, so the file is checked again right before it is replaced.
    """
    with _alone(path.resolve().parent):
        if digest(read_bytes(path)) != seen:
            raise FaultError("", message("edit-changed-meanwhile"))
        replace_file(path, content, prepared)


def append_line(path: Path, line: bytes) -> None:
    """Append one line and flush it to disk; if it cannot be written whole, truncate the file to what it was.

    An unfinished line left by a crash is terminated first, so that the new line does not merge into it. Raises OSError.
    """
    created = not path.exists()
    with _told_of(path), path.open("ab", buffering=0) as stream, locked(stream.fileno()):
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
    """Write an SVG or PNG, which may overwrite only a picture that this program wrote.

    A picture of this program carries the SHA-256 of its own content.

    option   command-line option that named the file, such as "--plot"
    Raises InputError if the existing file is not of this program or was changed, or if it cannot be written.
    """
    try:
        if path.is_file() and not _is_ours(path.read_bytes()):
            raise InputError([Fault("cast-estimator", option, message("picture-not-ours", name=str(path)))])
        replace_file(path, _marked(content))
    except OSError as error:
        problem = message("picture-not-written", name=str(path), reason=refusal(error))
        raise InputError([Fault("cast-estimator", option, problem)]) from None


def refusal(error: OSError) -> str:
    """Reason of an error in the words of the operating system: "No space left on device"."""
    return error.strerror or type(error).__name__


def refused(error: OSError) -> Message:
    """Reason of an error, the file in its folder, and what to do."""
    if not error.filename:
        return message("machine-refused", reason=refusal(error))
    file = "/".join(Path(os.fsdecode(error.filename)).parts[-2:])  # where the folder lies is not for every reader
    return message("machine-refused-file", file=file, reason=refusal(error))


@contextmanager
def _told_of(path: Path) -> Iterator[None]:
    """Name this file in what the system refuses, not the one beside it that is to take its place."""
    try:
        yield
    except OSError as error:
        error.filename, error.filename2 = str(path), None
        raise


def sync_folder(folder: Path) -> None:
    """Flush the entries of a folder to disk, if the system lets a folder be opened."""
    if not hasattr(os, "O_DIRECTORY"):
        return
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


@contextmanager
def locked(handle: int) -> Iterator[None]:
    """Hold an exclusive lock on an open file or folder, if the system has locks. The lock ends with the process."""
    try:
        import fcntl
    except ImportError:  # not on this system
        yield
        return
    with suppress(OSError):  # a network drive without locks
        fcntl.flock(handle, fcntl.LOCK_EX)
    yield


def _write_all(handle: int, content: bytes) -> None:
    """Write all of the content. A nearly full disk first accepts a part and fails only on the next write."""
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
    """Whether a picture carries the mark of this program and has not been changed since."""
    if found.startswith(_PNG_HEAD):
        bare = found.removesuffix(_PNG_END)[: -(12 + len(_PNG_MARK % (b"0" * 64)))] + _PNG_END
        return _marked(bare) == found
    bare = found[: -len(_SVG_MARK % (b"0" * 64))]
    return found in (_marked(bare), _marked(bare.removesuffix(b"\n")))


def check_replaceable(folder: Path, job: Path | None = None) -> None:
    """Raise InputError unless `folder` is absent, empty, or holds only unchanged files that this program wrote.

    job   the job file, whose own folder is never an output folder
    """
    try:
        _check(folder, folder.resolve(), job)
    except OSError as error:
        raise _unwritable(folder, error) from None


def write_folder(folder: Path, files: Mapping[str, bytes], job: Path | None = None) -> None:
    """Write `files`, by relative path, into `folder`, replacing the folder as a whole.

    Everything is flushed to a folder beside it before that is renamed, so that a full disk or a killed process leaves
    the old folder as it was. Raises InputError if the folder may not be replaced or cannot be written.
    """
    target = folder.resolve()
    try:
        _check(folder, target, job)
        target.parent.mkdir(parents=True, exist_ok=True)
        with _alone(target.parent):
            _recover(folder, target)
            _check(folder, target, job)
            new = _new(target)
            try:
                _fill(new, files)
                if _holds_this_run(target):
                    _move_into(new, target)
                else:
                    _put_in_place(folder, new, target)
            finally:
                _try_remove(new)
    except OSError as error:
        raise _unwritable(folder, error) from None


def _check(folder: Path, target: Path, job: Path | None) -> None:
    if not os.path.lexists(folder):
        return
    if not folder.is_dir():
        raise InputError(
            [Fault(str(folder), "", message("folder-is-file" if folder.exists() else "folder-is-dead-link"))]
        )
    if job is not None and target.samefile(job.resolve().parent):
        raise InputError([Fault(str(folder), "", message("folder-of-job"))])
    foreign = _foreign(target)
    if foreign is not None:
        raise InputError([Fault(str(folder), "", foreign)])
    if _holds_this_run(target) and any(target.iterdir()):
        raise InputError([Fault(str(folder), "", message("folder-of-run"))])


def _holds_this_run(target: Path) -> bool:
    """Whether a folder is the working folder, or one above it. Replaced, it would be gone from under the shell."""
    with suppress(OSError):
        here = Path.cwd()
        return target.is_dir() and any(target.samefile(folder) for folder in (here, *here.parents))
    return False


def _foreign(folder: Path) -> Message | None:
    """Message naming the first entry of a folder that this program did not write or that was changed; None if none."""
    listed = _listed(folder / MANIFEST)
    above = {str(parent) for name in listed for parent in Path(name).parents}
    for name, kind in _entries(folder):
        if stat.S_ISDIR(kind):
            if str(Path(name)) not in above:
                return message("folder-foreign-folder", name=name)
        elif name == MANIFEST and listed:
            continue
        elif name not in listed or not stat.S_ISREG(kind):
            return message("folder-foreign-file", name=name)
        elif digest(read_bytes(folder / name)) != listed[name]:
            return message("folder-changed-file", name=name)
    return None


def _entries(folder: Path, below: str = "") -> Iterator[tuple[str, int]]:
    """Yield the relative path and file mode of everything below a folder, without following links."""
    with os.scandir(folder / below) as found:
        entries = sorted(found, key=lambda entry: entry.name)
    for entry in entries:
        name, mode = below + entry.name, entry.stat(follow_symlinks=False).st_mode
        yield name, mode
        if stat.S_ISDIR(mode):
            yield from _entries(folder, f"{name}/")


def _listed(manifest: Path) -> dict[str, str]:
    if manifest.is_symlink() or not manifest.is_file():
        return {}
    try:
        held = json.loads(read_bytes(manifest))
    except ValueError:
        return {}
    sound = isinstance(held, dict) and all(isinstance(value, str) for value in held.values())
    return held if sound else {}


def _new(target: Path) -> Path:
    return target.with_name(f".{target.name}.new")


def _old(target: Path) -> Path:
    return target.with_name(f".{target.name}.old")


def _recover(folder: Path, target: Path) -> None:
    """Restore or remove the folders that a killed run left behind."""
    new, old = _new(target), _old(target)
    if old.is_dir():
        if not os.path.lexists(target):
            os.rename(old, target)
        else:
            _clear(folder, old, _foreign(old))
    if new.is_dir():
        listed = _listed(new / MANIFEST)
        extra = [name for name, kind in _entries(new) if not stat.S_ISDIR(kind) and name not in (*listed, MANIFEST)]
        _clear(folder, new, message("folder-foreign-file", name=extra[0]) if extra else None)


def _clear(folder: Path, left: Path, foreign: Message | None) -> None:
    if foreign is not None:
        raise InputError([Fault(str(folder), "", message("folder-left-over", name=str(left), text=foreign))])
    _remove(left)


def _remove(folder: Path) -> None:
    """Remove an output folder, its manifest last, so that the next run can remove the rest if this one is killed."""
    for path in folder.iterdir():
        if path.is_dir() and not path.is_symlink():
            shutil.rmtree(path)
        elif path.name != MANIFEST:
            path.unlink()
    shutil.rmtree(folder)


def _try_remove(folder: Path) -> None:
    """Remove what is left of an output folder, ignoring errors; the next run removes the rest."""
    with suppress(OSError):
        _remove(folder)


def _fill(new: Path, files: Mapping[str, bytes]) -> None:
    new.mkdir()
    manifest = {name: digest(content) for name, content in sorted(files.items())}
    write_new(new / MANIFEST, (json.dumps(manifest, indent=2, ensure_ascii=False) + "\n").encode())
    folders = {new}
    for name, content in files.items():
        path = new / name
        path.parent.mkdir(parents=True, exist_ok=True)
        folders.add(path.parent)
        write_new(path, content)
    for folder in folders:
        sync_folder(folder)
    new.chmod(0o755)


def _put_in_place(folder: Path, new: Path, target: Path) -> None:
    """Rename a finished folder to its final name, keeping the old folder until that has succeeded."""
    if not target.exists():
        os.rename(new, target)
        sync_folder(target.parent)
        return
    old = _old(target)
    os.rename(target, old)
    try:
        foreign = _foreign(old)  # somebody may have saved a file into it in the meantime
        if foreign is not None:
            raise InputError([Fault(str(folder), "", foreign)])
        os.rename(new, target)
    except BaseException:
        if not target.exists():
            os.rename(old, target)
        raise
    sync_folder(target.parent)
    _try_remove(old)


def _move_into(new: Path, target: Path) -> None:
    """Move what a finished folder holds into an empty one, its manifest first, so that the next run knows the rest."""
    for path in sorted(new.iterdir(), key=lambda path: path.name != MANIFEST):
        os.rename(path, target / path.name)
    sync_folder(target)


@contextmanager
def _alone(parent: Path) -> Iterator[None]:
    """Hold a lock on the parent folder, if the system lets a folder be locked, so that two runs take turns."""

    if not hasattr(os, "O_DIRECTORY"):
        yield
        return
    handle = os.open(parent, os.O_RDONLY | os.O_DIRECTORY)
    try:
        with locked(handle):
            yield
    finally:
        os.close(handle)


def _unwritable(folder: Path, error: OSError) -> InputError:
    return InputError([Fault(str(folder), "", message("folder-not-written", reason=refusal(error)))])
