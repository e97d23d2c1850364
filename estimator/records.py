"""What a workshop writes down as it goes, next to the job: one JSON object a line, only ever added to.

A line is written and forced to the disk whole before the next one begins. A crash in mid-write leaves at most one
torn line: it is told and left out, and what was written before and after it counts.
"""

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from estimator.disk import append_line
from geometry.files import read_bytes

SCHEMA = "cast-record/1"
_OWN_KEYS = ("schema", "kind", "at")


@dataclass(frozen=True, slots=True)
class Record:
    """One thing written down.

    kind    "bucket", "batch", "hours", "used", "coupon", "remake", "finished", "calibration"
    at      when, ISO 8601 with its offset
    values  by name with its unit, SI: "gross_kg"
    """

    kind: str
    at: str
    values: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Records:
    """All that is written down for a job, oldest first, and what of it could not be read."""

    records: tuple[Record, ...]
    torn: tuple[str, ...]

    def of(self, kind: str, **values: object) -> tuple[Record, ...]:
        """The records of a kind that hold these values, oldest first."""
        return tuple(
            each
            for each in self.records
            if each.kind == kind and all(each.values.get(key) == value for key, value in values.items())
        )


def records_path(job_path: Path) -> Path:
    """Where the records of a job file are kept: `job.toml` has them in `job.records.jsonl`."""
    return job_path.with_name(f"{job_path.stem}.records.jsonl")


def new_record(kind: str, values: Mapping[str, Any], at: datetime | None = None) -> Record:
    """A record of now, or of the time given."""
    return Record(kind, (at or datetime.now().astimezone()).isoformat(timespec="seconds"), dict(values))


def append_record(job_path: Path, record: Record) -> Path:
    """Adds one record and returns once it is on the disk. Raises OSError where it cannot be written.

    A torn line that an earlier crash left is ended first, so that it takes no other line with it; a line that does
    not fit on the disk is taken out again.
    """
    path = records_path(job_path)
    line = json.dumps({"schema": SCHEMA, "kind": record.kind, "at": record.at, **record.values}, ensure_ascii=False)
    append_line(path, line.encode())
    return path


def read_records(job_path: Path) -> Records:
    """The records of a job, oldest first; none where nothing was written down. Never raises for a torn line."""
    path = records_path(job_path)
    try:
        data = read_bytes(path)
    except FileNotFoundError:
        return Records((), ())
    records: list[Record] = []
    torn: list[str] = []
    for number, line in _lines(data):
        record = _record(line)
        if record is None:
            torn.append(f"{path.name}: line {number} was cut off in writing and is left out; write it down again.")
        else:
            records.append(record)
    return Records(tuple(records), tuple(torn))


def _lines(data: bytes) -> Iterator[tuple[int, bytes]]:
    for number, line in enumerate(data.split(b"\n"), start=1):
        if line.strip():
            yield number, line


def _record(line: bytes) -> Record | None:
    """None for what is not a whole record: cut JSON, zeros that a crash left, bytes that are no text."""
    try:
        found = json.loads(line)
    except ValueError:  # of the text or of its encoding
        return None
    if not isinstance(found, dict) or not all(isinstance(found.get(key), str) for key in _OWN_KEYS):
        return None
    return Record(found["kind"], found["at"], {key: value for key, value in found.items() if key not in _OWN_KEYS})
