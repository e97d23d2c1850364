"""pour-days.pdf: what is cast on which day, from which batches, until when; covered how, stripped when, cured how.

A day takes one page: the casting, then cover and cure, on its back where both do not fit the front. Jobs of many days
say build-up and cure once and list their days one under the other. The hot side is rounded up, the cold side down,
what may be honed off down. What the figures assume stands in the workings.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from math import fsum

from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import CondPageBreak, Flowable, PageBreak, Spacer

from estimator.estimate import Estimate
from estimator.report.papers.crew import caution_lines
from estimator.report.papers.pour_words import Alike, CureWords, Day, alike, days_of, named, numbered
from estimator.report.papers.style import (
    BODY,
    LABEL,
    TITLE,
    Front,
    Rule,
    alert,
    bind,
    by_statement,
    crew_words_of,
    facts,
    say,
    say_parts,
    section,
    title,
)
from estimator.report.papers.table import table
from estimator.report.screen import Column

AT_THE_FORM = ("overheats", "heat-added", "strength-untested", "mixes-cement", "adhesion-rules")
"""Conditions of the cautions that matter while pieces are placed, uncovered and stripped."""

MOST_SHEETS = 20  # days, beyond which they are listed one under the other
MOST_MARKS = 12  # of a day in the overview
CURED, CURED_SIZES = (0.15, 0.10, 0.31, 0.22, 0.13, 0.09), (8.5,)  # columns of the curing table, of the width
NOTE = ParagraphStyle("note", parent=BODY, fontSize=8, leading=10)
BLANK = "____:____"


def pour_days(estimate: Estimate) -> bytes:
    """The sheets of every day as PDF, after a page that lists them where there are several."""
    return _Paper(estimate).bytes()


class _Paper:
    """The pour days of one job."""

    def __init__(self, estimate: Estimate) -> None:
        self.estimate, self.words = estimate, crew_words_of(estimate)
        self.front = Front(self.words("pour-paper"), estimate.job, words=self.words)
        limits = {limit.name: limit.value for limit in estimate.curing.limits}
        self.cure = CureWords(limits, estimate.job.mixes, self.words)
        self.days = days_of(estimate, self.words)

    def bytes(self) -> bytes:
        story: list[Flowable] = []
        if len(self.days) > 1:
            story += [*title(self.front, self.words("pour-purpose"))]
            story += self._alert([group for day in self.days for group in day.groups])
            story += self._overview()
        if len(self.days) > MOST_SHEETS:
            story += [*self._whole_job(), *(part for day in self.days for part in self._short_day(day))]
            return bind(self.front, story)
        for day in self.days:
            if story:
                story.append(PageBreak())
            story += self._sheet(day)
        return bind(self.front, story)

    def _table(self, ids: Sequence[str], rows: Iterable[Sequence[str]], right: Iterable[str] = ()) -> Flowable:
        """A table whose heads are messages."""
        right = set(right)
        columns = [Column(self.words(f"pour-head-{id}"), id in right) for id in ids]
        return table(columns, [tuple(row) for row in rows], self.front.width)

    def _alert(self, groups: Sequence[Alike]) -> list[Flowable]:
        """What must be mended before anything is poured as planned."""
        statements = {mark: self.cure.unsafe(group.curing) for group in groups for mark in group.casts}
        return alert(by_statement(statements.items()), self.front.width, self.words("pour-alert"))

    def _overview(self) -> list[Flowable]:
        days, words = self.days, self.words
        figures = [
            ("days", str(len(days))),
            ("pieces", str(sum(day.count for day in days))),
            ("batches", str(sum(day.batch_count for day in days))),
            ("first", days[0].date),
        ]
        rows = [
            (
                day.name,
                day.date,
                numbered(day.casts, words, MOST_MARKS),
                str(day.batch_count),
                words.duration(day.placing_s),
                self.cure.hottest(day.groups),
                self.cure.strip_on(day),
            )
            for day in days
        ]
        ids = ("pour", "date", "casts", "batches", "placing", "peak", "strip-on")
        listed = self._table(ids, rows, right=("batches", "placing"))
        return [*self._facts(figures), *section(words("pour-days-heading"), listed)]

    def _facts(self, figures: Iterable[tuple[str, str]], columns: int = 4) -> list[Flowable]:
        pairs = [(self.words(f"pour-facts-{id}"), text) for id, text in figures]
        return facts(pairs, self.front.width, columns=columns)

    def _sheet(self, day: Day) -> list[Flowable]:
        """One day: on one page, or on the two sides of a sheet."""
        top = [*self._head(day), *self._alert(day.groups)]
        casting = [*self._casting(day.groups, day), *self._batches(day), *self._notes(day.groups, day)]
        curing = [*self._curing(day.groups), *self._who_comes(day), *self._cautions(day.groups)]
        if self._height([*top, *casting, *curing]) <= self.front.height:
            return [*top, *casting, *curing]
        after = self.words("pour-after", pour=day.name, date=day.date)
        return [*top, *casting, PageBreak(), say(after, LABEL), Rule(self.front.width), *curing]

    def _height(self, parts: Iterable[Flowable]) -> float:
        """What the parts take one under the other, points; a little more than they will."""
        return fsum(
            part.wrap(self.front.width, self.front.height)[1] + part.getSpaceBefore() + part.getSpaceAfter()
            for part in parts
            if not isinstance(part, CondPageBreak)
        )

    def _head(self, day: Day) -> list[Flowable]:
        words, place = self.words, self.words("pour-of", number=day.number, total=day.of)
        figures = [
            ("crew", words.crew(day.crew)),
            ("placing", words.duration(day.placing_s)),
            ("mixing", words.duration(day.mixing_s)),
            ("room", self.cure.room(day.groups)),
            ("strip", self.cure.strip_on(day)),
        ]
        return [
            say(f"{self.front.job.name} · {place}", LABEL),
            say(f"{day.name} · {day.date}", TITLE),
            Rule(self.front.width),
            *self._facts(figures, columns=5),
        ]

    def _casting(self, groups: Sequence[Alike], day: Day | None = None) -> list[Flowable]:
        """Which pieces in how many forms, how each is built up, from which batches."""
        words, cure = self.words, self.cure
        if day is None:
            rows = [
                (named(group.casts, words), cure.build_up(group.placing), cure.hone(group.placing)) for group in groups
            ]
            return section(words("pour-cast"), self._table(("piece", "layers", "hone"), rows))
        ids = ("piece", "forms", "layers", "hone", "sheets")
        full = [
            (
                numbered(group.casts, words),
                words("pour-forms", count=sum(group.casts.values())),
                cure.build_up(group.placing),
                cure.hone(group.placing),
                day.sheets_for(group),
            )
            for group in groups
        ]
        return section(words("pour-cast"), self._table(ids, full))

    def _batches(self, day: Day) -> list[Flowable]:
        """The batches in their order, with room for the time of their first water."""
        words = self.words
        rows = [
            (
                str(number),
                words.name(self.estimate.job.mixes[batch.mix]),
                str(batch.count),
                words.volume(batch.volume_m3),
                numbered(Counter(batch.marks), words),
                words.duration(batch.placing_s),
                words.minutes(batch.place_within_s),
                BLANK,
                BLANK,
            )
            for number, batch in day.batches
        ]
        ids = ("sheet", "mix", "batches", "volume", "pieces", "placing-time", "within", "water-at", "place-by")
        right = ("batches", "volume", "placing-time", "within")
        return section(words("pour-batches"), self._table(ids, rows, right))

    def _notes(self, groups: Sequence[Alike], day: Day | None = None) -> list[Flowable]:
        """Common practice of placing, each once, and which piece takes several batches."""
        words = self.words
        lines = [] if day is None else [say(text, NOTE) for text in self._in_parts(day)]
        said = [(mark, [*map(words.text, group.placing.notes)]) for group in groups for mark in group.casts]
        lines += self._lines(said)
        return section(words("pour-at-form"), *lines) if lines else []

    def _in_parts(self, day: Day) -> Iterator[str]:
        """Pieces that no batch holds whole."""
        for (mark, mix), count in day.split.items():
            mix_name = self.estimate.job.mixes[mix].label
            yield self.words("pour-in-parts", mark=mark, batches=count, mix_name=mix_name)

    def _lines(self, by_mark: Iterable[tuple[str, Sequence[str]]]) -> list[Flowable]:
        """Each statement once, after the marks that it is said of; without them where it is said of all."""
        marks: dict[str, list[str]] = {}
        every = list(by_mark)
        for mark, statements in every:
            for statement in dict.fromkeys(statements):
                marks.setdefault(statement, []).append(mark)
        of_all = {statement for statement, of in marks.items() if len(of) == len(every)}
        lines: list[Flowable] = []
        for statement in sorted(marks, key=lambda statement: statement not in of_all):
            if statement in of_all:
                lines.append(say(statement, NOTE))
            else:
                lines.append(say_parts([(f"{named(marks[statement], self.words)}  ", True), (statement, False)], NOTE))
        return lines

    def _curing(self, groups: Sequence[Alike]) -> list[Flowable]:
        """Cover, curing blanket, stripping and what follows, then the figures that decide."""
        words, cure = self.words, self.cure
        rows = [
            (
                named(group.casts, words),
                cure.plastic(group.curing),
                cure.warmth(group.curing),
                cure.strip(group.curing),
                cure.strip_crew(group),
                cure.after(group.curing),
            )
            for group in groups
        ]
        heads = [Column(words(f"pour-head-{id}"), False) for id in CURE_HEADS]
        cured = table(heads, rows, self.front.width, sizes=CURED_SIZES, shares=CURED)
        store = dict.fromkeys(words.text(group.curing.plan.after_stripping) for group in groups)
        return [
            *section(words("pour-cure"), say(words("pour-keep-covered"), NOTE), cured),
            Spacer(0, 3),
            *(say(text, NOTE) for text in store),
            *self._lines([(mark, cure.reasons(group.curing)) for group in groups for mark in group.casts]),
        ]

    def _who_comes(self, day: Day) -> list[Flowable]:
        """Room for the name of whoever strips the pour or keeps it wet on each day off."""
        if not day.attended:
            return []
        blanks = "; ".join(f"{day_off} ______________" for day_off in day.attended)
        return [say_parts([(f"{self.words('pour-who-comes')} ", True), (blanks, False)], NOTE)]

    def _cautions(self, groups: Sequence[Alike]) -> list[Flowable]:
        """Cautions of placing, uncovering and stripping."""
        marks = {mark for group in groups for mark in group.casts}
        cautions = [
            applied
            for applied in self.estimate.cautions
            if applied.caution.when in AT_THE_FORM and not marks.isdisjoint(applied.pieces)
        ]
        lines = [*caution_lines(cautions, self.words, NOTE)]
        return section(self.words("cautions-heading"), *lines) if lines else []

    def _whole_job(self) -> Iterator[Flowable]:
        """Build-up and cure of every piece, said once for all days."""
        pieces = {piece.taken.piece.mark: piece.taken.piece.quantity for piece in self.estimate.pieces}
        groups = alike(pieces, self.estimate)
        yield from self._casting(groups)
        yield from self._notes(groups)
        yield from self._curing(groups)
        yield from self._cautions(groups)

    def _short_day(self, day: Day) -> list[Flowable]:
        """One of many days: its pieces and its batches."""
        words, batches = self.words, self._batches(day)[-1]
        work = words(
            "pour-short",
            pieces=numbered(day.casts, words),
            crew=words.crew(day.crew),
            placing=words.duration(day.placing_s),
            strip=self.cure.strip_on(day),
        )
        parts = [say(text, NOTE) for text in self._in_parts(day)]
        return [
            CondPageBreak(70 + min(60.0, batches.wrap(self.front.width, self.front.height)[1])),
            *section(f"{day.name} · {day.date}", say(work, NOTE), *parts, batches),
            *self._who_comes(day),
        ]


CURE_HEADS = ("piece", "plastic", "blanket", "strip", "crew", "wet")
