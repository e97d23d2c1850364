"""A folder written whole or not at all, and replaced only where it is our own."""

import json
import os
import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path

from estimator.errors import Fault, InputError

MANIFEST = ".cast-estimator.json"


def check_replaceable(folder: Path) -> None:
    """Raises InputError unless `folder` is absent, empty, or holds our manifest and only what that lists."""
    shown = str(folder)
    if not folder.exists():
        return
    if not folder.is_dir():
        raise InputError([Fault(shown, "", "is a file, not a folder.", "Name another folder.")])
    held = {each.relative_to(folder).as_posix() for each in folder.rglob("*") if not each.is_dir()}
    if not held:
        return
    foreign = sorted(held - {MANIFEST} - _listed(folder / MANIFEST))
    if foreign or MANIFEST not in held:
        example = foreign[0] if foreign else sorted(held)[0]
        raise InputError(
            [Fault(shown, "", f"holds files that are not from here, such as {example}.", "Name an empty folder.")]
        )


def write_folder(folder: Path, files: Mapping[str, bytes]) -> None:
    """Writes `files`, by relative path, into `folder`, which is replaced whole.

    Everything is written beside it first and moved into place at the end, so that a full disk or a stop in the middle
    leaves the old folder as it was. Raises InputError where the folder may not be replaced or cannot be written.
    """
    check_replaceable(folder)
    target = folder.resolve()
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        beside = Path(tempfile.mkdtemp(prefix=f".{target.name}-", dir=target.parent))
    except OSError as error:
        raise _unwritable(folder, error) from None
    try:
        for name, content in files.items():
            path = beside / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(content)
        manifest = json.dumps({"written_by": "cast-estimator", "files": sorted(files)}, indent=2) + "\n"
        (beside / MANIFEST).write_text(manifest, encoding="utf-8")
        beside.chmod(0o755)
        _put_in_place(beside, target)
    except OSError as error:
        raise _unwritable(folder, error) from None
    finally:
        shutil.rmtree(beside, ignore_errors=True)


def _put_in_place(beside: Path, target: Path) -> None:
    """Moves a finished folder to its name; what stood there is kept until that has succeeded."""
    if not target.exists():
        os.rename(beside, target)
        return
    old = Path(tempfile.mkdtemp(prefix=f".{target.name}-old-", dir=target.parent)) / "was"
    os.rename(target, old)
    try:
        os.rename(beside, target)
    except OSError:
        os.rename(old, target)
        raise
    finally:
        shutil.rmtree(old.parent, ignore_errors=True)


def _listed(manifest: Path) -> set[str]:
    try:
        held = json.loads(manifest.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return set()
    files = held.get("files") if isinstance(held, dict) and held.get("written_by") == "cast-estimator" else None
    return {each for each in files if isinstance(each, str)} if isinstance(files, list) else set()


def _unwritable(folder: Path, error: OSError) -> InputError:
    return InputError([Fault(str(folder), "", f"cannot be written: {error.strerror}.", "Name a folder you may write.")])
