"""Tables that fit their page: columns as wide as they need, wrapped, then smaller, then split in two.

Cells are plain text, measured and broken here, so that a table of thousands of rows is laid out without a paragraph a
cell. Heads are repeated on each page; no row stands alone at the top or the foot of one.
"""

import re
from collections.abc import Sequence
from functools import lru_cache
from math import sqrt

from reportlab.platypus import Flowable, Spacer

from estimator.report.papers.style import HAIR, INK, TINT, Draw, Picture
from estimator.report.papers.text import BOLD, GAP, PLAIN, Run, broken_word, known_width, plain, write
from estimator.report.screen import Column, Sheet
from geometry.frozen import frozen

SIZES = (8.5, 8.0, 7.5, 7.0, 6.5)
LEADING = 1.3  # of the size
PAD = 4.0  # at each side of a cell, points
LEAST_COLUMN = 34.0  # a column of words is not squeezed below this, points
MOST_WORD = 0.35  # of the width: a longer word is broken
MOST_LINES = 30  # a higher row is told in several
FIGURES = {
    sign: re.compile(rf"(?P<whole>[+−-]?[\d{group}]+)(?P<decimals>[{sign}]\d+)?(?P<unit>( [^\d\s]\S*)?)")
    for sign, group in (".,", ",.")
}
"""Figures by their decimal sign; the other sign parts thousands."""
DECIMALS = re.compile(r"(?<![\d.,])0([.,])\d|([.,])(?:\d\d?|\d{4,})(?!\d)")
"""Decimals that cannot be thousands."""
DIGIT_SPACE, POINT_SPACE = "\u2007", "\u2008"  # as wide as a digit, and as a point
MOST_TOGETHER = 200.0  # points: rows that are kept on one page
BREAK = re.compile(rf"{GAP.pattern}|(?<!\b\w)[-/_.,;:·×](?=[^\W\d_])")
"""What a line may end after: not the A of A-frame."""


def table(
    columns: Sequence[Column],
    rows: Sequence[Sequence[str]],
    width: float,
    *,
    totals: Sequence[str] | None = None,
    sizes: Sequence[float] = SIZES,
    ruled: bool = True,
    pictures: Sequence[Draw] = (),
    picture_size: tuple[float, float] = (0.0, 0.0),
    shares: Sequence[float] | None = None,
    compact: bool = False,
    tight: bool = False,
) -> Flowable:
    """A table across `width`, points: its first column goes before each part where it must be split.

    rows    of plain text, a cell a column
    totals  a last row, set strong
    sizes   of type, the largest that fits is taken
    ruled   a hair line under each row
    pictures, picture_size   one a row, before its first cell; width and height, points
    shares  of the width, a column each, where the columns of several tables must stand in line
    compact no wider than its words and figures
    tight   low rows, for a page that is full
    """
    if shares is not None:
        body, last = _cells(columns, rows, totals)
        return _grid(columns, body, last, [share * width for share in shares], sizes[0], ruled, compact=tight)
    if pictures:
        return _pictured(columns, rows, width, totals, sizes, pictures, picture_size)
    body, last = _cells(columns, rows, totals)
    for size in sizes:
        widths = _widths(columns, body, last, width, size, fill=not compact)
        if widths is not None:
            return _grid(columns, body, last, widths, size, ruled, compact=compact or tight)
    return _parted(columns, body, last, width, sizes, ruled)


def _pictured(
    columns: Sequence[Column],
    rows: Sequence[Sequence[str]],
    width: float,
    totals: Sequence[str] | None,
    sizes: Sequence[float],
    pictures: Sequence[Draw],
    picture_size: tuple[float, float],
) -> Flowable:
    """A table with a picture before each row, which is at least as high."""
    wide, high = picture_size
    left = width - wide - 2 * PAD
    body, last = _cells(columns, rows, totals)
    size, widths = sizes[-1], None
    for size in sizes:
        widths = _widths(columns, body, last, left, size)
        if widths is not None:
            break
    if widths is None:
        needs = [
            _need(c, [row[i] for row in body], last[i] if last else None, size, MOST_WORD * left)
            for i, c in enumerate(columns)
        ]
        texts = [i for i, column in enumerate(columns) if not column.figure]
        room = left - sum(need.least for need, column in zip(needs, columns, strict=True) if column.figure)
        widths = _squeezed(needs, texts, room)
    return _grid(columns, body, last, widths, size, True, [Picture(wide, high, draw) for draw in pictures])


def sheet_table(sheet: Sheet, width: float) -> Flowable:
    """The table of a sheet."""
    return table(sheet.columns, sheet.rows, width, totals=sheet.totals)


def _cells(
    columns: Sequence[Column], rows: Sequence[Sequence[str]], totals: Sequence[str] | None
) -> tuple[list[list[str]], list[str] | None]:
    """Cells that print, with the decimal points of each column of figures in one line."""
    every = [[plain(cell) for cell in row] for row in (*rows, *([totals] if totals is not None else []))]
    for i, column in enumerate(columns):
        if column.figure:
            for row, cell in zip(every, _aligned([row[i] for row in every]), strict=True):
                row[i] = cell
    return (every[:-1], every[-1]) if totals is not None else (every, None)


def _aligned(cells: Sequence[str]) -> list[str]:
    """Figures of one column, those with fewer decimals filled up with blanks as wide as what they lack."""
    decimals = next(filter(None, map(DECIMALS.search, cells)), None)
    if decimals is None:
        return list(cells)
    figures = [FIGURES[decimals[1] or decimals[2]].fullmatch(cell) for cell in cells]
    most = max((len(figure["decimals"] or "") for figure in figures if figure), default=0)
    if not most:
        return list(cells)
    return [
        cell
        if figure is None
        else f"{figure['whole']}{(figure['decimals'] or '')}{_blank(figure, most)}{figure['unit']}"
        for cell, figure in zip(cells, figures, strict=True)
    ]


def _blank(figure: re.Match[str], most: int) -> str:
    had = len(figure["decimals"] or "")
    return ("" if had else POINT_SPACE) + DIGIT_SPACE * (most - max(had, 1))


@frozen
class _Need:
    """What a column asks for, points: least without breaking a word, all on one line, and its head on one line too."""

    least: float
    whole: float
    headed: float


def _need(column: Column, cells: Sequence[str], total: str | None, size: float, most: float) -> _Need:
    """A word longer than `most` is broken."""
    whole = max((known_width(line, PLAIN, size) for cell in set(cells) for line in cell.split("\n")), default=0.0)
    heads = [known_width(word, BOLD, size) for word in _words(column.head)]
    if total:
        whole = max(whole, known_width(total, BOLD, size))
    least = whole
    if not column.figure:
        longest = max((known_width(w, PLAIN, size) for cell in set(cells) for w in _words(cell)), default=0.0)
        least = min(whole, max(min(longest, most), min(LEAST_COLUMN, whole)))
    head = max(heads, default=0.0)
    headed = max(whole, known_width(column.head, BOLD, size))
    return _Need(max(least, head) + 2 * PAD, max(whole, head) + 2 * PAD, headed + 2 * PAD)


def _widths(
    columns: Sequence[Column],
    rows: Sequence[Sequence[str]],
    totals: Sequence[str] | None,
    width: float,
    size: float,
    *,
    fill: bool = True,
) -> list[float] | None:
    """Column widths that add up to `width`; None where the words do not fit at this size."""
    needs = [
        _need(column, [row[i] for row in rows], totals[i] if totals else None, size, MOST_WORD * width)
        for i, column in enumerate(columns)
    ]
    whole, least = sum(need.whole for need in needs), sum(need.least for need in needs)
    if whole <= width:
        wide = [i for i, column in enumerate(columns) if not column.figure] or list(range(len(columns)))
        heads = sum(need.headed - need.whole for need in needs)
        share = min(1.0, (width - whole) / heads) if heads > 0.0 else 0.0
        spare = (width - whole - share * heads) / len(wide) if fill else 0.0
        return [
            need.whole + share * (need.headed - need.whole) + (spare if i in wide else 0.0)
            for i, need in enumerate(needs)
        ]
    if least <= width:
        share = (width - least) / (whole - least)
        return [need.least + share * (need.whole - need.least) for need in needs]
    return None


def _parted(
    columns: Sequence[Column],
    rows: Sequence[Sequence[str]],
    totals: Sequence[str] | None,
    width: float,
    sizes: Sequence[float],
    ruled: bool,
) -> Flowable:
    """Where words are too many they are squeezed and broken; where figures are too many, two tables are made."""
    size = sizes[-1]
    needs = [
        _need(column, [row[i] for row in rows], totals[i] if totals else None, size, MOST_WORD * width)
        for i, column in enumerate(columns)
    ]
    texts = [i for i, column in enumerate(columns) if not column.figure]
    room = width - sum(need.least for need, column in zip(needs, columns, strict=True) if column.figure)
    if texts and room >= len(texts) * (LEAST_COLUMN + 2 * PAD):
        return _grid(columns, rows, totals, _squeezed(needs, texts, room), size, ruled)
    if len(columns) <= 2:
        return _grid(columns, rows, totals, [width / len(columns)] * len(columns), size, ruled)
    half = (len(columns) + 2) // 2
    parts: list[Flowable] = []
    for chosen in ([*range(half)], [0, *range(half, len(columns))]):
        parts += [
            table(
                [columns[i] for i in chosen],
                [[row[i] for i in chosen] for row in rows],
                width,
                totals=[totals[i] for i in chosen] if totals is not None else None,
                sizes=sizes,
                ruled=ruled,
            ),
            Spacer(0, 6),
        ]
    return _Several(parts)


def _squeezed(needs: Sequence[_Need], texts: Sequence[int], room: float) -> list[float]:
    """Widths in which columns of figures keep theirs and those of words share what is left, long ones getting more."""
    widths = [need.least for need in needs]
    least = LEAST_COLUMN + 2 * PAD
    wishes = {i: sqrt(needs[i].whole) for i in texts}
    spare = room - least * len(texts)
    for i in texts:
        widths[i] = least + spare * wishes[i] / sum(wishes.values())
    return widths


class _Several(Flowable):
    """Tables one under the other, told as one flowable."""

    def __init__(self, parts: Sequence[Flowable]) -> None:
        super().__init__()
        self._parts = list(parts)

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        self._size = [_part.wrap(width, height) for _part in self._parts]
        return max(w for w, _ in self._size), sum(h for _, h in self._size)

    def split(self, width: float, height: float) -> list[Flowable]:
        first, *rest = self._parts
        fits = first.wrap(width, height)[1] <= height
        parts = [first] if fits else first.split(width, height)
        return [*parts, *([_Several(rest)] if rest else [])] if parts else []

    def draw(self) -> None:
        at = sum(h for _, h in self._size)
        for part, (_, high) in zip(self._parts, self._size, strict=True):
            at -= high
            part.drawOn(self.canv, 0, at)


def _grid(
    columns: Sequence[Column],
    rows: Sequence[Sequence[str]],
    totals: Sequence[str] | None,
    widths: Sequence[float],
    size: float,
    ruled: bool,
    pictures: Sequence[Picture] = (),
    *,
    compact: bool = False,
) -> "Rows":
    inner = [width - 2 * PAD for width in widths]
    head = [broken(column.head, BOLD, size, w) for column, w in zip(columns, inner, strict=True)]
    body: list[Cells] = []
    broken_columns = [[broken(row[i], PLAIN, size, w) for row in rows] for i, w in enumerate(inner)]
    for cells in map(list, zip(*broken_columns, strict=True)):
        body += [cells] if pictures else _high_row(cells)
    last = [broken(cell, BOLD, size, w) for cell, w in zip(totals, inner, strict=True)] if totals is not None else None
    looks = Looks(
        tuple(widths),
        tuple(column.figure for column in columns),
        size,
        *((1.6, 1.8) if compact else (2.0, 3.0)),
        ruled=ruled,
        middle=bool(pictures),
    )
    return Rows(looks, head, body, last, pictures)


Cells = list[list[str]]
"""The lines of each cell of a row."""


@frozen
class Looks:
    """How a table is set.

    widths         of its columns, points
    figures        whether a column is set to the right
    above, below   the text of a row, points
    ruled          a hair line under each row
    middle         rows are set at half the height of their picture
    """

    widths: tuple[float, ...]
    figures: tuple[bool, ...]
    size: float
    above: float
    below: float
    ruled: bool
    middle: bool

    @property
    def leading(self) -> float:
        return round(self.size * LEADING, 2)

    def height(self, cells: Cells) -> float:
        """Height of a row of words, points."""
        return max(map(len, cells), default=1) * self.leading + self.above + self.below


class Rows(Flowable):
    """A table as it is drawn: rules, tints, and the text of all cells in one block a font.

    Its head stands on each of its pages. The head keeps two rows with it, and the last two rows and the totals stay
    together, where they are not too high for that.
    """

    hAlign = "LEFT"  # noqa: N815  the name is reportlab's

    def __init__(
        self, looks: Looks, head: Cells, body: list[Cells], totals: Cells | None, pictures: Sequence[Picture] = ()
    ) -> None:
        super().__init__()
        self.looks, self.head, self.body, self.totals, self.pictures = looks, head, body, totals, list(pictures)
        least = pictures[0].height + 6.0 if pictures else 0.0
        leading, beside = looks.leading, looks.above + looks.below
        self.heights = [
            max(max(map(len, cells), default=1) * leading + beside, least if 0 < i <= len(body) else 0.0)
            for i, cells in enumerate([head, *body, *([totals] if totals is not None else [])])
        ]
        self._left = pictures[0].width + 2 * PAD if pictures else 0.0
        self.width, self.height = self._left + sum(looks.widths), sum(self.heights)

    @property
    def beginning(self) -> float:
        """Height of the head and two rows, points."""
        return sum(self.heights[:3])

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        return self.width, self.height

    def split(self, _width: float, height: float) -> list[Flowable]:
        count = len(self.heights)
        room, fit = height + 1e-7, 0  # the frame forgives a millionth of a point
        while fit < count and self.heights[fit] <= room:
            room -= self.heights[fit]
            fit += 1
        if fit == count:
            return [self]
        for first, last in ((0, min(2, count - 1)), (max(1, count - (2 if self.totals is None else 3)), count - 1)):
            if first < fit <= last and sum(self.heights[first : last + 1]) <= MOST_TOGETHER:
                fit = first
        if fit < 2:
            return []
        return [
            Rows(self.looks, self.head, self.body[: fit - 1], None, self.pictures[: fit - 1]),
            Rows(self.looks, self.head, self.body[fit - 1 :], self.totals, self.pictures[fit - 1 :]),
        ]

    def draw(self) -> None:
        canvas, looks = self.canv, self.looks
        tops, y = [], self.height
        for height in self.heights:
            tops.append(y)
            y -= height
        if self.totals is not None:
            canvas.setFillColor(TINT)
            canvas.rect(0, y, self.width, self.heights[-1], stroke=0, fill=1)
        if looks.ruled:
            canvas.setStrokeColor(HAIR)
            canvas.setLineWidth(0.3)
            canvas.lines([(0, top, self.width, top) for top in [*tops[2:], y]])
        canvas.setStrokeColor(INK)
        canvas.setLineWidth(0.9)
        strong = [tops[1] if len(tops) > 1 else y, *([tops[-1]] if self.totals is not None else [])]
        canvas.lines([(0, top, self.width, top) for top in strong])
        lead = self.heights[0] - looks.height(self.head)
        bold = self._runs(self.head, tops[0] - lead, BOLD, bottom=True)
        if self.totals is not None:
            bold += self._runs(self.totals, tops[-1], BOLD)
        write(canvas, bold, BOLD, looks.size, INK)
        body: list[Run] = []
        for i, (cells, top) in enumerate(zip(self.body, tops[1:], strict=False)):
            high = self.heights[i + 1]
            spare = (high - looks.height(cells)) / 2 if looks.middle else 0.0
            body += self._runs(cells, top - spare, PLAIN)
            if self.pictures:
                picture = self.pictures[i]
                picture.drawOn(canvas, PAD, top - high + (high - picture.height) / 2)
        write(canvas, body, PLAIN, looks.size, INK)

    def _runs(self, cells: Cells, top: float, font: str, *, bottom: bool = False) -> list[Run]:
        """The strings of a row whose upper edge is at `top`; each cell begins at the top or ends at the bottom."""
        looks, runs = self.looks, []
        size, leading = looks.size, looks.leading
        most = max((len(cell) for cell in cells), default=1)
        x, base = self._left, top - looks.above - size
        for cell, width, figure in zip(cells, looks.widths, looks.figures, strict=True):
            y = base - (most - len(cell)) * leading if bottom else base
            for line in cell:
                if line:
                    at = x + width - PAD - known_width(line, font, size) if figure else x + PAD
                    runs.append((at, y, line))
                y -= leading
            x += width
        return runs


def _high_row(row: list[list[str]]) -> list[list[list[str]]]:
    """A row, in parts where it is higher than a page can take."""
    lines = max(map(len, row), default=1)
    if lines <= MOST_LINES:
        return [row]
    return [[cell[i : i + MOST_LINES] for cell in row] for i in range(0, max(1, lines), MOST_LINES)]


def broken(text: str, font: str, size: float, width: float) -> list[str]:
    """The text in lines of `width`, points: broken after spaces and hyphens, in a word only where it is too long."""
    if "\n" in text:
        return [line for part in text.split("\n") for line in broken(part, font, size, width)]
    if known_width(text, font, size) <= width + 0.01:
        return [text]
    lines, line = [], ""
    for word in _words(text):
        if line and known_width((line + word).rstrip(), font, size) > width + 0.01:
            lines.append(line.rstrip())
            line = ""
        if not line:
            word = word.lstrip() or word
        if known_width(word.rstrip(), font, size) > width + 0.01:
            *full, word = broken_word(word, font, size, width)
            lines += full
        line += word
    if line.strip() or not lines:
        lines.append(line.rstrip())
    return lines


@lru_cache(maxsize=20_000)
def _words(text: str) -> list[str]:
    """The text in pieces after each of which a line may end."""
    words, start = [], 0
    for match in BREAK.finditer(text):
        words.append(text[start : match.end()])
        start = match.end()
    if start < len(text):
        words.append(text[start:])
    return words
