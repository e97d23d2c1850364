"""One style for every paper: fonts, colors, headings, signal words, page frames."""

from collections.abc import Callable, Iterable, Sequence
from io import BytesIO
from typing import Any

from reportlab.lib.colors import Color, HexColor, black, white
from reportlab.lib.pagesizes import A4, landscape, letter
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.platypus import BaseDocTemplate, CondPageBreak, Flowable, Frame, KeepTogether, PageTemplate, Spacer
from reportlab.platypus import Table as Grid

from estimator.catalog import UNREVIEWED
from estimator.estimate import Estimate
from estimator.job import Job
from estimator.report.papers.text import BOLD as BOLD
from estimator.report.papers.text import PLAIN as PLAIN
from estimator.report.papers.text import Lines, write, write_right
from estimator.report.papers.text import plain as plain
from estimator.report.papers.text import width_of as width_of
from estimator.words import Words, client_words_for, crew_words_for, words_for
from geometry.frozen import frozen
from geometry.message import few

INK, GREY, HAIR, TINT, PAPER = black, HexColor(0x555555), HexColor(0xAAAAAA), HexColor(0xEEEEEE), white
MARGIN, TOP, FOOT = 16 * mm, 15 * mm, 17 * mm
FOOT_SIZE = 7.5
MOST_FOOT = 0.8  # of the width: the rest is for the page number
HEADING_ROOM, LEAST_BELOW = 27.0, 40.0  # a heading with its spaces; what must follow on its page
WITHIN = 0.999  # of a width: sums of glyphs are rounded
ELLIPSIS = "…"

BODY = ParagraphStyle("body", fontName=PLAIN, fontSize=9, leading=12, textColor=INK, splitLongWords=1)
SMALL = ParagraphStyle("small", parent=BODY, fontSize=7.5, leading=10, textColor=GREY)
STRONG = ParagraphStyle("strong", parent=BODY, fontName=BOLD)
TITLE = ParagraphStyle("title", parent=BODY, fontName=BOLD, fontSize=20, leading=24)
SECTION = ParagraphStyle("section", parent=BODY, fontName=BOLD, fontSize=11.5, leading=15, spaceBefore=9, spaceAfter=3)
LABEL = ParagraphStyle("label", parent=SMALL, leading=9)
VALUE = ParagraphStyle("value", parent=BODY, fontName=BOLD, fontSize=10, leading=13)

TOP_LEFT = [
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
    ("LEFTPADDING", (0, 0), (-1, -1), 0),
    ("RIGHTPADDING", (0, 0), (-1, -1), 0),
    ("TOPPADDING", (0, 0), (-1, -1), 0),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 0),
]
"""A grid of parts side by side, without room of its own."""

Draw = Callable[[Any, float, float], None]


@frozen
class Front:
    """What a paper is and to which job it belongs: said on each of its pages.

    paper     its name, as the reader would call it
    sideways  the page lies on its long edge
    words     of those who read it
    """

    paper: str
    job: Job
    sideways: bool = False
    words: Words | None = None  # None: those of the office

    @property
    def speech(self) -> Words:
        """The words of the paper."""
        return self.words or words_for(self.job)

    @property
    def remark(self) -> str:
        """What the foot of every page adds: that no native speaker has read the translation yet."""
        return self.speech("unreviewed") if self.speech.language in UNREVIEWED else ""

    @property
    def page(self) -> tuple[float, float]:
        """Letter for an imperial job, A4 for a metric one, points."""
        upright = letter if self.job.units == "imperial" else A4
        wide, high = landscape(upright) if self.sideways else upright
        return wide, high

    @property
    def width(self) -> float:
        """Between the margins, points."""
        return self.page[0] - 2.0 * float(MARGIN)

    @property
    def height(self) -> float:
        """Between head and foot, points."""
        return self.page[1] - float(TOP + FOOT)

    @property
    def issue(self) -> str:
        """Date and revision, as every page says them; "" where the job has neither."""
        day, revision, words = self.job.date, self.job.revision, self.speech
        if day and revision:
            return words("foot-issue", day_date=day, revision=revision)
        return words.date(day) if day else words("foot-revision", revision=revision) if revision else ""


def words_of(estimate: Estimate) -> Words:
    """The words of what the office reads."""
    return words_for(estimate.job)


def client_words_of(estimate: Estimate) -> Words:
    """The words of what the client reads."""
    return client_words_for(estimate.job)


def crew_words_of(estimate: Estimate) -> Words:
    """The words of what the crew reads."""
    return crew_words_for(estimate.job)


def bind(
    front: Front,
    story: Sequence[Flowable],
    *,
    margin: float = MARGIN,
    block: Callable[[Any], None] | None = None,
    block_high: float = 0.0,
) -> bytes:
    """The story as a PDF with the foot on each page; the same bytes for the same story.

    margin              at both sides, points
    block, block_high   drawn above the foot when a page is full, and the room that it has there
    """
    buffer = BytesIO()
    width, height = front.page
    paper = BaseDocTemplate(
        buffer,
        pagesize=front.page,
        title=plain(f"{front.paper} · {front.job.name}"),
        author="cast-estimator",
        invariant=1,
    )
    frame = Frame(
        margin, FOOT + block_high, width - 2 * margin, height - TOP - FOOT - block_high, 0, 0, 0, 0, id="page"
    )
    ended = (lambda canvas, _: block(canvas)) if block is not None else (lambda _canvas, _: None)
    template = PageTemplate("page", [frame], onPage=lambda canvas, _: _foot(canvas, front), onPageEnd=ended)
    paper.addPageTemplates([template])
    paper.build([*story, _Total(front.speech)])
    return buffer.getvalue()


class _Total(Flowable):
    """The number of pages, told at the end to the form that every foot has left room for."""

    _ZEROSIZE = 1

    def __init__(self, words: Words) -> None:
        super().__init__()
        self._words = words

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        return 0.0, 0.0

    def draw(self) -> None:
        count_pages(self.canv, self._words)


def count_pages(canvas: Any, words: Words) -> None:
    """Fills in the number of pages; once, on the last page."""
    total = words("foot-total", count=str(canvas.getPageNumber()))
    canvas.beginForm("pages", 0, -4, 100, 12)
    canvas.setFont(PLAIN, FOOT_SIZE)
    canvas.setFillColor(GREY)
    canvas.drawString(0, 0, f" {total}")
    canvas.endForm()


def _foot(canvas: Any, front: Front) -> None:
    """The foot of a page; all of it but the page number is written once a paper."""
    width, _ = front.page
    at = FOOT - 7 * mm
    words = front.speech
    number_at = width - MARGIN - width_of(f" {words('foot-total', count='000')}", PLAIN, FOOT_SIZE)
    if not canvas.hasForm("foot"):
        canvas.beginForm("foot", 0, 0, width, FOOT)
        canvas.setStrokeColor(HAIR)
        canvas.setLineWidth(0.4)
        canvas.line(MARGIN, at + 10, width - MARGIN, at + 10)
        tail = "".join(f" · {part}" for part in (front.paper, front.issue) if part)
        room = MOST_FOOT * (width - 2 * MARGIN) - width_of(tail, PLAIN, FOOT_SIZE)
        foot = [(MARGIN, at, cut(front.job.name, PLAIN, FOOT_SIZE, room) + tail)]
        if front.remark:
            foot.append((MARGIN, at - 10, front.remark))
        write(canvas, foot, PLAIN, FOOT_SIZE, GREY)
        canvas.endForm()
    canvas.doForm("foot")
    write_right(canvas, number_at, at, words("foot-page", number=str(canvas.getPageNumber())), PLAIN, FOOT_SIZE, GREY)
    canvas.saveState()
    canvas.translate(number_at, at)
    canvas.doForm("pages")
    canvas.restoreState()


def title(front: Front, purpose: str = "") -> list[Flowable]:
    """The head of a paper's first page: job, name of the paper, and one line on what it is for."""
    head: list[Flowable] = [say(front.job.name, LABEL), say(front.paper, TITLE)]
    if purpose:
        head.append(say(purpose, SMALL))
    return [*head, Rule(front.width), Spacer(0, 5)]


def section(heading: str, *parts: Flowable) -> list[Flowable]:
    """A heading of the second size that never stands alone at the foot of a page."""
    return [keep_with(parts[0] if parts else None), say(heading, SECTION), *parts]


def keep_with(part: Flowable | None, lines: float = HEADING_ROOM) -> Flowable:
    """Turns the page where `lines`, points, and the beginning of the part after them would not both fit."""
    return CondPageBreak(lines + _first_lines(part))


def on_one_page(parts: Iterable[Flowable]) -> Flowable:
    """Parts that stay on one page where they fit one.

    A break before the first of them would hide the space before its heading from the count of their height.
    """
    return KeepTogether([part for part in parts if not isinstance(part, CondPageBreak)])


def _first_lines(part: Flowable | None) -> float:
    """Height of what must follow a heading on its page, points: a table's head and two rows, or a few lines."""
    return float(getattr(part, "beginning", LEAST_BELOW)) if part is not None else 0.0


def facts(pairs: Sequence[tuple[str, str]], width: float, columns: int = 4) -> list[Flowable]:
    """Short facts side by side: a small label over a strong value."""
    if not pairs:
        return []
    cells = [[say(label, LABEL), say(value, VALUE)] for label, value in pairs]
    rows = [cells[i : i + columns] for i in range(0, len(cells), columns)]
    return [Columns(row, [width / columns] * len(row)) for row in rows]


class Columns(Flowable):
    """Parts side by side, each column from the top down; it stays on one page.

    cells    the parts of each column
    widths   of the columns, points; `gap` of each stays free at its right, and below them all
    """

    hAlign = "LEFT"  # noqa: N815  the name is reportlab's

    def __init__(self, cells: Sequence[Sequence[Flowable]], widths: Sequence[float], gap: float = 6.0) -> None:
        super().__init__()
        self._cells, self._widths, self._gap = cells, widths, gap

    @property
    def beginning(self) -> float:
        """Its height, since it stays on one page, points."""
        return self.wrap(0.0, 1e4)[1]

    def wrap(self, _width: float, height: float) -> tuple[float, float]:
        self._heights = [
            [
                part.wrap(wide - self._gap, height)[1] + (part.getSpaceBefore() if i else 0.0)
                for i, part in enumerate(parts)
            ]
            for parts, wide in zip(self._cells, self._widths, strict=True)
        ]
        self.width, self.height = sum(self._widths), max(map(sum, self._heights), default=0.0) + self._gap
        return self.width, self.height

    def draw(self) -> None:
        x = 0.0
        for parts, heights, wide in zip(self._cells, self._heights, self._widths, strict=True):
            y = self.height - self._gap / 3
            for part, high in zip(parts, heights, strict=True):
                y -= high
                part.drawOn(self.canv, x, y)
            x += wide


def say(text: str, style: ParagraphStyle = BODY) -> Lines:
    """A paragraph of plain text."""
    return Lines([(plain(text), False)], style)


def say_parts(parts: Sequence[tuple[str, bool]], style: ParagraphStyle = BODY) -> Lines:
    """A paragraph of plain text in pieces, each strong or not."""
    return Lines([(plain(text), strong) for text, strong in parts], style)


class Rule(Flowable):
    """A line across the page."""

    def __init__(self, width: float, thickness: float = 1.2, color: Color = INK) -> None:
        super().__init__()
        self.width, self.thickness, self.color = width, thickness, color

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        return self.width, self.thickness + 4

    def draw(self) -> None:
        self.canv.setStrokeColor(self.color)
        self.canv.setLineWidth(self.thickness)
        self.canv.line(0, 2, self.width, 2)


class Picture(Flowable):
    """Anything drawn: `draw(canvas, width, height)` in a box of its own, origin at its lower left, points."""

    def __init__(self, width: float, height: float, draw: Draw) -> None:
        super().__init__()
        self.width, self.height, self._draw = width, height, draw
        self.beginning = height  # it is not parted, so a heading needs room for the whole

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        self._draw(self.canv, self.width, self.height)


class Framed(Flowable):
    """Parts one below the other in a frame; it stays on one page.

    thickness   of the frame, points
    """

    PAD = 5.0

    def __init__(self, parts: Sequence[Flowable], width: float, color: Color, thickness: float) -> None:
        super().__init__()
        self.width, self._parts, self._color, self._thickness = width, parts, color, thickness

    def wrap(self, _width: float, height: float) -> tuple[float, float]:
        self._heights = [part.wrap(self.width - 2 * self.PAD, height)[1] for part in self._parts]
        self.height = sum(self._heights) + 3.0 * len(self._parts)
        return self.width, self.height

    def draw(self) -> None:
        canvas, y = self.canv, self.height
        canvas.setStrokeColor(self._color)
        canvas.setLineWidth(self._thickness)
        canvas.rect(0, 0, self.width, self.height, stroke=1, fill=0)
        for part, height in zip(self._parts, self._heights, strict=True):
            y -= height + 1.5
            part.drawOn(canvas, self.PAD, y)
            y -= 1.5


class Stamp(Flowable):
    """Parts that stand on many pages alike, laid out and written once: put the same stamp into the story each time."""

    def __init__(self, name: str, parts: Sequence[Flowable], width: float) -> None:
        super().__init__()
        self.width, self._name, self._parts = width, name, list(parts)
        heights = [part.wrap(width, 1e4)[1] for part in self._parts]
        gaps = [part.getSpaceBefore() if i else 0.0 for i, part in enumerate(self._parts)]
        self._ats, below = [], 0.0
        for gap, height in zip(gaps, heights, strict=True):
            below += gap + height
            self._ats.append(below)
        self.height = below

    def getSpaceBefore(self) -> float:  # noqa: N802  the name is reportlab's
        return float(self._parts[0].getSpaceBefore()) if self._parts else 0.0

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        if not self.canv.hasForm(self._name):
            self.canv.beginForm(self._name, 0, 0, self.width, self.height)
            for part, at in zip(self._parts, self._ats, strict=True):
                part.drawOn(self.canv, 0, self.height - at)
            self.canv.endForm()
        self.canv.doForm(self._name)


def tick_box(canvas: Any, x: float, y: float, side: float, thickness: float = 1.0) -> None:
    """An empty box to tick, its lower left corner at (x, y)."""
    canvas.setStrokeColor(INK)
    canvas.setLineWidth(thickness)
    canvas.rect(x, y, side, side, stroke=1, fill=0)


def cut(text: str, font: str, size: float, width: float) -> str:
    """The text, or as much of its beginning as fits, with an ellipsis."""
    text = plain(text)
    if width_of(text, font, size) <= width:
        return text
    low, high = 0, len(text)
    while low < high:
        middle = (low + high + 1) // 2
        if width_of(text[:middle].rstrip() + ELLIPSIS, font, size) <= width:
            low = middle
        else:
            high = middle - 1
    return text[:low].rstrip() + ELLIPSIS


def size_that_fits(text: str, font: str, width: float, largest: float, least: float) -> float:
    """The largest size at which a line fits, between the two given; `cut` it where even the least does not do."""
    at_one = width_of(plain(text), font, 1.0)
    return max(least, min(largest, WITHIN * width / at_one)) if at_one > 0.0 else largest


RED = HexColor(0xB00020)
HEAD = ParagraphStyle("alert-head", parent=BODY, fontName=BOLD, fontSize=10, leading=13, textColor=RED)
WORDS = ParagraphStyle("alert", parent=BODY, fontName=BOLD, fontSize=8.5, leading=11, textColor=RED)


def alert(lines: Sequence[str], width: float, heading: str) -> list[Flowable]:
    """A frame around the lines; [] without lines."""
    if not lines:
        return []
    rows = [[say(heading, HEAD)], *([say(line, WORDS)] for line in lines)]
    grid = Grid(
        rows,
        colWidths=[width],
        style=[
            ("BOX", (0, 0), (-1, -1), 1.6, RED),
            ("LEFTPADDING", (0, 0), (-1, -1), 6),
            ("TOPPADDING", (0, 0), (-1, -1), 1.5),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 2),
        ],
    )
    return [grid, Spacer(0, 5)]


def by_statement(statements_of: Iterable[tuple[str, Iterable[str]]], words: Words, most: int = 12) -> list[str]:
    """Statements of many marks, each once with the marks that it is said of."""
    marks: dict[str, list[str]] = {}
    for mark, statements in statements_of:
        for statement in statements:
            marks.setdefault(statement, []).append(mark)
    return [words("about", subject=few(names, most), text=statement) for statement, names in marks.items()]
