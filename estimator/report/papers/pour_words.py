"""A pour day in words: its pieces in groups that are built up and cured alike, and what is said of each group."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from fractions import Fraction
from math import ceil, floor, inf

from estimator.batching import Batch, PiecePlacing
from estimator.batching.rounds import in_runs
from estimator.constants import INCH_M, POUND_KG, SQUARE_FOOT_M2
from estimator.curing.pieces import PieceCuring
from estimator.estimate import Estimate
from estimator.pricing.calendar import WEEKDAYS
from estimator.words import Words
from geometry.frozen import frozen

LAID = {"pour": "poured", "spray": "sprayed", "brush": "brushed", "hand": "by hand"}
SLACK = 1e-6
HEAT_AFTER_H, MOST_STEP_K, WET_PEAK_C = 3, 20.0, 60.0  # of added heat: precast practice, from memory
UNDATED = "no date yet"
OVER_THE_LIMIT = "over the limit"


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
    """One pour, in the job's numbering of batch sheets."""

    number: int
    of: int
    name: str
    date: str
    strip_date: str
    attended: tuple[str, ...]  # days off on which somebody strips it or keeps it wet
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
        return sum(batch.count for _, batch in self.batches)

    @property
    def split(self) -> dict[tuple[str, str], int]:
        """By mark and mix, in how many batches one piece is cast that no batch holds whole."""
        parts: dict[tuple[str, str], int] = {}
        for _, batch in self.batches:
            for mark in batch.marks:
                parts[mark, batch.mix] = parts.get((mark, batch.mix), 0) + batch.count
        batches_of = {}
        for (mark, mix), count in parts.items():
            if count > self.casts[mark]:
                batches_of[mark, mix] = ceil(count / self.casts[mark])
        return batches_of

    @property
    def strip_on(self) -> str:
        """The date; not where nobody knows when."""
        unknown = sum(group.curing.plan.strip_h is None for group in self.groups)
        if unknown == len(self.groups):
            return "not known"
        return f"{self.strip_date}, some by test" if unknown else self.strip_date

    def sheets_for(self, group: Alike) -> str:
        """Numbers of the batch sheets that fill a group."""
        return in_runs(number for number, batch in self.batches if not group.casts.keys().isdisjoint(batch.marks))


def days_of(estimate: Estimate) -> list[Day]:
    """The days in their order."""
    calendar, batching = estimate.calendar, estimate.batching
    dates = {
        (step.name, step.pour): _day_and_date(calendar.date_of(step.first_day))
        for step in calendar.steps
        if step.pour is not None
    }
    batches: dict[str, list[tuple[int, Batch]]] = {}
    for number, batch in enumerate(batching.batches, start=1):
        batches.setdefault(batch.pour, []).append((number, batch))
    days = []
    for number, (pour, work) in enumerate(zip(batching.pours, batching.work, strict=True), start=1):
        casts = {cast.mark: cast.count for cast in pour.casts}
        days.append(
            Day(
                number=number,
                of=len(batching.pours),
                name=f"{pour.name[:1].upper()}{pour.name[1:]}",
                date=dates.get(("pour", pour.name), UNDATED),
                strip_date=dates.get(("strip", pour.name), UNDATED),
                attended=tuple(_day_off(day, calendar.date_of(day)) for day in calendar.attended.get(pour.name, ())),
                crew=work.crew,
                placing_s=work.placing_s,
                mixing_s=work.mixing_s,
                casts=casts,
                groups=tuple(alike(casts, estimate)),
                batches=tuple(batches.get(pour.name, ())),
            )
        )
    return days


def _day_off(day: int, iso: str | None) -> str:
    return f"{WEEKDAYS[day % 7]} of week {day // 7 + 1}" if iso is None else _day_and_date(iso)


def _day_and_date(iso: str | None) -> str:
    return UNDATED if iso is None else f"{WEEKDAYS[date.fromisoformat(iso).weekday()]} {iso}"


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


def numbered(counts: Mapping[str, int], most: int | None = None) -> str:
    """Marks, each with how many of it; the first of many where `most` is given."""
    every = [mark if count == 1 else f"{mark} × {count}" for mark, count in counts.items()]
    return named(every, len(every) if most is None else most)


def named(marks: Iterable[str], most: int = 12) -> str:
    """Marks, the first of many."""
    every = list(marks)
    more = len(every) - most
    return ", ".join(every[:most]) + (f" and {more} more" if more > 0 else "")


@frozen
class CureWords:
    """What is said of building up and curing, in the job's units."""

    limits: Mapping[str, float]  # of the verdicts, by name
    words: Words

    def build_up(self, placing: PiecePlacing) -> str:
        """The layers in their order."""
        layers = []
        for i, layer in enumerate(placing.layers):
            thick_m = layer.thickness_m
            thick = self.words.length(thick_m) if thick_m is not None else "full thickness" if i == 0 else "the rest"
            passes = f" in {layer.lifts} passes" if layer.lifts > 1 else ""
            wait = layer.wait_s
            after = f"after {wait[0] / 60:.0f} to {self.words.minutes(wait[1])}: " if wait is not None else ""
            layers.append(f"{after}{layer.mix} {thick}, {LAID[layer.method]}{passes}")
        return "; ".join(layers)

    def hone(self, placing: PiecePlacing) -> str:
        most_m = placing.hone_most_m
        return "none" if most_m is None else self._no_more_than(most_m)

    def _no_more_than(self, length_m: float) -> str:
        """A length rounded down, finer than a rule: to 1/64 in or 0.1 mm."""
        if self.words.units == "metric":
            return f"{floor(length_m * 1e4 + SLACK) / 10:g} mm"
        whole, part = divmod(Fraction(floor(length_m / INCH_M * 64 + SLACK), 64), 1)
        return "-".join(str(number) for number in (whole, part) if number) + '"' if whole or part else '0"'

    def room(self, groups: Sequence[Alike]) -> str:
        """Of the room and of the mix, °; low to high where pieces differ."""
        rooms = [group.curing.casting.room for group in groups]
        return f"{self._span([room.room_c for room in rooms])} / {self._span([room.placed_c for room in rooms])}"

    def _span(self, celsius: Sequence[float]) -> str:
        least, most = self.words.temperature(min(celsius)), self.words.temperature(max(celsius))
        return least if least == most else f"{least.split()[0]} to {most}"

    def plastic(self, curing: PieceCuring) -> str:
        """Until when the film must lie on it."""
        lost, planned_h = curing.plan.drying, curing.casting.room.uncovered_h
        if lost is None:
            return f"within {self._minutes_down(planned_h)}"
        if lost.over_limit:
            return "AT ONCE"
        return f"within {self._minutes_down(min(planned_h, lost.hours_to_notable))}"

    def _minutes_down(self, hours: float) -> str:
        return f"{floor(hours * 60.0 + SLACK)} min"

    def drying(self, curing: PieceCuring) -> str:
        """Evaporation against its limit, and its share of the mix water by the time of the cover."""
        lost = curing.plan.drying
        if lost is None:
            return "humidity not known: drying before the cover was not checked"
        if lost.rate_kg_m2_h <= 0.0:
            return "left open it loses no water"
        per, unit = (SQUARE_FOOT_M2 / POUND_KG, "lb/ft²h") if self.words.units == "imperial" else (1.0, "kg/m²h")
        rate, limit = lost.rate_kg_m2_h * per, lost.limit_kg_m2_h * per
        than = "MORE THAN the limit of" if lost.over_limit else "of at most"
        share = self.words.share(ceil(lost.share_of_mix_water * 100.0 - SLACK) / 100.0)
        planned = self._minutes_down(curing.casting.room.uncovered_h)
        return f"left open it loses {rate:.2f} {than} {limit:.2f} {unit}, in {planned} up to {share} of its mix water"

    def warmth(self, curing: PieceCuring) -> str:
        """Tarp or not, and what must be warmed or cooled."""
        tarp = {True: "TARP ON", False: "NO TARP", None: "not shown to be safe: nothing but plastic"}
        plan = curing.plan
        orders = [tarp[plan.insulate.answer]]
        if plan.add_heat.answer:
            room_c = plan.room_needed_c
            if room_c is None:
                orders.append("ADD HEAT: a warm room alone is not enough")
            else:
                placed_c = max(curing.casting.room.placed_c, self.limits["thin sections placed and kept at"])
                at = self.words.temperature(room_c, up=True)
                orders.append(f"WARM THE ROOM to {at}, mix placed at {self.words.temperature(placed_c, up=True)}")
            orders.append(self._added_heat)
        if plan.cool_or_layers.answer:
            ways = []
            if plan.placed_needed_c is not None:
                ways.append(f"COOL THE MIX to {self.words.temperature(plan.placed_needed_c, up=False)}")
            if plan.layer_m is not None:
                ways.append(f"cast in LAYERS of {self._no_more_than(plan.layer_m)} at most, each cooled first")
            orders.append(" or ".join(ways) or "TOO HOT: neither a cool mix nor layers are enough")
        return "\n".join(orders)

    @property
    def _added_heat(self) -> str:
        """How heat is added. Source: precast practice, from memory; 60 °C where a piece will be wet (ettringite)."""
        limit = self.limits["peak temperature"]
        dry, wet = (self.words.temperature(celsius, up=False) for celsius in (limit, min(limit, WET_PEAK_C)))
        step = f"{MOST_STEP_K:.0f} °C" if self.words.units == "metric" else f"{MOST_STEP_K * 1.8:.0f} °F"
        return (
            f"Start the heat after initial set, no sooner than {HEAT_AFTER_H} h. Raise and lower it by at most {step} "
            f"an hour. Keep the core under {dry}, under {wet} if the piece will be wet. Keep it damp."
        )

    def peak(self, curing: PieceCuring) -> str:
        """Low, likely and high; above the limit with the limit."""
        chosen = curing.plan.chosen
        if chosen is None:
            return "not known"
        peak = chosen.peak
        sides = [
            OVER_THE_LIMIT if celsius is None else self.words.temperature(celsius, up=up)
            for celsius, up in ((peak.low_c, False), (peak.nominal_c, None), (peak.high_c, True))
        ]
        unit = sides[0].split()[-1]
        if all(side.endswith(f" {unit}") for side in sides):
            sides = [*(side.removesuffix(f" {unit}") for side in sides[:-1]), sides[-1]]
        text = sides[0] if len(set(sides)) == 1 and peak.low_c is None else " / ".join(sides)
        over = self.peak_high_c(curing) > self.limits["peak temperature"]
        return f"{text}\nafter {chosen.peak_time_h:.0f} h" + (f"; {self._limit_said}" if over else "")

    @property
    def _limit_said(self) -> str:
        return f"LIMIT {self.words.temperature(self.limits['peak temperature'], up=False)}"

    @staticmethod
    def peak_high_c(curing: PieceCuring) -> float:
        """High side, infinite where it is over the limit, -inf outside the model."""
        high_c = curing.peak_high_c
        return -inf if high_c is None else high_c

    def hottest(self, groups: Sequence[Alike]) -> str:
        """High side of the hottest of a day."""
        most_c = max(self.peak_high_c(group.curing) for group in groups)
        unknown = any(group.curing.plan.chosen is None for group in groups)
        if most_c == -inf:
            return "not known"
        text = OVER_THE_LIMIT if most_c == inf else self.words.temperature(most_c, up=True)
        return f"{text}, some not known" if unknown else text

    def strip(self, group: Alike) -> str:
        """From when to when, and by whom."""
        hours = group.curing.plan.strip_h
        if hours is None:
            when = "NOT KNOWN: by test only"
        else:
            first = ceil(hours[0] - SLACK)
            last = max(first, floor(hours[1] + SLACK))
            # the strength curve is stated from three days on: below one day it only says what is too early
            when = f"not before {first} h; strip on coupons" if first < 24 else f"from {first} h; strip on coupons"
            when = f"{when}, by {last} h" if last > first else when
        crews = {
            mark: "by machine" if crew is None else f"by {self.words.crew(crew)}" for mark, crew in group.crews.items()
        }
        marks: dict[str, list[str]] = {}
        for mark, crew in crews.items():
            marks.setdefault(crew, []).append(mark)
        who = next(iter(marks)) if len(marks) == 1 else ", ".join(f"{named(of)} {crew}" for crew, of in marks.items())
        return f"{when}\n{who}"

    def after(self, curing: PieceCuring) -> str:
        """Damp or not, once stripped."""
        return f"damp {self.limits['damp curing']:g} days" if curing.plan.wet_cure.answer else "no wet cure"

    def reasons(self, curing: PieceCuring) -> list[str]:
        """Why so fast under the film, why the tarp or not, why damp or not; what `unsafe` tells is left to it."""
        warmth = [curing.plan.insulate.why] if curing.plan.chosen is not None else []
        return [self.drying(curing), *warmth, curing.plan.wet_cure.why]

    @staticmethod
    def unsafe(curing: PieceCuring) -> list[str]:
        """What must be mended before this is poured as planned."""
        plan = curing.plan
        if plan.chosen is None:
            return [plan.insulate.why]
        reasons = [verdict.why for verdict in (plan.cool_or_layers, plan.add_heat) if verdict.answer]
        if plan.earliest_demould_h is None:
            reasons.append("not strong enough to strip within three days")
        return reasons
