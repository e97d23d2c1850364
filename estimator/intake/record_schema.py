"""What may be written down of a job, kind by kind: text with its unit in, SI values out."""

from collections.abc import Mapping
from typing import Any, ClassVar, Literal

from pydantic import model_validator

from estimator.errors import Fault
from estimator.intake.base import Name, Table
from estimator.intake.faults import validate
from estimator.intake.fields import Force, Length, Mass, MassOrNone, Price, Ratio, Time, Volume, fault
from estimator.intake.mix_schema import CouponTable
from estimator.records import Record, Records

DAY_S = 86_400.0


class RecordTable(Table):
    """One kind of record; `UNITS` gives the unit that a figure is stored in, as the end of its name."""

    UNITS: ClassVar[Mapping[str, str]] = {}
    note: str | None = None

    def stored(self) -> dict[str, Any]:
        """The values as they are written down, what was not given left out."""
        found = {}
        for name, value in self.model_dump(exclude_none=True).items():
            unit = self.UNITS.get(name)
            found[f"{name}_{unit}" if unit else name] = value
        return found


class BucketRecord(RecordTable):
    """A known volume of fresh mix, struck off and weighed."""

    UNITS = {"container": "m3", "gross": "kg", "tare": "kg"}
    mix: Name
    container: Volume
    gross: Mass
    tare: MassOrNone = 0.0
    air: Ratio | None = None  # by a meter
    batch: Name | None = None

    @model_validator(mode="after")
    def _holds_something(self) -> "BucketRecord":
        if self.gross <= self.tare:
            raise fault("gross is not above tare.", "Weigh the container empty (tare) and full (gross).")
        return self


class BatchRecord(RecordTable):
    """A batch as it was really mixed."""

    UNITS = {"masses": "kg", "designed": "m3"}
    mix: Name
    masses: dict[Name, MassOrNone]
    designed: Volume | None = None
    batch: Name | None = None
    pour: Name | None = None


class HoursRecord(RecordTable):
    """Hours that a task took, of all who worked on it."""

    UNITS = {"time": "s"}
    task: Name
    time: Time
    piece: Name | None = None


class UsedRecord(RecordTable):
    """Material used up, waste in."""

    UNITS = {"mass": "kg"}
    material: Name
    mass: Mass
    lot: Name | None = None


class RemakeRecord(RecordTable):
    """A piece cast again: why, and what it cost."""

    piece: Name
    cause: Name
    cost: Price | None = None
    count: int = 1


class CouponRecord(RecordTable):
    """A flexural coupon tested."""

    UNITS = {"age": "d", "span": "m", "width": "m", "depth": "m", "peak": "n", "limit": "n"}
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
        """Age in days, as strengths are told."""
        found = super().stored()
        return {**found, "age_d": found["age_d"] / DAY_S}


class FinishedRecord(RecordTable):
    """The job is done and its records are complete: hours, batches and material used are all written down."""

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


def recorded_coupons(records: Records, file: str, faults: list[Fault]) -> dict[str, list[CouponTable]]:
    """The coupons written down beside a job, by mix."""
    found: dict[str, list[CouponTable]] = {}
    for number, record in enumerate(records.of("coupon"), start=1):
        table = validate(CouponTable, _as_text(record), file, f"coupon {number}", faults)
        if table is not None and table.mix is not None:
            found.setdefault(table.mix, []).append(table)
    return found


def _as_text(record: Record) -> dict[str, Any]:
    """A stored coupon as the job file writes one."""
    units = {"d": "days", "m": "m", "n": "N"}
    found: dict[str, Any] = {}
    for name, value in record.values.items():
        stem, _, unit = name.rpartition("_")
        if CouponRecord.UNITS.get(stem) == unit and isinstance(value, int | float):
            found[stem] = f"{value:.12f} {units[unit]}"
        else:
            found[name] = value
    return found
