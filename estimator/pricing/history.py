"""What finished jobs really took against what was estimated, and what to reckon with next time.

Materials are compared by mass, activities by hours, over all jobs together: what was taken divided by what was
planned. The next figure is the present one times that ratio. One job is a hint; several are evidence.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import fsum

from estimator.money import ZERO, cents, total
from estimator.pricing.labour import HOUR_S, LabourLine
from estimator.pricing.quote import exact
from estimator.records import Record


@dataclass(frozen=True, slots=True)
class Finished:
    """One job: what was planned, and what was written down of it."""

    name: str
    required_kg: Mapping[str, float]  # by material, waste in
    net_m3: float  # of all pieces, without waste
    batch_m3: float
    labour: Sequence[LabourLine]
    direct: Decimal
    records: Sequence[Record]


@dataclass(frozen=True, slots=True)
class Compared:
    """Planned against taken, of what was written down, over all jobs."""

    name: str
    planned: float
    taken: float
    jobs: int

    @property
    def ratio(self) -> float | None:
        """Taken over planned; None where nothing was planned."""
        return self.taken / self.planned if self.planned > 0.0 else None


@dataclass(frozen=True, slots=True)
class NextRate:
    """A figure of the workshop as it is, and as the jobs suggest it."""

    figure: str  # labour.<figure>
    unit: str  # of what it counts: "m2", "m", or "" for one
    now_s: float
    next_s: float


@dataclass(frozen=True, slots=True)
class Remake:
    """Pieces of a job that were cast again."""

    job: str
    piece: str
    cause: str
    count: int
    cost: Decimal


@dataclass(frozen=True, slots=True)
class History:
    """The record of finished jobs.

    waste_now, waste_next    on cast volume, over all layers; None where no material was written down
    remake_next              cost of remakes over direct cost; None where no job was written down
    unplanned                tasks that were written down and that no activity of the estimate has
    """

    materials: tuple[Compared, ...]
    activities: tuple[Compared, ...]
    rates: tuple[NextRate, ...]
    waste_now: float | None
    waste_next: float | None
    remakes: tuple[Remake, ...]
    remake_next: float | None
    unplanned: tuple[str, ...]


def history_of(jobs: Sequence[Finished]) -> History:
    """What the jobs took against what was planned, with what to reckon with next.

    A task goes by the name of an activity ("build forms") or of its figure ("form"). Material used counts as it was
    written down, otherwise as it was weighed into batches.
    """
    materials: dict[str, list[tuple[float, float]]] = {}
    hours: dict[str, list[tuple[float, float]]] = {}
    lines: dict[str, LabourLine] = {}
    unplanned: dict[str, None] = {}
    remakes: list[Remake] = []
    for job in jobs:
        for name, used_kg in used_kg_of(job.records).items():
            materials.setdefault(name, []).append((job.required_kg.get(name, 0.0), used_kg))
        by_name = {line.activity: line for line in job.labour}
        by_figure = {line.figure: line for line in job.labour}
        for task, taken_h in hours_of(job.records).items():
            line = by_name.get(task) or by_figure.get(task)
            if line is None:
                unplanned[task] = None
            else:
                lines[line.activity] = line
                hours.setdefault(line.activity, []).append((float(line.hours), taken_h))
        remakes += remakes_of(job.name, job.records)
    activities = tuple(_compared(name, pairs) for name, pairs in hours.items())
    compared = tuple(_compared(name, pairs) for name, pairs in materials.items())
    written = [job for job in jobs if job.records]
    direct = total(job.direct for job in written)
    now, following = _waste(jobs, compared)
    return History(
        materials=compared,
        activities=activities,
        rates=tuple(
            NextRate(
                lines[each.name].figure, lines[each.name].unit, lines[each.name].time_s, lines[each.name].time_s * r
            )
            for each in activities
            if (r := each.ratio) is not None
        ),
        waste_now=now,
        waste_next=following,
        remakes=tuple(remakes),
        remake_next=float(total(each.cost for each in remakes) / direct) if direct > 0 else None,
        unplanned=tuple(unplanned),
    )


def used_kg_of(records: Iterable[Record]) -> dict[str, float]:
    """Mass of each material: as written down as used, otherwise as weighed into batches."""
    used: dict[str, list[float]] = {}
    weighed: dict[str, list[float]] = {}
    for record in records:
        if record.kind == "used":
            used.setdefault(str(record.values["material"]), []).append(float(record.values["mass_kg"]))
        elif record.kind == "batch":
            for name, mass_kg in record.values["masses_kg"].items():
                weighed.setdefault(name, []).append(float(mass_kg))
    return {name: fsum(masses) for name, masses in (weighed | used).items()}


def hours_of(records: Iterable[Record]) -> dict[str, float]:
    """Hours by task."""
    tasks: dict[str, list[float]] = {}
    for record in records:
        if record.kind == "hours":
            tasks.setdefault(str(record.values["task"]), []).append(float(record.values["time_s"]) / HOUR_S)
    return {task: fsum(each) for task, each in tasks.items()}


def remakes_of(job: str, records: Iterable[Record]) -> list[Remake]:
    """Pieces cast again; a remake without a cost is told, and counts nothing."""
    return [
        Remake(
            job,
            str(record.values["piece"]),
            str(record.values["cause"]),
            int(record.values.get("count", 1)),
            cents(exact(record.values["cost"])) if "cost" in record.values else ZERO,
        )
        for record in records
        if record.kind == "remake"
    ]


def _compared(name: str, pairs: Sequence[tuple[float, float]]) -> Compared:
    return Compared(name, fsum(planned for planned, _ in pairs), fsum(taken for _, taken in pairs), len(pairs))


def _waste(jobs: Sequence[Finished], materials: Sequence[Compared]) -> tuple[float | None, float | None]:
    """Waste as planned and as it was: (1 + planned) · used / required − 1, over the materials that were planned."""
    planned = [each for each in materials if each.planned > 0.0]
    net_m3 = fsum(job.net_m3 for job in jobs if job.records)
    if not planned or net_m3 <= 0.0:
        return None, None
    now = fsum(job.batch_m3 for job in jobs if job.records) / net_m3 - 1.0
    ratio = fsum(each.taken for each in planned) / fsum(each.planned for each in planned)
    return now, max(0.0, (1.0 + now) * ratio - 1.0)
