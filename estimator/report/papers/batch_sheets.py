"""batch-sheets.pdf: what hangs on the wall beside the mixer, a page for batches weighed alike, read in wet gloves.

One big figure a line: by the scale, for light aggregate by the bucket, since a scale that shows a tenth of a pound
cannot weigh beads. A few batches have a box each on each line, for the tick and for what the scale showed; more of them
have a box each in a list of the days.
"""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from math import ceil, inf
from typing import Any, Literal

from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.platypus import Flowable, PageBreak, Spacer

from estimator.batching import Batch, Load, to_scale
from estimator.batching.loading import steps_of
from estimator.batching.plan import is_too_small
from estimator.cautions import AppliedCaution
from estimator.estimate import Estimate
from estimator.job import Job, Scale
from estimator.report.papers.crew import caution_lines
from estimator.report.papers.pictograms import Equipment, equipment_strip
from estimator.report.papers.style import (
    BODY,
    BOLD,
    GREY,
    HAIR,
    INK,
    LABEL,
    PLAIN,
    SECTION,
    SMALL,
    STRONG,
    TINT,
    Columns,
    Front,
    Picture,
    Rule,
    Stamp,
    bind,
    crew_words_of,
    cut,
    facts,
    plain,
    say,
    say_parts,
    section,
    size_that_fits,
    tick_box,
    title,
    width_of,
)
from estimator.report.papers.table import table
from estimator.report.papers.text import GAP, write
from estimator.report.screen import Column
from estimator.words import Words, scale_unit
from geometry.frozen import frozen
from geometry.message import Message, few

AT_THE_MIXER = (
    *("mixed-by-machine", "mixes-silica", "mixes-cement", "mixes-glass-fibre", "mixes-fine-powder"),
    *("polystyrene", "polystyrene-uncoated", "fluid-mix-with-beads"),
)
"""Conditions of the cautions that matter while a batch is mixed."""

OF_A_TRAIT = {"polystyrene": "polystyrene", "polystyrene-uncoated": "uncoated", "mixes-glass-fibre": "glass-fibre"}
"""Conditions that hold for a batch only where a material in it has the trait."""

OVERSHOT = 0.02  # of an ingredient; ASTM C94 (from memory): aggregate 2 %, cement and water 1 %, admixture 3 %
MOST_LOTS = 2  # of a material, on a sheet of several days
MOST_BOXES = 4  # batches that one page can record
ROW, LEAST_ROW = 16.5 * mm, 7.8 * mm  # height of a line of the load
BIG, SECOND = 24.0, 10.0  # type of the figure to act on, and of the one beside it
NAME, LOT, LONG_LOT = 0.30, 22 * mm, 40 * mm  # of the width; of the lot number, and where no boxes stand beside it
BOX, NARROW_BOX = 19 * mm, 15 * mm  # of a batch's box; where there are more than two
DAY_PIECES, DAY_ROW, TICK, READING = (
    21 * mm,
    7.0 * mm,
    10.5 * mm,
    20 * mm,
)  # of the list of days: marks, row, box, weight
FEW_DAYS, GUTTER = 6, 6 * mm  # days that stand in one column; between two
LEAST_DAY_ROW = 4.2 * mm  # where there are many days, so that the sheet stays one page
LEAST_TYPE, SMALLEST_TYPE, MOST_LINES = 6.5, 4.5, 2  # of what stands beside it: on one line, and on two at most
DAY_TYPE = 8.5
ROUNDING = 1e-6  # points
LEFT_SHARES = tuple(0.44 + 0.01 * i for i in range(11))  # of the width, of what stands below the load side by side
CHECK = ParagraphStyle("check", parent=BODY, fontSize=11, leading=14)
NOTE = ParagraphStyle("note", parent=BODY, fontSize=8, leading=10)
CAUTION = ParagraphStyle("caution", parent=BODY, fontSize=7.5, leading=9.2)

Role = Literal["face", "backer", "whole"]


@frozen
class Measured:
    """One line of the load as it is printed."""

    step: int
    material: str
    big: str
    second: str
    lot: str | None  # None for water


def batch_sheets(estimate: Estimate) -> bytes:
    """The sheets of every pour as PDF, after a page that lists them."""
    words = crew_words_of(estimate)
    front = Front(words("batch-paper"), estimate.job, words=words)
    pages = _Pages(estimate, front, words, tuple(sheets_of(estimate)))
    story = _list_of(pages)
    for sheet in pages.sheets:
        story += [PageBreak(), *pages.page(sheet)]
    return bind(front, story)


@frozen(eq=False)
class BatchSheet:
    """Batches that are weighed out and placed alike, on one day or on several: one sheet.

    number   of the sheet
    batches  in the order of their pours
    """

    number: int
    role: Role
    batches: tuple[Batch, ...]

    @property
    def count(self) -> int:
        return sum(batch.count for batch in self.batches)

    @property
    def pours(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(batch.pour for batch in self.batches))

    @property
    def has_days(self) -> bool:
        """Whether its batches are ticked in a list of the days, not on each line of the load."""
        return self.count > MOST_BOXES


def sheets_of(estimate: Estimate) -> list[BatchSheet]:
    """The batches of a job, those that are alike on one sheet, in the order in which they are first made."""
    alike: dict[tuple[object, ...], list[Batch]] = {}
    for batch in estimate.batching.batches:
        own = replace(batch, pour="", count=0, days=1, marks=(), left_over_m3=0.0)
        key = role_of(batch, estimate), own, _wait(batch, estimate)
        alike.setdefault(key, []).append(batch)
    return [BatchSheet(number, key[0], tuple(batches)) for number, (key, batches) in enumerate(alike.items(), start=1)]  # type: ignore[arg-type]


def _wait(batch: Batch, estimate: Estimate) -> tuple[float, float, bool] | None:
    """Least and most wait for the layer below, s, and whether that is always the face; None for a first layer."""
    waits = {
        (layer.wait_s, i)
        for mark in batch.marks
        for i, layer in enumerate(estimate.batching.placing[mark].layers)
        if layer.mix == batch.mix and layer.wait_s is not None
    }
    if not waits:
        return None
    return max(wait[0] for wait, _ in waits), min(wait[1] for wait, _ in waits), all(i == 1 for _, i in waits)


def role_of(batch: Batch, estimate: Estimate) -> Role:
    """Role of a batch in its pieces: the backer, where it is the backer of one of them."""
    roles: set[Role] = set()
    for mark in batch.marks:
        mixes = [layer.mix for layer in estimate.batching.placing[mark].layers]
        if len(mixes) == 1:
            roles.add("whole")
        else:
            first = mixes.index(batch.mix) == 0 and (batch.longest_wait_s is not None or batch.mix not in mixes[1:])
            roles.add("face" if first else "backer")
    return "backer" if "backer" in roles else "face" if "face" in roles else "whole"


def scale_name(step_kg: float, scales: Sequence[Scale], words: Words) -> str:
    """The scale with this step as a shop calls it: the one that carries most stands on the floor."""
    if len(scales) == 1:
        return words("scale-only")
    largest = max(scales, key=lambda scale: inf if scale.up_to_kg is None else scale.up_to_kg)
    if step_kg == largest.step_kg:
        return words("scale-floor")
    return words("scale-gram" if len(scales) > 2 and step_kg == scales[0].step_kg else "scale-bench")


def pieces_of(sheet: BatchSheet) -> str:
    """The marks that the batches of a sheet fill: as one batch does, where all do the same."""
    filled = dict.fromkeys(fills(batch) for batch in sheet.batches)
    return (
        next(iter(filled)) if len(filled) == 1 else ", ".join(dict.fromkeys(m for b in sheet.batches for m in b.marks))
    )


def fills(batch: Batch) -> str:
    """The marks that a batch fills, each with how many of it."""
    return _marks(Counter(batch.marks))


def _marks(counts: Mapping[str, int]) -> str:
    return ", ".join(
        mark if count == 1 else f"{mark}\N{NO-BREAK SPACE}×\N{NO-BREAK SPACE}{count}" for mark, count in counts.items()
    )


def _list_of(pages: "_Pages") -> list[Flowable]:
    estimate, front, words = pages.estimate, pages.front, pages.words
    batches = estimate.batching.batches
    rows = [
        (
            str(sheet.number),
            words.text(few([pages.pour_of(pour) for pour in sheet.pours], 3)),
            words.name(estimate.job.mixes[sheet.batches[0].mix]),
            words.count(sheet.count),
            words.volume(sheet.batches[0].volume_m3),
            words.mass(sheet.batches[0].mass_kg),
            pieces_of(sheet),
        )
        for sheet in pages.sheets
    ]
    texts = ("pour", "mix", "pieces")
    ids = ("sheet", "pour", "mix", "batches", "volume", "weight", "pieces")
    columns = tuple(Column(words(f"batch-head-{id}"), id not in texts) for id in ids)
    pours = [
        (words.text(pour.label), pages.date_of(pour.name) or NO_DATE, _marks({c.mark: c.count for c in pour.casts}))
        for pour in estimate.batching.pours
    ]
    pour_heads = [Column(words(f"batch-head-{id}"), False) for id in ("pour", "earliest", "casts")]
    minutes = sorted({round(batch.place_within_s / 60.0) for batch in batches})
    span = "batch-of-first-water-span"
    within = words("batch-of-first-water", minutes=minutes[0])
    if len(minutes) > 1:
        within = words(span, least=minutes[0], most=minutes[-1])
    return [
        *title(front, words("batch-purpose")),
        *facts(
            [
                (words("batch-list-pours"), str(len(pours))),
                (words("batch-list-batches"), str(sum(batch.count for batch in batches))),
                (words("batch-list-within"), within),
            ],
            front.width,
        ),
        *facts([*_scales(estimate.job, words)], front.width, columns=3),
        *section(words("batch-pours"), table(pour_heads, pours, front.width)),
        *section(words("batch-sheets"), table(columns, rows, front.width)),
    ]


def _scales(job: Job, words: Words) -> Iterator[tuple[str, str]]:
    """The shop's scales by the names that the sheets give them, with what they show and carry."""
    scales = job.workshop.scales
    for scale in scales:
        step = words.to_step(scale.step_kg, scale.step_kg)
        most = "none" if scale.up_to_kg is None else words.mass(scale.up_to_kg)
        if scale.up_to_kg is not None and scale_unit(scale.step_kg) == "g":
            most = words.figure(f"{scale.up_to_kg * 1000.0:.0f} g")
        name = scale_name(scale.step_kg, scales, words)
        yield f"{name[:1].upper()}{name[1:]}", words("scale-shows", step=step, most=most)


NO_DATE = "–"


@dataclass(slots=True)
class _Pages:
    """The sheets of one job. What stands below the load is alike on many sheets, and laid out once."""

    estimate: Estimate
    front: Front
    words: Words
    sheets: tuple[BatchSheet, ...]
    laid: dict[tuple[object, ...], Stamp] = field(default_factory=dict)
    labels: dict[str, str] = field(init=False)
    cautions_on: dict[str, int] = field(default_factory=dict)  # by pour, the first sheet that was new on its first day

    def __post_init__(self) -> None:
        self.labels = {pour.name: self.words.text(pour.label) for pour in self.estimate.batching.pours}
        for sheet in self.sheets:
            first = self.cautions_on.setdefault(sheet.pours[0], sheet.number)
            for pour in sheet.pours:
                self.cautions_on.setdefault(pour, first)

    def pour_of(self, pour: str) -> str:
        """The pour's name as papers print it."""
        return self.labels[pour]

    def date_of(self, pour: str) -> str:
        """The day of a pour, or nothing before there is one."""
        calendar = self.estimate.calendar
        days = [step.first_day for step in calendar.steps if step.name == "pour" and step.pour == pour]
        iso = calendar.date_of(days[0]) if days else None
        return "" if iso is None else self.words.day(iso)

    def page(self, sheet: BatchSheet) -> list[Flowable]:
        """The parts of one sheet."""
        front, words, batch = self.front, self.words, sheet.batches[0]
        pairs = self._facts(batch)
        head: list[Flowable] = [
            self._place_of(sheet),
            Picture(front.width, 30.0, self._headline(sheet)),
            Rule(front.width),
            say(words("batch-for", pieces=pieces_of(sheet)), STRONG),
            Spacer(0, 3),
            *facts(pairs, front.width, columns=max(4, len(pairs))),
            Spacer(0, 2),
            equipment_strip(_equipment(batch, self.estimate.job), front.width, words),
            Spacer(0, 3),
        ]
        lines = [measured(load, batch, self.estimate, words) for load in batch.load]
        least = 14.0 + LEAST_ROW * len(lines)
        for below, over in self._ways_below(sheet):  # noqa: B007  used behind the loop
            room = front.height - self._height([*head, *below]) - 26.0
            days = self._days(sheet, room - least)
            room -= self._height(days)
            if room > least - ROUNDING:
                break
        else:  # parts that go over are laid out for this sheet alone
            below = [part for parts in self._parts_below(sheet) for part in parts]
        row = max(LEAST_ROW, min(ROW, (room - 14.0) / max(len(lines), 1)))
        boxes = () if sheet.has_days else self._boxes(sheet)
        load = _load(lines, boxes, row, front, room, words, lots=min(len(sheet.pours), MOST_LOTS))
        if over:
            over = [PageBreak(), self._place_of(sheet), *over]
        return [*head, *load, *days, *below, *over]

    def _ways_below(self, sheet: BatchSheet) -> Iterator[tuple[list[Flowable], list[Flowable]]]:
        """What may stand below the load, best first, and what goes over to the next page."""
        (check, mixing), cautions = self._parts_below(sheet, flowing=True), self._cautions(sheet)
        yield [*self._below(sheet), *cautions], []
        if cautions:
            yield [self._beside([*check, *mixing], cautions)], []
            yield self._below(sheet), cautions
        yield [self._beside(check, mixing)], cautions

    def _beside(self, left: Sequence[Flowable], right: Sequence[Flowable]) -> Flowable:
        """Two parts side by side, divided so that they take the least height."""
        wide = self.front.width
        ways = [Columns([left, right], [share * wide, (1 - share) * wide], 8.0) for share in LEFT_SHARES]
        return min(ways, key=lambda columns: columns.wrap(wide, 1e4)[1])

    def _place_of(self, sheet: BatchSheet) -> Flowable:
        """The days of a sheet and its number, which stand at the head of its pages."""
        day = self.words("batch-days", count=len(sheet.pours))
        if not sheet.has_days or len(sheet.pours) == 1:
            day = self.words.series([self._day_of(pour) for pour in sheet.pours])
        of = self.words("batch-sheet-of", number=sheet.number, total=len(self.sheets))
        return say(" · ".join(part for part in (day, of) if part), LABEL)

    def _day_of(self, pour: str) -> str:
        return " · ".join(part for part in (self.pour_of(pour), self.date_of(pour)) if part)

    def _boxes(self, sheet: BatchSheet) -> tuple[str, ...]:
        """Heads of the boxes of a line: the number of each batch, or its day where there are several."""
        if sheet.count == 1:
            return (self.words("load-weighed"),)
        if len(sheet.pours) > 1:
            return tuple(self.pour_of(batch.pour) for batch in sheet.batches for _ in range(batch.count))
        return tuple(self.words("load-batch", number=number) for number in range(1, sheet.count + 1))

    def _height(self, parts: Sequence[Flowable]) -> float:
        """Height of parts one below the other, points."""
        room = self.front.width, self.front.height
        return float(sum(part.wrap(*room)[1] + part.getSpaceBefore() for part in parts))

    def _headline(self, sheet: BatchSheet) -> Any:
        words, mixed = self.words, self.estimate.job.mixes[sheet.batches[0].mix]
        role, mix = words(f"batch-role-{sheet.role}"), words.name(mixed)
        times = words("batch-make", count=sheet.count)

        def draw(canvas: Any, wide: float, _high: float) -> None:
            canvas.setFillColor(INK)
            canvas.setFont(BOLD, 15)
            canvas.drawRightString(wide, 7, times)
            room = wide - width_of(times, BOLD, 15) - 16
            canvas.setFont(BOLD, 24)
            canvas.drawString(0, 7, role)
            mix_at = width_of(role, BOLD, 24) + 10
            size = size_that_fits(mix, PLAIN, room - mix_at, 14.0, 8.0)
            canvas.setFont(PLAIN, size)
            canvas.drawString(mix_at, 7, cut(mix, PLAIN, size, room - mix_at))

        return draw

    def _facts(self, batch: Batch) -> list[tuple[str, str]]:
        words, placing, wait = self.words, self.estimate.batching.placing, _wait(batch, self.estimate)
        amount = f"{words.volume(batch.volume_m3)} · {words.mass(batch.mass_kg)}"
        pairs = [
            *([(words("batch-each-day"), words("batch-each-day-value", days=batch.days))] if batch.days > 1 else []),
            (words("batch-one"), amount),
            (words("batch-place"), words("batch-place-value", minutes=round(batch.place_within_s / 60.0))),
            (
                words("batch-placing"),
                words("batch-placing-value", minutes=ceil(batch.placing_s / 60.0), crew=words.crew(batch.crew)),
            ),
        ]
        if wait is not None:
            least_s, most_s, on_face = wait
            span = words("batch-wait-value", least=ceil(least_s / 60.0), most=int(most_s / 60.0))
            pairs.append((words("batch-wait-after-face" if on_face else "batch-wait-after-layer"), span))
        if batch.longest_wait_s is not None:
            last = all(len(placing[mark].layers) == 2 for mark in batch.marks if len(placing[mark].layers) > 1)
            within = words("batch-next-value", minutes=ceil(batch.longest_wait_s / 60.0))
            pairs.append((words("batch-next" if last else "batch-next-layer"), within))
        spare = [("batch-coupons", batch.coupons), ("batch-samples", batch.samples)]
        if batch.coupons or batch.samples:
            left = ", ".join(words(id, count=count) for id, count in spare if count)
            pairs.append((words("batch-left-over"), left))
        return pairs

    def _days(self, sheet: BatchSheet, room: float) -> list[Flowable]:
        """A row for each day, with a box for each of its batches and room for the density check.

        room   that the rows may take, points: with many days they are lower
        """
        if not sheet.has_days:
            return []
        of_pour = {pour: [batch for batch in sheet.batches if batch.pour == pour] for pour in sheet.pours}
        days = [
            _Day(self._day_of(pour), ", ".join(dict.fromkeys(map(fills, own))), sum(batch.a_day for batch in own))
            for pour, own in of_pour.items()
        ]
        names = max(width_of(day.name, BOLD, DAY_TYPE) for day in days) + 10.0
        most = max(day.count for day in days)
        in_pairs = len(days) > FEW_DAYS and names + DAY_PIECES + most * TICK + READING <= self.front.width / 2 - GUTTER
        columns = 2 if in_pairs else 1
        wide = (self.front.width - (columns - 1) * GUTTER) / columns
        a_row = max(1, int((wide - names - DAY_PIECES - READING) / TICK))
        note = [say(self.words("batch-ticks-density"), SMALL)] if sheet.batches[0].check is not None else []
        heading: list[Flowable] = [say(self.words("batch-ticks"), SECTION)]
        lines = sum(ceil(day.count / a_row) for day in days)
        row = min(DAY_ROW, max(LEAST_DAY_ROW, (room - self._height([*heading, *note])) / ceil(lines / columns)))
        rows = [
            Picture(
                wide,
                row * ceil(day.count / a_row),
                partial(_day_drawn, day=day, names=names, a_row=a_row, row=row, tinted=i % 2 == 0),
            )
            for i, day in enumerate(days)
        ]
        if in_pairs:  # down the left, then down the right
            half = ceil(len(rows) / 2)
            return [*heading, Columns([rows[:half], rows[half:]], [wide + GUTTER, wide], 0), *note]
        return [*heading, *rows, *note]

    def _below(self, sheet: BatchSheet) -> list[Flowable]:
        """Density check and instructions below the load; laid out once where many sheets are alike."""
        batch, first = sheet.batches[0], self.cautions_on[sheet.pours[0]]
        steps, small = steps_of(self.estimate.job, batch.load), is_too_small(batch, self.estimate.job.workshop)
        key = (batch.mix, batch.check, batch.notes, steps, small, first, first == sheet.number, sheet.has_days)
        if key not in self.laid:
            parts = [part for parts in self._parts_below(sheet) for part in parts]
            self.laid[key] = Stamp(f"below-{len(self.laid) + 1}", parts, self.front.width)
        return [self.laid[key]]

    def _parts_below(self, sheet: BatchSheet, *, flowing: bool = False) -> tuple[list[Flowable], list[Flowable]]:
        """The density check, and what to do at the mixer; `flowing` where its notes share their lines."""
        batch, first = sheet.batches[0], self.cautions_on[sheet.pours[0]]
        elsewhere = [Spacer(0, 4), say(self.words("cautions-elsewhere", sheet=first), STRONG)]
        notes = self._notes(batch, is_too_small(batch, self.estimate.job.workshop))
        mixing = [
            *self._steps(steps_of(self.estimate.job, batch.load)),
            *(say(note, NOTE) for note in ([" ".join(notes)] if flowing else notes)),
            *(elsewhere if first != sheet.number else []),
        ]
        return self._check(batch, blank=not sheet.has_days), mixing

    def _cautions(self, sheet: BatchSheet) -> list[Flowable]:
        """The cautions of the pours that begin with this sheet."""
        pours = {pour for pour, number in self.cautions_on.items() if number == sheet.number}
        batches = [batch for batch in self.estimate.batching.batches if batch.pour in pours] if pours else []
        lines = [*caution_lines(_cautions(self.estimate, batches), self.words, CAUTION)]
        return [say(self.words("cautions-heading"), SECTION), *lines] if lines else []

    def _check(self, batch: Batch, *, blank: bool) -> list[Flowable]:
        """The density check, with room for one reading where `blank`."""
        check, words = batch.check, self.words
        heading = say(words("check-heading"), SECTION)
        if check is None:
            return [heading, say(words("check-none"), NOTE)]
        scales = self.estimate.job.workshop.scales
        _, step_kg = to_scale(check.expected_kg, scales)
        high = words.checked_mass(check.high_kg, step_kg)
        said = words(
            "check-says",
            measure=words.measure(check.measure_m3),
            weight=words.checked_mass(check.expected_kg, step_kg),
            low=words.checked_mass(check.low_kg, step_kg).removesuffix(f" {high.split()[-1]}"),
            high=high,
        )
        how = [words("check-how", scale=scale_name(step_kg, scales, words))]
        if check.people > 1:
            how.append(words("check-people", people=check.people))
        if check.indication_only:
            how.append(words("check-indication"))
        answers = [words.text(text) for text in (check.when_heavy, check.when_light) if text]
        if not check.indication_only:
            answers.append(words("check-outside"))
        parts = [(f"{said}  ", True), *([(words("check-weighed"), False)] if blank else [])]
        return [heading, say_parts(parts, CHECK), *(say(" ".join(said), NOTE) for said in (how, answers) if said)]

    def _steps(self, steps: Sequence[Message | str]) -> list[Flowable]:
        if not steps:
            return []
        said = [
            part
            for i, step in enumerate(steps, start=1)
            for part in ((f"{i}\N{NO-BREAK SPACE}", True), (f"{self.words.text(step)}  ", False))
        ]
        return [say(self.words("steps-heading"), SECTION), say_parts(said, NOTE)]

    def _notes(self, batch: Batch, small: bool) -> list[str]:
        first = [self.words("batch-too-small-note")] if small else []
        return [*first, *map(self.words.text, batch.notes), self.words("batch-overshot", over_share=OVERSHOT)]


def _cautions(estimate: Estimate, batches: Sequence[Batch]) -> list[AppliedCaution]:
    """Cautions of these batches that matter at the mixer."""
    materials = estimate.job.materials
    traits = {trait for batch in batches for load in batch.load for trait in materials[load.material].traits}
    marks = {mark for batch in batches for mark in batch.marks}
    return [
        caution
        for caution in estimate.cautions
        if caution.caution.when in AT_THE_MIXER
        and not marks.isdisjoint(caution.reasons)
        and OF_A_TRAIT.get(caution.caution.when) in (None, *traits)
    ]


def _equipment(batch: Batch, job: Job) -> list[Equipment]:
    """Protective equipment at the mixer: a respirator for dry powder; gloves, boots and goggles for wet cement."""
    kinds = {job.materials[load.material].kind for load in batch.load}
    worn: list[Equipment] = []
    if kinds & DUSTY:
        worn.append("respirator")
    worn.append("eyes")
    if "cement" in kinds:
        worn += ["gloves", "boots"]
    return [*worn, "ears", "unplug"]


DUSTY = frozenset({"sand", "cement", "pozzolan", "pigment"})


def measured(load: Load, batch: Batch, estimate: Estimate, words: Words) -> Measured:
    """One step of the load as it is measured: light aggregate by the bucket first, all else by the scale."""
    shop, material = estimate.job.workshop, estimate.job.materials[load.material]
    reading = words.to_step(load.mass_kg, load.scale_step_kg)
    scale = scale_name(load.scale_step_kg, shop.scales, words)
    lot = None if material.kind == "water" else estimate.job.lots.get(load.material) or ""
    name, loose = words.name(material), words.bucketful(load.volume_m3)
    big, notes = reading, [scale]
    if scale_unit(load.scale_step_kg) == ("lb" if words.units == "metric" else "kg"):  # a scale of the other system
        big, notes = words.as_weighed(load.mass_kg, load.scale_step_kg), [scale, words("load-reads", mass=reading)]
    if material.kind == "light-aggregate":
        bucket_m3 = shop.bucket_m3
        full = words.buckets(load.volume_m3, bucket_m3) if bucket_m3 else ""
        notes = [*((full,) if full else ()), words("load-beads-weigh", mass=reading), scale]
        return Measured(load.step, name, loose, " · ".join(notes), lot)
    if material.kind == "water":
        waters = [step.step for step in batch.load if step.material == load.material]
        notes.append(loose)
        if len(waters) > 1:
            first = load.step == waters[0]
            name = words("load-water-first" if first else "load-water-held")
            notes += [] if first else [words("load-as-needed")]
    elif material.kind == "sand":
        notes.append(words("load-loose", volume=loose))
    return Measured(load.step, name, big, " · ".join(notes), lot)


def _load(
    lines: Sequence[Measured], boxes: Sequence[str], row: float, front: Front, room: float, words: Words, lots: int
) -> list[Flowable]:
    """The load in parts that fit their page, each line with boxes for what the scale showed.

    lots   numbers of lots that a line has room for: a sheet of many days sees more than one
    """
    first = max(1, int((room - 14.0) / row))
    later = max(1, int((front.height - 30.0) / row))
    parts, at = [], 0
    while at < len(lines):
        count = len(lines) if at == 0 and len(lines) <= first else later
        part = lines[at : at + count]
        parts.append(Picture(front.width, 14.0 + row * len(part), _load_drawn(part, boxes, row, words, lots)))
        at += count
    return [*parts, Spacer(0, 4)]


def _load_drawn(lines: Sequence[Measured], boxes: Sequence[str], row: float, words: Words, lots: int) -> Any:
    box = BOX if len(boxes) <= 2 else NARROW_BOX

    def draw(canvas: Any, wide: float, high: float) -> None:
        lot = LOT if boxes else LONG_LOT
        lot_at = wide - lot
        boxes_at = lot_at - len(boxes) * box
        name_at, figure_at = 7 * mm, 7 * mm + NAME * wide
        canvas.setFillColor(GREY)
        canvas.setFont(PLAIN, 7.5)
        canvas.drawString(name_at, high - 10, words("load-material"))
        canvas.drawString(figure_at, high - 10, words("load-take"))
        for i, label in enumerate(boxes):
            canvas.drawString(boxes_at + i * box + 2, high - 10, cut(label, PLAIN, 7.5, box - 3))
        canvas.drawString(lot_at + 2, high - 10, words("load-lot"))
        for i, line in enumerate(lines):
            low = high - 14.0 - (i + 1) * row
            if i % 2 == 0:
                canvas.setFillColor(TINT)
                canvas.rect(0, low, boxes_at - 3, row, stroke=0, fill=1)
            _line(canvas, line, low, row, (name_at, figure_at, boxes_at - 6.0))
            canvas.setStrokeColor(HAIR)
            canvas.setLineWidth(0.6)
            for j in range(len(boxes)):
                canvas.rect(boxes_at + j * box, low, box, row)
            if line.lot is not None:
                _lots_drawn(canvas, (lot_at, low), (lot, row), words, line.lot, lots)
            for j in range(len(boxes)):
                tick_box(canvas, boxes_at + j * box + 3, low + row - 11, 8, 0.9)

    return draw


def _lots_drawn(
    canvas: Any, at: tuple[float, float], size: tuple[float, float], words: Words, lot: str, lots: int
) -> None:
    """The box of a material's lot number, a line for each lot; from the second on with the day on which it begins."""
    (left, low), (wide, row) = at, size
    high = row / lots
    canvas.rect(left, low, wide, row)
    write(canvas, [(left + 3, low + row - high / 2 - 3, cut(lot, PLAIN, 8, wide - 6))], PLAIN, 8, INK)
    for i in range(1, lots):
        top = low + row - i * high
        canvas.setStrokeColor(HAIR)
        canvas.line(left, top, left + wide, top)
        write(canvas, [(left + 3, top - high / 2 - 2, words("load-lot-from"))], PLAIN, 6.0, GREY)


@frozen
class _Day:
    """A row of the list of days: the pour and its date, what its batches fill, and how many are made."""

    name: str
    pieces: str
    count: int


def _day_drawn(
    canvas: Any, wide: float, high: float, *, day: _Day, names: float, a_row: int, row: float, tinted: bool
) -> None:
    """One day.

    names   width of the column of days, points
    a_row   boxes in a row
    row     height of a row of boxes
    """
    if tinted:
        canvas.setFillColor(TINT)
        canvas.rect(0, 0, wide, high, stroke=0, fill=1)
    canvas.setFillColor(INK)
    canvas.setFont(BOLD, DAY_TYPE)
    canvas.drawString(3, high - 0.5 * row - 3, cut(day.name, BOLD, DAY_TYPE, names))
    canvas.setFont(PLAIN, 7.5)
    canvas.drawString(names, high - 0.5 * row - 3, cut(day.pieces, PLAIN, 7.5, DAY_PIECES - 4))
    side = min(0.56 * DAY_ROW, 0.78 * row)
    for i in range(day.count):
        line, place = divmod(i, a_row)
        x, y = names + DAY_PIECES + place * TICK, high - (line + 0.5) * row
        tick_box(canvas, x, y - side / 2, side, 0.9)
        canvas.setFillColor(GREY)
        canvas.setFont(PLAIN, 7)
        canvas.drawString(x + side + 2, y - 2.5, str(i + 1))
    canvas.setStrokeColor(HAIR)
    canvas.setLineWidth(0.6)
    canvas.rect(wide - READING, high - row + 1, READING - 2, row - 2)


def _line(canvas: Any, line: Measured, low: float, row: float, ats: tuple[float, float, float]) -> None:
    name_at, figure_at, end = ats
    canvas.setFillColor(INK)
    canvas.setFont(BOLD, 11)
    canvas.drawCentredString(name_at / 2, low + row / 2 - 4, str(line.step))
    size = size_that_fits(line.material, BOLD, figure_at - name_at - 6, 11.5, 7.5)
    canvas.setFont(BOLD, size)
    canvas.drawString(name_at, low + row / 2 - 4, cut(line.material, BOLD, size, figure_at - name_at - 6))
    room = end - figure_at
    below, small = _in_lines(line.second, room, row)
    big = size_that_fits(line.big, BOLD, room, min(BIG, (0.55 if len(below) < 2 else 0.40) * row), 8.0)
    canvas.setFont(BOLD, big)
    if not below:
        canvas.drawString(figure_at, low + row / 2 - 0.36 * big, line.big)
        return
    used = big + len(below) * 1.1 * small
    at = low + row - 0.3 * max(0.0, row - used) - 0.78 * big
    canvas.drawString(figure_at, at, line.big)
    canvas.setFont(PLAIN, small)
    for i, text in enumerate(below, start=1):
        canvas.drawString(figure_at, low + 0.10 * row + (len(below) - i) * 1.1 * small, text)


def _in_lines(text: str, room: float, row: float) -> tuple[list[str], float]:
    """What stands beside the figure, whole, on one line or broken between words, and the size of its type.

    An instruction that is cut is worse than one in small type.
    """
    if not text:
        return [], LEAST_TYPE
    whole = min(SECOND, 0.24 * row)
    size = size_that_fits(text, PLAIN, room, whole, LEAST_TYPE)
    if width_of(plain(text), PLAIN, size) <= room:
        return [text], size
    size = LEAST_TYPE
    while True:
        lines: list[str] = []
        for word in GAP.split(text):
            longer = f"{lines[-1]} {word}" if lines else word
            if lines and width_of(plain(longer), PLAIN, size) <= room:
                lines[-1] = longer
            else:
                lines.append(word)
        if len(lines) <= MOST_LINES or size <= SMALLEST_TYPE:
            return lines, size
        size -= 0.25
