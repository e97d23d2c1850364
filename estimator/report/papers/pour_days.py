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
from estimator.report.papers.pour_words import (
    Alike,
    CureWords,
    Day,
    alike,
    days_of,
    named,
    numbered,
    strip_note,
    strip_time,
)
from estimator.report.papers.style import (
    BODY,
    LABEL,
    TITLE,
    Columns,
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
from estimator.report.papers.table import SIZES, table
from estimator.report.screen import Column

AT_THE_FORM = ("overheats", "heat-added", "strength-untested", "mixes-cement", "adhesion-rules")
"""Conditions of the cautions that matter while pieces are placed, uncovered and stripped."""

MOST_SHEETS = 20  # days, beyond which they are listed one under the other
MOST_MARKS = 12  # of a day in the overview
CURED, CURED_SIZES = (0.15, 0.09, 0.27, 0.19, 0.20, 0.10), (8.5,)  # columns of the curing table, of the width
NOTE = ParagraphStyle("note", parent=BODY, fontSize=8, leading=10)
TIGHT_NOTE = ParagraphStyle("tight-note", parent=BODY, fontSize=7.1, leading=8.4)
BLANK = "____:____"
TIGHT_SIZES = (7.6, 7.0)


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
        self.tight = False

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

    @property
    def _note(self) -> ParagraphStyle:
        return TIGHT_NOTE if self.tight else NOTE

    def _table(self, ids: Sequence[str], rows: Iterable[Sequence[str]], right: Iterable[str] = ()) -> Flowable:
        """A table whose heads are messages."""
        right = set(right)
        columns = [Column(self.words(f"pour-head-{id}"), id in right) for id in ids]
        return table(
            columns,
            [tuple(row) for row in rows],
            self.front.width,
            sizes=TIGHT_SIZES if self.tight else SIZES,
            tight=self.tight,
        )

    def _alert(self, groups: Sequence[Alike]) -> list[Flowable]:
        """Framed faults to mend before anything is poured as planned."""
        statements = {mark: self.cure.unsafe(group.curing) for group in groups for mark in group.casts}
        return alert(by_statement(statements.items(), self.words), self.front.width, self.words("pour-alert"))

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
                words.count(day.batch_count),
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
        for self.tight in (False, True):
            casting, curing, notes, cautions = self._parts(day)
            page = [*top, *casting, *curing, *self._beside(notes, cautions)]
            if self._height(page) <= self.front.height:
                return page
        self.tight = False
        casting, curing, notes, cautions = self._parts(day)
        self.tight = self._height([*top, *casting, *notes]) > self.front.height
        casting, curing, notes, cautions = self._parts(day)
        after = self.words("pour-after", pour=day.name, date=day.date)
        back = [say(after, LABEL), Rule(self.front.width), *curing, *cautions]
        return [*top, *casting, *notes, PageBreak(), *back]

    def _parts(self, day: Day) -> tuple[list[Flowable], ...]:
        """Casting, curing, notes and cautions of one day."""
        casting = [*self._casting(day.groups, day), *self._batches(day)]
        curing = [*self._curing(day.groups), *self._who_comes(day)]
        return casting, curing, self._notes(day.groups, day), self._cautions(day.groups)

    def _beside(self, notes: Sequence[Flowable], cautions: Sequence[Flowable]) -> list[Flowable]:
        """Notes and cautions side by side, where there are both."""
        if not notes or not cautions:
            return [*notes, *cautions]
        half = self.front.width / 2.0
        columns = [[part for part in parts if not isinstance(part, CondPageBreak)] for parts in (notes, cautions)]
        return [Spacer(0, 5), Columns(columns, [half, half], gap=10.0)]

    def _height(self, parts: Iterable[Flowable]) -> float:
        """Height of parts one below the other, points; a little more than they take."""
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
        minutes = {round(batch.place_within_s / 60.0) for _, batch in day.batches}
        together = len(minutes) == 1
        rows = [
            (
                str(number),
                words.name(self.estimate.job.mixes[batch.mix]),
                str(batch.a_day),
                words.volume(batch.volume_m3),
                numbered(Counter(batch.marks), words),
                words.duration(batch.placing_s),
                *(() if together else (words.minutes(batch.place_within_s),)),
                BLANK,
                BLANK,
            )
            for number, batch in day.batches
        ]
        within = () if together else ("within",)
        ids = ("sheet", "mix", "batches", "volume", "pieces", "placing-time", *within, "water-at", "place-by")
        right = ("batches", "volume", "placing-time", *within)
        heading = words("pour-batches")
        if together:
            heading = words("pour-batches-within", minutes=next(iter(minutes)))
        return section(heading, self._table(ids, rows, right))

    def _notes(self, groups: Sequence[Alike], day: Day | None = None) -> list[Flowable]:
        """Common practice of placing, each once, and which piece takes several batches."""
        words = self.words
        lines = [] if day is None else [say(text, self._note) for text in self._in_parts(day)]
        said = [(mark, [*map(words.text, group.placing.notes)]) for group in groups for mark in group.casts]
        lines += self._lines(said)
        return section(words("pour-at-form"), *lines) if lines else []

    def _in_parts(self, day: Day) -> Iterator[str]:
        """Pieces that no batch holds whole."""
        alike: dict[tuple[str, int], list[str]] = {}
        for (mark, mix), count in day.split.items():
            alike.setdefault((mix, count), []).append(mark)
        for (mix, count), marks in alike.items():
            names, mix_name = named(marks, self.words), self.estimate.job.mixes[mix].label
            yield self.words("pour-in-parts", marks=names, batches=count, mix_name=mix_name)

    def _lines(self, by_mark: Iterable[tuple[str, Sequence[str]]]) -> list[Flowable]:
        """Each statement once, after the marks that it is said of, all of the same marks together.

        What is said of all stands alone, a line each.
        """
        marks: dict[str, list[str]] = {}
        every = list(by_mark)
        for mark, statements in every:
            for statement in dict.fromkeys(statements):
                marks.setdefault(statement, []).append(mark)
        of_all = [statement for statement, of in marks.items() if len(of) == len(every)]
        of_some: dict[tuple[str, ...], list[str]] = {}
        for statement, of in marks.items():
            if len(of) < len(every):
                of_some.setdefault(tuple(of), []).append(statement)
        lines: list[Flowable] = [say(statement, self._note) for statement in of_all]
        for names, statements in of_some.items():
            parts = [(f"{named(names, self.words)}  ", True), (" ".join(statements), False)]
            lines.append(say_parts(parts, self._note))
        return lines

    def _curing(self, groups: Sequence[Alike]) -> list[Flowable]:
        """Cover, curing blanket, stripping and what follows, then the figures that decide."""
        words, cure = self.words, self.cure
        rows = [
            (
                named(group.casts, words),
                cure.plastic(group.curing),
                cure.warmth(group.curing),
                strip_time(group.curing, words) or words("pour-strip-unknown"),
                cure.strip_crew(group),
                cure.after(group.curing),
            )
            for group in groups
        ]
        heads = [Column(words(f"pour-head-{id}"), False) for id in CURE_HEADS]
        cured = table(
            heads,
            rows,
            self.front.width,
            sizes=TIGHT_SIZES if self.tight else CURED_SIZES,
            shares=CURED,
            tight=self.tight,
        )
        store = dict.fromkeys(words.text(group.curing.plan.after_stripping) for group in groups)
        is_known = any(group.curing.plan.strip_h is not None for group in groups)
        wet = [(mark, [words.text(group.curing.plan.wet_cure.why)]) for group in groups for mark in group.casts]
        return [
            *section(words("pour-cure"), say(words("pour-keep-covered"), self._note), cured),
            Spacer(0, 3),
            say(" ".join((strip_note(words, is_known=is_known), *store)), self._note),
            say(cure.drying([group.curing for group in groups]), self._note),
            *self._lines(wet),
        ]

    def _who_comes(self, day: Day) -> list[Flowable]:
        """Room for the name of whoever strips the pour or keeps it wet on each day off."""
        if not day.attended:
            return []
        blanks = "; ".join(f"{day_off} ______________".replace(" ", "\N{NO-BREAK SPACE}") for day_off in day.attended)
        return [say_parts([(f"{self.words('pour-who-comes')} ", True), (blanks, False)], self._note)]

    def _cautions(self, groups: Sequence[Alike]) -> list[Flowable]:
        """Cautions of placing, uncovering and stripping."""
        marks = {mark for group in groups for mark in group.casts}
        cautions = [
            applied
            for applied in self.estimate.cautions
            if applied.caution.when in AT_THE_FORM and not marks.isdisjoint(applied.pieces)
        ]
        lines = [*caution_lines(cautions, self.words, self._note)]
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
        parts = [say(text, self._note) for text in self._in_parts(day)]
        return [
            CondPageBreak(70 + min(60.0, batches.wrap(self.front.width, self.front.height)[1])),
            *section(f"{day.name} · {day.date}", say(work, self._note), *parts, batches),
            *self._who_comes(day),
        ]


CURE_HEADS = ("piece", "plastic", "blanket", "strip", "crew", "wet")
