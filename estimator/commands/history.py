"""`cast-estimator history`: what finished jobs really took against their estimates."""

import json
import sys
from collections.abc import Sequence
from dataclasses import asdict
from decimal import Decimal
from math import fsum
from pathlib import Path

from estimator.commands.compare import estimates
from estimator.errors import Fault, InputError
from estimator.estimate import Estimate
from estimator.pricing.history import Finished, History, history_of
from estimator.records import Record, read_records, records_path

EVIDENCE = 3  # jobs from which on a ratio is more than a hint


def run(paths: Sequence[Path], *, as_json: bool) -> None:
    """Prints the history. Raises InputError with every fault of the jobs, or where nothing was written down."""
    _check_twice(paths)
    done = estimates(paths)
    finished = []
    for path, each in zip(paths, done, strict=True):
        found = read_records(path)
        for text in found.torn:
            print(f"warning: {text}", file=sys.stderr)
        finished.append(_finished(each, found.records))
    if not any(job.records for job in finished):
        names = ", ".join(records_path(path).name for path in paths)
        what = f"nothing was written down: there is no {names}."
        raise InputError([Fault(paths[0].name, "", what, "Write it down with `record`.")])
    history = history_of(finished)
    if as_json:
        print(json.dumps(asdict(history), indent=2, ensure_ascii=False, default=_plain))
        return
    from estimator.report.comparison import history_sheets
    from estimator.report.terminal import print_sheets
    from estimator.report.words import Words

    job = done[0].job
    count = sum(bool(each.records) for each in finished)
    title = f"{count} {'job' if count == 1 else 'jobs'}, planned and taken"
    print_sheets(title, history_sheets(history, Words(job.units, job.currency)), _notes(history))


def _notes(history: History) -> list[str]:
    """What the figures leave out and why, and how far to trust them."""
    notes = []
    if history.unplanned:
        notes.append(f"Written down, but no activity of the estimate: {', '.join(history.unplanned)}.")
    if history.incomplete:
        names = ", ".join(history.incomplete)
        notes.append(f"Records not complete, so no rates from: {names}. When all is written down: record JOB finished.")
    notes += [
        f"{missing.job}: {missing.written} of {missing.planned} batches of {missing.mix} written down. "
        "No waste is taken from them. Write down the rest, or the material used."
        for missing in history.missing_batches
    ]
    unpriced = [f"{remake.job} {remake.piece}" for remake in history.remakes if remake.cost is None]
    if unpriced:
        notes.append(f"Remakes without a cost: {', '.join(unpriced)}. Their jobs propose no share for remakes.")
    if history.least_jobs is not None and history.least_jobs < EVIDENCE:
        notes.append("One or two jobs are only a hint. Change a rate when several agree.")
    return notes


def _check_twice(paths: Sequence[Path]) -> None:
    """Refuses a job that is named twice: it would count as evidence twice."""
    known = set[Path]()
    faults = []
    for path in paths:
        if path.resolve() in known:
            faults.append(Fault(path.name, "", "the job is named twice.", "Name each job once."))
        known.add(path.resolve())
    if faults:
        raise InputError(faults)


def _finished(done: Estimate, records: Sequence[Record]) -> Finished:
    batches: dict[str, int] = {}
    for batch in done.batching.batches:
        batches[batch.mix] = batches.get(batch.mix, 0) + batch.count
    mixes_of = {
        line.material: frozenset(name for name, mix in done.mixes.items() if line.material in mix.recipe_kg_m3)
        for line in done.materials.lines
    }
    return Finished(
        name=done.job.name,
        required_kg={line.material: line.required_kg for line in done.materials.lines},
        net_m3=fsum(piece.taken.piece.quantity * piece.taken.volume_m3 for piece in done.pieces),
        batch_m3=fsum(done.batching.batch_m3.values()),
        labour=done.pricing.labour.lines,
        direct=done.cost.direct.total,
        records=records,
        batches=batches,
        mixes_of=mixes_of,
    )


def _plain(value: object) -> float:
    if isinstance(value, Decimal):
        return float(value)
    raise TypeError(f"{type(value).__name__} has no place in a history")
