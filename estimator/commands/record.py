"""`cast-estimator record`: writes down what was weighed, mixed, taken and tested, next to the job."""

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from estimator.commands.mixes import writing
from estimator.errors import Fault, InputError
from estimator.intake.faults import nearest, validate
from estimator.intake.read import read_job, read_shelf_of
from estimator.intake.record_schema import KINDS, RecordTable
from estimator.names import same_name
from estimator.records import append_record, new_record, read_records, records_path
from estimator.report.terminal import print_warnings


def run(job: Path, kind: str | None, fields: Sequence[str]) -> None:
    """Adds one record, or prints those there are where no kind is named. Raises InputError for what is at fault."""
    if not job.is_file():
        raise InputError(
            [Fault(job.name, "", "there is no such file.", "Name the job file that the record belongs to.")]
        )
    if kind is None:
        _list(job)
        return
    if kind not in KINDS:
        raise InputError([Fault("record", "", f'"{kind}" is no kind of record.', nearest(kind, KINDS))])
    raw = _fields(kind, fields)
    faults: list[Fault] = []
    table = validate(KINDS[kind], raw, "record", kind, faults)
    if table is None:
        raise InputError(faults)
    _check_names(job, kind, table)
    with writing(records_path(job)):
        path = append_record(job, new_record(kind, table.stored()))
    print(f"{path.name}: {kind} written down.")


def _list(job: Path) -> None:
    found = read_records(job)
    print_warnings(found.torn)
    for each in found.records:
        values = ", ".join(f"{name} {_shown(value)}" for name, value in each.values.items())
        print(f"{each.at}  {each.kind}: {values}")
    print(f"{records_path(job).name}: {len(found.records)} records.")


def _fields(kind: str, fields: Sequence[str]) -> dict[str, Any]:
    """ "name=value" pairs; of a batch, a name that is no field is a material and its mass."""
    known = KINDS[kind].model_fields
    raw: dict[str, Any] = {}
    for each in fields:
        name, parted, value = each.partition("=")
        name, value = name.strip(), value.strip()
        if not parted:
            raise InputError(
                [Fault("record", kind, f'"{each}" is no field.', f"Write name=value, such as {_example(kind)}.")]
            )
        if "masses" in known and name not in known:
            raw.setdefault("masses", {})[name] = value
        elif name == "masses":
            raise InputError(
                [Fault("record", kind, "masses are written one by one.", 'Write white-cement="52 lb" ...')]
            )
        else:
            raw[name] = int(value) if name == "count" and value.isdecimal() else _plain(name, value)
    return raw


def _plain(name: str, value: str) -> Any:
    """A price or a share may be a bare number; all else is text."""
    if name in ("cost", "air"):
        try:
            return float(value)
        except ValueError:
            return value
    return value


def _check_names(job: Path, kind: str, table: RecordTable) -> None:
    """Refuses a name that the job does not know: it was mistyped. A job at fault elsewhere stops no record."""
    shelf = read_shelf_of(job).shelf
    if shelf is None:
        print_warnings([f"{job.name} cannot be read: the names of this record are not checked"])
        return
    values = table.model_dump()
    faults = []
    mix = values.get("mix")
    if mix is not None and mix not in shelf.mix_names:
        faults.append(Fault("record", f"{kind}, mix", f'there is no mix "{mix}".', nearest(mix, shelf.mix_names)))
    materials = [*(values.get("masses") or ()), *([values["material"]] if "material" in values else [])]
    for name in materials:
        if name not in shelf.kinds and name != "water":
            faults.append(Fault("record", kind, f'there is no material "{name}".', nearest(name, shelf.kinds)))
    piece = values.get("piece")
    if piece is not None:
        read = read_job(job).job
        marks = [] if read is None else [each.mark for each in read.pieces]
        if marks and same_name(piece, marks) is None:
            faults.append(Fault("record", f"{kind}, piece", f'there is no piece "{piece}".', nearest(piece, marks)))
    if faults:
        raise InputError(faults)


def _example(kind: str) -> str:
    return {
        "bucket": 'mix=backer-45 container="0.25 ft^3" gross="30 lb" tare="5 lb"',
        "batch": 'mix=backer-45 white-cement="52 lb" water="19 lb"',
        "hours": 'task=form time="3 h"',
        "used": 'material=white-cement mass="80 lb"',
        "remake": 'piece=C1 cause="bead at the face" cost=120',
        "finished": 'note="set on site, nothing open"',
        "coupon": 'mix=backer-45 pour=A age="28 days" face=up span="10 in" width="2 in" depth="1/2 in" peak="60 lbf"',
    }[kind]


def _shown(value: object) -> str:
    if isinstance(value, dict):
        return "(" + ", ".join(f"{name} {_shown(each)}" for name, each in value.items()) + ")"
    return f"{value:.6g}" if isinstance(value, float) else str(value)
