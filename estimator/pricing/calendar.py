"""The days of a job, from template and forms to shipping and setting on site; and the floor it takes by week.

Work falls on working days, curing on every day. Everything with hours takes them from the people who are in the shop on
that day: what several lift together needs all of them at the same time. Pours come first, then each pour's finishing in
its turn; the calendar is the soonest that forms, curing and hands let it be.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from itertools import pairwise
from math import ceil, fsum

from estimator.batching import Batching, Pour
from estimator.constants import DAY_S, HOUR_S
from estimator.job import Job, Mix, Workshop
from estimator.notices import Notice
from estimator.packaging.forms import FORM_MATERIAL
from estimator.packaging.stage import form_of
from estimator.pricing.labor import Labor, LaborLine, WorkStep
from estimator.takeoff import PieceTakeoff
from estimator.workshop import Settings
from geometry.frozen import frozen
from geometry.message import Message, message

WEEK_DAYS = 7
WHOLE_TOLERANCE = 1e-9
MOST_LEVELED_DAYS = 5_000  # of one task: twenty working years; beyond it only the sum of its hours is stated
TEMPLATING = ("ballpark", "quoted")  # where the job has come no further, its template is still to be taken
MOST_NAMED = 6  # pours or days in one warning; the sheets name them all
MIX_PARTS = ("cementitious", "aggregate", "admixtures", "polymer", "pigment", "fibre")


@frozen
class Step:
    """What is done from the first to the last day, both in; day 0 is the start of the job."""

    name: str
    pour: str | None  # None: of the whole job
    first_day: int
    last_day: int
    until_day: int | None = None  # latest day that still does, where there is one

    @property
    def label(self) -> Message:
        """The step as people read it."""
        return message(f"step-{self.name.replace(' ', '-')}")


@frozen
class Week:
    """The most that stands at once in one week: forms in use, floor under pieces."""

    number: int  # from 1
    first_day: int
    forms: int
    floor_m2: float


@frozen
class Calendar:
    """Days from the start of the job. Without a date the job starts on a Monday.

    lead_days   working days from the approval, on day 0, to the day it ships
    needed      by material, the working day before the first on which it is used
    attended    by pour, the days off on which it is due to be stripped or to be kept wet, so that somebody must come
    """

    start: date | None
    steps: tuple[Step, ...]
    weeks: tuple[Week, ...]
    warnings: tuple[Notice, ...]
    lead_days: int
    needed: Mapping[str, int]
    attended: Mapping[str, tuple[int, ...]]

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


@frozen
class Hands:
    """Who works when."""

    crew: int
    hours_per_day: float
    days_per_week: int
    first_weekday: int  # of day 0, Monday 0
    closed: frozenset[int] = frozenset()  # days on which nobody works, beside those off in every week

    def works(self, day: int) -> bool:
        return (day + self.first_weekday) % WEEK_DAYS < self.days_per_week and day not in self.closed

    def workday(self, day: int) -> int:
        """The first working day from `day` on."""
        while not self.works(day):
            day += 1
        return day

    def before(self, day: int) -> int:
        """The last working day before `day`, at the earliest day 0."""
        return next((earlier for earlier in range(day - 1, 0, -1) if self.works(earlier)), 0)

    def after(self, day: int, count: int) -> int:
        """The working day that is `count` working days after the working day `day`."""
        weeks, rest = divmod(count, self.days_per_week)
        ahead = day + weeks * WEEK_DAYS
        lost = sum(day < day_off <= ahead and self._in_week(day_off) for day_off in self.closed)
        ahead = self.workday(ahead)
        for _ in range(rest + lost):
            ahead = self.workday(ahead + 1)
        return ahead

    def workdays_to(self, day: int) -> int:
        """Working days after day 0, up to and with `day`."""
        weeks, rest = divmod(day, WEEK_DAYS)
        tail = sum(self._in_week(week_day) for week_day in range(day - rest + 1, day + 1))
        return (
            weeks * self.days_per_week
            + tail
            - sum(0 < week_day <= day and self._in_week(week_day) for week_day in self.closed)
        )

    def last_of(self, first_day: int, hours: float, crew: int | None = None) -> int:
        """The last day of so many hours of one person, begun on a working day, where nothing else is done."""
        days = max(1, ceil(hours / (self.hours_per_day * (crew or self.crew)) - WHOLE_TOLERANCE))
        return self.after(self.workday(first_day), days - 1)

    def _in_week(self, day: int) -> bool:
        return (day + self.first_weekday) % WEEK_DAYS < self.days_per_week


@dataclass(slots=True)
class Bench:
    """The hours that each person in the shop still has on each day."""

    hands: Hands
    _free: dict[int, list[float]] = field(default_factory=dict)
    _next: dict[int, int] = field(default_factory=dict)  # from a day without hours left, where to look next

    def free(self, day: int) -> list[float]:
        """Hours left on a working day, of each person."""
        return self._free.setdefault(day, [self.hands.hours_per_day] * self.hands.crew)

    def day_for(self, first_day: int, hours: float) -> int:
        """The first working day from `first_day` on that has so many hours left; a whole one for more than it has."""
        wanted = min(hours, self.hands.crew * self.hands.hours_per_day)
        day = self._open(first_day)
        while fsum(self.free(day)) < wanted - WHOLE_TOLERANCE:
            day = self._open(day + 1)
        return day

    def take(self, first_day: int, hours: float, persons: int | None = None) -> tuple[int, int]:
        """Gives a task its hours from `first_day` on; returns its first and its last day.

        hours     of one person, of all who work at it
        persons   who do it together, at the same time; None: as many as are free. More than the shop has are helped
                  from outside, and take everybody in the shop
        """
        hands = self.hands
        if hours <= WHOLE_TOLERANCE:
            day = hands.workday(first_day)
            return day, day
        if hours > MOST_LEVELED_DAYS * hands.crew * hands.hours_per_day:
            return hands.workday(first_day), hands.last_of(first_day, hours)
        together = None if persons is None else min(persons, hands.crew)
        left = hours if persons is None else hours / persons  # of all, or of the clock
        first: int | None = None
        day = self._open(first_day)
        while True:
            free = sorted(self.free(day), reverse=True)
            if together is None:
                spent_h = self._spend(day, left)
            else:
                spent_h = min(left, free[together - 1])
                self._free[day] = [*(free_h - spent_h for free_h in free[:together]), *free[together:]]
            if spent_h > WHOLE_TOLERANCE:
                first = day if first is None else first
                left -= spent_h
            if left <= WHOLE_TOLERANCE:
                return (day if first is None else first), day
            day = self._open(day + 1)

    def _spend(self, day: int, hours: float) -> float:
        """Takes what is free on a day from its people, one after the other; returns how much that was."""
        left, after = hours, []
        for free_h in self.free(day):
            spent = min(free_h, left)
            after.append(free_h - spent)
            left -= spent
        self._free[day] = after
        return hours - left

    def _open(self, day: int) -> int:
        """The first working day from `day` on on which anybody has time."""
        passed = []
        while True:
            if day in self._next:
                passed.append(day)
                day = self._next[day]
            elif not self.hands.works(day) or max(self.free(day)) <= WHOLE_TOLERANCE:
                passed.append(day)
                self._next[day] = day + 1
                day += 1
            else:
                for skipped_day in passed:
                    self._next[skipped_day] = day
                return day


@frozen
class _Cast:
    """A pour with the days that casting and stripping take."""

    pour: Pour
    day: int
    strip_day: int
    stripped_day: int
    dry_day: int  # from it on the pour may be sealed
    attended: tuple[int, ...]  # days off on which it is due to be stripped or to be kept wet


def plan_calendar(
    job: Job,
    pieces: Sequence[PieceTakeoff],
    batching: Batching,
    labour: Labor,
    strip_s: Mapping[str, float] | None = None,
    damp: Collection[str] = (),
) -> Calendar:
    """The soonest calendar of a job.

    strip_s   by mark, how long after placing it is stripped at the latest; `curing.strip_to` where a mark is missing
    damp      marks that are cured wet after stripping, which must dry on both faces before they are sealed

    A form is free for its next pour when its piece is stripped. Curing after a pour: seal from `calendar.seal_from`
    on, crate once the sealer of the last pour has cured, and ship on the next working day. Hours go by the lines of
    labor, shared over the pours by what they cast. Working days that signed change orders ask for come before crating.
    """
    shop = job.workshop
    start = date.fromisoformat(job.start) if job.start is not None else None
    hands = _hands(shop, start)
    bench, work = Bench(hands), _Work(job, labour)
    steps: list[Step] = []
    day = hands.workday(0)
    if job.status in TEMPLATING and work.whole("template"):
        first, last = bench.take(day, work.whole("template"), 1)
        steps.append(Step("template", None, first, last))
        day = hands.workday(last + 1)
    forms_day, last = bench.take(day, work.whole("forms"))
    steps.append(Step("build forms", None, forms_day, last))
    casts = _cast(job, batching, work, bench, last + 1, strip_s or {}, damp)
    finished, cured = _finish(casts, work, bench, shop)
    steps += finished
    held = sum(change.days for change in job.changes if change.signed is not None)
    ready = hands.workday(cured + 1)
    if held:
        steps.append(Step("held by change orders", None, ready, hands.after(ready, held - 1)))
        ready = hands.after(ready, held)
    ship, crating = ready, work.whole("crate")
    if crating:
        first, last = bench.take(ready, crating)
        steps.append(Step("crate", None, first, last))
        ship = hands.workday(last + 1)
    steps.append(Step("ship", None, ship, ship))
    if labour.site_days:
        first = hands.workday(ship + 1)
        steps.append(Step("install", None, first, hands.after(first, labour.site_days - 1)))
    weeks = _weeks(_stands(casts, pieces), ship, hands.first_weekday)
    return Calendar(
        start=start,
        steps=tuple(steps),
        weeks=weeks,
        warnings=(*_warnings(weeks, steps, shop), *_over_hours(casts, work, hands), *_unattended(casts, start)),
        lead_days=hands.workdays_to(ship),
        needed=_needed(job, batching, casts, hands, forms_day),
        attended={cast.pour.name: cast.attended for cast in casts if cast.attended},
    )


def _hands(shop: Workshop, start: date | None) -> Hands:
    """Who works how long on which days."""
    closed = frozenset((day - start).days for day in shop.closed_days) if start is not None else frozenset[int]()
    return Hands(
        crew=max(1, int(shop.calendar.shop_crew)),
        hours_per_day=shop.calendar.hours_per_day_s / HOUR_S,
        days_per_week=min(WEEK_DAYS, max(1, int(shop.calendar.days_per_week))),
        first_weekday=start.weekday() if start is not None else 0,
        closed=closed,
    )


def _stands(casts: Sequence[_Cast], pieces: Sequence[PieceTakeoff]) -> list[tuple[int, int, int, float]]:
    """Of each pour: the day it is cast, the day it is stripped, its forms, and the floor that its pieces take, m²."""
    plan_m2 = {taken.piece.mark: taken.solid.size_m[0] * taken.solid.size_m[1] for taken in pieces}
    return [
        (
            cast.day,
            cast.stripped_day,
            sum(part.count for part in cast.pour.casts),
            fsum(part.count * plan_m2[part.mark] for part in cast.pour.casts),
        )
        for cast in casts
    ]


class _Work:
    """The hours of each step: of the whole job, and of one pour by what it casts."""

    def __init__(self, job: Job, labour: Labor) -> None:
        self._quantity = {piece.mark: piece.quantity for piece in job.pieces}
        self._lines: dict[WorkStep, list[tuple[LaborLine, float]]] = {}
        for line in labour.lines:
            self._lines.setdefault(line.step, []).append((line, fsum(line.by_mark.values())))

    def whole(self, step: WorkStep) -> float:
        """Hours of a step over the whole job."""
        return fsum(float(line.hours) for line, _ in self._lines.get(step, ()))

    def of(self, step: WorkStep, pour: Pour) -> list[tuple[float, int]]:
        """Hours of one pour, and the people who work together, line by line."""
        notices = []
        for line, whole in self._lines.get(step, ()):
            part = fsum(
                line.by_mark.get(cast.mark, 0.0) * cast.count / self._quantity[cast.mark] for cast in pour.casts
            )
            if whole > 0.0 and part > 0.0:
                notices.append((float(line.hours) * part / whole, line.persons))
        return notices

    def hours(self, step: WorkStep, pour: Pour) -> float:
        return fsum(hours for hours, _ in self.of(step, pour))


def _cast(
    job: Job,
    batching: Batching,
    work: _Work,
    bench: Bench,
    first_day: int,
    strip_s: Mapping[str, float],
    damp: Collection[str],
) -> list[_Cast]:
    """Every pour on the first day on which its forms and the hours of casting are free, and its stripping."""
    shop, hands = job.workshop, bench.hands
    strip_to, seal_from = shop.curing.strip_to_s, _whole_days(shop.calendar.seal_from_s)
    wet_days = _whole_days(shop.curing.wet_cure_s)
    drying = wet_days + _whole_days(shop.calendar.drying_s)
    free: dict[str, int] = {}  # the day on which a mark's forms are free
    casts, earliest = [], first_day
    for pour in batching.pours:
        hours = work.hours("pour", pour)
        day = bench.day_for(max([earliest, *(free.get(cast.mark, 0) for cast in pour.casts)]), hours)
        bench.take(day, hours)
        longest_s = max(strip_s.get(cast.mark, strip_to) for cast in pour.casts)
        due = day + _whole_days(longest_s)
        strip_day = stripped = hands.workday(due)
        for part, persons in work.of("strip", pour):
            stripped = max(stripped, bench.take(strip_day, part, persons)[1])
        free |= {cast.mark: stripped for cast in pour.casts}
        wet = any(cast.mark in damp for cast in pour.casts)
        attended = tuple(
            wet_day for wet_day in range(due, max(due, day + wet_days if wet else 0) + 1) if not hands.works(wet_day)
        )
        casts.append(_Cast(pour, day, strip_day, stripped, day + max(seal_from, drying if wet else 0), attended))
        earliest = day + 1
    return casts


def _finish(casts: Sequence[_Cast], work: _Work, bench: Bench, shop: Settings) -> tuple[list[Step], int]:
    """The steps of every pour, and the day on which the last sealer has cured."""
    late_days = _whole_days(shop.calendar.seal_to_s) - _whole_days(shop.calendar.seal_from_s)
    cure_days = _whole_days(shop.calendar.sealer_cure_s)
    steps, cured = [], 0
    for cast in casts:
        name = cast.pour.name
        hone, honed = bench.take(cast.stripped_day, work.hours("hone", cast.pour))
        seal, sealed = bench.take(max(honed + 1, cast.dry_day), work.hours("seal", cast.pour))
        cured = max(cured, sealed + cure_days)
        steps += [
            Step("pour", name, cast.day, cast.day),
            Step("strip", name, cast.strip_day, cast.stripped_day),
            Step("slurry and hone", name, hone, honed),
            Step("seal", name, seal, sealed, cast.dry_day + late_days),
            Step("sealer cures", name, sealed + 1, sealed + cure_days),
        ]
    return steps, cured


def _needed(job: Job, batching: Batching, casts: Sequence[_Cast], hands: Hands, forms_day: int) -> dict[str, int]:
    """By material, the working day before its first use: of a mix before the first pour that takes it, of what forms
    take before they are built, of what faces take before the first is stripped."""
    days = {cast.pour.name: cast.day for cast in casts}
    used: dict[str, int] = {}

    def note(material: str, day: int) -> None:
        used[material] = min(day, used.get(material, day))

    for batch in batching.batches:
        for material in _materials_of(job.mixes[batch.mix]):
            note(material, days[batch.pour])
    first_cast, first_strip = min(days.values()), min(cast.strip_day for cast in casts)
    for material, rate in job.workshop.consumables.items():
        if rate.each == "form" or rate.basis == "edge-length":
            note(material, forms_day)
        else:
            note(material, first_strip if rate.basis == "finished-area" else first_cast)
    for piece in job.pieces:
        kind, _ = form_of(piece, job.workshop)
        if kind in FORM_MATERIAL:
            note(FORM_MATERIAL[kind], forms_day)
        for taken in piece.takes:
            note(taken.material, first_cast)
    return {material: hands.before(day) for material, day in sorted(used.items(), key=lambda item: (item[1], item[0]))}


def _materials_of(mix: Mix) -> list[str]:
    return [material for part in MIX_PARTS for material in getattr(mix, part)]


def _whole_days(time_s: float) -> int:
    return ceil(time_s / DAY_S - WHOLE_TOLERANCE)


def _over_hours(casts: Sequence[_Cast], work: _Work, hands: Hands) -> tuple[Notice, ...]:
    """Pours that take more hours on their day than the people in the shop have."""
    day_h = hands.crew * hands.hours_per_day
    taken = {cast.pour.name: work.hours("pour", cast.pour) for cast in casts}
    over = [name for name, hours in taken.items() if hours > day_h + WHOLE_TOLERANCE]
    if not over:
        return ()
    text = message(
        "warning-pour-over-hours", pours=over, hours=ceil(max(taken.values()) - 0.5), shop_hours=f"{day_h:g}"
    )
    return (Notice("pour-over-hours", text),)


def _unattended(casts: Sequence[_Cast], start: date | None) -> tuple[Notice, ...]:
    """Pours that need somebody on days off: to strip them, or to keep them wet."""
    pours = [cast.pour.name for cast in casts if cast.attended]
    if not pours:
        return ()
    days = sorted({day for cast in casts for day in cast.attended})
    days_named: list[str | Message] = [
        message("warning-day-of-week", day=day % WEEK_DAYS, week=day // WEEK_DAYS + 1)
        if start is None or day > (date.max - start).days
        else message("warning-day", day_date=(start + timedelta(days=day)).isoformat())
        for day in days[:MOST_NAMED]
    ]
    if len(days) > MOST_NAMED:
        days_named.append(message("warning-more-days", count=len(days) - MOST_NAMED))
    pours_named: list[str | Message] = [*pours[:MOST_NAMED]]
    if len(pours) > MOST_NAMED:
        pours_named.append(message("warning-more-pours", count=len(pours) - MOST_NAMED))
    text = message("warning-days-off", pours=pours_named, days=days_named)
    return (Notice("attendance-on-days-off", text),)


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


def _warnings(weeks: Sequence[Week], steps: Sequence[Step], shop: Settings) -> tuple[Notice, ...]:
    notices = []
    most = max(weeks, key=lambda week: week.floor_m2)
    if most.floor_m2 > shop.calendar.floor_m2:
        text = message(
            "warning-floor-full", week=most.number, floor_m2=most.floor_m2, shop_floor_m2=shop.calendar.floor_m2
        )
        notices.append(Notice("floor-full", text))
    late = [step.pour for step in steps if step.until_day is not None and step.first_day > step.until_day]
    if late:
        text = message("warning-sealing-late", pours=[str(pour) for pour in late])
        notices.append(Notice("sealing-late", text))
    return tuple(notices)
