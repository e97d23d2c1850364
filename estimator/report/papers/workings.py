"""workings.pdf: how each figure came about, so that a colleague can check it with a pocket calculator.

Figures of one kind stand together: formula, unit and, where it is the same, source once; then a line for each piece,
mix or material, with the values that go into the formula and what comes out.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Flowable, Spacer

from estimator.estimate import Estimate
from estimator.explain import workings_of
from estimator.report.figures import customary, figure_text, values_text
from estimator.report.papers.curing_notes import curing_notes
from estimator.report.papers.style import (
    BODY,
    HAIR,
    HEADING_ROOM,
    INK,
    SECTION,
    SMALL,
    Front,
    bind,
    keep_with,
    say,
    say_parts,
    title,
    words_of,
)
from estimator.report.papers.table import table
from estimator.report.papers.text import PLAIN, known_width, write, write_right
from estimator.report.screen import Column
from estimator.words import Words
from estimator.workings import Working
from geometry.frozen import frozen
from geometry.message import Message

SIZES = (7.5, 7.0, 6.5, 6.0)
THROUGHOUT = ParagraphStyle("throughout", parent=BODY, fontSize=7.5, leading=10)
HEAD_ROOM = 60.0  # formula and source over a table, points
MOST_VALUES = 8  # more of them stand in words, not in columns

CHAPTERS: Mapping[str, frozenset[str]] = {
    "price": frozenset({"cost", "quote", "price", "pieces.price", "pieces.price_per_area"}),
    "weights": frozenset({"pieces.weight"}),
    "orders": frozenset({"materials", "consumables", "supply", "pallets"}),
    "forms": frozenset({"forms"}),
    "lifting": frozenset({"pieces.handling", "delivery"}),
    "mixes": frozenset({"mixes", "batches"}),
    "curing": frozenset({"pieces.curing", "curing"}),
    "schedule": frozenset({"calendar", "pours"}),
    "sizes": frozenset({"pieces"}),
}
"""Chapters in their order, money and weights first, and the figures of each, by the beginning of their path."""


@frozen
class Kind:
    """What workings have in common: they differ in what they are of, in their values, and in part in their source."""

    branch: str  # pieces, mixes, materials, cost ...
    figure: str
    formula: str
    names: tuple[str, ...]
    unit: str

    @property
    def steps(self) -> list[str]:
        """The steps of the figure's path, without the last, which says what it is."""
        return self.figure.split(".")[:-1]

    def without(self, i: int) -> tuple[object, ...]:
        """What it has in common with those that differ from it in one step of their path."""
        steps = self.figure.split(".")
        return self.branch, self.chapter, self.formula, self.names, self.unit, i, *steps[:i], "", *steps[i + 1 :]

    @property
    def chapter(self) -> str:
        """The chapter in which it stands; "sizes" for a figure that no chapter names."""
        first = f"{self.branch}.{self.figure.partition('.')[0]}"
        for part in (first, self.branch):
            for chapter, parts in CHAPTERS.items():
                if part in parts:
                    return chapter
        return "sizes"


def workings(estimate: Estimate, every: Sequence[Working] | None = None) -> bytes:
    """Every working of the estimate as PDF, by chapter and kind, after an index of the chapters.

    every   the workings, where they are known
    """
    words = words_of(estimate)
    front = Front(words("workings-paper"), estimate.job)
    chapters: dict[str, list[tuple[Kind, list[tuple[str, Working]]]]] = {chapter: [] for chapter in CHAPTERS}
    for kind, entries in by_kind(estimate, workings_of(estimate) if every is None else every).items():
        chapters[kind.chapter].append((kind, entries))
    chapters = {chapter: kinds for chapter, kinds in chapters.items() if kinds}
    names = {chapter: words(f"workings-{chapter}") for chapter in chapters}
    story: list[Flowable] = title(front, words("workings-note"))
    story += [_Entry(chapter, name, front.width) for chapter, name in names.items()]
    for chapter, kinds in chapters.items():
        first, *others = [_kind(kind, entries, front, words) for kind, entries in kinds]
        room = HEADING_ROOM + first[0].height  # or the heading stays behind where its first table turns the page
        heading = say(names[chapter], SECTION)
        story += [Spacer(0, 8), keep_with(None, room), heading, _Beginning(chapter, names[chapter]), *first]
        for parts in others:
            story += parts
    story += curing_notes(estimate, words, front.width)
    return bind(front, story)


class _Entry(Flowable):
    """A line of the index: a chapter, and the page that a form names once that page is reached."""

    def __init__(self, chapter: str, name: str, width: float) -> None:
        super().__init__()
        self.width, self.height, self._chapter, self._name = width, 14.0, chapter, name

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        canvas, size = self.canv, 9.0
        write(canvas, [(0, 4, self._name)], PLAIN, size, INK)
        canvas.setStrokeColor(HAIR)
        canvas.setLineWidth(0.4)
        canvas.setDash(1, 2)
        canvas.line(known_width(self._name, PLAIN, size) + 4, 5, self.width - 30, 5)
        canvas.setDash()
        canvas.saveState()
        canvas.translate(self.width - 26, 4)
        canvas.doForm(f"chapter-{self._chapter}")
        canvas.restoreState()
        canvas.linkRect("", self._chapter, (0, 0, self.width, self.height), relative=1, Border="[0 0 0]")


class _Beginning(Flowable):
    """Where a chapter begins: the place that the index and the outline lead to."""

    _ZEROSIZE = 1

    def __init__(self, chapter: str, name: str) -> None:
        super().__init__()
        self._chapter, self._name = chapter, name

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        return 0.0, 0.0

    def draw(self) -> None:
        canvas = self.canv
        canvas.bookmarkPage(self._chapter)
        canvas.addOutlineEntry(self._name, self._chapter)
        page = str(canvas.getPageNumber())
        canvas.beginForm(f"chapter-{self._chapter}", 0, -4, 26, 12)
        write_right(canvas, 26, 0, page, PLAIN, 9.0, INK)
        canvas.endForm()


def _kind(kind: Kind, entries: list[tuple[str, Working]], front: Front, words: Words) -> list[Flowable]:
    """A formula with its source, and a line for each set of values."""
    constant, rows = _constants(entries), _table(kind, entries, front, words)
    formula = say_parts([(f"{kind.branch}: {kind.figure} = ", True), (kind.formula, False)], BODY)
    always = values_text(list(constant), list(constant.values()))
    throughout = [say(words("workings-throughout", values=always), THROUGHOUT)] if constant else []
    sources = dict.fromkeys(working.source for _, working in entries)
    source = [say(words.text(next(iter(sources))), SMALL)] if len(sources) == 1 else []
    return [keep_with(rows, HEAD_ROOM), formula, *source, *throughout, rows, Spacer(0, 7)]


def by_kind(estimate: Estimate, workings: Iterable[Working]) -> dict[Kind, list[tuple[str, Working]]]:
    """The workings of each kind, each with what it is of; branches and kinds in the order in which they first stand."""
    items = {
        "pieces": {piece.taken.piece.mark for piece in estimate.pieces},
        "mixes": set(estimate.mixes),
        "materials": {line.material for line in estimate.materials.lines},
        "consumables": {consumable.material for consumable in estimate.supply.consumables},
        "cost.labour_lines": {line.activity for line in estimate.pricing.labour.lines},
        "forms.marks": {piece.taken.piece.mark for piece in estimate.pieces},
        "delivery.stands": {stand.name for stand in estimate.delivery.stands},
    }
    kinds: dict[Kind, list[tuple[str, Working]]] = {}
    for working in workings:
        branch, item, figure = parts_of(working.figure, items)
        kind = Kind(branch, figure, working.formula, tuple(working.values), working.unit)
        kinds.setdefault(kind, []).append((item, working))
    kinds = _merged(kinds)
    branches = list(dict.fromkeys(kind.branch for kind in kinds))
    return dict(sorted(kinds.items(), key=lambda pair: branches.index(pair[0].branch)))


def _merged(kinds: Mapping[Kind, list[tuple[str, Working]]]) -> dict[Kind, list[tuple[str, Working]]]:
    """Kinds that differ in one step of their path alone, as one: the step is named beside the item.

    So the loads of five stages, or the prices of packs of sixteen names, are one table.
    """
    alike: dict[tuple[object, ...], set[str]] = {}
    for kind in kinds:
        for i, step in enumerate(kind.steps):
            alike.setdefault(kind.without(i), set()).add(step)
    merged: dict[Kind, list[tuple[str, Working]]] = {}
    for kind, entries in kinds.items():
        i = max(range(len(kind.steps)), key=lambda i: len(alike[kind.without(i)]), default=0)
        if not kind.steps or len(alike[kind.without(i)]) == 1:
            merged.setdefault(kind, []).extend(entries)
            continue
        steps = kind.figure.split(".")
        whole = replace(kind, figure=".".join([*steps[:i], "*", *steps[i + 1 :]]))
        merged.setdefault(whole, []).extend((f"{item} {steps[i]}".strip(), working) for item, working in entries)
    return merged


def parts_of(path: str, items: Mapping[str, set[str]]) -> tuple[str, str, str]:
    """Branch, item and figure of a dotted path; the item is empty where none is.

    items   names, which may have dots of their own, by the path that they stand at

    >>> parts_of("cost.labour_lines.set up.hours", {"cost.labour_lines": {"set up"}})
    ('cost', 'set up', 'labour_lines.hours')
    """
    branch, _, figure = path.partition(".")
    for prefix, names in items.items():
        if not (path.startswith(prefix) and path.startswith(".", len(prefix))):
            continue
        rest = path[len(prefix) + 1 :]
        at = len(rest)
        while (at := rest.rfind(".", 0, at)) > 0:
            if rest[:at] in names:
                within = prefix.removeprefix(branch).removeprefix(".")
                return branch, rest[:at], f"{within}.{rest[at + 1 :]}".removeprefix(".")
    return branch, "", figure or branch


def _constants(entries: Sequence[tuple[str, Working]]) -> dict[str, float]:
    """The values that are the same in every working of a kind; none where there is but one."""
    first, *others = [working for _, working in entries]
    if not others:
        return {}
    return {
        name: value for name, value in first.values.items() if all(working.values[name] == value for working in others)
    }


def _table(kind: Kind, entries: Sequence[tuple[str, Working]], front: Front, words: Words) -> Flowable:
    """A line for each set of values, with all that has it; what is the same throughout is left out.

    The result stands in the job's units where SI is not theirs, and in SI as the formula gives it.
    """
    constant, sources = _constants(entries), {working.source for _, working in entries}
    names = [name for name in kind.names if name not in constant]
    items: dict[tuple[tuple[float, ...], Message | str | None], list[str]] = {}
    for item, working in entries:
        values = (*(working.values[name] for name in names), working.result)
        items.setdefault((values, working.source if len(sources) > 1 else None), []).append(item)
    in_words = len(names) > MOST_VALUES
    owned = any(item for item, _ in entries)
    beside = bool(customary(1.0, kind.unit, words.units))
    columns = [
        *([Column(words("workings-of"), False)] if owned else []),
        *([Column(words("workings-values"), False)] if in_words else [Column(name) for name in names]),
        Column(f"=\N{NO-BREAK SPACE}{kind.unit}".rstrip()),
        *([Column(words("workings-result"))] if beside else []),
        *([Column(words("workings-source"), False)] if len(sources) > 1 else []),
    ]
    rows = []
    for (values, source), own in items.items():
        cells = [values_text(names, values[:-1])] if in_words else [figure_text(value) for value in values[:-1]]
        rows.append(
            [
                *([", ".join(own)] if owned else []),
                *cells,
                figure_text(values[-1]),
                *([customary(values[-1], kind.unit, words.units)] if beside else []),
                *([] if source is None else [words.text(source)]),
            ]
        )
    return table(columns, rows, front.width, sizes=SIZES, compact=True)
