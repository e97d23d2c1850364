"""Text on paper: the fonts, lines as wide as their column, and how they are written to the page.

A pack holds some hundred thousand short strings. reportlab's paragraphs parse each as markup and its text objects
format each anew, so lines are broken here and go to the page in one block of operators a font.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from functools import lru_cache
from io import BytesIO
from threading import RLock
from typing import Any

from reportlab.lib.colors import Color
from reportlab.lib.enums import TA_CENTER, TA_RIGHT
from reportlab.lib.rl_accel import escapePDF
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.platypus import Flowable

from geometry.files import packaged

PLAIN, BOLD = "Paper", "Paper-Bold"
MOST_KNOWN = 5_000  # paragraphs whose lines are kept
NARROW = 0.01  # points: sums of glyphs are rounded
UNIT = r"(?:%|°[CF]|kg|g|lb|m[²³]?|mm|ft[²³]?|gal|qt|L|h|min|MPa|psi|kN)(?![\w-])"
GAP = re.compile(rf"(?<!\d) | (?!{UNIT})")
"""A space at which a line may end: not the one between a figure and its unit."""

Run = tuple[float, float, str]
"""Where a string begins on its base line, points, and the string."""

Bit = tuple[str, str, float]
"""Part of a line: text, font, and how far from the beginning of the line it starts, points."""


def load_fonts() -> None:
    """Puts the family, as the package carries it, where reportlab finds it. Bold is the only emphasis."""
    files = ("DejaVuSansCondensed.ttf", "DejaVuSansCondensed-Bold.ttf")
    _set_fonts([packaged("estimator.report.papers", f"fonts/{file}") for file in files])


def _set_fonts(fonts: Sequence[bytes]) -> None:
    """Make PLAIN and BOLD these fonts."""
    plain_font, bold_font = (TTFont(name, BytesIO(font)) for name, font in zip((PLAIN, BOLD), fonts, strict=True))
    if bold_font.face.name == plain_font.face.name:
        bold_font = plain_font  # a PDF holds one font of a name
    pdfmetrics._fonts |= {PLAIN: plain_font, BOLD: bold_font}  # registerFont would keep the first font of a name
    pdfmetrics.registerFontFamily(PLAIN, normal=PLAIN, bold=BOLD, italic=PLAIN, boldItalic=BOLD)


load_fonts()


@contextmanager
def own_fonts(fonts: tuple[bytes, bytes] | None) -> Iterator[None]:
    """Within it, PLAIN and BOLD are these TrueType fonts; None: the papers' own, as outside.

    One paper at a time: what was measured in one font is forgotten before another measures.
    """
    if fonts is None:
        yield
        return
    with _FONTS_LOCK:
        _set_fonts(fonts)
        _forget()
        try:
            yield
        finally:
            load_fonts()
            _forget()


_FONTS_LOCK = RLock()


def _forget() -> None:
    """Drop what was measured."""
    known_width.cache_clear()
    _unit_width.cache_clear()
    Lines.forget()


def plain(text: str) -> str:
    """Text that prints: control characters become spaces."""
    if text.isprintable():
        return text
    return "".join(letter if letter.isprintable() or letter in "\n\N{NO-BREAK SPACE}" else " " for letter in text)


def width_of(text: str, font: str, size: float) -> float:
    """Width of a line of text, points."""
    return float(pdfmetrics.stringWidth(text, font, size))


@lru_cache(maxsize=50_000)
def known_width(text: str, font: str, size: float) -> float:
    """Width of a line of text that stands on many pages, points."""
    return size * _unit_width(text, font)


@lru_cache(maxsize=50_000)
def _unit_width(text: str, font: str) -> float:
    """Width of a line of text of size 1, points."""
    return width_of(text, font, 1.0)


class Operators:
    """A block of PDF operators, as `Canvas.drawText` takes it."""

    def __init__(self, operators: Sequence[str]) -> None:
        self._operators = operators

    def getCode(self) -> str:  # noqa: N802  the name is reportlab's
        return " ".join(self._operators)


def write(
    canvas: Any,
    runs: Iterable[Run],
    font: str,
    size: float,
    color: Color,
    *,
    upright: bool = False,
    alone: bool = False,
) -> None:
    """Writes strings of one font, size and color, level or from below upward.

    alone   the color of what is drawn next stays what it was
    """
    turn = "0 1 -1 0" if upright else "1 0 0 1"
    known = _operators_of(canvas)
    first = known.get((font, size))
    if first is None:
        first = known[(font, size)] = _font(canvas, font, 0, size)
    block = [_color(color), "BT", first]
    for x, y, text in runs:
        operators = known.get((font, size, text))
        if operators is None:
            operators = known[(font, size, text)] = _show(canvas, text, font, size)
        block.append(f"{turn} {x:.2f} {y:.2f} Tm {operators}")
    block.append("ET")
    canvas.drawText(Operators(["q", *block, "Q"] if alone else block))


def _operators_of(canvas: Any) -> dict[Any, str]:
    """Operators that a document has used, which go with it: of a font and size, and of a string in them."""
    try:
        known: dict[Any, str] = canvas.known_operators
    except AttributeError:
        known = canvas.known_operators = {}
    return known


@lru_cache(maxsize=64)
def _color(color: Color) -> str:
    """Operators that set the color of what is filled."""
    return "{:g} {:g} {:g} rg".format(*(round(part, 6) for part in color.rgb()))


def write_centered(canvas: Any, x: float, y: float, text: str, font: str, size: float, color: Color) -> None:
    """Writes a string around x."""
    write(canvas, [(x - known_width(text, font, size) / 2, y, text)], font, size, color)


def write_right(canvas: Any, x: float, y: float, text: str, font: str, size: float, color: Color) -> None:
    """Writes a string that ends at x."""
    write(canvas, [(x - known_width(text, font, size), y, text)], font, size, color)


def _font(canvas: Any, font: str, subset: int, size: float) -> str:
    return f"{pdfmetrics.getFont(font).getSubsetInternalName(subset, canvas._doc)} {size:g} Tf"


def _show(canvas: Any, text: str, font: str, size: float) -> str:
    """Operators that show a string; a font goes into a file in subsets of 256 glyphs, of which the first is set."""
    operators, subset = [], 0
    for part, codes in pdfmetrics.getFont(font).splitString(text, canvas._doc):
        if part != subset:
            operators.append(_font(canvas, font, part, size))
            subset = part
        operators.append(f"({escapePDF(codes)}) Tj")
    if subset:
        operators.append(_font(canvas, font, 0, size))
    return " ".join(operators)


class Lines(Flowable):
    """Plain text in lines as wide as its column; parts of it may be strong.

    parts   text with whether it is strong
    style   font, size, leading, color, alignment and the spaces around
    """

    _known: dict[Any, list[list[Bit]]] = {}  # noqa: RUF012  shared on purpose: cautions stand alike on many pages

    def __init__(self, parts: Sequence[tuple[str, bool]], style: ParagraphStyle) -> None:
        super().__init__()
        self.style, self._parts = style, tuple(parts)
        self._lines: list[list[Bit]] = []

    def getSpaceBefore(self) -> float:  # noqa: N802  the name is reportlab's
        return float(self.style.spaceBefore)

    def getSpaceAfter(self) -> float:  # noqa: N802
        return float(self.style.spaceAfter)

    @classmethod
    def forget(cls) -> None:
        """Drop the lines of every paragraph."""
        cls._known.clear()

    def wrap(self, width: float, _height: float) -> tuple[float, float]:
        style = self.style
        if self._parts:
            key = (self._parts, style.fontName, style.fontSize, style.leftIndent, width)
            lines = self._known.get(key)
            if lines is None:
                if len(self._known) >= MOST_KNOWN:
                    self._known.clear()
                lines = self._known[key] = _lines(self._parts, style.fontName, style.fontSize, width - style.leftIndent)
            self._lines = lines
        self.width, self.height = width, len(self._lines) * style.leading
        return width, self.height

    def split(self, width: float, height: float) -> list[Flowable]:
        """What fits this height and the rest, at least two lines of each: no line stands alone on a page."""
        self.wrap(width, height)
        fit = min(int((height + NARROW) / self.style.leading), len(self._lines) - 2)
        if fit < 2:
            return []
        return [self._of(self._lines[:fit]), self._of(self._lines[fit:])]

    def _of(self, lines: list[list[Bit]]) -> "Lines":
        part = Lines((), self.style)
        part._lines = lines
        return part

    def drawOn(self, canvas: Any, x: float, y: float, _sW: float = 0) -> None:  # noqa: N802, N803  reportlab's names
        """Writes the lines where they stand: a page is mostly text, and to shift the axes for each takes as long."""
        style = self.style
        ascent, descent = pdfmetrics.getAscentDescent(style.fontName, style.fontSize)
        runs: dict[str, list[Run]] = {}
        y += self.height - ascent - (style.leading - ascent + descent) / 2
        left = x + style.leftIndent
        for line in self._lines:
            x = left
            if line and style.alignment in (TA_RIGHT, TA_CENTER):
                text, font, at = line[-1]
                spare = self.width - style.leftIndent - at - known_width(text, font, style.fontSize)
                x += spare if style.alignment == TA_RIGHT else spare / 2
            for text, font, at in line:
                runs.setdefault(font, []).append((x + at, y, text))
            y -= style.leading
        for font, own in runs.items():
            write(canvas, own, font, style.fontSize, style.textColor, alone=True)


def _lines(parts: Sequence[tuple[str, bool]], font: str, size: float, width: float) -> list[list[Bit]]:
    """Parts broken into lines: after spaces but not between a figure and its unit, in a word only if it is too long."""
    lines: list[list[Bit]] = []
    line: list[Bit] = []
    at = 0.0
    for gap, word in _words(parts, font, size):
        if at and at + gap + sum(known_width(text, own, size) for text, own in word) > width + NARROW:
            lines.append(line)
            line, at = [], 0.0
        gap = gap if at else 0.0
        for text, own in word:
            for piece in broken_word(text, own, size, width):
                wide = known_width(piece, own, size)
                if at and at + gap + wide > width + NARROW:
                    lines.append(line)
                    line, at, gap = [], 0.0, 0.0
                if line and line[-1][1] == own:  # one string as long as the font stays the same
                    before, _, start = line[-1]
                    line[-1] = (f"{before}{' ' if gap else ''}{piece}", own, start)
                else:
                    line.append((piece, own, at + gap))
                at, gap = at + gap + wide, 0.0
    lines.append(line)
    return lines


def _words(
    parts: Sequence[tuple[str, bool]], font: str, size: float
) -> Iterator[tuple[float, Sequence[tuple[str, str]]]]:
    """Words with the width of the space before each; what no space parts stays one word, also where fonts meet."""
    word: list[tuple[str, str]] = []
    before = gap = 0.0
    for text, strong in parts:
        own = BOLD if strong else font
        space = known_width(" ", own, size)
        for i, bit in enumerate(GAP.split(text.replace("\n", " "))):
            if i:
                gap = space
            if not bit:
                continue
            if word and gap:
                yield before, word
                word = []
            if not word:
                before = gap
            word.append((bit, own))
            gap = 0.0
    if word:
        yield before, word


def broken_word(word: str, font: str, size: float, width: float) -> list[str]:
    """A word in pieces that fit the width, one where it fits whole."""
    pieces = []
    while known_width(word, font, size) > width + NARROW and len(word) > 1:
        fitting = len(word)
        while fitting > 1 and width_of(word[:fitting], font, size) > width:
            fitting -= 1
        pieces.append(word[:fitting])
        word = word[fitting:]
    return [*pieces, word]
