"""Calendar of a job, from template and forms to shipping and installation, and the floor area used by week.

Work is done on working days, and curing runs every day. The calendar is the earliest that forms, curing and labor
allow.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta
from itertools import groupby, islice, pairwise
from math import ceil, fsum

from estimator.batching import Batching, Pour
from estimator.batching.rounds import pour_list
from estimator.constants import HOUR_S
from estimator.job import Job, Mix, Workshop
from estimator.notices import Notice
from estimator.packaging.forms import FORM_MATERIAL
from estimator.packaging.stage import form_of
from estimator.pricing.days import (
    WEEK_DAYS,
    WHOLE_TOLERANCE,
    Bench,
    CastDay,
    Hands,
    Plan,
    Way,
    Work,
    plan_days,
    whole_days,
)
from estimator.pricing.labor import Labor
from estimator.takeoff import PieceTakeoff
from estimator.workshop import Settings
from geometry.frozen import frozen
from geometry.message import Message, message

TEMPLATING = ("ballpark", "quoted")  # job statuses before templating
MOST_WEEKS = 200  # a longer calendar leaves out weeks that repeat the one before
MOST_NAMED = 6  # most pours or days named in a warning; the sheets name them all
MIX_PARTS = ("cementitious", "aggregate", "admixtures", "polymer", "pigment", "fibre")


@frozen
class Step:
    """One step, from its first to its last day inclusive; day 0 is the start of the job."""

    name: str
    pour: str | None  # None: of the whole job
    first_day: int
    last_day: int
    until_day: int | None = None  # latest acceptable day, if any

    @property
    def label(self) -> Message:
        """Name of the step, as a message."""
        return message(f"step-{self.name.replace(' ', '-')}")


@frozen
class Week:
    """Peak use in one week: forms in use and floor area under pieces."""

    number: int  # from 1
    first_day: int
    forms: int
    floor_m2: float


@frozen
class Calendar:
    """Days from the start of the job. Without a date the job starts on a Monday.

    lead_days   working days from approval, on day 0, to the ship day
    needed      by material, the working day before its first use
    attended    by pour, the days off on which it must be stripped or kept wet, so that somebody has to come in
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


def plan_calendar(
    job: Job,
    pieces: Sequence[PieceTakeoff],
    batching: Batching,
    labour: Labor,
    strip_s: Mapping[str, float] | None = None,
    damp: Collection[str] = (),
) -> Calendar:
    """Earliest calendar of a job.

    strip_s   by mark, the latest time after placing to strip it; `curing.strip_to` for a missing mark
    damp      marks that are cured wet after stripping, and must dry on both faces before they are sealed

    A form is free for its next pour when its piece is stripped. After a pour, sealing starts at `calendar.seal_from`,
    crating when the sealer of the last pour has cured, and shipping on the next working day. Hours come from the lines
    of labor, divided over the pours by what they cast. Working days added by signed change orders come before crating.
    """
    shop = job.workshop
    start = date.fromisoformat(job.start) if job.start is not None else None
    hands = _hands(shop, start)
    bench, work = Bench(hands), Work(job, labour)
    steps: list[Step] = []
    day = hands.workday(0)
    if job.status in TEMPLATING and work.whole("template"):
        first, last = bench.take(day, work.whole("template"), 1)
        steps.append(Step("template", None, first, last))
        day = hands.workday(last + 1)
    forms_day, last = bench.take(day, work.whole("forms"))
    steps.append(Step("build forms", None, forms_day, last))
    way = Way(shop, work, last + 1, strip_s or {}, damp)
    plan = plan_days(batching.pours, way, bench)
    casts, late = plan.dated(), plan.left_out
    steps += _pour_steps(casts, shop)
    cured = max((cast.sealed_day for cast in plan.casts), default=0) + whole_days(shop.calendar.sealer_cure_s)
    rest = _after(job, cured, plan.bench, work, labour)
    ship = next(step.first_day for step in rest if step.name == "ship")
    steps += [replace(step, first_day=step.first_day + late, last_day=step.last_day + late) for step in rest]
    weeks = _weeks_with(plan, _weeks(_stands(plan.casts, pieces), ship, hands.first_weekday), pieces)
    over_hours = _over_hours(batching.pours, work, hands)
    return Calendar(
        start=start,
        steps=tuple(steps),
        weeks=weeks,
        warnings=(*_warnings(weeks, casts, shop), *over_hours, *_unattended(casts, plan, start)),
        lead_days=hands.workdays_to(ship + late),
        needed=_needed(job, batching, casts, hands, forms_day),
        attended=_attended(casts),
    )


def _after(job: Job, cured: int, bench: Bench, work: Work, labour: Labor) -> list[Step]:
    """Steps from the day when everything is cured: crate, ship and install."""
    hands = bench.hands
    hold_days = sum(change.days for change in job.changes if change.signed is not None)
    ready = hands.workday(cured + 1)
    rest: list[Step] = []
    if hold_days:
        rest.append(Step("held by change orders", None, ready, hands.after(ready, hold_days - 1)))
        ready = hands.after(ready, hold_days)
    ship, crating = ready, work.whole("crate")
    if crating:
        first, last = bench.take(ready, crating)
        rest.append(Step("crate", None, first, last))
        ship = hands.workday(last + 1)
    rest.append(Step("ship", None, ship, ship))
    if labour.site_days:
        first = hands.workday(ship + 1)
        rest.append(Step("install", None, first, hands.after(first, labour.site_days - 1)))
    return rest


def _pour_steps(casts: Sequence[CastDay], shop: Settings) -> list[Step]:
    """Steps of every pour. A step of a pour of several days runs from its first to its last day."""
    late_days = whole_days(shop.calendar.seal_to_s) - whole_days(shop.calendar.seal_from_s)
    cure_days = whole_days(shop.calendar.sealer_cure_s)
    steps: list[Step] = []
    for pour, group in groupby(casts, key=lambda cast: cast.pour):
        days = [*group]
        first, name = days[0], pour.name
        steps += [
            Step("pour", name, first.day, max(cast.day for cast in days)),
            Step("strip", name, first.strip_day, max(cast.stripped_day for cast in days)),
            Step("slurry and hone", name, first.hone_day, max(cast.honed_day for cast in days)),
            Step("seal", name, first.seal_day, max(cast.sealed_day for cast in days), days[-1].dry_day + late_days),
            Step("sealer cures", name, first.sealed_day + 1, max(cast.sealed_day for cast in days) + cure_days),
        ]
    return steps


MOST_ATTENDED = 14


def _attended(casts: Sequence[CastDay]) -> dict[str, tuple[int, ...]]:
    """Days off on which somebody must come in, by pour; for a pour of several days, the first MOST_ATTENDED."""
    attended: dict[str, tuple[int, ...]] = {}
    for pour, group in groupby(casts, key=lambda cast: cast.pour):
        days = sorted({day for cast in group for day in cast.attended})
        if days:
            attended[pour.name] = tuple(days if pour.days == 1 else days[:MOST_ATTENDED])
    return attended


def _hands(shop: Workshop, start: date | None) -> Hands:
    """Crew, hours and working days of the shop."""
    closed = frozenset((day - start).days for day in shop.closed_days) if start is not None else frozenset[int]()
    return Hands(
        crew=max(1, int(shop.calendar.shop_crew)),
        hours_per_day=shop.calendar.hours_per_day_s / HOUR_S,
        days_per_week=min(WEEK_DAYS, max(1, int(shop.calendar.days_per_week))),
        first_weekday=start.weekday() if start is not None else 0,
        closed=closed,
    )


def _stands(casts: Sequence[CastDay], pieces: Sequence[PieceTakeoff]) -> list[tuple[int, int, int, float]]:
    """Day cast, day stripped, number of forms and floor area of the pieces, m², for each pour."""
    plan_m2 = _plan_m2(pieces)
    return [
        (
            cast.day,
            cast.stripped_day,
            sum(part.count for part in cast.pour.casts),
            _floor_m2(cast.pour, plan_m2),
        )
        for cast in casts
    ]


def _plan_m2(pieces: Sequence[PieceTakeoff]) -> dict[str, float]:
    """Floor area of one piece, m², by mark."""
    return {taken.piece.mark: taken.solid.size_m[0] * taken.solid.size_m[1] for taken in pieces}


def _floor_m2(pour: Pour, plan_m2: Mapping[str, float]) -> float:
    """Floor area of the pieces of one day of a pour, m²."""
    return fsum(part.count * plan_m2[part.mark] for part in pour.casts)


def _needed(job: Job, batching: Batching, casts: Sequence[CastDay], hands: Hands, forms_day: int) -> dict[str, int]:
    """Working day before the first use of each material.

    The first use is the first pour of its mix, the day forms are built for form materials, or the first stripping for
    materials of the finished faces.
    """
    days = {cast.pour.name: cast.day for cast in reversed(casts)}
    used: dict[str, int] = {}

    def note(material: str, day: int) -> None:
        used[material] = min(day, used.get(material, day))

    for mix, pour in dict.fromkeys((batch.mix, batch.pour) for batch in batching.batches):
        for material in _materials_of(job.mixes[mix]):
            note(material, days[pour])
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


def _over_hours(pours: Sequence[Pour], work: Work, hands: Hands) -> tuple[Notice, ...]:
    """Warning of pours that take more hours on their day than the shop has."""
    day_h = hands.crew * hands.hours_per_day
    taken = {pour.name: work.hours("pour", pour) for pour in pours}
    over = [pour for pour in pours if taken[pour.name] > day_h + WHOLE_TOLERANCE]
    if not over:
        return ()
    text = message(
        "warning-pour-over-hours",
        pours=_labels(over),
        hours=ceil(max(taken.values()) - 0.5),
        shop_hours=f"{day_h:g}",
    )
    return (Notice("pour-over-hours", text),)


def _labels(pours: Sequence[Pour]) -> list[Message | str]:
    """Labels of pours for a warning, the first of many."""
    labels = pour_list(pours)
    more = len(labels) - MOST_NAMED
    return [*labels[:MOST_NAMED], message("warning-more-pours", count=more)] if more > 0 else labels


def _unattended(casts: Sequence[CastDay], plan: Plan, start: date | None) -> tuple[Notice, ...]:
    """Warning of pours that need somebody on days off, to strip them or keep them wet."""
    pours = list({cast.pour.name: cast.pour for cast in casts if cast.attended}.values())
    if not pours:
        return ()
    days = sorted({day for cast in casts for day in cast.attended})
    count = len({day for cast in plan.casts for day in cast.attended}) + sum(gap.attended for gap in plan.gaps)
    days_named: list[str | Message] = [
        message("warning-day-of-week", day=day % WEEK_DAYS, week=day // WEEK_DAYS + 1)
        if start is None or day > (date.max - start).days
        else message("warning-day", day_date=(start + timedelta(days=day)).isoformat())
        for day in days[:MOST_NAMED]
    ]
    if count > MOST_NAMED:
        days_named.append(message("warning-more-days", count=count - MOST_NAMED))
    text = message("warning-days-off", pours=_labels(pours), days=days_named)
    return (Notice("attendance-on-days-off", text),)


def _weeks(stands: Sequence[tuple[int, int, int, float]], shipped: int, first_weekday: int) -> tuple[Week, ...]:
    """Peak of each week. Forms are in use from pour to strip, floor area from pour to shipping."""
    events: dict[int, tuple[int, float]] = {0: (0, 0.0), shipped + 1: (0, 0.0)}
    for poured, strip, count, plan_m2 in stands:
        for day, forms, floor_m2 in ((poured, count, plan_m2), (strip, -count, 0.0)):
            before = events.get(day, (0, 0.0))
            events[day] = (before[0] + forms, before[1] + floor_m2)
    peaks: dict[int, tuple[int, float]] = {}
    in_use, standing_m2 = 0, 0.0
    for day, following in pairwise(sorted(events)):
        in_use, standing_m2 = in_use + events[day][0], standing_m2 + events[day][1]
        for week in range((day + first_weekday) // WEEK_DAYS, (following - 1 + first_weekday) // WEEK_DAYS + 1):
            so_far = peaks.get(week, (0, 0.0))
            peaks[week] = (max(so_far[0], in_use), max(so_far[1], standing_m2))
    return tuple(
        Week(week + 1, max(0, week * WEEK_DAYS - first_weekday), forms, floor_m2)
        for week, (forms, floor_m2) in peaks.items()
    )


def _weeks_with(plan: Plan, weeks: Sequence[Week], pieces: Sequence[PieceTakeoff]) -> tuple[Week, ...]:
    """Weeks with the gaps counted. Weeks in a gap are left out; pieces cast in a gap take floor area after it."""
    plan_m2 = _plan_m2(pieces)
    for gap in reversed(plan.gaps):  # last first, because the days of a gap do not count the other gaps
        floor_m2 = gap.casts * _floor_m2(plan.casts[gap.at].pour, plan_m2)
        weeks = [
            week
            if week.first_day <= gap.first_day
            else Week(
                week.number + gap.days // WEEK_DAYS, week.first_day + gap.days, week.forms, week.floor_m2 + floor_m2
            )
            for week in weeks
        ]
    if weeks[-1].number <= MOST_WEEKS:
        return tuple(weeks)
    groups = groupby(weeks, key=lambda week: (week.forms, week.floor_m2))
    return tuple(first for _, group in groups for first in islice(group, 1))


def _warnings(weeks: Sequence[Week], casts: Sequence[CastDay], shop: Settings) -> tuple[Notice, ...]:
    notices = []
    fullest = max(weeks, key=lambda week: week.floor_m2)
    if fullest.floor_m2 > shop.calendar.floor_m2:
        text = message(
            "warning-floor-full", week=fullest.number, floor_m2=fullest.floor_m2, shop_floor_m2=shop.calendar.floor_m2
        )
        notices.append(Notice("floor-full", text))
    late_days = whole_days(shop.calendar.seal_to_s) - whole_days(shop.calendar.seal_from_s)
    late = {cast.pour.name: cast.pour for cast in casts if cast.seal_day > cast.dry_day + late_days}
    if late:
        text = message("warning-sealing-late", pours=_labels([*late.values()]))
        notices.append(Notice("sealing-late", text))
    return tuple(notices)
