"""pour-days.pdf: what is cast on which day, from which batches, until when; covered how, stripped when, cured how.

A day takes one sheet: the casting, then cover and cure, on its back where both do not fit the front. Jobs of many days
tell build-up and cure once and list their days one under the other. The hot side is rounded up, the cold side down,
what may be honed off down.
"""

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from math import fsum

from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.platypus import CondPageBreak, Flowable, PageBreak, Spacer
from reportlab.platypus import Table as Grid

from estimator.curing.covers import stated
from estimator.estimate import Estimate
from estimator.report.papers.pour_words import OVER_THE_LIMIT, Alike, CureWords, Day, alike, days_of, named, numbered
from estimator.report.papers.style import (
    BODY,
    LABEL,
    SMALL,
    STRONG,
    TITLE,
    Draw,
    Front,
    Picture,
    Rule,
    alert,
    bind,
    by_statement,
    facts,
    say,
    say_parts,
    section,
    title,
    words_of,
)
from estimator.report.papers.table import table
from estimator.report.plots import COLD, HOT, LEAST, LIMIT, Course, Level, on_paper, temperature_plot
from estimator.report.screen import Column
from estimator.words import PLAIN, Words

AT_THE_FORM = ("overheats", "heat-added", "strength-untested", "mixes-cement", "adhesion-rules")
"""Conditions of the cautions that matter while pieces are placed, uncovered and stripped."""

MOST_SHEETS = 20  # days, beyond which they are listed one under the other
MOST_MARKS = 12  # of a day in the overview
PLOT_HIGH, PLOT_WIDE = 46 * mm, 0.56  # and of the width
CURED, CURED_SIZES = (0.16, 0.12, 0.23, 0.22, 0.15, 0.12), (8.0,)  # columns of the curing table, of the width
TOP_LEFT = [
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
    ("LEFTPADDING", (0, 0), (-1, -1), 0),
    ("RIGHTPADDING", (0, 0), (-1, -1), 0),
    ("TOPPADDING", (0, 0), (-1, -1), 0),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 0),
]
PLOTTED_H = (36.0, 48.0, 72.0)  # the least that shows the stripping
NEAR_K = 8.0  # of the cold limit, from which on that is drawn
NOTE = ParagraphStyle("note", parent=BODY, fontSize=7.5, leading=9.5)
KEEP = "Covered with plastic always: over the piece, edges tucked under, as soon as it is finished."


def pour_days(estimate: Estimate) -> bytes:
    """The sheets of every day as PDF, after a page that lists them where there are several."""
    front, words = Front("Pour days", estimate.job), words_of(estimate)
    days = days_of(estimate)
    cure = CureWords({limit.name: limit.value for limit in estimate.curing.limits}, words)
    compact = len(days) > MOST_SHEETS
    story: list[Flowable] = []
    if len(days) > 1:
        story += [*title(front, "for the crew at the forms: one sheet a pour day, soonest days")]
        every = [group for day in days for group in day.groups]
        story += alert(_unsafe(every), front.width)
        story += _overview(days, cure, front, words)
        story += _assumed(estimate)
    if compact:
        story += [*_whole_job(estimate, cure, front, words)]
        for day in days:
            story += _short_day(day, front, words)
        return bind(front, story)
    for day in days:
        if story:
            story.append(PageBreak())
        story += _sheet(day, estimate, cure, front, words, alone=len(days) == 1)
    return bind(front, story)


def _overview(days: Sequence[Day], cure: CureWords, front: Front, words: Words) -> Iterator[Flowable]:
    yield from facts(
        [
            ("Pour days", str(len(days))),
            ("Pieces", str(sum(day.count for day in days))),
            ("Batches", str(sum(day.batch_count for day in days))),
            ("First pour", days[0].date),
        ],
        front.width,
    )
    rows = [
        (
            day.name,
            day.date,
            numbered(day.casts, MOST_MARKS),
            str(day.batch_count),
            words.duration(day.placing_s),
            cure.hottest(day.groups),
            day.strip_on,
        )
        for day in days
    ]
    heads = ("Pour", "Date", "Casts", "Batches", "Laying", "Peak, hot side", "Strip on")
    columns = [Column(head, head in ("Batches", "Laying")) for head in heads]
    yield from section("Days", table(columns, rows, front.width))


def _sheet(day: Day, estimate: Estimate, cure: CureWords, front: Front, words: Words, *, alone: bool) -> list[Flowable]:
    """One day: on one page, or on the two sides of a sheet."""
    top = [
        *_head(day, front),
        *_day_facts(day, cure, front, words),
        *alert(_unsafe(day.groups), front.width),
    ]
    casting = [*_casting(day.groups, front, cure, day), *_batches(day, front, words), *_notes(day.groups, day)]
    curing = [
        *_curing(day.groups, cure, front),
        *_who_comes(day),
        *_plot_and_cautions(day.groups, estimate, front, words),
    ]
    if alone:
        curing += _assumed(estimate)
    if _height(front, [*top, *casting, *curing]) <= front.height:
        return [*top, *casting, *curing]
    back: list[Flowable] = [say(f"{day.name} · {day.date} · after casting", LABEL), Rule(front.width)]
    return [*top, *casting, PageBreak(), *back, *curing]


def _height(front: Front, parts: Iterable[Flowable]) -> float:
    """What the parts take one under the other, points; a little more than they will."""
    return fsum(
        part.wrap(front.width, front.height)[1] + part.getSpaceBefore() + part.getSpaceAfter()
        for part in parts
        if not isinstance(part, CondPageBreak)
    )


def _head(day: Day, front: Front) -> list[Flowable]:
    return [
        say(f"{front.job.name} · pour {day.number} of {day.of}", LABEL),
        say(f"{day.name} · {day.date}", TITLE),
        Rule(front.width),
    ]


def _day_facts(day: Day, cure: CureWords, front: Front, words: Words) -> list[Flowable]:
    return facts(
        [
            ("Crew", words.crew(day.crew)),
            ("Laying takes the crew", words.duration(day.placing_s)),
            ("Mixing takes", words.duration(day.mixing_s)),
            ("Room / mix", cure.room(day.groups)),
            ("Strip on", day.strip_on),
        ],
        front.width,
        columns=5,
    )


def _unsafe(groups: Sequence[Alike]) -> list[str]:
    """What the plan as it stands is not shown to bear."""
    return by_statement({mark: CureWords.unsafe(group.curing) for group in groups for mark in group.casts}.items())


def _casting(groups: Sequence[Alike], front: Front, cure: CureWords, day: Day | None = None) -> list[Flowable]:
    """Which pieces in how many forms, how each is built up, from which batches."""
    rows = [
        (
            numbered(group.casts) if day is not None else named(group.casts),
            *((_forms(group),) if day is not None else ()),
            cure.build_up(group.placing),
            cure.hone(group.placing),
            *((day.sheets_for(group),) if day is not None else ()),
        )
        for group in groups
    ]
    heads = ["Piece", "Forms", "Built up, from the form inward", "Hone at most", "Batch sheets"]
    if day is None:
        heads = [heads[0], heads[2], heads[3]]
    columns = [Column(head, False) for head in heads]
    return section("Cast", table(columns, rows, front.width))


def _forms(group: Alike) -> str:
    count = sum(group.casts.values())
    return "1 form" if count == 1 else f"{count} forms"


def _batches(day: Day, front: Front, words: Words) -> list[Flowable]:
    """The batches in their order, with room for the time of their first water."""
    rows = [
        (
            str(number),
            batch.mix,
            str(batch.count),
            words.volume(batch.volume_m3),
            numbered(Counter(batch.marks)),
            words.duration(batch.placing_s),
            words.minutes(batch.place_within_s),
            "____:____",
            "____:____",
        )
        for number, batch in day.batches
    ]
    heads = (
        "Sheet",
        "Mix",
        "Batches",
        "Each",
        "Fills",
        "Laid in",
        "In the form within",
        "First water at",
        "Must lie by",
    )
    columns = [Column(head, head in ("Batches", "Each", "Laid in", "In the form within")) for head in heads]
    return section("Batches, counted from first water", table(columns, rows, front.width))


def _notes(groups: Sequence[Alike], day: Day | None = None) -> list[Flowable]:
    """Common practice of placing, each once, and which piece takes several batches."""
    lines = [
        *(_in_parts(day) if day is not None else ()),
        *_once((mark, [*map(PLAIN.text, group.placing.notes)]) for group in groups for mark in group.casts),
    ]
    return section("At the form", *_lines(lines)) if lines else []


def _in_parts(day: Day) -> Iterator[tuple[str, str]]:
    """Pieces that no batch holds whole."""
    for (mark, mix), count in day.split.items():
        yield mark, f"takes {count} batches of {mix}: lay each on the last while that is still fresh."


def _once(by_mark: Iterable[tuple[str, Sequence[str]]]) -> list[tuple[str, str]]:
    """Each statement once, with the marks that it is said of; without them where it is said of all."""
    marks: dict[str, list[str]] = {}
    every = list(by_mark)
    for mark, statements in every:
        for statement in dict.fromkeys(statements):
            marks.setdefault(statement, []).append(mark)
    of_all = {statement for statement, of in marks.items() if len(of) == len(every)}
    ordered = sorted(marks, key=lambda statement: statement not in of_all)
    return [("" if statement in of_all else named(marks[statement]), statement) for statement in ordered]


def _lines(statements: Iterable[tuple[str, str]]) -> list[Flowable]:
    """Statements, each after the marks that it is said of."""
    return [
        say_parts([(f"{marks}  ", True), (_ended(text), False)], NOTE) if marks else say(_sentence(text), NOTE)
        for marks, text in statements
    ]


def _sentence(text: str) -> str:
    return _ended(f"{text[:1].upper()}{text[1:]}")


def _ended(text: str) -> str:
    return text if text.endswith((".", "?", "!")) else f"{text}."


def _curing(groups: Sequence[Alike], cure: CureWords, front: Front) -> list[Flowable]:
    """Cover, peak, stripping and what follows, then the reasons."""
    rows = [
        (
            named(group.casts),
            cure.plastic(group.curing),
            cure.warmth(group.curing),
            cure.peak(group.curing),
            cure.strip(group),
            cure.after(group.curing),
        )
        for group in groups
    ]
    heads = ("Piece", "Plastic on", "Tarp, heat", "Peak low / likely / high", "Strip after", "Then")
    cured = table([Column(h, False) for h in heads], rows, front.width, sizes=CURED_SIZES, shares=CURED)
    reasons = _once((mark, cure.reasons(group.curing)) for group in groups for mark in group.casts)
    on_air = dict.fromkeys(group.curing.plan.after_stripping for group in groups)
    return [
        *section("Cover, strip, cure", say(KEEP, NOTE), cured),
        Spacer(0, 3),
        say_parts([("Out of the form: ", True), (f"{'; '.join(on_air)}.", False)], NOTE),
        *_lines(reasons),
    ]


def _who_comes(day: Day) -> list[Flowable]:
    """Room for the name of whoever strips the pour or keeps it wet on each day off."""
    if not day.attended:
        return []
    blanks = "; ".join(f"{day_off} ______________" for day_off in day.attended)
    return [say_parts([("Who comes on days off to strip or to keep wet: ", True), (f"{blanks}.", False)], NOTE)]


def _plot_and_cautions(groups: Sequence[Alike], estimate: Estimate, front: Front, words: Words) -> list[Flowable]:
    """Side by side where there is a plot."""
    cautions = _cautions(estimate, {mark for group in groups for mark in group.casts}, words)
    draw = _plot(groups, {limit.name: limit.value for limit in estimate.curing.limits}, words)
    if draw is None:
        return section("Cautions", *cautions)
    left, gap = PLOT_WIDE * front.width, 12.0
    pair = Grid(
        [
            [say("Temperature inside: hottest piece, slowest to harden", STRONG), say("Cautions", STRONG)],
            [Picture(left, PLOT_HIGH, draw), cautions],
        ],
        colWidths=[left + gap, front.width - left - gap],
        style=[*TOP_LEFT, ("TOPPADDING", (0, 0), (-1, 0), 8), ("BOTTOMPADDING", (0, 0), (-1, 0), 3)],
    )
    return [pair]


def _plot(groups: Sequence[Alike], limits: Mapping[str, float], words: Words) -> Draw | None:
    """Temperature over time of the pieces that govern: the hottest, and the one that hardens last."""
    modelled = [
        (group, plan.chosen, plan.cold)
        for group in groups
        for plan in (group.curing.plan,)
        if plan.chosen is not None and plan.cold is not None
    ]
    if not modelled:
        return None
    hot, warm, _ = max(modelled, key=lambda run: CureWords.peak_high_c(run[0].curing))
    cold, _, cool = min(modelled, key=lambda run: run[2].strength_at_strip)
    high_c = warm.peak.high_c
    highest = OVER_THE_LIMIT if high_c is None else f"up to {words.temperature(high_c, up=True)}"
    strips = [hours for group, *_ in modelled if (hours := group.curing.plan.strip_h) is not None]
    strip = (min(s[0] for s in strips), max(s[1] for s in strips)) if strips else None
    until_h = next((end_h for end_h in PLOTTED_H if strip is not None and strip[1] < end_h - 6.0), PLOTTED_H[-1])
    peak_c, least_c = limits["peak temperature"], limits["thin sections placed and kept at"]
    levels = [Level(f"limit {words.temperature(peak_c, up=False)}", peak_c, LIMIT)]
    warmest, coldest = warm.trace.hourly, cool.trace.hourly
    if min(coldest.low_c) < least_c + NEAR_K:
        levels.append(Level(f"thin sections at least {words.temperature(least_c, up=True)}", least_c, LEAST))
    hot_c = [stated(celsius) for celsius in warmest.high_c]
    courses = [
        Course(named(hot.casts, 3), f" hot, {highest}", warmest.time_h.tolist(), hot_c, HOT),
        Course(named(cold.casts, 3), " cold", coldest.time_h.tolist(), coldest.low_c.tolist(), COLD, 1.2),
    ]
    return on_paper(lambda wide, high: temperature_plot(courses, levels, strip, until_h, words.units, (wide, high)))


def _cautions(estimate: Estimate, casts: Collection[str], words: Words) -> list[Flowable]:
    lines: list[Flowable] = []
    for caution in estimate.cautions:
        marks = [mark for mark in caution.pieces if mark in casts]
        if caution.caution.when in AT_THE_FORM and marks:
            of = "" if len(marks) == len(casts) else f"{named(marks)}: "
            lines.append(
                say_parts(
                    [(f"{caution.caution.severity.upper()}  ", True), (f"{of}{words.text(caution.text)}", False)], NOTE
                )
            )
    return lines


def _assumed(estimate: Estimate) -> list[Flowable]:
    """What the curing figures assume, each once."""
    lines = _once((piece.taken.piece.mark, piece.curing.flags) for piece in estimate.pieces)
    note = say("Temperatures and hours are computed, not measured: watch the first pour with a thermometer.", SMALL)
    return section("What the curing figures assume", *_lines(lines), note)


def _whole_job(estimate: Estimate, cure: CureWords, front: Front, words: Words) -> Iterator[Flowable]:
    """Build-up and cure of every piece, told once for all days."""
    groups = alike({piece.taken.piece.mark: piece.taken.piece.quantity for piece in estimate.pieces}, estimate)
    yield from _casting(groups, front, cure)
    yield from _notes(groups)
    yield from _curing(groups, cure, front)
    yield from _plot_and_cautions(groups, estimate, front, words)


def _short_day(day: Day, front: Front, words: Words) -> list[Flowable]:
    """One of many days: its pieces and its batches."""
    batches = _batches(day, front, words)[-1]
    work = f"{words.crew(day.crew)}, laying {words.duration(day.placing_s)}, strip on {day.strip_on}"
    return [
        CondPageBreak(70 + min(60.0, batches.wrap(front.width, front.height)[1])),
        *section(
            f"{day.name} · {day.date}", say(f"{numbered(day.casts)} · {work}", NOTE), *_lines(_in_parts(day)), batches
        ),
        *_who_comes(day),
    ]
