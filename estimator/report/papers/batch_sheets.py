"""batch-sheets.pdf: what stands on the wall beside the mixer, a page a kind of batch, to be read with wet gloves on.

One big figure a line: by the scale, for light aggregate by the bucket, since a scale that shows a tenth of a pound
cannot weigh beads. Each batch has a box of its own on each line, for the tick and for what the scale really showed.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.platypus import Flowable, PageBreak, Spacer

from estimator.batching import Batch, Load
from estimator.cautions import AppliedCaution
from estimator.estimate import Estimate
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
    Front,
    Picture,
    Rule,
    Stamp,
    bind,
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
    words_of,
)
from estimator.report.papers.table import table
from estimator.report.screen import Column
from estimator.words import Words
from geometry.frozen import frozen

AT_THE_MIXER = (
    *("mixed-by-machine", "mixes-silica", "mixes-cement", "mixes-glass-fibre", "mixes-fine-powder"),
    *("polystyrene", "polystyrene-uncoated", "fluid-mix-with-beads"),
)
"""Conditions of the cautions that matter while a batch is mixed."""

OF_A_TRAIT = {"polystyrene": "polystyrene", "polystyrene-uncoated": "uncoated", "mixes-glass-fibre": "glass-fibre"}
"""Conditions that hold for this batch only where a material in it has the trait."""

MOST_BELOW = 0.5  # of the page: what is higher may break over two
MOST_BOXES = 4  # batches that one page can record
ROW, LEAST_ROW = 16.5 * mm, 9.5 * mm  # height of a line of the load
BIG, SECOND = 24.0, 10.0  # type of the figure to act on, and of the one beside it
NAME, LOT = 0.30, 24 * mm  # of the width; of the lot number
BOX, NARROW_BOX = 19 * mm, 15 * mm  # of a batch's box; where there are more than two
LEAST_TYPE, SMALLEST_TYPE, MOST_LINES = 6.5, 4.5, 2  # of what stands beside it: on one line, and on two at most
CHECK = ParagraphStyle("check", parent=BODY, fontSize=11, leading=15)
CAUTION = ParagraphStyle("caution", parent=BODY, fontSize=7.5, leading=9.5)


@frozen
class Measured:
    """One line of the load as it is shown."""

    step: int
    material: str
    big: str
    second: str
    lot: str


def batch_sheets(estimate: Estimate) -> bytes:
    """The sheets of every pour as PDF, after a page that lists them."""
    front, words = Front("Batch sheets", estimate.job), words_of(estimate)
    batches = estimate.batching.batches
    story = _list_of(estimate, front, words)
    below = _Below(estimate, front, words)
    for number, batch in enumerate(batches, start=1):
        story += [PageBreak(), *_sheet(estimate, batch, number, below)]
    return bind(front, story)


def _list_of(estimate: Estimate, front: Front, words: Words) -> list[Flowable]:
    batches = estimate.batching.batches
    rows = [
        (
            str(number),
            batch.pour,
            batch.mix,
            str(batch.count),
            words.volume(batch.volume_m3),
            words.mass(batch.mass_kg),
            fills(batch),
        )
        for number, batch in enumerate(batches, start=1)
    ]
    heads = ("Sheet", "Pour", "Mix", "Batches", "Each", "Weighs", "Fills")
    columns = tuple(Column(head, head not in ("Pour", "Mix", "Fills")) for head in heads)
    calendar = estimate.calendar
    days = {step.pour: calendar.date_of(step.first_day) for step in calendar.steps if step.name == "pour"}
    pours = [
        (
            pour.name,
            days.get(pour.name) or f"day {pour.day}",
            _marks({c.mark: c.count for c in pour.casts}),
        )
        for pour in estimate.batching.pours
    ]
    return [
        *title(front, "for the mixer: one page a kind of batch, in the order of the pours"),
        *facts(
            [
                ("Pours", str(len(pours))),
                ("Batches", str(sum(batch.count for batch in batches))),
                ("In the form within", _within(estimate, words)),
            ],
            front.width,
        ),
        *section("Pours", table([Column(h, False) for h in ("Pour", "Soonest", "Casts")], pours, front.width)),
        *section("Sheets", table(columns, rows, front.width)),
    ]


def _within(estimate: Estimate, words: Words) -> str:
    limits = [batch.place_within_s for batch in estimate.batching.batches]
    least, most = words.minutes(min(limits)), words.minutes(max(limits))
    return f"{least if least == most else f'{least} to {most}'} of first water"


def fills(batch: Batch) -> str:
    """The marks that a batch fills, each with how many of it."""
    return _marks(Counter(batch.marks))


def _marks(counts: Mapping[str, int]) -> str:
    return ", ".join(mark if count == 1 else f"{mark} × {count}" for mark, count in counts.items())


def _sheet(estimate: Estimate, batch: Batch, number: int, under: "_Below") -> list[Flowable]:
    front, words, total = under.front, under.words, len(estimate.batching.batches)
    below = under.of(batch)
    pairs = _facts(estimate, batch, words)
    head: list[Flowable] = [
        say(f"{batch.pour} · sheet {number} of {total}", LABEL),
        Picture(front.width, 30.0, _headline(batch)),
        Rule(front.width),
        say(f"Fills {fills(batch)}", STRONG),
        Spacer(0, 3),
        *facts(pairs, front.width, columns=max(4, len(pairs))),
        Spacer(0, 4),
    ]
    lines = [measured(load, batch, estimate, words) for load in batch.load]
    used = sum(part.wrap(front.width, front.height)[1] + part.getSpaceBefore() for part in (*head, *below)) + 34.0
    room = front.height - used
    row = max(LEAST_ROW, min(ROW, (room - 14.0) / max(len(lines), 1)))
    return [*head, *_load(lines, batch.count, row, front, room), *below]


def _headline(batch: Batch) -> Any:
    def draw(canvas: Any, wide: float, _high: float) -> None:
        canvas.setFillColor(INK)
        times = f"mix {batch.count} of these" if batch.count > 1 else "mix it once"
        canvas.setFont(BOLD, 15)
        canvas.drawRightString(wide, 7, times)
        room = wide - 140
        size = size_that_fits(batch.mix, BOLD, room, 26.0, 12.0)
        canvas.setFont(BOLD, size)
        canvas.drawString(0, 7, cut(batch.mix, BOLD, size, room))

    return draw


def _facts(estimate: Estimate, batch: Batch, words: Words) -> list[tuple[str, str]]:
    pairs = [
        ("One batch", f"{words.volume(batch.volume_m3)} · {words.mass(batch.mass_kg)}"),
        ("In the form after first water", f"{words.minutes(batch.place_within_s)} at most"),
        (f"Placing time, {words.crew(batch.crew)}", words.minutes(batch.placing_s)),
    ]
    spare = [_plural(batch.coupons, "coupon"), _plural(batch.samples, "sample board")]
    if any(spare):
        pairs.append(("Left over for", ", ".join(text for text in spare if text)))
    waits = {
        layer.wait_s
        for mark in batch.marks
        for layer in estimate.batching.placing[mark].layers
        if layer.mix == batch.mix and layer.wait_s is not None
    }
    if waits:
        least, most = max(w[0] for w in waits), min(w[1] for w in waits)
        pairs.insert(3, ("Wait after the layer below", f"{least / 60:.0f} to {words.minutes(most)}"))
    if batch.longest_wait_s is not None:
        pairs.append(("Waits for the next layer", f"{words.minutes(batch.longest_wait_s)} at most"))
    return pairs


def _plural(count: int, name: str) -> str:
    return "" if not count else f"{count} {name}{'s' if count > 1 else ''}"


def measured(load: Load, batch: Batch, estimate: Estimate, words: Words) -> Measured:
    """How one step of the load is measured: light aggregate by the bucket first, all else by the scale."""
    job = estimate.job
    kind = job.materials[load.material].kind
    by_scale = words.to_step(load.mass_kg, load.scale_step_kg)
    bucket_m3 = job.workshop.mixing.bucket_m3
    lot = job.lots.get(load.material) or ""
    in_kg = words.mass(load.mass_kg) if words.units == "metric" and by_scale.endswith("lb") else ""
    if kind == "light-aggregate":
        full = words.buckets(load.volume_m3, bucket_m3)
        second = " · ".join(text for text in (full, f"weighs {by_scale}") if text)
        return Measured(load.step, load.material, words.bucketful(load.volume_m3), second, lot)
    if kind == "water":
        waters = [text.step for text in batch.load if text.material == load.material]
        part = waters.index(load.step)
        name = load.material if len(waters) == 1 else "water, first" if part == 0 else "water, held back"
        condition = "" if part == 0 else "only what the consistency needs"
        second = " · ".join(text for text in (in_kg, words.bucketful(load.volume_m3), condition) if text)
        return Measured(load.step, name, by_scale, second, lot)
    loose = f"about {words.bucketful(load.volume_m3)} loose" if kind == "sand" else ""
    second = " · ".join(text for text in (in_kg, loose) if text)
    return Measured(load.step, load.material, by_scale, second, lot)


def _load(lines: Sequence[Measured], batches: int, row: float, front: Front, room: float) -> list[Flowable]:
    """The load in parts that fit their page."""
    first = max(1, int((room - 14.0) / row))
    later = max(1, int((front.height - 30.0) / row))
    parts, at = [], 0
    while at < len(lines):
        count = len(lines) if at == 0 and len(lines) <= first else later
        part = lines[at : at + count]
        parts.append(Picture(front.width, 14.0 + row * len(part), _load_drawn(part, batches, row)))
        at += count
    if batches > MOST_BOXES:
        parts.append(say(f"Boxes for {MOST_BOXES} batches; print the page again for the others.", SMALL))
    return [*parts, Spacer(0, 4)]


def _load_drawn(lines: Sequence[Measured], batches: int, row: float) -> Any:
    boxes = min(batches, MOST_BOXES)
    box = BOX if boxes <= 2 else NARROW_BOX

    def draw(canvas: Any, wide: float, high: float) -> None:
        lot_at = wide - LOT
        boxes_at = lot_at - boxes * box
        name_at, figure_at = 7 * mm, 7 * mm + NAME * wide
        canvas.setFillColor(GREY)
        canvas.setFont(PLAIN, 7.5)
        canvas.drawString(name_at, high - 10, "in this order")
        canvas.drawString(figure_at, high - 10, "take")
        for i in range(boxes):
            label = "weighed" if boxes == 1 else f"batch {i + 1}"
            canvas.drawString(boxes_at + i * box + 2, high - 10, label)
        canvas.drawString(lot_at + 2, high - 10, "lot")
        for i, line in enumerate(lines):
            low = high - 14.0 - (i + 1) * row
            if i % 2 == 0:
                canvas.setFillColor(TINT)
                canvas.rect(0, low, boxes_at - 3, row, stroke=0, fill=1)
            _line(canvas, line, low, row, (name_at, figure_at, boxes_at - 6.0))
            canvas.setStrokeColor(HAIR)
            canvas.setLineWidth(0.6)
            for j in range(boxes):
                canvas.rect(boxes_at + j * box, low, box, row)
            canvas.rect(lot_at, low, LOT, row)
            for j in range(boxes):
                tick_box(canvas, boxes_at + j * box + 3, low + row - 11, 8, 0.9)
            canvas.setFillColor(INK)
            canvas.setFont(PLAIN, 8)
            canvas.drawString(lot_at + 3, low + row / 2 - 3, cut(line.lot, PLAIN, 8, LOT - 6))

    return draw


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
        for word in text.split(" "):
            longer = f"{lines[-1]} {word}" if lines else word
            if lines and width_of(plain(longer), PLAIN, size) <= room:
                lines[-1] = longer
            else:
                lines.append(word)
        if len(lines) <= MOST_LINES or size <= SMALLEST_TYPE:
            return lines, size
        size -= 0.25


@dataclass(slots=True)
class _Below:
    """What stands below the load: the check on the fresh mix, what to do, cautions. Alike on many sheets, made once."""

    estimate: Estimate
    front: Front
    words: Words
    made: dict[tuple[object, ...], list[Flowable]] = field(default_factory=dict)

    def of(self, batch: Batch) -> list[Flowable]:
        cautions = _cautions(self.estimate, batch)
        key = (batch.mix, batch.check, batch.notes, tuple(caution.caution.id for caution in cautions))
        if key not in self.made:
            parts = [*self._check(batch), *self._steps(), *_told(cautions, self.words)]
            stamp = Stamp(f"below-{len(self.made) + 1}", parts, self.front.width)
            self.made[key] = [stamp] if stamp.height < MOST_BELOW * self.front.height else parts
        return self.made[key]

    def _check(self, batch: Batch) -> list[Flowable]:
        check, words = batch.check, self.words
        if check is None:
            parts = [("Density check: this batch fills none of the shop's measures. Weigh the whole batch.", False)]
            notes = list(batch.notes)
        else:
            low, high = words.checked_mass(check.low_kg), words.checked_mass(check.high_kg)
            parts = [
                (f"Density check: a {words.measure(check.measure_m3)} measure struck level should weigh ", False),
                (words.checked_mass(check.expected_kg), True),
                (f" with the measure ({low} to {high}).  Weighed: ______________", False),
            ]
            good_to = "0.3% of that weight" if words.units == "imperial" else "0.3 % of that weight"
            how = f"Use a measure whose volume you found with water, and a scale good to {good_to}. "
            how += "Tap and strike. Don't vibrate."
            if check.people > 1:
                how += f" {check.people} people lift the full measure."
            if check.indication_only:
                how += " Indication only. Don't correct the mix by it."
            notes = [note for note in (how, check.when_heavy, check.when_light, *batch.notes) if note]
        return [say("Before it is placed", SECTION), say_parts(parts, CHECK), *(say(note, CAUTION) for note in notes)]

    def _steps(self) -> list[Flowable]:
        steps = enumerate(self.estimate.job.workshop.loading_steps, start=1)
        parts = [part for i, step in steps for part in ((f"{i} ", True), (f"{step}  ", False))]
        return [say("At the mixer", SECTION), say_parts(parts, CAUTION)] if parts else []


def _told(cautions: Sequence[AppliedCaution], words: Words) -> list[Flowable]:
    lines = [
        say_parts([(f"{caution.caution.severity.upper()}  ", True), (words.text(caution.text), False)], CAUTION)
        for caution in cautions
    ]
    return [say("Cautions", SECTION), *lines] if lines else []


def _cautions(estimate: Estimate, batch: Batch) -> list[AppliedCaution]:
    """Those that matter at the mixer, for the marks and the materials of this batch."""
    traits = {trait for load in batch.load for trait in estimate.job.materials[load.material].traits}
    return [
        caution
        for caution in estimate.cautions
        if caution.caution.when in AT_THE_MIXER
        and any(mark in caution.reasons for mark in batch.marks)
        and OF_A_TRAIT.get(caution.caution.when) in (None, *traits)
    ]
