"""A pour day in words: its pieces in groups that are built up and cured alike, and what is said of each group."""

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from math import ceil, floor, inf

from estimator.batching import Batch, LayerPlacing, PiecePlacing
from estimator.batching.rounds import in_runs
from estimator.constants import INCH_M
from estimator.curing.casting import THIN_SECTIONS
from estimator.curing.pieces import PieceCuring
from estimator.estimate import Estimate
from estimator.job import Mix
from estimator.pricing.calendar import Calendar
from estimator.report.papers.batch_sheets import sheets_of
from estimator.words import Words
from geometry.frozen import frozen
from geometry.message import Message, few, message

SLACK = 1e-6
HEAT_AFTER_H, MOST_STEP_K, WET_PEAK_C = 3, 20.0, 60.0  # of added heat: precast practice, from memory


@frozen
class Alike:
    """Pieces of one day that are built up and cured alike.

    casts             how many of each mark
    placing, curing   of the first of them
    crews             by mark, how many strip it; None by machine
    """

    casts: Mapping[str, int]
    placing: PiecePlacing
    curing: PieceCuring
    crews: Mapping[str, int | None]


@frozen
class Day:
    """One pour, in the job's numbering of batch sheets.

    name       as papers print it
    date       of the pour and of stripping; "" before there is one
    attended   days off on which somebody strips it or keeps it wet
    """

    number: int
    of: int
    name: str
    date: str
    strip_date: str
    attended: tuple[str, ...]
    crew: int
    placing_s: float
    mixing_s: float
    casts: Mapping[str, int]
    groups: tuple[Alike, ...]
    batches: tuple[tuple[int, Batch], ...]

    @property
    def count(self) -> int:
        return sum(self.casts.values())

    @property
    def batch_count(self) -> int:
        return sum(batch.a_day for _, batch in self.batches)

    @property
    def split(self) -> dict[tuple[str, str], int]:
        """By mark and mix, in how many batches one piece is cast that no batch holds whole."""
        parts: dict[tuple[str, str], int] = {}
        for _, batch in self.batches:
            for mark in batch.marks:
                parts[mark, batch.mix] = parts.get((mark, batch.mix), 0) + batch.a_day
        batches_of = {}
        for (mark, mix), count in parts.items():
            if count > self.casts[mark]:
                batches_of[mark, mix] = ceil(count / self.casts[mark])
        return batches_of

    def sheets_for(self, group: Alike) -> str:
        """Numbers of the batch sheets that fill a group."""
        return in_runs(number for number, batch in self.batches if not group.casts.keys().isdisjoint(batch.marks))


def days_of(estimate: Estimate, words: Words) -> list[Day]:
    """The days in their order."""
    calendar, batching = estimate.calendar, estimate.batching
    no_date = words("pour-no-date")

    def day_of(day: int) -> str:
        iso = calendar.date_of(day)
        return no_date if iso is None else words.day(iso)

    dates = {(step.name, step.pour): day_of(step.first_day) for step in calendar.steps if step.pour is not None}
    batches: dict[str, list[tuple[int, Batch]]] = {}
    sheets = {id(batch): sheet.number for sheet in sheets_of(estimate) for batch in sheet.batches}
    for batch in batching.batches:
        batches.setdefault(batch.pour, []).append((sheets[id(batch)], batch))
    days = []
    for number, (pour, work) in enumerate(zip(batching.pours, batching.work, strict=True), start=1):
        casts = {cast.mark: cast.count for cast in pour.casts}
        days.append(
            Day(
                number=number,
                of=len(batching.pours),
                name=words.text(pour.label),
                date=dates.get(("pour", pour.name), no_date),
                strip_date=dates.get(("strip", pour.name), no_date),
                attended=tuple(_day_off(day, calendar, words) for day in calendar.attended.get(pour.name, ())),
                crew=work.crew,
                placing_s=work.placing_s,
                mixing_s=work.mixing_s,
                casts=casts,
                groups=tuple(alike(casts, estimate)),
                batches=tuple(batches.get(pour.name, ())),
            )
        )
    return days


def _day_off(day: int, calendar: Calendar, words: Words) -> str:
    iso = calendar.date_of(day)
    return words.text(weekday(day)) if iso is None else words.day(iso)


def weekday(day: int) -> Message:
    """A day of a calendar without dates: "Sat of week 2"."""
    return message("pour-weekday", weekday=day % 7, week=day // 7 + 1)


def alike(casts: Mapping[str, int], estimate: Estimate) -> list[Alike]:
    """The casts in groups of one build-up and one cure."""
    placings = estimate.batching.placing
    groups: dict[tuple[object, ...], dict[str, int]] = {}
    for mark, count in casts.items():
        placing, plan = placings[mark], estimate.curing.pieces[mark].plan
        groups.setdefault((placing.layers, placing.hone_most_m, placing.notes, id(plan)), {})[mark] = count
    crews = estimate.strip_crews
    return [
        Alike(group, placings[first], estimate.curing.pieces[first], {mark: crews[mark] for mark in group})
        for group in groups.values()
        for first in (next(iter(group)),)
    ]


def numbered(counts: Mapping[str, int], words: Words, most: int | None = None) -> str:
    """Marks, each with how many of it; the first of many where `most` is given."""
    every = [
        mark if count == 1 else f"{mark}\N{NO-BREAK SPACE}×\N{NO-BREAK SPACE}{count}" for mark, count in counts.items()
    ]
    return named(every, words, len(every) if most is None else most)


def named(marks: Iterable[str], words: Words, most: int = 12) -> str:
    """Marks, the first of many."""
    return words.text(few(marks, most))


@frozen
class CureWords:
    """Building up and curing in words, in the job's units.

    limits   of the verdicts, by name
    mixes    of the job, by name
    """

    limits: Mapping[str, float]
    mixes: Mapping[str, Mix]
    words: Words

    def build_up(self, placing: PiecePlacing) -> str:
        """The layers in their order."""
        return "\n".join(self._layer(layer, first=i == 0) for i, layer in enumerate(placing.layers))

    def _layer(self, layer: LayerPlacing, *, first: bool) -> str:
        words, wait = self.words, ""
        if layer.wait_s is not None:
            least, most = layer.wait_s
            wait = words("pour-layer-wait", least=round(least / 60.0), most=int(most / 60.0 + SLACK))
        thick = words("pour-layer-full" if first else "pour-layer-rest")
        if layer.thickness_m is not None:
            thick = words.drawn(layer.thickness_m)
        mix = words.name(self.mixes[layer.mix])
        return words("pour-layer", wait=wait, mix=mix, thickness=thick, method=layer.method, lifts=layer.lifts)

    def hone(self, placing: PiecePlacing) -> str:
        most_m = placing.hone_most_m
        return self.words("pour-hone-none") if most_m is None else self._no_more_than(most_m)

    def _no_more_than(self, length_m: float) -> str:
        """A length rounded down, finer than a rule: to 1/64 in or 0.1 mm."""
        if self.words.units == "metric":
            return self.words.figure(f"{floor(length_m * 1e4 + SLACK) / 10:g} mm")
        whole, part = divmod(Fraction(floor(length_m / INCH_M * 64 + SLACK), 64), 1)
        return "-".join(str(number) for number in (whole, part) if number) + '"' if whole or part else '0"'

    def room(self, groups: Sequence[Alike]) -> str:
        """Temperatures of room and mix, in words; low to high where pieces differ."""
        rooms = [group.curing.casting.room for group in groups]
        return f"{self._span([room.room_c for room in rooms])} / {self._span([room.placed_c for room in rooms])}"

    def _span(self, celsius: Sequence[float]) -> str:
        least, most = self.words.temperature(min(celsius)), self.words.temperature(max(celsius))
        return least if least == most else f"{least.split()[0]}–{most}"

    def plastic(self, curing: PieceCuring) -> str:
        """Time by which the plastic must be on, in words."""
        lost, planned_h = curing.plan.drying, curing.casting.room.uncovered_h
        if lost is not None and lost.over_limit:
            return self.words("pour-plastic-now")
        hours = planned_h if lost is None else min(planned_h, lost.hours_to_notable)
        return self.words("pour-plastic-within", minutes=_whole_minutes(hours))

    def drying(self, curings: Sequence[PieceCuring]) -> str:
        """Evaporation of the piece that dries fastest against its limit, and its water lost by then."""
        known = [(lost, curing) for curing in curings if (lost := curing.plan.drying) is not None]
        if not known:
            return self.words("pour-drying-unknown")
        lost, curing = max(known, key=lambda pair: (pair[0].over_limit, pair[0].share_of_mix_water))
        if lost.rate_kg_m2_h <= 0.0:
            return self.words("pour-drying-none")
        return self.words(
            "pour-drying",
            rate_kg_m2_h=lost.rate_kg_m2_h,
            limit_kg_m2_h=lost.limit_kg_m2_h,
            lost_share=ceil(lost.share_of_mix_water * 100.0 - SLACK) / 100.0,
            minutes=_whole_minutes(curing.casting.room.uncovered_h),
            over="yes" if lost.over_limit else "no",
        )

    def warmth(self, curing: PieceCuring) -> str:
        """Curing blanket or not, and what must be warmed or cooled."""
        plan = curing.plan
        orders = [self._blanket(curing)]
        if plan.add_heat.answer:
            orders += [self._warming(curing), self._added_heat]
        if plan.cool_or_layers.answer:
            orders.append(self._cooling(curing))
        return "\n".join(orders)

    def _blanket(self, curing: PieceCuring) -> str:
        """Whether to use the curing blanket, with the number that decides."""
        words, plan = self.words, curing.plan
        if plan.chosen is None:
            return words("pour-blanket-unknown")
        high_c = plan.chosen.peak.high_c
        if plan.insulate.answer:
            return words("pour-blanket-yes", high_c=high_c)
        if plan.cool_or_layers.answer:
            limit_c = self.limits["peak temperature"]
            if high_c is None:
                return words("pour-hot-over", limit_c=limit_c)
            if high_c > limit_c:
                return words("pour-hot", high_c=high_c, limit_c=limit_c)
        if plan.insulate.why.id in HOT_ANSWERS:
            return words(HOT_ANSWERS[plan.insulate.why.id], **dict(plan.insulate.why.values))
        return words("pour-blanket-no", high_c=high_c)

    def _warming(self, curing: PieceCuring) -> str:
        words, room_c = self.words, curing.plan.room_needed_c
        if room_c is None:
            return words("pour-add-heat")
        placed_c = max(curing.casting.room.placed_c, self.limits[THIN_SECTIONS])
        mix = words.temperature(placed_c, up=True)
        return words("pour-warm-room", room=words.temperature(room_c, up=True), mix=mix)

    def _cooling(self, curing: PieceCuring) -> str:
        words, plan, ways = self.words, curing.plan, []
        if plan.placed_needed_c is not None:
            ways.append(words("pour-cool-mix", low_c=plan.placed_needed_c))
        if plan.layer_m is not None:
            ways.append(words("pour-cast-layers", thickness=self._no_more_than(plan.layer_m)))
        if len(ways) == 2:
            return words("pour-cool-or-layers", mix=ways[0], layers=ways[1])
        return words("pour-cool-only", remedy=ways[0]) if ways else words("pour-too-hot")

    @property
    def _added_heat(self) -> str:
        """How heat is added. Source: precast practice, from memory; 60 °C where a piece will be wet (ettringite)."""
        words, limit = self.words, self.limits["peak temperature"]
        dry, wet = (words.temperature(celsius, up=False) for celsius in (limit, min(limit, WET_PEAK_C)))
        step = f"{MOST_STEP_K:.0f} °C" if words.units == "metric" else f"{MOST_STEP_K * 1.8:.0f} °F"
        return words("pour-how-to-heat", hours=HEAT_AFTER_H, step=step, dry=dry, wet=wet)

    @staticmethod
    def peak_high_c(curing: PieceCuring) -> float:
        """High side, infinite where it is over the limit, -inf outside the model."""
        high_c = curing.peak_high_c
        return -inf if high_c is None else high_c

    def hottest(self, groups: Sequence[Alike]) -> str:
        """High side of the hottest peak of a day, °C."""
        most_c = max(self.peak_high_c(group.curing) for group in groups)
        if most_c == -inf:
            return self.words("pour-peak-unknown")
        text = self.words("pour-over-limit") if most_c == inf else self.words.temperature(most_c, up=True)
        unknown = any(group.curing.plan.chosen is None for group in groups)
        return self.words("pour-peak-some-unknown", peak=text) if unknown else text

    def strip_on(self, day: Day) -> str:
        """Date of stripping, or that there is none yet."""
        unknown = sum(group.curing.plan.strip_h is None for group in day.groups)
        if unknown == len(day.groups):
            return self.words("pour-date-unknown")
        return self.words("pour-date-some-by-test", date=day.strip_date) if unknown else day.strip_date

    def strip_crew(self, group: Alike) -> str:
        """Who strips it, pieces with the same crew together."""
        by_crew: dict[str, list[str]] = {}
        for mark, crew in group.crews.items():
            by_crew.setdefault(self.words.crew(crew), []).append(mark)
        if len(by_crew) == 1:
            return next(iter(by_crew))
        lines = (self.words("pour-crew-of", marks=named(of, self.words), crew=crew) for crew, of in by_crew.items())
        return "\n".join(lines)

    def after(self, curing: PieceCuring) -> str:
        """Days of wet cure once stripped, or none."""
        if not curing.plan.wet_cure.answer:
            return self.words("pour-wet-none")
        days = self.limits["damp curing"]
        return self.words("pour-wet-days", days=int(days) if days == int(days) else self.words.figure(f"{days:g}"))

    def unsafe(self, curing: PieceCuring) -> list[str]:
        """Faults to mend before these pieces are poured as planned."""
        plan = curing.plan
        if plan.chosen is None:
            return [self.words.text(plan.insulate.why)]
        reasons = [verdict.why for verdict in (plan.cool_or_layers, plan.add_heat) if verdict.answer]
        if plan.earliest_demould_h is None:
            untried = curing.casting.retarded and curing.casting.set_delay_h is None
            reasons.append(message("pour-no-trial" if untried else "cure-not-strong"))
        return [self.words.text(reason) for reason in reasons]


def strip_time(curing: PieceCuring, words: Words) -> str | None:
    """Earliest and latest strip time, hours after placing, in words; None where only a test can tell.

    The strength curve is stated from three days on, so below one day it says what is early.
    """
    hours = curing.plan.strip_h
    if hours is None:
        return None
    first = ceil(hours[0] - SLACK)
    last = max(first, floor(hours[1] + SLACK))
    when = words("pour-strip-early" if first < 24 else "pour-strip-from", **{"from": first})
    return words("pour-strip-by", when=when, to=last) if last > first else when


def strip_note(words: Words, *, is_known: bool) -> str:
    """What decides when to strip, and what to do where it does not allow it.

    is_known   whether `strip_time` gave hours
    """
    return f"{words('pour-strip-note')} {words('pour-strip-weak', hours='known' if is_known else 'unknown')}"


HOT_ANSWERS = {
    "cure-no-blanket-hot": "pour-blanket-no-hot",
    "cure-no-blanket-over": "pour-blanket-no-over",
    "cure-no-blanket-apart": "pour-blanket-no-apart",
}
"""How the table words the verdicts against a curing blanket."""


def _whole_minutes(hours: float) -> int:
    return floor(hours * 60.0 + SLACK)
