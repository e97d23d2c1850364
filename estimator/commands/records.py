"""record and history: what was weighed and used, against what was planned."""

import json
from collections.abc import Sequence
from dataclasses import asdict
from decimal import Decimal
from math import fsum
from pathlib import Path
from typing import Any

from estimator.commands.jobs import estimates
from estimator.commands.mixes import in_words_of_job, writing
from estimator.errors import Fault, InputError, no_file
from estimator.estimate import Estimate
from estimator.intake.faults import keys_of, validate
from estimator.intake.read import read_job, read_shelf_of, words_of_file
from estimator.names import nearest, same_name
from estimator.pricing.history import Finished, History, history_of
from estimator.records import KINDS, Record, RecordTable, new_record, records_path
from estimator.report.screen import print_warnings
from estimator.store.records import add_record, records_of
from estimator.words import PLAIN, Words, words_for
from geometry.message import Message, message
from geometry.numbers import decimal_number


@in_words_of_job
def run_record(job: Path, kind: str | None, fields: Sequence[str]) -> None:
    """Adds one record, or prints those there are where no kind is named. Raises InputError for what is at fault."""
    if not job.is_file():
        raise InputError([no_file(job)])
    if kind is None:
        _list(job)
        return
    if kind not in KINDS:
        raise InputError([Fault("record", "", message("record-kind", kind=kind, nearest=nearest(kind, KINDS)))])
    raw = _fields(kind, fields)
    faults: list[Fault] = []
    table = validate(KINDS[kind], raw, "record", kind, faults)
    if table is None:
        raise InputError(faults)
    _check_names(job, kind, table)
    with writing(records_path(job)):
        file = add_record(job, new_record(kind, table.stored()))
    print(PLAIN("record-written", file=file, kind=kind))


def _list(job: Path) -> None:
    recorded, words = records_of(job), words_of_file(job)
    print_warnings(map(words.text, recorded.torn))
    for record in recorded.records:
        values = ", ".join(_shown(name, value, words) for name, value in record.values.items())
        print(f"{record.at}  {record.kind}: {values}")
    print(words("record-count", file=records_path(job).name, count=len(recorded.records)))


def _fields(kind: str, fields: Sequence[str]) -> dict[str, Any]:
    """ "name=value" pairs; of a batch, a name that is no field is a material and its mass."""
    keys = keys_of(KINDS[kind])
    raw: dict[str, Any] = {}
    for field in fields:
        name, parted, value = field.partition("=")
        name, value = name.strip(), value.strip()
        if not parted:
            raise InputError([Fault("record", kind, _field_message(kind, field))])
        if "masses" in keys and name not in keys:
            raw.setdefault("masses", {})[name] = value
        elif name == "masses":
            raise InputError([Fault("record", kind, message("record-masses"))])
        else:
            raw[name] = int(value) if name == "count" and value.isascii() and value.isdecimal() else _plain(name, value)
    return raw


def _field_message(kind: str, field: str) -> Message:
    imperial, metric = EXAMPLES[kind]
    return message("record-field", field=field, example=message("in-units", imperial=imperial, metric=metric))


def _plain(name: str, value: str) -> Any:
    """The value as a number where it is a price or a share, else as text."""
    if name in ("cost", "air"):
        try:
            return decimal_number(value)
        except ValueError:
            return value
    return value


def _check_names(job: Path, kind: str, table: RecordTable) -> None:
    """Refuses a name that the job does not know: it was mistyped. A job at fault elsewhere stops no record."""
    shelf = read_shelf_of(job).shelf
    if shelf is None:
        print_warnings([PLAIN("warning-record-unchecked", job=job.name)])
        return
    values = asdict(table)
    faults = []
    mix = values.get("mix")
    if mix is not None and mix not in shelf.mix_names:
        problem = message("mix-unknown", name=mix, nearest=nearest(mix, shelf.mix_names))
        faults.append(Fault("record", f"{kind}, mix", problem))
    materials = [*(values.get("masses") or ()), *([values["material"]] if "material" in values else [])]
    for name in materials:
        if name not in shelf.kinds and name != "water":
            problem = message("material-unknown", name=name, nearest=nearest(name, shelf.kinds))
            faults.append(Fault("record", kind, problem))
    piece = values.get("piece")
    if piece is not None:
        read = read_job(job).job
        marks = [] if read is None else [listed.mark for listed in read.pieces]
        if marks and same_name(piece, marks) is None:
            problem = message("piece-unknown", mark=piece, nearest=nearest(piece, marks))
            faults.append(Fault("record", f"{kind}, piece", problem))
    if faults:
        raise InputError(faults)


EXAMPLES = {  # fields of each kind of record, in imperial and in metric units
    "bucket": ('container="0.25 ft^3"', 'container="10 L"'),
    "batch": ('white-cement="52 lb"', 'white-cement="24 kg"'),
    "hours": ('time="3 h"', 'time="3 h"'),
    "used": ('mass="80 lb"', 'mass="36 kg"'),
    "remake": ("cost=120", "cost=120"),
    "finished": ('note="installed"', 'note="installed"'),
    "coupon": ('span="10 in"', 'span="250 mm"'),
}


def _shown(name: str, value: object, words: Words) -> str:
    """A figure of a record with its name; of several under one name, each with its own."""
    if isinstance(value, dict):
        unit = name.rpartition("_")[2]
        parts = ", ".join(" ".join(words.shown(f"{part}_{unit}", amount)) for part, amount in value.items())
        return f"{words.shown(name, '')[0]} ({parts})"
    return " ".join(words.shown(name, value))


EVIDENCE = 3  # jobs from which on a ratio is more than a hint


def run_history(paths: Sequence[Path], *, as_json: bool) -> None:
    """Prints the history. Raises InputError with every fault of the jobs, or where nothing was written down."""
    _check_twice(paths)
    results = estimates(paths)
    finished = []
    for path, job_result in zip(paths, results, strict=True):
        recorded = records_of(path)
        print_warnings(map(PLAIN.text, recorded.torn))
        finished.append(_finished(job_result, recorded.records))
    if not any(job.records for job in finished):
        names = [records_path(path).name for path in paths]
        raise InputError([Fault(paths[0].name, "", message("records-none", files=names))])
    history = history_of(finished)
    if as_json:
        print(json.dumps(asdict(history), indent=2, ensure_ascii=False, default=_history_plain))
        return
    from estimator.report.mix_sheets import history_sheets
    from estimator.report.screen import print_sheets

    words = words_for(results[0].job)
    title = words("history-title", count=sum(bool(job_result.records) for job_result in finished))
    print_sheets(title, history_sheets(history, words), _notes(history, words))


def _notes(history: History, words: Words) -> list[str]:
    """Notes on what the figures leave out and why, and how far to trust them."""
    notes = []
    if history.unplanned:
        notes.append(words("history-unplanned", tasks=history.unplanned))
    if history.incomplete:
        notes.append(words("history-incomplete", jobs=history.incomplete))
    notes += [
        words(
            "history-missing-batches",
            job=missing.job,
            recorded=missing.written,
            planned=missing.planned,
            mix_name=missing.mix,
        )
        for missing in history.missing_batches
    ]
    unpriced = [f"{remake.job} {remake.piece}" for remake in history.remakes if remake.cost is None]
    if unpriced:
        notes.append(words("history-remakes-unpriced", remakes=unpriced))
    if history.least_jobs is not None and history.least_jobs < EVIDENCE:
        notes.append(words("history-hint"))
    return notes


def _check_twice(paths: Sequence[Path]) -> None:
    """Refuses a job that is named twice: it would count as evidence twice."""
    paths_seen = set[Path]()
    faults = []
    for path in paths:
        if path.resolve() in paths_seen:
            faults.append(Fault(path.name, "", message("job-named-twice")))
        paths_seen.add(path.resolve())
    if faults:
        raise InputError(faults)


def _finished(result: Estimate, records: Sequence[Record]) -> Finished:
    batches: dict[str, int] = {}
    for batch in result.batching.batches:
        batches[batch.mix] = batches.get(batch.mix, 0) + batch.count
    mixes_of = {
        line.material: frozenset(name for name, mix in result.mixes.items() if line.material in mix.recipe_kg_m3)
        for line in result.materials.lines
    }
    return Finished(
        name=result.job.name,
        required_kg={line.material: line.required_kg for line in result.materials.lines},
        net_m3=fsum(piece.taken.piece.quantity * piece.taken.volume_m3 for piece in result.pieces),
        batch_m3=fsum(result.batching.batch_m3.values()),
        labour=result.pricing.labour.lines,
        direct=result.cost.direct.total,
        records=records,
        batches=batches,
        mixes_of=mixes_of,
    )


def _history_plain(value: object) -> float:
    if isinstance(value, Decimal):
        return float(value)
    raise TypeError(f"{type(value).__name__} has no place in a history")
