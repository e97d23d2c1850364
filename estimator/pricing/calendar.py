"""The days of a job: template, forms, pours, strip, hone, seal, cure, ship, install; and the floor it takes by week.

Work falls on working days, curing on every day. Pours follow each other day by day as their forms allow; hands are
not levelled over the pours, so the calendar is the soonest that forms and curing let it be.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from math import ceil, fsum

from estimator.batching import Batching
from estimator.job import Job
from estimator.notices import Notice
from estimator.pricing.labour import HOUR_S, Labour
from estimator.takeoff import PieceTakeoff

DAY_S = 86_400.0
WEEK_DAYS = 7
SQUARE_FOOT_M2 = 0.3048**2
WHOLE_TOLERANCE = 1e-9
TEMPLATING = ("ballpark", "quoted")  # where the job has come no further, its template is still to be taken
ON_SITE = ("set up on site", "set light pieces", "set medium pieces", "set heavy pieces")
FORM_WORK = ("build forms", "form edges", "knock out sinks", "knock out holes")


@dataclass(frozen=True, slots=True)
class Step:
    """What is done from the first to the last day, both in; day 0 is the start of the job."""

    name: str
    pour: str | None  # None: of the whole job
    first_day: int
    last_day: int
    until_day: int | None = None  # latest day that still does, where there is one


@dataclass(frozen=True, slots=True)
class Week:
    """The most that stands at once in one week: forms in use, floor under pieces."""

    number: int  # from 1
    first_day: int
    forms: int
    floor_m2: float


@dataclass(frozen=True, slots=True)
class Calendar:
    """Days from the start of the job. Without a date the job starts on a Monday."""

    start: date | None
    steps: tuple[Step, ...]
    weeks: tuple[Week, ...]
    warnings: tuple[Notice, ...]

    @property
    def ship_day(self) -> int:
        return next(step.first_day for step in self.steps if step.name == "ship")

    @property
    def last_day(self) -> int:
        return max(step.last_day for step in self.steps)

    def date_of(self, day: int) -> str | None:
        """ISO date of a day; None without a start, and beyond the end of the calendar."""
        if self.start is None or day > (date.max - self.start).days:
            return None
        return (self.start + timedelta(days=day)).isoformat()


@dataclass(frozen=True, slots=True)
class Hands:
    """Who works when."""

    crew: int
    hours_per_day: float
    days_per_week: int
    first_weekday: int  # of day 0, Monday 0

    def workday(self, day: int) -> int:
        """The first working day from `day` on."""
        while (day + self.first_weekday) % WEEK_DAYS >= self.days_per_week:
            day += 1
        return day

    def last_of(self, first_day: int, hours: float, crew: int | None = None) -> int:
        """The last day of work of so many hours of one person, begun on a working day."""
        days = max(1, ceil(hours / (self.hours_per_day * (crew or self.crew)) - WHOLE_TOLERANCE))
        weeks, rest = divmod(days - 1, self.days_per_week)
        day = self.workday(first_day) + weeks * WEEK_DAYS
        for _ in range(rest):
            day = self.workday(day + 1)
        return day


def plan_calendar(
    job: Job,
    pieces: Sequence[PieceTakeoff],
    batching: Batching,
    labour: Labour,
    strip_s: Mapping[str, float] | None = None,
    damp: Collection[str] = (),
) -> Calendar:
    """The soonest calendar of a job.

    strip_s   by mark, how long after placing it is stripped at the latest; `curing.strip_to` where a mark is missing

    damp      marks that are cured wet after stripping, which must dry on both faces before they are sealed

    A form is free for its next pour when its piece is stripped. Curing after a pour: seal from `calendar.seal_from`
    on, ship once the sealer of the last pour has cured. Hours go by the lines of labour, shared over the pours by what
    they cast.
    """
    figures = job.workshop.figures
    start = date.fromisoformat(job.start) if job.start is not None else None
    hands = Hands(
        crew=max(1, int(figures["calendar.shop_crew"])),
        hours_per_day=figures["calendar.hours_per_day"] / HOUR_S,
        days_per_week=min(WEEK_DAYS, max(1, int(figures["calendar.days_per_week"]))),
        first_weekday=start.weekday() if start is not None else 0,
    )
    hours = {line.activity: float(line.hours) for line in labour.lines}
    steps: list[Step] = []
    day = hands.workday(0)
    if job.status in TEMPLATING and "template" in hours:
        last = hands.last_of(day, hours["template"] + hours.get("travel to template", 0.0), crew=1)
        steps.append(Step("template", None, day, last))
        day = hands.workday(last + 1)
    last = hands.last_of(day, fsum(hours.get(name, 0.0) for name in FORM_WORK))
    steps.append(Step("build forms", None, day, last))
    pour_day = hands.workday(last + 1)
    stripped = {taken.piece.mark: figures["curing.strip_to"] for taken in pieces} | dict(strip_s or {})
    free: dict[str, int] = {}  # the day on which a mark's forms are free
    seal_from, seal_to = (ceil(figures[f"calendar.seal_{at}"] / DAY_S - WHOLE_TOLERANCE) for at in ("from", "to"))
    wet_days = ceil(figures["curing.wet_cure"] / DAY_S - WHOLE_TOLERANCE)
    drying_days = ceil(figures["calendar.drying"] / DAY_S - WHOLE_TOLERANCE)
    cure_days = ceil(figures["calendar.sealer_cure"] / DAY_S - WHOLE_TOLERANCE)
    area_m2 = {taken.piece.mark: taken.solid.finished_area_m2 for taken in pieces}
    plan_m2 = {taken.piece.mark: taken.solid.size_m[0] * taken.solid.size_m[1] for taken in pieces}
    whole_m2 = fsum(taken.piece.quantity * taken.solid.finished_area_m2 for taken in pieces)
    stands: list[tuple[int, int, int, float]] = []  # pour day, strip day, forms, footprint
    cured = pour_day
    for pour in batching.pours:
        share = fsum(cast.count * area_m2[cast.mark] for cast in pour.casts) / whole_m2 if whole_m2 > 0.0 else 0.0
        pour_day = hands.workday(max([pour_day, *(free.get(cast.mark, 0) for cast in pour.casts)]))
        longest_s = max(stripped[cast.mark] for cast in pour.casts)
        strip = hands.workday(pour_day + ceil(longest_s / DAY_S - WHOLE_TOLERANCE))
        free |= {cast.mark: strip for cast in pour.casts}
        honed = hands.last_of(strip, hours.get("slurry and hone", 0.0) * share)
        dry_day = pour_day + seal_from
        if any(cast.mark in damp for cast in pour.casts):
            dry_day = max(dry_day, pour_day + wet_days + drying_days)
        seal = hands.workday(max(honed + 1, dry_day))
        sealed = hands.last_of(seal, hours.get("seal", 0.0) * share)
        cured = max(cured, sealed + cure_days)
        steps += [
            Step("pour", pour.name, pour_day, pour_day),
            Step("strip", pour.name, strip, strip),
            Step("slurry and hone", pour.name, strip, honed),
            Step("seal", pour.name, seal, sealed, dry_day + seal_to - seal_from),
            Step("sealer cures", pour.name, sealed + 1, sealed + cure_days),
        ]
        footprint_m2 = fsum(cast.count * plan_m2[cast.mark] for cast in pour.casts)
        stands.append((pour_day, strip, sum(cast.count for cast in pour.casts), footprint_m2))
        pour_day = hands.workday(pour_day + 1)
    ship = hands.workday(cured + 1)
    shipped = hands.last_of(ship, hours.get("crate", 0.0))
    steps.append(Step("ship", None, ship, shipped))
    placed = [line for line in labour.lines if line.activity in ON_SITE]
    if placed:
        first, crew = hands.workday(shipped + 1), max(line.persons for line in placed)
        last = hands.last_of(first, fsum(float(line.hours) for line in placed), crew)
        steps.append(Step("install", None, first, last))
    weeks = _weeks(stands, shipped, hands.first_weekday)
    return Calendar(start, tuple(steps), weeks, _warnings(weeks, steps, figures))


def _weeks(stands: Sequence[tuple[int, int, int, float]], shipped: int, first_weekday: int) -> tuple[Week, ...]:
    """The most of each week: forms from pour to strip, floor from pour to shipping."""
    events: dict[int, tuple[int, float]] = {0: (0, 0.0), shipped + 1: (0, 0.0)}
    for poured, strip, count, plan_m2 in stands:
        for day, forms, floor_m2 in ((poured, count, plan_m2), (strip, -count, 0.0)):
            before = events.get(day, (0, 0.0))
            events[day] = (before[0] + forms, before[1] + floor_m2)
    most: dict[int, tuple[int, float]] = {}
    in_use, standing_m2 = 0, 0.0
    for day, following in pairwise(sorted(events)):
        in_use, standing_m2 = in_use + events[day][0], standing_m2 + events[day][1]
        for week in range((day + first_weekday) // WEEK_DAYS, (following - 1 + first_weekday) // WEEK_DAYS + 1):
            so_far = most.get(week, (0, 0.0))
            most[week] = (max(so_far[0], in_use), max(so_far[1], standing_m2))
    return tuple(
        Week(week + 1, max(0, week * WEEK_DAYS - first_weekday), forms, floor_m2)
        for week, (forms, floor_m2) in most.items()
    )


def _warnings(weeks: Sequence[Week], steps: Sequence[Step], figures: Mapping[str, float]) -> tuple[Notice, ...]:
    told = []
    most = max(weeks, key=lambda week: week.floor_m2)
    if most.floor_m2 > figures["calendar.floor"]:
        text = (
            f"in week {most.number} pieces take {most.floor_m2 / SQUARE_FOOT_M2:.0f} ft² ({most.floor_m2:.0f} m²) of "
            f"floor, where the workshop has {figures['calendar.floor'] / SQUARE_FOOT_M2:.0f} ft²: pour later, ship in "
            "parts, or rack them."
        )
        told.append(Notice("floor-full", text))
    late = [step.pour for step in steps if step.until_day is not None and step.first_day > step.until_day]
    if late:
        text = f"{', '.join(str(pour) for pour in late)}: sealed later than the workshop means to; honing holds it up."
        told.append(Notice("sealing-late", text))
    return tuple(told)
