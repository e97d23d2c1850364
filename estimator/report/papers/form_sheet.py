"""The form sheet: what the form builder reads, a form a page, and then how the boards lie on their sheets."""

from collections.abc import Iterator, Sequence
from functools import partial
from typing import Any

from reportlab.lib.units import mm
from reportlab.platypus import Flowable, PageBreak, Spacer

from estimator.estimate import Estimate, PieceEstimate
from estimator.job import Insert
from estimator.packaging.stage import MarkForms
from estimator.report.papers.cutting_layout import cutting_layout
from estimator.report.papers.drawing import bare
from estimator.report.papers.form_drawing import drawing_names, form_view
from estimator.report.papers.form_views import MOST_NUMBERS, Cut, Plan, corner_name, corners_of, draw_piece
from estimator.report.papers.style import (
    FOOT,
    GREY,
    INK,
    LABEL,
    MARGIN,
    PAPER,
    SECTION,
    SMALL,
    TITLE,
    Columns,
    Front,
    Picture,
    Rule,
    bind,
    cut,
    facts,
    say,
    size_that_fits,
    words_of,
)
from estimator.report.papers.style import section as heading
from estimator.report.papers.table import Rows, table
from estimator.report.papers.text import BOLD, PLAIN, write, write_centered
from estimator.report.screen import Column
from estimator.words import Words
from geometry.cutouts import knock_out
from geometry.frozen import frozen
from geometry.message import Message
from geometry.plan import Path
from geometry.plane import Region
from geometry.shape import Part, plan_view, telling_section
from geometry.shapes import Shape
from geometry.views import CrossSection, PlanView

SWAPPED = {"side-left": "side-right", "side-right": "side-left"}
LARGE_HIGH, LEAST_HIGH, SMALL_HIGH = 118 * mm, 50 * mm, 40 * mm
BANNER_HIGH, BLOCK_HIGH = 19.0, 46.0
BLOCK_SHARES = (0.27, 0.18, 0.21, 0.18, 0.16)
SPARE = 8.0
"""Height that stays free on a page, since a heading asks for more than it takes, points."""

CLEAR_RATIO, SECOND_PAGE = 25, 1.9
"""A plan at 1:25 or larger needs no page before its lists; and how many times larger another must become by one."""

LEAST_PLAN = 0.6
"""Of the room across a page: where a plan takes less, other arrangements are tried."""

LEAST_UPRIGHT, UPRIGHT_SHARE = 0.5, 0.44
"""Height of a plan, of its length, from which on it may stand upright on its page; and of the width of such a page,
what stands at its right."""

SIDE_BY_SIDE = 22
"""Up to so many rows on either side, cut-outs and corners are listed beside the boards."""


def form_sheet(estimate: Estimate) -> bytes:
    """The form sheet as PDF; the same bytes for the same estimate."""
    words = words_of(estimate)
    front = Front(words("form-paper"), estimate.job)
    names = drawing_names([piece.taken.piece.mark for piece in estimate.pieces])
    forms = {mark.mark: mark for mark in estimate.supply.forms.marks}
    story: list[Flowable] = []
    for number, piece in enumerate(estimate.pieces):
        if number:
            story.append(PageBreak())
        mark = piece.taken.piece.mark
        story += _Form(piece, forms[mark], names[mark], front, words).story()
    if estimate.supply.forms.nesting is not None:
        down = {piece.taken.piece.mark: piece.taken.piece.shape.is_cast_face_down for piece in estimate.pieces}
        named = {
            board.label: words.text(_swapped(board.label) if down[mark] else board.label)
            for mark, own in forms.items()
            for board in own.boards
        }
        story += [PageBreak(), _TitleBlock(front.width, ())]
        story += cutting_layout(estimate.supply.forms, named, front, words)
    return bind(front, story, block=lambda canvas: canvas.title_block.draw_foot(canvas), block_high=BLOCK_HIGH + 5)


@frozen(eq=False)
class _Form:
    """One form and its page."""

    estimated: PieceEstimate
    forms: MarkForms
    drawn_in: str
    front: Front
    words: Words

    @property
    def shape(self) -> Shape:
        return self.estimated.taken.piece.shape

    @property
    def face_down(self) -> bool:
        return self.shape.is_cast_face_down

    def story(self) -> Iterator[Flowable]:
        front, words, piece = self.front, self.words, self.estimated.taken.piece
        view, section = form_view(self.shape), telling_section(self.shape)
        wishes = {"form-finish": piece.finish, "form-color": piece.color, "form-note": piece.note}
        named = [words(id, text=text) for id, text in wishes.items() if text]
        banner = words("form-mirrored") if self.face_down else words("form-as-seen")
        head: list[Flowable] = [
            say(" · ".join([front.job.name, words("form-reader"), *named]), LABEL),
            say(f"{piece.mark} · {piece.description}" if piece.description else piece.mark, TITLE),
            Rule(front.width),
            *facts(self._facts(view), front.width),
            Picture(front.width, BANNER_HIGH, partial(_banner, text=banner)),
        ]
        room = front.height - BLOCK_HIGH - 5 - _height(head, front.width)
        across = _Across.of(self, view, section, room)
        bodies: list[_Across | _Upright] = [across]
        if across.plan.share < LEAST_PLAN and view.size_m[1] > LEAST_UPRIGHT * view.size_m[0]:
            bodies.append(_Upright.of(self, view, section, room))
        if across.plan.share < LEAST_PLAN and across.plan.ratio > CLEAR_RATIO:
            bodies.append(_Across.of(self, view, section, room, is_parted=True))
        body = min(bodies, key=lambda body: body.plan.ratio * (SECOND_PAGE if body.is_parted else 1.0))
        yield _TitleBlock(front.width, self._title_block(body.plan.ratio))
        yield from head
        yield from body.story()

    def plan(self, view: PlanView, section: CrossSection | None, box: tuple[float, float]) -> Plan:
        """The plan as built, in a box, points."""
        words = self.words
        ends = (words("form-right-end"), words("form-left-end")) if self.face_down else None
        return Plan.of(self.shape, view, section, box, words, ends, self.estimated.taken.piece.joints_m)

    def cut(self, section: CrossSection | None, box: tuple[float, float]) -> Cut | None:
        """The section in a box, points."""
        if section is None:
            return None
        return Cut.of(self.shape, section, plan_view(self.shape).openings, box, self.words)

    def _facts(self, view: PlanView) -> list[tuple[str, str]]:
        words, forms = self.words, self.forms
        diagonal = words.length(view.diagonal_m) if view.is_rectangular else words("form-no-rectangle")
        unstated = not forms.boards and self.estimated.taken.piece.form.kind is None  # boards are the default
        return [
            (words("form-to-build"), words("form-casts", forms=forms.set.built, casts=forms.set.casts)),
            (words("form-at-once"), str(forms.set.forms)),
            (words("form-material"), words("form-not-stated") if unstated else words(f"form-of-{forms.kind}")),
            (words("form-diagonals"), diagonal),
        ]

    def notes(self, view: PlanView, section: CrossSection | None, across: Cut | None) -> Iterator[Flowable]:
        """What no drawing shows: which sides, and hidden sizes."""
        words = self.words
        if across is not None and across.corners:
            yield from _section_corners(across, words)
        built = (_swapped(note) if self.face_down else note for note in self.shape.build_notes())
        notes = [_build_note(note, across, words) for note in built]
        if self.estimated.taken.piece.joints_m:
            notes.append(words("form-seam", whole=self.estimated.taken.piece.part_of))
        if any(notes):
            yield from heading(words("form-notes"), say(" ".join(note for note in notes if note)))
        yield Spacer(0, 3)
        small = [words("form-full-size", file=self.drawn_in), words("form-origin")]
        small += [words.text(note) for note in (*view.notes, *(section.notes if section else ()))]
        yield say(" ".join(small), SMALL)

    def _title_block(self, ratio: int) -> list[list[tuple[str, str]]]:
        words, job, piece = self.words, self.front.job, self.estimated.taken.piece
        by_method = job.workshop.thickness_tolerance_m
        tolerance_m = max((by_method[layer.method] for layer in piece.layers), default=0.0)
        stem = self.drawn_in.rpartition("/")[2].removesuffix(".dxf")
        return [
            [
                (words("form-owner"), job.business.name or "–"),
                (words("form-title"), words("form-of", mark=piece.mark)),
                (words("form-kind"), words("form-paper")),
                (words("form-number"), stem),
                (words("form-revision"), job.revision or "–"),
            ],
            [
                (words("form-scale"), f"1:{ratio}"),
                (words("form-unit"), words(f"form-unit-{job.units}")),
                (words("form-tolerance"), words("form-thickness-within", tolerance=words.drawn(tolerance_m))),
                (words("form-date"), job.date or "–"),
                (words("form-approved"), ""),
            ],
        ]


@frozen(eq=False)
class _Across:
    """The plan across the page, below it the finished piece and the section, then the lists.

    is_parted   the lists have a page of their own
    """

    form: _Form
    plan: Plan
    drawings: Flowable
    lists: "_Lists"
    notes: Sequence[Flowable]
    is_parted: bool

    @classmethod
    def of(
        cls, form: _Form, view: PlanView, section: CrossSection | None, room: float, *, is_parted: bool = False
    ) -> "_Across":
        """The arrangement in `room`, the height that the head of the page leaves, points."""
        width, lists = form.front.width, _lists(form, view, form.front.width)
        across = form.cut(section, (width / 2, SMALL_HIGH) if form.face_down else (width, 1.4 * SMALL_HIGH))
        drawings, notes = _beside(form, section, across), [*form.notes(view, section, across)]
        rest = room - _height([drawings], width) - SPARE
        beside_lists = rest - _height([*lists.story(), *notes], width)
        is_parted = (is_parted or beside_lists < LEAST_HIGH) and bool(lists.rows)
        high = min(rest if is_parted else max(beside_lists, LEAST_HIGH), LARGE_HIGH, _needed(view, form.front))
        return cls(form, form.plan(view, section, (width, high)), drawings, lists, notes, is_parted)

    def story(self) -> Iterator[Flowable]:
        yield Picture(self.form.front.width, self.plan.height, self.plan.draw)
        yield self.drawings
        if self.is_parted:
            yield PageBreak()
        yield from self.lists.story()
        yield from self.notes


@frozen(eq=False)
class _Upright:
    """A plan that is high for its width down the left of the page, all else at its right.

    is_parted   the lists have a page of their own
    """

    form: _Form
    view: PlanView
    section: CrossSection | None
    plan: Plan
    lists: "_Lists"
    drawings: Sequence[Flowable]
    is_parted: bool
    notes: Sequence[Flowable]

    @classmethod
    def of(cls, form: _Form, view: PlanView, section: CrossSection | None, room: float) -> "_Upright":
        """The arrangement in `room`, the height that the head of the page leaves, points."""
        left, right = cls.widths(form.front)
        across = form.cut(section, (right - 8, SMALL_HIGH))
        notes = [*form.notes(view, section, across)]
        high = room - _height(notes, form.front.width) - SPARE - 6.0
        drawings = _small_drawings(form, section, across, right - 8)
        lists = _lists(form, view, right - 8, beside=False)
        needed = _height([*drawings, *lists.left, *lists.right], right - 8)
        plan = form.plan(view, section, (left - 8, high))
        return cls(form, view, section, plan, lists, drawings, needed > high, notes)

    @staticmethod
    def widths(front: Front) -> tuple[float, float]:
        """Widths of the two columns, points."""
        return (1 - UPRIGHT_SHARE) * front.width, UPRIGHT_SHARE * front.width

    def story(self) -> Iterator[Flowable]:
        left, right = self.widths(self.form.front)
        beside = [*self.drawings, *(() if self.is_parted else (*self.lists.left, *self.lists.right))]
        yield Columns([[Picture(left - 8, self.plan.height, self.plan.draw)], beside], [left, right])
        if self.is_parted:
            yield PageBreak()
            yield from _lists(self.form, self.view, self.form.front.width).story()
        yield from self.notes


def _height(parts: Sequence[Flowable], width: float) -> float:
    """Height of parts one below the other, points; of the spaces between two the larger counts."""
    height = after = 0.0
    for part in parts:
        height += max(part.getSpaceBefore() - after, 0.0) + part.wrap(width, 1e4)[1]
        after = float(part.getSpaceAfter())
        height += after
    return height


def _needed(view: PlanView, front: Front) -> float:
    """Height beyond which the plan would not grow, points."""
    length, width = view.size_m
    return max(62.0 + width * (front.width - 58.0) / length, float(LEAST_HIGH))


def _build_note(note: Message, across: Cut | None, words: Words) -> str:
    """A note, which may be about a part, without the sizes that are drawn."""
    sizes = [value for name, value in note.values if name.endswith("_m") and isinstance(value, float)]
    drawn = bool(sizes) and across is not None and all(across.shows(size) for size in sizes)
    values = {name: _build_note(value, across, words) if name == "note" else value for name, value in note.values}
    values |= {name: words.drawn(size) for name, size in values.items() if name.endswith("_m") and type(size) is float}
    return words(note.id, drawn="yes" if drawn else "no", **values)


def _swapped(value: Any) -> Any:
    """A value of a message as the builder sees it in a mirrored form: left and right change places."""
    if isinstance(value, Message):
        return Message(SWAPPED.get(value.id, value.id), tuple((name, _swapped(part)) for name, part in value.values))
    return tuple(_swapped(item) for item in value) if isinstance(value, tuple) else value


def _parts(parts: Sequence[Part], form: _Form, wide: float) -> Flowable:
    """The shapes that a piece is made of as they lie in the form, from the corner where it is measured."""
    words, whole = form.words, form.estimated.taken.solid
    low, high = whole.lowest_m, [at + size for at, size in zip(whole.lowest_m, whole.size_m, strict=True)]
    heads = [words(id) for id in ("form-size", "form-from-left", "form-from-front", "form-up")]
    rows = []
    for part in parts:
        (x, y, z), size = part.lowest_m, part.size_m
        if form.face_down:
            x, z = low[0] + high[0] - x - size[0], low[2] + high[2] - z - size[2]
        places = (bare(at - start, words) for at, start in zip((x, y, z), low, strict=True))
        rows.append((words.text(part.name), " × ".join(bare(side_m, words) for side_m in size), *places))
    return table([Column(words("form-part"), False), *map(Column, heads)], rows, wide, compact=True)


def _inserts(inserts: Sequence[Insert], form: _Form, view: PlanView, wide: float) -> Flowable:
    """What is cast in, from the corner where the form is measured; height is that in the finished piece."""
    words = form.words
    x0, y0, x1, _ = view.bounds_m
    columns = [Column(words("form-insert"), False)]
    columns += [Column(words(id)) for id in ("form-from-left", "form-from-front", "form-up")]
    rows = []
    for insert in inserts:
        places = [words("form-not-stated"), "", ""]
        if insert.at_m is not None:
            x, y, z = insert.at_m
            places = [bare(length, words) for length in ((x1 - x if form.face_down else x - x0), y - y0, z)]
        rows.append((insert.name, *places))
    return table(columns, rows, wide, compact=True)


def _banner(canvas: Any, wide: float, high: float, text: str) -> None:
    canvas.setFillColor(INK)
    canvas.rect(0, 0, wide, high, stroke=0, fill=1)
    size = round(size_that_fits(text, BOLD, wide - 12, 13, 8), 1)
    write_centered(canvas, wide / 2, high / 2 - 0.36 * size, text, BOLD, size, PAPER)


def _beside(form: _Form, section: CrossSection | None, across: Cut | None) -> Flowable:
    """The finished piece face up, where the form is its mirror image, and the section beside it."""
    if not form.face_down:
        high = 1.4 * SMALL_HIGH - 10
        return Columns([_small_drawings(form, section, across, form.front.width, high)], [form.front.width])
    half = form.front.width / 2
    parts = _small_drawings(form, section, across, half - 8)
    cells = [parts[i : i + 2] for i in range(0, len(parts), 2)]
    return Columns(cells, [half] * len(cells))


def _small_drawings(
    form: _Form, section: CrossSection | None, across: Cut | None, wide: float, high: float = SMALL_HIGH - 10
) -> list[Flowable]:
    """The finished piece face up, where the form is its mirror image, and the section, each below its name."""
    words, joints_m = form.words, form.estimated.taken.piece.joints_m
    parts: list[Flowable] = []
    if form.face_down:
        draw = partial(draw_piece, view=plan_view(form.shape), section=section, joints_m=joints_m)
        parts += [say(words("form-finished"), LABEL), Picture(wide, high, draw)]
    if across is not None:
        parts += [say(words("form-section", scale=f"1:{across.ratio}"), LABEL), Picture(wide, high, across.draw)]
    return parts


class _TitleBlock(Flowable):
    """The data fields of ISO 7200, at the foot of each page from here on; no rows end it."""

    _ZEROSIZE = 1

    def __init__(self, width: float, rows: Sequence[Sequence[tuple[str, str]]]) -> None:
        super().__init__()
        self.width, self._rows = width, rows

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        return 0.0, 0.0

    def draw(self) -> None:
        self.canv.title_block = self

    def draw_foot(self, canvas: Any) -> None:
        """Draws it above the foot."""
        if not self._rows:
            return
        canvas.saveState()
        canvas.translate(MARGIN, FOOT)
        self._draw(canvas, BLOCK_HIGH / len(self._rows))
        canvas.restoreState()

    def _draw(self, canvas: Any, high: float) -> None:
        labels: list[tuple[float, float, str]] = []
        values: list[tuple[float, float, str]] = []
        lines = [(0.0, i * high, self.width, i * high) for i in range(len(self._rows) + 1)]
        for i, row in enumerate(self._rows):
            top, x = BLOCK_HIGH - i * high, 0.0
            for share, (label, value) in zip(BLOCK_SHARES, row, strict=True):
                wide = share * self.width
                lines.append((x, top, x, top - high))
                labels.append((x + 3, top - 7.5, label))
                values.append((x + 3, top - 18.0, cut(value, BOLD, 8.5, wide - 6)))
                x += wide
        lines.append((self.width, 0, self.width, BLOCK_HIGH))
        canvas.setStrokeColor(INK)
        canvas.setLineWidth(0.6)
        canvas.lines(lines)
        write(canvas, labels, PLAIN, 6.0, GREY)
        write(canvas, values, BOLD, 8.5, INK)


# Lists ------------------------------------------------------------------------------------------------------


@frozen(eq=False)
class _Lists:
    """The lists of a form: cut-outs and corners, and beside or below them its boards."""

    left: Sequence[Flowable]
    right: Sequence[Flowable]
    width: float
    is_paired: bool

    @property
    def rows(self) -> int:
        """Rows that they take one below the other, heads in."""
        left, right = _rows(self.left), _rows(self.right)
        return max(left, right) if self.left and self.is_paired else left + right

    def story(self) -> Iterator[Flowable]:
        if self.left and self.right and self.is_paired:
            yield Columns([self.left, self.right], [self.width / 2] * 2)
        else:
            yield from self.left
            yield from self.right


def _rows(parts: Sequence[Any]) -> int:
    return sum(len(part.body) + 3 if isinstance(part, Rows) else 0 for part in parts)


def _lists(form: _Form, view: PlanView, width: float, *, beside: bool = True) -> _Lists:
    """The lists across `width`, points; `beside`: two columns where there is enough for both."""
    corners = corners_of(view)
    inserts = form.estimated.taken.piece.inserts
    parts = form.shape.parts()
    left = len(view.openings) + len(corners) + len(inserts) + len(parts)
    paired = beside and 0 < left <= SIDE_BY_SIDE and len(form.forms.boards) <= SIDE_BY_SIDE
    wide = width / 2 - 8 if paired else width
    places = [*_openings(view, wide, form.words), *_corners(view, corners, wide, form.words)]
    if parts:
        places += [say(form.words("form-parts"), SECTION), _parts(parts, form, wide)]
    if inserts:
        places += [say(form.words("form-inserts"), SECTION), _inserts(inserts, form, view, wide)]
    return _Lists(places, [*_boards(form, wide)], width, paired)


def _openings(view: PlanView, wide: float, words: Words) -> Iterator[Flowable]:
    if not view.openings:
        return
    heads = (words(id) for id in ("form-size", "form-from-left", "form-from-front"))
    columns = [Column("", False), Column(words("form-cutout"), False), *(Column(head) for head in heads)]
    rows = [_knock_out(i, opening, view, words) for i, opening in enumerate(view.openings[:MOST_NUMBERS], start=1)]
    yield say(words("form-cutouts"), SECTION)
    yield table(columns, rows, wide)
    if len(view.openings) > MOST_NUMBERS:
        yield say(words("form-more", count=len(view.openings) - MOST_NUMBERS), SMALL)


def _corners(view: PlanView, corners: Sequence[tuple[float, float]], wide: float, words: Words) -> Iterator[Flowable]:
    """Places of the corners of a plan that is no rectangle, with the radius of the curve to the next."""
    if not corners:
        return
    left, front = view.bounds_m[:2]
    radii = {edge.start: edge.radius for edge in Path.of_ring(view.material[0].outer).edges() if not edge.straight}
    rows = [
        (
            corner_name(i),
            bare(x - left, words),
            bare(y - front, words),
            bare(radii[x, y], words) if (x, y) in radii else "",
        )
        for i, (x, y) in enumerate(corners)
    ]
    heads = [words(id) for id in ("form-from-left", "form-from-front", "form-radius-on")]
    yield say(words("form-corners"), SECTION)
    yield table([Column(words("form-corner"), False), *(Column(head) for head in heads)], rows, wide, compact=True)


def _section_corners(across: Cut, words: Words) -> Iterator[Flowable]:
    """Places of the corners of a slanted section, from its left end and from below."""
    left, low = across.section.bounds_m[:2]
    corners = [
        (corner_name(i), bare(x - left, words), bare(y - low, words)) for i, ((x, y), _) in enumerate(across.corners)
    ]
    parts = [corners[i::3] for i in range(3)] if len(corners) > 4 else [corners]
    heads = [Column(words("form-corner"), False), Column(words("form-from-left")), Column(words("form-up"))]
    wide = 166.0
    tables = [[table(heads, part, wide, compact=True)] for part in parts if part]
    yield from heading(words("form-section-corners"), Columns(tables, [wide + 8] * len(tables)))


def _boards(form: _Form, wide: float) -> Iterator[Flowable]:
    """The cut list of one form; an edge's width is its height above the form bottom."""
    words, forms = form.words, form.forms
    if not forms.boards:
        yield say(words("form-no-boards"), SMALL)
        return
    rows = [
        (
            words.text(_swapped(board.name) if form.face_down else board.name)
            + (words("form-with-radius", radius_m=board.radius_m) if board.radius_m is not None else ""),
            words.count(board.count),
            bare(board.length_m, words),
            bare(board.width_m, words),
        )
        for board in forms.boards[:MOST_NUMBERS]
    ]
    yield say(words("form-boards"), SECTION)
    # The heading stands on every page of a long list, so it names the piece.
    heads = [Column(words("form-board-of", mark=forms.mark), False), Column(words("form-count"))]
    heads += [Column(words(id)) for id in ("form-length", "form-width")]
    yield table(heads, rows, wide)
    if len(forms.boards) > MOST_NUMBERS:
        yield say(words("form-more", count=len(forms.boards) - MOST_NUMBERS), SMALL)


def _knock_out(number: int, opening: Region, view: PlanView, words: Words) -> Sequence[str]:
    left, front = view.bounds_m[:2]
    block = knock_out(opening)
    size = " × ".join(bare(side_m, words) for side_m in block.size_m)
    x, y = block.corner_m
    if block.kind == "round":
        size = f"⌀ {bare(block.size_m[0], words)}"
        note = words("form-round")
        x, y = block.center_m
    elif block.kind == "shaped":
        note = words("form-shaped")
    else:
        radius_m = block.radius_m or 0.0
        note = words("form-rounded", radius_m=radius_m) if radius_m else words("form-sharp")
    return (str(number), note, size, bare(x - left, words), bare(y - front, words))
