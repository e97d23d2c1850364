"""Finished jobs compared with their estimates, and the figures to plan with next time.

Materials are compared by mass and activities by hours, over all jobs together, as the ratio of actual to planned. The
next figure is the present one times that ratio, from complete records only: half the batches of a job do not show its
waste. If several jobs are complete, the spread between them is given too.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import field
from decimal import Decimal
from math import fsum

from estimator.constants import HOUR_S
from estimator.money import cents, total
from estimator.pricing.labor import LaborLine
from estimator.pricing.quote import exact
from estimator.records import Record
from geometry.frozen import frozen


@frozen
class Finished:
    """One job: its plan and its records."""

    name: str
    required_kg: Mapping[str, float]  # by material, waste included
    net_m3: float  # of all pieces, without waste
    batch_m3: float
    labour: Sequence[LaborLine]
    direct: Decimal
    records: Sequence[Record]
    batches: Mapping[str, int] = field(default_factory=dict)  # planned, by mix
    mixes_of: Mapping[str, frozenset[str]] = field(default_factory=dict)  # by material, the mixes that contain it

    @property
    def is_finished(self) -> bool:
        """Whether the shop has marked the records as finished."""
        return any(record.kind == "finished" for record in self.records)

    @property
    def missing_batches(self) -> tuple[MissingBatches, ...]:
        """Mixes with only part of their batches recorded, if that leaves a material incomplete."""
        written = {mix: sum(1 for record in self.records if _is_batch_of(record, mix)) for mix in self.batches}
        return tuple(
            MissingBatches(self.name, mix, written[mix], planned)
            for mix, planned in self.batches.items()
            if 0 < written[mix] < planned
            and not all(self.is_complete(name) for name, mixes in self.mixes_of.items() if mix in mixes)
        )

    def is_complete(self, material: str) -> bool:
        """Whether all use of a material is recorded.

        If a material is recorded as used, only the shop can say that the record is complete: it may have recorded one
        bag of nine. Otherwise every planned batch that contains the material must be recorded with its mass.
        """
        if any(record.kind == "used" and record.values["material"] == material for record in self.records):
            return self.is_finished
        mixes = self.mixes_of.get(material, frozenset())
        return bool(mixes) and all(
            sum(1 for record in self.records if _is_batch_of(record, mix) and material in record.values["masses_kg"])
            >= self.batches.get(mix, 0)
            for mix in mixes
        )


@frozen
class MissingBatches:
    """Number of batches of one mix of a job that were recorded, and planned."""

    job: str
    mix: str
    written: int
    planned: int


def _is_batch_of(record: Record, mix: str) -> bool:
    return record.kind == "batch" and record.values.get("mix") == mix


@frozen
class Compared:
    """Planned and actual amount of what was recorded, over all jobs.

    jobs       number of jobs with any record of it
    complete   (planned, taken) of each job whose record of it is complete
    """

    name: str
    planned: float
    taken: float
    jobs: int
    complete: tuple[tuple[float, float], ...] = ()

    @property
    def ratio(self) -> Spread | None:
        """Ratio of taken to planned in the complete records, with its spread over the jobs; None without any."""
        return spread_of(self.complete)


@frozen
class Spread:
    """A ratio over several jobs together, and the smallest and largest for a single job."""

    whole: float
    low: float
    high: float
    jobs: int


def spread_of(pairs: Sequence[tuple[float, float]]) -> Spread | None:
    """Ratio of taken to planned over (planned, taken) pairs; None if nothing was planned."""
    known = [(planned, taken) for planned, taken in pairs if planned > 0.0]
    if not known:
        return None
    ratios = [taken / planned for planned, taken in known]
    whole = fsum(taken for _, taken in known) / fsum(planned for planned, _ in known)
    return Spread(whole, min(ratios), max(ratios), len(known))


@frozen
class NextRate:
    """A labor figure of the shop: its present value, and the value suggested by the jobs."""

    figure: str  # labour.<figure>
    unit: str  # "m2", "m", or "" for a count
    now_s: float
    next_s: float
    low_s: float  # from the job that took the least time, and the most
    high_s: float
    jobs: int


@frozen
class Remake:
    """Pieces of a job that were cast again; cost is None if none was recorded."""

    job: str
    piece: str
    cause: str
    count: int
    cost: Decimal | None


@frozen
class History:
    """Comparison of finished jobs with their estimates, and the proposed figures.

    waste_now, waste_next       waste on cast volume, over all layers; None if no job has a complete material
    waste_spread, waste_jobs    (smallest, largest) of a single job, None like waste_next; and the number of jobs
    remake_next                 cost of remakes over direct cost, from finished jobs whose remakes all have a cost; None
                                without any
    remake_spread, remake_jobs  as for the waste
    unplanned                   recorded tasks that match no activity of the estimate
    incomplete                  jobs not recorded as finished, which are not used for labor and remake rates
    missing_batches             mixes with unrecorded batches, which are not used for the waste
    """

    materials: tuple[Compared, ...]
    activities: tuple[Compared, ...]
    rates: tuple[NextRate, ...]
    waste_now: float | None
    waste_next: float | None
    waste_spread: tuple[float, float] | None
    waste_jobs: int
    remakes: tuple[Remake, ...]
    remake_next: float | None
    remake_spread: tuple[float, float] | None
    remake_jobs: int
    unplanned: tuple[str, ...]
    incomplete: tuple[str, ...]
    missing_batches: tuple[MissingBatches, ...]

    @property
    def least_jobs(self) -> int | None:
        """Number of jobs behind the proposal with the fewest; None if nothing is proposed."""
        counts = [self.waste_jobs, self.remake_jobs if self.remakes else 0, *(rate.jobs for rate in self.rates)]
        return min((count for count in counts if count), default=None)


def history_of(jobs: Sequence[Finished]) -> History:
    """Comparison of jobs with their plans, and the figures to plan with next time.

    A task is named after an activity ("build forms") or its figure ("form"); both are added up within a job. Material
    counts as recorded as used, otherwise as weighed into batches.
    """
    materials: dict[str, list[_Pair]] = {}
    hours: dict[str, list[_Pair]] = {}
    lines: dict[str, LaborLine] = {}
    scaled: dict[str, list[tuple[float, float]]] = {}  # complete hours, planned by the figure of the last job
    unplanned: dict[str, None] = {}
    remakes: list[Remake] = []
    for job in jobs:
        for name, used_kg in used_kg_of(job.records).items():
            materials.setdefault(name, []).append(_Pair(job.required_kg.get(name, 0.0), used_kg, job.is_complete(name)))
        taken_h, unmatched = _hours_by_activity(job)
        unplanned |= dict.fromkeys(unmatched)
        for line in job.labour:
            if line.activity in taken_h:
                pair = _Pair(float(line.hours), taken_h[line.activity], job.is_finished)
                lines[line.activity] = line
                hours.setdefault(line.activity, []).append(pair)
                if pair.complete and line.time_s > 0.0:
                    scaled.setdefault(line.activity, []).append((pair.planned / line.time_s, pair.taken))
        remakes += remakes_of(job.name, job.records)
    waste_now, waste = _waste(jobs)
    remake_spread = _remade(jobs)
    recorded = [job for job in jobs if job.records]
    return History(
        materials=tuple(_compared(name, pairs) for name, pairs in materials.items()),
        activities=tuple(_compared(name, pairs) for name, pairs in hours.items()),
        rates=tuple(
            _next_rate(lines[activity], ratio)
            for activity, pairs in scaled.items()
            if (ratio := spread_of([(units * lines[activity].time_s, taken) for units, taken in pairs])) is not None
        ),
        waste_now=waste_now,
        waste_next=None if waste is None else waste.whole,
        waste_spread=None if waste is None else (waste.low, waste.high),
        waste_jobs=0 if waste is None else waste.jobs,
        remakes=tuple(remakes),
        remake_next=None if remake_spread is None else remake_spread.whole,
        remake_spread=None if remake_spread is None else (remake_spread.low, remake_spread.high),
        remake_jobs=0 if remake_spread is None else remake_spread.jobs,
        unplanned=tuple(unplanned),
        incomplete=tuple(job.name for job in recorded if not job.is_finished),
        missing_batches=tuple(missing for job in recorded for missing in job.missing_batches),
    )


def _hours_by_activity(job: Finished) -> tuple[dict[str, float], list[str]]:
    """Hours taken by activity, and the tasks that match no activity of the job."""
    by_figure = {line.figure: line.activity for line in job.labour}
    activities = {line.activity for line in job.labour}
    taken: dict[str, list[float]] = {}
    unmatched: list[str] = []
    for task, task_h in hours_of(job.records).items():
        activity = task if task in activities else by_figure.get(task)
        if activity is None:
            unmatched.append(task)
        else:
            taken.setdefault(activity, []).append(task_h)
    return {activity: fsum(tasks) for activity, tasks in taken.items()}, unmatched


def _remade(jobs: Sequence[Finished]) -> Spread | None:
    """Cost of remakes over direct cost of finished jobs, without jobs that have a remake of unknown cost."""
    known: list[tuple[float, float]] = []
    for job in jobs:
        costs = [remake.cost for remake in remakes_of(job.name, job.records)]
        if job.is_finished and None not in costs:
            known.append((float(job.direct), float(total(cost for cost in costs if cost is not None))))
    return spread_of(known)


def _next_rate(line: LaborLine, ratio: Spread) -> NextRate:
    now_s = line.time_s
    return NextRate(
        line.figure, line.unit, now_s, now_s * ratio.whole, now_s * ratio.low, now_s * ratio.high, ratio.jobs
    )


def used_kg_of(records: Iterable[Record]) -> dict[str, float]:
    """Mass of each material as recorded as used, otherwise as weighed into batches, those thrown away too."""
    used: dict[str, list[float]] = {}
    weighed: dict[str, list[float]] = {}
    for record in records:
        if record.kind == "used":
            used.setdefault(str(record.values["material"]), []).append(float(record.values["mass_kg"]))
        elif record.kind in ("batch", "thrown"):
            for name, mass_kg in record.values["masses_kg"].items():
                weighed.setdefault(name, []).append(float(mass_kg))
    return {name: fsum(masses) for name, masses in (weighed | used).items()}


def hours_of(records: Iterable[Record]) -> dict[str, float]:
    """Hours by task."""
    tasks: dict[str, list[float]] = {}
    for record in records:
        if record.kind == "hours":
            tasks.setdefault(str(record.values["task"]), []).append(float(record.values["time_s"]) / HOUR_S)
    return {task: fsum(hours) for task, hours in tasks.items()}


def remakes_of(job: str, records: Iterable[Record]) -> list[Remake]:
    """Pieces cast again, each with its cost if one was recorded."""
    return [
        Remake(
            job,
            str(record.values["piece"]),
            str(record.values["cause"]),
            int(record.values.get("count", 1)),
            cents(exact(record.values["cost"])) if "cost" in record.values else None,
        )
        for record in records
        if record.kind == "remake"
    ]


@frozen
class _Pair:
    planned: float
    taken: float
    complete: bool


def _compared(name: str, pairs: Sequence[_Pair]) -> Compared:
    complete = tuple((pair.planned, pair.taken) for pair in pairs if pair.complete)
    planned, taken = fsum(pair.planned for pair in pairs), fsum(pair.taken for pair in pairs)
    return Compared(name, planned, taken, len(pairs), complete)


def _waste(jobs: Sequence[Finished]) -> tuple[float | None, Spread | None]:
    """Planned waste, and actual waste with its spread: (1 + planned) · used / required − 1.

    Uses the jobs with at least one complete material, and only their complete materials.
    """
    materials: list[tuple[Finished, float, float]] = []
    for job in jobs:
        used = used_kg_of(job.records)
        known = [name for name in used if job.required_kg.get(name, 0.0) > 0.0 and job.is_complete(name)]
        if known and job.net_m3 > 0.0:
            materials.append((job, fsum(job.required_kg[name] for name in known), fsum(used[name] for name in known)))
    if not materials:
        return None, None
    now = fsum(job.batch_m3 for job, _, _ in materials) / fsum(job.net_m3 for job, _, _ in materials)
    shares = [max(0.0, job.batch_m3 / job.net_m3 * used / required - 1.0) for job, required, used in materials]
    ratio = fsum(used for _, _, used in materials) / fsum(required for _, required, _ in materials)
    return now - 1.0, Spread(max(0.0, now * ratio - 1.0), min(shares), max(shares), len(materials))
