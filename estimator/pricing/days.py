"""Days on which each pour is cast, stripped, honed and sealed: the earliest that forms, curing and labor allow.

Each task takes its hours from the people in the shop on that day. A lift by several people needs them at the same
time. Pours are scheduled first, then the finishing of each pour in turn. A long run of equal days is computed until it
repeats by whole weeks; the days in between are counted, not computed.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import ceil, fsum

from estimator.batching import Pour
from estimator.constants import DAY_S
from estimator.job import Job
from estimator.pricing.labor import Labor, LaborLine, WorkStep
from estimator.workshop import Settings
from geometry.frozen import frozen

WEEK_DAYS = 7
WHOLE_TOLERANCE = 1e-9
MOST_LEVELED_DAYS = 5_000  # of one task: twenty working years; beyond it only its total hours count
LONG_RUN = 600  # days of one pour; a longer run is computed this far and checked for repeating weeks
LONGEST_PERIOD = 8 * WEEK_DAYS


@frozen
class Hands:
    """Crew, hours and working days of a shop."""

    crew: int
    hours_per_day: float
    days_per_week: int
    first_weekday: int  # of day 0, Monday 0
    closed: frozenset[int] = frozenset()  # days on which nobody works, besides the weekly days off

    def works(self, day: int) -> bool:
        return (day + self.first_weekday) % WEEK_DAYS < self.days_per_week and day not in self.closed

    def workday(self, day: int) -> int:
        """First working day on or after `day`."""
        while not self.works(day):
            day += 1
        return day

    def before(self, day: int) -> int:
        """Last working day before `day`, or day 0."""
        return next((earlier for earlier in range(day - 1, 0, -1) if self.works(earlier)), 0)

    def after(self, day: int, count: int) -> int:
        """Working day `count` working days after the working day `day`."""
        weeks, rest = divmod(count, self.days_per_week)
        ahead = day + weeks * WEEK_DAYS
        lost = sum(day < day_off <= ahead and self._in_week(day_off) for day_off in self.closed)
        for _ in range(rest + lost):
            ahead = self.workday(ahead + 1)
        return ahead

    def workdays_to(self, day: int) -> int:
        """Number of working days after day 0 through `day`."""
        weeks, rest = divmod(day, WEEK_DAYS)
        tail = sum(self._in_week(week_day) for week_day in range(day - rest + 1, day + 1))
        return (
            weeks * self.days_per_week
            + tail
            - sum(0 < week_day <= day and self._in_week(week_day) for week_day in self.closed)
        )

    def last_of(self, first_day: int, hours: float, crew: int | None = None) -> int:
        """Last day of a task of `hours` person-hours started on a working day, if nothing else is done."""
        days = max(1, ceil(hours / (self.hours_per_day * (crew or self.crew)) - WHOLE_TOLERANCE))
        return self.after(self.workday(first_day), days - 1)

    def _in_week(self, day: int) -> bool:
        return (day + self.first_weekday) % WEEK_DAYS < self.days_per_week


@dataclass(slots=True)
class Bench:
    """Hours that each person in the shop has left on each day."""

    hands: Hands
    _free: dict[int, list[float]] = field(default_factory=dict)
    _next: dict[int, int] = field(default_factory=dict)  # from a day without hours left, the next day to try

    def copy(self) -> "Bench":
        """Independent copy with the same hours left."""
        return Bench(self.hands, {day: [*hours] for day, hours in self._free.items()}, dict(self._next))

    def free(self, day: int) -> list[float]:
        """Hours that each person has left on a working day."""
        return self._free.setdefault(day, [self.hands.hours_per_day] * self.hands.crew)

    def day_for(self, first_day: int, hours: float) -> int:
        """First working day from `first_day` on with `hours` left, or with all hours left if no day has that many."""
        wanted = min(hours, self.hands.crew * self.hands.hours_per_day)
        day = self._open(first_day)
        while fsum(self.free(day)) < wanted - WHOLE_TOLERANCE:
            day = self._open(day + 1)
        return day

    def take(self, first_day: int, hours: float, persons: int | None = None) -> tuple[int, int]:
        """Take the hours of a task from `first_day` on; return its first and its last day.

        hours     total person-hours
        persons   people who work on it at the same time; None: as many as are free. If that is more than the shop has,
                  everybody in the shop works on it with help from outside
        """
        hands = self.hands
        if hours <= WHOLE_TOLERANCE:
            day = hands.workday(first_day)
            return day, day
        if hours > MOST_LEVELED_DAYS * hands.crew * hands.hours_per_day:
            return hands.workday(first_day), hands.last_of(first_day, hours)
        together = None if persons is None else min(persons, hands.crew)
        left = hours if persons is None else hours / persons  # person-hours, or clock hours
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
        """Take up to `hours` of free time on a day, person by person; return the hours taken."""
        left, remaining = hours, []
        for free_h in self.free(day):
            spent = min(free_h, left)
            remaining.append(free_h - spent)
            left -= spent
        self._free[day] = remaining
        return hours - left

    def _open(self, day: int) -> int:
        """First working day from `day` on with any hours left."""
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
class CastDay:
    """One day of a pour, and the days on which its pieces are stripped and finished.

    number    index of the day within the pour, from 0
    dry_day   first day on which the pour may be sealed
    attended  days off on which it must be stripped or kept wet
    """

    pour: Pour
    number: int
    day: int
    strip_day: int
    stripped_day: int
    dry_day: int
    attended: tuple[int, ...]
    hone_day: int = 0
    honed_day: int = 0
    seal_day: int = 0
    sealed_day: int = 0

    @property
    def after(self) -> tuple[int, ...]:
        """Its days, relative to the day it is cast."""
        days = (self.strip_day, self.stripped_day, self.dry_day, self.hone_day, self.honed_day, self.seal_day)
        return tuple(day - self.day for day in (*days, self.sealed_day, *self.attended))

    def later(self, days: int) -> "CastDay":
        """Same cast day, `days` later."""
        return replace(
            self,
            day=self.day + days,
            strip_day=self.strip_day + days,
            stripped_day=self.stripped_day + days,
            dry_day=self.dry_day + days,
            attended=tuple(day + days for day in self.attended),
            hone_day=self.hone_day + days,
            honed_day=self.honed_day + days,
            seal_day=self.seal_day + days,
            sealed_day=self.sealed_day + days,
        )


@frozen
class Gap:
    """Days of a run that repeat the days before them and are counted, not listed.

    at         number of cast days before it
    first_day  first day of the gap, not counting other gaps
    days       length, in whole weeks
    casts      days of casting in it
    attended   days off on which somebody must come in
    """

    at: int
    first_day: int
    days: int
    casts: int
    attended: int


@frozen
class Plan:
    """Days of all pours. They leave out the `gaps`, and later days do not count them."""

    casts: tuple[CastDay, ...]
    gaps: tuple[Gap, ...]
    bench: Bench

    @property
    def left_out(self) -> int:
        """Total days of the gaps."""
        return sum(gap.days for gap in self.gaps)

    def dated(self) -> list[CastDay]:
        """Cast days with the gaps counted."""
        return [cast.later(sum(gap.days for gap in self.gaps if gap.at <= i)) for i, cast in enumerate(self.casts)]


@frozen
class Way:
    """Settings for scheduling pours.

    strip_s  by mark, the latest time after placing to strip it
    damp     marks that are cured wet after stripping
    """

    shop: Settings
    work: "Work"
    first_day: int
    strip_s: Mapping[str, float]
    damp: Collection[str]


def plan_days(pours: Sequence[Pour], way: Way, bench: Bench) -> Plan:
    """Plan of every pour on the first day when its forms and the casting hours are free, with its finishing.

    bench  hours left before; it is not changed. The plan has the hours left after
    """
    lengths = [pour.days for pour in pours]
    after_closed = max((day for day in bench.hands.closed if day >= 0), default=0)
    enough = [min(days, LONG_RUN + after_closed) for days in lengths]
    if enough != lengths:
        periods = _periods(_worked_off(pours, enough, way, bench), enough, lengths, after_closed)
        if periods is not None:
            short = [n + (days - n) % p if p else days for n, days, p in zip(enough, lengths, periods, strict=True)]
            plan = _worked_off(pours, short, way, bench)
            if _periods(plan, short, lengths, after_closed) == periods:
                return Plan(plan.casts, tuple(_gaps(plan, short, lengths, periods)), plan.bench)
    return _worked_off(pours, lengths, way, bench)


def _periods(plan: Plan, worked: Sequence[int], lengths: Sequence[int], after: int) -> list[int] | None:
    """Period in days of casting of each shortened run, 0 for one that is not shortened; None if one does not repeat."""
    periods, start = list[int](), 0
    for done, whole in zip(worked, lengths, strict=True):
        run = plan.casts[start : start + done]
        start += done
        period = _period(run, plan.bench, after) if done < whole or whole > LONG_RUN + after else 0
        if period is None:
            return None
        periods.append(period)
    return periods


def _period(run: Sequence[CastDay], bench: Bench, after: int) -> int | None:
    """Period of the middle of a run, in days of casting, hours left included; None if it does not repeat."""
    low, high = len(run) - 400, len(run) - 200
    if run[low].day <= after:
        return None
    for period in range(1, LONGEST_PERIOD + 1):
        days = run[low + period].day - run[low].day
        if days % WEEK_DAYS or any(
            run[i + period].day - run[i].day != days or run[i + period].after != run[i].after
            for i in range(low, high - period)
        ):
            continue
        span = range(run[low].day, run[high - period].day)
        alike = all(
            abs(a - b) <= WHOLE_TOLERANCE
            for day in span
            for a, b in zip(sorted(bench.free(day)), sorted(bench.free(day + days)), strict=True)
        )
        idle = any(bench.hands.works(day) and min(bench.free(day)) > WHOLE_TOLERANCE for day in span[:days])
        return period if alike and idle else None
    return None


def _gaps(plan: Plan, worked: Sequence[int], lengths: Sequence[int], periods: Sequence[int]) -> "list[Gap]":
    gaps, start = [], 0
    for done, whole, period in zip(worked, lengths, periods, strict=True):
        if period and whole > done:
            at = start + done - 300
            times = (whole - done) // period
            first_day = plan.casts[at].day
            span = range(first_day, plan.casts[at + period].day)
            attended = {day for cast in plan.casts for day in cast.attended if day in span}
            gaps.append(Gap(at, first_day, times * len(span), times * period, times * len(attended)))
        start += done
    return gaps


def _worked_off(pours: Sequence[Pour], lengths: Sequence[int], way: Way, bench: Bench) -> Plan:
    """Plan of pours of given lengths in days."""
    bench = bench.copy()
    casts = _cast(pours, lengths, way, bench)
    hone, seal = ({pour.name: way.work.hours(step, pour) for pour in pours} for step in ("hone", "seal"))
    finished = []
    for cast in casts:
        hone_day, honed = bench.take(cast.stripped_day, hone[cast.pour.name])
        seal_day, sealed = bench.take(max(honed + 1, cast.dry_day), seal[cast.pour.name])
        finished.append(replace(cast, hone_day=hone_day, honed_day=honed, seal_day=seal_day, sealed_day=sealed))
    return Plan(tuple(finished), (), bench)


def _cast(pours: Sequence[Pour], lengths: Sequence[int], way: Way, bench: Bench) -> list[CastDay]:
    """Cast days of every pour on the first day when its forms and the casting hours are free, with its stripping."""
    shop, hands = way.shop, bench.hands
    strip_to, seal_from = shop.curing.strip_to_s, whole_days(shop.calendar.seal_from_s)
    wet_days = whole_days(shop.curing.wet_cure_s)
    drying = wet_days + whole_days(shop.calendar.drying_s)
    free: dict[str, int] = {}  # the day on which a mark's forms are free
    casts, earliest = [], way.first_day
    for pour, length in zip(pours, lengths, strict=True):
        hours, strips = way.work.hours("pour", pour), way.work.of("strip", pour)
        longest = whole_days(max(way.strip_s.get(cast.mark, strip_to) for cast in pour.casts))
        wet = any(cast.mark in way.damp for cast in pour.casts)
        for number in range(length):
            day = bench.day_for(max([earliest, *(free.get(cast.mark, 0) for cast in pour.casts)]), hours)
            bench.take(day, hours)
            due = day + longest
            strip_day = stripped = hands.workday(due)
            for part, persons in strips:
                stripped = max(stripped, bench.take(strip_day, part, persons)[1])
            for cast in pour.casts:
                free[cast.mark] = stripped
            attended = tuple(
                wet_day
                for wet_day in range(due, max(due, day + wet_days if wet else 0) + 1)
                if not hands.works(wet_day)
            )
            dry_day = day + max(seal_from, drying if wet else 0)
            casts.append(CastDay(pour, number, day, strip_day, stripped, dry_day, attended))
            earliest = day + 1
    return casts


class Work:
    """Hours of each step, for the whole job and for one pour by what it casts."""

    def __init__(self, job: Job, labour: Labor) -> None:
        self._quantity = {piece.mark: piece.quantity for piece in job.pieces}
        self._known: dict[tuple[WorkStep, int], list[tuple[float, int]]] = {}
        self._lines: dict[WorkStep, list[tuple[LaborLine, float]]] = {}
        for line in labour.lines:
            self._lines.setdefault(line.step, []).append((line, fsum(line.by_mark.values())))

    def whole(self, step: WorkStep) -> float:
        """Hours of a step over the whole job."""
        return fsum(float(line.hours) for line, _ in self._lines.get(step, ()))

    def of(self, step: WorkStep, pour: Pour) -> list[tuple[float, int]]:
        """Hours of one pour and the number of people who work together, line by line."""
        shares = self._known.get((step, pour.day))
        if shares is None:
            shares = self._known[step, pour.day] = self._shares(step, pour)
        return shares

    def _shares(self, step: WorkStep, pour: Pour) -> list[tuple[float, int]]:
        shares = []
        casts = [(cast.mark, cast.count, self._quantity[cast.mark]) for cast in pour.casts]
        for line, whole in self._lines.get(step, ()):
            weight_of = line.by_mark.get
            part = fsum([weight_of(mark, 0.0) * count / quantity for mark, count, quantity in casts])
            if whole > 0.0 and part > 0.0:
                shares.append((float(line.hours) * part / whole, line.persons))
        return shares

    def hours(self, step: WorkStep, pour: Pour) -> float:
        return fsum(hours for hours, _ in self.of(step, pour))


def whole_days(time_s: float) -> int:
    return ceil(time_s / DAY_S - WHOLE_TOLERANCE)
