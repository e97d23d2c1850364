"""Records of jobs, in the store if the job's folder has one, else in the file beside the job.

A records file from before the store is imported once. `exported` writes the same lines again.
"""

from __future__ import annotations

import json
from collections.abc import Collection, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from estimator.disk import digest, replace_file
from estimator.records import (
    Record,
    Records,
    append_record,
    line_of,
    new_id,
    read_records,
    records_path,
)
from estimator.store.database import Store, add_new, now, store_of
from geometry.files import read_bytes
from geometry.frozen import frozen

if TYPE_CHECKING:
    from sqlalchemy import Connection


def records_of(job_path: Path) -> Records:
    """Records of a job, in order of arrival. Raises InputError, OSError."""
    store = store_of(job_path)
    return read_records(job_path) if store is None else stored_records(store, job_path)


def add_record(job_path: Path, record: Record) -> str:
    """Add one record; return the name of the file or table it went into. Raises InputError, OSError."""
    store = store_of(job_path)
    if store is None:
        return append_record(job_path, record).name
    keep(store, job_path, [(new_id(), record)], "")
    return "records"


def stored_records(store: Store, job_path: Path) -> Records:
    """Records of a job in a store that count."""
    return Records(tuple(record for _, record in counted(stored_entries(store, job_path))), ())


def counted(entries: Sequence[tuple[str, Record]]) -> list[tuple[str, Record]]:
    """Entries that count: without those undone on a phone, and only the last end of a batch ended by two phones, and
    none of one that was thrown away after it, nor its density check: what was thrown away corrects no mix."""
    undone = {record.values.get("entry") for _, record in entries if record.kind == "undo"}
    left = [(id, record) for id, record in entries if record.kind != "undo" and id not in undone]
    on_phone = {record.values.get("batch") for _, record in left if record.kind == "loaded"}
    last = {
        record.values["batch"]: id if record.kind == "batch" else ""
        for id, record in left
        if record.kind in ("batch", "thrown") and record.values.get("batch") in on_phone
    }
    thrown = {record.values.get("batch"): at for at, (_, record) in enumerate(left) if record.kind == "thrown"}
    return [
        (id, record)
        for at, (id, record) in enumerate(left)
        if (record.kind != "batch" or last.get(record.values.get("batch"), id) == id)
        and (record.kind != "bucket" or at > thrown.get(record.values.get("batch"), -1))
    ]


def stored_entries(store: Store, job_path: Path) -> list[tuple[str, Record]]:
    """Records of a job in a store, each with its id, in order of arrival."""
    return entries_after(store, job_path, 0)[1]


OVERLAP = 100
"""Records given again to who has seen the ones before: of two that arrive together at several pages of one database,
the later number may be written first."""


def entries_after(store: Store, job_path: Path, number: int) -> tuple[int, list[tuple[str, Record]]]:
    """Number of the newest record of a job, and its records that arrived after a number, each with its id, in order.

    number   of the newest record that the caller has; up to OVERLAP records before it come again, and all records with
             a smaller number where the store has no longer that one
    """
    from sqlalchemy import select

    from estimator.store.tables import records

    take_over(store, job_path)
    chosen = select(records.c.number, records.c.id, records.c.kind, records.c.at, records.c.content)
    later = (records.c.job == store.job_name(job_path)) & (records.c.number > number - OVERLAP)
    with store.reading() as connection:
        rows = connection.execute(chosen.where(later).order_by(records.c.number)).all()
    newest = max((row.number for row in rows), default=0)
    if newest < number:  # a back-up was restored: what the caller has seen is not all here
        return entries_after(store, job_path, 0)
    found = [(row.id, Record(row.kind, row.at, json.loads(row.content))) for row in rows]
    return newest, found


def version_of(job_path: Path, kinds: Collection[str]) -> int:
    """Number that grows with every record of these kinds in a job's store, and with every undo; 0 without a store.

    kinds   kinds of record that matter: for example, ticks on a phone do not invalidate an estimate
    """
    from sqlalchemy import func, select

    store = store_of(job_path)
    if store is None:
        return 0
    from estimator.store.tables import records

    newest = select(func.max(records.c.number)).where(
        records.c.job == store.job_name(job_path), records.c.kind.in_([*kinds, "undo"])
    )
    with store.reading() as connection:
        return connection.execute(newest).scalar() or 0


def keep(store: Store, job_path: Path, entries: Sequence[tuple[str, Record]], person: str) -> None:
    """Store records under the given ids, all or none. A record already stored is not changed."""
    keep_all(store, [Lot(job_path, tuple(entries), person)])


@frozen
class Lot:
    """Records of a job that arrive together, each with its id, and the name of who sent them."""

    job_path: Path
    entries: tuple[tuple[str, Record], ...]
    person: str


def keep_all(store: Store, lots: Sequence[Lot]) -> None:
    """Store lots in one transaction, all or none, so that many phones wait for the disk once."""
    for lot in lots:
        take_over(store, lot.job_path)
    with store.writing() as connection:
        for lot in lots:
            _add(connection, store.job_name(lot.job_path), lot.entries, lot.person)


def take_over(store: Store, job_path: Path) -> None:
    """Import the records file of a job from before the store, once."""
    from sqlalchemy import select

    from estimator.store.tables import records, takeovers

    job = store.job_name(job_path)
    if job in store.taken_over:
        return
    known = select(takeovers.c.job).where(takeovers.c.job == job)
    with store.reading() as connection:
        if connection.execute(known).first() is not None:
            store.taken_over.add(job)
            return
    path = records_path(job_path)
    content = read_bytes(path) if path.exists() else b""
    found = read_records(job_path).records if content else ()
    with store.writing() as connection:
        row = {"job": job, "digest": digest(content), "count": len(found), "at": now()}
        if add_new(connection, takeovers, row):
            # What was exported keeps its ids, so that no phone sends it again; a copy of another job gets its own.
            taken = {"", *(connection.execute(select(records.c.id)).scalars() if found else ())}
            named = [
                (digest(f"{job}\n{number}".encode()) if record.id in taken else record.id, record)
                for number, record in enumerate(found)
            ]
            _add(connection, job, named, "")


def exported(store: Store, job_path: Path) -> Path:
    """Write the records of a job that count to its records file; return its path. Raises OSError."""
    path = records_path(job_path)
    lines = [line_of(replace(record, id=id)) for id, record in counted(stored_entries(store, job_path))]
    replace_file(path, b"".join(line + b"\n" for line in lines))
    return path


def _add(connection: Connection, job: str, entries: Sequence[tuple[str, Record]], person: str) -> None:
    from estimator.store.tables import records

    for id, record in entries:
        content = json.dumps(dict(record.values), ensure_ascii=False)
        row = {"id": id, "job": job, "kind": record.kind, "at": record.at, "content": content}
        add_new(connection, records, {**row, "person": person, "received": now()})
