"""The pack of papers of one estimate, and the folder that it is written to."""

import json
import os
import shutil
import stat
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from estimator.disk import digest, locked, refusal, sync_folder, write_new
from estimator.document import to_document, to_json, to_workings_document
from estimator.errors import Fault, InputError
from estimator.estimate import Estimate
from estimator.explain import workings_of
from estimator.report.papers.batch_sheets import batch_sheets
from estimator.report.papers.data_files import materials_csv, pieces_csv, shelf_toml
from estimator.report.papers.form_sheet import form_drawings, form_sheet
from estimator.report.papers.install_sheet import install_sheet
from estimator.report.papers.labels import labels
from estimator.report.papers.lift_sheet import lift_sheet
from estimator.report.papers.order import order, order_csv, order_xlsx
from estimator.report.papers.pour_days import pour_days
from estimator.report.papers.quote import quote
from estimator.report.papers.summary_html import summary_html
from estimator.report.papers.workbook import estimate_xlsx
from estimator.report.papers.workings import workings
from geometry.files import read_bytes

MANIFEST = ".written.json"


def check_replaceable(folder: Path, job: Path | None = None) -> None:
    """Raises InputError unless `folder` is absent, empty, or holds only what was written here and left as it was.

    job   the job file, whose own folder is never an output folder
    """
    try:
        _check(folder, folder.resolve(), job)
    except OSError as error:
        raise _unwritable(folder, error) from None


def write_folder(folder: Path, files: Mapping[str, bytes], job: Path | None = None) -> None:
    """Writes `files`, by relative path, into `folder`, which is replaced whole.

    Everything is on the disk beside it before the folder gets its name, so that a full disk or a stop in the middle
    leaves the old folder as it was. Raises InputError where the folder may not be replaced or cannot be written.
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
                _put_in_place(folder, new, target)
            finally:
                shutil.rmtree(new, ignore_errors=True)
    except OSError as error:
        raise _unwritable(folder, error) from None


def _check(folder: Path, target: Path, job: Path | None) -> None:
    if not os.path.lexists(folder):
        return
    if not folder.is_dir():
        what = "is a file, not a folder." if folder.exists() else "is a link to nothing."
        raise InputError([Fault(str(folder), "", what, "Name another folder.")])
    if job is not None and target.samefile(job.resolve().parent):
        raise InputError(
            [Fault(str(folder), "", "is the folder of the job file.", "Name a folder in it, such as pack.")]
        )
    foreign = _foreign(target)
    if foreign is not None:
        raise InputError([Fault(str(folder), "", foreign, "Move it elsewhere, or name an empty folder.")])


def _foreign(folder: Path) -> str | None:
    """What of a folder is not ours to replace, as a sentence; None where all is as it was written."""
    listed = _listed(folder / MANIFEST)
    above = {str(parent) for name in listed for parent in Path(name).parents}
    for name, kind in _entries(folder):
        if stat.S_ISDIR(kind):
            if str(Path(name)) not in above:
                return f"holds the folder {name}, which was not written here."
        elif name == MANIFEST and listed:
            continue
        elif name not in listed or not stat.S_ISREG(kind):
            return f"holds files that are not from here, such as {name}."
        elif digest(read_bytes(folder / name)) != listed[name]:
            return f"holds {name}, which was changed since it was written."
    return None


def _entries(folder: Path, below: str = "") -> Iterator[tuple[str, int]]:
    """Everything in a folder by relative path, with its file mode; no link is followed."""
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
    """Restores or clears what a run left behind that was killed between its steps."""
    new, old = _new(target), _old(target)
    if old.is_dir():
        if not os.path.lexists(target):
            os.rename(old, target)
        else:
            _clear(folder, old, _foreign(old))
    if new.is_dir():
        listed = _listed(new / MANIFEST)
        extra = [name for name, kind in _entries(new) if not stat.S_ISDIR(kind) and name not in (*listed, MANIFEST)]
        _clear(folder, new, f"holds files that are not from here, such as {extra[0]}." if extra else None)


def _clear(folder: Path, left: Path, foreign: str | None) -> None:
    if foreign is not None:
        raise InputError([Fault(str(folder), "", f"{left} stands beside it and {foreign}", "Move it elsewhere.")])
    shutil.rmtree(left)


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
    """Moves a finished folder to its name; what stood there is kept until that has succeeded."""
    if not target.exists():
        os.rename(new, target)
        sync_folder(target.parent)
        return
    old = _old(target)
    os.rename(target, old)
    try:
        foreign = _foreign(old)  # somebody may have saved into it meanwhile
        if foreign is not None:
            raise InputError([Fault(str(folder), "", foreign, "Move it elsewhere, or name an empty folder.")])
        os.rename(new, target)
    except BaseException:
        if not target.exists():
            os.rename(old, target)
        raise
    sync_folder(target.parent)
    shutil.rmtree(old, ignore_errors=True)


@contextmanager
def _alone(parent: Path) -> Iterator[None]:
    """Two runs into one folder take turns, where the system lets a folder be locked."""
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
    return InputError([Fault(str(folder), "", f"cannot be written: {refusal(error)}.", "Name a folder you may write.")])


Paper = Callable[[Estimate], bytes]

PAPERS: Mapping[str, Paper] = {
    "estimate.json": lambda estimate: to_json(to_document(estimate)).encode(),
    "workings.json": lambda estimate: to_json(to_workings_document(workings_of(estimate))).encode(),
    "quote.pdf": quote,
    "order.pdf": order,
    "order.csv": order_csv,
    "order.xlsx": order_xlsx,
    "batch-sheets.pdf": batch_sheets,
    "pour-days.pdf": pour_days,
    "form-sheet.pdf": form_sheet,
    "lift-sheet.pdf": lift_sheet,
    "install-sheet.pdf": install_sheet,
    "labels.pdf": labels,
    "workings.pdf": workings,
    "estimate.xlsx": estimate_xlsx,
    "summary.html": summary_html,
    "pieces.csv": pieces_csv,
    "materials.csv": materials_csv,
    "shelf.toml": shelf_toml,
}

LONG_JOB = 40  # piece marks from which on a bar shows how far the papers are


def make_papers(estimate: Estimate) -> dict[str, bytes]:
    """Every paper of the pack, by its file name, and a full-size drawing of each form."""
    made = {}
    with _progress(len(estimate.pieces)) as told:
        for name, paper in PAPERS.items():
            told(name)
            made[name] = paper(estimate)
    return {**made, **form_drawings(estimate)}


def write_pack(estimate: Estimate, folder: Path, job: Path) -> None:
    """Writes every paper of the estimate into `folder`, whole or not at all. Raises InputError where it may not.

    job   the job file: its own folder is never the pack's
    """
    write_folder(folder, make_papers(estimate), job)


@contextmanager
def _progress(marks: int) -> Iterator[Callable[[str], None]]:
    """Tells which paper is being made: on standard error, on a long job, where that is a terminal."""
    if marks < LONG_JOB or not sys.stderr.isatty():
        yield lambda _: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn

    console = Console(stderr=True)
    with Progress(TextColumn("{task.description}"), BarColumn(), console=console, transient=True) as progress:
        task = progress.add_task("papers", total=len(PAPERS))
        started = False

        def told(name: str) -> None:
            nonlocal started
            progress.update(task, description=name, advance=1 if started else 0, refresh=True)
            started = True

        yield told
