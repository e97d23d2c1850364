"""Records of a job, stored beside it as an append-only file with one JSON object per line.

A line is written and flushed to disk before the next one begins. A crash during a write leaves at most one incomplete
line. It is skipped with a warning; the lines before and after it are read.
"""

import json
from collections.abc import Iterator, Mapping
from dataclasses import asdict
from datetime import datetime
from pathlib import Path
from secrets import token_hex
from typing import Any, ClassVar, Literal

from estimator.constants import DAY_S
from estimator.disk import append_line
from estimator.errors import FaultError
from estimator.keys import Force, Length, Mass, MassOrNone, Name, Price, Ratio, Time, Volume, table
from geometry.files import read_bytes
from geometry.frozen import frozen
from geometry.message import Message, message

SCHEMA = "cast-record/1"
_OWN_KEYS = ("schema", "kind", "at")
_ID = "id"


@frozen
class Record:
    """One record.

    kind    "bucket", "batch", "hours", "used", "coupon", "remake", "finished", "calibration"
    at      time, ISO 8601 with its UTC offset
    values  in SI, by name with its unit: "gross_kg"
    id      in the store that it was exported from; "" for none
    """

    kind: str
    at: str
    values: Mapping[str, Any]
    id: str = ""


@frozen
class Records:
    """The records of a job, oldest first, and a warning for each line that could not be read."""

    records: tuple[Record, ...]
    torn: tuple[Message, ...]

    def of(self, kind: str, **values: object) -> tuple[Record, ...]:
        """The records of a kind with these values, oldest first."""
        return tuple(
            record
            for record in self.records
            if record.kind == kind and all(record.values.get(key) == value for key, value in values.items())
        )


def records_path(job_path: Path) -> Path:
    """Path of the records of a job file: `job.records.jsonl` for `job.toml`."""
    return job_path.with_name(f"{job_path.stem}.records.jsonl")


def new_record(kind: str, values: Mapping[str, Any], at: datetime | None = None) -> Record:
    """A record with the current time, or the time given."""
    return Record(kind, (at or datetime.now().astimezone()).isoformat(timespec="seconds"), dict(values))


def append_record(job_path: Path, record: Record) -> Path:
    """Append one record, flush it to disk and return the path of the file. Raises OSError if it cannot be written.

    An incomplete line left by a crash is terminated first, so that the new line does not merge into it. If the disk is
    full, the file is truncated to what it was.
    """
    path = records_path(job_path)
    append_line(path, line_of(record))
    return path


def line_of(record: Record) -> bytes:
    """A record as a line of the file, without the newline."""
    own = {_ID: record.id} if record.id else {}
    line = {"schema": SCHEMA, "kind": record.kind, "at": record.at, **own, **record.values}
    return json.dumps(line, ensure_ascii=False).encode()


MOST_ID = 64  # letters


def new_id() -> str:
    """A new unique id of a record."""
    return token_hex(16)


def read_records(job_path: Path) -> Records:
    """Read the records of a job, oldest first; empty if it has none. Never raises for an incomplete line."""
    path = records_path(job_path)
    try:
        data = read_bytes(path)
    except FileNotFoundError:
        return Records((), ())
    records: list[Record] = []
    torn: list[Message] = []
    for number, line in _lines(data):
        record = _record(line)
        if record is None:
            torn.append(message("warning-record-torn", file=path.name, line=str(number)))
        else:
            records.append(record)
    return Records(tuple(records), tuple(torn))


def _lines(data: bytes) -> Iterator[tuple[int, bytes]]:
    for number, line in enumerate(data.split(b"\n"), start=1):
        if line.strip():
            yield number, line


def _record(line: bytes) -> Record | None:
    """Parse a line; None if it is not a complete record: truncated JSON, zeros left by a crash, invalid UTF-8."""
    try:
        found = json.loads(line)
    except (ValueError, RecursionError):  # bad JSON or encoding, or nested too deeply
        return None
    if not isinstance(found, dict) or not all(isinstance(found.get(key), str) for key in _OWN_KEYS):
        return None
    id, values = found.get(_ID), {key: value for key, value in found.items() if key not in (*_OWN_KEYS, _ID)}
    return Record(found["kind"], found["at"], values, id if isinstance(id, str) and len(id) <= MOST_ID else "")


@table(kw_only=True)
class RecordTable:
    """One kind of record; `UNITS` gives the unit that a figure is stored in, as the end of its name."""

    UNITS: ClassVar[Mapping[str, str]] = {}
    note: str | None = None

    def stored(self) -> dict[str, Any]:
        """The values as they are stored, without those that were not given."""
        found = {}
        for name, value in asdict(self).items():
            if value is None:
                continue
            unit = self.UNITS.get(name)
            found[f"{name}_{unit}" if unit else name] = value
        return found


@table(kw_only=True)
class BucketRecord(RecordTable):
    """A known volume of fresh mix, struck off and weighed."""

    UNITS: ClassVar[Mapping[str, str]] = {"container": "m3", "gross": "kg", "tare": "kg"}
    mix: Name
    container: Volume
    gross: Mass
    tare: MassOrNone = 0.0
    air: Ratio | None = None  # by a meter
    batch: Name | None = None

    def __post_init__(self) -> None:
        if self.gross <= self.tare:
            raise FaultError("", message("record-gross", gross_kg=self.gross, tare_kg=self.tare))


@table(kw_only=True)
class BatchRecord(RecordTable):
    """A batch as mixed."""

    UNITS: ClassVar[Mapping[str, str]] = {"masses": "kg", "designed": "m3"}
    mix: Name
    masses: dict[Name, MassOrNone]
    designed: Volume | None = None
    batch: Name | None = None
    pour: Name | None = None


@table(kw_only=True)
class HoursRecord(RecordTable):
    """Hours of a task, of everybody who worked on it."""

    UNITS: ClassVar[Mapping[str, str]] = {"time": "s"}
    task: Name
    time: Time
    piece: Name | None = None


@table(kw_only=True)
class UsedRecord(RecordTable):
    """Material used up, waste in."""

    UNITS: ClassVar[Mapping[str, str]] = {"mass": "kg"}
    material: Name
    mass: Mass
    lot: Name | None = None


@table(kw_only=True)
class RemakeRecord(RecordTable):
    """A remake of a piece, with its cause and its cost."""

    piece: Name
    cause: Name
    cost: Price | None = None
    count: int = 1


@table(kw_only=True)
class CouponRecord(RecordTable):
    """A flexural coupon tested."""

    UNITS: ClassVar[Mapping[str, str]] = {
        "age": "d", "span": "m", "width": "m", "depth": "m", "peak": "n", "limit": "n"
    }  # fmt: skip
    mix: Name
    pour: Name
    age: Time
    face: Literal["up", "down"]
    span: Length
    width: Length
    depth: Length
    peak: Force
    limit: Force | None = None

    def stored(self) -> dict[str, Any]:
        """The values, with the age in days."""
        found = RecordTable.stored(self)
        return {**found, "age_d": found["age_d"] / DAY_S}


@table(kw_only=True)
class FinishedRecord(RecordTable):
    """The job is finished and its records are complete: hours, batches and material used."""

    note: Name | None = None


KINDS: Mapping[str, type[RecordTable]] = {
    "bucket": BucketRecord,
    "batch": BatchRecord,
    "hours": HoursRecord,
    "used": UsedRecord,
    "coupon": CouponRecord,
    "remake": RemakeRecord,
    "finished": FinishedRecord,
}
