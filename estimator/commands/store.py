"""store: backup, restore and export of a folder's records."""

from pathlib import Path

from estimator.commands.mixes import writing
from estimator.errors import Fault, InputError, no_file
from estimator.records import records_path
from estimator.store.database import ELSEWHERE, FILE, Store, back_up, open_store, restore, store_of
from estimator.store.records import exported, stored_records
from estimator.words import PLAIN
from geometry.message import message


def run_back_up(file: Path, folder: Path) -> None:
    """Writes a backup of a folder's store. Raises InputError."""
    with writing(file):
        back_up(_store(folder), file)
    print(PLAIN("store-backed-up", file=file.name))


def run_restore(file: Path, folder: Path) -> None:
    """Puts a backup in the place of a folder's store. Raises InputError."""
    with writing(folder / FILE):
        restore(folder, file)
    print(PLAIN("store-restored", file=FILE, before=f"{FILE}.before"))


def run_export(job: Path) -> None:
    """Writes a job's records into the records file beside it. Raises InputError."""
    if not job.is_file():
        raise InputError([no_file(job)])
    store = store_of(job)
    if store is None:
        raise InputError([Fault(str(job.parent), "", message("store-missing"))])
    with writing(records_path(job)):
        path = exported(store, job)
    print(PLAIN("store-exported", file=path.name, count=len(stored_records(store, job).records)))


def _store(folder: Path) -> Store:
    if not (folder / FILE).exists() and not (folder / ELSEWHERE).exists():
        raise InputError([Fault(str(folder), "", message("store-missing"))])
    return open_store(folder)
